//! Words as they are looked up: without marks, capitals and points.
//!
//! The browser folds what is typed by the same rules (`viewer/find/fold.ts`); a table of cases
//! that both must pass stands in `tests/find/folded.json`.

use unicode_normalization::char::{decompose_canonical, is_combining_mark};

/// Letters that no mark is taken from, though they are typed as others.
const LETTERS: [(char, &str); 10] = [
    ('æ', "ae"),
    ('œ', "oe"),
    ('ø', "o"),
    ('ß', "ss"),
    ('ð', "d"),
    ('đ', "d"),
    ('þ', "th"),
    ('ł', "l"),
    ('ı', "i"),
    ('ς', "σ"),
];

/// A text in small letters without marks: "Cŵn" becomes "cwn".
pub fn fold(text: &str) -> String {
    // Plain letters have no marks, and most texts have no others.
    if text.is_ascii() {
        return text.to_ascii_lowercase();
    }
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_ascii() {
            out.push(c.to_ascii_lowercase());
            continue;
        }
        // What comes after a sign has no say in it: a sigma at the end of a word is written as any other.
        for small in c.to_lowercase() {
            decompose_canonical(small, |c| {
                if is_combining_mark(c) {
                    return;
                }
                match LETTERS.iter().find(|(letter, _)| *letter == c) {
                    Some((_, typed)) => out.push_str(typed),
                    None => out.push(c),
                }
            });
        }
    }
    out
}

/// Scripts that write no spaces between words: there each sign is a word.
fn stands_alone(c: char) -> bool {
    matches!(c, '\u{3040}'..='\u{30FF}' | '\u{3400}'..='\u{4DBF}' | '\u{4E00}'..='\u{9FFF}')
}

/// The folded words of a text. Apostrophes part words ("o’r" is "o" and "r"), and a letter alone is
/// none: what is left of "founder’s" is "founder".
pub fn words(text: &str) -> Vec<String> {
    let mut all = Vec::new();
    each_word(text, |word| all.push(word.to_owned()));
    all
}

/// Hands over the folded words of a text, those that are signs of their own last.
pub(super) fn each_word(text: &str, mut word: impl FnMut(&str)) {
    let folded = fold(text);
    let parts = |c: char| stands_alone(c) || !c.is_alphanumeric();
    for piece in folded.split(parts).filter(|piece| !piece.is_empty()) {
        let mut letters = piece.chars();
        let alone = letters.next().is_some_and(|c| !c.is_numeric()) && letters.next().is_none();
        if !alone {
            word(piece);
        }
    }
    if folded.is_ascii() {
        return;
    }
    for (_, sign) in folded.match_indices(stands_alone) {
        word(sign);
    }
}
