//! The chart as one HTML page, without scripts: every condition with its
//! drawing, looks, meaning and look-alikes; a job's own plugs before them.

use super::percent;
use super::plug_drawn::Drawn;
use super::plug_svg::svg;
use crate::disk::MARK;
use crate::engine::Place;
use crate::plug::{Chart, Known, Matched};
use crate::rules::Rules;
use std::collections::{BTreeMap, BTreeSet};

const STYLE: &str = "body{font:16px/1.45 system-ui,sans-serif;margin:1.5rem auto;max-width:76rem;padding:0 1rem;color:#1c1c1a;background:#fbfaf7}h1{font-size:1.6rem}h2{font-size:1.3rem;margin:1.6rem 0 .4rem}h3{font-size:1.1rem;margin:.5rem 0 .2rem}.chart{display:grid;grid-template-columns:repeat(auto-fill,minmax(17rem,1fr));gap:1rem}article{border:1px solid #c9c4b8;border-radius:.5rem;padding:.8rem;background:#fff;break-inside:avoid}svg{width:100%;max-height:15rem;background:#dfe3e6;border-radius:.4rem}.pair{display:grid;grid-template-columns:1fr 1fr;gap:.5rem}figure{margin:0}figcaption,.small{font-size:.85rem;color:#57534a}p{margin:.35rem 0}b{font-weight:600}@media(prefers-color-scheme:dark){body{color:#eceae4;background:#1b1b1a}article{background:#262624;border-color:#4b4942}svg{background:#c3c8cd}figcaption,.small{color:#b9b4a7}}@media print{body{background:#fff;color:#000}}";

/// The page; `name` is the job's engine or the kind of engine, and `plugs` are
/// those read so far.
pub fn page(rules: &Rules, name: &str, chart: &Chart, plugs: &BTreeMap<Place, Matched>) -> String {
    let mut s = format!(
        "<!DOCTYPE html><html lang=\"en\"><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width\">{MARK}<title>Spark plugs: {0}</title><style>{STYLE}</style><h1>Spark plugs: {0}</h1>",
        plain(name)
    );
    if !plugs.is_empty() {
        s += "<h2>This engine's plugs</h2><p>Left as it was seen - what was not said is drawn as on a sound plug; right what it matches best.</p><div class=\"chart\">";
        for (place, matched) in plugs {
            s += &own(*place, matched);
        }
        s += "</div>";
    }
    s += "<h2>The chart</h2><p>Drawn from the looks that each condition shows most. Judge by shape, texture and wetness as well as by colour, in daylight, after a run under load.</p><div class=\"chart\">";
    for known in std::iter::once(&chart.sound).chain(&chart.conditions) {
        s += &card(rules, chart, known);
    }
    s + "</div></html>\n"
}

/// A plug of the job as it was seen, beside the condition that it matches best.
fn own(place: Place, matched: &Matched) -> String {
    let chart = matched.chart;
    let (each, none) = matched.probabilities();
    let called = matched.called();
    let first = called
        .first()
        .map_or(&chart.sound, |c| &chart.conditions[*c]);
    let mut lines: Vec<String> = (called.iter())
        .map(|c| format!("{} {}", chart.conditions[*c].it.title, percent(each[*c])))
        .collect();
    if lines.is_empty() {
        lines.push(format!("{} {}", chart.sound.it.title, percent(none)));
    }
    let seen = Drawn::of_looks(chart, &matched.looks);
    let like = Drawn::of_condition(chart, first);
    format!(
        "<article><div class=\"pair\"><figure>{}<figcaption>As seen</figcaption></figure><figure>{}<figcaption>{}</figcaption></figure></div><h3>{}</h3><p><b>Seen:</b> {}</p><p><b>Matches:</b> {}</p><p>{}</p></article>",
        svg(&seen, &format!("own-{place}")),
        svg(&like, &format!("like-{place}")),
        plain(&first.it.title),
        plain(&place.after("Plug")),
        plain(&matched.looks.words(chart)),
        plain(&lines.join("; ")),
        plain(&first.it.means),
    )
}

fn card(rules: &Rules, chart: &Chart, known: &Known) -> String {
    let it = known.it;
    let mut s = format!(
        "<article>{}<h3>{}</h3><p>{}</p>",
        svg(&Drawn::of_condition(chart, known), &it.condition),
        plain(&it.title),
        plain(known.here.unwrap_or(&it.says))
    );
    s += &format!("<p><b>Points to:</b> {}</p>", plain(&it.means));
    if let Some(runs) = &it.runs {
        s += &format!(
            "<p><b>How hot the firing end ran:</b> {}</p>",
            plain(&super::plug::heat(runs))
        );
    }
    let hidden: Vec<&str> = (known.hides.iter())
        .map(|c| chart.conditions[*c].it.title.as_str())
        .collect();
    if !hidden.is_empty() {
        s += &format!(
            "<p><b>Hides:</b> {}</p>",
            plain(&hidden.join(", ").to_lowercase())
        );
    }
    for (other, how) in &it.like {
        let title = rules
            .conditions
            .get(other)
            .map_or(other.as_str(), |c| &c.title);
        s += &format!(
            "<p><b>Not {}?</b> {}</p>",
            plain(&title.to_lowercase()),
            plain(how)
        );
    }
    let heat = it.runs.iter().flat_map(|runs| &runs.basis.sources);
    let cited: BTreeSet<&String> = it.basis.sources.iter().chain(heat).collect();
    let sources: Vec<&str> = (cited.into_iter())
        .filter_map(|id| rules.sources.get(id))
        .map(|source| source.title.as_str())
        .collect();
    let basis = match sources.is_empty() {
        true => "the authors' judgement".to_string(),
        false => format!(
            "{}; the chances are the authors' judgement",
            sources.join("; ")
        ),
    };
    s + &format!("<p class=\"small\">After {}.</p></article>", plain(&basis))
}

/// Text made safe for HTML.
fn plain(text: &str) -> String {
    (text.replace('&', "&amp;").replace('<', "&lt;"))
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}
