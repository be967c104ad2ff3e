//! The priced part of the shop file: currency, labour, markups, tax, the shop's
//! own prices and hours, and what it reckons for a comeback.
//!
//! Read with the rest of [`super::shop`]; what is not said is a default that is
//! judgement and is shown as such. Without it estimates are in hours.

use super::shop::Plain;
use crate::money::Currency;
use crate::rules::Rules;
use crate::rules::file::Range3;
use crate::rules::node::Step;
use crate::words::nearest;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Longest hours that one step of work may be said to take.
pub const MOST_HOURS: f64 = 1000.0;

/// As written under `pricing:`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PricingFile {
    /// ISO 4217 code: `EUR`.
    pub currency: String,
    /// One hour of labour: `88`.
    pub labour: Plain,
    /// Added to parts: `20%`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub markup: Option<Plain>,
    /// Added to machine-shop work: `10%`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub machine_markup: Option<Plain>,
    /// Tax on the whole: `19%`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tax: Option<Plain>,
    /// Prices of one, part id -> `62`, `60-95` or `60-70-95` (low, likely, high).
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub parts: BTreeMap<String, Plain>,
    /// The shop's own hours, repair or access id -> range.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub hours: BTreeMap<String, Range3>,
    /// Hours lost on a comeback before the work begins.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub comeback_hours: Option<f64>,
    /// What a fault left in place costs above its own repair: harm done and use lost, `50%`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub comeback_share: Option<Plain>,
    /// Hours of a day that one engine is worked on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub day_hours: Option<f64>,
    /// Days that parts take to come.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub parts_days: Option<f64>,
    /// Days that the machine shop takes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub machine_days: Option<f64>,
    /// Days for which an estimate holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub valid_days: Option<u32>,
}

/// What the shop charges; the default reckons in hours.
#[derive(Debug, Clone, PartialEq)]
pub struct Pricing {
    /// The currency, or hours.
    pub currency: Currency,
    /// One hour, in smallest units.
    pub labour: i64,
    /// On parts, in hundredths of a percent.
    pub markup: i64,
    /// On machine-shop work, in hundredths of a percent.
    pub machine_markup: i64,
    /// Tax, in hundredths of a percent.
    pub tax: i64,
    /// Price of one: low, likely, high, in smallest units.
    pub parts: BTreeMap<String, [i64; 3]>,
    /// Own hours by repair or access id.
    pub hours: BTreeMap<String, Range3>,
    /// Hours lost on a comeback; judgement when not said: 2.
    pub comeback_hours: f64,
    /// Share of its repair that a fault left in place costs on top; judgement when not said: 0.5.
    pub comeback_share: f64,
    /// Hours of a day worked on one engine; judgement when not said: 6.
    pub day_hours: f64,
    /// Days for parts to come; judgement when not said: 2.
    pub parts_days: f64,
    /// Days at the machine shop; judgement when not said: 5.
    pub machine_days: f64,
    /// Days that an estimate holds; 30 when not said.
    pub valid_days: u32,
}

impl Default for Pricing {
    fn default() -> Self {
        Pricing {
            currency: Currency::default(),
            labour: Currency::default().unit(),
            markup: 0,
            machine_markup: 0,
            tax: 0,
            parts: BTreeMap::new(),
            hours: BTreeMap::new(),
            comeback_hours: 2.0,
            comeback_share: 0.5,
            day_hours: 6.0,
            parts_days: 2.0,
            machine_days: 5.0,
            valid_days: 30,
        }
    }
}

/// A fault of the section: the path below `pricing`, what is wrong, a way out.
pub type PricingFault = (Vec<Step>, String, Option<String>);

impl PricingFile {
    /// Reads the amounts and checks the ids; every fault with its path.
    pub fn priced(&self, rules: &Rules) -> (Pricing, Vec<PricingFault>) {
        let mut faults = Vec::new();
        let currency = match Currency::named(&self.currency) {
            Ok(currency) => currency,
            Err(what) => {
                faults.push((vec![Step::from("currency")], what, None));
                return (Pricing::default(), faults);
            }
        };
        let mut reader = Reader { currency, faults };
        let usual = Pricing::default();
        let labour = reader.amount(vec![Step::from("labour")], &self.labour.0);
        let pricing = Pricing {
            labour,
            markup: reader.share("markup", self.markup.as_ref(), 0, 50_000),
            machine_markup: reader.share("machine_markup", self.machine_markup.as_ref(), 0, 50_000),
            tax: reader.share("tax", self.tax.as_ref(), 0, 10_000),
            parts: reader.parts(&self.parts, rules),
            hours: reader.hours(&self.hours, rules),
            comeback_hours: reader.figure(
                "comeback_hours",
                self.comeback_hours,
                usual.comeback_hours,
                0.0,
            ),
            comeback_share: reader.share(
                "comeback_share",
                self.comeback_share.as_ref(),
                (usual.comeback_share * 10_000.0) as i64,
                10_000,
            ) as f64
                / 10_000.0,
            day_hours: reader.figure("day_hours", self.day_hours, usual.day_hours, 0.5),
            parts_days: reader.figure("parts_days", self.parts_days, usual.parts_days, 0.0),
            machine_days: reader.figure("machine_days", self.machine_days, usual.machine_days, 0.0),
            valid_days: self.valid_days.unwrap_or(usual.valid_days).min(3650),
            currency: reader.currency,
        };
        if pricing.labour == 0 && reader.faults.is_empty() {
            let what = "an hour of labour must cost something".to_string();
            reader.faults.push((vec![Step::from("labour")], what, None));
        }
        (pricing, reader.faults)
    }
}

struct Reader {
    currency: Currency,
    faults: Vec<PricingFault>,
}

impl Reader {
    fn amount(&mut self, path: Vec<Step>, text: &str) -> i64 {
        match self.currency.read(text) {
            Ok(minor) => minor,
            Err(what) => {
                self.faults.push((path, what, None));
                0
            }
        }
    }

    /// Hundredths of a percent, at most `most`.
    fn share(&mut self, name: &str, text: Option<&Plain>, usual: i64, most: i64) -> i64 {
        let Some(text) = text else { return usual };
        let number = text.0.trim().strip_suffix('%').map(str::trim);
        match number.and_then(|n| n.parse::<f64>().ok()) {
            Some(p) if (0.0..=most as f64 / 100.0).contains(&p) => (p * 100.0).round() as i64,
            _ => {
                let what = format!("`{}` is no share; write `19%`", text.0);
                let hint = format!("from 0% to {}%", most / 100);
                self.faults.push((vec![Step::from(name)], what, Some(hint)));
                usual
            }
        }
    }

    fn figure(&mut self, name: &str, said: Option<f64>, usual: f64, least: f64) -> f64 {
        match said {
            None => usual,
            Some(x) if (least..=MOST_HOURS).contains(&x) => x,
            Some(x) => {
                let what = format!("`{name}` cannot be {x}: it is {least} to {MOST_HOURS}");
                self.faults.push((vec![Step::from(name)], what, None));
                usual
            }
        }
    }

    fn parts(
        &mut self,
        said: &BTreeMap<String, Plain>,
        rules: &Rules,
    ) -> BTreeMap<String, [i64; 3]> {
        let mut out = BTreeMap::new();
        for (id, text) in said {
            let path = || vec![Step::from("parts"), Step::Name(id.clone())];
            if !rules.parts.contains_key(id) {
                let hint = nearest(id, rules.parts.keys().map(String::as_str));
                let hint = hint.map(|near| format!("did you mean `{near}`?"));
                self.faults
                    .push((path(), format!("no part is called `{id}`"), hint));
            }
            match self.price(&text.0) {
                Ok(price) => drop(out.insert(id.clone(), price)),
                Err(what) => {
                    let path = vec![Step::from("parts"), Step::from(id.as_str())];
                    self.faults.push((path, what, None));
                }
            }
        }
        out
    }

    /// One price, or two or three joined by hyphens.
    fn price(&self, text: &str) -> Result<[i64; 3], String> {
        let pieces: Vec<&str> = match text.trim().starts_with('-') {
            true => vec![text],
            false => text.split('-').collect(),
        };
        let read: Vec<i64> = pieces
            .iter()
            .map(|piece| self.currency.read(piece))
            .collect::<Result<_, _>>()?;
        let price = match read[..] {
            [one] => [one; 3],
            [low, high] => [low, low + (high - low) / 2, high],
            [low, likely, high] => [low, likely, high],
            _ => {
                return Err(format!(
                    "`{text}` has too many prices; write low-likely-high"
                ));
            }
        };
        match price[0] <= price[1] && price[1] <= price[2] {
            true => Ok(price),
            false => Err(format!(
                "the prices of `{text}` do not rise; write low-likely-high"
            )),
        }
    }

    fn hours(
        &mut self,
        said: &BTreeMap<String, Range3>,
        rules: &Rules,
    ) -> BTreeMap<String, Range3> {
        for (id, range) in said {
            let known = || rules.repairs.keys().chain(rules.accesses.keys());
            if !known().any(|k| k == id) {
                let hint = nearest(id, known().map(String::as_str));
                let hint = hint.map(|near| format!("did you mean `{near}`?"));
                let what = format!("no repair or access is called `{id}`");
                self.faults.push((
                    vec![Step::from("hours"), Step::Name(id.clone())],
                    what,
                    hint,
                ));
            }
            let sound = range.low >= 0.0 && range.low <= range.likely && range.likely <= range.high;
            if !sound || range.high > MOST_HOURS {
                let what = format!(
                    "hours of {}, {} and {} cannot be: they rise from 0 or more",
                    range.low, range.likely, range.high
                );
                self.faults.push((
                    vec![Step::from("hours"), Step::from(id.as_str())],
                    what,
                    None,
                ));
            }
        }
        said.clone()
    }
}
