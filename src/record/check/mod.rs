//! The catalogue as a whole: what points at what, what may be shown, what contradicts itself.

mod bearings;
mod facts;
mod links;
mod photographs;
mod rights;
mod wording;

use super::{Catalogue, Findings, Object, Place, Sources, read};
use crate::limits::Limits;
use std::path::Path;

/// Runs every check.
pub(super) fn all(
    catalogue: &Catalogue,
    sources: &Sources,
    limits: &Limits,
    findings: &mut Findings,
) {
    let mut check = Check {
        catalogue,
        sources,
        limits,
        findings,
    };
    check.site();
    for object in &catalogue.objects {
        check.facts(object);
        check.rights(object);
        check.bearings(object);
        check.photographs(object);
        check.links(object);
        check.wording(object);
    }
    check.term_links();
}

struct Check<'a> {
    catalogue: &'a Catalogue,
    sources: &'a Sources,
    limits: &'a Limits,
    findings: &'a mut Findings,
}

impl Check<'_> {
    /// The place of a key in the record of a folder.
    fn at(&self, folder: &Path, path: &[&str]) -> Place {
        read::place(&self.catalogue.folder, folder, self.sources, path)
    }

    /// The place of a key in the object's own record.
    fn of(&self, object: &Object, path: &[&str]) -> Place {
        self.at(&object.folder, path)
    }
}

/// "did you mean …?", or what there is.
fn meant<'a>(written: &str, known: impl Iterator<Item = &'a str> + Clone) -> String {
    match read::nearest(written, known.clone()) {
        Some(near) => format!("did you mean ‘{near}’?"),
        None => {
            let all: Vec<&str> = known.take(12).collect();
            if all.is_empty() {
                "there is none yet: write one first".to_owned()
            } else {
                format!("known are {}", all.join(", "))
            }
        }
    }
}
