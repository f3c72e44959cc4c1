//! Words as they are looked up: without marks, capitals and points.
//!
//! The browser folds what is typed by the same rules (`viewer/find/fold.ts`); a table of cases
//! that both must pass stands in `tests/find/folded.json`.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

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
    for c in text.to_lowercase().nfd().filter(|c| !is_combining_mark(*c)) {
        match LETTERS.iter().find(|(letter, _)| *letter == c) {
            Some((_, typed)) => out.push_str(typed),
            None => out.push(c),
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
    let mut word = String::new();
    let mut close = |word: &mut String| {
        let mut letters = word.chars();
        let alone = letters.next().is_some_and(|c| !c.is_numeric()) && letters.next().is_none();
        if !word.is_empty() && !alone {
            all.push(std::mem::take(word));
        }
        word.clear();
    };
    let mut alone = Vec::new();
    for c in fold(text).chars() {
        if stands_alone(c) {
            close(&mut word);
            alone.push(c.to_string());
        } else if c.is_alphanumeric() {
            word.push(c);
        } else {
            close(&mut word);
        }
    }
    close(&mut word);
    all.extend(alone);
    all
}
