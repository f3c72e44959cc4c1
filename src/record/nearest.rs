//! The known word nearest to a mistaken one, for "did you mean".

/// How like two words must be to be offered (Jaro–Winkler, 0 to 1): lets through a letter
/// wrong, missing or exchanged in a short word, and keeps out words that only begin alike.
const LIKE_ENOUGH: f64 = 0.8;

/// The likest of `known`, if any is like enough; the first of equals.
pub(crate) fn nearest<'k>(word: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    let mut best: Option<(f64, &str)> = None;
    for other in known {
        let like = strsim::jaro_winkler(&word.to_lowercase(), other);
        if like >= LIKE_ENOUGH && best.is_none_or(|(b, _)| like > b) {
            best = Some((like, other));
        }
    }
    best.map(|(_, word)| word)
}
