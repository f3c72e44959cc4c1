//! A sentence with blanks: `"‘{1}’ is not a time."`.

use std::borrow::Cow;

/// Words and blanks by turns: a text, a blank, a text …; it begins and ends with a text, which may be empty.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Sentence {
    first: String,
    rest: Vec<(String, String)>,
}

/// What stands in a blank of a text.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Blank<'t> {
    /// The name of the blank.
    pub(super) name: String,
    /// What stands there.
    pub(super) text: &'t str,
    /// Whether it stands between ‘ and ’.
    pub(super) quoted: bool,
}

impl Sentence {
    /// Takes a sentence apart. `{name}` is a blank, `{{` and `}}` are braces; a brace that is not closed is one, too.
    pub(super) fn of(written: &str) -> Self {
        let mut texts = vec![String::new()];
        let mut names = Vec::new();
        let mut rest = written;
        while let Some(at) = rest.find(['{', '}']) {
            let (before, from) = rest.split_at(at);
            let text = texts.len() - 1;
            texts[text].push_str(before);
            let brace = &from[..1];
            if from[1..].starts_with(brace) {
                texts[text].push_str(brace);
                rest = &from[2..];
            } else if let Some((name, after)) = from[1..].split_once('}').filter(|_| brace == "{") {
                names.push(name.to_owned());
                texts.push(String::new());
                rest = after;
            } else {
                texts[text].push_str(brace);
                rest = &from[1..];
            }
        }
        let last = texts.len() - 1;
        texts[last].push_str(rest);
        let mut texts = texts.into_iter();
        Self {
            first: texts.next().unwrap_or_default(),
            rest: names.into_iter().zip(texts).collect(),
        }
    }

    /// What stands in the blanks of a text that is made of this sentence, or `None` if it is not.
    ///
    /// Every blank is as short as it can be, the last as long as it must be. In a sentence of one line no blank holds
    /// another line, nor another sentence. A name that comes twice stands for the same.
    pub(super) fn blanks_in<'t>(&self, text: &'t str) -> Option<Vec<Blank<'t>>> {
        let has_lines = self.has_lines();
        if text.contains('\n') && !has_lines {
            return None;
        }
        let mut left = text.strip_prefix(self.first.as_str())?;
        let mut before = self.first.as_str();
        let mut blanks: Vec<Blank<'t>> = Vec::with_capacity(self.rest.len());
        for (index, (name, after)) in self.rest.iter().enumerate() {
            let end = if index + 1 == self.rest.len() {
                left.strip_suffix(after.as_str())?.len()
            } else {
                left.find(after.as_str())?
            };
            let text = &left[..end];
            if blanks.iter().any(|b| &b.name == name && b.text != text) {
                return None;
            }
            let quoted = before.ends_with('‘') && after.starts_with('’');
            if text.contains(". ") && !quoted && !has_lines {
                return None;
            }
            blanks.push(Blank {
                name: name.clone(),
                text,
                quoted,
            });
            left = &left[end + after.len()..];
            before = after;
        }
        left.is_empty().then_some(blanks)
    }

    /// The sentence with its blanks filled.
    pub(super) fn filled<'t>(&self, fill: impl Fn(&str) -> Cow<'t, str>) -> String {
        let mut told = self.first.clone();
        for (name, after) in &self.rest {
            told.push_str(&fill(name));
            told.push_str(after);
        }
        told
    }

    fn has_lines(&self) -> bool {
        self.first.contains('\n') || self.rest.iter().any(|(_, text)| text.contains('\n'))
    }

    /// How many letters are its own.
    pub(super) fn letters(&self) -> usize {
        let texts = std::iter::once(&self.first).chain(self.rest.iter().map(|(_, text)| text));
        texts
            .flat_map(|text| text.chars())
            .filter(|c| c.is_alphabetic())
            .count()
    }

    /// The names of its blanks.
    #[cfg(test)]
    pub(super) fn names(&self) -> std::collections::BTreeSet<&str> {
        self.rest.iter().map(|(name, _)| name.as_str()).collect()
    }
}
