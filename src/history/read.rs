//! The job files of a folder: one job or several in a file, parted by `---`.

use crate::job::Job;
use crate::job::file::JobFile;
use crate::problem::{Problem, Problems, Spot};
use std::path::{Path, PathBuf};

/// A file beside the jobs that is no job.
const SHOP: &str = "shop.yaml";

/// One job as found in a folder.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// The file, and which of its jobs where it holds several: `2025.yaml, job 12`.
    pub name: String,
    /// The job.
    pub job: Job,
}

/// Every job of a folder, by file name, with what could not be read.
///
/// # Errors
/// The folder itself cannot be read.
pub fn documents(folder: &Path) -> Result<(Vec<Document>, Problems), Problem> {
    let unreadable = |e: std::io::Error| {
        Problem::new(format!(
            "the folder `{}` cannot be read: {e}",
            folder.display()
        ))
    };
    let mut files: Vec<PathBuf> = vec![];
    for entry in std::fs::read_dir(folder).map_err(unreadable)? {
        let path = entry.map_err(unreadable)?.path();
        let named = path.file_name().and_then(|n| n.to_str()).unwrap_or("");
        let yaml = named.ends_with(".yaml") || named.ends_with(".yml");
        if yaml && named != SHOP && !named.starts_with('.') && path.is_file() {
            files.push(path);
        }
    }
    files.sort();
    let (mut jobs, mut problems) = (vec![], Problems::new());
    for path in files {
        let name = path.display().to_string();
        match std::fs::read_to_string(&path) {
            Ok(text) => parted(&text, &name, &mut jobs, &mut problems),
            Err(error) => problems.push(Problem::new(format!("{error}")).at(Spot {
                file: name,
                ..Spot::default()
            })),
        }
    }
    Ok((jobs, problems))
}

/// The jobs of one file; each keeps its lines, so that a fault points into the file.
fn parted(text: &str, name: &str, jobs: &mut Vec<Document>, problems: &mut Problems) {
    let mut parts: Vec<(usize, String)> = vec![(0, String::new())];
    for (index, line) in text.lines().enumerate() {
        if line.trim_end() == "---" {
            parts.push((index + 1, String::new()));
        } else if let Some((_, part)) = parts.last_mut() {
            part.push_str(line);
            part.push('\n');
        }
    }
    let said = |part: &str| {
        part.lines()
            .any(|l| !l.trim().is_empty() && !l.starts_with('#'))
    };
    parts.retain(|(_, part)| said(part));
    let several = parts.len() > 1;
    for (number, (start, part)) in (1..).zip(parts) {
        let padded = "\n".repeat(start) + &part;
        let named = match several {
            true => format!("{name}, job {number}"),
            false => name.to_string(),
        };
        let job = JobFile::parse(&padded, name).and_then(|file| {
            Job::replay(file).map_err(|stuck| {
                Problem::from(stuck).at(Spot {
                    file: named.clone(),
                    ..Spot::default()
                })
            })
        });
        match job {
            Ok(job) => jobs.push(Document { name: named, job }),
            Err(problem) => problems.push(problem),
        }
    }
}
