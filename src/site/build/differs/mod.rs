//! What differs between original and replica.

pub(super) mod amounts;
mod assembly;
mod built;
mod callipers;
mod histogram;
mod measured;
mod method;
mod profile;
mod rows;
mod went_in;

use super::Subject;
use super::alternative::Differences;
use super::detail::{kind_name, kind_word, stands_word};
use super::frame::Script;
use crate::collate::{Amount, Collation, body_mass_g};
use crate::differ::Kind as Gap;
use crate::paradata::About;
use crate::record::{Body, BodyKind, Kind, PartId, Stands};
use crate::site::address::Page;
use crate::site::page::differences::{ComparedBody, Comparison};
use crate::site::page::{BearingRow, DiffersPage};
use crate::site::words::Words;
use crate::site::{SiteError, figures};

pub(super) fn page(subject: &Subject<'_>) -> Result<DiffersPage, SiteError> {
    let page = Page::Differs(subject.object.id.clone());
    let heading = subject.site.words.get("what_differs")?;
    let answer = answer(subject)?;
    Ok(DiffersPage {
        frame: subject.frame(&page, heading, &answer.join(" "), Script::None)?,
        object: subject.head(&page)?,
        rows: rows::rows(subject)?,
        bearings: bearings(subject, &page)?,
        bodies: subject.bodies(&page)?,
        comparison: comparison(subject, &page)?,
        uncertainty: subject.site.words.get("method_uncertainty")?.to_owned(),
        built: built::built(subject, &page)?,
        callipers: callipers::callipers(subject)?,
        assembly: assembly::assembly(subject)?,
        profile: profile::profile(subject)?,
        went_in: went_in::went_in(subject)?,
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
        let Some(plate) = subject.pictures.plates.get(kind) else {
            continue;
        };
        let told = Differences {
            body: *kind,
            camera: &plate.camera,
            count: &subject.site.count(collation.found.len())?,
            gained: most(collation, Gap::Gained, words)?,
            lost: most(collation, Gap::Lost, words)?,
        }
        .told(words)?;
        bodies.push(ComparedBody {
            heading: body_name(words, *kind)?.to_owned(),
            picture: files.seen_from(&subject.site.address(page), told.alt),
        });
    }
    Ok(Some(Comparison {
        bodies,
        scale: measured::scale(collation, drawn, words)?,
        groups: measured::groups(subject, page, collation, drawn)?,
        places: measured::places(subject, page, collation)?,
        method: method::method(subject, collation)?,
        known: subject.grounds(
            page,
            [
                About::Alignment,
                About::Settled,
                About::Certificate(BodyKind::Original),
                About::Certificate(BodyKind::Replica),
            ],
        )?,
    }))
}

/// By how much the replica has more, or less, where it has most.
fn most(collation: &Collation, kind: Gap, words: &Words) -> Result<Option<String>, SiteError> {
    let regions = collation.found.iter().filter_map(|f| collation.region(f));
    let most = regions
        .filter(|r| r.kind == kind)
        .map(|r| r.max_mm)
        .reduce(f64::max);
    most.map(|mm| figures::millimetres(mm, 2, words))
        .transpose()
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

/// The name of a part, from whichever body has it.
fn part_name(subject: &Subject<'_>, id: &PartId) -> Result<String, SiteError> {
    let bodies = &subject.object.record.bodies;
    let replica = bodies.replica.iter().flat_map(|b| &b.parts);
    let mut parts = bodies.original.parts.iter().chain(replica);
    Ok(match parts.find(|p| &p.id == id) {
        Some(part) => subject.site.text(&part.name)?.to_owned(),
        None => id.to_string(),
    })
}

/// The name of a body: "The original".
fn body_name(words: &Words, kind: BodyKind) -> Result<&str, SiteError> {
    words.get(match kind {
        BodyKind::Original => "body_original",
        BodyKind::Replica => "body_replica",
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
