//! Days that records tell. No clock is asked: a page is as new as the newest day in its record.

use crate::record::{Catalogue, Day, Detail, Evidence, Object, Step};

/// The newest of some days that is not in the future.
fn latest(days: impl Iterator<Item = Option<Day>>, today: Day) -> Option<Day> {
    days.flatten().filter(|day| *day <= today).max()
}

fn of(evidence: &Evidence) -> Option<Day> {
    evidence.date
}

/// Newest day of an object, its details and steps.
pub(crate) fn newest(catalogue: &Catalogue, object: &Object) -> Option<Day> {
    let record = &object.record;
    let bodies = [
        Some(&record.bodies.original),
        record.bodies.replica.as_ref(),
    ];
    let bodies = bodies.into_iter().flatten().flat_map(|body| {
        let weighed = body.weighed_g.as_ref().map(|w| of(&w.evidence));
        let scan = body.scan.as_ref().map(|s| of(&s.evidence));
        let calipers = body.calipers.iter().map(|c| of(&c.evidence));
        calipers.chain(weighed).chain(scan).chain([body.dated])
    });
    let days = std::iter::once(of(&record.identification.evidence))
        .chain(bodies)
        .chain(record.materials.values().map(|m| of(&m.evidence)))
        .chain(record.differences.iter().map(|d| of(&d.evidence)))
        .chain(record.collation.accepted.iter().map(|a| of(&a.evidence)))
        .chain(object.details.iter().map(|d| of_detail(catalogue, d)))
        .chain(object.making.iter().map(|s| of_step(catalogue, s)));
    latest(days, catalogue.today)
}

/// Newest day of a detail.
pub(super) fn of_detail(catalogue: &Catalogue, detail: &Detail) -> Option<Day> {
    latest([of(&detail.record.evidence)].into_iter(), catalogue.today)
}

/// Newest day of a step.
pub(super) fn of_step(catalogue: &Catalogue, step: &Step) -> Option<Day> {
    let days = [step.record.date, of(&step.record.evidence)];
    latest(days.into_iter(), catalogue.today)
}

/// Every day that pages of an object tell.
pub(crate) fn days_told(catalogue: &Catalogue, object: &Object) -> Vec<Option<Day>> {
    let details = object.details.iter().map(|d| of_detail(catalogue, d));
    let steps = object.making.iter().map(|s| of_step(catalogue, s));
    let mut all = vec![newest(catalogue, object)];
    all.extend(details.chain(steps));
    all
}
