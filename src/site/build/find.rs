//! What can be found, and by which choices it may be narrowed.

use super::Site;
use super::detail::kind_name;
use crate::find::{self, Document};
use crate::record::{Detail, Kind, Lang, Localised, Note, Object};
use crate::site::address::{Address, Page};
use crate::site::figures;
use crate::site::lists::{Facet, Lists};
use crate::site::page::find::{Choice, FindPage, Value};
use crate::site::{Form, SiteError};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

/// Longest first words that are shown of something found, characters.
const TEASER_CHARS: usize = 110;

/// The page, and the files beside it by their path relative to the root.
pub(super) fn page(site: &Site<'_>) -> Result<(FindPage, BTreeMap<String, Vec<u8>>), SiteError> {
    let here = site.address(&Page::Find);
    let heading = site.words.get("find")?;
    let mut frame = site.frame(&Page::Find, heading, site.words.get("find_description")?)?;
    frame.policy = match site.form {
        Form::Served => POLICY,
        Form::Carried => CARRIED,
    }
    .to_owned();
    let gathered = gather(site, &here)?;
    let mut index = find::index(&gathered.documents, site.lang);
    index.add_set("objects", &gathered.wholes);
    let choices = gathered.choices(site, &mut index)?;
    let page = FindPage {
        frame,
        script: here.to_file(&site.theme.find),
        documents: index.documents,
        numbering: index.numbering,
        beginnings: index.beginnings.join(" "),
        choices,
    };
    let folder = here.file().trim_end_matches("index.html").to_owned();
    let files = index.files.into_iter();
    Ok((page, files.map(|(n, f)| (folder.clone() + &n, f)).collect()))
}

/// The page's own script, the files that it asks for, and its form, which it answers itself.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; \
     font-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'self'";
const CARRIED: &str = "default-src 'none'; script-src 'self' file:; style-src 'self' file:; img-src 'self' file: data:; \
     font-src data:; base-uri 'none'; form-action 'self' file:";

/// All documents of a language, and which of them belong to what.
#[derive(Default)]
struct Gathered {
    documents: Vec<Document>,
    /// Pages of whole objects.
    wholes: BTreeSet<usize>,
    kinds: BTreeMap<Kind, BTreeSet<usize>>,
    /// Those of every object, in the order of the catalogue.
    objects: Vec<Range<usize>>,
}

fn gather(site: &Site<'_>, here: &Address) -> Result<Gathered, SiteError> {
    let mut all = Gathered::default();
    for object in &site.catalogue.objects {
        let first = all.documents.len();
        let (title, id) = (&site.note(&object.notes)?.title, || object.id.clone());
        all.wholes.insert(first);
        all.documents.push(whole(site, object, here)?);
        for detail in &object.details {
            let number = all.documents.len();
            all.kinds
                .entry(detail.record.kind)
                .or_default()
                .insert(number);
            let kind = kind_name(detail.record.kind, site.words)?;
            let line = site
                .words
                .fill("find_detail", &[("kind", &kind), ("object", title)])?;
            let note = site.note(&detail.notes)?;
            let to = here.to(&site.address(&Page::Detail(id(), detail.id.clone())));
            let mut document = noted(note, to, line);
            document.names.push(kind);
            document.words.extend(beside(detail, note, site.lang));
            all.documents.push(document);
        }
        for step in &object.making {
            let note = site.note(&step.notes)?;
            let to = here.to(&site.address(&Page::Making(id())));
            let line = site.words.fill("find_step", &[("object", title)])?;
            all.documents
                .push(noted(note, format!("{to}#{}", step.id), line));
        }
        all.objects.push(first..all.documents.len());
    }
    for term in &site.catalogue.terms {
        let to = here.to(&site.address(&Page::Glossary));
        let line = site.words.get("glossary")?.to_owned();
        let note = site.note(&term.notes)?;
        all.documents
            .push(noted(note, format!("{to}#{}", term.id), line));
    }
    Ok(all)
}

fn noted(note: &Note, href: String, line: String) -> Document {
    Document {
        href,
        title: note.title.clone(),
        line,
        teaser: figures::shortened(&note.first_sentence(), TEASER_CHARS),
        names: Vec::new(),
        words: vec![note.plain_text()],
    }
}

/// The object’s own page, with what its record says of it.
fn whole(site: &Site<'_>, object: &Object, here: &Address) -> Result<Document, SiteError> {
    let record = &object.record;
    let own = &record.identification;
    let name = site.text(&own.name)?;
    let line = format!("{name} · {}", site.text(&own.date)?);
    let href = here.to(&site.address(&Page::Object(object.id.clone())));
    let mut document = noted(site.note(&object.notes)?, href, line);
    let said = |text: &Localised| text.get(site.lang).map(str::to_owned);
    document.names = [&own.name, &own.date]
        .into_iter()
        .filter_map(said)
        .collect();
    document.names.extend(
        [&own.place, &own.maker]
            .into_iter()
            .flatten()
            .filter_map(said),
    );
    document.names.push(own.number.clone());
    let bodies = [
        Some(&record.bodies.original),
        record.bodies.replica.as_ref(),
    ];
    for body in bodies.into_iter().flatten() {
        document
            .words
            .extend([&body.location, &body.finish].into_iter().filter_map(said));
        document
            .words
            .extend(body.parts.iter().filter_map(|p| said(&p.name)));
    }
    document
        .words
        .extend(record.materials.values().filter_map(|m| said(&m.name)));
    for difference in &record.differences {
        let texts = [
            &difference.aspect,
            &difference.original,
            &difference.replica,
            &difference.reason,
        ];
        document.words.extend(texts.into_iter().filter_map(said));
    }
    document.words.extend(said(&own.keeper));
    document.words.extend(said(&record.label));
    Ok(document)
}

/// What stands beside the words of a detail: its description, and its lettering in whole words.
fn beside(detail: &Detail, note: &Note, lang: &Lang) -> Vec<String> {
    let description = detail.record.description.iter();
    let mut words: Vec<String> = description
        .filter_map(|d| d.get(lang).map(str::to_owned))
        .collect();
    for inscription in note.inscriptions() {
        words.extend([inscription.expanded.text, inscription.translation.text]);
    }
    words
}

impl Gathered {
    /// The choices of the page; their sets become files of the index. A choice of one is none.
    fn choices(self, site: &Site<'_>, index: &mut find::Index) -> Result<Vec<Choice>, SiteError> {
        let mut choices = Vec::new();
        let mut kinds = Vec::new();
        for (kind, documents) in &self.kinds {
            let label = kind_name(*kind, site.words)?;
            kinds.push((label, documents.clone(), documents.len()));
        }
        let mut add = |name: &'static str, mut values: Vec<(String, BTreeSet<usize>, usize)>| {
            if values.len() < 2 {
                return Ok(());
            }
            values.sort_by_cached_key(|(label, ..)| crate::site::lists::order(label));
            let values = values
                .into_iter()
                .enumerate()
                .map(|(at, (label, set, count))| {
                    index.add_set(&format!("{name}-{at}"), &set);
                    Value {
                        name: at.to_string(),
                        label,
                        count,
                    }
                });
            choices.push(Choice {
                name,
                label: site.words.get(&format!("find_by_{name}"))?.to_owned(),
                values: values.collect(),
            });
            Ok::<(), SiteError>(())
        };
        let lists = Lists::of(site.catalogue);
        for facet in Facet::ALL {
            let values = lists.values(facet).iter().map(|value| {
                let documents = value.objects.iter();
                let documents = documents.filter_map(|object| self.objects.get(*object));
                (
                    value.label(site.lang).to_owned(),
                    documents.cloned().flatten().collect(),
                    value.objects.len(),
                )
            });
            add(facet.word(), values.collect())?;
        }
        add("kind", kinds)?;
        Ok(choices)
    }
}
