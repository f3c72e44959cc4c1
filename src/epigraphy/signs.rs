//! Each sign as its element (EpiDoc Guidelines, Krummrey-Panciera alignment).

use super::xml::Xml;
use crate::record::words::leiden::{Extent, Node, Piece, Tree, Why};
use std::io::Result;

/// The whole inscription; lines are counted from 1.
pub(super) fn write(xml: &mut Xml, tree: &Tree) -> Result<()> {
    let mut line = 1;
    xml.empty("lb", &[("n", "1")])?;
    nodes(xml, &tree.nodes, &mut line)
}

fn nodes(xml: &mut Xml, nodes: &[Node], line: &mut u32) -> Result<()> {
    nodes.iter().try_for_each(|node| one(xml, node, line))
}

fn one(xml: &mut Xml, node: &Node, line: &mut u32) -> Result<()> {
    let plain = |xml: &mut Xml, name: &str, text: &str| xml.inline(name, &[], |xml| xml.text(text));
    let mut around = |name: &str, attributes: &[(&str, &str)], inside: &[Node]| {
        xml.inline(name, attributes, |xml| nodes(xml, inside, line))
    };
    match node {
        Node::Text(text) => xml.text(text),
        Node::Blank => xml.text(" "),
        Node::Mark(mark) => {
            let kind = match mark.as_str() {
                "·" | "•" => "interpunct",
                "†" => "dagger",
                _ => "cross",
            };
            xml.inline("g", &[("type", kind)], |xml| xml.text(mark))
        }
        Node::Unclear(letter) => plain(xml, "unclear", letter),
        Node::Letters(letters) => plain(xml, "orig", letters),
        Node::Joined(letters) => xml.inline("hi", &[("rend", "ligature")], |xml| xml.text(letters)),
        Node::Sic => plain(xml, "note", "!"),
        Node::Restored {
            inside,
            doubtful: false,
        } => around("supplied", &[("reason", "lost")], inside),
        Node::Restored { inside, .. } => {
            around("supplied", &[("reason", "lost"), ("cert", "low")], inside)
        }
        Node::Omitted(inside) => around("supplied", &[("reason", "omitted")], inside),
        Node::Erased(inside) => around("del", &[("rend", "erasure")], inside),
        Node::Overcut(inside) => around("add", &[("place", "overstrike")], inside),
        Node::Above(inside) => around("add", &[("place", "above")], inside),
        Node::Surplus(inside) => around("surplus", &[], inside),
        Node::Unresolved(inside) => around("abbr", &[], inside),
        Node::Expansion(pieces) => expansion(xml, pieces, line),
        Node::Gap(why, extent) => gap(xml, *why, *extent),
        Node::Vacant(Some(letters)) => {
            let quantity = letters.to_string();
            xml.empty("space", &[("quantity", &quantity), ("unit", "character")])
        }
        Node::Vacant(None) => xml.empty("space", &[("extent", "unknown"), ("unit", "character")]),
        Node::Break { inside_word } => {
            *line += 1;
            let number = line.to_string();
            if *inside_word {
                xml.empty("lb", &[("n", &number), ("break", "no")])
            } else {
                xml.empty("lb", &[("n", &number)])
            }
        }
    }
}

/// Letters that are cut and letters that the editor added, in their order. Within a word that
/// nobody can make whole, an addition stands alone.
fn expansion(xml: &mut Xml, pieces: &[Piece], line: &mut u32) -> Result<()> {
    let added = |xml: &mut Xml, text: &str| xml.inline("ex", &[], |xml| xml.text(text));
    if let [Piece::Expanded(text)] = pieces {
        return added(xml, text);
    }
    xml.inline("expan", &[], |xml| {
        pieces.iter().try_for_each(|piece| match piece {
            Piece::Written(inside) => xml.inline("abbr", &[], |xml| nodes(xml, inside, line)),
            Piece::Expanded(text) => added(xml, text),
        })
    })
}

fn gap(xml: &mut Xml, why: Why, extent: Extent) -> Result<()> {
    let reason = match why {
        Why::Lost => "lost",
        Why::Illegible => "illegible",
    };
    let quantity = match extent {
        Extent::Letters(n) | Extent::About(n) => n.to_string(),
        Extent::Line | Extent::Unknown => "1".to_owned(),
    };
    let mut attributes = vec![("reason", reason)];
    match extent {
        Extent::Letters(_) => attributes.extend([("quantity", &*quantity), ("unit", "character")]),
        Extent::About(_) => attributes.extend([
            ("quantity", &*quantity),
            ("unit", "character"),
            ("precision", "low"),
        ]),
        Extent::Line => attributes.extend([("quantity", &*quantity), ("unit", "line")]),
        Extent::Unknown => attributes.extend([("extent", "unknown"), ("unit", "character")]),
    }
    xml.empty("gap", &attributes)
}
