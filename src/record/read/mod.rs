//! Reading the content folder: the tree of names, then each text once, then the checks that need
//! several files, and a catalogue if nothing stands in its way.

pub(crate) mod draft;
pub(crate) mod facts;
pub(crate) mod places;
pub(crate) mod shape;
pub(crate) mod talk;
mod text;
pub(crate) mod tree;
mod unread;
mod wording;

use super::{ByLang, Detail, Note};
use super::{
    Catalogue, Day, DetailId, Finding, Findings, Object, ObjectId, Place, Site, SourceFile, Step,
    StepId, Talk, Term, TermId, TermRecord, check,
};
use crate::limits::Limits;
use draft::{Draft, Entry, ObjectDraft};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;
use tree::Folder;

/// What reading a content folder gives.
#[derive(Debug)]
pub struct Reading {
    /// The catalogue; `None` when a record or note is missing or cannot be read. While there are
    /// errors among the findings it is fit for a survey of its models, not for publication.
    pub catalogue: Option<Catalogue>,
    /// What `site.toml` says, when that can be read, whatever else cannot.
    pub site: Option<Site>,
    /// All findings, settled.
    pub findings: Findings,
    /// The texts read, for showing excerpts.
    pub sources: Sources,
}

/// The text files read, by their name in the content folder.
#[derive(Debug, Clone, Default)]
pub struct Sources(BTreeMap<String, SourceFile>);

impl Sources {
    /// Keeps a file.
    pub fn add(&mut self, file: SourceFile) {
        self.0.insert(file.name.clone(), file);
    }

    /// Keeps all of another's.
    pub(crate) fn extend(&mut self, other: Self) {
        self.0.extend(other.0);
    }

    /// All files, in the order of their names.
    pub fn iter(&self) -> impl Iterator<Item = &SourceFile> {
        self.0.values()
    }

    /// The file with this content name.
    pub fn get(&self, name: &str) -> Option<&SourceFile> {
        self.0.get(name)
    }

    /// Where a value stands in a TOML file: `path` gives keys, and numbers for places in arrays.
    /// When the value is not there, the place of the nearest table that should hold it.
    pub fn place_of(&self, name: &str, path: &[&str]) -> Place {
        match self.0.get(name) {
            Some(file) => file.place(places::span_of(&file.text, path)),
            None => SourceFile::whole(name),
        }
    }
}

/// Reads and checks the content folder `folder`, judging rights for `today`. Every fault is a
/// finding; nothing is written, and nothing outside the folder is opened.
pub fn read(folder: &Path, today: Day, limits: &Limits) -> Reading {
    read_but(folder, today, limits, &[])
}

/// An object as it was read once.
#[derive(Debug, Clone)]
pub struct Known {
    /// Its records.
    pub object: Arc<Object>,
    /// What is to be said of them.
    pub findings: Vec<Finding>,
    /// Files in which that is.
    pub files: Vec<SourceFile>,
}

/// The same, but what is in the folders of objects that are `known` is not looked at: it is as it was when they
/// were read, and so is what is to be said of it. They come in the order of their ids.
pub(crate) fn read_but(folder: &Path, today: Day, limits: &Limits, known: &[Known]) -> Reading {
    let (mut findings, mut sources) = (Findings::none(), Sources::default());
    let tree = Folder::take(folder, limits, known, &mut findings);
    let draft = Draft::gather(&tree, limits, known, &mut sources, &mut findings);
    unread::advise(&draft, &mut findings);
    check::all(&draft, today, limits, &mut findings);
    for known in known {
        known.findings.iter().for_each(|f| findings.push(f.clone()));
        known
            .files
            .iter()
            .for_each(|file| sources.add(file.clone()));
    }
    findings.settle();
    let site = draft.site.as_ref().and_then(|s| s.facts.clone());
    let catalogue = catalogue(draft, folder, today);
    Reading {
        site,
        catalogue,
        findings,
        sources,
    }
}

/// The catalogue of a draft without errors; `None` if a record is wanting after all.
fn catalogue(draft: Draft<'_>, folder: &Path, today: Day) -> Option<Catalogue> {
    let translations = draft.translations.and_then(|r| r.facts);
    let read = draft.objects.into_iter();
    let read = read.map(|draft| object(draft).map(Arc::new));
    let mut objects: Vec<Arc<Object>> = read.collect::<Option<_>>()?;
    objects.extend(draft.known.iter().map(|known| Arc::clone(&known.object)));
    objects.sort_by(|a, b| a.id.cmp(&b.id));
    Some(Catalogue {
        folder: folder.to_owned(),
        translations: translations.unwrap_or_default(),
        site: draft.site?.facts?,
        objects,
        terms: draft.terms.into_iter().map(term).collect::<Option<_>>()?,
        today,
    })
}

fn object(draft: ObjectDraft<'_>) -> Option<Object> {
    let mut details: Vec<Detail> = draft
        .details
        .into_iter()
        .map(detail)
        .collect::<Option<_>>()?;
    details.sort_by(|a, b| (a.record.order, &a.id).cmp(&(b.record.order, &b.id)));
    let mut making: Vec<Step> = draft.steps.into_iter().map(step).collect::<Option<_>>()?;
    making.sort_by(|a, b| (a.number, &a.id).cmp(&(b.number, &b.id)));
    let (id, folder, record, notes, talk) = parts(draft.entry)?;
    Some(Object {
        id: ObjectId::try_from(id).ok()?,
        folder,
        record,
        notes,
        talk,
        details,
        making,
    })
}

fn detail(entry: Entry<'_, super::DetailRecord>) -> Option<Detail> {
    let (id, folder, record, notes, talk) = parts(entry)?;
    Some(Detail {
        id: DetailId::try_from(id).ok()?,
        folder,
        record,
        notes,
        talk,
    })
}

fn step(entry: Entry<'_, super::StepRecord>) -> Option<Step> {
    let (name, folder, record, notes, talk) = parts(entry)?;
    let (number, id) = draft::step_name(&name)?;
    Some(Step {
        id: StepId::try_from(id.to_owned()).ok()?,
        number,
        folder,
        record,
        notes,
        talk,
    })
}

fn term(entry: Entry<'_, TermRecord>) -> Option<Term> {
    Some(Term {
        id: TermId::try_from(entry.id.to_owned()).ok()?,
        record: match entry.record {
            Some(record) => record.facts?,
            None => TermRecord::default(),
        },
        notes: entry.notes,
    })
}

type Parts<T> = (String, std::path::PathBuf, T, ByLang<Note>, Talk);

fn parts<T>(entry: Entry<'_, T>) -> Option<Parts<T>> {
    Some((
        entry.id.to_owned(),
        entry.folder.path.clone(),
        entry.record?.facts?,
        entry.notes,
        entry.talk,
    ))
}
