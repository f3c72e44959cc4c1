//! The table that sets original and replica side by side.

use super::amounts::{cubic_centimetres, estimate, signed, signed_number};
use super::{Both, both, mass, measured};
use crate::collate::{Amount, Extent};
use crate::record::{Body, BodyKind};
use crate::site::SiteError;
use crate::site::build::Subject;
use crate::site::build::bodies::{mass_text, size_text};
use crate::site::page::DifferenceRow;

/// All rows: what was measured or reckoned first, then what the keeper states.
pub(super) fn rows(subject: &Subject<'_>) -> Result<Vec<DifferenceRow>, SiteError> {
    let Both { original, replica } = both(subject)?;
    let mut rows = vec![row(
        subject,
        "fact_material",
        "declared",
        [subject.materials(original)?, subject.materials(replica)?],
        None,
        "why_material",
    )?];
    rows.extend(size_row(subject)?);
    rows.extend(volume_row(subject)?);
    rows.push(mass_row(subject, original, replica)?);
    rows.extend(standing_row(subject)?);
    let words = subject.site.words;
    for difference in &subject.object.record.differences {
        rows.push(DifferenceRow {
            aspect: subject.site.text(&difference.aspect)?.to_owned(),
            original: subject.site.text(&difference.original)?.to_owned(),
            replica: subject.site.text(&difference.replica)?.to_owned(),
            measured: None,
            status: "declared",
            status_word: words.get("status_not_measured")?.to_owned(),
            why: subject.site.text(&difference.reason)?.to_owned(),
            evidence: Some(
                subject
                    .site
                    .evidence(&difference.evidence, subject.object)?,
            ),
        });
    }
    Ok(rows)
}

fn row(
    subject: &Subject<'_>,
    aspect: &str,
    status: &'static str,
    [original, replica]: [String; 2],
    measured: Option<String>,
    why: &str,
) -> Result<DifferenceRow, SiteError> {
    let words = subject.site.words;
    let status_word = match &measured {
        Some(_) => words.get(&format!("status_{status}"))?,
        None => words.get("status_not_measured")?,
    };
    Ok(DifferenceRow {
        aspect: words.get(aspect)?.to_owned(),
        original,
        replica,
        measured,
        status,
        status_word: status_word.to_owned(),
        why: words.get(why)?.to_owned(),
        evidence: None,
    })
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
    let text = words.fill(
        "size_text",
        &[
            ("height", &signed(height, "mm", words)?),
            ("width", &signed(width, "mm", words)?),
            ("depth", &signed(depth, "mm", words)?),
        ],
    )?;
    let both = [
        size_text(old.bounds.size(), words)?,
        size_text(new.bounds.size(), words)?,
    ];
    row(
        subject,
        "fact_size",
        "measured",
        both,
        Some(text),
        "why_size",
    )
    .map(Some)
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
    row(
        subject,
        "fact_volume",
        "measured",
        both,
        Some(measured),
        "why_volume",
    )
    .map(Some)
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
        (Some(difference), Some(ratio)) => Some(words.fill(
            "measured_mass",
            &[
                ("difference", &signed(difference, "g", words)?),
                ("ratio", &estimate(ratio, "", words)?),
            ],
        )?),
        _ => None,
    };
    let mut row = row(
        subject,
        "fact_mass",
        status,
        [old, new],
        measured,
        "why_mass",
    )?;
    row.why.push('.');
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
    let lean = new.set_down.rest.tilt_deg - old.set_down.rest.tilt_deg;
    let tips = new.set_down.rest.tip.least_deg - old.set_down.rest.tip.least_deg;
    let difference = words.fill(
        "measured_standing",
        &[
            ("lean", &signed_number(lean, 1, words)?),
            ("tips", &signed_number(tips, 1, words)?),
        ],
    )?;
    let both = [
        measured::standing(old, words)?,
        measured::standing(new, words)?,
    ];
    row(
        subject,
        "fact_standing",
        "estimated",
        both,
        Some(difference),
        "why_standing",
    )
    .map(Some)
}
