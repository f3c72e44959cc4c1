//! The package told in plain text, so that it needs no program to be understood.
//!
//! `READ-ME.txt`, `rights.txt`, `withheld.txt` and the method of the collation, each in every language
//! of the site: the first language without a mark, the others as `READ-ME.cy.txt`. Sentences and
//! numbers are those of the site's pages.

mod details;
mod differs;
mod frame;
mod making;
mod package;
mod pictures;
mod rights;
mod sheet;
mod thing;

pub(super) use pictures::pictures;

use super::DepositError;
use super::contents::{Content, Files, Left, Shown};
use crate::collate::ObjectGeometry;
use crate::record::{ByLang, Catalogue, Lang, Localised, Note, Object, Withheld};
use crate::site::words::Words;
use crate::site::{Composed, Said, SiteError, figures};
use sheet::Sheet;
use std::collections::BTreeMap;

/// What the texts are told from, in any language.
pub(super) struct Spoken<'a> {
    pub(super) catalogue: &'a Catalogue,
    pub(super) object: &'a Object,
    pub(super) geometry: &'a ObjectGeometry,
    pub(super) withheld: &'a [Withheld],
    pub(super) left: &'a [Left],
    pub(super) shown: &'a Shown,
}

/// What else needs to know.
pub(super) struct Description {
    /// What it is, in a sentence of the first language.
    pub(super) description: String,
    /// What was withheld, a sentence each.
    pub(super) withheld: Vec<String>,
}

/// One language.
struct Teller<'a> {
    spoken: &'a Spoken<'a>,
    lang: &'a Lang,
    told: &'a Said,
    words: &'a Words,
    /// Whether it is the site's first, whose files have no mark.
    first: bool,
}

/// Writes all texts into the files, the read-me last, since it lists the others.
pub(super) fn tell(
    spoken: &Spoken<'_>,
    composed: &Composed,
    files: &mut Files,
) -> Result<Description, DepositError> {
    let languages = &spoken.catalogue.site.languages;
    let tellers = languages.iter().enumerate().filter_map(|(index, lang)| {
        let told = composed.said.get(lang)?;
        Some(Teller {
            spoken,
            lang,
            told,
            words: &told.words,
            first: index == 0,
        })
    });
    let tellers: Vec<Teller<'_>> = tellers.collect();
    let first = tellers.first().ok_or_else(|| {
        SiteError::Words("the site has no language; name one in site.toml".to_owned())
    })?;
    for teller in &tellers {
        let mut put = |stem: &str, text: Vec<u8>| {
            files.insert(format!("data/{}", teller.file(stem)), Content::Bytes(text));
        };
        put("rights", rights::rights(teller)?);
        put("withheld", rights::withheld(teller)?);
        if let Some(text) = differs::method(teller)? {
            put("collation/method", text);
        }
    }
    // The names of all of them are listed in each.
    for teller in &tellers {
        let name = format!("data/{}", teller.file("READ-ME"));
        files.insert(name, Content::Bytes(Vec::new()));
    }
    let mut texts = BTreeMap::new();
    for teller in &tellers {
        let name = format!("data/{}", teller.file("READ-ME"));
        texts.insert(name, teller.all(files)?);
    }
    for (name, text) in texts {
        files.insert(name, Content::Bytes(text));
    }
    Ok(Description {
        description: first.fill(
            "deposit_description",
            &[
                ("title", &first.told.object.object.title),
                ("name", &first.told.object.object.name),
                ("date", &first.told.object.object.date),
                ("standing", &first.where_it_is()?),
            ],
        )?,
        withheld: rights::lines(first)?,
    })
}

impl Teller<'_> {
    /// The name of a text in this language, within the payload.
    fn file(&self, stem: &str) -> String {
        match self.first {
            true => format!("{stem}.txt"),
            false => format!("{stem}.{}.txt", self.lang),
        }
    }

    fn sheet(&self) -> Result<Sheet, SiteError> {
        Ok(Sheet::without(self.get("how_known")?))
    }

    fn get(&self, key: &str) -> Result<&str, SiteError> {
        self.words.get(key)
    }

    fn fill(&self, key: &str, blanks: &[(&str, &str)]) -> Result<String, SiteError> {
        self.words.fill(key, blanks)
    }

    fn mm(&self, value: f64, decimals: usize) -> Result<String, SiteError> {
        figures::millimetres(value, decimals, self.words)
    }

    fn number(&self, value: f64, decimals: usize) -> Result<String, SiteError> {
        figures::number(value, decimals, self.words)
    }

    fn text<'t>(&self, text: &'t Localised) -> Result<&'t str, SiteError> {
        text.get(self.lang).ok_or_else(|| {
            SiteError::Words(format!(
                "a record has a text that lacks the language ‘{}’",
                self.lang
            ))
        })
    }

    fn note<'n>(&self, notes: &'n ByLang<Note>) -> Result<&'n Note, SiteError> {
        notes
            .get(self.lang)
            .ok_or_else(|| SiteError::Words(format!("a note lacks the language ‘{}’", self.lang)))
    }

    /// The words of a note on the sheet.
    fn put_note(&self, notes: &ByLang<Note>, sheet: &mut Sheet) -> Result<(), SiteError> {
        let note = self.note(notes)?;
        sheet.note(&crate::record::words::to_text(note, &self.told.spoken));
        Ok(())
    }

    /// The whole read-me.
    fn all(&self, files: &Files) -> Result<Vec<u8>, SiteError> {
        let mut sheet = self.sheet()?;
        let mut number = 0;
        let mut heading = |sheet: &mut Sheet, key: &str| -> Result<(), SiteError> {
            number += 1;
            sheet.heading(&format!("{number}. {}", self.get(key)?));
            Ok(())
        };
        self.opening(&mut sheet)?;
        heading(&mut sheet, "deposit_thing")?;
        self.thing(&mut sheet)?;
        heading(&mut sheet, "deposit_bodies")?;
        self.bodies(&mut sheet)?;
        heading(&mut sheet, "deposit_frame")?;
        self.frame(&mut sheet)?;
        if !self.spoken.object.details.is_empty() {
            heading(&mut sheet, "deposit_details")?;
            self.details(&mut sheet)?;
        }
        if self.told.differs.is_some() {
            heading(&mut sheet, "what_differs")?;
            self.differs(&mut sheet)?;
        }
        if self.told.making.is_some() {
            heading(&mut sheet, "how_it_was_made")?;
            self.making(&mut sheet)?;
        }
        heading(&mut sheet, "deposit_people")?;
        self.people(&mut sheet)?;
        heading(&mut sheet, "deposit_rights")?;
        self.rights_told(&mut sheet)?;
        heading(&mut sheet, "deposit_package")?;
        self.package(files, &mut sheet)?;
        heading(&mut sheet, "deposit_models")?;
        self.models(&mut sheet)?;
        heading(&mut sheet, "deposit_fixity")?;
        self.fixity(&mut sheet)?;
        Ok(sheet.finish())
    }
}
