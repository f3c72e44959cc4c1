//! How it was measured, in sentences.

use super::measured::square;
use super::part_name;
use crate::collate::{Collation, PartCollation};
use crate::differ::{SPECK, Tolerance};
use crate::site::build::Subject;
use crate::site::words::Words;
use crate::site::{SiteError, figures};

/// How it was measured, as sentences: fit, tolerance with its sum, what was left out.
pub(super) fn method(
    subject: &Subject<'_>,
    collation: &Collation,
) -> Result<Vec<String>, SiteError> {
    let words = subject.site.words;
    let mut out = vec![match &collation.laid.moved {
        Some(pose) => words.fill(
            "method_moved",
            &[
                ("turn", &figures::number(pose.angle_deg(), 1, words)?),
                (
                    "shift",
                    &figures::millimetres(pose.shift.length(), 1, words)?,
                ),
            ],
        )?,
        None => words.get("method_lies")?.to_owned(),
    }];
    for part in &collation.parts {
        out.push(part_method(subject, part)?);
    }
    let specks: usize = collation
        .parts
        .iter()
        .map(|p| p.comparison.specks.count)
        .sum();
    if specks > 0 {
        let area = collation
            .parts
            .iter()
            .map(|p| p.comparison.specks.area_mm2)
            .sum();
        let deepest = collation.parts.iter().map(|p| p.comparison.specks.max_mm);
        let least = subject.site.count(SPECK)?;
        out.push(words.fill(
            "method_specks",
            &[
                ("n", &subject.site.count(specks)?),
                ("least", &least),
                ("area", &square(area, words)?),
                (
                    "deepest",
                    &figures::millimetres(deepest.fold(0.0, f64::max), 2, words)?,
                ),
            ],
        )?);
    }
    Ok(out)
}

fn part_method(subject: &Subject<'_>, part: &PartCollation) -> Result<String, SiteError> {
    let words = subject.site.words;
    let name = part_name(subject, &part.part)?;
    let fine = |v: f64| figures::millimetres((v * 1000.0).ceil() / 1000.0, 3, words);
    let pose = match (part.fit.settled, part.fit.determined()) {
        (true, _) => "method_settled",
        (_, true) => "method_determined",
        _ => "method_open",
    };
    let mut text = words.fill(
        "method_part",
        &[
            ("part", &name),
            ("rms", &fine(part.fit.residual.rms_mm)?),
            ("p95", &fine(part.fit.residual.p95_mm)?),
            ("repeat", &fine(part.fit.repeat_mm)?),
        ],
    )?;
    text = format!(
        "{text} {} {}",
        words.get(pose)?,
        tolerance(&part.tolerance, words)?
    );
    Ok(text)
}

fn tolerance(of: &Tolerance, words: &Words) -> Result<String, SiteError> {
    let key = if of.stated {
        "method_tolerance_stated"
    } else {
        "method_tolerance"
    };
    words.fill(
        key,
        &[
            ("tolerance", &figures::millimetres(of.value_mm, 2, words)?),
            (
                "expanded",
                &figures::millimetres(2.0 * of.standard_mm, 2, words)?,
            ),
        ],
    )
}
