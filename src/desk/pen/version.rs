//! What a file held, and when something was done.

use serde::{Deserialize, Serialize};
use std::fmt;

/// Which bytes a file held: their BLAKE3 digest, as hexadecimal text.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Version(String);

impl Version {
    /// The version of these bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(blake3::hash(bytes).to_hex().to_string())
    }

    pub(super) fn from_hash(hash: blake3::Hash) -> Self {
        Self(hash.to_hex().to_string())
    }

    /// The digest as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl TryFrom<String> for Version {
    type Error = String;
    fn try_from(text: String) -> Result<Self, String> {
        let lower_hex = |b: u8| matches!(b, b'0'..=b'9' | b'a'..=b'f');
        if text.len() == 2 * blake3::OUT_LEN && text.bytes().all(lower_hex) {
            Ok(Self(text))
        } else {
            Err("a version is 64 hexadecimal digits in lower case".to_owned())
        }
    }
}

impl From<Version> for String {
    fn from(version: Version) -> String {
        version.0
    }
}

impl fmt::Display for Version {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// A text with its version.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Leaf {
    /// The text.
    pub text: String,
    /// Its version.
    pub version: Version,
}

impl Leaf {
    /// A text with the version that it has.
    pub fn of(text: String) -> Self {
        let version = Version::of(text.as_bytes());
        Self { text, version }
    }
}

/// A moment in time, to the millisecond; written as RFC 3339, `2026-11-27T08:15:00.250Z`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Moment(jiff::Timestamp);

impl Moment {
    /// Now. Only `main` and the server's clock ask; everything else is handed it.
    pub fn now() -> Self {
        Self::from_unix_ms(jiff::Timestamp::now().as_millisecond())
            .unwrap_or(Self(jiff::Timestamp::UNIX_EPOCH))
    }

    /// So many milliseconds after the beginning of 1970; `None` beyond the year 9999.
    pub fn from_unix_ms(ms: i64) -> Option<Self> {
        jiff::Timestamp::from_millisecond(ms).ok().map(Self)
    }

    /// Milliseconds since the beginning of 1970.
    pub fn unix_ms(self) -> i64 {
        self.0.as_millisecond()
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

impl TryFrom<String> for Moment {
    type Error = String;
    fn try_from(text: String) -> Result<Self, String> {
        let read = text.parse::<jiff::Timestamp>();
        read.map(Self)
            .map_err(|e| format!("‘{text}’ is not a moment: {e}"))
    }
}

impl From<Moment> for String {
    fn from(moment: Moment) -> String {
        moment.to_string()
    }
}
