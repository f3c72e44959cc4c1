//! The small pieces of which all entities are made: names, types, languages, people, days.

use super::{model_name, thing_name};
use crate::formats::Telling;
use crate::linked::put;
use crate::record::{
    BodyKind, ByLang, Day, Evidence, Ground, Lang, Localised, Note, PersonId, Rights, RightsId,
    Source, SourceId,
};
use serde_json::{Value, json};

/// Getty's Art & Architecture Thesaurus. Each number here is held against the one that a package of
/// Linked Art's own vocabulary gives for the same word (`./check outside`); what that does not
/// give has a plain label.
const AAT: &str = "http://vocab.getty.edu/aat/";

/// A type by its number in the thesaurus, with its label there.
#[derive(Clone, Copy)]
pub(super) struct Aat(pub(super) u32, pub(super) &'static str);

pub(super) const PRIMARY_NAME: Aat = Aat(300_404_670, "Primary Name");
pub(super) const ACCESSION_NUMBER: Aat = Aat(300_312_355, "Accession Number");
pub(super) const DESCRIPTION: Aat = Aat(300_435_416, "Description");
pub(super) const NOTE: Aat = Aat(300_027_200, "Note");
pub(super) const BRIEF_TEXT: Aat = Aat(300_418_049, "Brief Text");
pub(super) const CREDIT: Aat = Aat(300_026_687, "Credit Statement");
pub(super) const HEIGHT: Aat = Aat(300_055_644, "Height");
pub(super) const WIDTH: Aat = Aat(300_055_647, "Width");
pub(super) const DEPTH: Aat = Aat(300_072_633, "Depth");
pub(super) const WEIGHT: Aat = Aat(300_056_240, "Weight");
pub(super) const MILLIMETRES: Aat = Aat(300_379_097, "millimeters");
pub(super) const GRAMS: Aat = Aat(300_379_225, "grams");
pub(super) const BYTES: Aat = Aat(300_265_869, "bytes");
pub(super) const WEB_PAGE: Aat = Aat(300_264_578, "Web Page");
pub(super) const DIGITAL_IMAGE: Aat = Aat(300_215_302, "Digital Image");
pub(super) const CITATION: Aat = Aat(300_311_705, "Citation");

/// Languages of the thesaurus, by their tags.
const LANGUAGES: [(&str, Aat); 8] = [
    ("cy", Aat(300_389_555, "Welsh")),
    ("de", Aat(300_388_344, "German")),
    ("en", Aat(300_388_277, "English")),
    ("es", Aat(300_389_311, "Spanish")),
    ("fr", Aat(300_388_306, "French")),
    ("ga", Aat(300_388_467, "Irish")),
    ("it", Aat(300_388_474, "Italian")),
    ("la", Aat(300_388_693, "Latin")),
];

/// Says things of one object.
pub(super) struct Says<'a> {
    pub(super) telling: &'a Telling<'a>,
}

impl<'a> Says<'a> {
    pub(super) fn of(telling: &'a Telling<'a>) -> Self {
        Self { telling }
    }

    pub(super) fn langs(&self) -> &'a [Lang] {
        &self.telling.catalogue.site.languages
    }

    /// The address of a body, of something about it when `rest` begins with `#`.
    pub(super) fn thing_id(&self, kind: BodyKind, rest: &str) -> String {
        self.telling.document(&(thing_name(kind) + rest))
    }

    /// The address of a body's models as received.
    pub(super) fn model_id(&self, kind: BodyKind, rest: &str) -> String {
        self.telling.document(&(model_name(kind) + rest))
    }

    /// The text in the site's first language, for people who read the data.
    pub(super) fn label<'t>(&self, text: &'t Localised) -> &'t str {
        let mut all = self.langs().iter().filter_map(|lang| text.get(lang));
        all.next().unwrap_or_default()
    }

    pub(super) fn title(&self, notes: &'a ByLang<Note>) -> &'a str {
        let mut all = self.langs().iter().filter_map(|lang| notes.get(lang));
        all.next().map_or("", |note| note.title.as_str())
    }

    /// "The Brackwater mortar: replica".
    pub(super) fn body_label(&self, kind: BodyKind) -> String {
        let title = self.title(&self.telling.object.notes);
        format!("{title} ({})", kind.word())
    }

    /// A name in each language.
    pub(super) fn names(&self, text: &Localised, class: Option<Aat>) -> Value {
        let of = |lang| Some(name(text.get(lang)?, Some(lang), class));
        self.langs().iter().filter_map(of).collect()
    }

    /// The titles of notes as names.
    pub(super) fn titles(&self, notes: &ByLang<Note>, class: Option<Aat>) -> Vec<Value> {
        let of = |lang| Some(name(&notes.get(lang)?.title, Some(lang), class));
        self.langs().iter().filter_map(of).collect()
    }

    /// A text in each language, as texts that refer to the thing.
    pub(super) fn texts(&self, text: &Localised, class: Aat) -> Vec<Value> {
        let of = |lang| Some(told(text.get(lang)?, lang, class));
        self.langs().iter().filter_map(of).collect()
    }

    /// A type with a plain label in each language.
    pub(super) fn plain_type(&self, text: &Localised) -> Value {
        let label = self.label(text);
        json!({ "type": "Type", "_label": label, "identified_by": self.names(text, None) })
    }

    /// A person or group of `site.toml`, by address and name.
    pub(super) fn person(&self, id: &PersonId) -> Value {
        let site = &self.telling.catalogue.site;
        let address = format!("{}#person-{id}", site.address);
        // Reading refuses a person whom the site does not name; the id is then all there is.
        let Some(person) = site.people.get(id) else {
            return json!({ "id": address, "type": "Actor", "_label": id.as_str() });
        };
        let kind = if person.group { "Group" } else { "Person" };
        json!({ "id": address, "type": kind, "_label": person.name })
    }

    /// The same with the name as something that is said of them. It has an address, so that it is
    /// one name however often it is told.
    pub(super) fn introduced(&self, id: &PersonId) -> Value {
        let mut person = self.person(id);
        let mut called = name(
            person["_label"].as_str().unwrap_or_default(),
            None,
            Some(PRIMARY_NAME),
        );
        let address = format!("{}-name", person["id"].as_str().unwrap_or_default());
        put(&mut called, "id", Some(address.into()));
        put(&mut person, "identified_by", Some(json!([called])));
        person
    }

    /// Whoever has this name: the publisher, one of the people, or somebody else.
    pub(super) fn named(&self, called: &str) -> Value {
        let site = &self.telling.catalogue.site;
        if called == site.publisher {
            let id = format!("{}#publisher", site.address);
            return json!({ "id": id, "type": "Group", "_label": called });
        }
        match site.people.iter().find(|(_, p)| p.name == called) {
            Some((id, _)) => self.person(id),
            None => {
                json!({ "type": "Actor", "_label": called, "identified_by": [name(called, None, None)] })
            }
        }
    }

    /// The rights under which an asset stands.
    pub(super) fn rights(&self, id: &RightsId) -> Option<&'a Rights> {
        let mut all = self.telling.object.record.rights.iter();
        all.find(|r| r.id == *id)
    }

    /// The same, told.
    pub(super) fn right(&self, rights: &Rights) -> Value {
        let statement = rights.statement.as_str();
        let label = rights.statement.label();
        let mut right = json!({
            "type": "Right", "_label": label,
            "classified_as": [{ "id": statement, "type": "Type", "_label": label }],
            "possessed_by": [self.named(&rights.holder)],
        });
        let credit = rights.credit.as_ref().map(|c| self.texts(c, CREDIT).into());
        put(&mut right, "referred_to_by", credit);
        right
    }

    /// A book, report or letter, by address and title.
    fn source(&self, id: &SourceId) -> Option<Value> {
        let source = self.telling.object.record.sources.get(id)?;
        Some(json!({
            "id": self.thing_id(BodyKind::Original, &format!("#source-{id}")),
            "type": "LinguisticObject", "_label": source.title,
        }))
    }

    /// All of them in full.
    pub(super) fn sources(&self) -> Vec<Value> {
        let of = |(id, source): (&SourceId, &Source)| {
            let mut told = self.source(id)?;
            let title = name(&source.title, source.lang.as_ref(), None);
            put(&mut told, "identified_by", Some(json!([title])));
            put(&mut told, "classified_as", Some(json!([kind_of(CITATION)])));
            let by = source.author.as_ref().map(
                |author| json!({ "type": "Creation", "carried_out_by": [self.named(author)] }),
            );
            put(&mut told, "created_by", by);
            Some(told)
        };
        self.telling
            .object
            .record
            .sources
            .iter()
            .filter_map(of)
            .collect()
    }

    /// Whoever found something out, when, how and from what, as an act of this type.
    pub(super) fn act(&self, kind: &str, evidence: &Evidence) -> Value {
        let how = match evidence.ground {
            Ground::Measured => "measured",
            Ground::Observed => "observed",
            Ground::Documented => "read in a document",
            Ground::Conjectured => "conjectured",
        };
        let mut act = json!({
            "type": kind, "_label": how,
            "technique": [{ "type": "Type", "_label": how }],
        });
        put(
            &mut act,
            "carried_out_by",
            evidence.by.as_ref().map(|by| json!([self.person(by)])),
        );
        put(&mut act, "timespan", evidence.date.map(on_day));
        let source = evidence.source.as_ref().and_then(|id| self.source(id));
        put(&mut act, "used_specific_object", source.map(|s| json!([s])));
        act
    }
}

/// A type of the thesaurus.
pub(super) fn kind_of(class: Aat) -> Value {
    json!({ "id": format!("{AAT}{}", class.0), "type": "Type", "_label": class.1 })
}

/// A unit of the thesaurus.
pub(super) fn unit(class: Aat) -> Value {
    json!({ "id": format!("{AAT}{}", class.0), "type": "MeasurementUnit", "_label": class.1 })
}

/// A language; by its tag where the thesaurus' number is not known here.
pub(super) fn language(lang: &Lang) -> Value {
    let known = LANGUAGES.iter().find(|(tag, _)| *tag == lang.primary());
    let (tag, primary) = (lang.as_str(), lang.primary());
    match known {
        Some((_, class)) if tag == primary => {
            json!({ "id": format!("{AAT}{}", class.0), "type": "Language", "_label": class.1 })
        }
        _ => json!({
            "type": "Language", "_label": tag,
            "identified_by": [{ "type": "Identifier", "content": tag }],
        }),
    }
}

pub(super) fn name(content: &str, lang: Option<&Lang>, class: Option<Aat>) -> Value {
    let mut name = json!({ "type": "Name", "content": content });
    put(&mut name, "language", lang.map(|l| json!([language(l)])));
    put(
        &mut name,
        "classified_as",
        class.map(|c| json!([kind_of(c)])),
    );
    name
}

/// A text about something.
pub(super) fn told(content: &str, lang: &Lang, class: Aat) -> Value {
    let mut class = kind_of(class);
    put(
        &mut class,
        "classified_as",
        Some(json!([kind_of(BRIEF_TEXT)])),
    );
    json!({
        "type": "LinguisticObject", "content": content,
        "classified_as": [class], "language": [language(lang)],
    })
}

/// A note of the program's own, which are in English.
pub(super) fn note(content: &str) -> Value {
    let (_, english) = LANGUAGES[2];
    let mut class = kind_of(NOTE);
    put(
        &mut class,
        "classified_as",
        Some(json!([kind_of(BRIEF_TEXT)])),
    );
    let lang =
        json!({ "id": format!("{AAT}{}", english.0), "type": "Language", "_label": english.1 });
    json!({
        "type": "LinguisticObject", "content": content,
        "classified_as": [class], "language": [lang],
    })
}

/// A day, whole: records know no hours and no zones.
pub(super) fn on_day(day: Day) -> Value {
    json!({
        "type": "TimeSpan", "_label": day.to_string(),
        "begin_of_the_begin": format!("{day}T00:00:00Z"),
        "end_of_the_end": format!("{day}T23:59:59Z"),
    })
}
