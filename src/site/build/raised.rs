//! The page of drawings for fingers, and its key in plain lines.

use super::Subject;
use super::frame::Script;
use crate::raised::{CLEAR_MM, INNER_MM, OUTLINE_MM, Symbol};
use crate::record::{BodyKind, Kind};
use crate::site::address::Page;
use crate::site::assets::Assets;
use crate::site::page::{RaisedDrawing, RaisedLinesPage, SymbolMeaning};
use crate::site::pictures::symbol;
use crate::site::{SiteError, figures};

/// Cells in a line of most braille paper and displays (common practice, no source).
const LINE_CHARS: usize = 40;

pub(super) fn page(subject: &Subject<'_>, assets: &Assets) -> Result<RaisedLinesPage, SiteError> {
    let (site, object) = (subject.site, subject.object);
    let words = site.words;
    let page = Page::RaisedLines(object.id.clone());
    let here = site.address(&page);
    let made = &subject.pictures.raised;
    let drawings = drawings(subject, &page)?;
    let symbols = symbols(subject)?;
    let key_text = key_text(subject, &drawings, &symbols)?;
    let lang = site.lang.as_str().to_lowercase();
    let name = format!("{}-raised-key-{lang}", object.id);
    let key_file = assets.add(&name, "txt", key_text.clone().into_bytes());
    let percent = figures::number(made.scale * 100.0, 0, words)?;
    let bar = figures::millimetres(made.bar_mm, usize::from(made.bar_mm < 1.0), words)?;
    let on_paper = figures::millimetres(made.bar_mm * made.scale, 1, words)?;
    let mm = |mm: f64| figures::millimetres(mm, 1, words);
    Ok(RaisedLinesPage {
        frame: subject.frame(
            &page,
            words.get("raised_lines")?,
            words.get("raised_description")?,
            Script::None,
        )?,
        object: subject.head(&page)?,
        scale: if (made.scale - 1.0).abs() < 1e-9 {
            words.fill("raised_scale_true", &[("bar", &bar)])?
        } else {
            let blanks = [("percent", &percent), ("bar", &bar), ("paper", &on_paper)];
            words.fill(
                "raised_scale",
                &blanks.map(|(name, text)| (name, text.as_str())),
            )?
        },
        measures: words.fill(
            "raised_measures",
            &[
                ("outline", &mm(OUTLINE_MM)?),
                ("inner", &mm(INNER_MM)?),
                ("clear", &mm(CLEAR_MM)?),
            ],
        )?,
        drawings,
        symbols,
        key_text,
        key_href: here.to_file(&key_file),
    })
}

fn drawings(subject: &Subject<'_>, page: &Page) -> Result<Vec<RaisedDrawing>, SiteError> {
    let site = subject.site;
    let words = site.words;
    let here = site.address(page);
    let letters = |details: &[usize]| -> Result<String, SiteError> {
        let letters: Vec<String> = details.iter().map(|i| figures::letter(*i)).collect();
        Ok(letters.join(words.get("list_separator")?))
    };
    let mut out = Vec::new();
    for (i, sheet) in subject.pictures.raised.sheets.iter().enumerate() {
        let body = match sheet.kind {
            BodyKind::Original => "body_original",
            BodyKind::Replica => "body_replica",
        };
        let number = i + 1;
        let title = words.fill(
            "raised_title",
            &[
                ("n", &number.to_string()),
                ("body", words.get(body)?),
                ("side", words.get(&format!("side_{}", sheet.side.word()))?),
            ],
        )?;
        let alt = if sheet.marked.is_empty() {
            words.fill("alt_raised_bare", &[("title", &title)])?
        } else {
            let letters = letters(&sheet.marked)?;
            words.fill("alt_raised", &[("title", &title), ("letters", &letters)])?
        };
        let left_out = match sheet.left_out.as_slice() {
            [] => None,
            some => Some(words.fill("raised_left_out", &[("letters", &letters(some)?)])?),
        };
        out.push(RaisedDrawing {
            number,
            title,
            href: here.to_file(&sheet.path),
            alt,
            left_out,
        });
    }
    Ok(out)
}

/// Forms of the kinds that this object has, in the order of its details.
fn symbols(subject: &Subject<'_>) -> Result<Vec<SymbolMeaning>, SiteError> {
    let words = subject.site.words;
    let mut kinds: Vec<Kind> = Vec::new();
    for detail in &subject.object.details {
        if !kinds.contains(&detail.record.kind) {
            kinds.push(detail.record.kind);
        }
    }
    kinds
        .into_iter()
        .map(|kind| {
            let form = match symbol(kind) {
                Symbol::Disc => "form_disc",
                Symbol::Bars => "form_bars",
                Symbol::FilledSquare => "form_filled_square",
                Symbol::Roof => "form_roof",
                Symbol::Plus => "form_plus",
                Symbol::Ring => "form_ring",
                Symbol::Square => "form_square",
                Symbol::Triangle => "form_triangle",
            };
            Ok(SymbolMeaning {
                form: words.get(form)?.to_owned(),
                kind_word: super::detail::kind_name(kind, words)?,
            })
        })
        .collect()
}

/// The key in lines that braille paper holds, without signs that a braille printer may not know.
fn key_text(
    subject: &Subject<'_>,
    drawings: &[RaisedDrawing],
    symbols: &[SymbolMeaning],
) -> Result<String, SiteError> {
    let (site, object) = (subject.site, subject.object);
    let words = site.words;
    let mut lines = Vec::new();
    let mut add = |text: &str, hang: usize| lines.extend(wrapped(&plain(text), LINE_CHARS, hang));
    add(&site.note(&object.notes)?.title, 0);
    add(words.get("raised_key")?, 0);
    add("", 0);
    add(&site.standing(object)?, 0);
    add("", 0);
    for drawing in drawings {
        add(&drawing.title, 2);
    }
    add("", 0);
    for symbol in symbols {
        add(&format!("{}: {}", symbol.form, symbol.kind_word), 2);
    }
    for (index, detail) in object.details.iter().enumerate() {
        let note = site.note(&detail.notes)?;
        let bearing = super::detail::bearing_sentence(&detail.record.bearing, words)?;
        let kind = super::detail::kind_name(detail.record.kind, words)?;
        add("", 0);
        add(&format!("{}  {}", figures::letter(index), note.title), 2);
        add(&format!("  {}", note.first_sentence()), 2);
        add(&format!("  {kind}, {bearing}."), 2);
    }
    Ok(lines.join("\n") + "\n")
}

/// Typographic signs as those that every braille table has.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '‘' | '’' => out.push('\''),
            '“' | '”' => out.push('"'),
            '–' | '—' => out.push('-'),
            '…' => out.push_str("..."),
            '·' => out.push(','),
            '×' => out.push('x'),
            '−' => out.push('-'),
            '\u{a0}' | '\u{202f}' | '\u{2009}' => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// Lines of at most so many characters; what runs over begins `hang` further in. A word longer than
/// a line is cut.
fn wrapped(text: &str, most: usize, hang: usize) -> Vec<String> {
    let indent = text.chars().take_while(|c| *c == ' ').count();
    let mut lines = Vec::new();
    let mut line = " ".repeat(indent);
    let mut empty = true;
    for word in text.trim_start().split(' ') {
        let mut word = word;
        let room = |line: &str, empty: bool| {
            let used = line.chars().count() + usize::from(!empty);
            most.saturating_sub(used)
        };
        if !empty && word.chars().count() > room(&line, empty) {
            lines.push(std::mem::replace(&mut line, " ".repeat(hang)));
            empty = true;
        }
        while word.chars().count() > room(&line, empty) {
            let cut = word
                .char_indices()
                .nth(room(&line, empty))
                .map_or(word.len(), |(at, _)| at);
            let (now, later) = word.split_at(cut);
            line.push_str(now);
            lines.push(std::mem::replace(&mut line, " ".repeat(hang)));
            word = later;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    lines.push(line);
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_short_and_lose_nothing() {
        let text = "a  The founder’s name – cast in a band that runs right round the mortar";
        let lines = wrapped(&plain(text), 40, 2);
        assert_eq!(
            lines,
            [
                "a  The founder's name - cast in a band",
                "  that runs right round the mortar"
            ]
        );
        let long = "x".repeat(95);
        let lines = wrapped(&format!("see {long} there"), 40, 2);
        assert!(lines.iter().all(|l| l.chars().count() <= 40), "{lines:?}");
        let all: String = lines.concat().replace(' ', "");
        assert_eq!(all, format!("see{long}there"));
        assert_eq!(wrapped("", 40, 2), [""]);
    }
}
