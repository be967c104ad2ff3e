//! The text cut into words, quoted texts and marks.

use crate::network::exchange::fault::{Fault, Piece, fault};

/// What a piece of the text is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    Word,
    Quoted,
    Mark,
    End,
}

/// Pieces of a text one after the other, with one looked at ahead.
pub(super) struct Tokens<'t> {
    pub whole: &'t str,
    next: (Kind, Piece<'t>),
    /// Where the piece looked at ends.
    end: usize,
}

const MARKS: [char; 7] = ['{', '}', '[', ']', '(', ')', ';'];

impl<'t> Tokens<'t> {
    pub fn of(whole: &'t str) -> Result<Self, Fault> {
        let piece = Piece { text: "", at: 0 };
        let mut tokens = Tokens {
            whole,
            next: (Kind::End, piece),
            end: 0,
        };
        tokens.advance()?;
        Ok(tokens)
    }

    /// The piece that comes next.
    pub fn peek(&self) -> (Kind, Piece<'t>) {
        self.next
    }

    /// Takes the piece that comes next.
    pub fn take(&mut self) -> Result<(Kind, Piece<'t>), Fault> {
        let next = self.next;
        self.advance()?;
        Ok(next)
    }

    /// Takes a word or a quoted text.
    pub fn word(&mut self, what: &str) -> Result<Piece<'t>, Fault> {
        match self.next {
            (Kind::Word | Kind::Quoted, piece) => {
                self.advance()?;
                Ok(piece)
            }
            _ => Err(self.unexpected(what)),
        }
    }

    /// Takes a mark or a keyword.
    pub fn expect(&mut self, text: &str) -> Result<Piece<'t>, Fault> {
        match self.next {
            (Kind::Word | Kind::Mark, piece) if piece.text == text => {
                self.advance()?;
                Ok(piece)
            }
            _ => Err(self.unexpected(&format!("`{text}`"))),
        }
    }

    /// Takes a mark or a keyword if it comes next.
    pub fn accept(&mut self, text: &str) -> Result<bool, Fault> {
        match self.next {
            (Kind::Word | Kind::Mark, piece) if piece.text == text => self.advance().map(|()| true),
            _ => Ok(false),
        }
    }

    /// What comes next is not what belongs there.
    pub fn unexpected(&self, wanted: &str) -> Fault {
        let (kind, piece) = self.next;
        let what = match kind {
            Kind::End => format!("the file ends where {wanted} belongs"),
            _ => format!("`{}` where {wanted} belongs", piece.short()),
        };
        piece.fault(self.whole, what)
    }

    fn advance(&mut self) -> Result<(), Fault> {
        let at = self.skip(self.end)?;
        let rest = &self.whole[at..];
        let (kind, start, len, after) = match rest.chars().next() {
            None => (Kind::End, at, 0, 0),
            Some('"') => match rest[1..].find('"') {
                Some(len) => (Kind::Quoted, at + 1, len, 1),
                None => return Err(fault(self.whole, at, 1, "a quoted text that does not end")),
            },
            Some(c) if MARKS.contains(&c) => (Kind::Mark, at, 1, 0),
            Some(_) => {
                let ends =
                    |c: char| c.is_whitespace() || MARKS.contains(&c) || ignored(c) || c == '"';
                (Kind::Word, at, rest.find(ends).unwrap_or(rest.len()), 0)
            }
        };
        let text = &self.whole[start..start + len];
        self.next = (kind, Piece { text, at: start });
        self.end = start + len + after;
        Ok(())
    }

    /// The next place that is neither blank, comment nor ignored by the format.
    fn skip(&self, mut at: usize) -> Result<usize, Fault> {
        loop {
            let rest = &self.whole[at..];
            let solid = rest.trim_start_matches(|c: char| c.is_whitespace() || ignored(c));
            at += rest.len() - solid.len();
            if solid.starts_with("//") {
                at += solid.find('\n').unwrap_or(solid.len());
            } else if let Some(comment) = solid.strip_prefix("/*") {
                let Some(len) = comment.find("*/") else {
                    return Err(fault(self.whole, at, 2, "a comment that does not end"));
                };
                at += len + 4;
            } else {
                return Ok(at);
            }
        }
    }
}

/// Marks that the format ignores between words.
fn ignored(c: char) -> bool {
    c == ',' || c == '|'
}
