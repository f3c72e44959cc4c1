//! The table that sets original and replica side by side.

use super::amounts::{cubic_centimetres, estimate, signed};
use super::{Both, both, mass, measured};
use crate::collate::{Amount, Estimate, Extent};
use crate::paradata::About;
use crate::record::{Body, BodyKind};
use crate::site::SiteError;
use crate::site::address::Page;
use crate::site::build::Subject;
use crate::site::build::bodies::{mass_text, size_text};
use crate::site::page::{DifferenceRow, KnownBy};
use crate::site::words::Words;

/// All rows: what was measured or reckoned first, then what the keeper states.
pub(super) fn rows(subject: &Subject<'_>) -> Result<Vec<DifferenceRow>, SiteError> {
    let Both { original, replica } = both(subject)?;
    let mut rows = vec![row(
        subject,
        "fact_material",
        "declared",
        [subject.materials(original)?, subject.materials(replica)?],
        Vec::new(),
        "why_material",
    )?];
    rows.extend(size_row(subject)?);
    rows.extend(volume_row(subject)?);
    rows.push(mass_row(subject, original, replica)?);
    rows.extend(standing_row(subject)?);
    let words = subject.site.words;
    let page = Page::Differs(subject.object.id.clone());
    for row in &mut rows {
        row.grounds = grounds(subject, &page, &row.aspect)?;
    }
    for (index, difference) in subject.object.record.differences.iter().enumerate() {
        rows.push(DifferenceRow {
            aspect: subject.site.text(&difference.aspect)?.to_owned(),
            original: subject.site.text(&difference.original)?.to_owned(),
            replica: subject.site.text(&difference.replica)?.to_owned(),
            measured: Vec::new(),
            verdict: None,
            status: "declared",
            status_word: words.get("status_not_measured")?.to_owned(),
            why: subject.site.text(&difference.reason)?.to_owned(),
            evidence: subject.stated(&page, &About::Stated(index), &difference.evidence)?,
            grounds: Vec::new(),
        });
    }
    Ok(rows)
}

fn row(
    subject: &Subject<'_>,
    aspect: &str,
    status: &'static str,
    [original, replica]: [String; 2],
    measured: Vec<String>,
    why: &str,
) -> Result<DifferenceRow, SiteError> {
    let words = subject.site.words;
    let status_word = if measured.is_empty() {
        words.get("status_not_measured")?
    } else {
        words.get(&format!("status_{status}"))?
    };
    Ok(DifferenceRow {
        aspect: words.get(aspect)?.to_owned(),
        original,
        replica,
        measured,
        verdict: None,
        status,
        status_word: status_word.to_owned(),
        why: words.get(why)?.to_owned(),
        evidence: None,
        grounds: Vec::new(),
    })
}

/// The claims behind a row of both bodies.
fn grounds(subject: &Subject<'_>, page: &Page, aspect: &str) -> Result<Vec<KnownBy>, SiteError> {
    let words = subject.site.words;
    let bodies = [BodyKind::Original, BodyKind::Replica];
    let each = |of: fn(BodyKind) -> About| bodies.map(of).to_vec();
    let abouts = if aspect == words.get("fact_material")? {
        let parts = bodies.map(|kind| subject.object.record.bodies.parts(kind));
        let mut materials: Vec<About> = Vec::new();
        for part in parts.into_iter().flatten() {
            let about = About::Material(part.material.clone());
            if !materials.contains(&about) {
                materials.push(about);
            }
        }
        materials
    } else if aspect == words.get("fact_size")? {
        each(About::Size)
    } else if aspect == words.get("fact_volume")? {
        each(About::Volume)
    } else if aspect == words.get("fact_mass")? {
        let mut all = vec![About::MassDifference];
        all.extend(each(About::Weighed));
        all.extend(each(About::Mass));
        all
    } else if aspect == words.get("fact_standing")? {
        each(About::Standing)
    } else {
        Vec::new()
    };
    subject.grounds(page, abouts)
}

/// What differences come to: nothing that is shown, or nothing that could be judged.
fn verdict(differences: &[Estimate], words: &Words) -> Result<Option<String>, SiteError> {
    let key = if differences.iter().any(|d| d.contributions.is_empty()) {
        "verdict_not_known"
    } else if differences.iter().all(Estimate::is_not_shown) {
        "verdict_not_shown"
    } else {
        return Ok(None);
    };
    words.get(key).map(|w| Some(w.to_owned()))
}

/// Boxes around both bodies.
fn size_row(subject: &Subject<'_>) -> Result<Option<DifferenceRow>, SiteError> {
    let words = subject.site.words;
    let sizes = (
        subject.geometry.bodies.get(&BodyKind::Original),
        subject.geometry.bodies.get(&BodyKind::Replica),
    );
    let ((Some(old), Some(new)), Some(difference)) = (sizes, &subject.geometry.extents.difference)
    else {
        return Ok(None);
    };
    let [width, height, depth] = &difference.size_mm;
    let mut lines = Vec::new();
    for (key, side) in [
        ("side_height", height),
        ("side_width", width),
        ("side_depth", depth),
    ] {
        lines.push(words.fill(key, &[("mm", &signed(side, "mm", words)?)])?);
    }
    let both = [
        size_text(old.bounds.size(), words)?,
        size_text(new.bounds.size(), words)?,
    ];
    let mut row = row(subject, "fact_size", "measured", both, lines, "why_size")?;
    row.verdict = verdict(&difference.size_mm, words)?;
    Ok(Some(row))
}

/// What the surfaces enclose, when both enclose something that can be stated.
fn volume_row(subject: &Subject<'_>) -> Result<Option<DifferenceRow>, SiteError> {
    let words = subject.site.words;
    let extents = &subject.geometry.extents;
    let of = |extent: Option<&Extent>| extent.and_then(|e| e.volume_mm3.clone());
    let (Some(old), Some(new), Some(difference)) = (
        of(extents.bodies.get(&BodyKind::Original)),
        of(extents.bodies.get(&BodyKind::Replica)),
        of(extents.difference.as_ref()),
    ) else {
        return Ok(None);
    };
    let text = |volume| estimate(&cubic_centimetres(volume), "cm³", words);
    let both = [text(&old)?, text(&new)?];
    let measured = signed(&cubic_centimetres(&difference), "cm³", words)?;
    let mut row = row(
        subject,
        "fact_volume",
        "measured",
        both,
        vec![measured],
        "why_volume",
    )?;
    row.verdict = verdict(&[difference], words)?;
    Ok(Some(row))
}

/// Masses side by side. Where nothing can be said, that is said, and why.
fn mass_row(
    subject: &Subject<'_>,
    original: &Body,
    replica: &Body,
) -> Result<DifferenceRow, SiteError> {
    let words = subject.site.words;
    let of = |kind, body| -> Result<(String, bool), SiteError> {
        let amount = mass(subject, kind, body);
        let unsaid = match amount {
            Amount::Open => "mass_open",
            Amount::NotKnownSolid | Amount::Weighed { .. } | Amount::Estimated(_) => {
                "mass_not_known_solid"
            }
        };
        Ok(match mass_text(amount, words)? {
            Some((text, how)) => (
                format!("{text} ({how})"),
                matches!(amount, Amount::Weighed { .. }),
            ),
            None => (words.get(unsaid)?.to_owned(), false),
        })
    };
    let (old, old_weighed) = of(BodyKind::Original, original)?;
    let (new, new_weighed) = of(BodyKind::Replica, replica)?;
    let status = if old_weighed && new_weighed {
        "measured"
    } else {
        "estimated"
    };
    let quantities = &subject.geometry.quantities;
    let measured = match (&quantities.mass_difference_g, &quantities.mass_ratio) {
        (Some(difference), Some(ratio)) => {
            let times = words.fill("mass_times", &[("ratio", &estimate(ratio, "", words)?)])?;
            vec![signed(difference, "g", words)?, times]
        }
        _ => Vec::new(),
    };
    let mut row = row(
        subject,
        "fact_mass",
        status,
        [old, new],
        measured,
        "why_mass",
    )?;
    for (kind, key) in [
        (BodyKind::Original, "mass_check_original"),
        (BodyKind::Replica, "mass_check_replica"),
    ] {
        let found = quantities.masses.get(&kind);
        let Some((reckoned, weighing)) =
            found.and_then(|m| Some((m.reckoned_g.as_ref()?, m.weighing.as_ref()?)))
        else {
            continue;
        };
        let agrees = words.get(if weighing.consistent {
            "mass_agrees"
        } else {
            "mass_disagrees"
        })?;
        let text = words.fill(
            key,
            &[
                ("reckoned", &estimate(reckoned, "g", words)?),
                ("verdict", agrees),
            ],
        )?;
        row.why = format!("{} {text}", row.why);
        for reason in weighing.reasons.iter().filter(|_| !weighing.consistent) {
            let word = format!("mass_reason_{}", reason.word().replace('-', "_"));
            row.why = format!("{} {}", row.why, words.get(&word)?);
        }
    }
    Ok(row)
}

/// How each body stands, when that could be worked out for both.
fn standing_row(subject: &Subject<'_>) -> Result<Option<DifferenceRow>, SiteError> {
    let standing = &subject.geometry.bearings.standing;
    let (Some(old), Some(new)) = (
        standing.get(&BodyKind::Original),
        standing.get(&BodyKind::Replica),
    ) else {
        return Ok(None);
    };
    let words = subject.site.words;
    let less = |new: &Estimate, old: &Estimate| new.less(old, ["replica", "original"]);
    let angles = [
        less(&new.lean_deg, &old.lean_deg),
        less(&new.tips_deg, &old.tips_deg),
    ];
    let mut lines = Vec::new();
    for (key, angle) in ["standing_lean", "standing_tips"].into_iter().zip(&angles) {
        lines.push(words.fill(key, &[("angle", &signed(angle, "°", words)?)])?);
    }
    let both = [
        measured::standing(old, words)?,
        measured::standing(new, words)?,
    ];
    let mut row = row(
        subject,
        "fact_standing",
        "estimated",
        both,
        lines,
        "why_standing",
    )?;
    row.verdict = verdict(&angles, words)?;
    Ok(Some(row))
}
