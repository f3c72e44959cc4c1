//! One inscription is told in a note of each language; what is cut must be the same in all.

use super::{Reading, tree, unsayable};
use crate::record::words::leiden::{Node, Tree};
use crate::record::{Findings, Note};

/// The inscriptions of a detail.
pub(super) fn gather<'a>(notes: &[&'a Note]) -> Result<Vec<Reading<'a>>, Findings> {
    let mut findings = Findings::none();
    let mut readings: Vec<Reading<'a>> = Vec::new();
    for (index, note) in notes.iter().enumerate() {
        let told = note.inscriptions();
        let has_as_many = index == 0 || told.len() == readings.len();
        if !has_as_many {
            let at = told.first().map_or(0..0, |i| i.signs.span.clone());
            findings.push(unsayable(
                note.source.place(at),
                &format!(
                    "this note has {} inscriptions, {} has {}; an edition has each in every language",
                    told.len(),
                    notes[0].source.name,
                    readings.len()
                ),
                "write the same inscriptions in the same order in every language",
            ));
            continue;
        }
        for (number, inscription) in told.into_iter().enumerate() {
            let tree = match tree(note, &inscription) {
                Ok(tree) => tree,
                Err(more) => {
                    findings.extend(more);
                    continue;
                }
            };
            let place = note.source.place(inscription.signs.span.clone());
            if let Some((what, remedy)) = fault(&tree) {
                findings.push(unsayable(place.clone(), what, remedy));
            }
            match readings.get_mut(number) {
                None => readings.push(Reading {
                    tree,
                    told: vec![(note, inscription)],
                }),
                Some(first) if first.tree == tree && first.language() == &inscription.signs.lang => {
                    first.told.push((note, inscription));
                }
                Some(first) => findings.push(unsayable(
                    place,
                    &format!(
                        "the inscription is read otherwise here than in {}; an edition has one reading",
                        first.told[0].0.source.name
                    ),
                    &format!(
                        "write the same signs in both, in a block marked ‘leiden {}’; there it is: {}",
                        first.language(),
                        first.tree.to_signs()
                    ),
                )),
            }
        }
    }
    if findings.is_empty() {
        Ok(readings)
    } else {
        Err(findings)
    }
}

impl Reading<'_> {
    /// The language in which it is cut.
    pub(super) fn language(&self) -> &crate::record::Lang {
        &self.told[0].1.signs.lang
    }
}

/// What the signs can hold and TEI cannot.
fn fault(tree: &Tree) -> Option<(&'static str, &'static str)> {
    if tree.nodes.is_empty() {
        return Some((
            "the inscription has no signs, and an edition of nothing cannot be written",
            "write what is cut, or ‘[- - - - - -]’ for a line that is lost",
        ));
    }
    let empty = every(&tree.nodes)
        .into_iter()
        .any(|node| matches!(node, Node::Unresolved(inside) if inside.is_empty()));
    empty.then_some((
        "‘(- - -)’ stands for the rest of a word of which nothing is cut; TEI marks the letters that are",
        "write it after the letters of the word, for example ‘pl(- - -)’, or ‘[- - -]’ for a gap",
    ))
}

/// All nodes, those within others too.
fn every(nodes: &[Node]) -> Vec<&Node> {
    use crate::record::words::leiden::Piece;
    let mut all = Vec::new();
    for node in nodes {
        all.push(node);
        match node {
            Node::Restored { inside, .. }
            | Node::Omitted(inside)
            | Node::Unresolved(inside)
            | Node::Erased(inside)
            | Node::Overcut(inside)
            | Node::Above(inside)
            | Node::Surplus(inside) => all.extend(every(inside)),
            Node::Expansion(pieces) => {
                for piece in pieces {
                    if let Piece::Written(inside) = piece {
                        all.extend(every(inside));
                    }
                }
            }
            _ => {}
        }
    }
    all
}
