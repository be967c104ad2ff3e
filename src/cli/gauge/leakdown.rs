//! `gauge leakdown`.

use super::super::cylinders::with_units;
use super::input::Inputs;
use super::{Air, Common};
use crate::answer::Ending;
use crate::gauge::leakdown::{BORE, LEAKAGE, LeakDown, RESTRICTOR, SUPPLY, Tester, check_typed};
use crate::gauge::sheet::{Line, Sheet};
use crate::gauge::{
    Absolute, Area, Figure, Kind, Length, Pressure, Range, Share, UnitSet, air, of, units,
};
use crate::problem::Problem;
use clap::Args;

/// Effective leak areas that a tester can tell.
const AREA: Range<of::Area> = Range::new("leak", 0.0, 500.0, units::MM2);

/// Arguments of `gauge leakdown`.
#[derive(Debug, Args)]
pub struct Leakdown {
    /// Readings, one for each cylinder: `60/80psi` or `38%`
    #[arg(value_name = "READING", allow_negative_numbers = true)]
    readings: Vec<String>,
    /// Restrictor of the tester, 0.2 to 5 mm in diameter, such as `0.040in`; without it only percentages
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    restrictor: Option<String>,
    /// Supply of the tester, 35 to 1050 kPa; 80 psi when left out
    #[arg(long, value_name = "PRESSURE", allow_hyphen_values = true)]
    supply: Option<String>,
    #[command(flatten)]
    air: Air,
    /// Bore, 15 to 400 mm: tells the leak for each metre of circumference
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    bore: Option<String>,
    /// Restrictor of another tester
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    to_restrictor: Option<String>,
    /// Supply of another tester
    #[arg(long, value_name = "PRESSURE", allow_hyphen_values = true)]
    to_supply: Option<String>,
    /// Altitude of another place
    #[arg(long, value_name = "HEIGHT", allow_hyphen_values = true)]
    to_altitude: Option<String>,
    /// What a leak of this effective area would read, 0 to 500 mm2
    #[arg(
        long,
        value_name = "AREA",
        conflicts_with = "readings",
        allow_hyphen_values = true
    )]
    leak: Option<String>,
}

impl Leakdown {
    /// Works it out.
    ///
    /// # Errors
    /// Every input that cannot be.
    pub fn sheet(&self, common: &Common) -> Result<Sheet, Ending> {
        let mut inputs = Inputs::new(common);
        let around = inputs.air(&self.air);
        let supply = inputs.take("supply", self.supply.as_ref(), Kind::Pressure, &SUPPLY);
        let tester = Tester {
            restrictor: inputs.take(
                "restrictor",
                self.restrictor.as_ref(),
                Kind::Length,
                &RESTRICTOR,
            ),
            supply: supply.unwrap_or(Pressure::of(80.0, units::PSI)),
            around,
        };
        let other = self.other(&mut inputs, tester);
        let bore = inputs.take("bore", self.bore.as_ref(), Kind::Length, &BORE);
        let leak = inputs.take("leak", self.leak.as_ref(), Kind::Area, &AREA);
        if self.readings.is_empty() && self.leak.is_none() {
            inputs.refuse(
                Problem::new("there is no reading").hint(
                    "give one for each cylinder, as in `60/80psi 72/80psi`, or `--leak 0.9mm2`",
                ),
            );
        }
        let mut sheet = Sheet {
            gauge: "leakdown",
            formula: "A_leak / A_restrictor = Ps psi(Pc/Ps) / (Pc psi(Pa/Pc)), pressures absolute; psi(r) = sqrt(2g/(g-1) (r^(2/g) - r^((g+1)/g))), at most its value at the critical ratio 0.528; g = 1.4. Percent lost = 1 - Pc/Ps by the gauges. Discharge coefficient and temperature are taken alike at both holes.",
            sources: vec![
                "NACA Report 1135, Equations, Tables and Charts for Compressible Flow, 1953 (from memory; agrees with printed tables for k 1.4)".into(),
                "FAA AC 43.13-1B, 8-14: restrictor 0.040 in below 5.00 in of bore, 0.060 in from there; supply 80 psi; a maker advises 0.040 in for all".into(),
                "U.S. Standard Atmosphere, 1976".into(),
            ],
            ..Sheet::default()
        };
        let readings = with_units(&self.readings);
        for (index, text) in readings.iter().enumerate() {
            let row = self.row(index + 1, text, tester, other, bore, common.units);
            sheet.rows.extend(inputs.kept(row));
        }
        if let Some(leak) = leak {
            let shown = inputs.kept(tester.shows(leak));
            sheet
                .found
                .extend(shown.map(|lost| Line::figure("lost", "lost", lost, units::PERCENT)));
            let there = other.and_then(|other| inputs.kept(other.shows(leak)));
            sheet.found.extend(there.map(|lost| {
                Line::figure(
                    "lost_on_other",
                    "lost on the other tester",
                    lost,
                    units::PERCENT,
                )
            }));
        }
        sheet.given = inputs.done()?;
        if !sheet.rows.is_empty() {
            sheet
                .says
                .push("Ratio: the leak's effective area over the restrictor's.".into());
        }
        if bore.is_some() && tester.restrictor.is_some() {
            sheet.says.push("Gap: as wide as a gap all round the bore would be; it compares small cylinders with large.".into());
        }
        if tester.restrictor.is_none() && !self.readings.is_empty() {
            sheet.says.push("The restrictor is not known: only the percentage and the ratio of areas can be told.".into());
        }
        Ok(sheet)
    }

    /// The other tester, if any of it was given; what was not is as the first.
    fn other(&self, inputs: &mut Inputs, tester: Tester) -> Option<Tester> {
        let restrictor = inputs.take(
            "to_restrictor",
            self.to_restrictor.as_ref(),
            Kind::Length,
            &RESTRICTOR,
        );
        let supply = inputs.take(
            "to_supply",
            self.to_supply.as_ref(),
            Kind::Pressure,
            &SUPPLY,
        );
        let altitude = inputs.take(
            "to_altitude",
            self.to_altitude.as_ref(),
            Kind::Altitude,
            &air::ALTITUDE,
        );
        let around: Option<Absolute> =
            altitude.and_then(|height| inputs.kept(air::pressure_at(height)));
        (restrictor.is_some() || supply.is_some() || around.is_some()).then(|| Tester {
            restrictor: restrictor.or(tester.restrictor),
            supply: supply.unwrap_or(tester.supply),
            around: around.unwrap_or(tester.around),
        })
    }

    fn row(
        &self,
        cylinder: usize,
        text: &str,
        tester: Tester,
        other: Option<Tester>,
        bore: Option<Length>,
        set: UnitSet,
    ) -> Result<Vec<Line>, Problem> {
        let named = |problem: Problem| Problem {
            what: format!("cylinder {cylinder}: {}", problem.what),
            ..problem
        };
        let figure = Figure::parse(text, Kind::Leakage, set).map_err(named)?;
        check_typed(&figure).map_err(named)?;
        let leak = worked(&figure, tester).map_err(named)?;
        let mut row = vec![
            Line::words("cylinder", "Cylinder", cylinder.to_string()),
            Line::words("reading", "Reading", figure.to_string()),
            Line::figure("lost", "Lost", leak.lost, units::PERCENT),
            match leak.ratio.is_finite() {
                true => Line::number("ratio", "Ratio", leak.ratio),
                false => Line::unknown("ratio", "Ratio", "nothing is held"),
            },
        ];
        let area = |area: Area| match set {
            UnitSet::Metric => Line::figure("area", "Leak", area, units::MM2),
            UnitSet::Us => Line::figure("area", "Leak", area, units::IN2),
        };
        row.push(
            leak.area
                .map_or(Line::unknown("area", "Leak", "restrictor not known"), area),
        );
        if let Some(bore) = bore {
            // mm2 of leak for each metre of circumference: 1 mm2/m is a micrometre all round.
            row.push(match leak.per_circumference(bore).map_err(named)? {
                Some(gap) => Line::figure("gap", "Gap", gap, units::MICRON),
                None => Line::unknown("gap", "Gap", "restrictor not known"),
            });
        }
        if let Some(other) = other {
            let lost = leak.on(&other).map_err(named)?;
            row.push(Line::figure(
                "lost_on_other",
                "Other tester",
                lost,
                units::PERCENT,
            ));
        }
        Ok(row)
    }
}

/// A reading in either form on this tester.
fn worked(figure: &Figure, tester: Tester) -> Result<LeakDown, Problem> {
    match figure.over {
        Some(over) => {
            let supply = Pressure::from_si(figure.unit.to_si(over));
            let tester = Tester { supply, ..tester };
            LeakDown::of_gauges(&tester, Pressure::from_si(figure.unit.to_si(figure.value)))
        }
        None => {
            let lost = Share::from_si(figure.unit.to_si(figure.value));
            LEAKAGE.check_in(lost, figure.unit)?;
            LeakDown::of_percent(&tester, lost)
        }
    }
}
