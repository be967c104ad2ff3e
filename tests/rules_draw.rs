//! `rules draw` and `rules schema`: drawings hold what they should and nothing
//! breaks out of them; the schemas in the repository are what the program reads.

use pretty_assertions::assert_eq;
use serde_json::Value;
use sootsayer::graph::Graph;
use sootsayer::rules::{Kind, folder, load, load_files};
use sootsayer::show::{rule_dot, schema};
use std::fs;

#[test]
fn a_drawing_has_a_node_for_each_entry_and_an_arrow_for_each_link() {
    let (rules, _) = load(None);
    let (graph, _) = Graph::of(&rules);
    for (kind, id, steps) in [
        (Kind::Cause, "rings-stuck", 1),
        (Kind::Finding, "leak-down", 2),
        (Kind::Test, "leak-down-test", 2),
    ] {
        let part = graph.around(kind, id, steps);
        assert!(part.it.node_count() > 5, "{id}");
        let dot = rule_dot::dot(&rules, &part);
        assert_eq!(dot.matches(" shape=").count(), part.it.node_count());
        assert_eq!(dot.matches(" -> ").count(), part.it.edge_count());
    }
}

#[test]
fn the_same_rules_are_drawn_the_same() {
    let draw = || {
        let (rules, _) = load(None);
        let (graph, _) = Graph::of(&rules);
        rule_dot::dot(&rules, &graph)
    };
    assert_eq!(draw(), draw());
}

#[test]
fn hostile_titles_stay_text() {
    let title = r#"A "b" \ <script>alert(1)</script> & 'c'"#;
    let text = format!(
        "causes:\n  - {{cause: rings-stuck, title: {}}}\n",
        serde_json::to_string(title).unwrap()
    );
    let loaded = load_files(
        folder::built_in(),
        [("mine.yaml".to_string(), text.into_bytes())],
    );
    assert_eq!(loaded.rules.causes["rings-stuck"].title, title);
    let (graph, _) = Graph::of(&loaded.rules);
    let part = graph.around(Kind::Cause, "rings-stuck", 1);
    let dot = rule_dot::dot(&loaded.rules, &part);
    assert!(dot.contains(r#"label="A \"b\" \\ <script>"#), "{dot}");
}

/// Set `UPDATE_EXPECTED` to write the schemas anew.
#[test]
fn the_schemas_are_what_the_program_reads() {
    for (path, made) in [
        ("rules/rule.schema.json", schema::rule()),
        ("rules/job.schema.json", schema::job()),
    ] {
        if std::env::var_os("UPDATE_EXPECTED").is_some() {
            fs::write(path, &made).unwrap();
        }
        assert_eq!(fs::read_to_string(path).unwrap_or_default(), made, "{path}");
    }
}

/// Every list and every key of the rules is one that the schema knows, and every
/// key that the schema requires is there.
#[test]
fn the_rules_follow_their_schema() {
    let schema: Value = serde_json::from_str(&schema::rule()).unwrap();
    let mut files = 0;
    for (name, bytes) in folder::built_in() {
        let file: Value = serde_yaml::from_slice(&bytes).unwrap();
        follows(&schema, &schema, &file, &name);
        files += 1;
    }
    assert!(files > 20);
}

/// As much of JSON Schema as the rules need.
fn follows<'s>(root: &'s Value, schema: &'s Value, value: &Value, at: &str) {
    if let Some(name) = schema["$ref"].as_str() {
        let pointer = name.trim_start_matches('#');
        return follows(root, root.pointer(pointer).expect(name), value, at);
    }
    if let Some(list) = schema["anyOf"].as_array() {
        let meant = |one: &'s Value| match one["$ref"].as_str() {
            Some(name) => root.pointer(name.trim_start_matches('#')).expect(name),
            None => one,
        };
        let fits = |one: &&Value| one.get("type").is_none_or(|t| is(t, value));
        match list.iter().map(meant).find(fits) {
            Some(one) => return follows(root, one, value, at),
            None => panic!("{at}: {value} is none of {list:?}"),
        }
    }
    if let Some(kind) = schema.get("type") {
        assert!(is(kind, value), "{at}: {value} is not of type {kind}");
    }
    if let Some(map) = value.as_object() {
        for (key, inner) in map {
            let at = format!("{at}/{key}");
            match (&schema["properties"][key], &schema["additionalProperties"]) {
                (Value::Null, Value::Object(_)) => {
                    follows(root, &schema["additionalProperties"], inner, &at);
                }
                (Value::Null, closed) => assert_ne!(closed, &Value::Bool(false), "{at} is unknown"),
                (known, _) => follows(root, known, inner, &at),
            }
        }
        for key in schema["required"].as_array().into_iter().flatten() {
            let key = key.as_str().expect("a key");
            assert!(map.contains_key(key), "{at} lacks {key}");
        }
    }
    for (i, item) in value.as_array().into_iter().flatten().enumerate() {
        if schema["items"].is_object() {
            follows(root, &schema["items"], item, &format!("{at}[{i}]"));
        }
    }
}

fn is(kind: &Value, value: &Value) -> bool {
    let one = |kind: &str| match kind {
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "boolean" => value.is_boolean(),
        "integer" => value.is_i64() || value.is_u64(),
        "number" => value.is_number(),
        "null" => value.is_null(),
        other => panic!("a type of the schema: {other}"),
    };
    match kind {
        Value::String(kind) => one(kind),
        Value::Array(kinds) => kinds.iter().filter_map(Value::as_str).any(one),
        other => panic!("a type of the schema: {other}"),
    }
}
