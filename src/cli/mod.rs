//! The words and their arguments: one grammar, two doors.
//!
//! Each word has a short file with its arguments and its `run`. On the command
//! line the job file comes first (`sootsayer undo pump.yaml`); in the shell the
//! same arguments are read without it (`undo`). To add a word, write
//! `cli/WORD.rs` and add one line to [`bench_words!`] below.

mod ask;
pub mod bench;
pub mod chart;
pub mod close;
pub mod complaint;
pub mod cylinders;
pub mod estimate;
pub mod explain;
pub mod export;
pub mod figures;
pub mod find;
pub mod gauge;
pub mod history;
pub mod holds;
pub mod new;
pub mod next;
pub mod oil;
pub mod plug;
pub mod rank;
pub mod record;
pub mod report;
pub mod retract;
pub mod rules;
mod rules_draw;
pub mod show;
mod size;
pub mod solve;
pub mod talk;
pub mod teardown;
pub mod test;
pub mod tried;
pub mod undo;
pub mod whatif;

pub use crate::answer::{Answer, Ending};
use crate::job::shop::Shop;
use crate::problem::Problem;
use crate::session::{self, Session};
use crate::words::nearest;
use clap::{Args, Parser, Subcommand};
use std::ffi::OsString;
use std::io::Write;
use std::path::PathBuf;

/// Finds out why an engine burns oil, loses compression, smokes, overheats or
/// fouls plugs, before it is taken apart.
#[derive(Debug, Parser)]
#[command(
    name = "sootsayer",
    version,
    propagate_version = true,
    max_term_width = 100,
    disable_help_subcommand = true
)]
struct Cli {
    /// Folder of rules laid over the built-in ones
    #[arg(long, global = true, display_order = 900, value_name = "DIR")]
    rules: Option<PathBuf>,
    /// The shop file; when left out, `shop.yaml` beside the job
    #[arg(long, global = true, display_order = 900, value_name = "FILE")]
    shop: Option<PathBuf>,
    #[command(subcommand)]
    word: Word,
}

/// Words of the command line alone, and those of the bench.
#[derive(Debug, Subcommand)]
enum Word {
    /// Take an engine in and start its job file
    New(Box<new::New>),
    /// Open the shell on a job; lines from a pipe are done as a script
    Talk(OnJob<talk::Talk>),
    #[command(flatten)]
    OnJob(OnJobWord),
    /// The spark plug chart, drawn and in words, without a job
    Chart(chart::ChartAlone),
    /// Calculate with a gauge's figures alone, without a job
    Gauge(Box<gauge::Gauge>),
    /// What the closed jobs of a folder teach: how right, how sure, which tests, which base rates
    History(history::History),
    /// Check, list, look up and draw what the program knows
    Rules(rules::Rules),
    /// Solve any network, to check the engine against others
    #[command(hide = true)]
    Solve(solve::Solve),
}

/// The arguments of a word with the job file before them.
#[derive(Debug, Args)]
pub struct OnJob<A: Args> {
    /// The job file
    pub job: PathBuf,
    /// The word's own arguments.
    #[command(flatten)]
    pub args: A,
}

/// Makes both doors from one list: `Bench` for the shell, `OnJobWord` for the
/// command line. A line is the help and `Name(module::Args, writes)`; `writes`
/// says whether the job must be open for writing.
macro_rules! bench_words {
    ($($(#[$doc:meta])* $name:ident($args:ty, $writes:literal),)*) => {
        /// A word at the bench, the job being open.
        #[derive(Debug, Subcommand)]
        pub enum Bench {
            $($(#[$doc])* $name($args),)*
        }

        /// A word of the command line that works on a job file.
        #[derive(Debug, Subcommand)]
        enum OnJobWord {
            $($(#[$doc])* $name(OnJob<$args>),)*
        }

        impl OnJobWord {
            /// The job file and the word as the shell has it.
            fn split(self) -> (PathBuf, Bench) {
                match self {
                    $(OnJobWord::$name(it) => (it.job, Bench::$name(it.args)),)*
                }
            }
        }

        impl Bench {
            /// Whether the word writes into the job.
            pub fn writes(&self) -> bool {
                match self { $(Bench::$name(_) => $writes,)* }
            }

            /// Does what the word says and writes the answer.
            ///
            /// # Errors
            /// As the word's own `run`.
            pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
                match self { $(Bench::$name(it) => it.run(session, out),)* }
            }
        }
    };
}

bench_words! {
    /// Write down what was seen or measured
    Record(record::Record, true),
    /// Mark readings as the complaint: what the engine was brought in with
    Complaint(complaint::Complaint, true),
    /// Record leak-down figures of the whole engine, in cylinder order
    Leakdown(cylinders::Leakdown, true),
    /// Record cranking compressions of the whole engine, in cylinder order
    Compression(cylinders::Compression, true),
    /// The log of the oil: checks and top-ups in, the rate of use and its trend out
    Oil(oil::Oil, true),
    /// Show the gauges' figures per cylinder, with bounds and the odd one out
    Figures(figures::Figures, false),
    /// Read a spark plug by its looks, or set the plugs side by side
    Plug(plug::Plug, true),
    /// Say what is known of the engine's past
    Fact(holds::Fact, true),
    /// Say what was tried on this complaint and what came of it
    Tried(tried::Tried, true),
    /// Say how the engine stands on the bench: plugs out, warm, ...
    SetUp(holds::SetUp, true),
    /// Say what tools the shop has or lacks
    Tools(holds::Tools, true),
    /// Show what is recorded
    Show(show::Show, false),
    /// Find an observation or a fact by plain words: `find blue smoke after idling`
    Find(find::Find, false),
    /// Probable causes, most probable first
    Rank(rank::Rank, false),
    /// The next tests worth doing, by what they tell per minute
    Next(next::Next, false),
    /// What speaks for and against a cause
    Explain(explain::Explain, false),
    /// Choices of repair: cost, chance of a cure, and what they cost in the end
    Estimate(estimate::Estimate, false),
    /// Write the owner's document: one HTML file that stands alone
    Report(report::Report, false),
    /// The inspection sheet: what to look at and measure, stage by stage, what to mark and keep
    Teardown(teardown::Teardown, false),
    /// Figures of the opened engine: against limits, each bore drawn, what is to be done
    Bench(bench::Bench, true),
    /// Close the job: what it turned out to be, what was done, what came after
    Close(close::Close, true),
    /// The ranking if a reading came out so; nothing is recorded
    Whatif(whatif::WhatIf, false),
    /// The sheet of a test: cautions, what to make ready, steps
    Test(test::Test, false),
    /// Take readings out of the evidence; they stay in the record
    Retract(retract::Retract, true),
    /// Take back the last act: what was recorded, retracted or set
    Undo(undo::Undo, true),
}

/// Reads the arguments and does what they say.
///
/// # Errors
/// How it ended, when it ended other than well; [`Ending::status`] is the exit status.
pub fn run(args: impl IntoIterator<Item = OsString>, out: &mut dyn Write) -> Answer {
    let cli = Cli::try_parse_from(args.into_iter().map(signed))?;
    match cli.word {
        Word::New(it) => it.run(session::known(cli.rules.as_deref())?, out),
        Word::Chart(it) => it.run(&session::known(cli.rules.as_deref())?, out),
        Word::Gauge(it) => it.run(|| session::known(cli.rules.as_deref()), out),
        Word::History(it) => it.run(
            &session::known(cli.rules.as_deref())?,
            cli.shop.as_deref(),
            out,
        ),
        Word::Rules(it) => it.run(cli.rules.as_deref(), out),
        Word::Solve(it) => it.run(cli.rules.as_deref(), out),
        Word::Talk(it) => {
            let mut session = Session::open(&it.job, cli.rules.as_deref(), true)?;
            if let Some(shop) = &cli.shop {
                session.shop = Shop::read(shop, &session.rules)?;
            }
            it.args.run(&mut session, out)
        }
        Word::OnJob(word) => {
            let (job, word) = word.split();
            let mut session = Session::open(&job, cli.rules.as_deref(), word.writes())?;
            if let Some(shop) = &cli.shop {
                session.shop = Shop::read(shop, &session.rules)?;
            }
            word.run(&mut session, out)
        }
    }
}

/// A figure below nothing, such as `-5psi`, so that it is not taken for an
/// option: its sign becomes a true minus.
pub fn signed(word: OsString) -> OsString {
    let figure = word.to_str().and_then(|text| text.strip_prefix('-'));
    let figure = figure.filter(|rest| rest.starts_with(|c: char| c.is_ascii_digit() || c == '.'));
    match figure {
        Some(rest) if rest.parse::<f64>().is_err() => format!("−{rest}").into(),
        _ => word,
    }
}

/// An id that is not known, with the nearest one that is, or else a way to find it.
fn no_such<'a>(
    kind: &str,
    id: &str,
    known: impl Iterator<Item = &'a String>,
    otherwise: &str,
) -> Problem {
    let problem = Problem::new(format!("no {kind} is called `{id}`"));
    match nearest(id, known.map(String::as_str)) {
        Some(near) => problem.hint(format!("did you mean `{near}`?")),
        None => problem.hint(otherwise),
    }
}
