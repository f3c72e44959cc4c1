//! The tree of an inscription.

/// A whole inscription.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tree {
    /// Its parts, in reading order.
    pub nodes: Vec<Node>,
}

/// Why letters are not there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Why {
    /// Broken or worn away.
    Lost,
    /// There, but nobody can read them.
    Illegible,
}

/// How much is missing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extent {
    /// So many letters.
    Letters(u32),
    /// About so many letters.
    About(u32),
    /// Nobody knows.
    Unknown,
    /// One whole line.
    Line,
}

/// A piece of an abbreviated word.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Piece {
    /// Cut on the object.
    Written(Vec<Node>),
    /// Added by the editor to make the word whole.
    Expanded(String),
}

/// A part of an inscription.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Node {
    /// Letters, clearly read; never a blank.
    Text(String),
    /// The space between two words.
    Blank,
    /// A sign that divides words: `·`, `✠`.
    Mark(String),
    /// A letter that the remains alone would not settle (dot below).
    Unclear(String),
    /// Lost letters restored by the editor; doubtful with `?`.
    Restored {
        /// What is restored.
        inside: Vec<Node>,
        /// Whether the restoration is doubtful.
        doubtful: bool,
    },
    /// Letters that the cutter left out.
    Omitted(Vec<Node>),
    /// Letters that are missing.
    Gap(Why, Extent),
    /// An abbreviated word, made whole.
    Expansion(Vec<Piece>),
    /// An abbreviated word that nobody can make whole.
    Unresolved(Vec<Node>),
    /// Erased in antiquity but legible.
    Erased(Vec<Node>),
    /// Cut over an erasure.
    Overcut(Vec<Node>),
    /// Added later above the line.
    Above(Vec<Node>),
    /// Cut by mistake.
    Surplus(Vec<Node>),
    /// Letters whose meaning is unknown.
    Letters(String),
    /// A blank of so many letters.
    Vacant(Option<u32>),
    /// A new line; whether it divides a word.
    Break {
        /// A word runs on across it.
        inside_word: bool,
    },
    /// Letters joined into one.
    Joined(String),
    /// Remarkable, but so on the object.
    Sic,
}

impl Tree {
    /// The inscription in signs again: the inverse of [`super::parse`] up to Unicode
    /// normalisation and the choice between two spellings of one sign.
    pub fn to_signs(&self) -> String {
        signs(&self.nodes)
    }
}

pub(super) fn signs(nodes: &[Node]) -> String {
    nodes.iter().map(sign).collect()
}

fn sign(node: &Node) -> String {
    match node {
        Node::Text(text) | Node::Mark(text) | Node::Letters(text) => text.clone(),
        Node::Blank => " ".to_owned(),
        Node::Unclear(letter) => format!("{letter}\u{323}"),
        Node::Restored { inside, doubtful } => {
            format!("[{}{}]", signs(inside), if *doubtful { "?" } else { "" })
        }
        Node::Omitted(inside) => format!("<{}>", signs(inside)),
        Node::Gap(Why::Illegible, Extent::Letters(n)) => "+".repeat(*n as usize),
        Node::Gap(_, Extent::Letters(n)) => format!("[{}]", ".".repeat(*n as usize)),
        Node::Gap(_, Extent::About(n)) => format!("[c. {n}]"),
        Node::Gap(_, Extent::Unknown) => "[- - -]".to_owned(),
        Node::Gap(_, Extent::Line) => "[- - - - - -]".to_owned(),
        Node::Expansion(pieces) => pieces
            .iter()
            .map(|piece| match piece {
                Piece::Written(nodes) => signs(nodes),
                Piece::Expanded(text) => format!("({text})"),
            })
            .collect(),
        Node::Unresolved(inside) => format!("{}(- - -)", signs(inside)),
        Node::Erased(inside) => format!("⟦{}⟧", signs(inside)),
        Node::Overcut(inside) => format!("«{}»", signs(inside)),
        Node::Above(inside) => format!("`{}´", signs(inside)),
        Node::Surplus(inside) => format!("{{{}}}", signs(inside)),
        Node::Vacant(Some(n)) => format!("vac. {n}"),
        Node::Vacant(None) => "vac.".to_owned(),
        Node::Break { inside_word: true } => "-/".to_owned(),
        Node::Break { inside_word: false } => "/".to_owned(),
        Node::Joined(letters) => {
            let mut all = letters.chars();
            let first: String = all.next().into_iter().collect();
            all.fold(first, |text, letter| format!("{text}\u{361}{letter}"))
        }
        Node::Sic => "(!)".to_owned(),
    }
}
