//! Rule files as text: bytes to characters, and faults that point into a line.
//!
//! A user's editor may have saved a file in another encoding; that is said in
//! words and the rest of the file is still read.

use std::borrow::Cow;

/// A rule file: its name as the user would write it, and its text.
#[derive(Debug, Clone, Default)]
pub struct Text {
    /// For example `rules/causes/oil-rings.yaml`.
    pub name: String,
    /// The whole text, without a byte-order mark.
    pub text: Cow<'static, str>,
}

/// A fault at a line and column of one file, before it becomes a problem.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// What is wrong.
    pub what: String,
    /// Line from 1.
    pub line: usize,
    /// Column from 1, in characters.
    pub column: usize,
    /// Width in characters.
    pub width: usize,
    /// A way out.
    pub hint: Option<String>,
}

impl Text {
    /// Reads bytes as UTF-8; the fault names the encoding and the first bad place.
    pub fn decode(name: &str, bytes: Vec<u8>) -> (Text, Vec<Fault>) {
        let mut faults = Vec::new();
        let mut fault = |what: String, line, column| {
            faults.push(Fault {
                what,
                line,
                column,
                width: 1,
                hint: Some("save the file as UTF-8".into()),
            });
        };
        let text = match bytes.as_slice() {
            [0xFF, 0xFE, ..] | [0xFE, 0xFF, ..] => {
                fault("the file is UTF-16, not UTF-8".into(), 1, 1);
                String::new()
            }
            _ => match String::from_utf8(bytes) {
                Ok(text) => text,
                Err(error) => {
                    let good = error.utf8_error().valid_up_to();
                    let bytes = error.into_bytes();
                    let before = String::from_utf8_lossy(&bytes[..good]);
                    let (line, column) = end_of(&before);
                    fault(
                        format!(
                            "the file is not UTF-8: byte {:#04X} stands here",
                            bytes[good]
                        ),
                        line,
                        column,
                    );
                    String::from_utf8_lossy(&bytes).into_owned()
                }
            },
        };
        let text = match text.strip_prefix('\u{FEFF}') {
            Some(rest) => rest.to_string(),
            None => text,
        };
        if let Some(at) = text.find(|c: char| c.is_control() && !matches!(c, '\n' | '\r' | '\t')) {
            let (line, column) = end_of(&text[..at]);
            let code = text[at..].chars().next().map_or(0, u32::from);
            fault(
                format!("the control character U+{code:04X} stands here"),
                line,
                column,
            );
        }
        let text = Text {
            name: name.into(),
            text: Cow::Owned(text),
        };
        (text, faults)
    }
}

/// Line and column, from 1, of the character after `text`.
fn end_of(text: &str) -> (usize, usize) {
    let line = text.matches('\n').count() + 1;
    let last = text.rsplit('\n').next().unwrap_or("");
    (line, last.chars().count() + 1)
}
