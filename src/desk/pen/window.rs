//! Which browser window something was typed in.

use serde::{Deserialize, Serialize};

/// A browser window: 1 to 64 letters, digits and hyphens, made up by the page.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct WindowId(String);

impl WindowId {
    /// A window by its id.
    pub fn new(text: &str) -> Result<Self, String> {
        Self::try_from(text.to_owned())
    }

    /// The id as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl TryFrom<String> for WindowId {
    type Error = String;
    fn try_from(text: String) -> Result<Self, String> {
        let plain = |b: u8| b.is_ascii_alphanumeric() || b == b'-';
        if (1..=64).contains(&text.len()) && text.bytes().all(plain) {
            Ok(Self(text))
        } else {
            Err("a window's id is 1 to 64 letters, digits and hyphens".to_owned())
        }
    }
}

impl From<WindowId> for String {
    fn from(id: WindowId) -> String {
        id.0
    }
}
