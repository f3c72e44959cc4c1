//! Second pass over the tree: what can be told only of whole words.

use super::tree::{Node, Piece};

/// Joins the expansions of a word and the letters around them into one abbreviated word.
pub(super) fn group_words(nodes: Vec<Node>) -> Vec<Node> {
    let mut out = Vec::new();
    let mut word: Vec<Node> = Vec::new();
    for node in nodes {
        let divides = matches!(
            node,
            Node::Blank | Node::Mark(_) | Node::Vacant(_) | Node::Break { inside_word: false }
        );
        if divides {
            out.extend(grouped(std::mem::take(&mut word)));
            out.push(node);
        } else {
            word.push(node);
        }
    }
    out.extend(grouped(word));
    out
}

fn grouped(word: Vec<Node>) -> Vec<Node> {
    if !word.iter().any(|n| matches!(n, Node::Expansion(_))) {
        return word;
    }
    let (mut pieces, mut written, mut unresolved) = (Vec::new(), Vec::new(), false);
    for node in word {
        match node {
            Node::Expansion(expanded) => {
                unresolved |= expanded.is_empty();
                if !written.is_empty() {
                    pieces.push(Piece::Written(std::mem::take(&mut written)));
                }
                pieces.extend(expanded);
            }
            node => written.push(node),
        }
    }
    if !written.is_empty() {
        pieces.push(Piece::Written(written));
    }
    if unresolved {
        let nodes = pieces
            .into_iter()
            .flat_map(|piece| match piece {
                Piece::Written(nodes) => nodes,
                // Still no letters of the object's own.
                Piece::Expanded(_) => vec![Node::Expansion(vec![piece])],
            })
            .collect();
        return vec![Node::Unresolved(nodes)];
    }
    vec![Node::Expansion(pieces)]
}

/// Capitals that make no word become letters of unknown meaning. A whole word of two or more
/// capitals is one when it is no numeral and either has no vowel (V counts as none), or stands in
/// an inscription that is otherwise in small letters. Inscriptions all in capitals are the usual
/// case on metal and stone, so capitals alone say nothing.
pub(super) fn mark_letters(nodes: Vec<Node>) -> Vec<Node> {
    let small =
        |node: &Node| matches!(node, Node::Text(text) if text.chars().any(char::is_lowercase));
    let mixed = nodes.iter().any(small);
    let divides = |node: Option<&Node>| {
        node.is_none_or(|n| {
            matches!(
                n,
                Node::Blank | Node::Mark(_) | Node::Vacant(_) | Node::Break { inside_word: false }
            )
        })
    };
    let mut out = nodes.clone();
    for (i, node) in nodes.iter().enumerate() {
        let alone =
            divides(i.checked_sub(1).and_then(|j| nodes.get(j))) && divides(nodes.get(i + 1));
        if let Node::Text(text) = node
            && alone
            && text.chars().count() > 1
            && text.chars().all(char::is_uppercase)
            && !text.chars().all(|c| "IVXLCDM".contains(c))
            && (mixed || !text.chars().any(|c| "AEIOUY".contains(c)))
        {
            out[i] = Node::Letters(text.clone());
        }
    }
    out
}
