//! Questions put to the person at the terminal, one line each.

use super::Ending;
use crate::problem::Problem;
use crate::words::nearest;
use std::io::{BufRead, Write};
use std::ops::RangeInclusive;

/// Asks questions and reads the answers.
pub struct Ask<'a> {
    input: &'a mut dyn BufRead,
    out: &'a mut dyn Write,
}

impl<'a> Ask<'a> {
    /// Asks on `out` and reads from `input`.
    pub fn new(input: &'a mut dyn BufRead, out: &'a mut dyn Write) -> Self {
        Ask { input, out }
    }

    /// A line of text; an empty one means `usual`, or asks again when there is none.
    ///
    /// # Errors
    /// The input ends, or the question cannot be written.
    pub fn text(&mut self, question: &str, usual: Option<&str>) -> Result<String, Ending> {
        loop {
            match usual {
                Some(usual) if !usual.is_empty() => write!(self.out, "{question} [{usual}] ")?,
                _ => write!(self.out, "{question} ")?,
            }
            self.out.flush()?;
            let mut line = String::new();
            if self.input.read_line(&mut line)? == 0 {
                writeln!(self.out)?;
                return Err(Problem::new(
                    "the answers ended before the last question; nothing was started",
                )
                .into());
            }
            match (line.trim(), usual) {
                ("", Some(usual)) => return Ok(usual.to_string()),
                ("", None) => {}
                (text, _) => return Ok(text.to_string()),
            }
        }
    }

    /// A whole number in a range.
    ///
    /// # Errors
    /// As [`Ask::text`].
    pub fn number(
        &mut self,
        question: &str,
        usual: Option<&str>,
        range: RangeInclusive<usize>,
    ) -> Result<usize, Ending> {
        loop {
            match self.text(question, usual)?.parse() {
                Ok(number) if range.contains(&number) => return Ok(number),
                _ => writeln!(
                    self.out,
                    "A number from {} to {}, please.",
                    range.start(),
                    range.end()
                )?,
            }
        }
    }

    /// One of several things, by number, id or part of the title.
    ///
    /// # Errors
    /// As [`Ask::text`].
    pub fn one_of(&mut self, question: &str, known: &[(&str, &str)]) -> Result<String, Ending> {
        self.list(known)?;
        loop {
            let answer = self.text(question, None)?;
            match pick(&answer, known) {
                Ok(id) => return Ok(id.to_string()),
                Err(why) => writeln!(self.out, "{why}")?,
            }
        }
    }

    /// Any number of things, in one line parted by commas or blanks; an empty line means none.
    ///
    /// # Errors
    /// As [`Ask::text`].
    pub fn several(
        &mut self,
        question: &str,
        known: &[(&str, &str)],
    ) -> Result<Vec<String>, Ending> {
        self.list(known)?;
        loop {
            let answer = self.text(&format!("{question} Numbers, or nothing:"), Some(""))?;
            let words = answer.split([',', ' ']).filter(|w| !w.is_empty());
            let picked: Result<Vec<String>, String> =
                words.map(|w| pick(w, known).map(String::from)).collect();
            match picked {
                Ok(ids) => return Ok(ids),
                Err(why) => writeln!(self.out, "{why}")?,
            }
        }
    }

    fn list(&mut self, known: &[(&str, &str)]) -> Result<(), Ending> {
        for (number, (_, title)) in (1..).zip(known) {
            writeln!(self.out, "{number:4}  {title}")?;
        }
        Ok(())
    }
}

/// The id meant by a number of the list, an id, or part of a title.
fn pick<'k>(answer: &str, known: &[(&'k str, &str)]) -> Result<&'k str, String> {
    if let Ok(number) = answer.parse::<usize>() {
        let at = number.checked_sub(1).and_then(|n| known.get(n));
        return at
            .map(|(id, _)| *id)
            .ok_or(format!("The list goes from 1 to {}.", known.len()));
    }
    let plain = answer.to_lowercase();
    if let Some((id, _)) = known.iter().find(|(id, _)| *id == plain) {
        return Ok(id);
    }
    let titled: Vec<&(&str, &str)> = known
        .iter()
        .filter(|(_, title)| title.to_lowercase().contains(&plain))
        .collect();
    match titled.as_slice() {
        [(id, _)] => Ok(id),
        [] => Err(match nearest(&plain, known.iter().map(|(id, _)| *id)) {
            Some(near) => format!("There is no `{answer}`; did you mean `{near}`?"),
            None => format!("There is no `{answer}`; give its number."),
        }),
        several => Err(format!(
            "`{answer}` fits {} of them; give its number.",
            several.len()
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const KNOWN: [(&str, &str); 3] = [
        ("car", "Car engine"),
        ("boat", "Boat engine"),
        ("saw", "Hand saw"),
    ];

    #[test]
    fn an_answer_may_be_a_number_an_id_or_part_of_a_title() {
        assert_eq!(pick("2", &KNOWN), Ok("boat"));
        assert_eq!(pick("SAW", &KNOWN), Ok("saw"));
        assert_eq!(pick("hand", &KNOWN), Ok("saw"));
        assert!(pick("engine", &KNOWN).unwrap_err().contains("fits 2"));
        assert!(pick("4", &KNOWN).unwrap_err().contains("1 to 3"));
        assert!(pick("0", &KNOWN).is_err());
        assert!(pick("boats", &KNOWN).unwrap_err().contains("`boat`"));
    }

    #[test]
    fn a_wrong_answer_is_asked_again_and_an_end_of_input_is_said() {
        let mut input = "x\n13\n4\n".as_bytes();
        let mut out = vec![];
        let mut ask = Ask::new(&mut input, &mut out);
        assert_eq!(ask.number("How many?", Some("6"), 1..=12).unwrap(), 4);
        assert!(ask.text("More?", None).is_err());
        let shown = String::from_utf8(out).unwrap();
        assert_eq!(shown.matches("A number from 1 to 12, please.").count(), 2);
    }
}
