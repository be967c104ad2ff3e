//! What `@WHERE` means on one engine.

use crate::engine::{Engine, Place};
use crate::problem::Problem;
use crate::rules::file::Scope;
use crate::words::listed;

/// The places meant by `@WHERE` for something of a scope; `of` names it in errors.
///
/// `all` is every place of the scope, `1,3` is several, a cylinder with two
/// plugs is both of them, and nothing at all is the only place there is.
///
/// # Errors
/// No such place, a cylinder that the engine lacks, cylinders that are no
/// neighbours, a place where none belongs, no place where one is needed.
pub fn places(
    engine: &Engine,
    scope: Scope,
    at: Option<&str>,
    of: &str,
) -> Result<Vec<Place>, Problem> {
    let all = engine.places(scope);
    let Some(at) = at else {
        return match all.as_slice() {
            [_] => Ok(all),
            [] => Err(Problem::new(format!(
                "`{of}` is of neighbouring cylinders; this engine has none"
            ))),
            [first, ..] => Err(
                Problem::new(format!("`{of}` needs a place: {}", needed(scope))).hint(format!(
                    "write `{of}@{first}=...`, or `{of}@all=...` for all alike"
                )),
            ),
        };
    };
    if at == "all" {
        return Ok(all);
    }
    let mut places = vec![];
    for word in at.split(',') {
        let place: Place = word.trim().parse().map_err(Problem::new)?;
        for met in one(engine, scope, place, of)? {
            if !places.contains(&met) {
                places.push(met);
            }
        }
    }
    Ok(places)
}

fn needed(scope: Scope) -> &'static str {
    match scope {
        Scope::Engine => "the engine",
        Scope::Cylinder => "it is read at each cylinder",
        Scope::Pair => "it is read between neighbouring cylinders",
        Scope::Plug => "it is read at each plug",
    }
}

/// The places of a scope that one written place means.
fn one(engine: &Engine, scope: Scope, place: Place, of: &str) -> Result<Vec<Place>, Problem> {
    let all = engine.places(scope);
    if all.contains(&place) {
        return Ok(vec![place]);
    }
    let count = engine.cylinders();
    if let Some(missing) = place
        .cylinders()
        .into_iter()
        .find(|n| !(1..=count).contains(n))
    {
        let problem = Problem::new(format!("this engine has no cylinder {missing}"));
        return Err(match count {
            1 => problem.hint("it has one cylinder"),
            _ => problem.hint(format!("its cylinders are 1 to {count}")),
        });
    }
    let dual = engine.traits.contains("dual-plug");
    match (scope, place) {
        (Scope::Plug, Place::Cylinder(n)) if dual => Ok(vec![Place::Upper(n), Place::Lower(n)]),
        (Scope::Plug, Place::Upper(n) | Place::Lower(n)) => {
            Err(Problem::new("this engine has one plug to a cylinder")
                .hint(format!("write `{of}@{n}=...`")))
        }
        (Scope::Engine, _) => Err(Problem::new(format!(
            "`{of}` is of the whole engine, not of a cylinder"
        ))
        .hint(format!("write `{of}=...`"))),
        (Scope::Pair, Place::Pair(a, b)) => {
            let pairs: Vec<String> = all.iter().map(Place::to_string).collect();
            Err(Problem::new(format!(
                "cylinders {a} and {b} are no neighbours on one bank"
            ))
            .hint(format!("neighbours are {}", listed(&pairs, "and"))))
        }
        _ => {
            let such = all
                .first()
                .map_or(String::new(), |p| format!(", such as `{of}@{p}=...`"));
            Err(Problem::new(format!("`{place}` is no place for `{of}`"))
                .hint(format!("{}{such}", needed(scope))))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::file::Dimensions;

    fn six(traits: &[&str]) -> Engine {
        Engine {
            name: "six".into(),
            family: "any".into(),
            traits: traits.iter().map(|t| t.to_string()).collect(),
            banks: Engine::deal(6, 2),
            dimensions: Dimensions::default(),
        }
    }

    fn shown(scope: Scope, at: Option<&str>, traits: &[&str]) -> String {
        match places(&six(traits), scope, at, "it") {
            Ok(places) => places
                .iter()
                .map(Place::to_string)
                .collect::<Vec<_>>()
                .join(" "),
            Err(problem) => problem.what,
        }
    }

    #[test]
    fn places_are_those_of_the_scope() {
        assert_eq!(shown(Scope::Cylinder, Some("3"), &[]), "3");
        assert_eq!(shown(Scope::Cylinder, Some("all"), &[]), "1 2 3 4 5 6");
        assert_eq!(shown(Scope::Cylinder, Some("1,3,1"), &[]), "1 3");
        assert_eq!(shown(Scope::Pair, Some("all"), &[]), "1-3 2-4 3-5 4-6");
        assert_eq!(shown(Scope::Pair, Some("5-3"), &[]), "3-5");
        assert_eq!(shown(Scope::Engine, None, &[]), "engine");
        assert_eq!(
            shown(Scope::Plug, Some("2"), &["dual-plug"]),
            "2-upper 2-lower"
        );
        assert_eq!(shown(Scope::Plug, Some("2"), &["single-plug"]), "2");
    }

    #[test]
    fn what_the_engine_lacks_is_said() {
        assert_eq!(
            shown(Scope::Cylinder, Some("9"), &[]),
            "this engine has no cylinder 9"
        );
        assert_eq!(
            shown(Scope::Cylinder, Some("0"), &[]),
            "this engine has no cylinder 0"
        );
        assert_eq!(
            shown(Scope::Pair, Some("2-3"), &[]),
            "cylinders 2 and 3 are no neighbours on one bank"
        );
        assert_eq!(
            shown(Scope::Plug, Some("2-upper"), &["single-plug"]),
            "this engine has one plug to a cylinder"
        );
        assert_eq!(
            shown(Scope::Engine, Some("2"), &[]),
            "`it` is of the whole engine, not of a cylinder"
        );
        assert_eq!(
            shown(Scope::Cylinder, None, &[]),
            "`it` needs a place: it is read at each cylinder"
        );
        assert_eq!(
            shown(Scope::Cylinder, Some("2-4"), &[]),
            "`2-4` is no place for `it`"
        );
    }
}
