//! What is said of bad records can be said in every language that has a message catalogue.

use super::{cases::cases, good_folder, lay, read_at};
use counterpart::messages::Messages;
use counterpart::record::report;
use std::collections::BTreeSet;

/// English words that stand in no Welsh text; what is between ‘ and ’, or told by a library, may have them.
const ENGLISH: [&str; 8] = ["the", "is", "and", "not", "of", "write", "with", "has"];

fn without_quotes(text: &str) -> String {
    let mut out = String::new();
    for piece in text.split('‘') {
        out.push_str(piece.split_once('’').map_or(piece, |(_, after)| after));
    }
    out
}

#[test]
fn no_fault_of_a_record_is_told_in_english_only() {
    for tag in Messages::languages().filter(|tag| *tag != "en") {
        let messages = Messages::of(tag).expect("it has a catalogue");
        let (mut untold, mut told) = (BTreeSet::new(), BTreeSet::new());
        for case in cases() {
            let folder = good_folder();
            lay(folder.path(), case);
            for finding in read_at(folder.path()).findings.iter() {
                for english in [&finding.what, &finding.remedy] {
                    let list = if messages.knows(english) {
                        &mut told
                    } else {
                        &mut untold
                    };
                    list.insert((english.clone(), messages.say(english).into_owned()));
                }
            }
        }
        let half: Vec<_> = told
            .iter()
            .filter(|(_, other)| {
                let bare = without_quotes(other).to_lowercase();
                let words = bare.split(|c: char| !c.is_alphanumeric());
                words.filter(|w| ENGLISH.contains(w)).count() >= 2
            })
            .collect();
        println!("{tag}: {} told, {} half: {half:#?}", told.len(), half.len());
        assert!(told.len() > 200, "{}", told.len());
        assert!(untold.is_empty(), "{tag}: {untold:#?}");
    }
}

#[test]
fn a_report_is_told_in_welsh() {
    let folder = good_folder();
    super::good::put(
        folder.path(),
        "mortar/en.md",
        b"# The mortar\n\n[x](detail:hair)\n",
    );
    let reading = read_at(folder.path());
    let messages = Messages::of("cy").expect("it has a catalogue");
    let text = report::told(&reading.findings, &reading.sources, false, messages);
    assert!(text.contains("gwall[dangling-link]: "), "{text}");
    assert!(text.contains("mortar/en.md:3:1"), "{text}");
    assert!(text.contains("cymorth: "), "{text}");
    assert!(text.contains("[x](detail:hair)"), "{text}");
    assert!(text.contains("Un gwall; "), "{text}");
}
