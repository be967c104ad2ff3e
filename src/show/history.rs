//! What the closed jobs teach, as tables, JSON and a rule file.

use super::table::{figures, table, words};
use super::{FAINT, RISE, STRONG, percent, styled, wrapped};
use crate::history::Taught;
use crate::history::propose::Proposal;
use crate::history::score::Bin;
use crate::problem::Problem;
use crate::words::{count, three_figures};
use serde_json::{Value, json};

/// What there is to show.
#[derive(Debug, Clone, Copy)]
pub struct Shown<'a> {
    /// The folder.
    pub folder: &'a str,
    /// What the jobs teach.
    pub taught: &'a Taught,
    /// Jobs still open.
    pub open: usize,
    /// What could not be counted, and why.
    pub skipped: &'a [Problem],
    /// How many jobs the built-in rates weigh as.
    pub strength: f64,
    /// Rows of a table at most.
    pub most: usize,
}

/// A share with its standard error: `62 % ± 3`.
pub fn share(part: usize, of: usize) -> String {
    if of == 0 {
        return "-".into();
    }
    let p = part as f64 / of as f64;
    let error = (p * (1.0 - p) / of as f64).sqrt() * 100.0;
    format!("{} ± {error:.0}", percent(p))
}

/// What the table of reliability says.
pub fn verdict(taught: &Taught) -> String {
    let (statistic, most) = taught.misfit;
    match statistic <= most {
        true => format!(
            "The probabilities can be believed within what chance allows (misfit {statistic:.1}, at most {most:.1} by chance 95 times in 100)."
        ),
        false => format!(
            "The probabilities are off by more than chance (misfit {statistic:.1}, at most {most:.1} by chance 95 times in 100): see where what came lies beside what was said."
        ),
    }
}

/// The whole page.
pub fn page(shown: &Shown, width: usize) -> String {
    let t = shown.taught;
    let with_fault = t.jobs - t.no_fault;
    let mut parts = vec![styled(
        STRONG,
        format!(
            "{} in {}; {}{} still open",
            count(t.jobs, "closed job"),
            shown.folder,
            if t.no_fault > 0 {
                format!("{} with no fault found, ", t.no_fault)
            } else {
                String::new()
            },
            shown.open
        ),
    )];
    let b = &t.brier;
    let rows = vec![
        vec!["A true cause was first".into(), share(t.first, with_fault)],
        vec![
            "A true cause was among the first three".into(),
            share(t.first_three, with_fault),
        ],
        vec!["Came back".into(), share(t.came_back, t.jobs)],
        vec![
            "Brier score (0 is perfect)".into(),
            format!("{:.4}", b.score),
        ],
        vec![
            "  reliability (0 is perfect)".into(),
            format!("{:.5}", b.reliability),
        ],
        vec![
            "  resolution (more is better)".into(),
            format!("{:.4}", b.resolution),
        ],
        vec!["  uncertainty".into(), format!("{:.4}", b.uncertainty)],
        vec!["  within the bins".into(), format!("{:.5}", b.within)],
        vec![
            "Log score, bits a probability (0 is perfect)".into(),
            format!("{:.4}", t.log_score),
        ],
    ];
    parts.push(table(
        &[words("How right the ranking was"), figures("")],
        rows,
        width,
    ));
    parts.push(reliability(&t.bins, width) + "\n" + &wrapped(&verdict(t), width, 0));
    if !t.tests.is_empty() {
        parts.push(tests(shown, width));
    }
    if t.estimates.jobs > 0 {
        parts.push(wrapped(&estimates(t), width, 0));
    }
    parts.push(proposals(shown, width));
    for problem in shown.skipped {
        parts.push(styled(
            RISE,
            wrapped(&format!("Skipped: {}", one_line(problem)), width, 2),
        ));
    }
    parts.join("\n\n")
}

/// A problem in one line with its place.
pub fn one_line(problem: &Problem) -> String {
    match &problem.at {
        Some(at) => format!("{at}: {}", problem.what),
        None => problem.what.clone(),
    }
}

/// `1 - 3 %`.
pub fn band(bin: &Bin) -> String {
    format!(
        "{} - {} %",
        three_figures(bin.low * 100.0),
        three_figures(bin.high * 100.0)
    )
}

fn reliability(bins: &[Bin], width: usize) -> String {
    let columns = [
        words("Said"),
        figures("probabilities"),
        figures("mean"),
        figures("came true"),
        figures("± chance"),
        words("0 %        50 %      100 %"),
    ];
    let rows = bins.iter().map(|bin| {
        vec![
            band(bin),
            bin.count.to_string(),
            percent(bin.said),
            percent(bin.came),
            format!("{:.1}", bin.error * 200.0),
            plotted(bin),
        ]
    });
    table(&columns, rows.collect(), width)
}

/// A line from 0 to 100 %: `|` is what was said, `o` what came, `X` both.
fn plotted(bin: &Bin) -> String {
    const CELLS: usize = 25;
    let at = |p: f64| ((p * (CELLS - 1) as f64).round() as usize).min(CELLS - 1);
    let mut cells = vec!['·'; CELLS];
    cells[at(bin.said)] = '|';
    cells[at(bin.came)] = if at(bin.came) == at(bin.said) {
        'X'
    } else {
        'o'
    };
    cells.into_iter().collect::<String>().trim_end().to_string()
}

/// A test done in fewer jobs is not judged.
const FEW: usize = 5;

/// A test told something on average when its mean lies two errors above nothing.
pub fn earned(jobs: usize, bits: f64, error: f64) -> &'static str {
    match bits {
        _ if jobs < FEW => "too few jobs",
        b if b > 2.0 * error && b > 0.0 => "yes",
        b if b < -2.0 * error => "led away",
        _ => "not shown",
    }
}

fn tests(shown: &Shown, width: usize) -> String {
    let columns = [
        words("Tests that earned their time"),
        figures("jobs"),
        figures("bits"),
        figures("minutes"),
        figures("bits a minute"),
        words("earned"),
    ];
    let rows = shown.taught.tests.iter().take(shown.most).map(|e| {
        vec![
            e.title.clone(),
            e.jobs.to_string(),
            format!("{:.2} ± {:.2}", e.bits, e.error),
            three_figures(e.minutes),
            three_figures(e.rate()),
            earned(e.jobs, e.bits, e.error).to_string(),
        ]
    });
    table(&columns, rows.collect(), width)
        + "\n"
        + &styled(
            FAINT,
            wrapped(
                "Bits: by how much the test made what it turned out to be less of a surprise, in the order recorded. Minutes are the rules'.",
                width,
                0,
            ),
        )
}

/// The sentence about estimates.
pub fn estimates(t: &Taught) -> String {
    let e = &t.estimates;
    format!(
        "Estimates: {} priced. {} inside the range of the estimate (8 in 10 should be), {} below, {} above; on average {} times the middle.",
        count(e.jobs, "job"),
        share(e.inside, e.jobs),
        e.below,
        e.above,
        three_figures(e.ratio)
    )
}

/// Where the factor lies 90 times in 100; too few to say below one in all.
pub fn spread(p: &Proposal) -> String {
    match p.range[0] > 0.1 {
        true => format!("{:.2}-{:.2}", p.range[0], p.range[1]),
        false => "-".into(),
    }
}

/// What is said of the proposals.
pub fn about(shown: &Shown) -> String {
    format!(
        "The built-in rate weighs as {} jobs. Clear: so many or so few would come less than once in forty if it held; among many causes a few look clear by chance. What roots bring about stays as it is.",
        three_figures(shown.strength)
    )
}

fn proposals(shown: &Shown, width: usize) -> String {
    let columns = [
        words("Base rates, before and after"),
        figures("jobs"),
        figures("expected"),
        figures("found"),
        figures("times"),
        figures("5-95 %"),
        figures("per 1000"),
        words("clear"),
    ];
    let rows = shown.taught.proposals.iter().take(shown.most).map(|p| {
        vec![
            p.title.clone(),
            p.jobs.to_string(),
            format!("{:.1}", p.expected),
            three_figures(p.found),
            format!("{:.2}", p.times),
            spread(p),
            format!("{} -> {}", three_figures(p.before), three_figures(p.after)),
            if p.is_clear() { "yes" } else { "no" }.to_string(),
        ]
    });
    table(&columns, rows.collect(), width) + "\n" + &styled(FAINT, wrapped(&about(shown), width, 0))
}

/// The clear proposals as a rule file to lay over the built-in ones; none where there is none.
pub fn overlay(shown: &Shown, today: &str) -> Option<String> {
    let clear: Vec<&Proposal> = shown
        .taught
        .proposals
        .iter()
        .filter(|p| p.is_clear())
        .collect();
    if clear.is_empty() {
        return None;
    }
    let day = today.get(..10).unwrap_or(today);
    let mut text = format!(
        "# Base rates from {} of this shop, proposed on {day}. The built-in rates weigh as {} jobs.\n# Delete this file to undo it. Before proposing anew, delete it: its jobs would count twice.\ncauses:\n",
        count(shown.taught.jobs, "closed job"),
        three_figures(shown.strength)
    );
    for p in clear {
        text += &format!(
            "  - cause: {}\n    base_rate: {{per_1000: {}, basis: judgement, note: 'Was {}. Found {} where {:.1} were expected in {} of this shop.'}}\n",
            p.cause,
            p.after,
            three_figures(p.before),
            three_figures(p.found),
            p.expected,
            count(p.jobs, "job")
        );
    }
    Some(text)
}

/// `history --json`.
pub fn json(shown: &Shown) -> Value {
    let t = shown.taught;
    json!({
        "folder": shown.folder,
        "jobs": t.jobs,
        "open": shown.open,
        "no_fault": t.no_fault,
        "first": t.first,
        "first_three": t.first_three,
        "came_back": t.came_back,
        "brier": {"score": t.brier.score, "reliability": t.brier.reliability, "resolution": t.brier.resolution,
                  "uncertainty": t.brier.uncertainty, "within": t.brier.within},
        "log_score": t.log_score,
        "misfit": {"statistic": t.misfit.0, "at_most": t.misfit.1},
        "reliability": t.bins.iter().map(|b| json!({
            "low": b.low, "high": b.high, "count": b.count, "said": b.said, "came": b.came, "error": b.error,
        })).collect::<Vec<_>>(),
        "tests": t.tests.iter().map(|e| json!({
            "test": e.test, "title": e.title, "jobs": e.jobs, "bits": e.bits, "error": e.error, "minutes": e.minutes,
        })).collect::<Vec<_>>(),
        "estimates": {"jobs": t.estimates.jobs, "below": t.estimates.below, "inside": t.estimates.inside,
                      "above": t.estimates.above, "ratio": t.estimates.ratio},
        "strength": shown.strength,
        "proposals": t.proposals.iter().map(|p| json!({
            "cause": p.cause, "title": p.title, "jobs": p.jobs, "expected": p.expected, "found": p.found,
            "times": p.times, "range": p.range, "before": p.before, "after": p.after, "clear": p.is_clear(),
        })).collect::<Vec<_>>(),
        "skipped": shown.skipped.iter().map(one_line).collect::<Vec<_>>(),
    })
}
