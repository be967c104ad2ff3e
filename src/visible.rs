//! Control characters made visible: what did not come from this program may hold
//! escape sequences, bidirectional marks or line ends that change what a terminal
//! shows. They are shown as their code, such as `\u001b`, which JSON reads back.

use std::borrow::Cow;
use std::fmt::Write as _;
use std::io::{self, Write};

/// Longest sequence of parameters of a style.
const LONGEST_STYLE: usize = 24;

/// Whether a character does something to a terminal other than show itself: a
/// control character (C0, DEL, C1; blank, tab and line end among them are not
/// meant) or a mark of the Unicode bidirectional algorithm (UAX 9) or a line
/// separator.
pub fn is_hidden(c: char) -> bool {
    let blank = matches!(c, '\n' | '\t');
    (c.is_control() && !blank)
        || matches!(c, '\u{061c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// A text from outside in one line, with nothing hidden in it.
///
/// ```
/// use sootsayer::visible::visible;
/// assert_eq!(visible("a\u{1b}[2J b"), "a\\u001b[2J b");
/// assert_eq!(visible("runs\nwarning: forged"), "runs warning: forged");
/// ```
pub fn visible(text: &str) -> Cow<'_, str> {
    if !text.contains(|c| is_hidden(c) || matches!(c, '\n' | '\t')) {
        return Cow::Borrowed(text);
    }
    let text = text.trim_end_matches(['\n', '\r']).replace("\r\n", " ");
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\n' | '\t' => out.push(' '),
            c => push(&mut out, c),
        }
    }
    Cow::Owned(out)
}

/// Adds a character, or its code where it is a hidden one.
fn push(out: &mut String, c: char) {
    match is_hidden(c) {
        // writing into a text cannot fail
        true => _ = write!(out, "\\u{:04x}", u32::from(c)),
        false => out.push(c),
    }
}

/// A writer that lets text, line ends and styles (`ESC [ ... m`) through and shows
/// every other hidden character by its code.
#[derive(Debug)]
pub struct Visible<W: Write> {
    to: W,
    /// The beginning of a character or of a style, its end still to come.
    held: Vec<u8>,
}

impl<W: Write> Visible<W> {
    /// Writes through to `to`.
    pub fn new(to: W) -> Self {
        Visible {
            to,
            held: Vec::new(),
        }
    }
}

impl<W: Write> Write for Visible<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.held.extend_from_slice(bytes);
        let whole = whole(&self.held);
        let out = shown(&String::from_utf8_lossy(&self.held[..whole]));
        self.held.drain(..whole);
        self.to.write_all(out.as_bytes())?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        let rest = shown(&String::from_utf8_lossy(&std::mem::take(&mut self.held)));
        self.to.write_all(rest.as_bytes())?;
        self.to.flush()
    }
}

/// How many bytes can be judged: all but a character or a style that has not ended.
fn whole(bytes: &[u8]) -> usize {
    let end = match std::str::from_utf8(bytes) {
        Err(e) if e.error_len().is_none() => e.valid_up_to(),
        _ => bytes.len(),
    };
    let Some(escape) = bytes[..end].iter().rposition(|b| *b == 0x1b) else {
        return end;
    };
    let rest = &bytes[escape + 1..end];
    let open = rest.is_empty() || (rest[0] == b'[' && rest[1..].iter().all(is_parameter));
    match open && rest.len() <= LONGEST_STYLE {
        true => escape,
        false => end,
    }
}

fn is_parameter(byte: &u8) -> bool {
    byte.is_ascii_digit() || *byte == b';'
}

/// A text with styles as they are and other hidden characters by their code.
fn shown(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find(is_hidden) {
        out.push_str(&rest[..at]);
        rest = &rest[at..];
        let style = rest.strip_prefix("\x1b[").and_then(|it| {
            let end = it.bytes().position(|b| !is_parameter(&b))?;
            (it.as_bytes()[end] == b'm').then_some("\x1b[".len() + end + 1)
        });
        let length = style.unwrap_or_else(|| rest.chars().next().map_or(1, char::len_utf8));
        match style {
            Some(_) => out.push_str(&rest[..length]),
            None => rest[..length].chars().for_each(|c| push(&mut out, c)),
        }
        rest = &rest[length..];
    }
    out + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(pieces: &[&[u8]]) -> String {
        let mut to = Vec::new();
        let mut out = Visible::new(&mut to);
        for piece in pieces {
            out.write_all(piece).unwrap();
        }
        out.flush().unwrap();
        String::from_utf8(to).unwrap()
    }

    #[test]
    fn styles_and_letters_pass_and_everything_else_is_shown() {
        assert_eq!(
            written(&[b"\x1b[1;31mred\x1b[0m\n"]),
            "\x1b[1;31mred\x1b[0m\n"
        );
        assert_eq!(written(&["größer ≥ 3\n".as_bytes()]), "größer ≥ 3\n");
        // cursor, title, clipboard, device control, bell, back, return, delete
        for (bad, shown) in [
            ("\x1b[2J", "\\u001b[2J"),
            ("\x1b]0;x\x07", "\\u001b]0;x\\u0007"),
            ("\x1b]52;c;eA==\x1b\\", "\\u001b]52;c;eA==\\u001b\\"),
            ("\x1bPq\x1b\\", "\\u001bPq\\u001b\\"),
            ("a\x08b\rc\x7f", "a\\u0008b\\u000dc\\u007f"),
            ("\u{9b}31m\u{202e}x\u{2066}", "\\u009b31m\\u202ex\\u2066"),
            ("\x1b[1", "\\u001b[1"),
            ("\x1b", "\\u001b"),
        ] {
            assert_eq!(written(&[bad.as_bytes()]), shown);
            // and byte by byte
            let bytes: Vec<&[u8]> = bad.as_bytes().chunks(1).collect();
            assert_eq!(written(&bytes), shown);
        }
    }

    #[test]
    fn a_style_in_pieces_passes() {
        assert_eq!(written(&[b"\x1b", b"[1", b";3", b"1mx"]), "\x1b[1;31mx");
        let endless = format!("\x1b[{}", "1;".repeat(500));
        assert_eq!(written(&[endless.as_bytes()]).len(), endless.len() + 5);
    }
}
