//! Details: the bearing must fit the kind, and the anchor must be on a part that is there.

use super::{Check, meant};
use crate::record::{BodyKind, Detail, Kind, Object, Stands};

impl Check<'_> {
    pub(super) fn bearings(&mut self, object: &Object) {
        for detail in &object.details {
            self.bearing(object, detail);
            self.anchor(object, detail);
        }
    }

    fn bearing(&mut self, object: &Object, detail: &Detail) {
        let record = &detail.record;
        let place = |key: &str| self.at(&detail.folder, &["bearing", key]);
        let (on_original, on_replica) = (place("original"), place("replica"));
        match (&object.record.bodies.replica, record.bearing.replica) {
            (Some(_), None) => self.findings.error(
                "bearing-missing",
                self.at(&detail.folder, &["bearing"]),
                "the object has a replica, but it is not said how this detail stands on it",
                "add replica = \"present\", \"absent\", \"altered\" or \"unknown\"",
            ),
            (None, Some(_)) => {
                self.findings.error(
                    "bearing-without-body",
                    on_replica.clone(),
                    "the object has no replica",
                    "take ‘replica’ away",
                );
            }
            _ => {}
        }
        let made_later = matches!(record.kind, Kind::Addition | Kind::Trace);
        let replica = record.bearing.replica;
        if made_later && record.bearing.original != Stands::Absent {
            let what = format!(
                "a detail of the kind ‘{}’ is on the replica only, but it is said to be on the original",
                kind_word(record.kind)
            );
            let remedy = "write original = \"absent\", or choose another kind, for example repair";
            self.findings
                .error("bearing-contradicts-kind", on_original, what, remedy);
        } else if made_later && replica.is_none_or(|s| s == Stands::Absent) {
            let what = format!(
                "a detail of the kind ‘{}’ must be on the replica",
                kind_word(record.kind)
            );
            self.findings.error(
                "bearing-contradicts-kind",
                on_replica,
                what,
                "write replica = \"present\", or choose another kind",
            );
        } else if !made_later && record.bearing.original == Stands::Absent {
            let what = format!(
                "a detail of the kind ‘{}’ is said to be absent from the original",
                kind_word(record.kind)
            );
            let remedy = "write original = \"present\"; for something on the replica only choose the kind addition or trace";
            self.findings
                .error("bearing-contradicts-kind", on_original, what, remedy);
        }
    }

    fn anchor(&mut self, object: &Object, detail: &Detail) {
        let anchor = &detail.record.anchor;
        let place = self.at(&detail.folder, &["anchor", "body"]);
        let Some(body) = object.record.bodies.get(anchor.body) else {
            self.findings.error(
                "anchor-without-body",
                place,
                "the object has no replica",
                "write body = \"original\"",
            );
            return;
        };
        let stands = match anchor.body {
            BodyKind::Original => Some(detail.record.bearing.original),
            BodyKind::Replica => detail.record.bearing.replica,
        };
        if stands == Some(Stands::Absent) {
            let remedy = "take the point on the other body";
            self.findings.error(
                "anchor-on-absence",
                place,
                "the anchor is on a body from which the detail is absent",
                remedy,
            );
        }
        let parts = body.parts.iter().map(|p| p.id.as_str());
        if !parts.clone().any(|id| id == detail.record.part.as_str()) {
            let place = self.at(&detail.folder, &["part"]);
            let what = format!("the body has no part ‘{}’", detail.record.part);
            self.findings.error(
                "unknown-part",
                place,
                what,
                meant(detail.record.part.as_str(), parts),
            );
        }
        if anchor.radius_mm <= 0.0 {
            let place = self.at(&detail.folder, &["anchor", "radius_mm"]);
            self.findings.error(
                "wrong-value",
                place,
                "the radius is not above 0",
                "write the radius of the place in millimetres",
            );
        }
        if let Some(view) = &detail.record.view
            && view.elevation_deg.abs() > 90.0
        {
            let place = self.at(&detail.folder, &["view", "elevation_deg"]);
            self.findings.error(
                "wrong-value",
                place,
                "the elevation is beyond 90°",
                "write −90 (from below) to 90 (from above)",
            );
        }
    }
}

fn kind_word(kind: Kind) -> &'static str {
    match kind {
        Kind::Motif => "motif",
        Kind::Inscription => "inscription",
        Kind::Repair => "repair",
        Kind::Damage => "damage",
        Kind::Addition => "addition",
        Kind::Trace => "trace",
        Kind::Construction => "construction",
        Kind::Loss => "loss",
    }
}
