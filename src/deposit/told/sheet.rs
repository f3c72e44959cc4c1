//! A sheet of plain text: lines of at most seventy-two signs, whatever is written on it.

use crate::record::words::Block;
use crate::site::page::{Fact, KnownBy};
use unicode_normalization::char::is_combining_mark;

/// Signs in a line. Every terminal, typewriter and printer holds so many.
pub(super) const WIDTH: usize = 72;

/// The sheet.
#[derive(Debug, Default)]
pub(super) struct Sheet {
    out: String,
    /// What pages say where the whole of it is told elsewhere; on paper that leads nowhere.
    unsaid: String,
}

impl Sheet {
    /// Where pages lead on with these words, nothing is said.
    pub(super) fn without(unsaid: &str) -> Self {
        Self {
            out: String::new(),
            unsaid: unsaid.to_owned(),
        }
    }

    pub(super) fn title(&mut self, text: &str) {
        self.ruled(text, '=');
    }

    pub(super) fn heading(&mut self, text: &str) {
        self.blank();
        self.ruled(text, '-');
    }

    fn ruled(&mut self, text: &str, rule: char) {
        self.blank();
        let lines = wrapped(text, WIDTH, WIDTH);
        let longest = lines.iter().map(|l| signs(l)).max().unwrap_or(0);
        for line in lines {
            self.line(&line);
        }
        self.line(&rule.to_string().repeat(longest));
    }

    /// A heading within a section.
    pub(super) fn under(&mut self, text: &str) {
        self.blank();
        self.wrap("", "", text);
    }

    pub(super) fn paragraph(&mut self, text: &str) {
        if !text.trim().is_empty() {
            self.blank();
            self.wrap("", "", text);
        }
    }

    /// An entry of a list.
    pub(super) fn item(&mut self, text: &str) {
        self.wrap("  - ", "    ", text);
    }

    /// A term with what is said of it, and how that is known.
    pub(super) fn fact(&mut self, term: &str, value: &str, evidence: Option<&str>) {
        self.wrap("  ", "      ", &format!("{term}: {value}"));
        if let Some(evidence) = evidence.filter(|e| *e != self.unsaid) {
            self.wrap("      ", "      ", &format!("[{evidence}]"));
        }
    }

    pub(super) fn facts(&mut self, facts: &[Fact]) {
        if !facts.is_empty() {
            self.blank();
        }
        for fact in facts {
            self.fact(&fact.term, &fact.value, known(fact.evidence.as_ref()));
        }
    }

    /// Lines that stay as they are.
    pub(super) fn drawing(&mut self, text: &str) {
        self.blank();
        for line in text.trim_matches('\n').lines() {
            self.line(line.trim_end());
        }
    }

    /// The words of a note.
    pub(super) fn note(&mut self, blocks: &[Block]) {
        let mut listing = false;
        for block in blocks {
            let begins =
                matches!(block, Block::Marked { mark, .. } if !listing || mark.starts_with('['));
            if begins {
                self.blank();
            }
            listing = matches!(block, Block::Marked { .. });
            match block {
                Block::Heading(text) => self.under(text),
                Block::Paragraph(text) => self.paragraph(text),
                Block::Verse(text) => {
                    for line in text.lines() {
                        self.wrap("    ", "      ", line);
                    }
                }
                Block::Marked { depth, mark, text } => {
                    let indent = "  ".repeat(depth + 1);
                    let first = format!("{indent}{mark} ");
                    let rest = " ".repeat(signs(&first));
                    self.wrap(&first, &rest, text);
                }
            }
        }
    }

    /// Leaves a line free, once.
    pub(super) fn blank(&mut self) {
        if !self.out.is_empty() && !self.out.ends_with("\n\n") {
            self.out.push('\n');
        }
    }

    fn wrap(&mut self, first: &str, rest: &str, text: &str) {
        let mut lead = first;
        for paragraph in text.trim().split('\n') {
            for line in wrapped(paragraph, WIDTH - signs(lead), WIDTH - signs(rest)) {
                let whole = format!("{lead}{line}");
                self.line(&whole);
                lead = rest;
            }
        }
    }

    fn line(&mut self, line: &str) {
        // A space that must not be broken at is an ordinary one once the lines are set; a reader may
        // have no other.
        self.out.extend(line.trim_end().chars().map(|c| match c {
            '\u{a0}' | '\u{202f}' => ' ',
            c => c,
        }));
        self.out.push('\n');
    }

    pub(super) fn finish(self) -> Vec<u8> {
        let mut text = self.out;
        while text.ends_with("\n\n") {
            text.pop();
        }
        text.into_bytes()
    }
}

/// How something is known, in words.
pub(super) fn known(by: Option<&KnownBy>) -> Option<&str> {
    by.map(|known| known.text.as_str())
}

/// Signs that take a place of their own.
fn signs(text: &str) -> usize {
    text.chars().filter(|c| !is_combining_mark(*c)).count()
}

/// Lines of at most so many signs, broken at plain blanks. A word that is longer has a line of its own.
fn wrapped(text: &str, first: usize, rest: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut room = first;
    for word in text.split([' ', '\t']).filter(|w| !w.is_empty()) {
        if !line.is_empty() && signs(&line) + 1 + signs(word) > room {
            lines.push(std::mem::take(&mut line));
            room = rest;
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_short_and_lose_no_word() {
        let mut sheet = Sheet::default();
        let words = "The mortar lay in the store for ninety years, 12\u{a0}345\u{a0}mm away from its pestle. ";
        sheet.title("The mortar");
        sheet.paragraph(&words.repeat(3));
        sheet.item(&words.repeat(2));
        sheet.fact("Size", &words.repeat(2), Some("Measured"));
        sheet.note(&[Block::Marked {
            depth: 1,
            mark: "2.".into(),
            text: words.repeat(2),
        }]);
        let text = String::from_utf8(sheet.finish()).unwrap();
        assert!(text.lines().all(|l| signs(l) <= WIDTH), "{text}");
        assert_eq!(text.matches("ninety").count(), 9);
        assert!(
            text.contains("12 345 mm") && text.contains("\n      [Measured]\n"),
            "{text}"
        );
        assert!(text.ends_with("pestle.\n"));
    }
}
