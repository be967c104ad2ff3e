//! Aligned tables: a heading, a thin rule, no vertical lines.

use tabled::builder::Builder;
use tabled::settings::object::{Columns, Rows};
use tabled::settings::style::{HorizontalLine, Style};
use tabled::settings::{Alignment, Padding};
use textwrap::core::display_width;
use textwrap::{Options, WordSplitter, WrapAlgorithm};

/// Columns between two cells.
const GAP: usize = 2;

/// No column is made narrower than this.
const NARROWEST: usize = 8;

/// A column: its heading and whether its cells stand to the right.
#[derive(Debug, Clone, Copy)]
pub struct Column<'h> {
    /// Heading.
    pub head: &'h str,
    /// Numbers stand to the right.
    pub right: bool,
}

/// A column of words.
pub const fn words(head: &str) -> Column<'_> {
    Column { head, right: false }
}

/// A column of figures.
pub const fn figures(head: &str) -> Column<'_> {
    Column { head, right: true }
}

/// Lays rows out under headings, no wider than `width` columns.
///
/// ```
/// use sootsayer::show::table::{figures, table, words};
/// let text = table(&[words("Part"), figures("mm")], vec![vec!["ring".into(), "2.5".into()]], 80);
/// assert_eq!(text, "Part  mm\n─────────\nring  2.5");
///
/// let text = table(&[words("Part"), figures("mm")], vec![vec!["a ring for the piston".into(), "2.5".into()]], 20);
/// assert_eq!(text, "Part            mm\n───────────────────\na ring for the  2.5\npiston");
/// ```
pub fn table(columns: &[Column], mut rows: Vec<Vec<String>>, width: usize) -> String {
    rows.insert(0, columns.iter().map(|c| c.head.to_string()).collect());
    fit(&mut rows, width.max(20));
    let mut builder = Builder::default();
    for row in rows {
        builder.push_record(row);
    }
    let mut table = builder.build();
    let rule = HorizontalLine::new('─');
    table
        .with(Style::empty().horizontals([(1, rule)]))
        .with(Padding::new(0, GAP, 0, 0));
    table.modify(Columns::last(), Padding::zero());
    for (i, column) in columns.iter().enumerate() {
        if column.right {
            table.modify(Columns::one(i), Alignment::right());
        }
    }
    table.modify(Rows::first(), Alignment::left());
    table
        .to_string()
        .lines()
        .map(str::trim_end)
        .collect::<Vec<_>>()
        .join("\n")
}

/// Breaks the cells of the widest columns into lines until the table fits.
fn fit(rows: &mut [Vec<String>], width: usize) {
    let columns = rows.first().map_or(0, Vec::len);
    let mut widths: Vec<usize> = (0..columns)
        .map(|i| {
            let cells = rows.iter().filter_map(|row| row.get(i));
            let lines = cells.flat_map(|cell| cell.lines());
            lines.map(display_width).max().unwrap_or(0)
        })
        .collect();
    let all =
        |widths: &[usize]| widths.iter().sum::<usize>() + GAP * widths.len().saturating_sub(1);
    let mut narrowed = vec![false; widths.len()];
    while all(&widths) > width {
        let widest = (0..widths.len()).rev().max_by_key(|&i| widths[i]);
        let Some(i) = widest.filter(|&i| widths[i] > NARROWEST) else {
            break;
        };
        widths[i] -= 1;
        narrowed[i] = true;
    }
    for row in rows {
        for (i, cell) in row.iter_mut().enumerate() {
            if narrowed.get(i) == Some(&true) {
                let options = Options::new(widths[i])
                    .wrap_algorithm(WrapAlgorithm::FirstFit)
                    .word_splitter(WordSplitter::NoHyphenation);
                *cell = textwrap::fill(cell, options);
            }
        }
    }
}
