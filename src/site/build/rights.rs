//! Sources, rights and credits of one object.

use super::Subject;
use super::frame::{Script, dir_word};
use crate::record::{
    Asset, BodyKind, Object, Photograph, Recording, Rights, RightsId, Use, Why, Withheld,
};
use crate::site::address::Page;
use crate::site::page::{CreditRow, Fact, RightsPage, SourceRow};
use crate::site::{SiteError, figures};
use std::collections::BTreeMap;

pub(super) fn page(subject: &Subject<'_>) -> Result<RightsPage, SiteError> {
    let words = subject.site.words;
    let page = Page::Rights(subject.object.id.clone());
    let heading = words.get("sources_and_rights")?;
    Ok(RightsPage {
        frame: subject.frame(
            &page,
            heading,
            words.get("rights_description")?,
            Script::None,
        )?,
        object: subject.head(&page)?,
        credits: credits(subject)?,
        left_out: left_out(subject)?,
        sources: sources(subject),
        people: people(subject)?,
        data_href: {
            let data = Page::Data(subject.object.id.clone());
            let here = subject.site.address(&page);
            here.to(&subject.site.address(&data))
        },
    })
}

fn credits(subject: &Subject<'_>) -> Result<Vec<CreditRow>, SiteError> {
    let (site, object, words) = (subject.site, subject.object, subject.site.words);
    let mut rows = vec![row(
        subject,
        words.get("asset_words")?.to_owned(),
        &object.record.words_rights,
    )?];
    for (kind, key) in [
        (BodyKind::Original, "asset_model_original"),
        (BodyKind::Replica, "asset_model_replica"),
    ] {
        let parts = object
            .record
            .bodies
            .get(kind)
            .map_or(&[][..], |body| &body.parts);
        for part in parts {
            let asset = words.fill(key, &[("part", site.text(&part.name)?)])?;
            rows.push(row(subject, asset, &part.rights)?);
        }
    }
    let details = object.details.iter().flat_map(|d| &d.record.photographs);
    let steps = object.making.iter().flat_map(|s| &s.record.photographs);
    let photographs: Vec<&Photograph> = object
        .record
        .photographs
        .iter()
        .chain(details)
        .chain(steps)
        .collect();
    for photograph in photographs {
        let what = photograph.caption.as_ref().unwrap_or(&photograph.alt);
        let asset = words.fill("asset_photograph", &[("caption", site.text(what)?)])?;
        rows.push(row(subject, asset, &photograph.rights)?);
    }
    for recording in recordings(subject.object) {
        let title = site.text(&recording.title)?;
        let asset = words.fill("asset_recording", &[("title", title)])?;
        rows.push(row(subject, asset, &recording.rights)?);
    }
    Ok(rows)
}

/// What is not shown, and until or since when; without a word of what it shows.
fn left_out(subject: &Subject<'_>) -> Result<Vec<String>, SiteError> {
    let words = subject.site.words;
    let of = |withheld: &Withheld| -> Result<String, SiteError> {
        let asset = words.get(match withheld.asset {
            Asset::Recording { .. } => "left_out_recording",
            _ => "left_out_photograph",
        })?;
        let (key, day) = match withheld.why {
            Why::Begins(day) => ("left_out_begins", Some(day)),
            Why::Ended(day) => ("left_out_ended", Some(day)),
            _ => ("left_out_not_permitted", None),
        };
        let day = day.map(|day| figures::day(day, words)).transpose()?;
        words.fill(
            key,
            &[
                ("asset", asset),
                ("day", day.as_deref().unwrap_or_default()),
            ],
        )
    };
    let found = subject.site.pictures.left_out.of(&subject.object.id);
    found.iter().map(of).collect()
}

/// All recordings: of the object, its details and its steps.
fn recordings(object: &Object) -> impl Iterator<Item = &Recording> {
    let details = object.details.iter().flat_map(|d| &d.record.recordings);
    let steps = object.making.iter().flat_map(|s| &s.record.recordings);
    object.record.recordings.iter().chain(details).chain(steps)
}

fn row(subject: &Subject<'_>, asset: String, id: &RightsId) -> Result<CreditRow, SiteError> {
    let rights = subject.object.record.rights.iter().find(|r| &r.id == id);
    let rights = rights
        .ok_or_else(|| SiteError::Picture(format!("the rights ‘{id}’ are not in the record")))?;
    Ok(CreditRow {
        asset,
        holder: rights.holder.clone(),
        statement: rights.statement.to_string(),
        label: rights.statement.label(),
        permits: permits(subject, rights)?,
    })
}

fn permits(subject: &Subject<'_>, rights: &Rights) -> Result<String, SiteError> {
    let words = subject.site.words;
    let mut uses = Vec::new();
    for (usage, key) in [
        (Use::Display, "use_display"),
        (Use::Download, "use_download"),
        (Use::Print, "use_print"),
        (Use::Deposit, "use_deposit"),
    ] {
        if rights.permits.contains(&usage) {
            uses.push(words.get(key)?);
        }
    }
    let uses = uses.join(words.get("list_separator")?);
    match rights.until {
        Some(day) => words.fill(
            "permits_until",
            &[("uses", &uses), ("day", &figures::day(day, words)?)],
        ),
        None => Ok(uses),
    }
}

fn sources(subject: &Subject<'_>) -> Vec<SourceRow> {
    let own = subject.site.lang;
    let of = |(id, source): (&crate::record::SourceId, &crate::record::Source)| {
        let other = source.lang.as_ref().filter(|lang| *lang != own);
        SourceRow {
            id: id.to_string(),
            author: source.author.clone(),
            title: source.title.clone(),
            lang: other.map(ToString::to_string),
            dir: dir_word(other.unwrap_or(own)),
            date: source.date.clone(),
            held: source.held.clone(),
        }
    };
    subject.object.record.sources.iter().map(of).collect()
}

/// People of this object's steps and evidence, with what they do.
fn people(subject: &Subject<'_>) -> Result<Vec<Fact>, SiteError> {
    let object = subject.object;
    let all = &subject.site.catalogue.site.people;
    let mut found = BTreeMap::new();
    let of_steps = object
        .making
        .iter()
        .flat_map(|s| s.record.people.iter().chain(&s.record.evidence.by));
    let of_details = object
        .details
        .iter()
        .filter_map(|d| d.record.evidence.by.as_ref());
    let of_recordings = recordings(object).flat_map(|r| r.speakers.iter().chain(&r.recorded_by));
    let of_object = object.record.identification.evidence.by.iter();
    for id in of_steps
        .chain(of_details)
        .chain(of_recordings)
        .chain(of_object)
    {
        if let Some(person) = all.get(id) {
            found.insert(id, person);
        }
    }
    let mut facts = Vec::new();
    for person in found.values() {
        let role = subject.site.text(&person.role)?;
        let value = match &person.affiliation {
            Some(body) => format!("{role}, {body}"),
            None => role.to_owned(),
        };
        facts.push(Fact {
            term: person.name.clone(),
            value,
            evidence: None,
        });
    }
    Ok(facts)
}
