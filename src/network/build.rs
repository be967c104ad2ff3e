//! A network as it is written down: variables, tables and noisy-MAX gates.
//!
//! Parents are added before their children, so variables are in topological
//! order and cycles cannot be written.

use super::error::Error;
use super::plans::Plans;

/// How far a row of probabilities may be from adding up to one.
pub const ROW_TOLERANCE: f64 = 1e-6;

/// Most variables counted by [`Network::at_most`].
pub const MOST_MEMBERS: usize = 24;

/// Most grades of a noisy-MAX gate.
pub const MOST_GRADES: usize = 64;

/// The part of what belongs to no part.
pub(super) const WHOLE: u32 = u32::MAX;

/// A variable of one [`Network`], in the order added.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Var(pub u32);

impl Var {
    /// The variable's number as an index.
    pub fn index(self) -> usize {
        self.0 as usize
    }
}

/// How a variable depends on its parents.
#[derive(Debug, Clone, PartialEq)]
pub enum Gate {
    /// A conditional probability table: parent states, last parent fastest, then the variable's states.
    Table {
        /// Parents in the order of the table.
        parents: Vec<Var>,
        /// Probabilities.
        table: Vec<f64>,
    },
    /// Leaky noisy-MAX over binary parents: the variable shows the highest
    /// grade that the leak or any present parent produces.
    Max {
        /// Probability of each grade when no parent is present.
        leak: Vec<f64>,
        /// Binary parents.
        parents: Vec<Var>,
        /// For each parent, the probability of each grade that it alone produces when present; row after row.
        grades: Vec<f64>,
    },
}

impl Gate {
    /// The variable's parents.
    pub fn parents(&self) -> &[Var] {
        match self {
            Gate::Table { parents, .. } | Gate::Max { parents, .. } => parents,
        }
    }
}

#[derive(Debug, Clone)]
pub(super) struct Node {
    pub name: String,
    pub states: usize,
    pub gate: Gate,
    pub children: Vec<Var>,
    /// The part of the whole that it belongs to, or [`WHOLE`].
    pub part: u32,
}

/// A Bayesian network over variables with two or more states.
///
/// ```
/// use sootsayer::network::{Evidence, Network, Solved};
/// let mut net = Network::new();
/// let rings = net.add_table("rings", 2, &[], vec![0.9, 0.1])?;
/// let smoke = net.add_max("smoke", vec![0.98, 0.02], vec![(rings, vec![0.4, 0.6])])?;
/// let seen = Solved::new(&net, &Evidence::new().hard(smoke, 1, 2))?;
/// // 0.1 (1 - 0.98 0.4) / (0.1 (1 - 0.98 0.4) + 0.9 0.02)
/// assert!((seen.marginal(rings)?[1] - 0.0608 / 0.0788).abs() < 1e-12);
/// # Ok::<(), sootsayer::network::Error>(())
/// ```
#[derive(Debug, Clone, Default)]
pub struct Network {
    pub(super) nodes: Vec<Node>,
    pub(super) plans: Plans,
    pub(super) few: Option<Few>,
}

/// Variables of which only so many are present together.
#[derive(Debug, Clone)]
pub(super) struct Few {
    pub members: Vec<Var>,
    pub most: usize,
}

impl Network {
    /// A network without variables.
    pub fn new() -> Self {
        Self::default()
    }

    /// An empty network that shares the plans of another: one built by the
    /// same calls with other numbers is then solved without planning anew.
    pub fn sharing_plans_of(other: &Network) -> Self {
        Network {
            nodes: Vec::with_capacity(other.nodes.len()),
            plans: other.plans.clone(),
            few: None,
        }
    }

    /// The same network without the plans made so far.
    pub fn without_plans(&self) -> Self {
        Network {
            nodes: self.nodes.clone(),
            plans: Plans::default(),
            few: self.few.clone(),
        }
    }

    /// Number of variables.
    pub fn len(&self) -> usize {
        self.nodes.len()
    }

    /// Whether there is no variable.
    pub fn is_empty(&self) -> bool {
        self.nodes.is_empty()
    }

    /// All variables, parents before children.
    pub fn vars(&self) -> impl Iterator<Item = Var> + '_ {
        (0..self.nodes.len() as u32).map(Var)
    }

    /// The name given to a variable.
    pub fn name(&self, var: Var) -> &str {
        &self.nodes[var.index()].name
    }

    /// Number of states of a variable.
    pub fn states(&self, var: Var) -> usize {
        self.nodes[var.index()].states
    }

    pub(super) fn part(&self, var: Var) -> u32 {
        self.nodes[var.index()].part
    }

    /// Says that a variable belongs to one of several parts that are tied to
    /// each other by little (a cylinder of an engine). A hint for the order of
    /// elimination: it never changes an answer, only the work.
    pub fn belongs(&mut self, var: Var, part: u32) {
        self.nodes[var.index()].part = part;
    }

    /// Rules out that more than `most` of these binary variables are present
    /// together without one of them being a parent of the other: every
    /// probability is then given that no more are. Causes that act on everything
    /// can be many, as long as few of them come together unprovoked; the work
    /// grows with the number of such sets, not with `2^members`.
    /// Said once, when all variables are in.
    ///
    /// ```
    /// use sootsayer::network::{Evidence, Network, Solved};
    /// let mut net = Network::new();
    /// let a = net.add_table("a", 2, &[], vec![0.5, 0.5])?;
    /// let b = net.add_table("b", 2, &[], vec![0.5, 0.5])?;
    /// net.at_most(&[a, b], 1)?;
    /// let nothing = Solved::new(&net, &Evidence::new())?;
    /// assert!((nothing.marginal(a)?[1] - 1.0 / 3.0).abs() < 1e-12);
    /// # Ok::<(), sootsayer::network::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Shape`] if one is not binary, has a table with parents or a
    /// child with one, if there are more than [`MOST_MEMBERS`], or if it was said before.
    pub fn at_most(&mut self, members: &[Var], most: usize) -> Result<(), Error> {
        let tabled = |var: &Var| match self.gate(*var) {
            Gate::Table { parents, .. } => !parents.is_empty(),
            Gate::Max { .. } => false,
        };
        let unfit = |var: &Var| {
            self.states(*var) != 2 || tabled(var) || self.children(*var).iter().any(tabled)
        };
        if let Some(var) = members.iter().find(|var| unfit(var)) {
            return Err(Error::Shape(format!(
                "`{}` cannot be counted: it must have two states, and no table with parents",
                self.name(*var)
            )));
        }
        if self.few.is_some() || members.len() > MOST_MEMBERS {
            return Err(Error::Shape(format!(
                "variables are counted once, {MOST_MEMBERS} at most"
            )));
        }
        let mut members = members.to_vec();
        members.sort();
        members.dedup();
        self.few = (!members.is_empty()).then_some(Few { members, most });
        Ok(())
    }

    /// The variables counted by [`Network::at_most`], and how many of them may be present together.
    pub fn counted(&self) -> Option<(&[Var], usize)> {
        let few = self.few.as_ref()?;
        Some((&few.members, few.most))
    }

    /// How the variable depends on its parents.
    pub fn gate(&self, var: Var) -> &Gate {
        &self.nodes[var.index()].gate
    }

    /// Variables that have this one as a parent, in the order added.
    pub fn children(&self, var: Var) -> &[Var] {
        &self.nodes[var.index()].children
    }

    /// Adds a variable with a conditional probability table: for each
    /// combination of parent states (last parent fastest) one row over its own states.
    ///
    /// # Errors
    /// [`Error::Shape`] if a parent is unknown or repeated, the table has the
    /// wrong length, or a row is not a distribution.
    pub fn add_table(
        &mut self,
        name: &str,
        states: usize,
        parents: &[Var],
        table: Vec<f64>,
    ) -> Result<Var, Error> {
        self.check_parents(name, parents)?;
        if states == 0 {
            return Err(Error::Shape(format!("`{name}` has no state")));
        }
        let rows = parents
            .iter()
            .try_fold(1usize, |n, p| n.checked_mul(self.states(*p)));
        if rows.and_then(|rows| rows.checked_mul(states)) != Some(table.len()) {
            return Err(Error::Shape(format!(
                "the table of `{name}` has {} numbers where {states} states and its parents need {}",
                table.len(),
                rows.and_then(|rows| rows.checked_mul(states))
                    .map_or("far more".to_string(), |n| n.to_string()),
            )));
        }
        for row in table.chunks_exact(states) {
            distribution(name, row)?;
        }
        let parents = parents.to_vec();
        Ok(self.push(name, states, Gate::Table { parents, table }))
    }

    /// Adds a leaky noisy-MAX over binary parents; with two grades a leaky
    /// noisy-OR. `P(var <= k) = leak(<= k) * product over present parents of grades(<= k)`.
    ///
    /// # Errors
    /// [`Error::Shape`] if a parent is unknown, repeated or not binary, a
    /// vector is not a distribution over the grades, or there are more than [`MOST_GRADES`].
    pub fn add_max(
        &mut self,
        name: &str,
        leak: Vec<f64>,
        causes: Vec<(Var, Vec<f64>)>,
    ) -> Result<Var, Error> {
        let states = leak.len();
        let parents: Vec<Var> = causes.iter().map(|(parent, _)| *parent).collect();
        self.check_parents(name, &parents)?;
        if !(2..=MOST_GRADES).contains(&states) {
            return Err(Error::Shape(format!(
                "`{name}` has {states} grades; 2 to {MOST_GRADES} are possible"
            )));
        }
        distribution(name, &leak)?;
        let mut grades = Vec::with_capacity(states * causes.len());
        for (parent, row) in &causes {
            let of = self.name(*parent);
            if self.states(*parent) != 2 {
                return Err(Error::Shape(format!(
                    "`{of}` acts on `{name}` and so must have two states"
                )));
            }
            if row.len() != states {
                return Err(Error::Shape(format!(
                    "`{of}` on `{name}`: {} numbers for {states} grades",
                    row.len()
                )));
            }
            distribution(name, row)?;
            grades.extend_from_slice(row);
        }
        let gate = Gate::Max {
            leak,
            parents,
            grades,
        };
        Ok(self.push(name, states, gate))
    }

    fn check_parents(&self, name: &str, parents: &[Var]) -> Result<(), Error> {
        let mut sorted = parents.to_vec();
        sorted.sort();
        if let Some(unknown) = sorted.iter().find(|p| p.index() >= self.len()) {
            return Err(Error::Shape(format!(
                "a parent of `{name}` is unknown: variable {}",
                unknown.0
            )));
        }
        if let Some(two) = sorted.windows(2).find(|two| two[0] == two[1]) {
            return Err(Error::Shape(format!(
                "`{}` is a parent of `{name}` twice",
                self.name(two[0])
            )));
        }
        Ok(())
    }

    fn push(&mut self, name: &str, states: usize, gate: Gate) -> Var {
        let var = Var(self.nodes.len() as u32);
        for parent in gate.parents() {
            self.nodes[parent.index()].children.push(var);
        }
        self.nodes.push(Node {
            name: name.to_string(),
            states,
            gate,
            children: Vec::new(),
            part: WHOLE,
        });
        var
    }
}

fn distribution(name: &str, row: &[f64]) -> Result<(), Error> {
    if let Some(bad) = row
        .iter()
        .find(|p| !(0.0..=1.0 + ROW_TOLERANCE).contains(*p))
    {
        return Err(Error::Shape(format!(
            "`{name}` has {bad} where a probability belongs"
        )));
    }
    let sum: f64 = row.iter().sum();
    if (sum - 1.0).abs() > ROW_TOLERANCE {
        return Err(Error::Shape(format!(
            "a row of `{name}` adds up to {sum}, not to 1"
        )));
    }
    Ok(())
}
