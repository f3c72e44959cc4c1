//! What the comparison of the surfaces found, as a reader wants it told.

use super::amounts::{estimate, with_uncertainty};
use crate::collate::{COVERAGE, Collation, Found, Group, PartCollation, Reason, Standing};
use crate::differ::{Kind, Region};
use crate::paradata::About;
use crate::record::BodyKind;
use crate::site::address::Page;
use crate::site::build::Subject;
use crate::site::build::alternative::Difference;
use crate::site::build::scale::legend;
use crate::site::page::Fact;
use crate::site::page::differences::{DetailLink, DifferenceRegion, DifferenceScale, PlaceRow};
use crate::site::pictures::{Differences, DrawnGroup};
use crate::site::words::Words;
use crate::site::{SiteError, figures};

/// A volume; one that its uncertainty swallows is not stated as a number.
fn volume(mm3: f64, expanded: f64, words: &Words) -> Result<String, SiteError> {
    if mm3 > expanded {
        return with_uncertainty(mm3, expanded, "mm³", words);
    }
    let bound = format!(
        "{}\u{a0}mm³",
        figures::number((mm3 + expanded).ceil(), 0, words)?
    );
    words.fill("volume_not_shown", &[("most", &bound)])
}

/// Sentences for the answer: how much of the surface is alike, and how it stands.
pub(super) fn answer(
    subject: &Subject<'_>,
    collation: &Collation,
) -> Result<Vec<String>, SiteError> {
    let words = subject.site.words;
    let mut sentences = Vec::new();
    let all: f64 = collation.parts.iter().map(area).sum();
    let alike: f64 = collation
        .parts
        .iter()
        .map(|p| area(p) * p.summaries[1].within)
        .sum();
    let widest = collation
        .parts
        .iter()
        .map(|p| p.tolerance.value_mm)
        .fold(0.0, f64::max);
    if all > 0.0 {
        // Rounded down: what is said must not be more than was measured.
        let share = (alike / all * 1000.0).floor() / 10.0;
        sentences.push(words.fill(
            "answer_alike",
            &[
                ("share", &figures::number(share, 1, words)?),
                ("tolerance", &figures::millimetres(widest, 2, words)?),
            ],
        )?);
    }
    if let Some(standing) = subject.geometry.bearings.standing.get(&BodyKind::Replica) {
        for without in &standing.without {
            let (with, other) = (standing.lean_deg.value, without.lean_deg.value);
            let detail = subject
                .object
                .details
                .iter()
                .find(|d| d.id == without.detail);
            if let Some(detail) = detail.filter(|_| other - with > LEAN_DEG) {
                let title = subject.site.note(&detail.notes)?.title.as_str();
                sentences.push(words.fill(
                    "answer_lean",
                    &[
                        ("detail", title),
                        ("without", &figures::number(other, 1, words)?),
                        ("with", &figures::number(with, 1, words)?),
                    ],
                )?);
            }
        }
    }
    Ok(sentences)
}

/// A lean that a visitor would notice, degrees.
const LEAN_DEG: f64 = 0.2;

fn area(part: &PartCollation) -> f64 {
    part.comparison.replica.shares_mm2.iter().sum()
}

/// The legend, in millimetres.
pub(super) fn scale(
    collation: &Collation,
    drawn: &Differences,
    words: &Words,
) -> Result<DifferenceScale, SiteError> {
    let missing: f64 = collation
        .parts
        .iter()
        .flat_map(|p| p.comparison.not_captured.iter().flatten())
        .map(|g| g.area_mm2)
        .sum();
    let missing = if missing > 0.0 {
        Some(words.fill("step_missing", &[("area", &square(missing, words)?)])?)
    } else {
        None
    };
    legend(&drawn.scale, missing, words)
}

/// Expanded uncertainty of one distance on the part of a difference, millimetres.
fn sure_mm(collation: &Collation, found: &Found) -> f64 {
    let part = collation.part(&found.part);
    part.map_or(0.0, |p| COVERAGE * p.tolerance.standard_mm)
}

/// An area: mm² below 10 cm², cm² above.
pub(super) fn square(mm2: f64, words: &Words) -> Result<String, SiteError> {
    Ok(if mm2 < 1000.0 {
        format!("{}\u{a0}mm²", figures::number(mm2, 0, words)?)
    } else {
        format!("{}\u{a0}cm²", figures::number(mm2 / 100.0, 1, words)?)
    })
}

/// Every group of differences, the largest first.
pub(super) fn groups(
    subject: &Subject<'_>,
    page: &Page,
    collation: &Collation,
    drawn: &Differences,
) -> Result<Vec<DifferenceRegion>, SiteError> {
    let groups = collation.groups();
    let mut out = Vec::new();
    for ((number, group), still) in (1..).zip(&groups).zip(&drawn.groups) {
        out.push(one_group(subject, page, collation, number, group, still)?);
    }
    Ok(out)
}

fn one_group(
    subject: &Subject<'_>,
    page: &Page,
    collation: &Collation,
    number: usize,
    group: &Group<'_>,
    still: &DrawnGroup,
) -> Result<DifferenceRegion, SiteError> {
    let (site, words) = (subject.site, subject.site.words);
    let regions: Vec<&Region> = group
        .found
        .iter()
        .filter_map(|f| collation.region(f))
        .collect();
    let kind = group.kind(collation);
    let kind_word = words.get(match kind {
        Some(Kind::Gained) => "difference_gained",
        Some(Kind::Lost) => "difference_lost",
        Some(Kind::Moved) => "difference_moved",
        None => "difference_mixed",
    })?;
    let detail = match group.reason {
        Reason::Detail(id) => subject.object.details.iter().position(|d| &d.id == id),
        Reason::Accepted(_) | Reason::None => None,
    };
    let link = match detail {
        Some(index) => Some(link(subject, page, index)?),
        None => None,
    };
    let accepted = match group.reason {
        Reason::Accepted(index) => subject.object.record.collation.accepted.get(index),
        Reason::Detail(_) | Reason::None => None,
    };
    let title = match (&link, accepted) {
        (Some(link), _) => link.title.clone(),
        (None, Some(_)) => words.get("difference_accepted")?.to_owned(),
        (None, None) => words.get("difference_unexplained")?.to_owned(),
    };
    let mut text = match accepted {
        Some(accepted) => format!("{} ", site.text(&accepted.reason)?),
        None => String::new(),
    };
    text += &if regions.len() == 1 {
        words.get("difference_one_place")?.to_owned()
    } else {
        words.fill("difference_places", &[("n", &site.count(regions.len())?)])?
    };
    let total: f64 = regions.iter().map(|r| r.volume_mm3).sum();
    let expanded = regions
        .iter()
        .map(|r| r.volume_expanded_mm3.powi(2))
        .sum::<f64>()
        .sqrt();
    let sure = group.found.first().map_or(0.0, |f| sure_mm(collation, f));
    let deepest = regions.iter().map(|r| r.max_mm).fold(0.0, f64::max);
    let fact = |key: &str, value: String| -> Result<Fact, SiteError> {
        Ok(Fact {
            term: words.get(key)?.to_owned(),
            value,
            evidence: None,
        })
    };
    let facts = vec![
        fact(
            "fact_deepest",
            with_uncertainty(deepest, sure, "mm", words)?,
        )?,
        fact(
            "fact_area",
            // What is shared by all moves all outlines together.
            with_uncertainty(
                regions.iter().map(|r| r.area_mm2).sum(),
                regions.iter().map(|r| r.area_expanded_mm2).sum(),
                "mm²",
                words,
            )?,
        )?,
        fact("fact_volume", volume(total, expanded, words)?)?,
    ];
    let seen = words.get(match still.body {
        BodyKind::Original => "body_original",
        BodyKind::Replica => "body_replica",
    })?;
    let told = Difference {
        body: still.body,
        from: still.from,
        number: &site.count(number)?,
        title: &title,
        kind: kind_word,
        deepest: &figures::millimetres(deepest, 2, words)?,
    }
    .told(words)?;
    let evidence = match accepted {
        Some(accepted) => subject.stated(
            page,
            &match group.reason {
                Reason::Accepted(index) => About::Accepted(index),
                Reason::Detail(id) => About::Region(id.clone()),
                Reason::None => About::Settled,
            },
            &accepted.evidence,
        )?,
        None => match group.reason {
            Reason::Detail(id) => subject.known_about(page, &About::Region(id.clone()), None)?,
            Reason::Accepted(_) | Reason::None => None,
        },
    };
    Ok(DifferenceRegion {
        number,
        kind: kind.map_or("mixed", Kind::word),
        kind_word: kind_word.to_owned(),
        caption: words.fill("difference_seen_on", &[("body", seen)])?,
        picture: still.files.seen_from(&site.address(page), told.alt),
        title,
        words: text,
        facts,
        detail: link,
        evidence,
    })
}

fn link(subject: &Subject<'_>, page: &Page, index: usize) -> Result<DetailLink, SiteError> {
    let detail = &subject.object.details[index];
    let target = Page::Detail(subject.object.id.clone(), detail.id.clone());
    Ok(DetailLink {
        letter: figures::letter(index),
        title: subject.site.note(&detail.notes)?.title.clone(),
        href: subject
            .site
            .address(page)
            .to(&subject.site.address(&target)),
    })
}

/// Every single place, for those who want them all.
pub(super) fn places(
    subject: &Subject<'_>,
    page: &Page,
    collation: &Collation,
) -> Result<Vec<PlaceRow>, SiteError> {
    let words = subject.site.words;
    let mut rows = Vec::new();
    for group in collation.groups() {
        let detail = match group.reason {
            Reason::Detail(id) => subject.object.details.iter().position(|d| &d.id == id),
            Reason::Accepted(_) | Reason::None => None,
        };
        for found in &group.found {
            let Some(region) = collation.region(found) else {
                continue;
            };
            let kind = match region.kind {
                Kind::Gained => "difference_gained",
                Kind::Lost => "difference_lost",
                Kind::Moved => "difference_moved",
            };
            let place = region
                .centre
                .to_array()
                .map(|c| figures::number(c, 1, words));
            let [x, y, z] = place;
            rows.push(PlaceRow {
                number: found.number,
                kind_word: words.get(kind)?.to_owned(),
                area: with_uncertainty(region.area_mm2, region.area_expanded_mm2, "mm²", words)?,
                volume: volume(region.volume_mm3, region.volume_expanded_mm3, words)?,
                deepest: with_uncertainty(region.max_mm, sure_mm(collation, found), "mm", words)?,
                place: format!("{}, {}, {}", x?, y?, z?),
                detail: match detail {
                    Some(index) => Some(link(subject, page, index)?),
                    None => None,
                },
                why: match group.reason {
                    Reason::Accepted(_) => words.get("difference_accepted")?.to_owned(),
                    Reason::Detail(_) | Reason::None => {
                        words.get("difference_unexplained")?.to_owned()
                    }
                },
            });
        }
    }
    rows.sort_by_key(|r| r.number);
    Ok(rows)
}

/// "leans by 1.81° ± 0.15°; tips when it leans by 21.4° ± 0.2°".
pub(super) fn standing(of: &Standing, words: &Words) -> Result<String, SiteError> {
    let key = if of.set_down.stands_as_set {
        "stands"
    } else {
        "does_not_stand"
    };
    words.fill(
        key,
        &[
            ("lean", &estimate(&of.lean_deg, "°", words)?),
            ("tips", &estimate(&of.tips_deg, "°", words)?),
        ],
    )
}
