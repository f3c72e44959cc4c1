//! How the replica was made, step by step.

use super::Subject;
use super::frame::Script;
use super::recordings::Recorded;
use super::resolve::Resolver;
use crate::paradata::About;
use crate::record::Step;
use crate::record::words::Passage;
use crate::site::address::Page;
use crate::site::page::{Fact, MakingPage, MakingStep};
use crate::site::{SiteError, figures};

pub(super) fn page(subject: &Subject<'_>) -> Result<MakingPage, SiteError> {
    let words = subject.site.words;
    let page = Page::Making(subject.object.id.clone());
    let heading = words.get("how_it_was_made")?;
    let mut steps = Vec::new();
    for (index, step) in subject.object.making.iter().enumerate() {
        steps.push(one_step(subject, &page, index, step)?);
    }
    let titles: Vec<&str> = steps.iter().map(|s| s.title.as_str()).collect();
    let description = titles.join(words.get("list_separator")?);
    let mut frame = subject.frame(&page, heading, &description, Script::None)?;
    if steps.iter().any(|step| !step.recordings.is_empty()) {
        subject.site.add_media(&mut frame);
    }
    Ok(MakingPage {
        frame,
        object: subject.head(&page)?,
        facts: totals(subject)?,
        caution: words.get("making_caution")?.to_owned(),
        steps,
    })
}

fn totals(subject: &Subject<'_>) -> Result<Vec<Fact>, SiteError> {
    let words = subject.site.words;
    let steps = &subject.object.making;
    let fact = |key: &str, value: String| -> Result<Fact, SiteError> {
        Ok(Fact {
            term: words.get(key)?.to_owned(),
            value,
            evidence: None,
        })
    };
    let mut facts = vec![fact("fact_steps", subject.site.count(steps.len())?)?];
    let hours: Vec<f64> = steps.iter().filter_map(|s| s.record.hours).collect();
    if !hours.is_empty() {
        let mut fact = fact("fact_hours", hours_text(subject, hours.iter().sum())?)?;
        if hours.len() < steps.len() {
            fact.evidence = Some(words.get("hours_partly_stated")?.to_owned().into());
        }
        facts.push(fact);
    }
    let mut people: Vec<&str> = Vec::new();
    for id in steps.iter().flat_map(|s| &s.record.people) {
        if let Some(person) = subject.site.catalogue.site.people.get(id)
            && !people.contains(&person.name.as_str())
        {
            people.push(&person.name);
        }
    }
    if !people.is_empty() {
        facts.push(fact(
            "fact_people",
            people.join(words.get("list_separator")?),
        )?);
    }
    Ok(facts)
}

fn hours_text(subject: &Subject<'_>, hours: f64) -> Result<String, SiteError> {
    let decimals = usize::from(hours.fract() != 0.0);
    let number = figures::number(hours, decimals, subject.site.words)?;
    subject.site.words.fill("hours_text", &[("hours", &number)])
}

fn one_step(
    subject: &Subject<'_>,
    page: &Page,
    index: usize,
    step: &Step,
) -> Result<MakingStep, SiteError> {
    let (site, object) = (subject.site, subject.object);
    let note = site.note(&step.notes)?;
    let here = site.address(page);
    let record = &step.record;
    let resolver = Resolver {
        site,
        here: here.clone(),
        object: Some(object),
        folder: Some(&step.folder),
        photographs: &record.photographs,
    };
    let recorded = Recorded::step(step);
    let mut photographs = Vec::new();
    for photograph in &record.photographs {
        let shown = note.pictures.iter().any(|p| p.file == photograph.file);
        if !shown && !recorded.as_poster(photograph) {
            photographs.push(site.photograph(&here, object, &step.folder, photograph)?);
        }
    }
    let caution = match &record.caution {
        Some(caution) => Some(site.text(caution)?.to_owned()),
        None => None,
    };
    Ok(MakingStep {
        id: step.id.to_string(),
        number: index + 1,
        title: note.title.clone(),
        words_html: site.html(note, Passage::Whole, 3, &resolver)?,
        facts: step_facts(subject, page, step)?,
        caution,
        photographs,
        recordings: subject.recordings(&recorded, &here, &resolver)?,
    })
}

pub(super) fn step_facts(
    subject: &Subject<'_>,
    page: &Page,
    step: &Step,
) -> Result<Vec<Fact>, SiteError> {
    let (site, words) = (subject.site, subject.site.words);
    let record = &step.record;
    let mut facts = Vec::new();
    let mut add = |term: &str, value: String| {
        facts.push(Fact {
            term: term.to_owned(),
            value,
            evidence: None,
        })
    };
    if let Some(day) = record.date {
        add(words.get("fact_day")?, figures::day(day, words)?);
    }
    if let Some(hours) = record.hours {
        add(words.get("fact_hours")?, hours_text(subject, hours)?);
    }
    let people: Vec<&str> = record
        .people
        .iter()
        .filter_map(|id| Some(site.catalogue.site.people.get(id)?.name.as_str()))
        .collect();
    if !people.is_empty() {
        add(
            words.get("fact_people")?,
            people.join(words.get("list_separator")?),
        );
    }
    for quantity in &record.quantities {
        let value = figures::number(quantity.value, decimals(quantity.value), words)?;
        add(
            site.text(&quantity.name)?,
            format!("{value}\u{a0}{}", quantity.unit),
        );
    }
    add(
        words.get("fact_known")?,
        site.evidence(&record.evidence, subject.object)?,
    );
    if let Some(last) = facts.last_mut() {
        let full = words.get("evidence_full")?.to_owned();
        let about = About::Step(step.id.clone());
        last.evidence = subject.known_about(page, &about, Some(full))?;
    }
    Ok(facts)
}

/// As many decimals as the keeper wrote, at most three.
fn decimals(value: f64) -> usize {
    let text = format!("{value}");
    text.split_once('.')
        .map_or(0, |(_, fraction)| fraction.len().min(3))
}
