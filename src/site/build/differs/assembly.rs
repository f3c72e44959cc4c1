//! How the parts of each body meet, and how thick their walls are; in plain words first.

use super::amounts::{percent, with_uncertainty};
use super::histogram::Bars;
use super::measured::square;
use super::{body_name, part_name};
use crate::collate::{COVERAGE, Estimate, Joint};
use crate::joint::{Overlap, Seat, Walls};
use crate::paradata::About;
use crate::record::BodyKind;
use crate::site::address::Page;
use crate::site::build::Subject;
use crate::site::page::Fact;
use crate::site::page::KnownBy;
use crate::site::page::quantities::{AssembledBody, Assembly, ThicknessRow, ThicknessShare};
use crate::site::words::Words;
use crate::site::{SiteError, figures};
use glam::DVec3;

/// Places that are told one by one, the largest.
const TOLD: usize = 3;
/// A wall below this is told as "less than": no scan tells more.
const FINEST_MM: f64 = 0.01;

/// Nothing when there is but one part on each body and no wall could be measured.
pub(super) fn assembly(subject: &Subject<'_>) -> Result<Option<Assembly>, SiteError> {
    let words = subject.site.words;
    let found = &subject.geometry.bearings.assembly;
    let walls: Vec<(BodyKind, &Walls)> = found
        .iter()
        .filter_map(|(kind, a)| Some((*kind, a.walls.as_ref()?)))
        .collect();
    let bars = Bars::of(&walls.iter().map(|(_, w)| *w).collect::<Vec<_>>());
    let shares: Vec<Vec<f64>> = walls.iter().map(|(_, w)| bars.shares(w)).collect();
    let highest = shares.iter().flatten().copied().fold(0.0, f64::max);
    let mut bodies = Vec::new();
    for (kind, assembly) in found {
        let heading = body_name(words, *kind)?;
        let (mut facts, mut sentences) = (Vec::new(), Vec::new());
        for joint in &assembly.joints {
            sentences.push(meeting(subject, joint)?);
            facts.extend(joint_facts(subject, joint)?);
        }
        let mut histogram = None;
        if let Some(walls) = &assembly.walls {
            let said = thickness(walls, words)?;
            let alt = words.fill("walls_alt", &[("body", heading), ("said", &said)])?;
            histogram = Some(bars.draw(walls, highest, alt, words)?);
            sentences.push(said);
            facts.extend(wall_facts(walls, words)?);
        }
        if !facts.is_empty() {
            bodies.push(AssembledBody {
                heading: heading.to_owned(),
                sentences,
                facts,
                known: subject.known_about(
                    &Page::Differs(subject.object.id.clone()),
                    &About::Assembly(*kind),
                    None,
                )?,
                histogram,
            });
        }
    }
    if bodies.is_empty() {
        return Ok(None);
    }
    let mut rows = Vec::new();
    for bar in 0..bars.count {
        let own = walls.iter().zip(&shares).map(|((kind, _), shares)| {
            Ok(ThicknessShare {
                body: body_name(words, *kind)?.to_owned(),
                share: percent(shares[bar], words)?,
            })
        });
        rows.push(ThicknessRow {
            thickness: bars.name(bar, words)?,
            shares: own.collect::<Result<_, SiteError>>()?,
        });
    }
    Ok(Some(Assembly {
        bodies,
        thickness: if walls.is_empty() { Vec::new() } else { rows },
    }))
}

/// Whether two parts touch, pass into one another, or stand apart.
fn meeting(subject: &Subject<'_>, joint: &Joint) -> Result<String, SiteError> {
    let words = subject.site.words;
    let [one, other] = &joint.parts;
    let (one, other) = (part_name(subject, one)?, part_name(subject, other)?);
    let mut blanks = vec![("one", one.as_str()), ("other", other.as_str())];
    let overlap = &joint.meeting.overlap;
    if let Some(deepest) = deepest_mm(overlap) {
        let deepest = figures::millimetres(deepest, 2, words)?;
        blanks.push(("deepest", &deepest));
        return words.fill("parts_overlap", &blanks);
    }
    let Some(gap) = &joint.gap_mm else {
        return words.fill("parts_not_measured", &blanks);
    };
    if gap.contributions.is_empty() || !gap.is_not_shown() {
        let gap = gap_text(gap, words)?;
        blanks.push(("gap", &gap));
        return words.fill("parts_apart", &blanks);
    }
    let most = figures::millimetres(most_mm(gap), 2, words)?;
    blanks.push(("most", &most));
    words.fill("parts_touch", &blanks)
}

fn deepest_mm(overlap: &Overlap) -> Option<f64> {
    let depths = overlap.places.iter().map(|p| p.deepest_mm);
    depths.max_by(f64::total_cmp)
}

/// The most that the gap can be, rounded up to a hundredth.
fn most_mm(gap: &Estimate) -> f64 {
    ((gap.value + gap.expanded()) * 100.0).ceil() / 100.0
}

fn gap_text(gap: &Estimate, words: &Words) -> Result<String, SiteError> {
    with_uncertainty(gap.value, gap.expanded(), "mm", words)
}

fn thickness(walls: &Walls, words: &Words) -> Result<String, SiteError> {
    words.fill(
        "walls_said",
        &[
            ("median", &figures::millimetres(walls.median_mm, 1, words)?),
            ("p05", &figures::millimetres(walls.p05_mm, 1, words)?),
        ],
    )
}

fn fact(
    key: &str,
    value: String,
    evidence: Option<String>,
    words: &Words,
) -> Result<Fact, SiteError> {
    Ok(Fact {
        term: words.get(key)?.to_owned(),
        value,
        evidence: evidence.map(KnownBy::from),
    })
}

fn joint_facts(subject: &Subject<'_>, joint: &Joint) -> Result<Vec<Fact>, SiteError> {
    let words = subject.site.words;
    let [one, other] = &joint.parts;
    let between = words.fill(
        "parts_between",
        &[
            ("one", &part_name(subject, one)?),
            ("other", &part_name(subject, other)?),
        ],
    )?;
    let mut facts = Vec::new();
    if let (Some(gap), Some(found)) = (&joint.gap_mm, &joint.meeting.gap) {
        let place = place(found.points[0], words)?;
        let note = format!("{between}: {place}");
        facts.push(fact("fact_gap", gap_text(gap, words)?, Some(note), words)?);
    }
    let overlap = &joint.meeting.overlap;
    if !overlap.places.is_empty() {
        let expanded = COVERAGE * overlap.standard_error_mm3;
        let volume = with_uncertainty(overlap.volume_mm3, expanded, "mm³", words)?;
        let places = overlap_places(overlap, words)?;
        facts.push(fact("fact_overlap", volume, Some(places), words)?);
    }
    if let Some(seat) = &joint.meeting.seat {
        facts.push(seat_fact(seat, words)?);
    }
    Ok(facts)
}

fn overlap_places(overlap: &Overlap, words: &Words) -> Result<String, SiteError> {
    let mut told = vec![words.get("overlap_how")?.to_owned()];
    for found in overlap.places.iter().take(TOLD) {
        told.push(words.fill(
            "overlap_place",
            &[
                (
                    "volume",
                    &format!("{}\u{a0}mm³", figures::number(found.volume_mm3, 1, words)?),
                ),
                (
                    "deepest",
                    &figures::millimetres(found.deepest_mm, 2, words)?,
                ),
                ("place", &place(found.spot.centre, words)?),
            ],
        )?);
    }
    told.extend(others(overlap.places.len(), words)?);
    Ok(told.join(" "))
}

/// How many places are left untold.
fn others(count: usize, words: &Words) -> Result<Option<String>, SiteError> {
    let left = count.saturating_sub(TOLD);
    if left == 0 {
        return Ok(None);
    }
    words
        .fill("places_others", &[("n", &left.to_string())])
        .map(Some)
}

fn seat_fact(seat: &Seat, words: &Words) -> Result<Fact, SiteError> {
    let value = words.fill(
        "seat_said",
        &[
            ("area", &square(seat.area_mm2, words)?),
            ("mean", &figures::millimetres(seat.mean_mm, 2, words)?),
            ("least", &figures::number(seat.least_mm, 2, words)?),
            (
                "greatest",
                &figures::millimetres(seat.greatest_mm, 2, words)?,
            ),
        ],
    )?;
    let note = match &seat.askew {
        Some(askew) => Some(words.fill(
            "seat_askew",
            &[("angle", &figures::number(askew.tilt_deg, 1, words)?)],
        )?),
        None => None,
    };
    fact("fact_seat", value, note, words)
}

fn wall_facts(walls: &Walls, words: &Words) -> Result<Vec<Fact>, SiteError> {
    let least = if walls.least_mm < FINEST_MM {
        let finest = figures::millimetres(FINEST_MM, 2, words)?;
        words.fill("walls_less_than", &[("mm", &finest)])?
    } else {
        figures::millimetres(walls.least_mm, 2, words)?
    };
    let mut facts = vec![
        fact(
            "fact_wall_least",
            least,
            Some(words.fill(
                "walls_least_how",
                &[("place", &place(walls.least_at.centre, words)?)],
            )?),
            words,
        )?,
        thin_fact(walls, words)?,
    ];
    let lost = walls.escaped + walls.grazed + walls.buried;
    if lost > 0.0 {
        let how = words.get("walls_not_measured_how")?.to_owned();
        facts.push(fact(
            "fact_wall_not_measured",
            percent(lost, words)?,
            Some(how),
            words,
        )?);
    }
    Ok(facts)
}

/// Places with thin walls, the largest told one by one.
fn thin_fact(walls: &Walls, words: &Words) -> Result<Fact, SiteError> {
    let limit = figures::millimetres(walls.thin_below_mm, 0, words)?;
    if walls.thin.is_empty() {
        let none = words.fill("thin_none", &[("limit", &limit)])?;
        return fact("fact_thin", none, None, words);
    }
    let area: f64 = walls.thin.iter().map(|t| t.area_mm2).sum();
    let measured: f64 = walls.histogram.iter().map(|b| b.area_mm2).sum();
    let value = words.fill(
        "thin_said",
        &[
            ("n", &figures::number(count(walls.thin.len()), 0, words)?),
            ("limit", &limit),
            ("area", &square(area, words)?),
            ("share", &percent(area / measured, words)?),
        ],
    )?;
    let mut told = Vec::new();
    for thin in walls.thin.iter().take(TOLD) {
        told.push(words.fill(
            "thin_place",
            &[
                ("area", &square(thin.area_mm2, words)?),
                ("place", &place(thin.spot.centre, words)?),
            ],
        )?);
    }
    told.extend(others(walls.thin.len(), words)?);
    fact("fact_thin", value, Some(told.join(" ")), words)
}

#[expect(clippy::cast_precision_loss, reason = "a count that is told")]
fn count(n: usize) -> f64 {
    n as f64
}

/// "25 mm up, 11 mm left, 6 mm back", in the frame in which both bodies lie.
fn place(at: DVec3, words: &Words) -> Result<String, SiteError> {
    let along = |value: f64, [ahead, behind]: [&str; 2]| {
        let key = if value < 0.0 { behind } else { ahead };
        let length = figures::millimetres(value.abs(), 0, words)?;
        words.fill(key, &[("mm", &length)])
    };
    Ok([
        along(at.y, ["place_up", "place_down"])?,
        along(at.x, ["place_right", "place_left"])?,
        along(at.z, ["place_forward", "place_back"])?,
    ]
    .join(words.get("list_separator")?))
}
