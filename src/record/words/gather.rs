//! Walks the Markdown of a note once; gathers what it holds, and its faults with their places.

use super::leiden;
use super::note::{Fence, Heading, LinkTarget, NoteLink, NotePicture, fence};
use crate::record::{Finding, Findings, Lang, Severity, SourceFile};
use pulldown_cmark::{CodeBlockKind, Event, HeadingLevel, Tag, TagEnd};
use std::ops::Range;

/// The state of the walk.
pub(super) struct Reading<'a> {
    source: &'a SourceFile,
    pub(super) findings: Findings,
    pub(super) headings: Vec<Heading>,
    pub(super) links: Vec<NoteLink>,
    pub(super) pictures: Vec<NotePicture>,
    pub(super) blocks: Vec<String>,
    /// Words gathered since the last block began.
    words: String,
    heading: Option<(u8, Range<usize>)>,
    link: Option<(LinkTarget, usize, Range<usize>)>,
    picture: Option<(String, usize, Range<usize>)>,
    code: Option<Code>,
    last_fence: Option<(Fence, Range<usize>)>,
    started: bool,
}

struct Code {
    fence: Option<Fence>,
    text: String,
    /// Where its text begins in the file.
    start: Option<usize>,
    span: Range<usize>,
}

impl<'a> Reading<'a> {
    pub(super) fn new(source: &'a SourceFile) -> Self {
        Self {
            source,
            findings: Findings::none(),
            headings: Vec::new(),
            links: Vec::new(),
            pictures: Vec::new(),
            blocks: Vec::new(),
            words: String::new(),
            heading: None,
            link: None,
            picture: None,
            code: None,
            last_fence: None,
            started: false,
        }
    }

    fn find(
        &mut self,
        severity: Severity,
        rule: &'static str,
        span: Range<usize>,
        what: &str,
        remedy: &str,
    ) {
        self.findings.push(Finding {
            severity,
            rule,
            place: self.source.place(span),
            what: what.to_owned(),
            remedy: remedy.to_owned(),
        });
    }

    fn error(&mut self, rule: &'static str, span: Range<usize>, what: &str, remedy: &str) {
        self.find(Severity::Error, rule, span, what, remedy);
    }

    pub(super) fn take(&mut self, event: Event<'_>, span: Range<usize>) {
        match event {
            Event::Start(tag) => self.start(tag, span),
            Event::End(tag) => self.end(tag),
            Event::Text(text) => match &mut self.code {
                Some(code) => {
                    code.start.get_or_insert(span.start);
                    code.text.push_str(&text);
                }
                None => self.words.push_str(&text),
            },
            Event::Code(text) => self.words.push_str(&text),
            Event::SoftBreak | Event::HardBreak => self.words.push(' '),
            Event::Html(text) | Event::InlineHtml(text) => {
                self.words.push_str(&text);
                self.find(
                    Severity::Advice,
                    "raw-html",
                    span,
                    "HTML in a note is shown as it is written, not obeyed",
                    "write it in Markdown, or leave it if it should be read as it stands",
                );
            }
            Event::FootnoteReference(_) if self.blocks.is_empty() && self.headings.len() == 1 => self.find(
                Severity::Advice,
                "footnote-in-lead",
                span,
                "a footnote in the first paragraph is not shown where that paragraph stands alone",
                "move the footnote to a later paragraph",
            ),
            _ => {}
        }
    }

    fn start(&mut self, tag: Tag<'_>, span: Range<usize>) {
        if !self.started
            && !matches!(
                tag,
                Tag::Heading {
                    level: HeadingLevel::H1,
                    ..
                }
            )
        {
            self.error(
                "title-missing",
                span.start..span.start + 1,
                "a note begins with its title as a level-1 heading; this one does not",
                "write ‘# Title’ as the first line",
            );
        }
        self.started = true;
        match tag {
            Tag::Heading { level, .. } => {
                self.words.clear();
                self.heading = Some((level as u8, span));
            }
            Tag::Link { dest_url, .. } => {
                self.link = Some((LinkTarget::of(&dest_url), self.words.len(), span))
            }
            Tag::Image { dest_url, .. } => {
                self.picture = Some((dest_url.into_string(), self.words.len(), span))
            }
            Tag::CodeBlock(kind) => {
                let kind = match &kind {
                    CodeBlockKind::Fenced(info) => fence(info),
                    CodeBlockKind::Indented => None,
                };
                if let Some((_, Some(lang))) = kind
                    && let Err(what) = lang.parse::<Lang>()
                {
                    self.error(
                        "bad-language",
                        span.clone(),
                        &what,
                        "write a language tag, for example ‘leiden la’",
                    );
                }
                self.code = Some(Code {
                    fence: kind.map(|k| k.0),
                    text: String::new(),
                    start: None,
                    span,
                });
            }
            Tag::Paragraph
            | Tag::Item
            | Tag::TableCell
            | Tag::DefinitionListTitle
            | Tag::DefinitionListDefinition => {
                self.close_block();
            }
            _ => {}
        }
    }

    fn end(&mut self, tag: TagEnd) {
        match tag {
            TagEnd::Heading(_) => self.end_heading(),
            TagEnd::Link => {
                if let Some((target, from, span)) = self.link.take() {
                    let text = self.words.get(from..).unwrap_or_default().to_owned();
                    self.links.push(NoteLink { target, text, span });
                }
            }
            TagEnd::Image => {
                if let Some((file, from, span)) = self.picture.take() {
                    let alt = self.words.split_off(from.min(self.words.len()));
                    self.pictures.push(NotePicture { file, alt, span });
                }
            }
            TagEnd::CodeBlock => {
                if let Some(code) = self.code.take() {
                    self.end_code(&code);
                }
            }
            TagEnd::Paragraph
            | TagEnd::Item
            | TagEnd::TableCell
            | TagEnd::DefinitionListTitle
            | TagEnd::DefinitionListDefinition => self.close_block(),
            _ => {}
        }
    }

    fn close_block(&mut self) {
        let words = std::mem::take(&mut self.words);
        if !words.trim().is_empty() {
            self.blocks.push(words.trim().to_owned());
        }
    }

    fn end_heading(&mut self) {
        let Some((level, span)) = self.heading.take() else {
            return;
        };
        let text = std::mem::take(&mut self.words).trim().to_owned();
        if text.is_empty() {
            self.error(
                "heading-empty",
                span.clone(),
                "the heading has no words",
                "write its words, or take it away",
            );
        }
        match self.headings.last().map(|h| h.level) {
            Some(_) if level == 1 => self.error(
                "second-title",
                span.clone(),
                "a note has one level-1 heading, its title; this is another",
                "write ‘## …’ for a section",
            ),
            Some(last) if level > last + 1 => self.error(
                "heading-jump",
                span.clone(),
                &format!("a heading of level {level} follows one of level {last}"),
                &format!(
                    "write ‘{} …’, so that no level is skipped",
                    "#".repeat(usize::from(last) + 1)
                ),
            ),
            _ => {}
        }
        self.headings.push(Heading { level, text, span });
    }

    fn end_code(&mut self, code: &Code) {
        let Some(kind) = code.fence else {
            self.blocks.push(code.text.trim().to_owned());
            return;
        };
        let expected = match kind {
            Fence::Leiden => {
                if let Err(fault) = leiden::parse(code.text.trim_end()) {
                    let start = code.start.unwrap_or(code.span.start);
                    let offset = code
                        .text
                        .char_indices()
                        .nth(fault.column - 1)
                        .map_or(code.text.trim_end().len(), |(i, _)| i);
                    self.error(
                        "leiden",
                        start + offset..start + offset + 1,
                        &fault.what,
                        &fault.remedy,
                    );
                }
                self.unfinished();
                None
            }
            Fence::Expanded => Some(Fence::Leiden),
            Fence::Translation => Some(Fence::Expanded),
        };
        let before = self.last_fence.as_ref().map(|(kind, _)| *kind);
        if expected.is_some() && before != expected {
            self.error(
                "inscription-order",
                code.span.clone(),
                "this block does not follow the one before it in an inscription",
                "write three fenced blocks in this order: leiden, expanded, translation",
            );
        }
        self.last_fence = (kind != Fence::Translation).then(|| (kind, code.span.clone()));
    }

    /// An inscription that began and did not come to its translation.
    fn unfinished(&mut self) {
        if let Some((kind, span)) = self.last_fence.take() {
            let wanted = if kind == Fence::Leiden {
                "expanded and translation"
            } else {
                "translation"
            };
            self.error(
                "inscription-incomplete",
                span,
                &format!("the inscription has no {wanted} block"),
                "write three fenced blocks: leiden, expanded, translation",
            );
        }
    }

    pub(super) fn finish(&mut self) {
        self.close_block();
        self.unfinished();
        if !self.started {
            self.error(
                "title-missing",
                0..0,
                "the note is empty",
                "write ‘# Title’ as the first line, and then its words",
            );
        }
    }
}
