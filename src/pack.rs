//! Packs the rules: `rules/**/*.yaml` becomes one JSON file that the binary
//! reads in a few milliseconds. Rules with any fault are not packed; the
//! program then reads the YAML itself and says what is wrong.

use serde_json::{Map, Value, json};
use std::path::{Path, PathBuf};
use std::{env, fs, io};

#[allow(dead_code)]
mod rules {
    pub mod kind;
    pub mod node;
    pub mod text;
    pub mod yaml;
}

use rules::kind::Kind;
use rules::node::Data;

fn main() -> io::Result<()> {
    println!("cargo:rerun-if-changed=rules");
    println!("cargo:rerun-if-changed=src/pack.rs");
    let mut files = Vec::new();
    gather(Path::new("rules"), &mut files)?;
    files.sort();
    let packed = pack(&files).unwrap_or(Value::Null);
    let out = PathBuf::from(env::var_os("OUT_DIR").unwrap_or_default());
    fs::write(out.join("rules.json"), packed.to_string())
}

fn gather(folder: &Path, files: &mut Vec<PathBuf>) -> io::Result<()> {
    for item in fs::read_dir(folder)? {
        let path = item?.path();
        if path.is_dir() {
            gather(&path, files)?;
        } else if path.extension().is_some_and(|e| e == "yaml" || e == "yml") {
            files.push(path);
        }
    }
    Ok(())
}

/// Every entry with its place, list by list; `None` when a file has a fault.
fn pack(files: &[PathBuf]) -> Option<Value> {
    let mut lists: Map<String, Value> = Map::new();
    let mut seen = std::collections::BTreeSet::new();
    let mut words = Map::new();
    let mut systems = Vec::new();
    let mut names = Vec::new();
    for path in files {
        let file = names.len();
        let name = path.to_string_lossy().replace('\\', "/");
        let (text, faults) = rules::text::Text::decode(&name, fs::read(path).ok()?);
        names.push(name);
        let (root, more) = rules::yaml::parse(file, &text.text);
        let Data::Map(pairs) = &root.data else {
            return None;
        };
        let system = root.get("system")?.text()?;
        let title = root.get("title")?.text()?;
        systems.push(json!([system, title, root.get("causes").is_some()]));
        if !faults.is_empty() || !more.is_empty() {
            return None;
        }
        for (key, value) in pairs {
            match (key.text()?, Kind::of_list(key.text()?)) {
                ("system" | "title", _) => {}
                ("words", _) => words.extend(value.value().as_object()?.clone()),
                (_, Some(kind)) => {
                    let Data::List(items) = &value.data else {
                        return None;
                    };
                    for item in items {
                        let id = item.get(kind.key())?;
                        if !seen.insert((kind, id.text()?.to_string())) {
                            return None;
                        }
                        let entry = json!([file, id.line, id.column, system, item.value()]);
                        let list = lists.entry(kind.list()).or_insert_with(|| json!([]));
                        list.as_array_mut()?.push(entry);
                    }
                }
                _ => return None,
            }
        }
    }
    lists.insert("files".into(), json!(names));
    lists.insert("systems".into(), json!(systems));
    lists.insert("words".into(), Value::Object(words));
    Some(Value::Object(lists))
}
