//! The collation as text for a terminal.

use super::super::collation::{Bearings, Collation, Explained, Found, PartCollation};
use super::super::{Estimate, ObjectGeometry, Rounded};
use crate::record::{BodyKind, DetailId, Object};
use std::fmt::Write;

/// Lays out what the comparison found, in plain sentences and one table. `None` when the object has
/// no replica.
pub fn plain(object: &Object, geometry: &ObjectGeometry) -> Option<String> {
    let collation = geometry.collation.as_ref()?;
    let mut out = String::new();
    // Writing to a string does not fail.
    let _ = write(&mut out, object, geometry, collation);
    Some(out)
}

fn write(
    out: &mut String,
    object: &Object,
    geometry: &ObjectGeometry,
    collation: &Collation,
) -> std::fmt::Result {
    writeln!(out, "{}: original and replica\n", object.id)?;
    match &collation.laid.moved {
        Some(pose) => writeln!(
            out,
            "The replica’s model lay elsewhere: it was turned by {:.2}° and shifted by {:.1} mm onto the original{}.",
            pose.angle_deg(),
            pose.shift.length(),
            if collation.laid.from_nothing {
                ", after every pose was tried"
            } else {
                ""
            }
        )?,
        None => writeln!(out, "The replica’s model lies on the original as it is.")?,
    }
    for part in &collation.parts {
        fit(out, part)?;
    }
    for (body, parts) in &collation.only {
        for part in parts {
            writeln!(out, "\nThe part ‘{part}’ is on the {} only.", body.word())?;
        }
    }
    differences(out, collation)?;
    for claim in collation.claims.iter().filter(|c| c.found.is_empty()) {
        writeln!(
            out,
            "‘{}’ says that the bodies differ there; nothing beyond the tolerance was found.",
            claim.detail
        )?;
    }
    masses(out, geometry)?;
    bearings(out, &geometry.bearings)
}

fn fit(out: &mut String, part: &PartCollation) -> std::fmt::Result {
    let (fit, tolerance) = (&part.fit, &part.tolerance);
    writeln!(out, "\nPart ‘{}’", part.part)?;
    writeln!(
        out,
        "  Left after the fit: {:.3} mm root mean square, half below {:.3} mm, 95 % below {:.3} mm ({} points).",
        fit.residual.rms_mm, fit.residual.median_mm, fit.residual.p95_mm, fit.residual.points
    )?;
    writeln!(
        out,
        "  On one another: {:.1} % of the replica, {:.1} % of the original. Fits from {} other starts end within {:.4} mm.",
        fit.overlap[0] * 100.0,
        fit.overlap[1] * 100.0,
        fit.repeats,
        fit.repeat_mm
    )?;
    let open = fit.directions.iter().filter(|d| !d.determined).count();
    let state = match (fit.settled, open, fit.rivals.len()) {
        (true, ..) => "What the surfaces leave open was settled by the keeper’s pairs.".to_owned(),
        (_, 0, 0) => "The surfaces settle the pose.".to_owned(),
        (_, 0, n) => format!("The surfaces fit in {} ways.", n + 1),
        (_, 1, _) => "The surfaces leave one motion open.".to_owned(),
        (_, n, _) => format!("The surfaces leave {n} motions open."),
    };
    writeln!(
        out,
        "  {state} Least eigenvalue of the information: {:.4}.",
        fit.directions.first().map_or(0.0, |d| d.eigenvalue)
    )?;
    if let Some(standard) = fit.scale_standard {
        writeln!(
            out,
            "  Scale: {:.5} ± {:.5} (k = 2).",
            fit.pose.scale,
            2.0 * standard
        )?;
    }
    if tolerance.stated {
        writeln!(out, "  Tolerance: {:.3} mm, stated.", tolerance.value_mm)?;
    } else {
        let sum: Vec<String> = tolerance
            .shares
            .iter()
            .map(|s| format!("{:.4} {}", s.standard_mm, s.of.word()))
            .collect();
        writeln!(
            out,
            "  Tolerance: {:.3} mm = 2 × √(sum of squares of: {}).",
            tolerance.value_mm,
            sum.join(", ")
        )?;
    }
    for (name, s) in ["original from replica", "replica from original"]
        .iter()
        .zip(&part.summaries)
    {
        writeln!(
            out,
            "  {name}: mean {:+.3}, standard deviation {:.3}, 5 % below {:+.3}, 5 % above {:+.3}, from {:+.2} to {:+.2} mm; {:.1} % within tolerance; {:.1} % captured on both.",
            s.mean_mm,
            s.spread_mm,
            s.p5_mm,
            s.p95_mm,
            s.min_mm,
            s.max_mm,
            s.within * 100.0,
            s.captured * 100.0
        )?;
    }
    let specks = &part.comparison.specks;
    if specks.count > 0 {
        writeln!(
            out,
            "  {} specks of fewer than {} points, no further off than chance may put them, were left out: {:.1} mm² in all, none beyond {:.2} mm.",
            specks.count,
            crate::differ::SPECK,
            specks.area_mm2,
            specks.max_mm
        )?;
    }
    Ok(())
}

fn differences(out: &mut String, collation: &Collation) -> std::fmt::Result {
    if collation.found.is_empty() {
        return writeln!(out, "\nNo difference beyond the tolerance was found.\n");
    }
    writeln!(
        out,
        "\n  no  kind    part          area mm²   volume mm³ (k = 2)   deepest mm  centre mm               why"
    )?;
    for found in &collation.found {
        let Some(part) = collation.part(&found.part) else {
            continue;
        };
        let r = &part.comparison.regions[found.index];
        let [x, y, z] = r.centre.to_array().map(|c| format!("{c:.1}"));
        let told = |value: f64, expanded: f64| match Rounded::of(value, expanded) {
            Some(v) => format!("{:.*} ± {:.*}", v.decimals, v.value, v.decimals, v.expanded),
            None => format!("{value:.2}"),
        };
        let area = told(r.area_mm2, r.area_expanded_mm2);
        let volume = told(r.volume_mm3, r.volume_expanded_mm3);
        writeln!(
            out,
            "{:>4}  {:<7} {:<12} {area:>16}   {volume:>18}   {:>10.2}  {:<22}  {}",
            found.number,
            r.kind.word(),
            found.part.as_str(),
            r.max_mm,
            format!("{x} {y} {z}"),
            why(found)
        )?;
    }
    writeln!(out)
}

fn why(found: &Found) -> String {
    let list = |ids: &[DetailId]| {
        ids.iter()
            .map(ToString::to_string)
            .collect::<Vec<_>>()
            .join(", ")
    };
    match &found.explained {
        Explained::By(ids) => list(ids),
        Explained::Accepted(index) => format!("accepted ({})", index + 1),
        Explained::Not => "NOT EXPLAINED".to_owned(),
    }
}

fn masses(out: &mut String, geometry: &ObjectGeometry) -> std::fmt::Result {
    for (body, mass) in &geometry.quantities.masses {
        for (how, estimate) in [("reckoned", &mass.reckoned_g), ("weighed", &mass.weighed_g)] {
            if let Some(r) = estimate.as_ref().and_then(super::super::Estimate::rounded) {
                writeln!(
                    out,
                    "Mass of the {}, {how}: {:.*} g ± {:.*} g (k = 2).",
                    body.word(),
                    r.decimals,
                    r.value,
                    r.decimals,
                    r.expanded
                )?;
            }
        }
    }
    if let Some(r) = geometry
        .quantities
        .mass_ratio
        .as_ref()
        .and_then(super::super::Estimate::rounded)
    {
        writeln!(
            out,
            "Replica over original: {:.*} ± {:.*} (k = 2).",
            r.decimals, r.value, r.decimals, r.expanded
        )?;
    }
    Ok(())
}

fn degrees(angle: &Estimate) -> String {
    match angle.rounded() {
        Some(r) => format!(
            "{:.*}° ± {:.*}°",
            r.decimals, r.value, r.decimals, r.expanded
        ),
        None => format!("{:.2}°", angle.value),
    }
}

fn bearings(out: &mut String, bearings: &Bearings) -> std::fmt::Result {
    for (body, standing) in &bearings.standing {
        let settled = &standing.set_down;
        let rest = &settled.rest;
        writeln!(
            out,
            "\nThe {} comes to stand leaning by {}, its centre of mass {:.1} mm high; it tips at {} (estimate; points within {:.2} mm carry).",
            body.word(),
            degrees(&standing.lean_deg),
            rest.height_mm,
            degrees(&standing.tips_deg),
            standing.contact_mm
        )?;
        for without in &standing.without {
            writeln!(
                out,
                "Without ‘{}’ it would lean by {}.",
                without.detail,
                degrees(&without.lean_deg)
            )?;
        }
    }
    for (body, assembly) in &bearings.assembly {
        joints(out, *body, assembly)?;
    }
    writeln!(
        out,
        "\nA mount-maker or conservator must judge what stands in a public space; local rules come first."
    )
}

fn joints(
    out: &mut String,
    body: BodyKind,
    assembly: &super::super::collation::Assembly,
) -> std::fmt::Result {
    for joint in &assembly.joints {
        let [one, other] = &joint.parts;
        let gap = joint.meeting.gap.as_ref().map_or(String::new(), |g| {
            format!("{:.2} mm apart at the nearest", g.least_mm)
        });
        writeln!(out, "\n{}: ‘{one}’ and ‘{other}’ are {gap}.", body.word())?;
        for place in &joint.meeting.overlap.places {
            let [x, y, z] = place.spot.centre.to_array();
            writeln!(
                out,
                "  They pass into one another: {:.1} mm³, {:.2} mm deep, at {x:.1} {y:.1} {z:.1} mm.",
                place.volume_mm3, place.deepest_mm
            )?;
        }
    }
    if let Some(walls) = &assembly.walls {
        writeln!(
            out,
            "Walls of the {}: half above {:.1} mm, 95 % above {:.1} mm; {} places thinner than 1 mm; {:.1} % of the area could not be measured.",
            body.word(),
            walls.median_mm,
            walls.p05_mm,
            walls.thin.len(),
            (walls.escaped + walls.grazed + walls.buried) * 100.0
        )?;
    }
    Ok(())
}
