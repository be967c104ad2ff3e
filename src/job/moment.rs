//! A moment with the clock of the shop: seconds and the offset from UTC.

use jiff::fmt::temporal::Pieces;
use jiff::tz::Offset;
use jiff::{Timestamp, Unit, ZonedDateTime};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// When something was done, as the shop's clock showed it.
///
/// ```
/// use sootsayer::job::Moment;
/// let at: Moment = "2026-11-25T08:10:00+13:00".parse().unwrap();
/// assert_eq!(at.to_string(), "2026-11-25T08:10:00+13:00");
/// assert_eq!(at.short(), "25 Nov 2026 08:10");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "String", into = "String")]
#[schemars(with = "String")]
pub struct Moment {
    instant: Timestamp,
    offset: Offset,
}

impl Moment {
    /// Now, by the clock and time zone of this machine, to the second.
    pub fn now() -> Self {
        let now = ZonedDateTime::now();
        let instant = now.timestamp();
        Moment {
            instant: instant.round(Unit::Second).unwrap_or(instant),
            offset: now.offset(),
        }
    }

    /// Day and minute, for tables.
    pub fn short(self) -> String {
        let local = self.offset.to_datetime(self.instant);
        local.strftime("%-d %b %Y %H:%M").to_string()
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.instant.display_with_offset(self.offset))
    }
}

impl FromStr for Moment {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let wrong = |_| {
            format!(
                "`{text}` is no time: write it like `2026-11-25T08:10:00+13:00`, with the offset from UTC"
            )
        };
        let instant: Timestamp = text.parse().map_err(wrong)?;
        let offset = Pieces::parse(text)
            .ok()
            .and_then(|p| p.to_numeric_offset())
            .unwrap_or(Offset::UTC);
        Ok(Moment { instant, offset })
    }
}

impl TryFrom<String> for Moment {
    type Error = String;
    fn try_from(text: String) -> Result<Self, String> {
        text.parse()
    }
}

impl From<Moment> for String {
    fn from(moment: Moment) -> Self {
        moment.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_without_offset_is_refused() {
        let error = "2026-11-25T08:10:00".parse::<Moment>().unwrap_err();
        assert!(error.contains("offset from UTC"), "{error}");
    }

    #[test]
    fn utc_is_kept_and_now_is_read_back() {
        let utc: Moment = "2026-11-25T08:10:00Z".parse().unwrap();
        assert_eq!(utc.short(), "25 Nov 2026 08:10");
        let now = Moment::now();
        assert_eq!(now.to_string().parse(), Ok(now));
    }
}
