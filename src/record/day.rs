//! A calendar day, as written in a record: `2025-03-04`.

use serde::{Deserialize, Deserializer, Serialize, de};
use std::fmt;

/// One day of the Gregorian calendar, without clock or zone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(jiff::civil::Date);

impl Day {
    /// The day today where this program runs. Only `main` asks; the library is handed it.
    pub fn today() -> Self {
        Self(jiff::ZonedDateTime::now().date())
    }

    /// A day from year, month (1–12) and day of month; `None` if the calendar has no such day.
    pub fn new(year: i16, month: i8, day: i8) -> Option<Self> {
        jiff::civil::Date::new(year, month, day).ok().map(Self)
    }

    /// How many days there are until another day; less than 0 when that is past.
    pub fn days_until(self, other: Self) -> i32 {
        (other.0 - self.0).get_days()
    }

    /// Year, month (1–12) and day of the month.
    pub fn parts(self) -> (i16, i8, i8) {
        (self.0.year(), self.0.month(), self.0.day())
    }
}

impl fmt::Display for Day {
    /// ISO 8601, `2025-03-04`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

impl std::str::FromStr for Day {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        text.parse().map(Self).map_err(|_| {
            format!("‘{text}’ is not a day; write year-month-day, for example 2025-03-04")
        })
    }
}

impl Serialize for Day {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Day {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        // Records say it in TOML; what is kept between two runs, in the words of `serialize`.
        if !d.is_human_readable() {
            return String::deserialize(d)?.parse().map_err(de::Error::custom);
        }
        let written = toml::value::Datetime::deserialize(d)?;
        if written.time.is_some() || written.offset.is_some() {
            return Err(de::Error::custom(
                "a day without a time is wanted, for example 2025-03-04",
            ));
        }
        written.to_string().parse().map_err(de::Error::custom)
    }
}
