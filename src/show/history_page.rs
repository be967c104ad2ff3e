//! What the closed jobs teach, as an HTML page with the plot of reliability.

use super::history::{Shown, about, band, earned, estimates, one_line, share, spread, verdict};
use super::percent;
use super::report_style::STYLE;
use crate::history::score::Bin;
use crate::words::{count, three_figures};
use maud::{DOCTYPE, Markup, PreEscaped, html};

const OWN: &str = "
.plot{max-width:24rem}.plot text{font:9px system-ui,sans-serif;fill:var(--dim)}.plot .axis{stroke:var(--dim);stroke-width:.8}
.plot .even{stroke:var(--dim);stroke-dasharray:3 3;stroke-width:.8}.plot .err{stroke:var(--bar);stroke-width:1.4}.plot circle{fill:var(--bar)}
";

/// The page.
pub fn document(shown: &Shown) -> String {
    let t = shown.taught;
    let title = format!("Lessons of {}", count(t.jobs, "closed job"));
    let with_fault = t.jobs - t.no_fault;
    let b = &t.brier;
    let row = |name: &str, value: String| html! { tr { th scope="row" { (name) } td class="n" { (value) } } };
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) }
                style { (PreEscaped(STYLE)) (PreEscaped(OWN)) }
            }
            body {
                header { h1 { (title) } p class="dim" { (shown.folder) ". Still open: " (shown.open) ". No fault found: " (t.no_fault) "." } }
                main {
                    h2 { "How right the ranking was" }
                    div class="wide" { table { tbody {
                        (row("A true cause was first", share(t.first, with_fault)))
                        (row("A true cause was among the first three", share(t.first_three, with_fault)))
                        (row("Came back", share(t.came_back, t.jobs)))
                        (row("Brier score (0 is perfect)", format!("{:.4}", b.score)))
                        (row("of which reliability (0 is perfect)", format!("{:.5}", b.reliability)))
                        (row("less resolution (more is better)", format!("{:.4}", b.resolution)))
                        (row("and uncertainty", format!("{:.4}", b.uncertainty)))
                        (row("and what lies within the bins", format!("{:.5}", b.within)))
                        (row("Log score, bits a probability (0 is perfect)", format!("{:.4}", t.log_score)))
                    } } }
                    h2 { "Whether the probabilities can be believed" }
                    p { (verdict(t)) }
                    (plot(&t.bins))
                    div class="wide" { table {
                        thead { tr { th scope="col" { "Said" } th scope="col" class="n" { "Probabilities" } th scope="col" class="n" { "Mean" } th scope="col" class="n" { "Came true" } th scope="col" class="n" { "± chance, %" } } }
                        tbody { @for bin in &t.bins { tr {
                            th scope="row" { (band(bin)) } td class="n" { (bin.count) } td class="n" { (percent(bin.said)) }
                            td class="n" { (percent(bin.came)) } td class="n" { (format!("{:.1}", bin.error * 200.0)) }
                        } } }
                    } }
                    @if !t.tests.is_empty() { (tests(shown)) }
                    @if t.estimates.jobs > 0 { h2 { "Estimates against outcome" } p { (estimates(t)) } }
                    (proposals(shown))
                    @if !shown.skipped.is_empty() { h2 { "Skipped" } ul { @for problem in shown.skipped { li { (one_line(problem)) } } } }
                }
            }
        }
    };
    page.into_string()
}

/// What came over what was said, with two standard errors of chance about what was said.
fn plot(bins: &[Bin]) -> Markup {
    let x = |p: f64| 30.0 + 160.0 * p;
    let y = |p: f64| 170.0 - 160.0 * p;
    let one = |v: f64| format!("{v:.1}");
    html! {
        svg class="plot" viewBox="0 0 212 195" role="img" aria-label="Plot of reliability: the share that came true over the probability that was said; the numbers stand in the table" {
            line class="axis" x1="30" y1="170" x2="190" y2="170" {}
            line class="axis" x1="30" y1="170" x2="30" y2="10" {}
            line class="even" x1="30" y1="170" x2="190" y2="10" {}
            @for tick in [0.0, 0.5, 1.0] {
                text x=(one(x(tick))) y="182" text-anchor="middle" { (format!("{:.0} %", tick * 100.0)) }
                text x="26" y=(one(y(tick) + 3.0)) text-anchor="end" { (format!("{:.0}", tick * 100.0)) }
            }
            text x="110" y="193" text-anchor="middle" { "said" }
            text x="34" y="16" { "came true" }
            @for bin in bins {
                @let low = (bin.said - 2.0 * bin.error).max(0.0);
                @let high = (bin.said + 2.0 * bin.error).min(1.0);
                line class="err" x1=(one(x(bin.said))) x2=(one(x(bin.said))) y1=(one(y(low))) y2=(one(y(high))) {}
                circle cx=(one(x(bin.said))) cy=(one(y(bin.came))) r="3" {}
            }
        }
        p class="dim" { "Dots: what came. Bars: where 95 dots in 100 lie if the probabilities are right." }
    }
}

fn tests(shown: &Shown) -> Markup {
    html! {
        h2 { "Tests that earned their time, and tests that did not" }
        div class="wide" { table {
            thead { tr { th scope="col" { "Test" } th scope="col" class="n" { "Jobs" } th scope="col" class="n" { "Bits" } th scope="col" class="n" { "Minutes" } th scope="col" { "Earned" } } }
            tbody { @for e in &shown.taught.tests { tr {
                th scope="row" { (e.title) } td class="n" { (e.jobs) } td class="n" { (format!("{:.2} ± {:.2}", e.bits, e.error)) }
                td class="n" { (three_figures(e.minutes)) } td { (earned(e.jobs, e.bits, e.error)) }
            } } }
        } }
        p class="dim" { "Bits: by how much the test made what it turned out to be less of a surprise, in the order recorded; below 0 it led away." }
    }
}

fn proposals(shown: &Shown) -> Markup {
    html! {
        h2 { "Base rates, before and after" }
        p { (about(shown)) }
        div class="wide" { table {
            thead { tr { th scope="col" { "Cause" } th scope="col" class="n" { "Jobs" } th scope="col" class="n" { "Expected" } th scope="col" class="n" { "Found" } th scope="col" class="n" { "Times" } th scope="col" class="n" { "Per 1000" } th scope="col" { "Clear" } } }
            tbody { @for p in shown.taught.proposals.iter().take(shown.most) { tr {
                th scope="row" { (p.title) } td class="n" { (p.jobs) } td class="n" { (format!("{:.1}", p.expected)) } td class="n" { (three_figures(p.found)) }
                td class="n" { (format!("{:.2} ({})", p.times, spread(p))) }
                td class="n" { (three_figures(p.before)) " -> " (three_figures(p.after)) } td { (if p.is_clear() { "yes" } else { "no" }) }
            } } }
        } }
    }
}
