//! One thing at a time: the order in which to do several jobs when the engine
//! is tried after each and the work stops at the one that cures it.
//!
//! With one fault present and jobs that are apart from each other, falling
//! probability over cost costs least on average (D. Heckerman, J. Breese and
//! K. Rommelse, Decision-Theoretic Troubleshooting, Comm. ACM 38(3), 1995). With
//! several faults it is a good order, not always the best; what it costs on
//! average is exact whatever the order.

/// Jobs in the order to do them, and what that costs on average.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// Indices of the jobs.
    pub jobs: Vec<usize>,
    /// For each in that order the chance that it comes to that job at all.
    pub reached: Vec<f64>,
    /// Expected cost.
    pub expected: f64,
}

/// Orders jobs by the chance that each alone cures, over its cost; ties as given.
///
/// `cures` gives the chance that a set of jobs done together cures.
///
/// # Errors
/// What `cures` refuses.
pub fn by_chance_over_cost<E>(
    costs: &[f64],
    mut cures: impl FnMut(&[usize]) -> Result<f64, E>,
) -> Result<Order, E> {
    let mut rates = Vec::new();
    for (job, cost) in costs.iter().enumerate() {
        rates.push(cures(&[job])? / cost.max(f64::MIN_POSITIVE));
    }
    let mut jobs: Vec<usize> = (0..costs.len()).collect();
    jobs.sort_by(|a, b| rates[*b].total_cmp(&rates[*a]).then(a.cmp(b)));
    as_given(jobs, costs, cures)
}

/// What an order costs on average.
///
/// # Errors
/// What `cures` refuses.
pub fn as_given<E>(
    jobs: Vec<usize>,
    costs: &[f64],
    mut cures: impl FnMut(&[usize]) -> Result<f64, E>,
) -> Result<Order, E> {
    let (mut expected, mut reached) = (0.0, Vec::new());
    for (done, job) in jobs.iter().enumerate() {
        let uncured = match done {
            0 => 1.0,
            _ => 1.0 - cures(&jobs[..done])?,
        };
        reached.push(uncured);
        expected += uncured * costs[*job];
    }
    Ok(Order {
        jobs,
        reached,
        expected,
    })
}
