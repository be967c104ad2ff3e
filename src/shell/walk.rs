//! Taking a test: its sheet, then its readings one by one.

use super::bench::Bench;
use super::input::{Typed, Wanted};
use super::plugs::Asking;
use super::questions::{self, Question, Reply};
use crate::answer::{Answer, Ending};
use crate::diagnose::next::TestOption;
use crate::engine::Place;
use crate::job::file::Act;
use crate::plug::Chart;
use crate::problem::Problem;
use crate::rules::file::{Scope, Test};
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
    let plugs = plugs_of(bench, &test, wanted);
    let by_looks = match ready(bench, !plugs.is_empty())? {
        Ready::ByLooks => true,
        Ready::ByName => false,
        Ready::Another => return bench.decline(),
        Ready::Leave => return Ok(()),
    };
    let missing: Vec<String> = (test.set_up.iter())
        .filter(|id| !bench.session.store.job.set_up.contains(*id))
        .cloned()
        .collect();
    if !missing.is_empty() {
        bench.session.stand(&missing)?;
    }
    if by_looks {
        let act = Act {
            test: Some(id.into()),
            ..Act::now()
        };
        Asking::new(bench.session, bench.input, bench.out, act).each(&plugs)?;
        bench.refresh(true)?;
        return if bench.waits() { Ok(()) } else { bench.offer() };
    }
    let questions = questions::of_test(&bench.session.rules, &bench.session.engine, &test, wanted);
    if ask(bench, &questions, Some(id))? && !bench.waits() {
        bench.offer()?;
    }
    Ok(())
}

/// How to go on from the sheet of a test.
enum Ready {
    ByLooks,
    ByName,
    Another,
    Leave,
}

/// Asks whether the test is ready; `with_plugs` offers their looks.
fn ready(bench: &mut Bench, with_plugs: bool) -> Result<Ready, Ending> {
    let mut usual = ["skip", "stop"].map(String::from).to_vec();
    let mut prompt = "Enter when ready, `skip` for another test, `stop` to leave it> ";
    if with_plugs {
        let way =
            "Enter goes plug by plug through their looks, `names` through the conditions by name.";
        writeln!(bench.out, "{}", show::wrapped(way, show::width(), 0))?;
        usual.insert(0, "names".into());
        prompt = "Enter, `names`, `skip` for another test, `stop` to leave it> ";
    }
    loop {
        let wanted = Wanted::Answer {
            usual: usual.clone(),
        };
        let Typed::Line(line) = bench.input.line(prompt, wanted)? else {
            return Ok(Ready::Leave);
        };
        match line.trim() {
            "" if with_plugs => return Ok(Ready::ByLooks),
            "" => return Ok(Ready::ByName),
            "names" if with_plugs => return Ok(Ready::ByName),
            "skip" | "can't" => return Ok(Ready::Another),
            "stop" => return Ok(Ready::Leave),
            "?" => {
                let help = "Make ready what the sheet says, then press Enter: the questions come \
                            one by one. `skip` offers another test, `stop` goes back.";
                writeln!(bench.out, "{}", show::wrapped(help, show::width(), 0))?;
            }
            other => {
                let problem = Problem::new(format!("`{other}` does not answer that"))
                    .hint("Enter when ready, `skip`, `stop` or `?`");
                if !bench.input.is_terminal() {
                    return Err(problem.into());
                }
                writeln!(bench.out, "{problem}")?;
            }
        }
    }
}

/// The plugs that a test would read by their looks: none when it yields anything
/// but conditions of the chart.
fn plugs_of(bench: &Bench, test: &Test, wanted: Option<&[(String, Place)]>) -> Vec<Place> {
    let (rules, engine) = (&bench.session.rules, &bench.session.engine);
    let Some(chart) = Chart::of(rules, engine) else {
        return vec![];
    };
    let is_of_chart = |id: &String| {
        let conditions = &mut chart.conditions.iter();
        conditions.any(|c| c.it.finding.as_ref() == Some(id))
    };
    if !test.yields.iter().all(is_of_chart) {
        return vec![];
    }
    let mut places = engine.places(Scope::Plug);
    if let Some(wanted) = wanted {
        places.retain(|place| wanted.iter().any(|(_, at)| at == place));
    }
    places
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
