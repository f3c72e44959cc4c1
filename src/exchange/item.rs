//! What is exchanged of an object.

use crate::collate::ObjectGeometry;
use crate::record::{
    BodyKind, Catalogue, Day, Lang, Localised, MaterialId, Note, Object, ObjectId, Rights,
    RightsId, Site, SourceFile, Step,
};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

/// An object as it is exchanged. Whatever is empty is not known.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Item {
    /// Name of its folder.
    pub object: Option<ObjectId>,
    /// Object number.
    pub number: Option<String>,
    /// Titles.
    pub title: Localised,
    /// What kind of thing it is.
    pub name: Localised,
    /// When it was made.
    pub date: Localised,
    /// Where.
    pub place: Localised,
    /// By whom.
    pub maker: Localised,
    /// Who keeps it.
    pub keeper: Localised,
    /// Where the original is.
    pub location: Localised,
    /// How its surface looks.
    pub finish: Localised,
    /// The words of its label.
    pub label: Localised,
    /// The words of its page without the title, in Markdown.
    pub words: Localised,
    /// When it was scanned.
    pub scanned: Option<Day>,
    /// The replica.
    pub replica: Option<Replica>,
    /// Materials.
    pub materials: Vec<ItemMaterial>,
    /// Agreements and statements of rights.
    pub rights: Vec<Rights>,
    /// The one under which the words are.
    pub words_rights: Option<RightsId>,
    /// Holders of rights whose licence or statement is not one of those known here, with what was
    /// said; for the keeper to judge.
    pub unjudged: Vec<(String, String)>,
    /// What was measured, which is only ever written, never read.
    pub measured: BTreeMap<BodyKind, Measured>,
    /// Steps in making the replica, only written.
    pub steps: Vec<ItemStep>,
    /// Models and pictures that may be pointed at, only written.
    pub resources: Vec<Resource>,
}

/// A step in making the replica.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ItemStep {
    /// What was done.
    pub title: Localised,
    /// When.
    pub date: Option<Day>,
    /// Names of those who did it.
    pub people: Vec<String>,
}

/// A model or picture that the site serves.
#[derive(Debug, Clone, PartialEq)]
pub struct Resource {
    /// Its address.
    pub link: String,
    /// Its media type.
    pub media_type: &'static str,
    /// What sort of thing it is, in English.
    pub kind: &'static str,
    /// What it shows, in English.
    pub shows: &'static str,
    /// Rights in what it was made from.
    pub rights: Vec<Rights>,
}

/// What is exchanged of a replica.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Replica {
    /// Where it is.
    pub location: Localised,
    /// How its surface looks.
    pub finish: Localised,
    /// When it was made.
    pub made: Option<Day>,
}

/// A material.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ItemMaterial {
    /// Its id in the record.
    pub id: Option<MaterialId>,
    /// Its name.
    pub name: Localised,
    /// Lowest and highest density, grams per cubic centimetre.
    pub density_g_per_cm3: Option<[f64; 2]>,
    /// Of which bodies the parts are that are made of it; none when no part is.
    pub of: Vec<BodyKind>,
}

/// How large and heavy a body is.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// Width, height and depth of the box around it, millimetres, written as on the pages.
    pub size_mm: [String; 3],
    /// Expanded uncertainty (k = 2) of these, where it is known.
    pub within_mm: Option<[String; 3]>,
    /// Weighed mass.
    pub mass: Option<Mass>,
}

/// A mass read from a scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mass {
    /// Grams.
    pub value_g: f64,
    /// Expanded uncertainty (k = 2), grams.
    pub within_g: f64,
}

impl Item {
    /// Of an object; with what was measured, where its models were read.
    pub fn of(site: &Site, object: &Object, geometry: Option<&ObjectGeometry>) -> Self {
        let record = &object.record;
        let what = &record.identification;
        let original = &record.bodies.original;
        let notes = || object.notes.iter();
        Self {
            object: Some(object.id.clone()),
            number: Some(what.number.clone()),
            title: Localised(notes().map(|(l, n)| (l.clone(), n.title.clone())).collect()),
            name: what.name.clone(),
            date: what.date.clone(),
            place: what.place.clone().unwrap_or_default(),
            maker: what.maker.clone().unwrap_or_default(),
            keeper: what.keeper.clone(),
            location: original.location.clone(),
            finish: original.finish.clone(),
            label: record.label.clone(),
            words: Localised(
                notes()
                    .map(|(l, n)| (l.clone(), body(n)))
                    .filter(|(_, text)| !text.is_empty())
                    .collect(),
            ),
            scanned: original.dated,
            replica: record.bodies.replica.as_ref().map(|body| Replica {
                location: body.location.clone(),
                finish: body.finish.clone(),
                made: body.dated,
            }),
            materials: materials(object),
            rights: record.rights.clone(),
            words_rights: Some(record.words_rights.clone()),
            unjudged: Vec::new(),
            measured: geometry.map(|g| measured(object, g)).unwrap_or_default(),
            steps: object
                .making
                .iter()
                .map(|step| of_step(site, step))
                .collect(),
            resources: Vec::new(),
        }
    }

    /// All objects of a catalogue.
    pub fn all(
        catalogue: &Catalogue,
        geometry: &BTreeMap<ObjectId, std::sync::Arc<ObjectGeometry>>,
    ) -> Vec<Self> {
        let of =
            |o: &Arc<Object>| Self::of(&catalogue.site, o, geometry.get(&o.id).map(AsRef::as_ref));
        catalogue.objects.iter().map(of).collect()
    }

    /// Plain words of its page in this language: paragraphs, one a line.
    pub(super) fn plain_words(&self, lang: &Lang) -> Option<String> {
        let text = self.words.get(lang)?;
        let source = SourceFile {
            name: String::new(),
            path: PathBuf::new(),
            text: format!("# –\n\n{text}\n"),
        };
        let plain = Note::read(source, lang.clone()).0.plain_text();
        Some(plain.trim().to_owned()).filter(|text| !text.is_empty())
    }
}

fn of_step(site: &Site, step: &Step) -> ItemStep {
    let people = step
        .record
        .people
        .iter()
        .filter_map(|id| site.people.get(id));
    let titles = step.notes.iter();
    ItemStep {
        title: Localised(titles.map(|(l, n)| (l.clone(), n.title.clone())).collect()),
        date: step.record.date,
        people: people.map(|p| p.name.clone()).collect(),
    }
}

/// A note without its title.
fn body(note: &Note) -> String {
    let text = &note.source.text;
    let rest = match note.headings.first() {
        Some(first) if first.level == 1 && !note.title.is_empty() => {
            text.get(first.span.end..).unwrap_or_default()
        }
        _ => text,
    };
    rest.trim().to_owned()
}

fn materials(object: &Object) -> Vec<ItemMaterial> {
    let record = &object.record;
    let used = |id: &MaterialId, kind: BodyKind| {
        let mut parts = record.bodies.parts(kind).iter();
        parts.any(|part| &part.material == id)
    };
    let of = |(id, material): (&MaterialId, &crate::record::Material)| ItemMaterial {
        id: Some(id.clone()),
        name: material.name.clone(),
        density_g_per_cm3: Some(material.density_g_per_cm3),
        of: [BodyKind::Original, BodyKind::Replica]
            .into_iter()
            .filter(|kind| used(id, *kind))
            .collect(),
    };
    record.materials.iter().map(of).collect()
}

fn measured(object: &Object, geometry: &ObjectGeometry) -> BTreeMap<BodyKind, Measured> {
    let of = |(kind, extent): (&BodyKind, &crate::collate::Extent)| {
        // Where nothing is known of the uncertainty, a tenth of a millimetre, as on the pages.
        let rounded = extent.size_mm.each_ref().map(|e| e.rounded());
        let size_mm = [0, 1, 2].map(|k| match &rounded[k] {
            Some(r) => format!("{:.*}", r.decimals, r.value),
            None => format!("{:.1}", extent.size_mm[k].value),
        });
        let within = rounded.map(|r| r.map(|r| format!("{:.*}", r.decimals, r.expanded)));
        let within_mm = match within {
            [Some(x), Some(y), Some(z)] => Some([x, y, z]),
            _ => None,
        };
        let weighed = object.record.bodies.get(*kind);
        let mass = weighed.and_then(|b| b.weighed_g.as_ref()).map(|w| Mass {
            value_g: w.value_g,
            within_g: w.uncertainty_g,
        });
        let measured = Measured {
            size_mm,
            within_mm,
            mass,
        };
        (*kind, measured)
    };
    geometry.extents.bodies.iter().map(of).collect()
}

impl Item {
    /// Texts in languages by their key.
    pub(super) fn spoken(&self) -> [(&'static str, &Localised); 10] {
        [
            ("title", &self.title),
            ("name", &self.name),
            ("date", &self.date),
            ("place", &self.place),
            ("maker", &self.maker),
            ("keeper", &self.keeper),
            ("location", &self.location),
            ("finish", &self.finish),
            ("label", &self.label),
            ("words", &self.words),
        ]
    }

    pub(super) fn spoken_mut(&mut self) -> [(&'static str, &mut Localised); 10] {
        [
            ("title", &mut self.title),
            ("name", &mut self.name),
            ("date", &mut self.date),
            ("place", &mut self.place),
            ("maker", &mut self.maker),
            ("keeper", &mut self.keeper),
            ("location", &mut self.location),
            ("finish", &mut self.finish),
            ("label", &mut self.label),
            ("words", &mut self.words),
        ]
    }
}
