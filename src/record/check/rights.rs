//! Rights: every asset names a statement, and the statement permits display today.

use super::{Check, meant};
use crate::record::{BodyKind, Object, Place, RightsId, Use};

impl Check<'_> {
    pub(super) fn rights(&mut self, object: &Object) {
        let record = &object.record;
        for (i, rights) in record.rights.iter().enumerate() {
            let index = i.to_string();
            if record.rights[..i].iter().any(|other| other.id == rights.id) {
                let place = self.of(object, &["rights", &index, "id"]);
                let what = format!("the rights id ‘{}’ is given twice", rights.id);
                self.findings
                    .error("duplicate-id", place, what, "give one of them another id");
            }
            if let (Some(from), Some(until)) = (rights.from, rights.until)
                && until < from
            {
                let place = self.of(object, &["rights", &index, "until"]);
                let what = format!("the permission ends on {until}, before it begins on {from}");
                self.findings.error(
                    "dates-reversed",
                    place,
                    what,
                    "exchange the two days, or mend one",
                );
            }
        }
        let place = self.of(object, &["words_rights"]);
        self.may_show(object, &record.words_rights, "the words", place);
        for (kind, key) in [
            (BodyKind::Original, "original"),
            (BodyKind::Replica, "replica"),
        ] {
            let parts = record.bodies.get(kind).map_or(&[][..], |b| &b.parts);
            for (i, part) in parts.iter().enumerate() {
                let place = self.of(object, &["bodies", key, "parts", &i.to_string(), "rights"]);
                self.may_show(
                    object,
                    &part.rights,
                    &format!("the model ‘{}’", part.model),
                    place,
                );
            }
        }
    }

    /// A finding unless these rights exist and permit display today.
    pub(super) fn may_show(&mut self, object: &Object, id: &RightsId, asset: &str, place: Place) {
        let today = self.catalogue.today;
        let known = object.record.rights.iter().map(|r| r.id.as_str());
        let Some(rights) = object.record.rights.iter().find(|r| &r.id == id) else {
            let what = format!("{asset} names the rights ‘{id}’, which are not in the record");
            self.findings
                .error("unknown-rights", place, what, meant(id.as_str(), known));
            return;
        };
        if !rights.permits.contains(&Use::Display) {
            let what = format!("{asset} may not be shown: the rights ‘{id}’ do not permit display");
            let remedy =
                "take it out, or agree on display with the holder and add \"display\" to permits";
            self.findings
                .error("display-not-permitted", place, what, remedy);
        } else if !rights.permits(Use::Display, today) {
            let from = rights
                .from
                .map_or("the beginning".to_owned(), |d| d.to_string());
            let until = rights
                .until
                .map_or("further notice".to_owned(), |d| d.to_string());
            let what = format!(
                "{asset} may not be shown on {today}: the rights ‘{id}’ permit display from {from} until {until}"
            );
            let remedy =
                "take it out, or renew the agreement with the holder and write its new days";
            self.findings
                .error("display-not-permitted", place, what, remedy);
        }
    }
}
