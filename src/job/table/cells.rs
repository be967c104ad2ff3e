//! A CSV file as rows of cells, whatever wrote it, and faults that name their cell.
//!
//! What spreadsheets write is understood: a byte-order mark, semicolons or tabs,
//! decimal commas where the separator is another.

use crate::problem::{Problem, Problems, Spot};
use crate::words::count;

/// Most bytes of a table.
const LARGEST: usize = 2_000_000;
/// Most columns of a table: there are not so many readings.
const WIDEST: usize = 400;
/// Most faults that are told one by one.
const MOST: usize = 25;

/// A cell as a person finds it: row and column from 1, and the column's heading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Cell {
    pub line: usize,
    pub column: usize,
    pub head: String,
}

/// A table: its headings and the rows that are not empty.
pub(super) struct Cells {
    /// Row of the headings.
    pub line: usize,
    pub heads: Vec<String>,
    /// Each with its row in the file.
    pub rows: Vec<(usize, Vec<String>)>,
    separator: u8,
}

impl Cells {
    /// Reads a file; `None` when it is no table, which is then among the faults.
    pub fn read(bytes: &[u8], template: &str, faults: &mut Faults) -> Option<Cells> {
        if bytes.len() > LARGEST {
            faults.whole(
                "the table is larger than 2 MB",
                "one engine's readings are a few hundred bytes",
            );
            return None;
        }
        let text = match bytes {
            [0xFF, 0xFE, ..] | [0xFE, 0xFF, ..] => None,
            _ => std::str::from_utf8(bytes).ok(),
        };
        let Some(text) = text else {
            faults.whole("the table is not UTF-8", "save it as `CSV UTF-8`");
            return None;
        };
        let text = text.trim_start_matches('\u{feff}');
        let (hint, text) = hinted(text);
        let separator = hint.unwrap_or_else(|| separator(text));
        let mut rows = csv::ReaderBuilder::new()
            .delimiter(separator)
            .has_headers(false)
            .flexible(true)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let mut rows = rows.records().enumerate().filter_map(|(i, row)| match row {
            Ok(row) if row.iter().all(str::is_empty) => None,
            Ok(row) => {
                let line = row.position().map_or(i + 1, |p| p.line() as usize);
                let line = line + usize::from(hint.is_some());
                Some((line, row.iter().map(str::to_string).collect::<Vec<_>>()))
            }
            Err(_) => None,
        });
        let Some((line, heads)) = rows.next() else {
            faults.whole(
                "the table is empty",
                &format!("`sootsayer {template}` writes an empty one"),
            );
            return None;
        };
        if heads.len() > WIDEST {
            faults.whole(
                format!(
                    "row {line} has {} columns; at most {WIDEST} are read",
                    heads.len()
                ),
                &format!("`sootsayer {template}` writes the columns that there are"),
            );
            return None;
        }
        Some(Cells {
            line,
            heads,
            rows: rows.collect(),
            separator,
        })
    }

    /// A cell by its row in the file and its column from 1.
    pub fn at(&self, line: usize, column: usize) -> Cell {
        Cell {
            line,
            column,
            head: self.heads.get(column - 1).cloned().unwrap_or_default(),
        }
    }

    /// A cell's text, with a decimal comma made a point.
    pub fn pointed(&self, text: &str) -> Result<String, Problem> {
        match self.separator {
            b',' => Ok(text.to_string()),
            _ => pointed(text),
        }
    }
}

/// Faults of one table.
pub(super) struct Faults<'a> {
    name: &'a str,
    problems: Problems,
}

impl<'a> Faults<'a> {
    /// None yet; `name` is how the user would name the file.
    pub fn of(name: &'a str) -> Self {
        Faults {
            name,
            problems: vec![],
        }
    }

    fn spot(&self) -> Spot {
        Spot {
            file: self.name.into(),
            ..Spot::default()
        }
    }

    /// A fault of one cell.
    pub fn refuse(&mut self, cell: &Cell, problem: Problem) {
        let what = format!(
            "row {}, column {} (`{}`): {}",
            cell.line, cell.column, cell.head, problem.what
        );
        self.problems.push(Problem {
            what,
            at: Some(self.spot()),
            ..problem
        });
    }

    /// A fault of the table as a whole.
    pub fn whole(&mut self, what: impl Into<String>, hint: &str) {
        let problem = Problem::new(what).at(self.spot()).hint(hint);
        self.problems.push(problem);
    }

    /// What was read, if nothing was wrong.
    pub fn or<T>(mut self, read: T) -> Result<T, Problems> {
        if self.problems.is_empty() {
            return Ok(read);
        }
        let more = self.problems.len().saturating_sub(MOST);
        self.problems.truncate(MOST);
        if more > 0 {
            self.problems.push(Problem::new(format!(
                "and {} more in {}",
                count(more, "fault"),
                self.name
            )));
        }
        Err(self.problems)
    }
}

/// The line `sep=;` that a spreadsheet may put first, and the text after it.
fn hinted(text: &str) -> (Option<u8>, &str) {
    let first = text.lines().next().unwrap_or("");
    match first.trim_end().strip_prefix("sep=").map(str::as_bytes) {
        Some([separator @ (b';' | b',' | b'\t')]) => {
            let rest = text.get(first.len()..).unwrap_or("");
            let rest = rest
                .strip_prefix('\n')
                .or(rest.strip_prefix("\r\n"))
                .unwrap_or(rest);
            (Some(*separator), rest)
        }
        _ => (None, text),
    }
}

/// The separator that the heading uses most: semicolon, tab, comma.
fn separator(text: &str) -> u8 {
    let heading = text
        .lines()
        .find(|line| !line.trim().is_empty())
        .unwrap_or("");
    let most = [b',', b';', b'\t']
        .into_iter()
        .max_by_key(|s| heading.bytes().filter(|b| b == s).count());
    most.unwrap_or(b',')
}

/// A decimal comma made a point, where it cannot be anything else.
fn pointed(text: &str) -> Result<String, Problem> {
    let digits = |c: char| c.is_ascii_digit();
    match text.split_once(',') {
        Some((before, after))
            if before.ends_with(digits) && after.starts_with(digits) && !after.contains(',') =>
        {
            let decimals = after.chars().take_while(|c| digits(*c)).count();
            match decimals {
                3 => Err(Problem::new(format!("`{text}`: thousands or decimals?"))
                    .hint(format!("write `{before}.{after}` or `{before}{after}`"))),
                _ => Ok(format!("{before}.{after}")),
            }
        }
        // where commas are decimal, a point parts the thousands
        Some(_) => Ok(text.to_string()),
        None => match text.split_once('.') {
            Some((before, after))
                if before.ends_with(digits)
                    && before != "0"
                    && after.chars().take_while(|c| digits(*c)).count() == 3 =>
            {
                Err(Problem::new(format!("`{text}`: thousands or decimals?"))
                    .hint(format!("write `{before},{after}` or `{before}{after}`")))
            }
            _ => Ok(text.to_string()),
        },
    }
}
