//! A new object: its folder, its record and a note per language, as far as there are answers.
//!
//! Takes answers and scans; hands on files that the survey reads, and what was measured on each
//! scan. Nothing is made up: a fact that nobody has answered is left out, and the survey then says
//! in plain words what is missing. Everything is written by the [`Pen`], so it can be taken back.

mod record;
mod scan;

pub use scan::{Scan, UnitChoice, look, unit_choices};

use crate::desk::pen::{Fresh, Inside, Moment, Pen, Refusal};
use crate::record::{
    BodyKind, Day, Ground, Lang, LengthUnit, Localised, MaterialId, ObjectId, PartId, Rights,
    RightsId, Site, Source, SourceId, UpAxis, Use,
};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What is known of a new object. Everything may be left out.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Answers {
    /// Title of its page, per language.
    pub titles: Localised,
    /// Object number.
    pub number: Option<String>,
    /// What kind of thing it is: "mortar".
    pub name: Localised,
    /// When it was made, as it should be read.
    pub date: Localised,
    /// Where it was made.
    pub place: Localised,
    /// By whom.
    pub maker: Localised,
    /// Owner or keeper of the original.
    pub keeper: Localised,
    /// How these facts are known.
    pub ground: Option<Ground>,
    /// From what.
    pub source: Option<SourceId>,
    /// The words of its label.
    pub label: Localised,
    /// The words of its page without the title, in Markdown.
    pub words: Localised,
    /// The original and the replica.
    pub bodies: BTreeMap<BodyKind, BodyAnswers>,
    /// Materials by id.
    pub materials: BTreeMap<MaterialId, MaterialAnswers>,
    /// Who holds the rights in words and scans, unless that is to be written later.
    pub rights: Option<RightsAnswers>,
    /// Agreements that are known in every respect.
    pub agreements: Vec<Rights>,
    /// The one among them under which the words are.
    pub words_rights: Option<RightsId>,
    /// Sources by id.
    pub sources: BTreeMap<SourceId, Source>,
    /// Lines for the keeper at the head of the record, which are not read.
    pub remarks: Vec<String>,
    /// Facts of the site, for a content folder without `site.toml`.
    pub site: SiteAnswers,
}

/// What is known of a body.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct BodyAnswers {
    /// Where it is now.
    pub location: Localised,
    /// Its surface as a visitor sees it.
    pub finish: Localised,
    /// When it was made (a replica) or scanned (an original).
    pub dated: Option<Day>,
    /// Its parts.
    pub parts: Vec<PartAnswers>,
}

/// What is known of a part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PartAnswers {
    /// The same id on both bodies means the same part.
    pub id: PartId,
    /// Its name.
    #[serde(default)]
    pub name: Localised,
    /// The scan, inside the object's folder: `models/bowl.ply`.
    pub model: String,
    /// Unit of the scan's numbers.
    pub unit: Option<LengthUnit>,
    /// Upward axis of the scan's numbers.
    #[serde(default)]
    pub up: UpAxis,
    /// What it is made of.
    pub material: Option<MaterialId>,
}

/// What is known of a material.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct MaterialAnswers {
    /// Its name.
    pub name: Localised,
    /// Lowest and highest density, grams per cubic centimetre.
    pub density_g_per_cm3: Option<[f64; 2]>,
    /// How that is known.
    pub ground: Option<Ground>,
}

/// Who holds the rights, and what they permit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RightsAnswers {
    /// Who holds them.
    pub holder: String,
    /// Address of a licence or rights statement.
    pub statement: String,
    /// What they permit.
    pub permits: Vec<Use>,
}

/// What is known of the site.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct SiteAnswers {
    /// The publishing body.
    pub publisher: Option<String>,
    /// Address at which the site will stand.
    pub address: Option<String>,
    /// Its languages; those of the titles when there are none.
    pub languages: Vec<Lang>,
    /// Title of the whole site.
    pub name: Localised,
    /// A sentence or two under it.
    pub introduction: Localised,
}

/// What was made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Begun {
    /// The new files.
    pub files: Vec<Inside>,
    /// Whether `site.toml` is among them.
    pub site: bool,
}

/// An object that is to be begun.
#[derive(Debug, Clone)]
pub struct Starting {
    /// Its name.
    pub id: ObjectId,
    /// What is known of it.
    pub answers: Answers,
    /// A text that came with it, and where in its folder it is kept.
    pub received: Option<(String, String)>,
}

/// Makes `<id>/record.toml` and a note per language, and `site.toml` where there is none: all or
/// none. An object that is there already is left as it is.
pub fn begin(pen: &Pen, id: &ObjectId, answers: &Answers, at: Moment) -> Result<Begun, Refusal> {
    let starting = Starting {
        id: id.clone(),
        answers: answers.clone(),
        received: None,
    };
    begin_all(pen, &[starting], at)
}

/// The same for several objects at once: all of them or none.
pub fn begin_all(pen: &Pen, all: &[Starting], at: Moment) -> Result<Begun, Refusal> {
    let site_file = Inside::new("site.toml")?;
    let site = pen.read(&site_file)?;
    let mut leaves = Vec::new();
    let mut add = |file: Inside, text: String| {
        leaves.push(Fresh {
            file,
            expected: None,
            text,
        })
    };
    let languages = match (&site, all.first()) {
        // What cannot be read is the survey's to tell; notes are then made as they were answered.
        (Some(leaf), _) => {
            toml::from_str::<Site>(&leaf.text).map_or(Vec::new(), |site| site.languages)
        }
        (None, Some(first)) => {
            add(site_file, record::site(&first.answers));
            record::languages(&first.answers)
        }
        (None, None) => Vec::new(),
    };
    for Starting {
        id,
        answers,
        received,
    } in all
    {
        let record = Inside::new(&format!("{id}/record.toml"))?;
        if pen.read(&record)?.is_some() {
            let there = format!("The object {id}");
            return Err(Refusal::Taken {
                path: there.clone(),
                by: there,
            });
        }
        add(record, record::object(answers));
        let told = answers.titles.0.keys().chain(answers.words.0.keys());
        for lang in told.collect::<std::collections::BTreeSet<_>>() {
            let note = Inside::new(&format!("{id}/{lang}.md"))?;
            let wanted = languages.is_empty() || languages.contains(lang);
            // Words that were written before the record are left as they are.
            if wanted && pen.read(&note)?.is_none() {
                add(note, record::note(answers, lang));
            }
        }
        if let Some((name, text)) = received {
            add(Inside::new(&format!("{id}/{name}"))?, text.clone());
        }
    }
    let why = match all {
        [one] => format!("New object: {}", one.id),
        several => format!("New objects: {}", several.len()),
    };
    pen.write_all(&leaves, &why, at)?;
    Ok(Begun {
        files: leaves.into_iter().map(|l| l.file).collect(),
        site: site.is_none(),
    })
}
