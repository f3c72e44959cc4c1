//! Every asset that would be shown is permitted to be shown today.

use crate::record::read::draft::{Draft, ObjectDraft};
use crate::record::read::shape::Refers;
use crate::record::{Day, Findings, Use};

pub(super) fn check(draft: &Draft<'_>, today: Day, findings: &mut Findings) {
    for object in &draft.objects {
        ranges(object, findings);
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

fn asset(path: &str) -> &'static str {
    if path.starts_with("photographs") {
        "This photograph"
    } else if path.starts_with("recordings") {
        "This recording"
    } else if path == "words_rights" {
        "The words"
    } else {
        "This model"
    }
}

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
