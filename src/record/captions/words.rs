//! The words of a cue (4.2.2): voices, languages, emphasis, small times, and signs that must be
//! written by name.

use super::timing::timestamp;
use super::{Fault, Said};
use crate::record::Lang;
use std::ops::Range;

/// Named signs, all that the specification lists.
const NAMED: [(&str, &str); 6] = [
    ("amp", "&"),
    ("lt", "<"),
    ("gt", ">"),
    ("nbsp", "\u{a0}"),
    ("lrm", "\u{200e}"),
    ("rlm", "\u{200f}"),
];
/// Longest name or number between `&` and `;` that is looked for, bytes.
const LONGEST_NAME: usize = 10;

/// A tag that is open.
struct Open {
    name: String,
    speaker: Option<String>,
    lang: Option<Lang>,
    span: Range<usize>,
    /// Whether words stood before it.
    later: bool,
}

struct Reader<'f> {
    base: usize,
    times: (u64, u64),
    last_time: Option<u64>,
    open: Vec<Open>,
    said: Vec<Said>,
    faults: &'f mut Vec<Fault>,
}

/// Reads the words, which begin at byte `base` of the file and are shown between `times`.
pub(super) fn read(
    text: &str,
    base: usize,
    times: (u64, u64),
    faults: &mut Vec<Fault>,
) -> Vec<Said> {
    let mut reader = Reader {
        base,
        times,
        last_time: None,
        open: Vec::new(),
        said: Vec::new(),
        faults,
    };
    let mut at = 0;
    while let Some(next) = text[at..].find(['<', '&', '\r', '\n']) {
        reader.plain(&text[at..at + next]);
        at += next;
        let rest = &text[at..];
        at += match rest.as_bytes().first() {
            Some(b'<') => reader.tag(rest, at),
            Some(b'&') => reader.sign(rest, at),
            _ => {
                reader.plain("\n");
                if rest.starts_with("\r\n") { 2 } else { 1 }
            }
        };
    }
    reader.plain(&text[at..]);
    reader.finish();
    reader.said
}

impl Reader<'_> {
    fn fault(&mut self, at: Range<usize>, what: String, remedy: &str) {
        let span = self.base + at.start..self.base + at.end;
        self.faults
            .push(Fault::error("captions-markup", span, what, remedy));
    }

    fn plain(&mut self, text: &str) {
        if text.is_empty() {
            return;
        }
        let speaker = self.open.iter().rev().find_map(|o| o.speaker.clone());
        let lang = self.open.iter().rev().find_map(|o| o.lang.clone());
        match self.said.last_mut() {
            Some(last) if last.speaker == speaker && last.lang == lang => last.text.push_str(text),
            _ => self.said.push(Said {
                speaker,
                lang,
                text: text.to_owned(),
            }),
        }
    }

    /// `&amp;`; gives the bytes read.
    fn sign(&mut self, rest: &str, at: usize) -> usize {
        let name = rest[1..]
            .split_once(';')
            .map(|(name, _)| name)
            .filter(|name| name.len() <= LONGEST_NAME);
        let sign = name.and_then(sign_named);
        match (name, sign) {
            (Some(name), Some(sign)) => {
                self.plain(&sign);
                name.len() + 2
            }
            _ => {
                let what = "A ‘&’ stands for itself here.".to_owned();
                let remedy = "Write &amp; for it; other signs are written as they are.";
                self.fault(at..at + 1, what, remedy);
                self.plain("&");
                1
            }
        }
    }

    /// `<v Name>`; gives the bytes read.
    fn tag(&mut self, rest: &str, at: usize) -> usize {
        let Some((inner, _)) = rest[1..].split_once('>') else {
            let what = "A ‘<’ begins a mark that does not end.".to_owned();
            self.fault(
                at..at + 1,
                what,
                "Write &lt; for the sign itself, or ‘>’ where the mark ends.",
            );
            self.plain("<");
            return 1;
        };
        let (length, span) = (inner.len() + 2, at..at + inner.len() + 2);
        if let Some(name) = inner.strip_prefix('/') {
            self.close(name, span);
        } else if inner.starts_with(|c: char| c.is_ascii_digit()) {
            self.small_time(inner, span);
        } else {
            self.begin(inner, span);
        }
        length
    }

    fn small_time(&mut self, inner: &str, span: Range<usize>) {
        let after = self.last_time.unwrap_or(self.times.0);
        match timestamp(inner) {
            Some(ms) if ms > after && ms < self.times.1 => self.last_time = Some(ms),
            Some(_) => {
                let what = format!("The time ‘{inner}’ does not lie between those around it.");
                self.fault(
                    span,
                    what,
                    "Times within the words go forward, between beginning and end.",
                );
            }
            None => {
                let what = format!("‘{inner}’ is not a time.");
                self.fault(
                    span,
                    what,
                    "Write it as 00:01.500, or &lt; for the sign itself.",
                );
            }
        }
    }

    fn begin(&mut self, inner: &str, span: Range<usize>) {
        let (head, annotation) = match inner.split_once([' ', '\t', '\n', '\r']) {
            Some((head, tail)) => (head, tail.trim()),
            None => (inner, ""),
        };
        let name = head.split('.').next().unwrap_or_default();
        let mut open = Open {
            name: name.to_owned(),
            speaker: None,
            lang: None,
            span: span.clone(),
            later: !self.said.is_empty(),
        };
        match name {
            "v" if annotation.is_empty() => {
                let what = "The voice has no name.".to_owned();
                self.fault(span, what, "Write who speaks: <v Elin Fychan>.");
            }
            "v" => open.speaker = Some(unescaped(annotation)),
            "lang" => match annotation.parse::<Lang>() {
                Ok(lang) => open.lang = Some(lang),
                Err(_) => {
                    let what = format!("‘{annotation}’ is not a language tag (BCP 47).");
                    self.fault(span, what, "Write a tag such as <lang cy>.");
                }
            },
            "c" | "i" | "b" | "u" | "ruby" => {}
            "rt" if self.open.last().is_some_and(|o| o.name == "ruby") => self.plain(" ("),
            _ => {
                let what = format!("‘<{inner}>’ is no mark of captions.");
                let remedy = "Possible are <v Name>, <lang cy>, <i>, <b>, <u>, <c> and <ruby> with <rt>; write &lt; for the sign itself.";
                return self.fault(span, what, remedy);
            }
        }
        self.open.push(open);
    }

    fn close(&mut self, name: &str, span: Range<usize>) {
        // `</ruby>` closes an open `<rt>` too.
        if name == "ruby" && self.open.last().is_some_and(|o| o.name == "rt") {
            self.open.pop();
            self.plain(")");
        }
        match self.open.last() {
            Some(open) if open.name == name => {
                self.open.pop();
                if name == "rt" {
                    self.plain(")");
                }
            }
            Some(open) => {
                let remedy = format!("Close what was opened last: </{}>.", open.name);
                let what = format!("‘</{name}>’ closes what is not open, or not open last.");
                self.fault(span, what, &remedy);
            }
            None => {
                let what = format!("‘</{name}>’ closes what is not open.");
                self.fault(span, what, "Take it out, or open it before.");
            }
        }
    }

    /// A voice of the whole cue need not be closed; all else must be.
    fn finish(&mut self) {
        let left = std::mem::take(&mut self.open);
        for open in left {
            if open.name == "v" && !open.later {
                continue;
            }
            let what = format!("The mark ‘<{}>’ is not closed.", open.name);
            let remedy = format!("Write </{}> where it ends.", open.name);
            self.fault(open.span, what, &remedy);
        }
    }
}

fn sign_named(name: &str) -> Option<String> {
    if let Some(number) = name.strip_prefix('#') {
        let code = match number.strip_prefix(['x', 'X']) {
            Some(hex) => u32::from_str_radix(hex, 16).ok()?,
            None => number.parse().ok()?,
        };
        return char::from_u32(code).map(String::from);
    }
    let (_, sign) = NAMED.iter().find(|(known, _)| *known == name)?;
    Some((*sign).to_owned())
}

/// A name after `<v`, in which signs may be written by name too.
fn unescaped(text: &str) -> String {
    let mut pieces = text.split('&');
    let mut out = pieces.next().unwrap_or_default().to_owned();
    for piece in pieces {
        match piece.split_once(';') {
            Some((name, rest)) if sign_named(name).is_some() => {
                out.push_str(&sign_named(name).unwrap_or_default());
                out.push_str(rest);
            }
            _ => {
                out.push('&');
                out.push_str(piece);
            }
        }
    }
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}
