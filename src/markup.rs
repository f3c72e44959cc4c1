//! XML written element by element, indented, for documents whose words stand alone in their elements.

use quick_xml::escape::escape;

/// Name and value.
pub(crate) type Attribute<'a> = (&'a str, &'a str);

/// A document that is being written.
pub(crate) struct Markup {
    out: String,
    open: Vec<&'static str>,
    /// The first character that no XML document may hold.
    unsayable: Option<char>,
}

impl Markup {
    /// A document of XML 1.0 in UTF-8.
    pub(crate) fn new() -> Self {
        Self {
            out: "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n".to_owned(),
            open: Vec::new(),
            unsayable: None,
        }
    }

    /// An element with elements in it.
    pub(crate) fn open(&mut self, name: &'static str, attributes: &[Attribute<'_>]) {
        self.tag(name, attributes, ">\n");
        self.open.push(name);
    }

    /// Closes the one opened last.
    pub(crate) fn close(&mut self) {
        if let Some(name) = self.open.pop() {
            self.indent();
            self.out.push_str(&format!("</{name}>\n"));
        }
    }

    /// An element with elements in it, which `inside` writes.
    pub(crate) fn within(
        &mut self,
        name: &'static str,
        attributes: &[Attribute<'_>],
        inside: impl FnOnce(&mut Self),
    ) {
        self.open(name, attributes);
        inside(self);
        self.close();
    }

    /// An element with words alone.
    pub(crate) fn words(&mut self, name: &str, attributes: &[Attribute<'_>], text: &str) {
        self.tag(name, attributes, ">");
        self.judge(text);
        self.out.push_str(&escape(text));
        self.out.push_str(&format!("</{name}>\n"));
    }

    /// An element with nothing in it.
    pub(crate) fn empty(&mut self, name: &str, attributes: &[Attribute<'_>]) {
        self.tag(name, attributes, "/>\n");
    }

    /// The document, or a character that cannot stand in it.
    pub(crate) fn finish(mut self) -> Result<String, char> {
        while !self.open.is_empty() {
            self.close();
        }
        self.unsayable.map_or(Ok(self.out), Err)
    }

    fn tag(&mut self, name: &str, attributes: &[Attribute<'_>], end: &str) {
        self.indent();
        self.out.push('<');
        self.out.push_str(name);
        for (key, value) in attributes {
            self.judge(value);
            self.out.push_str(&format!(" {key}=\"{}\"", escape(*value)));
        }
        self.out.push_str(end);
    }

    fn indent(&mut self) {
        self.out.push_str(&"  ".repeat(self.open.len()));
    }

    /// `Char` of XML 1.0, fifth edition, production 2; a carriage return would be read back as a new
    /// line.
    fn judge(&mut self, text: &str) {
        let may = |c: char| matches!(c, '\t' | '\n' | '\u{20}'..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..='\u{10ffff}');
        self.unsayable = self.unsayable.or(text.chars().find(|c| !may(*c)));
    }
}
