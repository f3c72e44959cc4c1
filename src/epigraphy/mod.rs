//! Inscriptions for the record that outlives the website: EpiDoc, a use of TEI.
//!
//! Takes a detail whose notes hold inscriptions in Leiden signs; hands on one [`Edition`], an XML
//! document that other collections of inscriptions can read: what is cut, sign by sign, what it
//! says in whole words, what it means in each language of the site, and where the thing is. Signs
//! become elements as the EpiDoc Guidelines set them (the Krummrey-Panciera alignment page and the
//! transcription pages). What cannot be said in TEI is a finding, never left out.

mod body;
mod header;
mod reading;
mod signs;
mod xml;

use crate::record::words::Inscription;
use crate::record::words::leiden::{Tree, parse};
use crate::record::{
    Catalogue, Detail, DetailId, Finding, Findings, Lang, Note, Object, Place, Severity, Sources,
    content_name,
};
use xml::Xml;

/// Media type of an edition (RFC 6129).
pub const MEDIA_TYPE: &str = "application/tei+xml";

/// The inscriptions of one detail as a TEI document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edition {
    /// Whose lettering it is.
    pub detail: DetailId,
    /// The document, UTF-8.
    pub xml: String,
}

/// Everything that an edition is told from.
struct Subject<'a> {
    catalogue: &'a Catalogue,
    object: &'a Object,
    detail: &'a Detail,
    sources: &'a Sources,
    /// The detail's notes, the site's first language first.
    notes: Vec<&'a Note>,
    readings: Vec<Reading<'a>>,
}

/// One inscription, in all languages.
struct Reading<'a> {
    tree: Tree,
    /// Beside each the note in which it stands.
    told: Vec<(&'a Note, Inscription)>,
}

impl Subject<'_> {
    fn langs(&self) -> &[Lang] {
        &self.catalogue.site.languages
    }

    /// A place of the object's record.
    fn in_object(&self, path: &[&str]) -> Place {
        let name = content_name(
            &self.catalogue.folder,
            &self.object.folder.join("record.toml"),
        );
        self.sources.place_of(&name, path)
    }

    /// A place of the detail's record.
    fn in_detail(&self, path: &[&str]) -> Place {
        let name = content_name(
            &self.catalogue.folder,
            &self.detail.folder.join("record.toml"),
        );
        self.sources.place_of(&name, path)
    }

    /// A place of `site.toml`.
    fn in_site(&self, path: &[&str]) -> Place {
        self.sources.place_of("site.toml", path)
    }
}

/// The editions of all details of an object that have inscriptions, in the keeper's order.
///
/// # Errors
/// Everything in their notes and records that TEI has no words for.
pub fn editions(
    catalogue: &Catalogue,
    object: &Object,
    sources: &Sources,
) -> Result<Vec<Edition>, Findings> {
    let (mut made, mut findings) = (Vec::new(), Findings::none());
    for detail in &object.details {
        match edition(catalogue, object, detail, sources) {
            Ok(edition) => made.extend(edition),
            Err(more) => findings.extend(more),
        }
    }
    if findings.is_empty() {
        Ok(made)
    } else {
        findings.settle();
        Err(findings)
    }
}

/// The edition of one detail; none when its notes hold no inscription.
///
/// # Errors
/// Everything in its notes and records that TEI has no words for.
pub fn edition(
    catalogue: &Catalogue,
    object: &Object,
    detail: &Detail,
    sources: &Sources,
) -> Result<Option<Edition>, Findings> {
    let languages = catalogue.site.languages.iter();
    let notes: Vec<&Note> = languages.filter_map(|l| detail.notes.get(l)).collect();
    let readings = reading::gather(&notes)?;
    if readings.is_empty() {
        return Ok(None);
    }
    let subject = Subject {
        catalogue,
        object,
        detail,
        sources,
        notes,
        readings,
    };
    let mut xml = Xml::new();
    let written = document(&mut xml, &subject);
    let (xml, findings) = xml.finish();
    if let Err(error) = written {
        return Err(one(unsayable(
            subject.in_detail(&[]),
            &format!("the edition could not be written: {error}"),
            "try again; if it stays so, report it with this text",
        )));
    }
    if !findings.is_empty() {
        return Err(findings);
    }
    Ok(Some(Edition {
        detail: detail.id.clone(),
        xml,
    }))
}

/// Namespace of TEI.
const TEI: &str = "http://www.tei-c.org/ns/1.0";

fn document(xml: &mut Xml, subject: &Subject<'_>) -> std::io::Result<()> {
    let first = subject.langs().first().map_or("und", Lang::as_str);
    let root = [("xmlns", TEI), ("xml:lang", first)];
    xml.declaration()?;
    xml.block("TEI", &root, |xml| {
        header::write(xml, subject)?;
        body::write(xml, subject)
    })?;
    xml.end()
}

fn unsayable(place: Place, what: &str, remedy: &str) -> Finding {
    Finding {
        severity: Severity::Error,
        rule: "not-in-tei",
        place,
        what: what.to_owned(),
        remedy: remedy.to_owned(),
    }
}

fn one(finding: Finding) -> Findings {
    let mut findings = Findings::none();
    findings.push(finding);
    findings
}

/// The tree of an inscription, or what is wrong with its signs.
fn tree(note: &Note, inscription: &Inscription) -> Result<Tree, Findings> {
    let signs = &inscription.signs;
    parse(&signs.text).map_err(|fault| {
        one(unsayable(
            note.source.place(signs.span.clone()),
            &format!("column {} of the signs: {}", fault.column, fault.what),
            &fault.remedy,
        ))
    })
}
