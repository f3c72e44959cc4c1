//! The desk's own interface words, apart from the site's: a site in any language can be kept by somebody
//! who works in one that the desk speaks.

use std::collections::BTreeMap;

/// Languages of the desk, with the words of each.
pub(super) const LANGUAGES: [(&str, &str); 2] = [
    ("en", include_str!("../../themes/plate/desk/words/en.toml")),
    ("cy", include_str!("../../themes/plate/desk/words/cy.toml")),
];

/// The words of one language; `None` for one that the desk does not speak.
pub(super) fn of(lang: &str) -> Option<BTreeMap<String, String>> {
    let (_, text) = LANGUAGES.iter().find(|(tag, _)| *tag == lang)?;
    toml::from_str(text).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    fn blanks(text: &str) -> BTreeSet<&str> {
        let pieces = text.split('{').skip(1);
        pieces.filter_map(|p| Some(p.split_once('}')?.0)).collect()
    }

    #[test]
    fn every_language_has_the_same_words_with_the_same_blanks() {
        let all: Vec<_> = LANGUAGES
            .iter()
            .map(|(tag, _)| (tag, of(tag).unwrap()))
            .collect();
        let (_, first) = &all[0];
        for (tag, words) in &all {
            let keys = |w: &BTreeMap<String, String>| w.keys().cloned().collect::<Vec<_>>();
            assert_eq!(keys(first), keys(words), "{tag}");
            for (key, text) in words {
                assert_eq!(blanks(&first[key]), blanks(text), "{tag}: {key}");
            }
        }
    }
}
