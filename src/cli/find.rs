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
                    let mut ways = f.grades.clone();
                    if f.grades.len() > 2 {
                        ways.insert(1, "yes".into());
                    }
                    if f.grades.len() > 3 {
                        ways.push(format!("at least {}", f.grades[2]));
                    }
                    match &f.value_of {
                        Some(of) => {
                            let value = hit.id.trim_start_matches(of.as_str());
                            writeln!(out, "    record {of}={}", value.trim_start_matches('-'))?;
                        }
                        None => writeln!(out, "    record {}{at}={}", hit.id, ways.join("|"))?,
                    }
                }
                _ if hit.sort == Sort::Sign => {
                    let sign = session.rules.signs.get(&hit.id);
                    let at = match sign.is_none_or(|s| s.scope == Default::default()) {
                        true => "",
                        false => "@WHERE",
                    };
                    writeln!(out, "    record {}{at}=yes|no", hit.id)?;
                }
                _ if hit.sort == Sort::Look => writeln!(out, "    plug WHERE {}", hit.id)?,
                _ => writeln!(out, "    fact {}", hit.id)?,
            }
        }
        Ok(())
    }
}
