//! Taking a test: its sheet, then its readings one by one.

use super::bench::Bench;
use super::input::{Typed, Wanted};
use super::questions::{self, Question, Reply};
use crate::answer::{Answer, Ending};
use crate::diagnose::next::TestOption;
use crate::engine::Place;
use crate::job::file::Act;
use crate::problem::Problem;
use crate::show::{self, FAINT, STRONG, styled};
use crate::words::nearest;

/// Takes the test that is offered: what it would newly tell is asked for.
pub fn offered(bench: &mut Bench, option: &TestOption) -> Answer {
    take(bench, &option.test, Some(&option.yields))
}

/// Takes a test by its id, `leak-down-test` or `leak-down-test@3`; everything
/// that it yields is asked for.
pub fn by_name(bench: &mut Bench, named: &str) -> Answer {
    let (id, at) = match named.split_once('@') {
        Some((id, at)) => (id, Some(at.parse::<Place>().map_err(Problem::new)?)),
        None => (named, None),
    };
    let rules = &bench.session.rules;
    let Some(test) = rules.tests.get(id) else {
        let problem = Problem::new(format!("no test is called `{id}`"));
        let near = nearest(id, rules.tests.keys().map(String::as_str));
        return Err(problem
            .hint(match near {
                Some(near) => format!("did you mean `{near}`?"),
                None => "`next` names the tests worth doing".into(),
            })
            .into());
    };
    let traits = &bench.session.engine.traits;
    if !rules.applies(traits, &test.on, &test.not_on) {
        return Err(Problem::new(format!("`{id}` is not a test of this engine")).into());
    }
    let wanted = at.map(|at| {
        let findings = test.yields.iter().filter_map(|id| rules.findings.get(id));
        let places = findings.flat_map(|f| {
            let places = bench.session.engine.places(f.scope).into_iter();
            places.map(|p| (f.finding.clone(), p))
        });
        places.filter(|(_, p)| p.touches(at)).collect::<Vec<_>>()
    });
    take(bench, id, wanted.as_deref())
}

fn take(bench: &mut Bench, id: &str, wanted: Option<&[(String, Place)]>) -> Answer {
    let session = &bench.session;
    let Some(test) = session.rules.tests.get(id).map(|t| t.it.clone()) else {
        return Ok(());
    };
    let in_place = &session.store.job.set_up;
    let sheet = show::sheet::page(&test, &session.rules, in_place, show::width());
    writeln!(bench.out, "{sheet}")?;
    let usual = ["skip", "stop"].map(String::from).to_vec();
    match bench.input.line(
        "Enter when ready, `skip` for another test, `stop` to leave it> ",
        Wanted::Answer { usual },
    )? {
        Typed::Line(line) if line.trim().is_empty() => {}
        Typed::Line(line) if line.trim() == "skip" => return bench.decline(),
        _ => return Ok(()),
    }
    let missing: Vec<String> = (test.set_up.iter())
        .filter(|id| !bench.session.store.job.set_up.contains(*id))
        .cloned()
        .collect();
    if !missing.is_empty() {
        bench.session.stand(&missing)?;
    }
    let questions = questions::of_test(&bench.session.rules, &bench.session.engine, &test, wanted);
    if ask(bench, &questions, Some(id))? && !bench.waits() {
        bench.offer()?;
    }
    Ok(())
}

/// Asks questions one after the other and writes each answer down; whether the
/// last one was reached.
///
/// # Errors
/// The terminal or the answer fails.
pub fn ask(bench: &mut Bench, questions: &[Question], test: Option<&str>) -> Result<bool, Ending> {
    let mut at = 0;
    let mut answered: Vec<usize> = vec![];
    let mut shown = None;
    while let Some(question) = questions.get(at) {
        let rules = &bench.session.rules;
        if shown != Some(question.of()) {
            let ask = show::wrapped(&question.ask(rules), show::width(), 0);
            writeln!(bench.out, "\n{}", styled(STRONG, ask))?;
            shown = Some(question.of());
        }
        let usual = question.usual(rules);
        let alike: Vec<Place> = (questions[at + 1..].iter())
            .take_while(|q| q.of() == question.of())
            .filter_map(|q| match q {
                Question::Each { place, .. } => Some(*place),
                Question::Which { .. } => None,
            })
            .collect();
        bench.out.flush()?;
        let prompt = format!("  {}> ", question.at());
        let line = match bench.input.line(&prompt, Wanted::Answer { usual })? {
            Typed::Line(line) => line,
            Typed::Dropped => continue,
            Typed::End => return Ok(false),
        };
        match question.reply(&line, &alike) {
            Err(why) => writeln!(bench.out, "{why}")?,
            Ok(Reply::Leave) => return Ok(false),
            Ok(Reply::Skip) => at += 1,
            Ok(Reply::Help) => {
                let help = question.help(&bench.session.rules);
                for line in help.lines() {
                    writeln!(
                        bench.out,
                        "{}",
                        styled(FAINT, show::wrapped(line, show::width(), 0))
                    )?;
                }
            }
            Ok(Reply::Undo) => match answered.pop() {
                Some(before) => {
                    let undone = bench.session.undo()?;
                    writeln!(bench.out, "undone: {undone}")?;
                    bench.refresh(true)?;
                    at = before;
                    shown = None;
                }
                None => writeln!(
                    bench.out,
                    "Nothing was answered here yet; `stop`, then `undo`, goes further back."
                )?,
            },
            Ok(Reply::Said(said, covers)) => {
                let act = Act {
                    test: test.map(String::from),
                    ..Act::now()
                };
                match bench.write_down(&said, act) {
                    Ok(()) => {
                        answered.push(at);
                        at += covers;
                    }
                    Err(Ending::Wrong(problems)) => {
                        for problem in problems {
                            writeln!(bench.out, "{problem}")?;
                        }
                    }
                    Err(other) => return Err(other),
                }
            }
        }
    }
    Ok(true)
}
