//! Aligned tables: a heading, a thin rule, no vertical lines.

use tabled::builder::Builder;
use tabled::settings::object::{Columns, Rows};
use tabled::settings::style::{HorizontalLine, Style};
use tabled::settings::{Alignment, Padding, Width};

/// A column: its heading and whether its cells stand to the right.
#[derive(Debug, Clone, Copy)]
pub struct Column {
    /// Heading.
    pub head: &'static str,
    /// Numbers stand to the right.
    pub right: bool,
}

/// A column of words.
pub const fn words(head: &'static str) -> Column {
    Column { head, right: false }
}

/// A column of figures.
pub const fn figures(head: &'static str) -> Column {
    Column { head, right: true }
}

/// Lays rows out under headings, no wider than `width` columns.
///
/// ```
/// use sootsayer::show::table::{figures, table, words};
/// let text = table(&[words("Part"), figures("mm")], vec![vec!["ring".into(), "2.5".into()]], 80);
/// assert_eq!(text, "Part  mm\n─────────\nring  2.5");
/// ```
pub fn table(columns: &[Column], rows: Vec<Vec<String>>, width: usize) -> String {
    let mut builder = Builder::default();
    builder.push_record(columns.iter().map(|c| c.head.to_string()));
    for row in rows {
        builder.push_record(row);
    }
    let mut table = builder.build();
    let rule = HorizontalLine::new('─');
    table
        .with(Style::empty().horizontals([(1, rule)]))
        .with(Padding::new(0, 2, 0, 0))
        .with(Width::wrap(width.max(20)).keep_words(true));
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
