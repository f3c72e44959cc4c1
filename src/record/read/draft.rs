//! Everything read, before it is known to be right: records that may lack their typed facts, and
//! folders whose names may not be ids.

use super::facts::{self, Record};
use super::places::Places;
use super::shape::{self, Key};
use super::talk;
use super::text::text;
use super::tree::{Folder, steps};
use super::{Known, Sources};
use crate::limits::Limits;
use crate::record::{
    ByLang, DetailRecord, Finding, Findings, Lang, Note, ObjectRecord, Severity, Site, SourceFile,
    StepRecord, TRANSLATIONS, Talk, TermRecord, Translations,
};
use rayon::prelude::*;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;

/// Name of the facts' file in every folder that has facts.
pub(crate) const RECORD: &str = "record.toml";
const SITE: &str = "site.toml";
/// The folder of the words of the trade.
const TERMS: &str = "terms";

/// The whole folder as read.
pub(crate) struct Draft<'t> {
    pub(crate) tree: &'t Folder,
    pub(crate) site: Option<Record<Site>>,
    /// None when there is no such file.
    pub(crate) translations: Option<Record<Translations>>,
    /// Languages of the site in order, as far as they could be read.
    pub(crate) languages: Vec<Lang>,
    pub(crate) objects: Vec<ObjectDraft<'t>>,
    /// Objects that were not read: see [`super::read_but`].
    pub(crate) known: &'t [Known],
    pub(crate) terms: Vec<Entry<'t, TermRecord>>,
}

/// An object's folder as read.
pub(crate) struct ObjectDraft<'t> {
    pub(crate) entry: Entry<'t, ObjectRecord>,
    pub(crate) details: Vec<Entry<'t, DetailRecord>>,
    pub(crate) steps: Vec<Entry<'t, StepRecord>>,
}

/// A folder with facts and notes as read.
pub(crate) struct Entry<'t, T> {
    /// Name of the folder.
    pub(crate) id: &'t str,
    pub(crate) folder: &'t Folder,
    pub(crate) record: Option<Record<T>>,
    pub(crate) notes: ByLang<Note>,
    /// Captions and transcripts that the record names.
    pub(crate) talk: Talk,
    /// The files of those captions.
    pub(crate) captions: BTreeMap<String, SourceFile>,
}

/// What reading needs at every step.
struct Reader<'r> {
    limits: &'r Limits,
    languages: Vec<Lang>,
    sources: &'r mut Sources,
    findings: &'r mut Findings,
}

impl<'t> Draft<'t> {
    /// Reads every text that the content layout has a place for.
    pub(crate) fn gather(
        tree: &'t Folder,
        limits: &Limits,
        known: &'t [Known],
        sources: &mut Sources,
        findings: &mut Findings,
    ) -> Self {
        let mut reader = Reader {
            limits,
            languages: Vec::new(),
            sources,
            findings,
        };
        let site: Option<Record<Site>> = reader.record(tree, SITE, shape::SITE);
        for (_, tag) in site.iter().flat_map(|s| s.places.each("languages", "")) {
            if let Ok(lang) = Lang::try_from(tag.text.clone())
                && !reader.languages.contains(&lang)
            {
                reader.languages.push(lang);
            }
        }
        let translations = match tree.files.contains_key(TRANSLATIONS) {
            true => reader.record(tree, TRANSLATIONS, shape::TRANSLATIONS),
            false => None,
        };
        let theme = site
            .as_ref()
            .and_then(|s| s.places.text("look.theme"))
            .and_then(|t| steps(&t.text).ok()?.first().map(|s| (*s).to_owned()));
        let terms = tree.folders.get(TERMS).into_iter().flat_map(|f| &f.folders);
        let terms = terms.map(|(id, f)| reader.term(id, f)).collect();
        let languages = reader.languages;
        let folders = tree.folders.iter();
        let folders: Vec<(&String, &Folder)> = folders
            .filter(|(name, _)| *name != TERMS && theme.as_ref() != Some(*name))
            .filter(|(name, _)| {
                known
                    .binary_search_by(|k| k.object.id.as_str().cmp(name))
                    .is_err()
            })
            .collect();
        // Of many objects, reading is most of a survey; none needs the other.
        let read = folders.into_par_iter().map(|(name, folder)| {
            let (mut sources, mut findings) = (Sources::default(), Findings::none());
            let object = Reader {
                limits,
                languages: languages.clone(),
                sources: &mut sources,
                findings: &mut findings,
            }
            .object(name, folder);
            (object, sources, findings)
        });
        let mut objects = Vec::new();
        for (object, own, found) in read.collect::<Vec<_>>() {
            objects.push(object);
            sources.extend(own);
            findings.extend(found);
        }
        Self {
            tree,
            site,
            translations,
            languages,
            objects,
            known,
            terms,
        }
    }
}

impl Reader<'_> {
    fn object<'t>(&mut self, name: &'t str, folder: &'t Folder) -> ObjectDraft<'t> {
        let below = |which: &str| {
            folder
                .folders
                .get(which)
                .into_iter()
                .flat_map(|f| f.folders.iter())
        };
        ObjectDraft {
            entry: self.entry(name, folder, shape::OBJECT),
            details: below("details")
                .map(|(id, f)| self.entry(id, f, shape::DETAIL))
                .collect(),
            steps: below("making")
                .map(|(id, f)| self.entry(id, f, shape::STEP))
                .collect(),
        }
    }

    /// Terms have words; facts only where their folder was renamed.
    fn term<'t>(&mut self, id: &'t str, folder: &'t Folder) -> Entry<'t, TermRecord> {
        match folder.files.contains_key(RECORD) {
            true => self.entry(id, folder, shape::TERM),
            false => self.words_only(id, folder),
        }
    }

    fn entry<'t, T: DeserializeOwned>(
        &mut self,
        id: &'t str,
        folder: &'t Folder,
        keys: &[Key],
    ) -> Entry<'t, T> {
        let record: Option<Record<T>> = self.record(folder, RECORD, keys);
        let (talk, captions) = match &record {
            Some(record) => talk::read(
                folder,
                &record.places,
                self.limits,
                self.sources,
                self.findings,
            ),
            None => Default::default(),
        };
        Entry {
            record,
            talk,
            captions,
            ..self.words_only(id, folder)
        }
    }

    fn words_only<'t, T>(&mut self, id: &'t str, folder: &'t Folder) -> Entry<'t, T> {
        let mut notes = ByLang::new();
        for name in folder.files.keys() {
            let Some(lang) = note_language(name, &self.languages) else {
                continue;
            };
            let Some(file) = text(folder, name, self.limits, self.sources, self.findings) else {
                continue;
            };
            let (note, found) = Note::read(file, lang.clone());
            self.findings.extend(found);
            notes.insert(lang, note);
        }
        Entry {
            id,
            folder,
            record: None,
            notes,
            talk: Talk::default(),
            captions: BTreeMap::new(),
        }
    }

    fn record<T: DeserializeOwned>(
        &mut self,
        folder: &Folder,
        name: &str,
        keys: &[Key],
    ) -> Option<Record<T>> {
        if folder.refused.contains(name) {
            return None;
        }
        if !folder.files.contains_key(name) {
            let remedy = if name == SITE {
                "Write it: format, publisher, address, languages, name and introduction; or name the content folder."
            } else {
                "Write it, beginning with ‘format = 1’; or move this folder out of the content folder."
            };
            self.findings.push(Finding {
                severity: Severity::Error,
                rule: "missing-record",
                place: SourceFile::whole(&folder.inside(name)),
                what: format!("The file {name} is missing."),
                remedy: remedy.to_owned(),
            });
            return None;
        }
        let file = text(folder, name, self.limits, self.sources, self.findings)?;
        Some(facts::read(file, keys, self.findings))
    }
}

/// The language of a note by its file name, if it is a language of the site (any language while
/// the site's are unknown).
pub(crate) fn note_language(name: &str, languages: &[Lang]) -> Option<Lang> {
    let lang = Lang::try_from(name.strip_suffix(".md")?.to_owned()).ok()?;
    // While the site's languages are unknown, README.md and the like must not pass for one.
    let known = if languages.is_empty() {
        lang.primary().len() <= 3
    } else {
        languages.contains(&lang)
    };
    known.then_some(lang)
}

/// Number and id of a step's folder: `04-print` is (4, `print`).
pub(crate) fn step_name(name: &str) -> Option<(u32, &str)> {
    let (number, id) = name.split_once('-')?;
    if number.len() != 2 || !number.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    Some((number.parse().ok()?, id))
}

/// A record without its type: the file and the places in it.
pub(crate) struct RecordAt<'d> {
    pub(crate) file: &'d SourceFile,
    pub(crate) places: &'d Places,
    pub(crate) folder: &'d Folder,
    /// The object it is about; none for the site.
    pub(crate) object: Option<&'d ObjectDraft<'d>>,
    /// Captions that the record names and that could be read, with their files.
    pub(crate) talk: Option<(&'d Talk, &'d BTreeMap<String, SourceFile>)>,
}

/// A note and where it belongs.
pub(crate) struct NoteAt<'d> {
    pub(crate) note: &'d Note,
    pub(crate) folder: &'d Folder,
    /// The record beside it; none for a term, or where it could not be read.
    pub(crate) record: Option<&'d Places>,
    /// The object it is about; none for a term.
    pub(crate) object: Option<&'d ObjectDraft<'d>>,
}

impl<'t> Draft<'t> {
    /// Every record that could be opened.
    pub(crate) fn records(&self) -> Vec<RecordAt<'_>> {
        let site = self.site.iter().map(|site| RecordAt {
            file: &site.file,
            places: &site.places,
            folder: self.tree,
            object: None,
            talk: None,
        });
        let mut out: Vec<_> = site.collect();
        for object in &self.objects {
            out.extend(record_at(&object.entry, object));
            out.extend(object.details.iter().filter_map(|d| record_at(d, object)));
            out.extend(object.steps.iter().filter_map(|s| record_at(s, object)));
        }
        out.extend(self.terms.iter().filter_map(|term| {
            let record = term.record.as_ref()?;
            Some(RecordAt {
                file: &record.file,
                places: &record.places,
                folder: term.folder,
                object: None,
                talk: None,
            })
        }));
        out
    }

    /// The files of all notes and transcripts, by name, of objects that were not read too.
    pub(crate) fn files_of_notes(&self) -> BTreeMap<&str, &SourceFile> {
        let read = self.notes().into_iter().map(|at| &at.note.source);
        let known = self
            .known
            .iter()
            .map(|known| &known.object)
            .flat_map(|object| {
                let own = object
                    .notes
                    .values()
                    .chain(object.talk.transcripts.values());
                let details = object.details.iter();
                let details =
                    details.flat_map(|d| d.notes.values().chain(d.talk.transcripts.values()));
                let steps = object.making.iter();
                let steps = steps.flat_map(|s| s.notes.values().chain(s.talk.transcripts.values()));
                own.chain(details).chain(steps).map(|note| &note.source)
            });
        read.chain(known)
            .map(|file| (file.name.as_str(), file))
            .collect()
    }

    /// Every note that could be read.
    pub(crate) fn notes(&self) -> Vec<NoteAt<'_>> {
        let mut out = Vec::new();
        for object in &self.objects {
            notes_at(&object.entry, Some(object), &mut out);
            object
                .details
                .iter()
                .for_each(|d| notes_at(d, Some(object), &mut out));
            object
                .steps
                .iter()
                .for_each(|s| notes_at(s, Some(object), &mut out));
        }
        self.terms.iter().for_each(|t| notes_at(t, None, &mut out));
        out
    }
}

fn record_at<'d, T>(entry: &'d Entry<'_, T>, object: &'d ObjectDraft<'_>) -> Option<RecordAt<'d>> {
    let record = entry.record.as_ref()?;
    Some(RecordAt {
        file: &record.file,
        places: &record.places,
        folder: entry.folder,
        object: Some(object),
        talk: Some((&entry.talk, &entry.captions)),
    })
}

fn notes_at<'d, T>(
    entry: &'d Entry<'_, T>,
    object: Option<&'d ObjectDraft<'d>>,
    out: &mut Vec<NoteAt<'d>>,
) {
    let record = entry.record.as_ref().map(|r| &r.places);
    let transcripts = entry.talk.transcripts.values();
    out.extend(entry.notes.values().chain(transcripts).map(|note| NoteAt {
        note,
        folder: entry.folder,
        record,
        object,
    }));
}
