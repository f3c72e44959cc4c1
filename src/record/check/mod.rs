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
use rayon::prelude::*;

/// A check of a whole draft.
type Check<'c> = &'c (dyn Fn(&mut Findings) + Sync);

/// Makes every check; none waits for another.
pub(crate) fn all(draft: &Draft<'_>, today: Day, limits: &Limits, findings: &mut Findings) {
    let checks: [Check<'_>; 19] = [
        &|found| site::check(draft, found),
        &|found| kiosk::check(draft, found),
        &|found| ids::check(draft, found),
        &|found| formerly::check(draft, found),
        &|found| languages::check(draft, found),
        &|found| translations::check(draft, found),
        &|found| mentions::check(draft, found),
        &|found| rights::check(draft, today, found),
        &|found| links::check(draft, found),
        &|found| pictures::check(draft, limits, found),
        &|found| recordings::check(draft, limits, found),
        &|found| descriptions::check(draft, found),
        &|found| models::check(draft, limits, found),
        &|found| bearings::check(draft, found),
        &|found| measures::check(draft, found),
        &|found| instruments::check(draft, found),
        &|found| collation::check(draft, found),
        &|found| quantities::check(draft, found),
        &|found| lengths::check(draft, found),
    ];
    let found = checks.par_iter().map(|check| {
        let mut own = Findings::none();
        check(&mut own);
        own
    });
    for own in found.collect::<Vec<_>>() {
        findings.extend(own);
    }
}
