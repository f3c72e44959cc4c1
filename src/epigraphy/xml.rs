//! Elements one after the other. Indented where blanks mean nothing; words are never broken.

use super::unsayable;
use crate::record::{Findings, Place, SourceFile};
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};
use std::io::Result;

/// Name and value.
pub(super) type Attribute<'a> = (&'a str, &'a str);

/// A document that is being written.
pub(super) struct Xml {
    writer: Writer<Vec<u8>>,
    depth: usize,
    /// Where what is being written was read.
    place: Place,
    findings: Findings,
}

impl Xml {
    pub(super) fn new() -> Self {
        Self {
            writer: Writer::new(Vec::new()),
            depth: 0,
            place: SourceFile::whole("site.toml"),
            findings: Findings::none(),
        }
    }

    /// What follows was read there.
    pub(super) fn from(&mut self, place: Place) {
        self.place = place;
    }

    pub(super) fn declaration(&mut self) -> Result<()> {
        let declaration = BytesDecl::new("1.0", Some("UTF-8"), None);
        self.writer.write_event(Event::Decl(declaration))
    }

    /// The end of the file.
    pub(super) fn end(&mut self) -> Result<()> {
        self.raw("\n")
    }

    /// The document, and what could not be said in it.
    pub(super) fn finish(self) -> (String, Findings) {
        let bytes = self.writer.into_inner();
        (String::from_utf8_lossy(&bytes).into_owned(), self.findings)
    }

    /// An element on lines of its own, with elements in it that have lines of their own.
    pub(super) fn block(
        &mut self,
        name: &str,
        attributes: &[Attribute<'_>],
        inside: impl FnOnce(&mut Self) -> Result<()>,
    ) -> Result<()> {
        self.new_line()?;
        self.start(name, attributes)?;
        self.depth += 1;
        inside(self)?;
        self.depth -= 1;
        self.new_line()?;
        self.close(name)
    }

    /// An element on a line of its own, whose blanks are meant.
    pub(super) fn line(
        &mut self,
        name: &str,
        attributes: &[Attribute<'_>],
        inside: impl FnOnce(&mut Self) -> Result<()>,
    ) -> Result<()> {
        self.new_line()?;
        self.inline(name, attributes, inside)
    }

    /// Text alone in an element on a line of its own.
    pub(super) fn words(
        &mut self,
        name: &str,
        attributes: &[Attribute<'_>],
        text: &str,
    ) -> Result<()> {
        self.line(name, attributes, |xml| xml.text(text))
    }

    /// An element among words.
    pub(super) fn inline(
        &mut self,
        name: &str,
        attributes: &[Attribute<'_>],
        inside: impl FnOnce(&mut Self) -> Result<()>,
    ) -> Result<()> {
        self.start(name, attributes)?;
        inside(self)?;
        self.close(name)
    }

    /// An element among words that holds nothing.
    pub(super) fn empty(&mut self, name: &str, attributes: &[Attribute<'_>]) -> Result<()> {
        let element = self.element(name, attributes);
        self.writer.write_event(Event::Empty(element))
    }

    /// The same on a line of its own.
    pub(super) fn empty_line(&mut self, name: &str, attributes: &[Attribute<'_>]) -> Result<()> {
        self.new_line()?;
        self.empty(name, attributes)
    }

    pub(super) fn text(&mut self, text: &str) -> Result<()> {
        self.judge(text);
        self.writer.write_event(Event::Text(BytesText::new(text)))
    }

    fn raw(&mut self, blanks: &str) -> Result<()> {
        self.writer.write_event(Event::Text(BytesText::new(blanks)))
    }

    fn new_line(&mut self) -> Result<()> {
        let blanks = format!("\n{}", "  ".repeat(self.depth));
        self.raw(&blanks)
    }

    fn element<'e>(&mut self, name: &'e str, attributes: &[Attribute<'_>]) -> BytesStart<'e> {
        for (_, value) in attributes {
            self.judge(value);
        }
        BytesStart::new(name).with_attributes(attributes.iter().copied())
    }

    fn start(&mut self, name: &str, attributes: &[Attribute<'_>]) -> Result<()> {
        let element = self.element(name, attributes);
        self.writer.write_event(Event::Start(element))
    }

    fn close(&mut self, name: &str) -> Result<()> {
        self.writer.write_event(Event::End(BytesEnd::new(name)))
    }

    /// Tells of characters that no XML document may hold, however they are written (XML 1.0, 2.2).
    fn judge(&mut self, text: &str) {
        if let Some(bad) = text.chars().find(|c| !is_char(*c)) {
            let what = format!(
                "the character U+{:04X} cannot stand in an XML document",
                bad as u32
            );
            let remedy =
                "take it away; it is seldom seen on a screen, and often comes with copied text";
            self.findings
                .push(unsayable(self.place.clone(), &what, remedy));
        }
    }
}

/// `Char` of XML 1.0, fifth edition, production 2. A carriage return would be read back as a new
/// line, so it is no character of ours.
fn is_char(c: char) -> bool {
    matches!(c, '\t' | '\n' | '\u{20}'..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..='\u{10ffff}')
}
