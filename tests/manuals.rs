//! The rules held to the troubleshooting tables of published manuals
//! (tests/manuals/, each with its source): for every complaint and every cause
//! that a manual lists under it, the rules have a way from the cause to the
//! finding on an engine of that kind, directly or through a fault that the
//! cause brings about. Where we part from a manual the row says why, and the
//! rules must indeed have no such way.
//!
//! `cargo test --test manuals -- --nocapture` prints what stands.

use serde::Deserialize;
use sootsayer::job::file::EngineFile;
use sootsayer::job::layout;
use sootsayer::rules::file::Dimensions;
use sootsayer::rules::{Rules, load};
use sootsayer::unroll::Tailored;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// Fewer pairs of complaint and cause than this is no check.
const LEAST_PAIRS: usize = 300;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Manuals {
    tables: Vec<Table>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    source: String,
    family: String,
    rows: Vec<Row>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    says: String,
    shows: String,
    /// Another family than the table's.
    on: Option<String>,
    causes: Vec<String>,
    #[serde(default)]
    differs: Vec<Differs>,
    /// Lines of the manual that are no fault of the engine, and why.
    #[serde(default)]
    aside: BTreeMap<String, String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Differs {
    cause: String,
    why: String,
}

fn tables() -> Vec<Table> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/manuals");
    let mut paths: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.sort();
    let read = |path: &Path| {
        let text = fs::read_to_string(path).unwrap();
        let manuals: Manuals = serde_yaml::from_str(&text)
            .unwrap_or_else(|problem| panic!("{}: {problem}", path.display()));
        manuals.tables
    };
    paths.iter().flat_map(|path| read(path)).collect()
}

/// The kinds of causes and findings of an engine of a family.
fn kinds(rules: &Rules, family: &str) -> Tailored {
    let file = EngineFile {
        name: family.into(),
        family: family.into(),
        with: vec![],
        without: vec![],
        cylinders: rules.families[family].cylinders,
        banks: String::new(),
        dimensions: Dimensions::default(),
    };
    let engine = layout::engine(rules, &file).unwrap_or_else(|p| panic!("{family}: {p:?}"));
    Tailored::of(rules, &engine, &BTreeSet::new())
}

/// How often a cause alone shows a finding, the faults that it brings about
/// included; or what is unknown on this engine.
fn strength(kinds: &Tailored, cause: &str, finding: &str) -> Result<f64, String> {
    let position = kinds.causes.iter().position(|kind| kind.id == cause);
    let from = position.ok_or(format!("no cause {cause} on this engine"))?;
    let shown = kinds.findings.iter().find(|kind| kind.id == finding);
    let shown = shown.ok_or(format!("no finding {finding} on this engine"))?;
    // causes stand before what they bring about: from the last to the first
    let mut shows = vec![0.0; kinds.causes.len()];
    for at in (from..kinds.causes.len()).rev() {
        let mut hidden = 1.0;
        for (_, spread) in shown.links.iter().filter(|(cause, _)| *cause == at) {
            hidden *= 1.0 - spread.chance.p;
        }
        for (effect, kind) in kinds.causes.iter().enumerate() {
            for (_, brings) in kind.roots.iter().filter(|(root, _)| *root == at) {
                hidden *= 1.0 - brings.p * shows[effect];
            }
        }
        shows[at] = 1.0 - hidden;
    }
    Ok(shows[from])
}

#[test]
fn what_a_manual_lists_under_a_complaint_can_show_it() {
    let (rules, _) = load(None);
    let mut families = BTreeMap::new();
    let mut wrong = Vec::new();
    let (mut pairs, mut parted, mut sources) = (0, 0, BTreeSet::new());
    for table in tables() {
        sources.insert(table.source.clone());
        for row in &table.rows {
            let family = row.on.as_ref().unwrap_or(&table.family);
            let kinds = (families.entry(family.clone())).or_insert_with(|| kinds(&rules, family));
            let place = format!("{}, {family}: {}", table.source, row.says);
            for cause in &row.causes {
                pairs += 1;
                match strength(kinds, cause, &row.shows) {
                    Ok(p) if p > 0.0 => {}
                    Ok(_) => wrong.push(format!("{place}: {cause} never shows {}", row.shows)),
                    Err(unknown) => wrong.push(format!("{place}: {unknown}")),
                }
            }
            for differs in &row.differs {
                parted += 1;
                assert!(differs.why.len() > 20, "{place}: say why");
                match strength(kinds, &differs.cause, &row.shows) {
                    Ok(0.0) => {}
                    Ok(_) => wrong.push(format!("{place}: {} does show it", differs.cause)),
                    Err(unknown) => wrong.push(format!("{place}: {unknown}")),
                }
            }
            assert!(row.aside.values().all(|why| why.len() > 10), "{place}");
        }
    }
    println!(
        "{pairs} pairs of complaint and cause from {} manuals: {} stand, {} do not; {parted} differ on purpose",
        sources.len(),
        pairs - wrong.len(),
        wrong.len(),
    );
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(pairs >= LEAST_PAIRS, "{pairs}");
}

/// A manual with a table here is cited for what the table says and for nothing else.
#[test]
fn a_manual_is_cited_for_what_it_lists() {
    let (rules, _) = load(None);
    let mut listed: BTreeMap<String, BTreeSet<(String, String)>> = BTreeMap::new();
    for table in tables() {
        assert!(
            rules.sources.contains_key(&table.source),
            "{}",
            table.source
        );
        let pairs = listed.entry(table.source).or_default();
        for row in table.rows {
            pairs.extend(row.causes.into_iter().map(|c| (c, row.shows.clone())));
        }
    }
    let mut wrong = Vec::new();
    for (id, cause) in &rules.causes {
        for (finding, links) in &cause.shows {
            for source in links.all().iter().flat_map(|link| &link.basis.sources) {
                let Some(pairs) = listed.get(source) else {
                    continue;
                };
                if !pairs.contains(&(id.clone(), finding.clone())) {
                    wrong.push(format!(
                        "{id} shows {finding} cites {source}: no row of tests/manuals/ says so"
                    ));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
