//! The text: what is cut, what it says in whole words, what it means.

use super::xml::Xml;
use super::{Reading, Subject, signs};
use crate::record::words::Wording;
use std::io::Result;

pub(super) fn write(xml: &mut Xml, subject: &Subject<'_>) -> Result<()> {
    let readings = &subject.readings;
    xml.block("text", &[], |xml| {
        xml.block("body", &[], |xml| {
            as_cut(xml, readings)?;
            in_whole_words(xml, readings)?;
            for note in &subject.notes {
                translation(xml, readings, note.lang.as_str())?;
            }
            Ok(())
        })
    })
}

/// Several inscriptions are parts of one text.
fn parts<'r>(
    xml: &mut Xml,
    readings: &'r [Reading<'_>],
    mut one: impl FnMut(&mut Xml, &'r Reading<'_>) -> Result<()>,
) -> Result<()> {
    if let [reading] = readings {
        return one(xml, reading);
    }
    for (index, reading) in readings.iter().enumerate() {
        let number = (index + 1).to_string();
        let part = [("type", "textpart"), ("n", &*number)];
        xml.block("div", &part, |xml| one(xml, reading))?;
    }
    Ok(())
}

fn as_cut(xml: &mut Xml, readings: &[Reading<'_>]) -> Result<()> {
    xml.block("div", &[("type", "edition")], |xml| {
        parts(xml, readings, |xml, reading| {
            let (note, told) = &reading.told[0];
            xml.from(note.source.place(told.signs.span.clone()));
            let cut = [
                ("xml:lang", reading.language().as_str()),
                ("xml:space", "preserve"),
            ];
            xml.line("ab", &cut, |xml| signs::write(xml, &reading.tree))
        })
    })
}

/// Notes of two languages may make the words whole in two ways; each is kept once.
fn in_whole_words(xml: &mut Xml, readings: &[Reading<'_>]) -> Result<()> {
    let div = [("type", "edition"), ("subtype", "expanded")];
    xml.block("div", &div, |xml| {
        parts(xml, readings, |xml, reading| {
            let mut kept: Vec<&Wording> = Vec::new();
            for (note, told) in &reading.told {
                let words = &told.expanded;
                let same = |k: &&Wording| k.text == words.text && k.lang == words.lang;
                if !kept.iter().any(same) {
                    xml.from(note.source.place(words.span.clone()));
                    wording(xml, "ab", words)?;
                    kept.push(words);
                }
            }
            Ok(())
        })
    })
}

fn translation(xml: &mut Xml, readings: &[Reading<'_>], lang: &str) -> Result<()> {
    let div = [("type", "translation"), ("xml:lang", lang)];
    xml.block("div", &div, |xml| {
        parts(xml, readings, |xml, reading| {
            let mut told = reading.told.iter();
            let Some((note, told)) = told.find(|(note, _)| note.lang.as_str() == lang) else {
                return Ok(());
            };
            xml.from(note.source.place(told.translation.span.clone()));
            wording(xml, "p", &told.translation)
        })
    })
}

/// Words with their lines.
fn wording(xml: &mut Xml, name: &str, words: &Wording) -> Result<()> {
    xml.line(name, &[("xml:lang", words.lang.as_str())], |xml| {
        for (index, line) in words.text.lines().enumerate() {
            if index > 0 {
                xml.empty("lb", &[])?;
            }
            xml.text(line)?;
        }
        Ok(())
    })
}
