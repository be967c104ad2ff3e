//! A network into a file, for `rank --export` and `rules export`.

use super::over::Over;
use super::{Answer, no_such};
use crate::engine::Engine;
use crate::network::Evidence;
use crate::network::exchange::{Tables, bif, uai};
use crate::problem::Problem;
use crate::rules::Rules;
use crate::show;
use crate::unroll::{Tailored, Unrolled};
use crate::visible::visible;
use clap::Args;
use std::collections::BTreeSet;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Arguments of `rules export`.
#[derive(Debug, Args)]
pub struct Export {
    /// Family of engines, such as `industrial-petrol`
    family: String,
    /// The file to write; `.bif` for reading by people, `.uai` for other solvers
    file: PathBuf,
    /// Cylinders, 1 to 12; the family's usual number when left out
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u8).range(1..=12))]
    cylinders: Option<u8>,
    /// What it may be written over.
    #[command(flatten)]
    over: Over,
}

impl Export {
    /// Writes the network of a family's engine of which nothing is known.
    ///
    /// # Errors
    /// A family that is not known, or a file that cannot be written.
    pub fn run(self, rules: &Rules, out: &mut dyn Write) -> Answer {
        let Some(family) = rules.families.get(&self.family) else {
            let way = "`rules list families` lists them";
            return Err(no_such("family", &self.family, rules.families.keys(), way).into());
        };
        let cylinders = self.cylinders.map_or(family.cylinders, usize::from);
        let engine = Engine {
            name: family.title.clone(),
            family: self.family,
            traits: rules.engine_traits(&family.traits, cylinders),
            banks: Engine::deal(cylinders, 1),
            dimensions: family.dimensions.clone(),
        };
        let unrolled = Unrolled::of(Tailored::of(rules, &engine, &BTreeSet::new()), &engine)?;
        let tables = show::network_file::tables(rules, &unrolled, &Evidence::new());
        let remarks = format!("{}, nothing observed", engine.name);
        for line in write(&self.file, &tables, &remarks, self.over)? {
            writeln!(out, "{line}")?;
        }
        Ok(())
    }
}

/// Writes a network, its format told by the end of the name, with what belongs
/// beside it; gives a line for each file.
///
/// # Errors
/// A name that ends otherwise, or a file that cannot be written.
pub fn write(
    path: &Path,
    tables: &Tables,
    remarks: &str,
    over: Over,
) -> Result<Vec<String>, Problem> {
    let end = path
        .extension()
        .and_then(|e| e.to_str())
        .unwrap_or_default();
    let beside = |end: &str| {
        let mut name = path.as_os_str().to_os_string();
        name.push(end);
        PathBuf::from(name)
    };
    let files = match end {
        "bif" => {
            let name = path
                .file_stem()
                .map_or("network".into(), |s| s.to_string_lossy());
            vec![(path.to_path_buf(), bif::write(tables, &name, remarks))]
        }
        "uai" => vec![
            (path.to_path_buf(), uai::write(tables)),
            (beside(".evid"), uai::write_evidence(tables)),
            (
                beside(".json"),
                format!("{:#}\n", show::network_file::names(tables)),
            ),
        ],
        _ => {
            let what = format!("`{}` does not say the format", path.display());
            return Err(Problem::new(what).hint("let its name end in `.bif` or `.uai`"));
        }
    };
    let mut wrote = Vec::new();
    for (path, text) in files {
        over.put(&path, &text)?;
        wrote.push(format!("wrote {}", visible(&path.display().to_string())));
    }
    Ok(wrote)
}
