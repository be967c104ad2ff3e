//! Plans: the recorded program that solves every network of one structure,
//! and the store that keeps those made so far.

use super::cheapest::best_plan;
use super::core::Core;
use super::gather::Gather;
use super::join::Join;
use super::reduced::Reduced;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

/// Most plans kept at a time; the store is emptied when it is full.
const MOST_PLANS: usize = 512;

/// A stretch of the arena that holds one table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Table {
    pub at: usize,
    pub len: usize,
}

/// A contribution to one max dimension of a table.
#[derive(Debug, Clone, Copy)]
pub(super) struct Hit {
    pub link: u32,
    pub states: usize,
    /// Distance between neighbouring bands; unused if the dimension is new.
    pub stride: usize,
}

/// One linear step from tables to a table.
#[derive(Debug, Clone)]
pub(super) enum Step {
    /// The leak of a max dimension with every cause that acts on it alone:
    /// one vector after another, the last is the result.
    Fold {
        open: u32,
        links: Vec<u32>,
        at: usize,
        states: usize,
    },
    /// The number one.
    Unit { to: Table },
    /// A table of the reduced network as it is.
    Load { dense: u32, to: Table },
    /// Sums a binary variable out of its links: `to = w0 from + w1 hits(from)`.
    Absorb {
        plain: u32,
        hits: Vec<Hit>,
        /// How many of the hits are on dimensions that `from` has.
        old: usize,
        from: Table,
        to: Table,
    },
    /// The same for a variable whose chance depends on others, which the result
    /// keeps outermost: for each combination `s` of their states
    /// `to[s] = t(0, s) w0 from[at[s]] + t(1, s) w1 hits(from[at[s]])`, with `t`
    /// the small table `dense` and `from` as brought into order by `pack`.
    AbsorbBy {
        plain: u32,
        dense: u32,
        at: Vec<u32>,
        pack: Option<Gather>,
        hits: Vec<Hit>,
        old: usize,
        from: Table,
        to: Table,
    },
    /// Multiplies links of a variable in and keeps it as the outermost
    /// dimension; `own` if `from` has it already (brought outermost by `pack`).
    Gate {
        plain: u32,
        own: bool,
        pack: Option<Gather>,
        hits: Vec<Hit>,
        old: usize,
        from: Table,
        to: Table,
    },
    /// Multiplies two tables and sums out what no other table holds.
    Join(Box<Join>),
    /// Sums one dimension out.
    Close {
        element: u32,
        states: usize,
        stride: usize,
        from: Table,
        to: Table,
    },
    /// A max dimension turns into the plain variable that it is: picks entries.
    Settle {
        pick: Gather,
        from: Table,
        to: Table,
    },
}

impl Step {
    pub fn to(&self) -> Table {
        match self {
            Step::Fold {
                at, links, states, ..
            } => Table {
                at: at + links.len() * states,
                len: *states,
            },
            Step::Unit { to }
            | Step::Load { to, .. }
            | Step::AbsorbBy { to, .. }
            | Step::Absorb { to, .. }
            | Step::Gate { to, .. }
            | Step::Close { to, .. }
            | Step::Settle { to, .. } => *to,
            Step::Join(join) => join.to,
        }
    }
}

/// Steps from the numbers of a reduced network to the probability of the evidence.
#[derive(Debug, Clone, Default)]
pub(super) struct Plan {
    pub steps: Vec<Step>,
    /// Scalars whose product is the probability.
    pub roots: Vec<Table>,
    /// Entries of all tables together.
    pub arena: usize,
    /// Scratch entries that the dearest step needs.
    pub scratch: usize,
    /// Multiplications of one forward pass, about.
    pub work: f64,
}

/// A plan, or the entries that the best one found would need.
type Made = Result<Arc<Plan>, f64>;

/// Plans by structure, shared between a network and its copies.
#[derive(Debug, Clone, Default)]
pub(super) struct Plans {
    made: Arc<Mutex<BTreeMap<Vec<u32>, Made>>>,
}

impl Plans {
    /// The plan for this structure, made if there is none yet; or the size that it would need.
    pub fn plan(&self, reduced: &Reduced, core: &Core) -> Result<Arc<Plan>, f64> {
        let signature = core.signature(reduced);
        if let Ok(made) = self.made.lock()
            && let Some(plan) = made.get(&signature)
        {
            return plan.clone();
        }
        let plan = best_plan(reduced, core).map(Arc::new);
        if let Ok(mut made) = self.made.lock() {
            if made.len() >= MOST_PLANS {
                made.clear();
            }
            made.insert(signature, plan.clone());
        }
        plan
    }
}
