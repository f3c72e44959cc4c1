//! What must hold between records, notes and files. Each module is one idea, reports all it
//! finds, and is silent about a record whose own faults have been reported.

mod bearings;
mod collation;
mod descriptions;
mod formerly;
mod ids;
mod instruments;
mod kiosk;
mod languages;
mod lengths;
mod links;
mod measures;
mod mentions;
mod models;
mod pictures;
mod quantities;
mod recordings;
mod rights;
mod site;
mod translations;

use super::read::draft::Draft;
use super::{Day, Findings};
use crate::limits::Limits;

/// Makes every check.
pub(crate) fn all(draft: &Draft<'_>, today: Day, limits: &Limits, findings: &mut Findings) {
    site::check(draft, findings);
    kiosk::check(draft, findings);
    ids::check(draft, findings);
    formerly::check(draft, findings);
    languages::check(draft, findings);
    translations::check(draft, findings);
    mentions::check(draft, findings);
    rights::check(draft, today, findings);
    links::check(draft, findings);
    pictures::check(draft, limits, findings);
    recordings::check(draft, limits, findings);
    descriptions::check(draft, findings);
    models::check(draft, limits, findings);
    bearings::check(draft, findings);
    measures::check(draft, findings);
    instruments::check(draft, findings);
    collation::check(draft, findings);
    quantities::check(draft, findings);
    lengths::check(draft, findings);
}
