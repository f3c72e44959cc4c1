//! What the index holds, against published rules.

use super::{Document, Families, encode, index, words};
use std::collections::BTreeSet;

/// The table that the browser's folding must pass, too (`viewer/test/find.test.mjs`).
#[test]
fn words_are_folded_as_in_the_browser() {
    let table = include_str!("../../tests/find/folded.json");
    let table: Vec<(String, Vec<String>)> = serde_json::from_str(table).unwrap();
    assert!(table.len() > 10);
    for (text, folded) in table {
        assert_eq!(words(&text), folded, "{text}");
    }
}

fn family<'a>(families: &'a Families, form: &'a str) -> &'a str {
    families.of_form(form)
}

/// Pairs from the sample vocabulary of the English Snowball stemmer (snowballstem.org): "consign",
/// "consigned", "consigning", "consignment" have one stem, "knack" and "knackeries" have not.
#[test]
fn english_forms_are_found_by_one_another() {
    let forms = [
        "consign",
        "consigned",
        "consigning",
        "consignment",
        "knack",
        "knackeries",
    ];
    let families = Families::of(&forms.into(), &"en".parse().unwrap());
    for form in ["consigned", "consigning", "consignment"] {
        assert_eq!(family(&families, form), "consign");
    }
    assert_ne!(family(&families, "knack"), family(&families, "knackeries"));
}

/// Mutations of "ci", "pen", "tad", "gardd", "llong" as grammars of Welsh give them (from memory).
#[test]
fn welsh_words_are_found_under_their_mutations() {
    let forms = [
        "copi", "gopi", "chopi", "nghopi", "pen", "ben", "mhen", "phen", "gardd", "ardd", "ngardd",
        "llong", "long", "morter", "forter", "dolen", "dolenni", "ddolen", "bach",
    ];
    let families = Families::of(&forms.into(), &"cy".parse().unwrap());
    for group in [
        &["copi", "gopi", "chopi", "nghopi"][..],
        &["pen", "ben", "mhen", "phen"],
        &["gardd", "ardd", "ngardd"],
        &["llong", "long"],
        &["morter", "forter"],
        &["dolen", "dolenni", "ddolen"],
    ] {
        for form in group {
            assert_eq!(
                family(&families, form),
                family(&families, group[0]),
                "{form}"
            );
        }
    }
    // Not in the texts, but asked for.
    assert_eq!(family(&families, "mhorter"), "mhorter");
    assert_eq!(family(&families, "nolen"), family(&families, "dolen"));
    assert_eq!(family(&families, "bach"), "bach");
    assert_ne!(family(&families, "pen"), family(&families, "copi"));
}

#[test]
fn a_set_is_written_the_shorter_way() {
    let of =
        |numbers: &[usize], n| encode(&numbers.iter().copied().collect::<BTreeSet<usize>>(), n);
    assert_eq!(of(&[], 100), "");
    assert_eq!(of(&[3, 4, 5, 9], 100), "3+2 3");
    assert_eq!(of(&[0, 99], 100), "0 2q");
    // Every other one of twenty: bits 0, 2, 4 … are 0x55 0x55 0x05, in base64 "VVUF".
    let every_other: Vec<usize> = (0..20).step_by(2).collect();
    assert_eq!(of(&every_other, 20), "!VVUF");
    assert_eq!(of(&(0..20).collect::<Vec<_>>(), 20), "0+j");
}

fn document(number: usize, text: &str) -> Document {
    Document {
        href: format!("{number}/"),
        title: format!("Title {number}"),
        line: String::new(),
        teaser: String::new(),
        names: Vec::new(),
        words: vec![text.to_owned()],
    }
}

/// Every word lies in exactly the file that a browser would ask, and no file is large.
#[test]
fn each_word_is_where_a_browser_looks() {
    let word = |i: usize| {
        format!(
            "w{:x}",
            blake3::hash(&i.to_le_bytes()).as_bytes()[..3]
                .iter()
                .fold(0_u32, |n, b| n << 8 | u32::from(*b))
        )
    };
    let texts: Vec<String> = (0..400)
        .map(|i| {
            (0..30)
                .map(|j| word(i * 7 + j))
                .collect::<Vec<_>>()
                .join(" ")
        })
        .collect();
    let documents: Vec<Document> = texts
        .iter()
        .enumerate()
        .map(|(i, t)| document(i, t))
        .collect();
    let index = index(&documents, &"de".parse().unwrap());
    let all: BTreeSet<String> = texts.iter().flat_map(|t| words(t)).collect();
    assert!(all.len() > 2000, "{}", all.len());
    for (name, file) in &index.files {
        assert!(file.len() < 8_000, "{name}: {}", file.len());
    }
    for word in all {
        let own = index
            .beginnings
            .iter()
            .enumerate()
            .filter(|(_, b)| word.starts_with(b.as_str()));
        let (at, _) = own.max_by_key(|(_, b)| b.len()).expect("a beginning");
        let file = String::from_utf8(index.files[&format!("w/{at}.js")].clone()).unwrap();
        assert!(
            file.contains(&format!("\"{word}\":")),
            "{word} in w/{at}.js"
        );
    }
}

/// Results that are shown at once (`viewer/find/main.ts`), and what a phone may load for a question.
const SHOWN: usize = 10;
const LOADED: usize = 50_000;

/// Of two thousand objects with eight details each, a question of three words loads little, however its words
/// lie and wherever its results stand.
#[test]
fn a_question_to_a_large_collection_loads_little() {
    // As often as in a text: the commonest word in every second document, the others ever more rarely.
    let word = |i: usize| {
        format!(
            "wort{}",
            blake3::hash(&i.to_le_bytes()).to_hex().split_at(5).0
        )
    };
    let teaser = "A hundred and ten letters of what is first said of a thing, such as where it was found and of what it is made.";
    let documents: Vec<Document> = (0..2_000 * 9)
        .map(|i| Document {
            href: format!("../weight-of-a-net-{:04}/details/a-hole-for-a-cord/", i / 9),
            title: format!("The hole for a cord, {i}"),
            line: format!("Construction of Weight of a net, number {}", i / 9),
            teaser: teaser.to_owned(),
            names: Vec::new(),
            words: vec![
                (1..40)
                    .map(|j| word((i * j + i) % (40 * j)))
                    .collect::<Vec<_>>()
                    .join(" "),
            ],
        })
        .collect();
    let index = index(&documents, &"de".parse().unwrap());
    let largest = |folder: &str| {
        let own = index
            .files
            .iter()
            .filter(|(name, _)| name.starts_with(folder));
        own.map(|(_, file)| file.len()).max().unwrap()
    };
    let loaded = 3 * largest("w/") + SHOWN * largest("t/");
    assert!(
        loaded <= LOADED,
        "{} a word, {} a piece of results",
        largest("w/"),
        largest("t/")
    );
    // The bound is not met for want of words.
    assert!(index.beginnings.len() > 40 && largest("w/") > 4_000);
}
