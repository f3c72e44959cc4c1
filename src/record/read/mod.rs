//! The content folder, walked and read; then checked as a whole.

mod files;
mod schema;
mod shape;

pub(super) use shape::nearest;

use super::check;
use super::{
    Catalogue, Day, Detail, Findings, Lang, Note, Object, Place, Site, SourceFile, Sources, Step,
    Term, content_name,
};
use crate::limits::Limits;
use schema::Schema;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use std::path::Path;

/// What reading gave.
#[derive(Debug)]
pub struct Reading {
    /// The records; `None` when errors stand in the way of a whole catalogue.
    pub catalogue: Option<Catalogue>,
    /// All findings, in the order of their places.
    pub findings: Findings,
    /// The files that were read.
    pub sources: Sources,
}

/// Reads and checks a content folder as of `today`.
pub fn read(folder: &Path, today: Day, limits: &Limits) -> Reading {
    let mut walk = Walk {
        root: folder,
        limits,
        findings: Findings::none(),
        sources: Sources::default(),
        languages: Vec::new(),
    };
    let catalogue = walk.catalogue(today);
    let Walk {
        mut findings,
        sources,
        ..
    } = walk;
    if let Some(catalogue) = &catalogue {
        check::all(catalogue, &sources, limits, &mut findings);
    }
    findings.settle();
    Reading {
        catalogue,
        findings,
        sources,
    }
}

struct Walk<'a> {
    root: &'a Path,
    limits: &'a Limits,
    findings: Findings,
    sources: Sources,
    languages: Vec<Lang>,
}

impl Walk<'_> {
    fn name(&self, path: &Path) -> String {
        content_name(self.root, path)
    }

    fn catalogue(&mut self, today: Day) -> Option<Catalogue> {
        if !self.root.is_dir() {
            let remedy = "name the content folder, or run the program beside it";
            self.findings.error(
                "no-content",
                SourceFile::whole("."),
                format!("there is no folder ‘{}’", self.root.display()),
                remedy,
            );
            return None;
        }
        let listing = files::list(self.root, self.root, &mut self.findings);
        let site: Option<Site> = self.site();
        let theme = site.as_ref().and_then(|s| s.look.theme.clone());
        for (name, path) in &listing.files {
            if name != "site.toml" {
                files::unexpected(
                    self.root,
                    path,
                    "files at the top are site.toml only",
                    &mut self.findings,
                );
            }
        }
        let mut objects = Vec::new();
        let mut terms = Vec::new();
        // Every object is read even when another has failed, so that all findings are told.
        let mut whole = true;
        for (name, path) in &listing.folders {
            if name == "terms" {
                let found = self.terms(path);
                whole &= found.is_some();
                terms.extend(found.unwrap_or_default());
            } else if Some(name) != theme.as_ref() {
                let object = self.object(name, path);
                whole &= object.is_some();
                objects.extend(object);
            }
        }
        if objects.is_empty() && whole {
            let place = SourceFile::whole("site.toml");
            self.findings.error(
                "no-objects",
                place,
                "there is no object",
                "make a folder for one, with record.toml and a note for each language",
            );
            return None;
        }
        let site = site?;
        whole.then(|| Catalogue {
            folder: self.root.to_owned(),
            site,
            objects,
            terms,
            today,
        })
    }

    fn site(&mut self) -> Option<Site> {
        let path = self.root.join("site.toml");
        // The languages come first: every other text is checked against them.
        let file = self.text_or_missing(
            &path,
            "site.toml says who publishes, and in which languages",
        )?;
        self.languages = languages(&file.text);
        let site: Site = self.record(file, schema::SITE)?;
        if site.languages.is_empty() {
            let place = self.sources.place_of("site.toml", &["languages"]);
            self.findings.error(
                "no-language",
                place,
                "the site has no language",
                "write languages = [\"en\"]",
            );
            return None;
        }
        Some(site)
    }

    fn text_or_missing(&mut self, path: &Path, why: &str) -> Option<SourceFile> {
        if std::fs::symlink_metadata(path).is_err() {
            let place = SourceFile::whole(&self.name(path));
            self.findings.error(
                "missing-file",
                place,
                "this file is missing",
                format!("write it: {why}"),
            );
            return None;
        }
        files::text(self.root, path, self.limits, &mut self.findings)
    }

    /// Checks a record's shape and, when it is right, reads it into its type.
    fn record<T: DeserializeOwned>(&mut self, file: SourceFile, schema: Schema) -> Option<T> {
        let mut own = Findings::none();
        shape::check(&file, schema, &self.languages, &mut own);
        let whole = !own.refuse();
        self.findings.extend(own);
        self.sources.add(file.clone());
        if !whole {
            return None;
        }
        match toml::from_str(&file.text) {
            Ok(record) => Some(record),
            Err(error) => {
                let span = error.span().unwrap_or(0..0);
                let remedy = "compare it with the example in the guide";
                self.findings.error(
                    "record",
                    file.place(span),
                    error.message().to_owned(),
                    remedy,
                );
                None
            }
        }
    }

    fn record_in<T: DeserializeOwned>(&mut self, folder: &Path, schema: Schema) -> Option<T> {
        let file =
            self.text_or_missing(&folder.join("record.toml"), "record.toml holds the facts")?;
        self.record(file, schema)
    }

    /// The note in every language. `None` when one is missing or cannot be read.
    fn notes(&mut self, folder: &Path) -> Option<BTreeMap<Lang, Note>> {
        let mut notes = BTreeMap::new();
        for lang in self.languages.clone() {
            let path = folder.join(format!("{lang}.md"));
            if std::fs::symlink_metadata(&path).is_err() {
                let place = SourceFile::whole(&self.name(&path));
                let remedy = format!("write {lang}.md, beginning with ‘# Title’");
                self.findings.error(
                    "language-missing",
                    place,
                    format!("the words in ‘{lang}’ are missing"),
                    remedy,
                );
                continue;
            }
            if let Some(file) = files::text(self.root, &path, self.limits, &mut self.findings) {
                self.sources.add(file.clone());
                let (note, found) = Note::read(file, lang.clone());
                self.findings.extend(found);
                notes.insert(lang, note);
            }
        }
        (notes.len() == self.languages.len()).then_some(notes)
    }

    fn object(&mut self, name: &str, folder: &Path) -> Option<Object> {
        let id = files::id(self.root, name, folder, &mut self.findings);
        let listing = files::list(self.root, folder, &mut self.findings);
        let record = self.record_in(folder, schema::OBJECT);
        let notes = self.notes(folder);
        let mut details = Some(Vec::new());
        let mut making = Some(Vec::new());
        for (name, path) in &listing.folders {
            match name.as_str() {
                "models" => {}
                "details" => details = self.each(path, Self::detail),
                "making" => making = self.each(path, Self::step),
                _ => files::unexpected(
                    self.root,
                    path,
                    "folders of an object are models, details and making",
                    &mut self.findings,
                ),
            }
        }
        let mut object = Object {
            id: id?,
            folder: folder.to_owned(),
            record: record?,
            notes: notes?,
            details: details?,
            making: making?,
        };
        object.details.sort_by(|a: &Detail, b: &Detail| {
            (a.record.order, &a.id).cmp(&(b.record.order, &b.id))
        });
        object.making.sort_by_key(|s: &Step| s.number);
        Some(object)
    }

    /// Reads every folder in a folder, all of them even when one fails.
    fn each<T>(
        &mut self,
        folder: &Path,
        read: fn(&mut Self, &str, &Path) -> Option<T>,
    ) -> Option<Vec<T>> {
        let listing = files::list(self.root, folder, &mut self.findings);
        for (_, path) in &listing.files {
            files::unexpected(
                self.root,
                path,
                "each entry has a folder of its own",
                &mut self.findings,
            );
        }
        let all: Vec<Option<T>> = listing
            .folders
            .iter()
            .map(|(name, path)| read(self, name, path))
            .collect();
        all.into_iter().collect()
    }

    fn detail(&mut self, name: &str, folder: &Path) -> Option<Detail> {
        let id = files::id(self.root, name, folder, &mut self.findings);
        let record = self.record_in(folder, schema::DETAIL);
        let notes = self.notes(folder);
        self.no_deeper(folder);
        Some(Detail {
            id: id?,
            folder: folder.to_owned(),
            record: record?,
            notes: notes?,
        })
    }

    fn step(&mut self, name: &str, folder: &Path) -> Option<Step> {
        let split = name
            .split_once('-')
            .and_then(|(number, rest)| Some((number.parse::<u32>().ok()?, rest)));
        let Some((number, rest)) = split else {
            let place = SourceFile::whole(&self.name(folder));
            let what = format!("the folder ‘{name}’ does not begin with its number");
            self.findings
                .error("step-number", place, what, "name it for example ‘01-scan’");
            return None;
        };
        let id = files::id(self.root, rest, folder, &mut self.findings);
        let record = self.record_in(folder, schema::STEP);
        let notes = self.notes(folder);
        self.no_deeper(folder);
        Some(Step {
            id: id?,
            number,
            folder: folder.to_owned(),
            record: record?,
            notes: notes?,
        })
    }

    fn no_deeper(&mut self, folder: &Path) {
        let listing = files::list(self.root, folder, &mut self.findings);
        for (_, path) in &listing.folders {
            files::unexpected(
                self.root,
                path,
                "the files of an entry lie side by side",
                &mut self.findings,
            );
        }
    }

    fn terms(&mut self, folder: &Path) -> Option<Vec<Term>> {
        self.each(folder, |walk, name, path| {
            let id = files::id(walk.root, name, path, &mut walk.findings);
            let notes = walk.notes(path);
            Some(Term {
                id: id?,
                notes: notes?,
            })
        })
    }
}

/// The languages named in `site.toml`, as far as they can be read.
fn languages(text: &str) -> Vec<Lang> {
    let (table, _) = toml::de::DeTable::parse_recoverable(text);
    let Some(found) = table
        .get_ref()
        .iter()
        .find(|(key, _)| key.get_ref() == "languages")
    else {
        return Vec::new();
    };
    let Some(items) = found.1.get_ref().as_array() else {
        return Vec::new();
    };
    items
        .iter()
        .filter_map(|item| item.get_ref().as_str()?.parse().ok())
        .collect()
}

/// The place of a record's key.
pub(super) fn place(root: &Path, folder: &Path, sources: &Sources, path: &[&str]) -> Place {
    sources.place_of(&content_name(root, &folder.join("record.toml")), path)
}
