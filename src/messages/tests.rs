use super::sentence::Sentence;
use super::*;
use std::collections::BTreeSet;

fn some() -> Messages {
    Messages::read(
        r#"
        [record]
        "There is no note {1}." = "Nid oes nodyn {1}."
        "The {noun} ‘{1}’ has no words in the language ‘{lang}’." = "Nid oes geiriau i’r {noun} ‘{1}’ yn yr iaith ‘{lang}’."
        "object" = "gwrthrych"
        "{1} and {2}." = "{1} a {2}."
        "no errors" = "dim gwallau"
        "{n} pieces of advice" = "{n} o gynghorion"
        "Write {{ }} or ‘{a}’." = "‘{a}’ neu {{ }}."
        "Write it." = "Ysgrifennwch ef."
        "{a} is the same as {a} here" = "yr un {a} yma"
        "#,
    )
    .unwrap()
}

#[test]
fn a_sentence_is_found_again_and_its_blanks_are_filled() {
    let m = some();
    assert_eq!(
        m.say("There is no note terms/frieze/en.md."),
        "Nid oes nodyn terms/frieze/en.md."
    );
    assert_eq!(
        m.say("The object ‘jug’ has no words in the language ‘la’."),
        "Nid oes geiriau i’r gwrthrych ‘jug’ yn yr iaith ‘la’."
    );
    assert_eq!(m.say("Write { } or ‘object’."), "‘object’ neu { }.");
}

#[test]
fn what_no_sentence_holds_of_stays_as_it_is() {
    let m = some();
    for text in [
        "",
        " \n",
        "There is a note.",
        "Sun and moon.",
        "1 is the same as 2 here",
    ] {
        assert_eq!(m.say(text), text);
    }
    assert_eq!(m.say("1 is the same as 1 here"), "yr un 1 yma");
    assert_eq!(
        Messages::english().say("There is no note a."),
        "There is no note a."
    );
}

#[test]
fn lines_and_sentences_are_told_one_by_one() {
    let m = some();
    assert_eq!(
        m.say("  There is no note a. Write it.\nAnd so on. Write it."),
        "  Nid oes nodyn a. Ysgrifennwch ef.\nAnd so on. Ysgrifennwch ef."
    );
    assert_eq!(m.say("  a/b.txt: Write it."), "  a/b.txt: Ysgrifennwch ef.");
    assert!(m.knows("There is no note a.\nWrite it."));
    assert!(!m.knows("There is no note a. And so on."));
}

#[test]
fn a_sentence_with_few_letters_needs_its_blanks_told() {
    let m = some();
    assert_eq!(
        m.say("no errors and 3 pieces of advice."),
        "dim gwallau a 3 o gynghorion."
    );
    assert_eq!(
        m.say("no errors and 3 pieces of cake."),
        "no errors and 3 pieces of cake."
    );
}

/// The same blanks on both sides, no sentence without words, none twice.
#[test]
fn catalogues_can_be_read_and_hold_what_they_should() {
    for (tag, text) in CATALOGUES {
        let Written(tables) = toml::from_str(text).unwrap_or_else(|e| panic!("{tag}: {e}"));
        let mut seen = BTreeSet::new();
        for (english, other) in tables.values().flatten() {
            let (left, right) = (Sentence::of(english), Sentence::of(other));
            assert_eq!(left.names(), right.names(), "{tag}: {english}");
            assert!(!other.is_empty(), "{tag}: {english}");
            assert!(seen.insert(english), "{tag}: twice: {english}");
        }
        assert!(!seen.is_empty());
        assert!(Messages::of(tag).is_some_and(|m| !m.said.is_empty()));
    }
    assert!(Messages::of("en-GB").is_some());
    assert!(Messages::of("cy-GB").is_some());
    assert!(Messages::of("xx").is_none());
}
