//! The only place that knows layout, colour and JSON.
//!
//! Functions here take plain results and return text with ANSI styles; whoever
//! prints it goes through `anstream`, which drops the styles when piped or when
//! `NO_COLOR` is set. Words come first, colour is never the only sign.

pub mod bench;
pub mod bench_page;
pub mod closed;
pub mod estimate;
pub mod estimate_csv;
mod estimate_full;
pub mod estimate_json;
pub mod explain;
pub mod figures;
pub mod gauge_sheet;
pub mod history;
pub mod history_page;
pub mod json;
pub mod moved;
pub mod network_file;
pub mod next;
pub mod plug;
pub mod plug_cells;
mod plug_deposits;
pub mod plug_drawn;
pub mod plug_page;
pub mod plug_svg;
mod plug_whole;
pub mod rank;
pub mod record;
pub mod report;
mod report_bench;
mod report_choices;
mod report_sheet;
mod report_style;
mod rule_cause;
pub mod rule_check;
pub mod rule_dot;
mod rule_finding;
pub mod rule_json;
pub mod rule_list;
mod rule_other;
pub mod rule_page;
mod rule_work;
pub mod schema;
pub mod sheet;
pub mod table;
pub mod teardown;
pub mod worth;

use anstyle::{AnsiColor, Style};

/// Headings and what matters most.
pub const STRONG: Style = Style::new().bold();
/// Asides.
pub const FAINT: Style = Style::new().dimmed();
/// Speaks for a cause, rose, wants attention.
pub const RISE: Style = AnsiColor::Yellow.on_default();
/// Speaks against, fell, sound.
pub const FALL: Style = AnsiColor::Cyan.on_default();
/// Danger.
pub const ALARM: Style = AnsiColor::Red.on_default().bold();

/// A text in a style.
///
/// ```
/// use sootsayer::show::{STRONG, styled};
/// assert_eq!(styled(STRONG, "x"), "\u{1b}[1mx\u{1b}[0m");
/// ```
pub fn styled(style: Style, text: impl std::fmt::Display) -> String {
    format!("{style}{text}{style:#}")
}

/// A probability as a percentage, at most three significant figures, never 0 or 100 unless exact.
///
/// ```
/// use sootsayer::show::percent;
/// assert_eq!(percent(0.4271), "43 %");
/// assert_eq!(percent(0.0271), "2.7 %");
/// assert_eq!(percent(0.00004), "<0.1 %");
/// assert_eq!(percent(0.9996), ">99.9 %");
/// ```
pub fn percent(p: f64) -> String {
    let hundred = p * 100.0;
    match hundred {
        h if h <= 0.0 => "0 %".into(),
        h if h >= 100.0 => "100 %".into(),
        h if h < 0.1 => "<0.1 %".into(),
        h if h > 99.9 => ">99.9 %".into(),
        h if h < 9.95 => format!("{h:.1} %"),
        h if h > 99.0 => format!("{h:.1} %"),
        h => format!("{h:.0} %"),
    }
}

/// A share as a bar of `width` cells, in eighths of a cell.
///
/// ```
/// assert_eq!(sootsayer::show::bar(0.5, 4), "██░░");
/// ```
pub fn bar(share: f64, width: usize) -> String {
    let eighths = (share.clamp(0.0, 1.0) * 8.0 * width as f64).round() as usize;
    let part = ["", "▏", "▎", "▍", "▌", "▋", "▊", "▉"][eighths % 8];
    let filled = eighths / 8;
    let rest = width - filled - usize::from(!part.is_empty());
    format!("{}{part}{}", "█".repeat(filled), "░".repeat(rest))
}

/// Words for a probability, after S. Kent, Words of Estimative Probability (1964).
///
/// ```
/// assert_eq!(sootsayer::show::likelihood(0.72), "probable");
/// ```
pub fn likelihood(p: f64) -> &'static str {
    match p {
        p if p >= 0.87 => "almost certain",
        p if p >= 0.63 => "probable",
        p if p >= 0.40 => "about even",
        p if p >= 0.20 => "probably not",
        p if p >= 0.02 => "unlikely",
        _ => "almost certainly not",
    }
}

/// Text broken into lines of at most `width` columns, later lines indented.
///
/// ```
/// assert_eq!(sootsayer::show::wrapped("one two three", 8, 2), "one two\n  three");
/// ```
pub fn wrapped(text: &str, width: usize, indent: usize) -> String {
    let margin = " ".repeat(indent);
    textwrap::fill(
        text,
        textwrap::Options::new(width).subsequent_indent(&margin),
    )
}

/// Whether the terminal says that it shows every colour.
pub fn true_colour() -> bool {
    let says = std::env::var("COLORTERM").unwrap_or_default();
    matches!(says.as_str(), "truecolor" | "24bit")
}

/// Columns of the terminal, 60 to 120; 80 when there is none.
pub fn width() -> usize {
    textwrap::termwidth().clamp(60, 120)
}
