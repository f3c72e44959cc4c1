//! The pictures of a deposit, and under which names.

use crate::deposit::contents::Shown;
use crate::record::BodyKind;
use crate::site::Said;
use crate::site::page::Picture;

/// Every picture that may be shown, with its name in the bag, without its ending.
pub(in crate::deposit) fn pictures<'t>(
    told: &'t Said,
    shown: &Shown,
) -> Vec<(String, &'t Picture)> {
    let mut all = Vec::new();
    let mut add =
        |name: String, picture: &'t Picture| all.push((format!("data/pictures/{name}"), picture));
    for body in told.object.bodies.iter().filter(|b| shown.may(b.kind)) {
        add(format!("{}-side-1", body.kind), &body.plate.picture);
        for (index, side) in body.sides.iter().enumerate() {
            add(format!("{}-side-{}", body.kind, index + 2), &side.picture);
        }
    }
    for (entry, detail) in told.object.key.iter().zip(&told.details) {
        for still in detail.stills.iter().filter(|s| shown.may(s.body)) {
            add(
                format!("details/{}-{}", entry.id, still.body),
                &still.picture,
            );
        }
        let lights = detail
            .raking
            .iter()
            .flat_map(|r| &r.lights)
            .filter(|l| l.first);
        for lit in lights
            .flat_map(|l| &l.pictures)
            .filter(|p| shown.may(p.body))
        {
            add(
                format!("raking-light/{}-{}", entry.id, lit.body),
                &lit.picture,
            );
        }
    }
    let compared = told.differs.iter().filter_map(|d| d.comparison.as_ref());
    for comparison in compared.filter(|_| shown.all) {
        let kinds = [BodyKind::Original, BodyKind::Replica];
        for (kind, body) in kinds.iter().zip(&comparison.bodies) {
            add(format!("differences/{}", kind.word()), &body.picture);
        }
        for group in &comparison.groups {
            add(
                format!("differences/difference-{}", group.number),
                &group.picture,
            );
        }
    }
    all
}
