//! The page of one detail.

use super::Subject;
use super::frame::Script;
use super::recordings::Recorded;
use super::resolve::Resolver;
use crate::paradata::About;
use crate::record::words::Passage;
use crate::record::{Bearing, BodyKind, Kind, Stands};
use crate::site::address::Page;
use crate::site::page::{DetailPage, DetailStill, Fact};
use crate::site::words::Words;
use crate::site::{SiteError, figures};

pub(super) fn page(subject: &Subject<'_>, index: usize) -> Result<DetailPage, SiteError> {
    let (site, object) = (subject.site, subject.object);
    let detail = &object.details[index];
    let page = Page::Detail(object.id.clone(), detail.id.clone());
    let here = site.address(&page);
    let note = site.note(&detail.notes)?;
    let resolver = Resolver {
        site,
        here: here.clone(),
        object: Some(object),
        folder: Some(&detail.folder),
        photographs: &detail.record.photographs,
    };
    let recorded = Recorded::detail(detail);
    let recordings = subject.recordings(&recorded, &here, &resolver)?;
    let described = subject.described(detail, &here, &resolver)?;
    let mut frame = subject.frame(&page, &note.title, &note.lead_text(), Script::None)?;
    if !recordings.is_empty() || described.as_ref().is_some_and(|d| d.spoken.is_some()) {
        site.add_media(&mut frame);
    }
    let mut photographs = Vec::new();
    for photograph in &detail.record.photographs {
        let shown = note.pictures.iter().any(|p| p.file == photograph.file);
        if !shown && !recorded.as_poster(photograph) {
            photographs.push(site.photograph(&here, object, &detail.folder, photograph)?);
        }
    }
    let object_href = here.to(&site.address(&Page::Object(object.id.clone())));
    let neighbour = |i: Option<usize>| i.map(|i| subject.key_entry(&page, i)).transpose();
    let kind = kind_word(detail.record.kind);
    Ok(DetailPage {
        frame,
        object: subject.head(&page)?,
        letter: figures::letter(index),
        title: note.title.clone(),
        kind,
        kind_word: kind_name(detail.record.kind, site.words)?,
        kind_meaning: site.words.get(&format!("kind_{kind}_meaning"))?.to_owned(),
        words_html: site.html(note, Passage::Whole, 2, &resolver)?,
        bearing: bearing_facts(&detail.record.bearing, site.words)?,
        stills: stills(subject, index, &page)?,
        raking: super::raking::shown(subject, index, &page)?,
        photographs,
        recordings,
        described,
        facts: facts(subject, index)?,
        on_model_href: format!("{object_href}#{}", detail.id),
        previous: neighbour(index.checked_sub(1))?,
        next: neighbour(Some(index + 1).filter(|i| *i < object.details.len()))?,
    })
}

pub(super) fn stills(
    subject: &Subject<'_>,
    index: usize,
    page: &Page,
) -> Result<Vec<DetailStill>, SiteError> {
    let (site, detail) = (subject.site, &subject.object.details[index]);
    let here = site.address(page);
    let Some(view) = subject.pictures.details.get(&detail.id) else {
        return Ok(Vec::new());
    };
    let mut stills = Vec::new();
    for (kind, files) in &view.files {
        let stands = match kind {
            BodyKind::Original => Some(detail.record.bearing.original),
            BodyKind::Replica => detail.record.bearing.replica,
        };
        // The key says "absent" for a body on which the same place shows nothing.
        let absent = stands == Some(Stands::Absent);
        let key = |what: &str| {
            format!(
                "{what}_{}{}",
                kind.word(),
                if absent { "_absent" } else { "" }
            )
        };
        let told = subject.detail_told(detail, *kind, view)?;
        let mut caption = vec![site.words.get(&key("caption_detail"))?.to_owned()];
        // Those who see the picture are told of what is not in it, too.
        caption.extend(subject.left_out(*kind, view)?);
        if view.cut {
            caption.push(site.words.get("left_out_half_why")?.to_owned());
        }
        for sentence in told.more {
            if !caption.contains(&sentence) {
                caption.push(sentence);
            }
        }
        stills.push(DetailStill {
            body: kind.word(),
            caption: caption.join(" "),
            picture: files.seen_from(&here, told.alt),
        });
    }
    // What a visitor stands before comes first.
    if subject.object.record.bodies.replica.is_some() {
        stills.reverse();
    }
    Ok(stills)
}

fn facts(subject: &Subject<'_>, index: usize) -> Result<Vec<Fact>, SiteError> {
    let (site, detail) = (subject.site, &subject.object.details[index]);
    let entry = subject.key_entry(&Page::Object(subject.object.id.clone()), index)?;
    let [x, y, z] = entry.anchor_mm;
    let mm = |v: f64| figures::millimetres(v, 1, site.words);
    let plain = |key: &str, value: String| -> Result<Fact, SiteError> {
        Ok(Fact {
            term: site.words.get(key)?.to_owned(),
            value,
            evidence: None,
        })
    };
    let frame = match detail.record.anchor.body {
        BodyKind::Original => "place_on_original",
        BodyKind::Replica => "place_on_replica",
    };
    let place = site.words.fill(
        frame,
        &[
            ("part", &entry.part),
            ("height", &mm(y)?),
            ("right", &mm(x)?),
            ("forward", &mm(z)?),
        ],
    )?;
    let reach = site.words.fill(
        "patch_radius",
        &[("radius", &mm(detail.record.anchor.radius_mm)?)],
    )?;
    let mut place = plain("fact_place_on_object", format!("{place} {reach}"))?;
    let page = Page::Detail(subject.object.id.clone(), detail.id.clone());
    let how = site.words.get("evidence_place")?.to_owned();
    place.evidence = subject.known_about(&page, &About::Place(detail.id.clone()), Some(how))?;
    let mut known = plain(
        "fact_known",
        site.evidence(&detail.record.evidence, subject.object)?,
    )?;
    let full = site.words.get("evidence_full")?.to_owned();
    let about = About::Detail(detail.id.clone());
    known.evidence = subject.known_about(&page, &about, Some(full))?;
    Ok(vec![place, known])
}

/// The kind in data attributes and style names.
pub(super) fn kind_word(kind: Kind) -> &'static str {
    match kind {
        Kind::Motif => "motif",
        Kind::Inscription => "inscription",
        Kind::Repair => "repair",
        Kind::Damage => "damage",
        Kind::Addition => "addition",
        Kind::Trace => "trace",
        Kind::Construction => "construction",
        Kind::Loss => "loss",
    }
}

/// The kind in the page's language.
pub(super) fn kind_name(kind: Kind, words: &Words) -> Result<String, SiteError> {
    Ok(words.get(&format!("kind_{}", kind_word(kind)))?.to_owned())
}

/// How it stands on one body, in a word or two.
pub(super) fn stands_word(stands: Stands, words: &Words) -> Result<String, SiteError> {
    let key = match stands {
        Stands::Present => "stands_present",
        Stands::Absent => "stands_absent",
        Stands::Altered => "stands_altered",
        Stands::Unknown => "stands_unknown",
    };
    Ok(words.get(key)?.to_owned())
}

/// Both bodies in one short sentence.
pub(super) fn bearing_sentence(bearing: &Bearing, words: &Words) -> Result<String, SiteError> {
    use Stands::{Absent, Altered, Present, Unknown};
    let key = match (bearing.original, bearing.replica) {
        (Present, Some(Present)) => "bearing_both",
        (Present, Some(Altered)) => "bearing_altered",
        (Present | Altered, Some(Absent)) => "bearing_only_original",
        (Absent, Some(Present | Altered)) => "bearing_only_replica",
        (_, None) => "bearing_original_alone",
        (Absent, Some(Absent)) => "bearing_neither",
        (Unknown, _) | (_, Some(Unknown)) => "bearing_unknown",
        (Altered, Some(Present | Altered)) => "bearing_altered",
    };
    Ok(words.get(key)?.to_owned())
}

pub(super) fn bearing_facts(bearing: &Bearing, words: &Words) -> Result<Vec<Fact>, SiteError> {
    let fact = |key: &str, stands: Stands| -> Result<Fact, SiteError> {
        Ok(Fact {
            term: words.get(key)?.to_owned(),
            value: stands_word(stands, words)?,
            evidence: None,
        })
    };
    let mut facts = vec![fact("body_original", bearing.original)?];
    if let Some(replica) = bearing.replica {
        facts.push(fact("body_replica", replica)?);
    }
    Ok(facts)
}
