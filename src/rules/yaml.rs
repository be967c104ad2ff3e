//! The only place where rule files are read as YAML.
//!
//! Events of the parser become a [`Node`] tree with places. What YAML allows and
//! a rule file does not need (anchors, tags, a second document, keys given
//! twice, endless nesting) is a fault with its place; after a syntax fault the
//! entries that were complete are kept.

use super::node::{Data, Node};
use super::text::Fault;
use saphyr_parser::{Event, Parser, ScalarStyle, ScanError, Span};
use std::collections::HashMap;

const DEEPEST: usize = 24;

/// Reads one file; `file` is stored in every node.
pub fn parse(file: usize, text: &str) -> (Node, Vec<Fault>) {
    let mut reader = Reader {
        file,
        open: Vec::new(),
        root: None,
        faults: Vec::new(),
    };
    let mut parser = Parser::new_from_str(text);
    let mut documents = 0;
    while let Some(event) = parser.next_event() {
        match event {
            Err(error) => {
                reader.broken(text, &error);
                break;
            }
            Ok((Event::DocumentStart(_), span)) => {
                documents += 1;
                if documents > 1 {
                    reader.fault("a second document begins here", span, "one document a file");
                    break;
                }
            }
            Ok((Event::StreamEnd, _)) => break,
            Ok((event, span)) => {
                if !reader.take(event, span) {
                    break;
                }
            }
        }
    }
    reader.close_all();
    let empty = Node {
        file,
        line: 1,
        column: 1,
        width: 1,
        data: Data::Nothing,
    };
    (reader.root.unwrap_or(empty), reader.faults)
}

/// A list or map whose end has not come yet; a map's key waits for its value.
struct Open {
    node: Node,
    key: Option<Node>,
    /// Names of the keys so far and their lines.
    names: HashMap<String, usize>,
}

struct Reader {
    file: usize,
    open: Vec<Open>,
    root: Option<Node>,
    faults: Vec<Fault>,
}

impl Reader {
    fn fault(&mut self, what: &str, span: Span, hint: &str) {
        self.faults.push(Fault {
            what: what.into(),
            line: span.start.line(),
            column: span.start.col() + 1,
            width: width(span),
            hint: Some(hint.into()),
        });
    }

    /// Takes one event; false when the rest cannot be read.
    fn take(&mut self, event: Event, span: Span) -> bool {
        match event {
            Event::Scalar(text, style, anchor, tag) => {
                self.extras(anchor, tag.is_some(), span);
                let plain = style == ScalarStyle::Plain;
                let data = if plain {
                    scalar(&text)
                } else {
                    Data::Text(text.into())
                };
                self.put(self.node(span, data));
            }
            Event::Alias(_) => {
                self.fault(
                    "`*` refers to another place, which rule files do not do",
                    span,
                    "write the value out, or quote a text that begins with `*`",
                );
                self.put(self.node(span, Data::Nothing));
            }
            Event::SequenceStart(anchor, tag) => {
                self.extras(anchor, tag.is_some(), span);
                return self.begin(span, Data::List(Vec::new()));
            }
            Event::MappingStart(anchor, tag) => {
                self.extras(anchor, tag.is_some(), span);
                return self.begin(span, Data::Map(Vec::new()));
            }
            Event::SequenceEnd | Event::MappingEnd => {
                if let Some(Open { mut node, .. }) = self.open.pop() {
                    if span.end.line() == node.line {
                        node.width = (span.end.col() + 1).saturating_sub(node.column).max(1);
                    }
                    self.put(node);
                }
            }
            _ => {}
        }
        true
    }

    fn node(&self, span: Span, data: Data) -> Node {
        Node {
            file: self.file,
            line: span.start.line(),
            column: span.start.col() + 1,
            width: width(span),
            data,
        }
    }

    fn begin(&mut self, span: Span, data: Data) -> bool {
        if self.open.len() >= DEEPEST {
            self.fault(
                "lists and maps are nested too deep here",
                span,
                "a rule needs no more than a few levels",
            );
            return false;
        }
        let node = self.node(span, data);
        self.open.push(Open {
            node,
            key: None,
            names: HashMap::new(),
        });
        true
    }

    fn extras(&mut self, anchor: usize, tag: bool, span: Span) {
        if anchor > 0 {
            self.fault(
                "`&` names this place for use elsewhere, which rule files do not do",
                span,
                "write the value out where it is needed",
            );
        }
        if tag {
            self.fault(
                "a `!` tag stands here, which rule files do not use",
                span,
                "leave the tag out, or quote a text that begins with `!`",
            );
        }
    }

    /// Puts a finished value where it belongs.
    fn put(&mut self, node: Node) {
        let Some(Open {
            node: into,
            key,
            names,
        }) = self.open.last_mut()
        else {
            self.root = Some(node);
            return;
        };
        match &mut into.data {
            Data::List(items) => items.push(node),
            Data::Map(pairs) => match key.take() {
                None => *key = Some(name(node, &mut self.faults)),
                Some(name) => match names.get(name.text().unwrap_or("")) {
                    None if name.text() == Some("") => {}
                    None => {
                        names.insert(name.text().unwrap_or("").into(), name.line);
                        pairs.push((name, node));
                    }
                    Some(first) => self.faults.push(Fault {
                        what: format!("`{}` is given twice", name.text().unwrap_or("")),
                        line: name.line,
                        column: name.column,
                        width: name.width,
                        hint: Some(format!("first on line {first}; keep one of them")),
                    }),
                },
            },
            _ => {}
        }
    }

    /// Keeps what was complete when the text broke off: the file's map, its
    /// lists, and their finished entries.
    fn close_all(&mut self) {
        self.open.truncate(2);
        while let Some(Open { node, .. }) = self.open.pop() {
            self.put(node);
        }
    }

    fn broken(&mut self, text: &str, error: &ScanError) {
        let at = error.marker();
        if let Some(fault) = tab(text, at.line(), error.info()) {
            self.faults.push(fault);
            return;
        }
        let (what, hint) = plain(error.info());
        self.faults.push(Fault {
            what,
            line: at.line().max(1),
            column: at.col() + 1,
            width: 1,
            hint,
        });
    }
}

/// A key is always text; anything else is a fault.
fn name(node: Node, faults: &mut Vec<Fault>) -> Node {
    let text = node.as_written();
    if text.is_none() {
        faults.push(Fault {
            what: "a key must be a word".into(),
            line: node.line,
            column: node.column,
            width: node.width,
            hint: Some("write `word: value`".into()),
        });
    }
    Node {
        data: Data::Text(text.unwrap_or_default()),
        ..node
    }
}

fn width(span: Span) -> usize {
    if span.start.line() == span.end.line() {
        span.end.col().saturating_sub(span.start.col()).max(1)
    } else {
        1
    }
}

/// The first tab in an indentation from a line on, if that is the trouble.
fn tab(text: &str, line: usize, info: &str) -> Option<Fault> {
    let from = line.saturating_sub(1);
    let mut lines = text.lines().enumerate().skip(from);
    let near = if info.contains("tab") { usize::MAX } else { 2 };
    let (number, column) = lines.by_ref().take(near).find_map(|(number, line)| {
        let blank = &line[..line.len() - line.trim_start().len()];
        Some((number, blank.find('\t')?))
    })?;
    Some(Fault {
        what: "a tab stands in the indentation".into(),
        line: number + 1,
        column: column + 1,
        width: 1,
        hint: Some("indent with spaces".into()),
    })
}

/// The parser's complaint in plain words.
fn plain(info: &str) -> (String, Option<String>) {
    let hint = match info {
        _ if info.contains("quoted scalar") || info.contains("end of stream") => {
            "is a closing quote or bracket missing?"
        }
        _ if info.contains("mapping values are not allowed") => {
            "quote a text that holds a colon followed by a space, or check the indentation"
        }
        _ if info.contains("flow") || info.contains("','") => "is a comma, a `}` or a `]` missing?",
        _ => "check the indentation, the colons and the brackets on this line and the one before",
    };
    (
        format!("the YAML cannot be read here: {info}"),
        Some(hint.into()),
    )
}

/// A plain scalar by the core rules of YAML 1.2; `yes` and `no` stay words.
fn scalar(text: &str) -> Data {
    match text {
        "" | "~" | "null" | "Null" | "NULL" => return Data::Nothing,
        "true" | "True" | "TRUE" => return Data::Truth(true),
        "false" | "False" | "FALSE" => return Data::Truth(false),
        _ => {}
    }
    let digits = text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.'));
    match text.parse::<f64>() {
        Ok(number) if digits && number.is_finite() => Data::Number(number),
        _ => Data::Text(text.into()),
    }
}
