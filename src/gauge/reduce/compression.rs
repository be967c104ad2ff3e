//! Compression against what a sound cylinder would read, dry against wet, the
//! first stroke against the last.

use super::{Bench, Raw, Reduced, said, settled};
use crate::engine::Place;
use crate::gauge::compression::{Cranking, Working, carried, expected};
use crate::gauge::reference::{Estimate, reference};
use crate::gauge::{Angle, Pressure, Turning, air, units};
use crate::problem::Problem;
use crate::rules::Rules;

/// The dry figure that the others are told against.
const DRY: &str = "compression";
/// What stands for it where the strokes were counted and no last figure was
/// taken: manuals judge a cylinder after four.
const FOURTH: &str = "compression-fourth-stroke";

/// The readings, the fourth stroke's standing for the last one's at every
/// cylinder that has no other.
pub fn with_last_strokes<'a>(rules: &'a Rules, raws: &[Raw<'a>]) -> Vec<Raw<'a>> {
    let mut all = raws.to_vec();
    let Some(dry) = rules.readings.get(DRY) else {
        return all;
    };
    let is = |raw: &Raw, id: &str| raw.reading.reading == id;
    let has_dry = |place: Place| raws.iter().any(|raw| is(raw, DRY) && raw.place == place);
    let fourth = raws
        .iter()
        .filter(|raw| is(raw, FOURTH) && !has_dry(raw.place));
    all.extend(fourth.map(|raw| Raw {
        reading: &dry.it,
        ..raw.clone()
    }));
    all
}

/// What is known of this engine and its cranking, at sea level: speed and heat
/// as last recorded.
pub fn cranking(bench: &Bench, raws: &[Raw]) -> Cranking {
    let last = |of: fn(&Raw) -> Option<Turning>| raws.iter().filter_map(of).next_back();
    let speed = last(|raw| {
        let unit = raw.figure.unit.typed()?;
        (raw.reading.reading == "cranking-speed").then(|| Turning::of(raw.figure.value, unit))
    });
    let dry = raws.iter().filter(|raw| raw.reading.reading == DRY);
    let warm = dry.filter_map(|raw| raw.warm).next_back();
    let engine = bench.engine;
    let dimensions = &engine.dimensions;
    let has = |word: &str| engine.traits.contains(word);
    let working = match (has("diesel"), has("two-stroke")) {
        (true, _) => Working::Diesel,
        (false, true) => Working::SparkTwoStroke,
        (false, false) => Working::Spark,
    };
    let kpa = |figure: Option<f64>| figure.map(|p| Pressure::of(p, units::KPA));
    Cranking {
        ratio: dimensions.compression_ratio,
        closes: dimensions.intake_closes_deg.map(Angle::from_si),
        rod_ratio: dimensions
            .rod_mm
            .zip(dimensions.stroke_mm)
            .map(|(rod, stroke)| rod / stroke),
        decompressor: has("decompressor"),
        speed,
        warm,
        maker_normal: kpa(bench.own.compression_normal_kpa),
        maker_least: kpa(bench.own.compression_limit_kpa),
        ..Cranking::of(working)
    }
}

/// What a sound cylinder of this engine should read in the shop's air.
#[derive(Debug, Clone, PartialEq)]
pub struct Sound {
    /// Most likely.
    pub likely: Pressure,
    /// One sound cylinder in twenty reads below it.
    pub low: Pressure,
    /// One in twenty reads above it.
    pub high: Pressure,
    /// What was assumed, in words.
    pub assumed: Vec<String>,
    /// A figure usual for the family, weighed in where the maker's is not known.
    pub usual: Option<Pressure>,
}

/// The band that readings are judged by; none for an engine that cannot be reckoned.
pub fn sound(bench: &Bench, raws: &[Raw]) -> Option<Sound> {
    let band = band(raws, bench, &mut vec![])?;
    let engine = cranking(bench, raws);
    let usual = bench.engine.dimensions.compression_normal_kpa;
    let here = |kpa: f64| {
        let figure = Pressure::of(kpa, units::KPA);
        carried(figure, air::SEA_LEVEL, bench.shop.around)
    };
    Some(Sound {
        likely: here(band.value),
        low: here(band.value - 1.645 * band.deviation),
        high: here(band.value + 1.645 * band.deviation),
        assumed: expected(&engine).ok()?.assumed,
        usual: usual.filter(|_| engine.maker_normal.is_none()).map(here),
    })
}

/// The band of a sound cylinder in kPa, a typical figure for the family weighed in.
fn band(raws: &[Raw], bench: &Bench, problems: &mut Vec<Problem>) -> Option<Estimate> {
    let engine = cranking(bench, raws);
    let expected = match expected(&engine) {
        Ok(expected) => expected,
        Err(problem) => {
            problems.push(problem);
            return None;
        }
    };
    let kpa = |p: Pressure| p.get(units::KPA);
    let worked = Estimate {
        value: kpa(expected.likely),
        deviation: kpa(expected.deviation),
    };
    let typical = bench.engine.dimensions.compression_normal_kpa;
    Some(match (engine.maker_normal, typical) {
        (None, Some(typical)) => weighed(worked, typical, 0.12),
        _ => worked,
    })
}

/// Two estimates of one figure, each weighed by its error.
fn weighed(one: Estimate, value: f64, share: f64) -> Estimate {
    let (a, b) = (one.deviation.powi(-2), (value * share).powi(-2));
    Estimate {
        value: (one.value * a + value * b) / (a + b),
        deviation: (a + b).powf(-0.5),
    }
}

/// Readings of one kind as they would be at sea level, so that the altitude cancels.
fn at_sea_level(
    reading: &str,
    raws: &[Raw],
    bench: &Bench,
    problems: &mut Vec<Problem>,
) -> Vec<Reduced> {
    let mut found = settled(reading, raws, bench, problems);
    for it in &mut found {
        let here = Pressure::of(it.value, units::KPA);
        it.value = carried(here, bench.shop.around, air::SEA_LEVEL).get(units::KPA);
        it.deviation *= air::SEA_LEVEL / bench.shop.around;
    }
    found
}

/// Each cylinder over what a sound one would read here today.
pub(super) fn share_of_reference(
    reading: &str,
    raws: &[Raw],
    bench: &Bench,
    problems: &mut Vec<Problem>,
) -> Vec<Reduced> {
    let all = at_sea_level(reading, raws, bench, problems);
    let band = band(raws, bench, problems);
    let mut found = Vec::new();
    for own in &all {
        let sisters: Vec<f64> = all
            .iter()
            .filter(|it| it.place != own.place)
            .map(|it| it.value)
            .collect();
        let Some(level) = reference(band, &sisters) else {
            problems.push(
                Problem::new("compression on one cylinder alone cannot be judged").hint(
                    "give the compression ratio or the maker's figure, or take the other cylinders",
                ),
            );
            continue;
        };
        let share = own.value / level.value;
        let here = carried(
            Pressure::of(level.value, units::KPA),
            air::SEA_LEVEL,
            bench.shop.around,
        );
        found.push(Reduced {
            place: own.place,
            value: share,
            deviation: (own.deviation / level.value).hypot(share * level.deviation / level.value),
            from: own.from.clone(),
            how: format!(
                "{} % of the {} kPa that a sound cylinder should read here",
                said(100.0 * share),
                said(here.get(units::KPA))
            ),
        });
    }
    found
}

/// The figures of two readings where both were taken, at one place.
fn pairs(
    reading: &str,
    raws: &[Raw],
    bench: &Bench,
    problems: &mut Vec<Problem>,
) -> Vec<(Reduced, Reduced)> {
    let dry = at_sea_level(DRY, raws, bench, problems);
    let mut pairs = Vec::new();
    for own in at_sea_level(reading, raws, bench, problems) {
        match dry
            .iter()
            .find(|it| it.place == own.place && it.value > 0.0)
        {
            Some(dry) => pairs.push((own, dry.clone())),
            None => problems.push(lonely(reading, raws, own.place)),
        }
    }
    pairs
}

fn lonely(reading: &str, raws: &[Raw], place: Place) -> Problem {
    let title = raws
        .iter()
        .find(|raw| raw.reading.reading == reading)
        .map_or(reading, |raw| raw.reading.title.as_str());
    Problem::new(format!(
        "{title} on {place}: there is no dry reading to tell it against"
    ))
    .hint(match reading.ends_with("first-stroke") {
        true => format!("record `{DRY}@{place}`, or `{FOURTH}@{place}`, as well"),
        false => format!("record `{DRY}@{place}` as well"),
    })
}

/// Own over dry, and its deviation.
fn ratio(own: &Reduced, dry: &Reduced) -> (f64, f64) {
    let ratio = own.value / dry.value;
    let deviation = (own.deviation / dry.value).hypot(ratio * dry.deviation / dry.value);
    (ratio, deviation)
}

fn told(own: &Reduced, dry: &Reduced, (value, deviation): (f64, f64), how: String) -> Reduced {
    Reduced {
        place: own.place,
        value,
        deviation,
        from: own.from.iter().chain(&dry.from).copied().collect(),
        how,
    }
}

/// Wet over dry, less one.
pub(super) fn rise_over_dry(
    reading: &str,
    raws: &[Raw],
    bench: &Bench,
    problems: &mut Vec<Problem>,
) -> Vec<Reduced> {
    pairs(reading, raws, bench, problems)
        .iter()
        .map(|(wet, dry)| {
            let (ratio, deviation) = ratio(wet, dry);
            let how = format!("{} % over dry", said(100.0 * (ratio - 1.0)));
            told(wet, dry, (ratio - 1.0, deviation), how)
        })
        .collect()
}

/// The first stroke over the last.
pub(super) fn share_of_final(
    reading: &str,
    raws: &[Raw],
    bench: &Bench,
    problems: &mut Vec<Problem>,
) -> Vec<Reduced> {
    pairs(reading, raws, bench, problems)
        .iter()
        .map(|(first, last)| {
            let of = ratio(first, last);
            told(
                first,
                last,
                of,
                format!("first stroke {} % of the last", said(100.0 * of.0)),
            )
        })
        .collect()
}

/// The same where the last stroke's figure is itself low: a cylinder that
/// builds nothing because it was full at once is sound, and is left out.
pub(super) fn share_when_low(
    reading: &str,
    raws: &[Raw],
    bench: &Bench,
    problems: &mut Vec<Problem>,
) -> Vec<Reduced> {
    let low: Vec<Place> = share_of_reference(DRY, raws, bench, problems)
        .iter()
        .filter(|it| it.value < 0.80)
        .map(|it| it.place)
        .collect();
    let mut found = share_of_final(reading, raws, bench, problems);
    found.retain(|it| low.contains(&it.place));
    found
}
