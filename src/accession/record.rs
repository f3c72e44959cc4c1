//! The texts of a new record and a new site, from answers.

use super::{Answers, BodyAnswers, MaterialAnswers, PartAnswers, RightsAnswers};
use crate::desk::pen::Value;
use crate::record::{BodyKind, Ground, Lang, LengthUnit, Localised, UpAxis};
use std::fmt::Write;

/// The statement of rights that words and scans name.
const RIGHTS: &str = "ours";

/// A record that is being written, line by line.
struct Page(String);

impl Page {
    fn new() -> Self {
        Self("format = 1\n".to_owned())
    }

    fn line(&mut self, key: &str, value: &Value) {
        let _ = writeln!(self.0, "{key} = {value}");
    }

    fn text(&mut self, key: &str, text: Option<&str>) {
        if let Some(text) = text.map(str::trim).filter(|t| !t.is_empty()) {
            self.line(key, &Value::from(text));
        }
    }

    fn localised(&mut self, key: &str, texts: &Localised) {
        let pairs = texts.0.iter().filter(|(_, text)| !text.trim().is_empty());
        let pairs: Vec<_> = pairs
            .map(|(lang, text)| (lang.to_string(), Value::from(text.trim())))
            .collect();
        if !pairs.is_empty() {
            self.line(key, &Value::Table(pairs));
        }
    }

    fn evidence(&mut self, ground: Option<Ground>) {
        if let Some(ground) = ground {
            let pair = ("ground".to_owned(), Value::from(ground_word(ground)));
            self.line("evidence", &Value::Table(vec![pair]));
        }
    }

    fn header(&mut self, header: &str) {
        let _ = write!(self.0, "\n{header}\n");
    }

    fn remark(&mut self, words: &str) {
        let _ = writeln!(self.0, "# {words}");
    }
}

fn ground_word(ground: Ground) -> &'static str {
    match ground {
        Ground::Measured => "measured",
        Ground::Observed => "observed",
        Ground::Documented => "documented",
        Ground::Conjectured => "conjectured",
    }
}

/// The languages of a site that is only now begun.
pub(super) fn languages(answers: &Answers) -> Vec<Lang> {
    match answers.site.languages.is_empty() {
        true => answers.titles.0.keys().cloned().collect(),
        false => answers.site.languages.clone(),
    }
}

/// `site.toml`.
pub(super) fn site(answers: &Answers) -> String {
    let mut page = Page::new();
    let site = &answers.site;
    page.text("publisher", site.publisher.as_deref());
    page.text("address", site.address.as_deref());
    let tags = languages(answers);
    if !tags.is_empty() {
        let tags = tags.iter().map(|lang| Value::from(lang.as_str()));
        page.line("languages", &Value::List(tags.collect()));
    }
    page.localised("name", &site.name);
    page.localised("introduction", &site.introduction);
    page.0
}

/// `<object>/record.toml`.
pub(super) fn object(answers: &Answers) -> String {
    let mut page = Page::new();
    if answers.rights.is_some() {
        page.line("words_rights", &Value::from(RIGHTS));
    }
    page.header("[identification]");
    page.text("number", answers.number.as_deref());
    page.localised("name", &answers.name);
    page.localised("date", &answers.date);
    page.localised("keeper", &answers.keeper);
    page.evidence(answers.ground);
    // The original is there whether or not anything is known of it.
    let none = BodyAnswers::default();
    let original = answers.bodies.get(&BodyKind::Original).unwrap_or(&none);
    body(&mut page, "original", original, answers.rights.is_some());
    if let Some(replica) = answers.bodies.get(&BodyKind::Replica) {
        body(&mut page, "replica", replica, answers.rights.is_some());
    }
    for (id, answer) in &answers.materials {
        page.header(&format!("[materials.{id}]"));
        material(&mut page, answer);
    }
    if let Some(answer) = &answers.rights {
        rights(&mut page, answer);
    }
    page.0
}

fn body(page: &mut Page, word: &str, answers: &BodyAnswers, rights: bool) {
    page.header(&format!("[bodies.{word}]"));
    page.localised("location", &answers.location);
    page.localised("finish", &answers.finish);
    for answer in &answers.parts {
        page.header(&format!("[[bodies.{word}.parts]]"));
        part(page, answer, rights);
    }
}

fn part(page: &mut Page, answers: &PartAnswers, rights: bool) {
    page.line("id", &Value::from(answers.id.as_str()));
    page.localised("name", &answers.name);
    page.line("model", &Value::from(answers.model.as_str()));
    match answers.unit {
        Some(unit) => page.line("unit", &Value::from(unit_word(unit))),
        None => page.remark("unit: nobody has said yet in what unit the scan was saved."),
    }
    if answers.up == UpAxis::Z {
        page.line("up", &Value::from("z"));
    }
    if let Some(material) = &answers.material {
        page.line("material", &Value::from(material.as_str()));
    }
    if rights {
        page.line("rights", &Value::from(RIGHTS));
    }
}

fn unit_word(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Millimetre => "mm",
        LengthUnit::Centimetre => "cm",
        LengthUnit::Metre => "m",
        LengthUnit::Inch => "in",
    }
}

fn material(page: &mut Page, answers: &MaterialAnswers) {
    page.localised("name", &answers.name);
    if let Some(range) = answers.density_g_per_cm3 {
        let range = range.iter().map(|d| Value::Number(*d)).collect();
        page.line("density_g_per_cm3", &Value::List(range));
    }
    page.evidence(answers.ground);
}

fn rights(page: &mut Page, answers: &RightsAnswers) {
    page.header("[[rights]]");
    page.line("id", &Value::from(RIGHTS));
    page.text("holder", Some(&answers.holder));
    page.text("statement", Some(&answers.statement));
    let words = answers.permits.iter().map(|permit| permit.word());
    page.line("permits", &Value::List(words.map(Value::from).collect()));
}
