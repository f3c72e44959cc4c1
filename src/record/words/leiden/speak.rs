//! Tree → what is heard: plain words and remarks, never the name of a bracket.

use super::tree::{Extent, Node, Piece, Tree, Why};
use crate::record::Lang;
use std::collections::BTreeMap;

/// Every phrase that a reading needs; they are interface words of the page's language.
const PHRASES: [&str; 32] = [
    "leiden_unclear_one",
    "leiden_unclear_many",
    "leiden_restored_end_one",
    "leiden_restored_end",
    "leiden_restored_start_one",
    "leiden_restored_start",
    "leiden_restored_whole",
    "leiden_restored_middle",
    "leiden_doubtful",
    "leiden_omitted",
    "leiden_gap_after",
    "leiden_gap",
    "leiden_gap_about",
    "leiden_gap_unknown",
    "leiden_gap_line",
    "leiden_illegible",
    "leiden_written",
    "leiden_unresolved",
    "leiden_erased",
    "leiden_overcut",
    "leiden_above",
    "leiden_surplus",
    "leiden_letters_unknown",
    "leiden_blank",
    "leiden_blank_some",
    "leiden_broken",
    "leiden_joined",
    "leiden_sic",
    "leiden_cross",
    "leiden_count_many",
    "inscription_as_cut",
    "inscription_expanded",
];

/// Phrases of one language.
#[derive(Debug, Clone)]
pub struct SpokenWords {
    lang: Lang,
    texts: BTreeMap<String, String>,
}

impl SpokenWords {
    /// Takes the phrases out of a language's interface words.
    ///
    /// # Errors
    /// The phrases that are missing.
    pub fn from_words(lang: &Lang, words: &BTreeMap<String, String>) -> Result<Self, String> {
        let counts = (1..=10).map(|n| format!("leiden_count_{n}"));
        let wanted = PHRASES
            .iter()
            .map(|p| (*p).to_owned())
            .chain(counts)
            .chain(["inscription_translation".to_owned()]);
        let mut texts = BTreeMap::new();
        let mut missing = Vec::new();
        for key in wanted {
            match words.get(&key) {
                Some(text) => {
                    texts.insert(key, text.clone());
                }
                None => missing.push(key),
            }
        }
        if missing.is_empty() {
            Ok(Self {
                lang: lang.clone(),
                texts,
            })
        } else {
            Err(format!(
                "the interface words for ‘{lang}’ lack {}",
                missing.join(", ")
            ))
        }
    }

    /// The language of the phrases.
    pub fn lang(&self) -> &Lang {
        &self.lang
    }

    /// A phrase; all are there, since the constructor looked.
    pub(in crate::record::words) fn get(&self, key: &str) -> &str {
        self.texts.get(key).map_or("", String::as_str)
    }

    fn fill(&self, key: &str, name: &str, value: &str) -> String {
        self.get(key).replace(&format!("{{{name}}}"), value)
    }

    /// "three letters"
    fn letters(&self, n: u32) -> String {
        match self.texts.get(&format!("leiden_count_{n}")) {
            Some(text) => text.clone(),
            None => self.fill("leiden_count_many", "n", &n.to_string()),
        }
    }
}

/// One word as it is heard: its letters and the remarks on them.
#[derive(Default)]
struct Heard {
    letters: String,
    remarks: Vec<String>,
}

impl Tree {
    /// The inscription in plain words with remarks, for a screen reader:
    /// `T(itus) fec[it]` → "Titus, written T, fecit, the last two letters restored".
    pub fn spoken(&self, words: &SpokenWords) -> String {
        let mut all: Vec<Heard> = Vec::new();
        let mut line = 1;
        let mut word: Vec<&Node> = Vec::new();
        for node in &self.nodes {
            match node {
                Node::Blank
                | Node::Mark(_)
                | Node::Vacant(_)
                | Node::Break { inside_word: false } => {
                    all.extend(hear(&word, words, &mut line));
                    word.clear();
                    match node {
                        Node::Mark(mark) if mark != "·" && mark != "•" => {
                            all.push(Heard {
                                letters: words.get("leiden_cross").to_owned(),
                                remarks: Vec::new(),
                            });
                        }
                        Node::Vacant(extent) => all.push(Heard {
                            letters: vacant(*extent, words),
                            remarks: vec![],
                        }),
                        Node::Break { .. } => line += 1,
                        _ => {}
                    }
                }
                node => word.push(node),
            }
        }
        all.extend(hear(&word, words, &mut line));
        join(&all)
    }
}

fn vacant(extent: Option<u32>, words: &SpokenWords) -> String {
    match extent {
        Some(n) => words.fill("leiden_blank", "letters", &words.letters(n)),
        None => words.get("leiden_blank_some").to_owned(),
    }
}

/// Words without remarks run on; a remark is set off by commas.
fn join(all: &[Heard]) -> String {
    let mut out = String::new();
    let mut comma = false;
    for heard in all {
        let spoken: Vec<&str> = std::iter::once(&heard.letters)
            .chain(&heard.remarks)
            .map(String::as_str)
            .filter(|s| !s.is_empty())
            .collect();
        let apart = !heard.remarks.is_empty();
        if !out.is_empty() {
            out.push_str(if comma || apart { ", " } else { " " });
        }
        out.push_str(&spoken.join(", "));
        comma = apart;
    }
    out
}

fn hear(word: &[&Node], words: &SpokenWords, line: &mut u32) -> Option<Heard> {
    if word.is_empty() {
        return None;
    }
    let mut heard = Heard::default();
    let whole: String = word.iter().map(|n| reading(n)).collect();
    let unclear: Vec<&str> = word
        .iter()
        .filter_map(|n| {
            if let Node::Unclear(l) = n {
                Some(l.as_str())
            } else {
                None
            }
        })
        .collect();
    for (i, node) in word.iter().enumerate() {
        heard.letters.push_str(&reading(node));
        if let Some(remark) = remark(node, i, word, &whole, words, line) {
            heard.remarks.push(remark);
        }
    }
    match unclear.as_slice() {
        [] => {}
        [one] => heard
            .remarks
            .insert(0, words.fill("leiden_unclear_one", "letter", one)),
        many => heard.remarks.insert(
            0,
            words.fill("leiden_unclear_many", "letters", &many.join(" ")),
        ),
    }
    Some(heard)
}

/// The letters to be read, without any sign.
fn reading(node: &Node) -> String {
    let all = |nodes: &[Node]| nodes.iter().map(reading).collect::<String>();
    match node {
        Node::Text(text) | Node::Unclear(text) | Node::Joined(text) => text.clone(),
        Node::Restored { inside, .. }
        | Node::Omitted(inside)
        | Node::Erased(inside)
        | Node::Overcut(inside)
        | Node::Above(inside) => all(inside),
        Node::Expansion(pieces) => pieces
            .iter()
            .map(|piece| match piece {
                Piece::Written(nodes) => all(nodes),
                Piece::Expanded(text) => text.clone(),
            })
            .collect(),
        Node::Unresolved(inside) => spaced(&all(inside)),
        Node::Blank => " ".to_owned(),
        Node::Mark(_)
        | Node::Gap(..)
        | Node::Surplus(_)
        | Node::Letters(_)
        | Node::Vacant(_)
        | Node::Break { .. }
        | Node::Sic => String::new(),
    }
}

/// Letter by letter.
fn spaced(letters: &str) -> String {
    letters
        .chars()
        .map(String::from)
        .collect::<Vec<_>>()
        .join(" ")
}

fn remark(
    node: &Node,
    index: usize,
    word: &[&Node],
    whole: &str,
    words: &SpokenWords,
    line: &mut u32,
) -> Option<String> {
    let say = |key: &str| Some(words.get(key).to_owned());
    match node {
        Node::Text(_) | Node::Blank | Node::Mark(_) | Node::Unclear(_) | Node::Vacant(_) => None,
        Node::Restored { inside, doubtful } => {
            let mut text = restored(inside, index, word, words);
            // Lost letters within a restoration are said as well.
            for gap in inside.iter().filter_map(|n| {
                if let Node::Gap(w, e) = n {
                    Some(missing(*w, *e, false, words))
                } else {
                    None
                }
            }) {
                text = format!("{text}, {gap}");
            }
            Some(if *doubtful {
                format!("{text}, {}", words.get("leiden_doubtful"))
            } else {
                text
            })
        }
        Node::Omitted(inside) => Some(words.fill("leiden_omitted", "letters", &letters_of(inside))),
        Node::Gap(why, extent) => Some(missing(*why, *extent, !whole.is_empty(), words)),
        Node::Expansion(pieces) => {
            let written: String = pieces
                .iter()
                .map(|piece| match piece {
                    Piece::Written(nodes) => nodes.iter().map(reading).collect::<String>(),
                    Piece::Expanded(_) => String::new(),
                })
                .collect();
            Some(words.fill("leiden_written", "letters", &spaced_if_short(&written)))
        }
        Node::Unresolved(_) => say("leiden_unresolved"),
        Node::Erased(inside) => match inside.as_slice() {
            [Node::Gap(why, extent)] => Some(format!(
                "{}, {}",
                words.get("leiden_erased"),
                missing(*why, *extent, false, words)
            )),
            _ => say("leiden_erased"),
        },
        Node::Overcut(_) => say("leiden_overcut"),
        Node::Above(_) => say("leiden_above"),
        Node::Surplus(inside) => Some(words.fill("leiden_surplus", "letters", &letters_of(inside))),
        Node::Letters(text) => Some(words.fill("leiden_letters_unknown", "letters", &spaced(text))),
        Node::Break { .. } => {
            *line += 1;
            let from = words.fill("leiden_broken", "from", &(*line - 1).to_string());
            Some(from.replace("{to}", &line.to_string()))
        }
        Node::Joined(letters) => {
            let mut all = letters.chars();
            let first: String = all.next().into_iter().collect();
            let text = words.fill("leiden_joined", "first", &first);
            Some(text.replace("{second}", &spaced(all.as_str())))
        }
        Node::Sic => say("leiden_sic"),
    }
}

fn letters_of(nodes: &[Node]) -> String {
    spaced_if_short(&nodes.iter().map(reading).collect::<String>())
}

/// One or two letters are spelled, longer runs are read.
fn spaced_if_short(letters: &str) -> String {
    if letters.chars().count() <= 2 {
        spaced(letters)
    } else {
        letters.to_owned()
    }
}

fn restored(inside: &[Node], index: usize, word: &[&Node], words: &SpokenWords) -> String {
    let letters: String = inside.iter().map(reading).collect();
    let count =
        u32::try_from(letters.chars().filter(|c| c.is_alphanumeric()).count()).unwrap_or(u32::MAX);
    let read = |nodes: &[&Node]| nodes.iter().any(|n| !reading(n).is_empty());
    let (before, after) = (read(&word[..index]), read(&word[index + 1..]));
    let place = match (before, after) {
        (false, false) => return words.get("leiden_restored_whole").to_owned(),
        (true, false) => "leiden_restored_end",
        (false, true) => "leiden_restored_start",
        (true, true) => {
            return words.fill("leiden_restored_middle", "letters", &letters_of(inside));
        }
    };
    if count == 1 {
        words.get(&format!("{place}_one")).to_owned()
    } else {
        words.fill(place, "letters", &words.letters(count))
    }
}

fn missing(why: Why, extent: Extent, after: bool, words: &SpokenWords) -> String {
    match (why, extent) {
        (Why::Illegible, Extent::Letters(n) | Extent::About(n)) => {
            words.fill("leiden_illegible", "letters", &words.letters(n))
        }
        (_, Extent::Letters(n)) => words.fill(
            if after {
                "leiden_gap_after"
            } else {
                "leiden_gap"
            },
            "letters",
            &words.letters(n),
        ),
        (_, Extent::About(n)) => words.fill("leiden_gap_about", "letters", &words.letters(n)),
        (_, Extent::Unknown) => words.get("leiden_gap_unknown").to_owned(),
        (_, Extent::Line) => words.get("leiden_gap_line").to_owned(),
    }
}
