//! The loop of the shell: one line after the other, each on disk before the
//! next is asked for, and what it moved shown under it.

use super::input::{Input, Typed, Wanted};
use super::recorded;
use super::search::Index;
use super::split::split;
use super::standing::{Standing, best, next_tests};
use super::vocabulary::Word;
use super::walk;
use crate::answer::{Answer, Ending};
use crate::diagnose::next::{Next, TestOption};
use crate::job::file::Act;
use crate::problem::Problem;
use crate::session::Session;
use crate::show::{self, FAINT, STRONG, styled};
use crate::words::count;
use std::collections::BTreeSet;
use std::io::Write;
use std::time::{Duration, Instant};

/// Rows of the ranking on opening.
const TOP: usize = 5;

/// A wait that is felt.
const FELT: Duration = Duration::from_millis(1500);

/// Rows of what a line moved.
const MOVED: usize = 4;

/// The words of the command line, as the shell uses them.
pub trait Grammar {
    /// Does one line of words; a word that asks reads the answers from `input`.
    ///
    /// # Errors
    /// As the word itself.
    fn run(
        &self,
        words: &[String],
        session: &mut Session,
        input: &mut dyn Input,
        out: &mut dyn Write,
    ) -> Answer;

    /// Every word.
    fn words(&self) -> Vec<Word>;
}

/// Words that only the shell has.
pub fn own_words() -> Vec<Word> {
    let word = |name: &str, about: &str| Word {
        name: name.into(),
        about: about.into(),
        options: vec![],
    };
    vec![
        word("help", "The words, or more about one: `help record`"),
        word("leave", "Leave; everything is on disk"),
    ]
}

/// Whether to go on after a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Go {
    /// Ask for the next line.
    On,
    /// Leave.
    Out,
}

/// The open shell.
pub struct Bench<'a> {
    pub(super) session: &'a mut Session,
    pub(super) input: &'a mut dyn Input,
    pub(super) out: &'a mut dyn Write,
    pub(super) grammar: &'a dyn Grammar,
    pub(super) words: Vec<Word>,
    pub(super) index: Index,
    standing: Option<Standing>,
    /// Tests worth doing after what `standing` takes in, once they were asked for.
    next: Option<Result<Next, Problem>>,
    /// The next test took long to work out last time, so it waits until asked for.
    slow: bool,
    /// Acts of the diary that `standing` takes in.
    acts: usize,
    pub(super) declined: BTreeSet<String>,
}

impl<'a> Bench<'a> {
    /// Opens the shell on a session.
    pub fn new(
        session: &'a mut Session,
        grammar: &'a dyn Grammar,
        input: &'a mut dyn Input,
        out: &'a mut dyn Write,
    ) -> Self {
        let mut words = grammar.words();
        words.extend(own_words());
        let index = Index::of(&session.rules, &session.engine);
        Bench {
            session,
            input,
            out,
            grammar,
            words,
            index,
            standing: None,
            next: None,
            slow: false,
            acts: 0,
            declined: BTreeSet::new(),
        }
    }

    /// Greets, then takes lines until the user leaves.
    ///
    /// # Errors
    /// The terminal or the answer fails; never what a line got wrong.
    pub fn run(&mut self) -> Answer {
        self.greet()?;
        loop {
            let prompt = format!("{}> ", self.session.store.short_name());
            let offered = match self.waits() {
                true => "Enter: the next test".to_string(),
                false => self.best()?.map_or(String::new(), |t| {
                    let minutes = show::next::minutes(t.minutes);
                    format!("Enter: {} ({minutes} min)", t.title)
                }),
            };
            self.out.flush()?;
            match self.input.line(&prompt, Wanted::Word { offered })? {
                Typed::End => return Ok(()),
                Typed::Dropped => {}
                // A pasted block comes as one line.
                Typed::Line(block) if block.contains('\n') => {
                    for line in block.lines().filter(|l| !l.trim().is_empty()) {
                        writeln!(self.out, "{}", styled(FAINT, format!("{prompt}{line}")))?;
                        if self.take(line)? == Go::Out {
                            return Ok(());
                        }
                    }
                }
                Typed::Line(line) => {
                    if self.take(&line)? == Go::Out {
                        return Ok(());
                    }
                }
            }
        }
    }

    /// The engine, the complaint, the top of the ranking and the next test.
    fn greet(&mut self) -> Answer {
        let session = &self.session;
        writeln!(self.out, "{}", styled(STRONG, headline(session)))?;
        let complaint = &session.store.job.file.complaint;
        if !complaint.is_empty() {
            let said = format!("Complaint: {complaint}");
            writeln!(self.out, "{}", show::wrapped(&said, show::width(), 2))?;
        }
        let standing = session.store.job.standing().count();
        writeln!(
            self.out,
            "{} in the evidence.\n",
            count(standing, "reading")
        )?;
        self.refresh(false)?;
        if let Some(standing) = &self.standing {
            writeln!(self.out, "{}\n", standing.page(TOP))?;
        }
        self.offer()?;
        let say = "Write what was seen (`leak-down@3=38%`), or say it in plain words; `help` lists the words.";
        writeln!(
            self.out,
            "{}",
            styled(FAINT, show::wrapped(say, show::width(), 0))
        )?;
        Ok(())
    }

    /// Whether the next test is not known and would be felt as a wait.
    pub(super) fn waits(&self) -> bool {
        self.slow && self.next.is_none()
    }

    /// The best test that was not turned down; what was said before is on the
    /// screen while it is worked out.
    fn best(&mut self) -> Result<Option<TestOption>, Ending> {
        if self.next.is_none() {
            self.out.flush()?;
            let begun = Instant::now();
            self.next = Some(next_tests(self.session));
            self.slow = begun.elapsed() > FELT;
        }
        let next = self.next.as_ref().and_then(|n| n.as_ref().ok());
        Ok(next.and_then(|n| best(n, &self.declined)).cloned())
    }

    /// Says which test is next.
    pub(super) fn offer(&mut self) -> Answer {
        let text = match (self.best()?, &self.next) {
            (Some(test), _) => {
                let bits = show::next::bits(test.bits);
                let minutes = show::next::minutes(test.minutes);
                let worth = format!("{bits} bits in {minutes} min");
                format!("Next: {} ({worth}). An empty line takes it.", test.title)
            }
            (None, Some(Err(problem))) => {
                format!("The next test cannot be told: {}", problem.what)
            }
            (None, next) => {
                let stop = next.as_ref().and_then(|n| n.as_ref().ok()?.stop.clone());
                stop.unwrap_or("No test is left that would tell anything.".to_string())
            }
        };
        writeln!(self.out, "{}\n", show::wrapped(&text, show::width(), 6))?;
        Ok(())
    }

    /// Answers anew after a change and, if wanted, shows what moved.
    pub(super) fn refresh(&mut self, moved: bool) -> Answer {
        self.acts = self.session.store.job.file.diary.len();
        match Standing::of(self.session) {
            Ok(now) => {
                if let (true, Some(before)) = (moved, &self.standing) {
                    let (was, is) = (&before.ranking, &now.ranking);
                    let table = show::moved::table_of(was, is, MOVED, show::width());
                    writeln!(self.out, "{table}")?;
                    for text in now.news(before) {
                        writeln!(self.out, "{}", show::wrapped(&text, show::width(), 2))?;
                    }
                }
                self.standing = Some(now);
                self.next = None;
            }
            Err(problem) => writeln!(self.out, "{problem}")?,
        }
        Ok(())
    }

    /// Does one line; what it got wrong is told and nothing more.
    fn take(&mut self, line: &str) -> Result<Go, Ending> {
        let done = self.understand(line.trim());
        let done = match done {
            Err(ending @ (Ending::PipeClosed | Ending::Unwritten { .. })) => return Err(ending),
            Err(Ending::Usage(e)) => {
                write!(self.out, "{}", e.render().ansi())?;
                Ok(Go::On)
            }
            Err(ending) => {
                write!(self.out, "{ending}")?;
                Ok(Go::On)
            }
            Ok(go) => Ok(go),
        };
        if self.session.store.job.file.diary.len() > self.acts {
            self.refresh(true)?;
        }
        done
    }

    /// Finds out what a line is: nothing, a word, a reading, a finding, or plain words.
    fn understand(&mut self, line: &str) -> Result<Go, Ending> {
        let words = split(line);
        let Some(first) = words.first().map(|w| w.to_lowercase()) else {
            self.take_offered()?;
            return Ok(Go::On);
        };
        match first.as_str() {
            "leave" | "quit" | "exit" | "bye" => return Ok(Go::Out),
            "help" | "?" => self.help(words.get(1).map(String::as_str))?,
            "skip" => self.decline()?,
            "test" if words.len() == 2 => walk::by_name(self, &words[1])?,
            word if self.words.iter().any(|w| w.name == word) => {
                let mut words = words.clone();
                words[0] = first.clone();
                self.grammar
                    .run(&words, self.session, self.input, self.out)?;
            }
            _ if line.contains('=') => {
                let words: Vec<String> = ["record".to_string()].into_iter().chain(words).collect();
                self.grammar
                    .run(&words, self.session, self.input, self.out)?;
            }
            _ if words.len() == 1 && self.ask_of(&first)? => {}
            _ => self.look_up(line, &first, words.len())?,
        }
        Ok(Go::On)
    }

    fn take_offered(&mut self) -> Answer {
        match self.best()? {
            Some(option) => walk::offered(self, &option),
            None => self.offer(),
        }
    }

    /// Turns the offered test down and offers the one after it.
    pub(super) fn decline(&mut self) -> Answer {
        if let Some(option) = self.best()? {
            self.declined.insert(option.id());
        }
        self.offer()
    }

    /// Writes readings that answer a question, shows them and what they moved.
    pub(super) fn write_down(&mut self, said: &[crate::job::Said], act: Act) -> Answer {
        let new = self.session.record(said, act)?;
        for line in recorded::lines(self.session, new) {
            writeln!(self.out, "{line}")?;
        }
        self.refresh(true)
    }

    /// The words, or the help of one.
    fn help(&mut self, word: Option<&str>) -> Answer {
        if let Some(word) = word {
            let words = [word.to_string(), "--help".to_string()];
            return self.grammar.run(&words, self.session, self.input, self.out);
        }
        let widest = self.words.iter().map(|w| w.name.len()).max().unwrap_or(0);
        for word in &self.words {
            writeln!(self.out, "{:widest$}  {}", word.name, word.about)?;
        }
        let more = "An empty line takes the next test, `skip` turns it down. A reading needs no word \
                    (`leak-down@3=38%`), and an observation can be said in plain words (`milky cap`).";
        writeln!(self.out, "{}", show::wrapped(more, show::width(), 0))?;
        Ok(())
    }
}

/// The engine in one line: "Hill pump: Industrial petrol engine, 4 cylinders".
pub fn headline(session: &Session) -> String {
    let engine = &session.engine;
    let family = session.rules.families.get(&engine.family);
    let family = family.map_or(engine.family.as_str(), |f| f.title.as_str());
    format!(
        "{}: {family}, {}",
        engine.name,
        count(engine.cylinders(), "cylinder")
    )
}
