//! Every asset that would be shown is permitted to be shown today.

use crate::record::read::draft::{Draft, ObjectDraft};
use crate::record::read::shape::Refers;
use crate::record::{Day, Findings, Otherwise, Use};

pub(super) fn check(draft: &Draft<'_>, today: Day, findings: &mut Findings) {
    for object in &draft.objects {
        ranges(object, findings);
        terms(object, today, findings);
    }
    for record in draft.records() {
        let Some(facts) = record
            .object
            .and_then(|o| o.entry.record.as_ref()?.facts.as_ref())
        else {
            continue;
        };
        for (refers, path, leaf) in &record.places.mentions {
            if *refers != Refers::Rights {
                continue;
            }
            let Some(rights) = facts.rights.iter().find(|r| r.id.as_str() == leaf.text) else {
                continue;
            };
            if let Err(why) = rights.judge(Use::Display, today) {
                let asset = asset(path);
                if asset.1 && rights.otherwise == Otherwise::LeaveOut {
                    let what = format!(
                        "{} is left out on {today}: the rights ‘{}’ {why}.",
                        asset.0, rights.id
                    );
                    let remedy = "Nothing needs to be done: the agreement says ‘otherwise = \"leave-out\"’, and the pages say that something is missing.";
                    let span = leaf.span.clone();
                    findings.push(record.file.advice("left-out", span, what, remedy));
                    continue;
                }
                let asset = asset.0;
                let what = format!(
                    "{asset} may not be shown on {today}: the rights ‘{}’ {why}.",
                    rights.id
                );
                let remedy = "Show it only with the holder’s leave: correct [[rights]] once it is given, or take this out until then.";
                findings.push(record.file.error(
                    "display-not-permitted",
                    leaf.span.clone(),
                    what,
                    remedy,
                ));
            }
        }
    }
}

/// What it is, and whether pages can do without it.
fn asset(path: &str) -> (&'static str, bool) {
    if path.starts_with("photographs") {
        ("This photograph", true)
    } else if path.starts_with("recordings") {
        ("This recording", true)
    } else if path == "words_rights" {
        ("The words", false)
    } else {
        ("This model", false)
    }
}

/// So many days before a permission ends, somebody should ask for it to be renewed. Common
/// practice, no source.
const SOON_DAYS: i32 = 90;

/// A permission that will end, or one that asks for a model coarser or finer than can be.
fn terms(object: &ObjectDraft<'_>, today: Day, findings: &mut Findings) {
    let Some(record) = &object.entry.record else {
        return;
    };
    let Some(facts) = &record.facts else { return };
    for (number, rights) in facts.rights.iter().enumerate() {
        if let Some(until) = rights.until
            && let days @ 0..=SOON_DAYS = today.days_until(until)
        {
            let what = format!(
                "The rights ‘{}’ end on {until}, in {days} days; what is under them may not be shown after that.",
                rights.id
            );
            let remedy = "Ask the holder to renew the agreement, and write the new day; what was published must be published anew, or taken down, by then.";
            let span = record.places.at(&format!("rights.{number}.until"));
            findings.push(record.file.advice("rights-end-soon", span, what, remedy));
        }
        if let Some(mm) = rights.finest_mm
            && !(mm > 0.0 && mm <= COARSEST_MM)
        {
            let what = format!(
                "finest_mm is {mm}; it says by how much a model for visitors must stray from the scan."
            );
            let remedy = format!(
                "Write a length above 0 and up to {COARSEST_MM}, for example finest_mm = 0.3."
            );
            let span = record.places.at(&format!("rights.{number}.finest_mm"));
            findings.push(record.file.error("rights-finest", span, what, remedy));
        }
    }
}

/// Coarser than this, nothing would be left of anything that stands in a gallery.
const COARSEST_MM: f64 = 50.0;

/// A permission that ends before it begins.
fn ranges(object: &ObjectDraft<'_>, findings: &mut Findings) {
    let Some(record) = &object.entry.record else {
        return;
    };
    let Some(facts) = &record.facts else { return };
    for (number, rights) in facts.rights.iter().enumerate() {
        if let (Some(from), Some(until)) = (rights.from, rights.until)
            && from > until
        {
            let what = format!(
                "The rights ‘{}’ end on {until}, before they begin on {from}.",
                rights.id
            );
            let span = record.places.at(&format!("rights.{number}.until"));
            findings.push(record.file.error(
                "rights-range",
                span,
                what,
                "Exchange or correct the two days.",
            ));
        }
    }
}
