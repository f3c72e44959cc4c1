//! `site.toml`: who publishes, in which languages, and who the people are.

use super::{Lang, Localised, PersonId};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The whole of `site.toml`.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Site {
    /// Version of the record format; always 1.
    pub format: u32,
    /// The publishing body, as it signs.
    pub publisher: String,
    /// Absolute address at which the site will stand, ending in `/`; used for the code on the label.
    pub address: String,
    /// Languages in order; the first is the one at the root of the site.
    pub languages: Vec<Lang>,
    /// Title of the whole site.
    pub name: Localised,
    /// A sentence or two under the title of the home page.
    pub introduction: Localised,
    /// A statement shown at the foot of every page (for the demonstration: that all is invented).
    pub statement: Option<Localised>,
    /// Choices about appearance.
    #[serde(default)]
    pub look: Look,
    /// Settings of the gallery kiosk.
    #[serde(default)]
    pub kiosk: Kiosk,
    /// People and groups by id.
    #[serde(default)]
    pub people: BTreeMap<PersonId, Person>,
}

/// Appearance.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Look {
    /// Folder (inside the content folder) whose files replace those of the built-in theme.
    pub theme: Option<String>,
    /// How many objects a page lists before another begins; [`Look::OBJECTS`] when it is not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub objects_on_a_page: Option<u32>,
}

impl Look {
    /// How many objects a page lists: whole rows of two, three, four and six.
    pub const OBJECTS: u32 = 24;

    /// How many objects a page lists; at least one.
    pub fn objects(&self) -> usize {
        self.objects_on_a_page.unwrap_or(Self::OBJECTS).max(1) as usize
    }
}

/// Kiosk settings.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Kiosk {
    /// Seconds without a touch before the kiosk offers to go back to its start.
    pub idle_seconds: u32,
    /// Width and height of the screen's picture as it hangs, millimetres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub screen_mm: Option<[f64; 2]>,
    /// Height of the picture's lower edge above the floor, millimetres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lower_edge_mm: Option<f64>,
    /// Whether the machine counts which details are opened. Nothing is counted unless it says so.
    pub tally: bool,
    /// How many objects stand on the screen before another begins.
    pub objects_on_a_screen: u32,
}

impl Kiosk {
    /// How many objects stand on the screen; at least one.
    pub fn objects(&self) -> usize {
        self.objects_on_a_screen.max(1) as usize
    }
}

impl Default for Kiosk {
    /// 90 seconds, the middle of the usual 60–120 (common practice, no source). Twelve objects are two
    /// rows of six on a screen that lies, four of three on one that stands.
    fn default() -> Self {
        Self {
            idle_seconds: 90,
            screen_mm: None,
            lower_edge_mm: None,
            tally: false,
            objects_on_a_screen: 12,
        }
    }
}

/// A person or group.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// Name as credited.
    pub name: String,
    /// What they do.
    pub role: Localised,
    /// Whether this is a group, such as a workshop or a company, and no single person.
    #[serde(default)]
    pub group: bool,
    /// The body they work for.
    pub affiliation: Option<String>,
}
