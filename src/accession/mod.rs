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
    BodyKind, Ground, Lang, LengthUnit, Localised, MaterialId, ObjectId, PartId, Site, UpAxis, Use,
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
    /// Owner or keeper of the original.
    pub keeper: Localised,
    /// How these facts are known.
    pub ground: Option<Ground>,
    /// The original and the replica.
    pub bodies: BTreeMap<BodyKind, BodyAnswers>,
    /// Materials by id.
    pub materials: BTreeMap<MaterialId, MaterialAnswers>,
    /// Who holds the rights in words and scans, unless that is to be written later.
    pub rights: Option<RightsAnswers>,
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

/// Makes `<id>/record.toml` and a note per language, and `site.toml` where there is none: all or
/// none. An object that is there already is left as it is.
pub fn begin(pen: &Pen, id: &ObjectId, answers: &Answers, at: Moment) -> Result<Begun, Refusal> {
    let record = Inside::new(&format!("{id}/record.toml"))?;
    if pen.read(&record)?.is_some() {
        let there = format!("The object {id}");
        return Err(Refusal::Taken {
            path: there.clone(),
            by: there,
        });
    }
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
    let languages = match &site {
        // What cannot be read is the survey's to tell; notes are then made as they were answered.
        Some(leaf) => toml::from_str::<Site>(&leaf.text).map_or(Vec::new(), |site| site.languages),
        None => {
            add(site_file, record::site(answers));
            record::languages(answers)
        }
    };
    add(record, record::object(answers));
    for (lang, title) in &answers.titles.0 {
        let note = Inside::new(&format!("{id}/{lang}.md"))?;
        let wanted = languages.is_empty() || languages.contains(lang);
        // Words that were written before the record are left as they are.
        if wanted && pen.read(&note)?.is_none() {
            add(note, format!("# {}\n", title.trim()));
        }
    }
    pen.write_all(&leaves, &format!("New object: {id}"), at)?;
    Ok(Begun {
        files: leaves.into_iter().map(|l| l.file).collect(),
        site: site.is_none(),
    })
}
