//! The inscriptions of a note: three fenced blocks each.

use super::note::{Fence, Note, fence, parser};
use crate::record::Lang;
use pulldown_cmark::{CodeBlockKind, Event, Tag, TagEnd};
use std::ops::Range;

/// The text of one fenced block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wording {
    /// Its text, without blanks around it.
    pub text: String,
    /// Its language; the note's where the block names none.
    pub lang: Lang,
    /// Bytes of the file.
    pub span: Range<usize>,
}

/// One inscription.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Inscription {
    /// As it is cut, in Leiden signs.
    pub signs: Wording,
    /// In whole words.
    pub expanded: Wording,
    /// What it means.
    pub translation: Wording,
}

impl Note {
    /// Its inscriptions, in order. One that lacks a block is left out; reading has told of it.
    pub fn inscriptions(&self) -> Vec<Inscription> {
        let mut found = Vec::new();
        let mut waiting: Vec<Wording> = Vec::new();
        for (kind, wording) in self.fenced() {
            if kind == Fence::Leiden {
                waiting.clear();
            }
            waiting.push(wording);
            if kind == Fence::Translation
                && let Ok([signs, expanded, translation]) =
                    <[Wording; 3]>::try_from(std::mem::take(&mut waiting))
            {
                found.push(Inscription {
                    signs,
                    expanded,
                    translation,
                });
            }
        }
        found
    }

    fn fenced(&self) -> Vec<(Fence, Wording)> {
        let mut found = Vec::new();
        let mut open: Option<(Fence, Wording)> = None;
        for (event, span) in parser(&self.source.text).into_offset_iter() {
            match event {
                Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(info))) => {
                    open = fence(&info).map(|(kind, lang)| {
                        let lang = lang.and_then(|tag| tag.parse().ok());
                        let lang = lang.unwrap_or_else(|| self.lang.clone());
                        let text = String::new();
                        (kind, Wording { text, lang, span })
                    });
                }
                Event::Text(text) => {
                    if let Some((_, wording)) = &mut open {
                        wording.text.push_str(&text);
                    }
                }
                Event::End(TagEnd::CodeBlock) => {
                    if let Some((kind, mut wording)) = open.take() {
                        wording.text = wording.text.trim().to_owned();
                        found.push((kind, wording));
                    }
                }
                _ => {}
            }
        }
        found
    }
}
