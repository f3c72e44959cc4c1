//! Callipers beside the models, and what they say of the scale.

use super::amounts::{estimate, percent, signed};
use super::body_name;
use crate::collate::{ScaleCause, ScaleCheck};
use crate::paradata::About;
use crate::record::{BodyKind, Caliper};
use crate::site::SiteError;
use crate::site::address::Page;
use crate::site::build::Subject;
use crate::site::page::quantities::{CalliperRow, Callipers};

/// Nothing when no distance was taken.
pub(super) fn callipers(subject: &Subject<'_>) -> Result<Option<Callipers>, SiteError> {
    let checks = &subject.geometry.quantities.scale;
    if checks.is_empty() {
        return Ok(None);
    }
    let mut sentences = Vec::new();
    for kind in [BodyKind::Original, BodyKind::Replica] {
        let own: Vec<&ScaleCheck> = checks.iter().filter(|c| c.body == kind).collect();
        sentences.extend(said(subject, kind, &own)?);
    }
    let mut rows = Vec::new();
    for check in checks {
        rows.extend(row(subject, check)?);
    }
    Ok(Some(Callipers { sentences, rows }))
}

fn reading<'a>(subject: &'a Subject<'_>, check: &ScaleCheck) -> Option<&'a Caliper> {
    let body = subject.object.record.bodies.get(check.body)?;
    body.calipers.get(check.reading)
}

/// What the readings of one body say of the scale of its model.
fn said(
    subject: &Subject<'_>,
    kind: BodyKind,
    checks: &[&ScaleCheck],
) -> Result<Option<String>, SiteError> {
    let words = subject.site.words;
    // The reading that leaves the scale the least room.
    let bound = |c: &ScaleCheck| (c.ratio.value - 1.0).abs() + c.ratio.expanded();
    let Some(tightest) = checks.iter().min_by(|a, b| bound(a).total_cmp(&bound(b))) else {
        return Ok(None);
    };
    let body = body_name(words, kind)?;
    let apart: Vec<&&ScaleCheck> = checks.iter().filter(|c| !c.consistent).collect();
    if let Some(worst) = apart.iter().max_by(|a, b| {
        (a.ratio.value - 1.0)
            .abs()
            .total_cmp(&(b.ratio.value - 1.0).abs())
    }) {
        let causes: Vec<&str> = worst
            .causes
            .iter()
            .map(|c| words.get(cause(*c)))
            .collect::<Result<_, _>>()?;
        let text = words.fill(
            "callipers_disagree",
            &[
                ("body", body),
                ("ratio", &estimate(&worst.ratio, "", words)?),
            ],
        )?;
        return Ok(Some(format!("{text} {}", causes.join(" "))));
    }
    let scanned = subject.object.record.bodies.get(kind);
    if scanned.is_none_or(|b| b.scan.is_none()) {
        return words
            .fill("callipers_agree_uncertified", &[("body", body)])
            .map(Some);
    }
    // Rounded up, to a hundredth of a percent: no more may be said than was measured.
    let share = (bound(tightest) * 1e4).ceil() / 1e4;
    let bound = percent_hundredths(share, words)?;
    words
        .fill("callipers_agree", &[("body", body), ("bound", &bound)])
        .map(Some)
}

fn percent_hundredths(share: f64, words: &crate::site::words::Words) -> Result<String, SiteError> {
    if share >= 0.1 {
        return percent(share, words);
    }
    Ok(format!(
        "{}\u{a0}%",
        crate::site::figures::number(share * 100.0, 2, words)?
    ))
}

fn cause(of: ScaleCause) -> &'static str {
    match of {
        ScaleCause::Unit => "scale_cause_unit",
        ScaleCause::ScannerScale => "scale_cause_scanner",
        ScaleCause::Shrinkage => "scale_cause_shrinkage",
        ScaleCause::Reading => "scale_cause_reading",
    }
}

fn row(subject: &Subject<'_>, check: &ScaleCheck) -> Result<Option<CalliperRow>, SiteError> {
    let (site, words) = (subject.site, subject.site.words);
    let Some(caliper) = reading(subject, check) else {
        return Ok(None);
    };
    let verdict = if check.consistent {
        "calliper_agrees"
    } else {
        "calliper_disagrees"
    };
    Ok(Some(CalliperRow {
        distance: site.text(&caliper.name)?.to_owned(),
        evidence: subject.stated(
            &Page::Differs(subject.object.id.clone()),
            &About::Caliper(check.body, check.reading),
            &caliper.evidence,
        )?,
        body: body_name(words, check.body)?.to_owned(),
        read: estimate(&check.read_mm, "mm", words)?,
        model: estimate(&check.model_mm, "mm", words)?,
        difference: signed(&check.difference_mm, "mm", words)?,
        verdict: words.get(verdict)?.to_owned(),
        consistent: check.consistent,
    }))
}
