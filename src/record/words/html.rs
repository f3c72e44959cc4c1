//! Note → HTML, once the addresses of links and pictures are known.

use super::leiden::{self, SpokenWords};
use super::note::{Fence, LinkTarget, Note, fence, parser};
use super::picture::{ResolvedPicture, picture_html};
use super::quotes::Quotes;
use crate::record::{Dir, Lang};
use pulldown_cmark::{CodeBlockKind, Event, HeadingLevel, Tag, TagEnd, html};
use std::fmt;

/// Which part of a note; its title is never included.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Passage {
    /// The first paragraph.
    Lead,
    /// All after it.
    Rest,
    /// Both.
    Whole,
}

/// Finds addresses for the page on which the words will stand.
pub trait Resolve {
    /// Address of a link; empty where its words are to stand alone; `None` when there is no such
    /// thing.
    fn link(&self, target: &LinkTarget) -> Option<String>;
    /// A picture that stands beside the note; `None` when there is none of that name.
    fn picture(&self, file: &str) -> Option<ResolvedPicture>;
    /// Whether a picture of that name is not to be shown.
    fn left_out(&self, _file: &str) -> bool {
        false
    }
}

/// A link or picture that leads nowhere; the survey reports these before anything is rendered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unresolved(pub String);

impl fmt::Display for Unresolved {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "‘{}’ leads nowhere", self.0)
    }
}

impl std::error::Error for Unresolved {}

/// Escapes text for an element or a quoted attribute.
pub(super) fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            _ => out.push(c),
        }
    }
    out
}

/// A passage of a note as HTML; `##` becomes a heading of level `base_heading`.
///
/// # Errors
/// A link or picture that `resolve` does not know.
pub fn to_html(
    note: &Note,
    passage: Passage,
    base_heading: u8,
    resolve: &dyn Resolve,
    spoken: &SpokenWords,
) -> Result<String, Unresolved> {
    let events: Vec<Event<'_>> = parser(&note.source.text).collect();
    let mut writer = Writer {
        note,
        passage,
        base_heading,
        resolve,
        spoken,
        quotes: Quotes::of(&note.lang),
        links: Vec::new(),
        footnotes: Vec::new(),
        out: Vec::new(),
    };
    for block in chosen(&events, passage) {
        writer.block(block)?;
    }
    let mut text = String::new();
    html::push_html(&mut text, writer.out.into_iter());
    Ok(text)
}

/// The blocks of a passage: each a run of events at the top level.
fn chosen<'a, 'e>(events: &'a [Event<'e>], passage: Passage) -> Vec<&'a [Event<'e>]> {
    let mut blocks = Vec::new();
    let (mut depth, mut start) = (0usize, 0);
    for (i, event) in events.iter().enumerate() {
        match event {
            Event::Start(_) => depth += 1,
            Event::End(_) => depth = depth.saturating_sub(1),
            _ => {}
        }
        if depth == 0 {
            blocks.push(&events[start..=i]);
            start = i + 1;
        }
    }
    let titled = matches!(
        blocks.first(),
        Some([
            Event::Start(Tag::Heading {
                level: HeadingLevel::H1,
                ..
            }),
            ..
        ])
    );
    let body = &blocks[usize::from(titled)..];
    let has_lead = matches!(body.first(), Some([Event::Start(Tag::Paragraph), ..]));
    let split = usize::from(has_lead);
    match passage {
        Passage::Lead => body[..split].to_vec(),
        Passage::Rest => body[split..].to_vec(),
        Passage::Whole => body.to_vec(),
    }
}

/// What a link's end must close.
enum Open {
    Anchor,
    Span,
    Nothing,
}

struct Writer<'a, 'e> {
    note: &'a Note,
    passage: Passage,
    base_heading: u8,
    resolve: &'a dyn Resolve,
    spoken: &'a SpokenWords,
    quotes: Quotes,
    links: Vec<Open>,
    /// Names of footnotes in the order of their first mention.
    footnotes: Vec<String>,
    out: Vec<Event<'e>>,
}

impl<'e> Writer<'_, 'e> {
    fn markup(&mut self, text: impl Into<String>) {
        self.out.push(Event::Html(text.into().into()));
    }

    fn block(&mut self, block: &[Event<'e>]) -> Result<(), Unresolved> {
        // A picture alone in its paragraph is a figure of its own.
        if let [
            Event::Start(Tag::Paragraph),
            Event::Start(Tag::Image { dest_url, .. }),
            ..,
            Event::End(TagEnd::Image),
            Event::End(TagEnd::Paragraph),
        ] = block
            && block
                .iter()
                .filter(|e| matches!(e, Event::Start(Tag::Image { .. })))
                .count()
                == 1
        {
            if !self.resolve.left_out(dest_url) {
                let figure = self.figure(dest_url)?;
                self.markup(figure);
            }
            return Ok(());
        }
        if let [
            Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(info))),
            inner @ ..,
            Event::End(TagEnd::CodeBlock),
        ] = block
            && let Some((kind, lang)) = fence(info)
        {
            let text: String = inner
                .iter()
                .filter_map(|e| {
                    if let Event::Text(t) = e {
                        Some(&**t)
                    } else {
                        None
                    }
                })
                .collect();
            let part = self.inscription(kind, lang, text.trim());
            self.markup(part);
            return Ok(());
        }
        let mut skip_alt = 0usize;
        for event in block {
            match event {
                Event::Start(Tag::Image { dest_url, .. }) => {
                    skip_alt += 1;
                    if self.resolve.left_out(dest_url) {
                        continue;
                    }
                    let picture = self.picture(dest_url)?;
                    let inline = picture_html(&picture);
                    self.markup(inline);
                }
                Event::End(TagEnd::Image) => skip_alt = skip_alt.saturating_sub(1),
                _ if skip_alt > 0 => {}
                event => self.event(event)?,
            }
        }
        Ok(())
    }

    fn event(&mut self, event: &Event<'e>) -> Result<(), Unresolved> {
        match event {
            Event::Html(text) | Event::InlineHtml(text) => self.out.push(Event::Text(text.clone())),
            Event::Text(text) => {
                let set = self.quotes.set(text);
                self.out.push(Event::Text(set.into()));
            }
            Event::Start(Tag::Link { dest_url, .. }) => {
                let target = LinkTarget::of(dest_url);
                self.open_link(&target, dest_url)?;
            }
            Event::End(TagEnd::Link) => match self.links.pop() {
                Some(Open::Anchor) => self.markup("</a>"),
                Some(Open::Span) => self.markup("</span>"),
                Some(Open::Nothing) | None => {}
            },
            Event::Start(Tag::Heading { level, .. }) => {
                let level = self.shifted(*level);
                self.out.push(Event::Start(Tag::Heading {
                    level,
                    id: None,
                    classes: vec![],
                    attrs: vec![],
                }));
            }
            Event::End(TagEnd::Heading(level)) => {
                let level = self.shifted(*level);
                self.out.push(Event::End(TagEnd::Heading(level)));
            }
            // Alignment would become a style attribute, which the site's policy forbids.
            Event::Start(Tag::Table(columns)) => {
                let plain = vec![pulldown_cmark::Alignment::None; columns.len()];
                self.out.push(Event::Start(Tag::Table(plain)));
            }
            Event::FootnoteReference(name) => self.footnote_mark(name),
            Event::Start(Tag::FootnoteDefinition(name)) => {
                let (number, place) = self.footnote(name);
                self.markup(format!("<div class=\"footnote\" id=\"{place}\"><span class=\"footnote-number\">{number}</span> "));
            }
            Event::End(TagEnd::FootnoteDefinition) => self.markup("</div>"),
            // Blocks without info string may be code; anything fenced inside a list is shown as such.
            other => self.out.push(other.clone()),
        }
        Ok(())
    }

    fn shifted(&self, level: HeadingLevel) -> HeadingLevel {
        let wanted = usize::from(self.base_heading) + (level as usize).saturating_sub(2);
        HeadingLevel::try_from(wanted.clamp(1, 6)).unwrap_or(HeadingLevel::H6)
    }

    fn open_link(&mut self, target: &LinkTarget, written: &str) -> Result<(), Unresolved> {
        if let LinkTarget::Lang(tag) = target {
            return match tag.parse::<Lang>() {
                Ok(lang) => {
                    let attributes = lang_attributes(&lang, &self.note.lang);
                    self.markup(format!("<span{attributes}>"));
                    self.links.push(Open::Span);
                    Ok(())
                }
                Err(_) => Err(Unresolved(written.to_owned())),
            };
        }
        let address = self
            .resolve
            .link(target)
            .ok_or_else(|| Unresolved(written.to_owned()))?;
        let outside = if matches!(target, LinkTarget::Web(_)) {
            " rel=\"external noopener\""
        } else {
            ""
        };
        if address.is_empty() {
            self.links.push(Open::Nothing);
        } else {
            self.markup(format!("<a href=\"{}\"{outside}>", escape(&address)));
            self.links.push(Open::Anchor);
        }
        Ok(())
    }

    /// Number of a footnote, and a place of its own even where many notes share a page.
    fn footnote(&mut self, name: &str) -> (usize, String) {
        let index = match self.footnotes.iter().position(|known| known == name) {
            Some(index) => index,
            None => {
                self.footnotes.push(name.to_owned());
                self.footnotes.len() - 1
            }
        };
        // No two names of files come to the same: what may not stand in a fragment is told by its number.
        let mut place = "note-".to_owned();
        for c in self.note.source.name.chars() {
            match c {
                '/' | '.' | '-' => place.push(c),
                c if c.is_ascii_alphanumeric() => place.push(c),
                c => place.push_str(&format!("_{:x}_", u32::from(c))),
            }
        }
        (index + 1, format!("{place}-{}", index + 1))
    }

    fn footnote_mark(&mut self, name: &str) {
        // The lead may stand alone on a page, without the notes below it.
        if self.passage == Passage::Lead {
            return;
        }
        let (number, place) = self.footnote(name);
        self.markup(format!(
            "<sup class=\"footnote-mark\"><a href=\"#{place}\">{number}</a></sup>"
        ));
    }

    fn picture(&self, file: &str) -> Result<ResolvedPicture, Unresolved> {
        self.resolve
            .picture(file)
            .ok_or_else(|| Unresolved(file.to_owned()))
    }

    fn figure(&self, file: &str) -> Result<String, Unresolved> {
        let picture = self.picture(file)?;
        let caption = picture
            .caption
            .as_deref()
            .map(|c| format!("{} ", escape(c)))
            .unwrap_or_default();
        Ok(format!(
            "<figure class=\"photograph{}\">{}<figcaption>{caption}<small class=\"credit\">{}</small></figcaption></figure>\n",
            if picture.printed { "" } else { " on-screen" },
            picture_html(&picture),
            escape(&picture.credit)
        ))
    }

    /// One of the three parts of an inscription; the first opens the figure, the last closes it.
    fn inscription(&self, kind: Fence, lang: Option<&str>, text: &str) -> String {
        let lang = lang
            .and_then(|tag| tag.parse::<Lang>().ok())
            .unwrap_or_else(|| self.note.lang.clone());
        let attributes = lang_attributes(&lang, &self.note.lang);
        let heading = |key: &str| {
            format!(
                "<p class=\"inscription-part\">{}</p>",
                escape(self.spoken.get(key))
            )
        };
        let lines = escape(text).replace('\n', "<br>");
        match kind {
            Fence::Leiden => {
                let reading = match leiden::parse(text) {
                    Ok(tree) => {
                        tree.diplomatic_html(&tree.spoken(self.spoken), self.spoken.lang().as_str())
                    }
                    // Reported by the survey, which stands before publication.
                    Err(_) => lines,
                };
                format!(
                    "<div class=\"inscription\" role=\"group\">{}<p class=\"diplomatic\"{attributes}>{reading}</p>",
                    heading("inscription_as_cut")
                )
            }
            Fence::Expanded => {
                format!(
                    "{}<p class=\"expanded\"{attributes}>{lines}</p>",
                    heading("inscription_expanded")
                )
            }
            Fence::Translation => {
                format!(
                    "{}<p class=\"translation\"{attributes}>{lines}</p></div>\n",
                    heading("inscription_translation")
                )
            }
        }
    }
}

/// ` lang="la"`, and ` dir` where the direction changes; nothing in the note's own language.
fn lang_attributes(lang: &Lang, around: &Lang) -> String {
    if lang == around {
        return String::new();
    }
    let dir = match (lang.dir(), around.dir()) {
        (a, b) if a == b => "",
        (Dir::Rtl, _) => " dir=\"rtl\"",
        (Dir::Ltr, _) => " dir=\"ltr\"",
    };
    format!(" lang=\"{lang}\"{dir}")
}
