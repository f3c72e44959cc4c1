//! What is printed: the label beside the object, and the whole in large print.

use super::Subject;
use super::frame::{Script, dir_word};
use super::printing::OnPaper;
use super::recordings::Recorded;
use super::resolve::Resolver;
use crate::picture;
use crate::record::words::Passage;
use crate::site::SiteError;
use crate::site::address::Page;
use crate::site::assets::Assets;
use crate::site::page::{Code, LabelPage, LabelText, LargePrintPage, LargePrintSection, ToldStep};
use std::collections::BTreeMap;

pub(super) fn label(subject: &Subject<'_>, assets: &Assets) -> Result<LabelPage, SiteError> {
    let (site, object) = (subject.site, subject.object);
    let page = Page::Label(object.id.clone());
    let heading = site.words.get("label")?;
    Ok(LabelPage {
        frame: subject.frame(
            &page,
            heading,
            site.words.get("label_description")?,
            Script::None,
        )?,
        object: subject.head(&page)?,
        texts: texts(subject)?,
        code: code(subject, &page, assets)?,
        facts: subject.identification(&page)?,
    })
}

/// The square code that leads to the object's page, and the address in words.
pub(super) fn code(subject: &Subject<'_>, page: &Page, assets: &Assets) -> Result<Code, SiteError> {
    let (site, object) = (subject.site, subject.object);
    let target = site.address(&Page::Object(object.id.clone()));
    let address = format!("{}{}", site.catalogue.site.address, target.below_root());
    let file = match subject.code.get() {
        Some(file) => file,
        None => {
            let code = picture::qr_svg(&address)
                .map_err(|e| SiteError::Picture(format!("the code for {address}: {e}")))?;
            let name = format!("{}-code-{}", object.id, site.lang.as_str().to_lowercase());
            let file = assets.add(&name, "svg", code.into_bytes());
            subject.code.get_or_init(|| file)
        }
    };
    Ok(Code {
        src: site.address(page).to_file(file),
        alt: site.words.fill("alt_code", &[("address", &address)])?,
        address: address
            .trim_start_matches("https://")
            .trim_start_matches("http://")
            .trim_end_matches('/')
            .to_owned(),
    })
}

/// The label in every language, the page's own first.
fn texts(subject: &Subject<'_>) -> Result<Vec<LabelText>, SiteError> {
    let (site, object) = (subject.site, subject.object);
    let mut languages: Vec<_> = site.catalogue.site.languages.iter().collect();
    languages.sort_by_key(|lang| *lang != site.lang);
    let mut texts = Vec::new();
    for lang in languages {
        let missing = || {
            SiteError::Words(format!(
                "the label of ‘{}’ lacks the language ‘{lang}’",
                object.id
            ))
        };
        let words = site.all_words.get(lang).ok_or_else(missing)?;
        let key = if object.record.bodies.replica.is_some() {
            "label_replica"
        } else {
            "label_original"
        };
        texts.push(LabelText {
            lang: lang.to_string(),
            dir: dir_word(lang),
            title: object.notes.get(lang).ok_or_else(missing)?.title.clone(),
            standing: words.get(key)?.to_owned(),
            text: object
                .record
                .label
                .get(lang)
                .ok_or_else(missing)?
                .to_owned(),
        });
    }
    Ok(texts)
}

pub(super) fn large_print(subject: &Subject<'_>) -> Result<LargePrintPage, SiteError> {
    let (site, object) = (subject.site, subject.object);
    let page = Page::LargePrint(object.id.clone());
    let here = site.address(&page);
    let resolver = Resolver {
        site,
        here: here.clone(),
        object: Some(object),
        folder: Some(&object.folder),
        photographs: &object.record.photographs,
    };
    let mut sections = Vec::new();
    for (index, detail) in object.details.iter().enumerate() {
        let entry = subject.key_entry(&page, index)?;
        let resolver = Resolver {
            folder: Some(&detail.folder),
            photographs: &detail.record.photographs,
            here: here.clone(),
            ..resolver
        };
        sections.push(LargePrintSection {
            letter: entry.letter,
            title: entry.title,
            kind_word: entry.kind_word,
            bearing: entry.bearing,
            described: subject.described(detail, &here, &resolver)?,
            words_html: site.html(
                site.note(&detail.notes)?,
                Passage::Whole,
                3,
                &OnPaper(&resolver),
            )?,
            recordings: subject.recordings(&Recorded::detail(detail), &here, &resolver)?,
        });
    }
    let mut told_steps = Vec::new();
    for step in &object.making {
        let resolver = Resolver {
            folder: Some(&step.folder),
            photographs: &step.record.photographs,
            here: here.clone(),
            ..resolver
        };
        let recordings = subject.recordings(&Recorded::step(step), &here, &resolver)?;
        if !recordings.is_empty() {
            let title = site.note(&step.notes)?.title.clone();
            told_steps.push(ToldStep { title, recordings });
        }
    }
    let shown = object.shown_body();
    let plate = subject.pictures.plates.get(&shown);
    let plate = plate.ok_or_else(|| SiteError::Picture(format!("no plate of ‘{}’", object.id)))?;
    let told = site.plate_told(object, shown, &plate.camera, &BTreeMap::new())?;
    let heading = site.words.get("large_print")?;
    Ok(LargePrintPage {
        frame: subject.frame(
            &page,
            heading,
            site.words.get("large_print_description")?,
            Script::None,
        )?,
        object: subject.head(&page)?,
        lead_html: site.html(
            site.note(&object.notes)?,
            Passage::Lead,
            3,
            &OnPaper(&resolver),
        )?,
        standing: site.standing(object)?,
        facts: subject.identification(&page)?,
        picture: subject
            .sheets()
            .plate()
            .then(|| plate.files.seen_from(&here, told.alt)),
        recordings: subject.recordings(&subject.recorded(), &here, &resolver)?,
        sections,
        told_steps,
    })
}
