//! How easily an English text reads.

use crate::record::Lang;

/// Flesch reading ease and Flesch-Kincaid grade, with the counts they come from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ease {
    /// 206.835 − 1.015 words/sentences − 84.6 syllables/words (Flesch 1948); higher is easier.
    pub score: f64,
    /// 0.39 words/sentences + 11.8 syllables/words − 15.59 (Kincaid 1975).
    pub grade: f64,
    /// Words.
    pub words: usize,
    /// Sentences, at least 1.
    pub sentences: usize,
    /// Syllables, by rule of thumb.
    pub syllables: usize,
}

impl Ease {
    /// The formulas on given counts; `None` without words or sentences.
    pub fn of_counts(words: usize, sentences: usize, syllables: usize) -> Option<Self> {
        if words == 0 || sentences == 0 {
            return None;
        }
        #[expect(clippy::cast_precision_loss, reason = "counts of a page of text")]
        let (w, s, y) = (words as f64, sentences as f64, syllables as f64);
        Some(Self {
            score: 206.835 - 1.015 * w / s - 84.6 * y / w,
            grade: 0.39 * w / s + 11.8 * y / w - 15.59,
            words,
            sentences,
            syllables,
        })
    }
}

/// Ease of a plain text. The formulas are made for English: `None` for other languages and for a
/// text without words.
pub fn ease(text: &str, lang: &Lang) -> Option<Ease> {
    if lang.primary() != "en" {
        return None;
    }
    let words: Vec<String> = text
        .split_whitespace()
        .map(|word| {
            word.chars()
                .filter(|c| c.is_alphabetic())
                .flat_map(char::to_lowercase)
                .collect()
        })
        .filter(|word: &String| !word.is_empty())
        .collect();
    let syllables = words.iter().map(|w| syllables(w)).sum();
    Ease::of_counts(words.len(), sentences(text), syllables)
}

/// Ends of sentences: `.`, `!`, `?` before a space or the end; at least one.
fn sentences(text: &str) -> usize {
    let ends = text
        .split_whitespace()
        .filter(|word| {
            word.trim_end_matches(['"', '\'', ')', '”', '’', ']'])
                .ends_with(['.', '!', '?', '…'])
        })
        .count();
    let closed = text
        .trim_end()
        .trim_end_matches(['"', '\'', ')', '”', '’'])
        .ends_with(['.', '!', '?', '…']);
    if closed { ends.max(1) } else { ends + 1 }
}

/// Words whose count the rule of thumb gets wrong.
const EXCEPTIONS: [(&str, usize); 14] = [
    ("being", 2),
    ("seeing", 2),
    ("doing", 2),
    ("going", 2),
    ("lion", 2),
    ("quiet", 2),
    ("museum", 3),
    ("idea", 3),
    ("area", 3),
    ("create", 2),
    ("created", 3),
    ("people", 2),
    ("every", 2),
    ("recipe", 3),
];

/// Groups of vowels, less a silent e at the end.
fn syllables(word: &str) -> usize {
    if let Some((_, count)) = EXCEPTIONS.iter().find(|(known, _)| *known == word) {
        return *count;
    }
    let vowel = |c: char| "aeiouyáéíóúàèìòùâêîôûäëïöü".contains(c);
    let mut count = 0;
    let mut last = false;
    for c in word.chars() {
        let this = vowel(c);
        count += usize::from(this && !last);
        last = this;
    }
    let ends = |tail: &str| word.ends_with(tail);
    let before = |back: usize| word.chars().rev().nth(back).is_some_and(vowel);
    let silent_e = ends("e") && !ends("le") && !before(1) || ends("le") && before(2);
    let silent_ed = ends("ed") && !ends("ted") && !ends("ded") && !before(2);
    let silent_es = ends("es")
        && !before(2)
        && !["ses", "zes", "xes", "ches", "shes", "ges", "ces"]
            .iter()
            .any(|t| ends(t));
    if count > 1 && (silent_e || silent_ed || silent_es) {
        count -= 1;
    }
    count.max(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn english(text: &str) -> Option<Ease> {
        ease(text, &"en".parse().unwrap())
    }

    /// Flesch, "A new readability yardstick", Journal of Applied Psychology 32, 1948; grade after
    /// Kincaid and others, 1975 (constants from memory, common to many implementations).
    #[test]
    fn worked_examples() {
        let by_counts = Ease::of_counts(100, 5, 150).unwrap();
        assert!((by_counts.score - 59.635).abs() < 1e-9 && (by_counts.grade - 9.91).abs() < 1e-9);
        let cat = english("The cat sat on the mat.").unwrap();
        assert!((cat.score - 116.145).abs() < 1e-9 && (cat.grade + 1.45).abs() < 1e-9);
        let cup = english(
            "This cup is a copy. The first cup is old and thin. A crack runs down one side. We left the crack in the copy so you can feel it.",
        )
        .unwrap();
        assert_eq!((cup.words, cup.sentences, cup.syllables), (30, 4, 32));
        assert!((cup.score - 108.9825).abs() < 1e-9 && (cup.grade + 0.078_333_333).abs() < 1e-6);
    }

    #[test]
    fn no_words_no_score_and_no_other_language() {
        assert_eq!(english(""), None);
        assert_eq!(english("— 1647 —"), None);
        assert_eq!(ease("Morter a phestl.", &"cy".parse().unwrap()), None);
    }
}
