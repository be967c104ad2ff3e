//! `find`: an observation or a fact by plain words.

use super::Answer;
use crate::problem::Problem;
use crate::session::Session;
use crate::shell::search::{Index, Sort};
use clap::Args;
use std::io::Write;

/// Arguments of `find`.
#[derive(Debug, Args)]
pub struct Find {
    /// What one would say, such as `milky cap`
    #[arg(required = true, value_name = "WORDS")]
    pub words: Vec<String>,
    /// Rows at most
    #[arg(long, default_value_t = 6, value_name = "ROWS")]
    pub most: usize,
}

impl Find {
    /// Lists what fits best, with how to record it.
    ///
    /// # Errors
    /// Nothing fits.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let words = self.words.join(" ");
        let hits = Index::of(&session.rules, &session.engine).find(&words, self.most);
        if hits.is_empty() {
            return Err(Problem::new(format!("nothing is known like `{words}`"))
                .hint("try fewer or other words")
                .into());
        }
        for hit in hits {
            writeln!(out, "{}", hit.title)?;
            match session.rules.findings.get(&hit.id) {
                Some(f) if hit.sort == Sort::Finding => {
                    let at = if f.scope == Default::default() {
                        ""
                    } else {
                        "@WHERE"
                    };
                    writeln!(out, "    record {}{at}={}", hit.id, f.grades.join("|"))?;
                }
                _ if hit.sort == Sort::Look => writeln!(out, "    plug WHERE {}", hit.id)?,
                _ => writeln!(out, "    fact {}", hit.id)?,
            }
        }
        Ok(())
    }
}
