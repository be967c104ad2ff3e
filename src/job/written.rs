//! Where things stand in the text of a job file, so that a fault found after
//! reading can point at its line.

use crate::problem::{Problem, Spot};
use crate::rules::node::{Data, Node, Step};
use crate::rules::text::Text;
use crate::rules::yaml;
use std::borrow::Cow;

/// The text of a job file as a tree that knows its places.
#[derive(Debug, Clone)]
pub struct Written {
    text: Text,
    root: Node,
}

impl Written {
    /// The text of a job file; `name` is how the user would name the file.
    ///
    /// ```
    /// use sootsayer::job::written::Written;
    /// use sootsayer::problem::Problem;
    /// let file = Written::of("sootsayer: 1\nengine:\n  cylinders: 44\n", "pump.yaml");
    /// let path = ["engine", "cylinders"].map(Into::into);
    /// let problem = file.point(path, Problem::new("too many"));
    /// assert!(problem.to_string().starts_with("error: pump.yaml:3:14: too many"));
    /// ```
    pub fn of(text: &str, name: &str) -> Self {
        let text = Text {
            name: name.into(),
            text: Cow::Owned(text.trim_start_matches('\u{feff}').to_string()),
        };
        let (root, _) = yaml::parse(0, &text.text);
        Written { text, root }
    }

    /// The problem with its place: what a path leads to, as deep as it goes.
    pub fn point(&self, path: impl IntoIterator<Item = Step>, problem: Problem) -> Problem {
        let node = self.root.follow(path);
        let spot = self.spot(node);
        let width = u32::try_from(node.width).unwrap_or(1).max(1);
        self.text.quoted(Problem { width, ..problem }.at(spot))
    }

    /// The path of an act of the diary, from 1.
    pub fn act(number: usize) -> Vec<Step> {
        vec!["diary".into(), number.saturating_sub(1).into()]
    }

    /// Where a reading stands, by its number through the whole diary, from 1.
    pub fn reading(&self, number: usize) -> Option<Spot> {
        let node = self.lines("readings").nth(number.checked_sub(1)?)?;
        Some(self.spot(node))
    }

    /// Where the diary first speaks of an id in a list: `facts`, `set_up`, `tools`.
    pub fn first(&self, list: &str, id: &str) -> Option<Spot> {
        let of = |node: &&Node| {
            let said = node.text().and_then(|text| text.split(['=', '@']).next());
            said.is_some_and(|said| said.trim() == id)
        };
        let node = self.lines(list).find(of)?;
        Some(self.spot(node))
    }

    /// The lines of one list of every act, in order.
    fn lines<'a>(&'a self, list: &'a str) -> impl Iterator<Item = &'a Node> {
        let acts = self.root.get("diary").map(items).unwrap_or_default();
        acts.iter()
            .filter_map(move |act| act.get(list))
            .flat_map(items)
    }

    fn spot(&self, node: &Node) -> Spot {
        Spot {
            file: self.text.name.clone(),
            line: node.line,
            column: node.column,
        }
    }
}

fn items(node: &Node) -> &[Node] {
    match &node.data {
        Data::List(items) => items,
        _ => &[],
    }
}
