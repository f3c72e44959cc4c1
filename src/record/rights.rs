//! Rights: who holds them, under what statement, and what they permit on which day.

use super::{Day, Localised, RightsId};
use serde::{Deserialize, Serialize};
use std::fmt;

/// What an agreement may permit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Use {
    /// Shown on a page or kiosk.
    Display,
    /// Offered as a file to keep.
    Download,
    /// Printed on labels and sheets.
    Print,
    /// Kept by an archive, for those who come after.
    Deposit,
}

/// Address of a licence (creativecommons.org) or of a statement (rightsstatements.org), in
/// canonical form: an unknown code cannot be constructed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct StatementUri(String);

const RIGHTS_STATEMENTS: [&str; 12] = [
    "InC",
    "InC-OW-EU",
    "InC-EDU",
    "InC-NC",
    "InC-RUU",
    "NoC-CR",
    "NoC-NC",
    "NoC-OKLR",
    "NoC-US",
    "CNE",
    "UND",
    "NKC",
];
const CC_LICENCES: [&str; 6] = ["by", "by-sa", "by-nd", "by-nc", "by-nc-sa", "by-nc-nd"];

impl TryFrom<String> for StatementUri {
    type Error = String;
    /// Accepts `http` or `https` and a missing closing slash; gives the canonical address
    /// (rightsstatements.org: `http`; creativecommons.org: `https`; both with the slash).
    fn try_from(text: String) -> Result<Self, String> {
        let bare = text
            .trim()
            .trim_start_matches("https://")
            .trim_start_matches("http://")
            .trim_end_matches('/');
        let steps: Vec<&str> = bare.split('/').collect();
        let canonical = match steps.as_slice() {
            ["rightsstatements.org", "vocab" | "page", code, "1.0"]
                if RIGHTS_STATEMENTS.contains(code) =>
            {
                format!("http://rightsstatements.org/vocab/{code}/1.0/")
            }
            ["creativecommons.org", "licenses", code, "4.0"] if CC_LICENCES.contains(code) => {
                format!("https://creativecommons.org/licenses/{code}/4.0/")
            }
            [
                "creativecommons.org",
                "publicdomain",
                code @ ("zero" | "mark"),
                "1.0",
            ] => {
                format!("https://creativecommons.org/publicdomain/{code}/1.0/")
            }
            _ => {
                return Err(format!(
                    "‘{text}’ is no known licence or rights statement; write for example \
                     http://rightsstatements.org/vocab/InC/1.0/ or https://creativecommons.org/licenses/by/4.0/"
                ));
            }
        };
        Ok(Self(canonical))
    }
}

impl From<StatementUri> for String {
    fn from(uri: StatementUri) -> String {
        uri.0
    }
}

impl fmt::Display for StatementUri {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl StatementUri {
    /// The canonical address.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// A short label for people: `CC BY 4.0`, `CC0 1.0`, `Public Domain Mark 1.0`, `InC 1.0`.
    pub fn label(&self) -> String {
        let steps: Vec<&str> = self.0.trim_end_matches('/').rsplit('/').collect();
        match (steps[1], steps[0]) {
            ("zero", version) => format!("CC0 {version}"),
            ("mark", version) => format!("Public Domain Mark {version}"),
            (code, version) if self.0.contains("creativecommons") => {
                format!("CC {} {version}", code.to_uppercase())
            }
            (code, version) => format!("{code} {version}"),
        }
    }
}

/// One agreement or statement, `[[rights]]` in an object's record; assets name it by `id`.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rights {
    /// Its name within the record.
    pub id: RightsId,
    /// Who holds the rights, as written on the page.
    pub holder: String,
    /// Licence or rights statement.
    pub statement: StatementUri,
    /// What is permitted.
    pub permits: Vec<Use>,
    /// First day of the permission; unbounded when absent.
    pub from: Option<Day>,
    /// Last day of the permission; unbounded when absent.
    pub until: Option<Day>,
    /// The credit line asked for, where it differs from the holder's name.
    pub credit: Option<Localised>,
    /// What becomes of a photograph or recording that may not be shown.
    #[serde(default)]
    pub otherwise: Otherwise,
    /// A model for visitors must stray from the scan by so many millimetres at least, as the root
    /// mean square of what is measured both ways. Unbounded when absent.
    pub finest_mm: Option<f64>,
}

/// What becomes of a photograph or recording when its agreement does not permit showing it.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Otherwise {
    /// Nothing is published until somebody has looked at it.
    #[default]
    Stop,
    /// The pages are published without it, and say so.
    LeaveOut,
}
