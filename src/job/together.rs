//! Several readings of one thing taken together.

/// Below this the best grade under two readings together is so much worse than
/// under each alone that one of them must be wrong: 20 decibans.
const CONTRADICTION: f64 = 0.01;

/// Below this share of the best (15 decibans) a grade is ruled out: rules are rougher than
/// that, and each grade kept in play doubles the network's work.
const RULED_OUT: f64 = 0.03;

/// Likelihoods of the same grades taken together, the best made 1, and whether they agree.
///
/// Those that agree multiply. Where two contradict, no grade that any of them
/// calls likely is ruled out. The order does not matter.
pub fn together(parts: &[&[f64]]) -> (Vec<f64>, bool) {
    let best = |of: &mut dyn Iterator<Item = f64>| of.fold(0.0, f64::max);
    let agree = parts.iter().enumerate().all(|(i, a)| {
        parts[..i]
            .iter()
            .all(|b| best(&mut a.iter().zip(*b).map(|(x, y)| x * y)) >= CONTRADICTION)
    });
    let grades = parts.iter().map(|p| p.len()).min().unwrap_or(0);
    let joined: Vec<f64> = (0..grades)
        .map(|k| {
            let of_grade = parts.iter().map(|p| p[k]);
            match agree {
                true => of_grade.product(),
                false => of_grade.fold(0.0, f64::max),
            }
        })
        .collect();
    let most = best(&mut joined.iter().copied());
    match most > 0.0 {
        true => {
            let share = |l: &f64| if l / most < RULED_OUT { 0.0 } else { l / most };
            (joined.iter().map(share).collect(), agree)
        }
        false => (vec![1.0; grades], agree),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn those_that_agree_multiply() {
        assert_eq!(
            together(&[&[1.0, 0.5], &[1.0, 0.5]]),
            (vec![1.0, 0.25], true)
        );
        assert_eq!(
            together(&[&[0.0, 1.0, 1.0], &[0.0, 0.0, 1.0]]),
            (vec![0.0, 0.0, 1.0], true)
        );
    }

    #[test]
    fn those_that_contradict_rule_nothing_out() {
        assert_eq!(
            together(&[&[1.0, 0.0, 0.0], &[0.0, 1.0, 0.0]]),
            (vec![1.0, 1.0, 0.0], false)
        );
    }

    #[test]
    fn many_repeats_near_a_bound_do_not_contradict() {
        let close: Vec<&[f64]> = vec![&[1.0, 0.3]; 12];
        let (likelihood, agree) = together(&close);
        assert!(agree && likelihood[0] == 1.0);
    }
}
