//! The cheapest plan of many orders of elimination, within a bound on planning.

use super::compile::{Compiler, Stop};
use super::core::Core;
use super::order::{Graph, Order};
use super::plans::Plan;
use super::reduced::Reduced;

/// Plans cheaper than this (multiplications) are taken without a second try.
const CHEAP: f64 = 20_000.0;

/// One further order is tried for each so many multiplications of the first plan.
const WORK_PER_TRY: f64 = 300_000.0;

/// Most further orders tried.
const MOST_TRIES: f64 = 24.0;

/// One in so many of the orders tried is worked out in full.
const TRIES_PER_PLAN: usize = 4;

/// Declared limit: multiplications of one run, a few hundredths of a second.
/// Evidence that needs more is answered with a proved interval ([`super::relax`]).
pub const MOST_WORK: f64 = 2.5e7;

/// No order is looked for where the first promises so many times the limit.
const HOPELESS: f64 = 2.0;

/// The cheapest plan found, or the entries that the best one would need.
/// Planning is bounded: the dearer the first plan, the more orders are tried.
pub(super) fn best_plan(reduced: &Reduced, core: &Core) -> Result<Plan, f64> {
    let folded = core.folded(reduced);
    let graph = core.graph(reduced, &folded);
    let attempt = |order: &Order, dry, work| {
        Compiler::new(reduced, core, &folded, dry).run(&order.elements, work)
    };
    let order = straightest(&graph);
    if order.cost > HOPELESS * MOST_WORK {
        return Err(order.cost);
    }
    let first = attempt(&order, false, f64::INFINITY);
    let mut least = match &first {
        Ok(plan) if plan.work < CHEAP => return first.map_err(|_| 0.0),
        Ok(plan) => plan.work,
        Err(_) => f64::INFINITY,
    };
    let tries = (least / WORK_PER_TRY).clamp(2.0, MOST_TRIES) as u64;
    let parts = graph.has_parts();
    let mut orders: Vec<Order> = (0..tries)
        .map(|seed| graph.order(Some(seed), parts && seed % 2 == 0))
        .collect();
    orders.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    orders.truncate(orders.len().div_ceil(TRIES_PER_PLAN));
    let mut best = None;
    let mut over = match &first {
        Err(Stop::TooLarge(entries)) => *entries,
        _ => f64::INFINITY,
    };
    for order in orders {
        match attempt(&order, true, least) {
            Ok(plan) => {
                least = plan.work;
                best = Some(order);
            }
            Err(Stop::TooLarge(entries)) => over = over.min(entries),
            Err(Stop::Dearer) => {}
        }
    }
    let plan = match best {
        Some(order) => attempt(&order, false, f64::INFINITY),
        None => first,
    };
    match plan {
        Ok(plan) if plan.work > MOST_WORK => Err(plan.arena as f64),
        plan => plan.map_err(|_| over),
    }
}

/// The order without noise; part by part where that looks cheaper.
fn straightest(graph: &Graph) -> Order {
    let order = graph.order(None, false);
    if order.cost < CHEAP || !graph.has_parts() {
        return order;
    }
    let by_part = graph.order(None, true);
    match by_part.cost < order.cost {
        true => by_part,
        false => order,
    }
}
