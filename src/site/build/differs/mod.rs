//! What differs between original and replica.

mod measured;
mod method;

use super::Subject;
use super::bodies::{mass_text, size_text};
use super::detail::{kind_name, kind_word, stands_word};
use super::frame::Script;
use crate::collate::{Amount, body_mass_g};
use crate::record::{Body, BodyKind, Kind, Stands};
use crate::site::address::Page;
use crate::site::page::differences::{ComparedBody, Comparison};
use crate::site::page::{BearingRow, DifferenceRow, DiffersPage};
use crate::site::{SiteError, figures};

pub(super) fn page(subject: &Subject<'_>) -> Result<DiffersPage, SiteError> {
    let page = Page::Differs(subject.object.id.clone());
    let heading = subject.site.words.get("what_differs")?;
    let answer = answer(subject)?;
    Ok(DiffersPage {
        frame: subject.frame(&page, heading, &answer.join(" "), Script::None)?,
        object: subject.head(&page)?,
        rows: rows(subject)?,
        bearings: bearings(subject, &page)?,
        bodies: subject.bodies(&page)?,
        comparison: comparison(subject, &page)?,
        answer,
    })
}

/// What was measured; nothing when no part is on both bodies.
fn comparison(subject: &Subject<'_>, page: &Page) -> Result<Option<Comparison>, SiteError> {
    let (Some(collation), Some(drawn)) =
        (&subject.geometry.collation, &subject.pictures.differences)
    else {
        return Ok(None);
    };
    let words = subject.site.words;
    let mut bodies = Vec::new();
    for (kind, files) in &drawn.bodies {
        let heading = words.get(match kind {
            BodyKind::Original => "body_original",
            BodyKind::Replica => "body_replica",
        })?;
        let alt = words.fill(
            "differences_alt",
            &[
                ("body", heading),
                ("n", &subject.site.count(collation.found.len())?),
            ],
        )?;
        bodies.push(ComparedBody {
            heading: heading.to_owned(),
            picture: files.seen_from(&subject.site.address(page), alt),
        });
    }
    Ok(Some(Comparison {
        bodies,
        scale: measured::scale(collation, drawn, words)?,
        groups: measured::groups(subject, page, collation, drawn)?,
        places: measured::places(subject, page, collation)?,
        method: method::method(subject, collation)?,
    }))
}

struct Both<'a> {
    original: &'a Body,
    replica: &'a Body,
}

fn both<'a>(subject: &'a Subject<'_>) -> Result<Both<'a>, SiteError> {
    let bodies = &subject.object.record.bodies;
    let replica = bodies.replica.as_ref();
    let replica = replica
        .ok_or_else(|| SiteError::Picture(format!("‘{}’ has no replica", subject.object.id)))?;
    Ok(Both {
        original: &bodies.original,
        replica,
    })
}

fn mass(subject: &Subject<'_>, kind: BodyKind, body: &Body) -> Amount {
    match subject.geometry.bodies.get(&kind) {
        Some(geometry) => body_mass_g(body, geometry, &subject.object.record.materials),
        None => Amount::Open,
    }
}

fn grams(amount: Amount) -> Option<f64> {
    match amount {
        Amount::Weighed { value_g, .. } => Some(value_g),
        Amount::Estimated(span) => Some(f64::midpoint(span.low, span.high)),
        Amount::Open | Amount::NotKnownSolid => None,
    }
}

/// The answer in plain sentences: metal, weight, what was added or left, what is not alike.
fn answer(subject: &Subject<'_>) -> Result<Vec<String>, SiteError> {
    let Both { original, replica } = both(subject)?;
    let words = subject.site.words;
    let mut sentences = Vec::new();
    let (old, new) = (subject.materials(original)?, subject.materials(replica)?);
    if old == new {
        sentences.push(words.fill("answer_same_material", &[("material", &new)])?);
    } else {
        sentences.push(words.fill("answer_material", &[("original", &old), ("replica", &new)])?);
    }
    let masses = (
        grams(mass(subject, BodyKind::Original, original)),
        grams(mass(subject, BodyKind::Replica, replica)),
    );
    if let (Some(old_g), Some(new_g)) = masses {
        let percent = (1.0 - new_g / old_g) * 100.0;
        let key = if percent >= 0.0 {
            "answer_lighter"
        } else {
            "answer_heavier"
        };
        sentences.push(words.fill(
            key,
            &[("percent", &figures::number(percent.abs(), 0, words)?)],
        )?);
    }
    if let Some(collation) = &subject.geometry.collation {
        sentences.extend(measured::answer(subject, collation)?);
    }
    let with = |test: fn(Stands, Stands) -> bool| -> Result<Vec<&str>, SiteError> {
        let mut titles = Vec::new();
        for detail in &subject.object.details {
            if let Some(on_replica) = detail.record.bearing.replica
                && test(detail.record.bearing.original, on_replica)
            {
                titles.push(subject.site.note(&detail.notes)?.title.as_str());
            }
        }
        Ok(titles)
    };
    let lists = [
        (
            "answer_only_replica",
            with(|o, r| o == Stands::Absent && r != Stands::Absent)?,
        ),
        (
            "answer_only_original",
            with(|o, r| o != Stands::Absent && r == Stands::Absent)?,
        ),
        (
            "answer_altered",
            with(|o, r| o != Stands::Absent && r == Stands::Altered)?,
        ),
    ];
    for (key, titles) in lists {
        if !titles.is_empty() {
            let list = titles.join(words.get("list_separator")?);
            sentences.push(words.fill(key, &[("list", &list)])?);
        }
    }
    Ok(sentences)
}

fn rows(subject: &Subject<'_>) -> Result<Vec<DifferenceRow>, SiteError> {
    let Both { original, replica } = both(subject)?;
    let words = subject.site.words;
    let mut rows = vec![row(
        subject,
        "fact_material",
        "declared",
        subject.materials(original)?,
        subject.materials(replica)?,
        "why_material",
    )?];
    let sizes = (
        subject.geometry.bodies.get(&BodyKind::Original),
        subject.geometry.bodies.get(&BodyKind::Replica),
    );
    if let (Some(old), Some(new)) = sizes {
        let (old, new) = (
            size_text(old.bounds.size(), words)?,
            size_text(new.bounds.size(), words)?,
        );
        rows.push(row(subject, "fact_size", "measured", old, new, "why_size")?);
    }
    rows.push(mass_row(subject, original, replica)?);
    rows.extend(standing_row(subject)?);
    for difference in &subject.object.record.differences {
        rows.push(DifferenceRow {
            aspect: subject.site.text(&difference.aspect)?.to_owned(),
            original: subject.site.text(&difference.original)?.to_owned(),
            replica: subject.site.text(&difference.replica)?.to_owned(),
            status: "declared",
            status_word: words.get("status_declared")?.to_owned(),
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
    original: String,
    replica: String,
    why: &str,
) -> Result<DifferenceRow, SiteError> {
    let words = subject.site.words;
    Ok(DifferenceRow {
        aspect: words.get(aspect)?.to_owned(),
        original,
        replica,
        status,
        status_word: words.get(&format!("status_{status}"))?.to_owned(),
        why: words.get(why)?.to_owned(),
        evidence: None,
    })
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
    let mut row = row(subject, "fact_mass", status, old, new, "why_mass")?;
    let quantities = &subject.geometry.quantities;
    if let Some(ratio) = &quantities.mass_ratio {
        let ratio = measured::estimate(ratio, "", words)?.replace('\u{a0}', " ");
        let ratio = ratio.split_whitespace().collect::<Vec<_>>().join("\u{a0}");
        row.why = format!(
            "{}. {}",
            row.why,
            words.fill("mass_ratio", &[("ratio", &ratio)])?
        );
    }
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
                ("reckoned", &measured::estimate(reckoned, "g", words)?),
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
    let (old, new) = (
        measured::standing(old, words)?,
        measured::standing(new, words)?,
    );
    row(
        subject,
        "fact_standing",
        "estimated",
        old,
        new,
        "why_standing",
    )
    .map(Some)
}

/// How each detail stands on both, unlike ones first.
fn bearings(subject: &Subject<'_>, page: &Page) -> Result<Vec<BearingRow>, SiteError> {
    let (site, object) = (subject.site, subject.object);
    let mut rows = Vec::new();
    for (index, detail) in object.details.iter().enumerate() {
        let bearing = detail.record.bearing;
        let replica = bearing.replica.unwrap_or(Stands::Unknown);
        let target = Page::Detail(object.id.clone(), detail.id.clone());
        let kind: Kind = detail.record.kind;
        rows.push(BearingRow {
            letter: figures::letter(index),
            title: site.note(&detail.notes)?.title.clone(),
            href: site.address(page).to(&site.address(&target)),
            kind: kind_word(kind),
            kind_word: kind_name(kind, site.words)?,
            original: stands_word(bearing.original, site.words)?,
            replica: stands_word(replica, site.words)?,
            differs: bearing.original != replica,
        });
    }
    rows.sort_by_key(|row| !row.differs);
    Ok(rows)
}
