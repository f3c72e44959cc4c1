//! The collation as plain data. Lengths, areas and volumes in millimetres and their powers, in the
//! original's frame; angles in degrees.

use super::super::collation::{Bearings, Collation, Explained, Found, PartCollation, Standing};
use crate::align::{Fit, Pose};
use crate::differ::Summary;
use crate::record::{BodyKind, Object};
use crate::stand::Rest;
use glam::DVec3;
use serde_json::{Map, Value, json as value};

/// The comparison of an object.
pub(crate) fn json(object: &Object, collation: Option<&Collation>, bearings: &Bearings) -> Value {
    value!({
        "collation": collation.map(|c| of(object, c)),
        "standing": by_body(bearings.standing.iter().map(|(k, s)| (*k, standing(s)))),
        "assembly": by_body(bearings.assembly.iter().map(|(k, a)| (*k, assembly(a)))),
    })
}

fn by_body(items: impl Iterator<Item = (BodyKind, Value)>) -> Value {
    Value::Object(
        items
            .map(|(k, v)| (k.word().to_owned(), v))
            .collect::<Map<_, _>>(),
    )
}

fn of(object: &Object, c: &Collation) -> Value {
    value!({
        "replica_moved": c.laid.moved.as_ref().map(pose),
        "every_pose_tried": c.laid.from_nothing,
        "whole": fit(&c.laid.fit),
        "parts": c.parts.iter().map(part).collect::<Vec<_>>(),
        "only": by_body(c.only.iter().map(|(k, ids)| (*k, value!(ids.iter().map(ToString::to_string).collect::<Vec<_>>())))),
        "differences": c.found.iter().filter_map(|f| difference(object, c, f)).collect::<Vec<_>>(),
        "claims": c.claims.iter().map(|claim| value!({
            "detail": claim.detail.to_string(), "differences": claim.found, "greatest_mm": claim.greatest_mm,
        })).collect::<Vec<_>>(),
    })
}

fn point(p: DVec3) -> Value {
    value!(p.to_array())
}

fn pose(p: &Pose) -> Value {
    value!({
        "scale": p.scale, "shift_mm": point(p.shift),
        "quaternion_xyzw": p.turn.to_array(), "turn_deg": p.angle_deg(),
    })
}

fn fit(f: &Fit) -> Value {
    value!({
        "pose": pose(&f.pose),
        "residual": {
            "rms_mm": f.residual.rms_mm, "median_mm": f.residual.median_mm,
            "p95_mm": f.residual.p95_mm, "points": f.residual.points,
        },
        "overlap": { "replica": f.overlap[0], "original": f.overlap[1] },
        "determined": f.determined(),
        "settled_by_pairs": f.settled,
        "pairs_rms_mm": f.pairs_mm,
        "motions": f.directions.iter().map(|d| value!({
            "eigenvalue": d.eigenvalue, "turn": point(d.turn), "shift": point(d.shift), "growth": d.grow,
            "standard_mm": d.standard_mm, "determined": d.determined,
        })).collect::<Vec<_>>(),
        "other_poses": f.rivals.iter().map(pose).collect::<Vec<_>>(),
        "standard_along_normals_mm": f.along_normals_mm,
        "standard_at_points_mm": f.at_points_mm,
        "scale_standard": f.scale_standard,
        "repeats": f.repeats, "repeat_mm": f.repeat_mm,
    })
}

fn summary(s: &Summary) -> Value {
    value!({
        "points": s.points, "mean_mm": s.mean_mm, "standard_deviation_mm": s.spread_mm, "rms_mm": s.rms_mm,
        "median_mm": s.median_mm, "p5_mm": s.p5_mm, "p95_mm": s.p95_mm, "min_mm": s.min_mm, "max_mm": s.max_mm,
        "within_tolerance": s.within, "captured": s.captured,
    })
}

fn part(p: &PartCollation) -> Value {
    let gaps = |list: &[crate::differ::Gap]| {
        let items = list.iter().map(|g| value!({
            "centre_mm": point(g.spot.centre), "radius_mm": g.spot.radius_mm, "area_mm2": g.area_mm2,
        }));
        items.collect::<Vec<_>>()
    };
    value!({
        "part": p.part.to_string(),
        "fit": fit(&p.fit),
        "beside_whole": { "turn_deg": p.beside_whole.0, "shift_mm": p.beside_whole.1 },
        "tolerance": {
            "mm": p.tolerance.value_mm, "stated": p.tolerance.stated, "coverage_factor": crate::differ::COVERAGE,
            "standard_mm": p.tolerance.standard_mm,
            "shares": p.tolerance.shares.iter().map(|s| value!({ "of": s.of.word(), "standard_mm": s.standard_mm })).collect::<Vec<_>>(),
            "coating_mm": p.band.coating_mm,
        },
        "original_from_replica": summary(&p.summaries[0]),
        "replica_from_original": summary(&p.summaries[1]),
        "not_captured": { "on_replica": gaps(&p.comparison.not_captured[0]), "on_original": gaps(&p.comparison.not_captured[1]) },
        "specks": {
            "count": p.comparison.specks.count, "area_mm2": p.comparison.specks.area_mm2,
            "max_mm": p.comparison.specks.max_mm, "fewer_points_than": crate::differ::SPECK,
        },
    })
}

fn difference(object: &Object, c: &Collation, f: &Found) -> Option<Value> {
    let part = c.part(&f.part)?;
    let r = &part.comparison.regions[f.index];
    let explained = match &f.explained {
        Explained::By(ids) => {
            value!({ "by": ids.iter().map(ToString::to_string).collect::<Vec<_>>() })
        }
        Explained::Accepted(index) => {
            let accepted = object.record.collation.accepted.get(*index);
            value!({ "accepted_by": accepted.and_then(|a| a.evidence.by.as_ref()).map(ToString::to_string) })
        }
        Explained::Not => Value::Null,
    };
    Some(value!({
        "number": f.number, "part": f.part.to_string(), "kind": r.kind.word(),
        "area_mm2": r.area_mm2, "area_expanded_mm2": r.area_expanded_mm2, "volume_mm3": r.volume_mm3, "volume_expanded_mm3": r.volume_expanded_mm3,
        "lost_side_mm3": r.moved_mm3, "max_mm": r.max_mm, "mean_mm": r.mean_mm,
        "centre_mm": point(r.centre), "normal": point(r.normal), "extent_mm": point(r.extent_mm),
        "ball": { "centre_mm": point(r.spot.centre), "radius_mm": r.spot.radius_mm },
        "explained": explained,
        "nearest": f.near.iter().map(|(id, mm)| value!({ "detail": id.to_string(), "mm": mm })).collect::<Vec<_>>(),
    }))
}

fn rest(r: &Rest) -> Value {
    value!({
        "down": point(r.down), "tilt_deg": r.tilt_deg, "leans_toward": r.leans_toward.map(point),
        "centre_height_mm": r.height_mm, "support_mm": r.support.iter().map(|p| point(*p)).collect::<Vec<_>>(),
        "tips_at_deg": r.tip.least_deg, "tips_toward": point(r.tip.toward),
    })
}

fn standing(s: &Standing) -> Value {
    value!({
        "assumes": "rigid, on a hard level floor, untouched",
        "centre_of_mass_mm": point(s.centre), "contact_mm": s.contact_mm,
        "stands_as_set": s.set_down.stands_as_set, "rolls": s.set_down.rolls, "rest": rest(&s.set_down.rest),
        "lean_deg": s.lean_deg.json(), "tips_deg": s.tips_deg.json(),
        "without": s.without.iter().map(|w| value!({
            "detail": w.detail.to_string(), "stands_as_set": w.set_down.stands_as_set, "rest": rest(&w.set_down.rest),
            "lean_deg": w.lean_deg.json(),
        })).collect::<Vec<_>>(),
        "rests": s.rests.iter().map(rest).collect::<Vec<_>>(),
    })
}

fn assembly(a: &super::super::collation::Assembly) -> Value {
    value!({
        "joints": a.joints.iter().map(|j| value!({
            "parts": j.parts.iter().map(ToString::to_string).collect::<Vec<_>>(),
            "gap": j.meeting.gap.as_ref().map(|g| value!({
                "mm": g.least_mm, "points_mm": g.points.map(|p| p.to_array()),
                "estimate_mm": j.gap_mm.as_ref().map(crate::collate::Estimate::json),
            })),
            "overlap": {
                "volume_mm3": j.meeting.overlap.volume_mm3, "standard_error_mm3": j.meeting.overlap.standard_error_mm3,
                "lines_left_out": j.meeting.overlap.left_out,
                "places": j.meeting.overlap.places.iter().map(|p| value!({
                    "centre_mm": point(p.spot.centre), "radius_mm": p.spot.radius_mm,
                    "volume_mm3": p.volume_mm3, "deepest_mm": p.deepest_mm,
                })).collect::<Vec<_>>(),
            },
            "seat": j.meeting.seat.as_ref().map(|s| value!({
                "area_mm2": s.area_mm2, "mean_mm": s.mean_mm, "least_mm": s.least_mm, "greatest_mm": s.greatest_mm,
                "tilt_deg": s.askew.as_ref().map(|a| a.tilt_deg),
                "widest_toward": s.askew.as_ref().map(|a| point(a.widest_toward)),
            })),
        })).collect::<Vec<_>>(),
        "walls": a.walls.as_ref().map(|w| value!({
            "least_mm": w.least_mm, "least_at_mm": point(w.least_at.centre), "p5_mm": w.p05_mm, "median_mm": w.median_mm,
            "histogram": w.histogram.iter().map(|b| value!({ "from_mm": b.from_mm, "to_mm": b.to_mm, "area_mm2": b.area_mm2 })).collect::<Vec<_>>(),
            "thin": w.thin.iter().map(|t| value!({
                "centre_mm": point(t.spot.centre), "radius_mm": t.spot.radius_mm, "area_mm2": t.area_mm2, "least_mm": t.least_mm,
            })).collect::<Vec<_>>(),
            "thin_below_mm": w.thin_below_mm,
            "escaped": w.escaped, "grazed": w.grazed, "buried": w.buried, "samples": w.samples,
        })),
    })
}
