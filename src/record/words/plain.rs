//! Note → plain text, for readers without any program: signs of inscriptions as they are written and
//! as they are spoken, pictures by their words.

use super::leiden::{self, SpokenWords};
use super::note::{Fence, LinkTarget, Note, fence, parser};
use super::quotes::Quotes;
use pulldown_cmark::{CodeBlockKind, Event, HeadingLevel, Tag, TagEnd};

/// A block of plain text. A line feed within it is a line break that was meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Block {
    /// A heading below the title.
    Heading(String),
    /// A paragraph.
    Paragraph(String),
    /// A paragraph with a mark before it: of a list, a footnote, a row of a table.
    Marked {
        /// How deep within other lists, from 0.
        depth: usize,
        /// `-`, `2.`, `[1]`.
        mark: String,
        /// Its words.
        text: String,
    },
    /// Lines that stay as they are.
    Verse(String),
}

/// A note without its title.
pub fn to_text(note: &Note, spoken: &SpokenWords) -> Vec<Block> {
    let mut writer = Writer {
        spoken,
        quotes: Quotes::of(&note.lang),
        out: Vec::new(),
        text: String::new(),
        lists: Vec::new(),
        mark: None,
        fenced: None,
        skipping: false,
        links: Vec::new(),
        footnotes: Vec::new(),
        cells: 0,
        first: true,
    };
    for event in parser(&note.source.text) {
        writer.take(event);
    }
    writer.flush();
    writer.out
}

struct Writer<'a> {
    spoken: &'a SpokenWords,
    quotes: Quotes,
    out: Vec<Block>,
    text: String,
    /// The number of the next item of each open list; `None` for a list without numbers.
    lists: Vec<Option<u64>>,
    /// What stands before the next paragraph.
    mark: Option<String>,
    fenced: Option<Option<Fence>>,
    /// Within the title, which stands elsewhere.
    skipping: bool,
    /// Addresses to be written after the words of open links.
    links: Vec<Option<String>>,
    footnotes: Vec<String>,
    cells: usize,
    first: bool,
}

impl Writer<'_> {
    fn flush(&mut self) {
        let text = std::mem::take(&mut self.text).trim().to_owned();
        let marked = !self.lists.is_empty() || self.mark.is_some();
        let mark = self.mark.take();
        if text.is_empty() {
            self.mark = mark;
            return;
        }
        self.out.push(match marked {
            false => Block::Paragraph(text),
            true => Block::Marked {
                depth: self.lists.len().saturating_sub(1),
                mark: mark.unwrap_or_default(),
                text,
            },
        });
    }

    fn number(&mut self, name: &str) -> usize {
        let known = self.footnotes.iter().position(|f| f == name);
        known.map_or_else(
            || {
                self.footnotes.push(name.to_owned());
                self.footnotes.len()
            },
            |index| index + 1,
        )
    }

    fn take(&mut self, event: Event<'_>) {
        match event {
            Event::Start(tag) => self.start(tag),
            Event::End(tag) => self.end(tag),
            _ if self.skipping => {}
            Event::Text(text) if self.fenced.is_some() => self.text.push_str(&text),
            Event::Text(text) => {
                let set = self.quotes.set(&text);
                self.text.push_str(&set);
            }
            Event::Code(text)
            | Event::Html(text)
            | Event::InlineHtml(text)
            | Event::InlineMath(text)
            | Event::DisplayMath(text) => self.text.push_str(&text),
            Event::SoftBreak => self.text.push(' '),
            Event::HardBreak => self.text.push('\n'),
            Event::FootnoteReference(name) => {
                let number = self.number(&name);
                self.text.push_str(&format!("\u{a0}[{number}]"));
            }
            Event::Rule | Event::TaskListMarker(_) => {}
        }
    }

    fn start(&mut self, tag: Tag<'_>) {
        match tag {
            Tag::Heading { level, .. } => {
                self.flush();
                self.skipping = self.first && level == HeadingLevel::H1;
                self.first = false;
            }
            Tag::Paragraph | Tag::TableHead | Tag::TableRow => {
                self.flush();
                self.first = false;
                self.cells = 0;
            }
            Tag::List(start) => {
                self.flush();
                self.lists.push(start);
            }
            Tag::Item => {
                self.flush();
                self.mark = Some(match self.lists.last_mut() {
                    Some(Some(number)) => {
                        *number += 1;
                        format!("{}.", *number - 1)
                    }
                    _ => "-".to_owned(),
                });
            }
            Tag::FootnoteDefinition(name) => {
                self.flush();
                self.mark = Some(format!("[{}]", self.number(&name)));
            }
            Tag::CodeBlock(kind) => {
                self.flush();
                let sort = match &kind {
                    CodeBlockKind::Fenced(info) => fence(info).map(|(sort, _)| sort),
                    CodeBlockKind::Indented => None,
                };
                self.fenced = Some(sort);
            }
            Tag::TableCell => {
                if self.cells > 0 {
                    self.text.push_str(" | ");
                }
                self.cells += 1;
            }
            Tag::Link { dest_url, .. } => self.links.push(match LinkTarget::of(&dest_url) {
                LinkTarget::Web(address) => Some(address),
                _ => None,
            }),
            Tag::Image { .. } => self.text.push('('),
            _ => {}
        }
    }

    fn end(&mut self, tag: TagEnd) {
        match tag {
            TagEnd::Heading(_) if self.skipping => {
                self.skipping = false;
                self.text.clear();
            }
            TagEnd::Heading(_) => {
                let text = std::mem::take(&mut self.text).trim().to_owned();
                self.out.push(Block::Heading(text));
            }
            TagEnd::List(_) => {
                self.flush();
                self.lists.pop();
                self.mark = None;
            }
            TagEnd::CodeBlock => {
                let text = std::mem::take(&mut self.text).trim().to_owned();
                let sort = self.fenced.take().flatten();
                self.inscription(sort, &text);
            }
            TagEnd::Link => {
                if let Some(Some(address)) = self.links.pop() {
                    self.text.push_str(&format!(" <{address}>"));
                }
            }
            TagEnd::Image => self.text.push(')'),
            TagEnd::Paragraph
            | TagEnd::Item
            | TagEnd::FootnoteDefinition
            | TagEnd::TableHead
            | TagEnd::TableRow
            | TagEnd::DefinitionListTitle
            | TagEnd::DefinitionListDefinition => self.flush(),
            _ => {}
        }
    }

    /// One of the three parts of an inscription, or lines that are something else.
    fn inscription(&mut self, sort: Option<Fence>, text: &str) {
        let heading = match sort {
            None => {
                self.out.push(Block::Verse(text.to_owned()));
                return;
            }
            Some(Fence::Leiden) => "inscription_as_cut",
            Some(Fence::Expanded) => "inscription_expanded",
            Some(Fence::Translation) => "inscription_translation",
        };
        let heading = self.spoken.get(heading).to_owned();
        self.out.push(Block::Paragraph(format!("{heading}:")));
        self.out.push(Block::Verse(text.to_owned()));
        if sort == Some(Fence::Leiden)
            && let Ok(tree) = leiden::parse(text)
        {
            self.out.push(Block::Paragraph(tree.spoken(self.spoken)));
        }
    }
}
