//! Money: whole numbers of a currency's smallest unit, rounded by one rule.
//!
//! The number of decimals of each currency is that of ISO 4217. Where a product
//! or a share is not whole it is rounded half away from zero, once, on the line
//! where it arises. Without prices the same sums are done in hundredths of an
//! hour. Used by the shop file and by everything that is priced.

use std::fmt::Write;

/// Largest amount that is read, in smallest units.
pub const MOST: i64 = 100_000_000_000_000;

/// What amounts are counted in: a currency, or hours where nothing is priced.
///
/// ```
/// use sootsayer::money::Currency;
/// // ISO 4217: the euro has two decimals, the yen none, the Kuwaiti dinar three.
/// assert_eq!(Currency::named("EUR").map(|c| c.digits), Ok(2));
/// assert_eq!(Currency::named("JPY").map(|c| c.digits), Ok(0));
/// assert_eq!(Currency::named("KWD").map(|c| c.digits), Ok(3));
/// assert!(Currency::named("XAU").is_err() && Currency::named("euro").is_err());
/// ```
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Currency {
    /// ISO 4217 code; `h` for hours.
    pub code: String,
    /// Decimals of the smallest unit.
    pub digits: u32,
}

impl Default for Currency {
    fn default() -> Self {
        Currency {
            code: "h".into(),
            digits: 2,
        }
    }
}

impl Currency {
    /// The currency of an ISO 4217 code in capitals.
    ///
    /// # Errors
    /// A sentence, when there is no such currency or it has no smallest unit (gold, test codes).
    pub fn named(code: &str) -> Result<Self, String> {
        let known = iso_currency::Currency::from_code(code)
            .ok_or_else(|| format!("`{code}` is no currency code of ISO 4217, such as `EUR`"))?;
        let digits = known
            .exponent()
            .ok_or_else(|| format!("`{code}` has no smallest unit to count money in"))?;
        Ok(Currency {
            code: code.into(),
            digits: u32::from(digits),
        })
    }

    /// Whether this is money and not hours.
    pub fn is_money(&self) -> bool {
        self.code != Currency::default().code
    }

    /// Smallest units in one.
    pub fn unit(&self) -> i64 {
        10i64.pow(self.digits.min(4))
    }

    /// Reads an amount, with or without the code: `62`, `62.50`, `62.50 EUR`.
    ///
    /// ```
    /// let eur = sootsayer::money::Currency::named("EUR").unwrap();
    /// assert_eq!(eur.read("62.5 EUR"), Ok(6250));
    /// assert!(eur.read("62 USD").is_err() && eur.read("-3").is_err() && eur.read("0.005").is_err());
    /// ```
    ///
    /// # Errors
    /// A sentence: another currency, below nothing, too many decimals, no number.
    pub fn read(&self, text: &str) -> Result<i64, String> {
        let number = self.without_code(text)?;
        let wrong = || format!("`{}` is no amount; write `62` or `62.50`", text.trim());
        if let Some(rest) = number.strip_prefix('-') {
            return Err(match rest.parse::<f64>() {
                Ok(_) => format!("an amount cannot be below nothing: {number}"),
                Err(_) => wrong(),
            });
        }
        let (whole, part) = number.split_once('.').unwrap_or((number, ""));
        let digits = |t: &str| t.bytes().all(|b| b.is_ascii_digit());
        if whole.is_empty() || !digits(whole) || !digits(part) {
            return Err(wrong());
        }
        let part = part.trim_end_matches('0');
        if part.len() > self.digits as usize {
            let has = crate::words::count(self.digits as usize, "decimal");
            return Err(format!("{} has {has}: {number} has more", self.code));
        }
        let scaled = format!("{whole}{part:0<width$}", width = self.digits as usize);
        match scaled.parse::<i64>() {
            Ok(minor) if minor <= MOST => Ok(minor),
            _ => Err(format!("{number} is too large an amount")),
        }
    }

    fn without_code<'t>(&self, text: &'t str) -> Result<&'t str, String> {
        let text = text.trim();
        let is_code = |w: &str| w.len() == 3 && w.bytes().all(|b| b.is_ascii_alphabetic());
        let (first, last) = (
            text.split_whitespace().next(),
            text.split_whitespace().last(),
        );
        let (code, rest) = match (first, last) {
            (Some(f), _) if is_code(f) => (f, text[f.len()..].trim()),
            (_, Some(l)) if is_code(l) => (l, text[..text.len() - l.len()].trim()),
            _ => return Ok(text),
        };
        match code == self.code {
            true => Ok(rest),
            false => Err(format!(
                "the shop reckons in {}, this is in {code}: one shop file has one currency",
                self.code
            )),
        }
    }

    /// An amount to the last unit: `1240.50 EUR`.
    ///
    /// ```
    /// let eur = sootsayer::money::Currency::named("EUR").unwrap();
    /// assert_eq!(eur.exact(-124050), "-1240.50 EUR");
    /// ```
    pub fn exact(&self, minor: i64) -> String {
        format!("{} {}", self.number(minor), self.code)
    }

    /// The same without the code.
    pub fn number(&self, minor: i64) -> String {
        let (unit, size) = (self.unit().unsigned_abs(), minor.unsigned_abs());
        let mut text = String::from(if minor < 0 { "-" } else { "" });
        let _ = write!(text, "{}", size / unit);
        if self.digits > 0 {
            let _ = write!(
                text,
                ".{:0width$}",
                size % unit,
                width = self.digits as usize
            );
        }
        text
    }

    /// An estimate, three significant figures: `12 400 EUR`, the gap a no-break space.
    ///
    /// ```
    /// let eur = sootsayer::money::Currency::named("EUR").unwrap();
    /// assert_eq!(eur.about(1_243_650.0), "12\u{a0}400 EUR");
    /// assert_eq!(eur.about(8_249.0), "82.5 EUR");
    /// assert_eq!(eur.about(0.0), "0 EUR");
    /// ```
    pub fn about(&self, minor: f64) -> String {
        format!("{} {}", self.rough(minor), self.code)
    }

    /// A range of estimates: `1 240 - 2 310 EUR`.
    pub fn range(&self, low: i64, high: i64) -> String {
        let (a, b) = (self.rough(low as f64), self.rough(high as f64));
        match a == b {
            true => format!("{a} {}", self.code),
            false => format!("{a} - {b} {}", self.code),
        }
    }

    /// Three significant figures without the code.
    pub fn rough(&self, minor: f64) -> String {
        let value = minor / self.unit() as f64;
        if value.abs() < 1000.0 {
            return crate::words::three_figures(value);
        }
        let step = 10f64.powf(value.abs().log10().floor() - 2.0);
        let whole = ((value / step).round() * step).round() as i64;
        let digits = whole.unsigned_abs().to_string();
        let mut text = String::from(if whole < 0 { "-" } else { "" });
        for (i, digit) in digits.chars().enumerate() {
            if i > 0 && (digits.len() - i).is_multiple_of(3) {
                text.push('\u{a0}');
            }
            text.push(digit);
        }
        text
    }
}

/// `amount * numerator / denominator`, rounded half away from zero.
///
/// ```
/// use sootsayer::money::part;
/// assert_eq!(part(250, 1, 100), 3);
/// assert_eq!(part(-250, 1, 100), -3);
/// assert_eq!(part(10_000, 1_900, 10_000), 1_900);
/// ```
pub fn part(amount: i64, numerator: i64, denominator: i64) -> i64 {
    let denominator = i128::from(denominator.max(1));
    let product = i128::from(amount) * i128::from(numerator);
    let half = denominator / 2 * product.signum();
    let rounded = match denominator % 2 {
        0 => (product + half) / denominator,
        _ => (2 * product + denominator * product.signum()) / (2 * denominator),
    };
    rounded.clamp(i128::from(i64::MIN), i128::from(i64::MAX)) as i64
}

/// A figure in smallest units as a whole number of them, half away from zero.
pub fn whole(minor: f64) -> i64 {
    minor.round() as i64
}
