//! Signs → tree.

use super::join::{group_words, mark_letters};
use super::tree::{Extent, Node, Piece, Tree, Why};
use std::fmt;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// Deepest nesting of brackets; inscriptions need three or four.
const DEEPEST: usize = 32;
const DOT_BELOW: char = '\u{323}';
const TIE: char = '\u{361}';

/// A fault in the signs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeidenError {
    /// Character of the text, from 1.
    pub column: usize,
    /// What is wrong.
    pub what: String,
    /// What to write instead.
    pub remedy: String,
}

impl fmt::Display for LeidenError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "column {}: {}; {}", self.column, self.what, self.remedy)
    }
}

impl std::error::Error for LeidenError {}

/// One letter with its marks, or one sign.
#[derive(Debug, Clone)]
struct Glyph {
    /// Composed (NFC), without dot below and tie.
    text: String,
    base: char,
    unclear: bool,
    tied: bool,
    column: usize,
}

/// Reads one inscription. New lines count as line breaks.
///
/// # Errors
/// A bracket without its partner, a sign that means nothing, or nesting beyond reason.
pub fn parse(text: &str) -> Result<Tree, LeidenError> {
    let glyphs = glyphs(text);
    let mut parser = Parser {
        glyphs: &glyphs,
        at: 0,
        depth: 0,
        end: text.chars().count() + 1,
    };
    let nodes = parser.until(None)?;
    let nodes = mark_letters(group_words(nodes));
    Ok(Tree { nodes })
}

fn glyphs(text: &str) -> Vec<Glyph> {
    let mut out: Vec<Glyph> = Vec::new();
    for (index, original) in text.chars().enumerate() {
        for c in original.nfd() {
            match out.last_mut() {
                Some(last) if c == DOT_BELOW && last.base.is_alphanumeric() => last.unclear = true,
                Some(last) if c == TIE => last.tied = true,
                Some(last) if is_combining_mark(c) => {
                    last.text.push(c);
                    last.text = last.text.nfc().collect();
                }
                _ => out.push(Glyph {
                    text: c.to_string(),
                    base: c,
                    unclear: false,
                    tied: false,
                    column: index + 1,
                }),
            }
        }
    }
    out
}

struct Parser<'a> {
    glyphs: &'a [Glyph],
    at: usize,
    depth: usize,
    /// Column just beyond the text.
    end: usize,
}

/// What a pair of signs makes of the text between them.
type Pair = (char, char, fn(Vec<Node>) -> Node);

/// Opening and closing signs that hold any text, with what they make of it.
const PAIRS: [Pair; 5] = [
    ('⟦', '⟧', Node::Erased),
    ('«', '»', Node::Overcut),
    ('`', '´', Node::Above),
    ('{', '}', Node::Surplus),
    ('<', '>', Node::Omitted),
];

impl Parser<'_> {
    fn peek(&self, ahead: usize) -> Option<char> {
        self.glyphs.get(self.at + ahead).map(|g| g.base)
    }

    fn column(&self) -> usize {
        self.glyphs.get(self.at).map_or(self.end, |g| g.column)
    }

    /// Everything up to the closing sign, which is taken too.
    fn until(&mut self, close: Option<(&str, usize)>) -> Result<Vec<Node>, LeidenError> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(fault(
                self.column(),
                "the signs are nested too deeply",
                "write the inner signs apart",
            ));
        }
        let mut nodes = Vec::new();
        loop {
            let Some(glyph) = self.glyphs.get(self.at).cloned() else {
                return match close {
                    None => {
                        self.depth -= 1;
                        Ok(nodes)
                    }
                    Some((sign, opened)) => Err(fault(
                        opened,
                        "the sign opened here is never closed",
                        &format!("add ‘{sign}’ where it ends"),
                    )),
                };
            };
            if let Some((sign, _)) = close
                && self.looks_at(sign)
            {
                self.at += sign.chars().count();
                self.depth -= 1;
                return Ok(group_words(nodes));
            }
            self.one(&glyph, &mut nodes)?;
        }
    }

    fn looks_at(&self, sign: &str) -> bool {
        sign.chars()
            .enumerate()
            .all(|(i, c)| self.peek(i) == Some(c))
    }

    fn one(&mut self, glyph: &Glyph, nodes: &mut Vec<Node>) -> Result<(), LeidenError> {
        let opened = glyph.column;
        if let Some((_, close, make)) = PAIRS.iter().find(|(open, _, _)| *open == glyph.base) {
            self.at += 1;
            let inside = self.until(Some((&close.to_string(), opened)))?;
            nodes.push(make(not_empty(inside, opened)?));
            return Ok(());
        }
        match glyph.base {
            '[' if self.peek(1) == Some('[') => {
                self.at += 2;
                let inside = self.until(Some(("]]", opened)))?;
                nodes.push(Node::Erased(not_empty(inside, opened)?));
            }
            '[' => nodes.push(self.bracket(opened)?),
            '(' => nodes.push(self.parenthesis(opened)?),
            ']' | ')' | '}' | '>' | '⟧' | '»' | '´' => {
                return Err(fault(
                    opened,
                    &format!("‘{}’ closes nothing", glyph.base),
                    "add its opening sign, or take it away",
                ));
            }
            '+' => {
                let run = self.run('+');
                nodes.push(Node::Gap(Why::Illegible, Extent::Letters(run)));
            }
            '·' | '•' | '✠' | '☩' | '✝' | '†' => {
                self.at += 1;
                nodes.push(Node::Mark(glyph.text.clone()));
            }
            '-' if self.peek(1) == Some('/') => {
                self.at += 2;
                nodes.push(Node::Break { inside_word: true });
            }
            '/' | '\n' => {
                self.at += 1;
                nodes.push(Node::Break { inside_word: false });
            }
            c if c.is_whitespace() => {
                self.at += 1;
                if !matches!(nodes.last(), Some(Node::Blank)) {
                    nodes.push(Node::Blank);
                }
            }
            'v' if self.looks_at("vac.")
                && !matches!(nodes.last(), Some(Node::Text(_) | Node::Unclear(_))) =>
            {
                self.at += 4;
                nodes.push(Node::Vacant(self.number_after_blank()));
            }
            _ => self.letter(glyph, nodes),
        }
        Ok(())
    }

    fn letter(&mut self, glyph: &Glyph, nodes: &mut Vec<Node>) {
        self.at += 1;
        if glyph.tied
            && self
                .glyphs
                .get(self.at)
                .is_some_and(|next| next.base.is_alphabetic())
        {
            let mut joined = glyph.text.clone();
            while let Some(next) = self.glyphs.get(self.at) {
                joined.push_str(&next.text);
                self.at += 1;
                if !next.tied {
                    break;
                }
            }
            nodes.push(Node::Joined(joined));
        } else if glyph.unclear {
            nodes.push(Node::Unclear(glyph.text.clone()));
        } else if let Some(Node::Text(text)) = nodes.last_mut() {
            text.push_str(&glyph.text);
        } else {
            nodes.push(Node::Text(glyph.text.clone()));
        }
    }

    fn run(&mut self, sign: char) -> u32 {
        let mut count = 0;
        while self.peek(0) == Some(sign) {
            self.at += 1;
            count += 1;
        }
        count
    }

    /// `vac. 3`: the number, if one follows.
    fn number_after_blank(&mut self) -> Option<u32> {
        let start = self.at + usize::from(self.peek(0) == Some(' '));
        let digits: String = self.glyphs[start.min(self.glyphs.len())..]
            .iter()
            .map(|g| g.base)
            .take_while(char::is_ascii_digit)
            .collect();
        let number = digits.parse().ok()?;
        self.at = start + digits.len();
        Some(number)
    }

    /// `[…]`: a gap, or letters restored.
    fn bracket(&mut self, opened: usize) -> Result<Node, LeidenError> {
        let length = self.glyphs[self.at + 1..]
            .iter()
            .position(|g| matches!(g.base, ']' | '['));
        if let Some(length) = length
            && self.peek(length + 1) == Some(']')
        {
            let inside: String = self.glyphs[self.at + 1..self.at + 1 + length]
                .iter()
                .map(|g| g.text.as_str())
                .collect();
            if let Some(gap) = gap(&inside) {
                self.at += length + 2;
                return Ok(gap);
            }
        }
        self.at += 1;
        let leading = self.peek(0) == Some('?');
        if leading {
            self.at += 1;
        }
        let mut inside = self.until(Some(("]", opened)))?;
        let trailing = take_question_mark(&mut inside);
        Ok(Node::Restored {
            inside: not_empty(inside, opened)?,
            doubtful: leading || trailing,
        })
    }

    /// `(…)`: an expansion, `(!)` or `(- - -)`; the last stands as an empty expansion until words
    /// are grouped.
    fn parenthesis(&mut self, opened: usize) -> Result<Node, LeidenError> {
        let length = self.glyphs[self.at + 1..]
            .iter()
            .position(|g| g.base == ')');
        let Some(length) = length else {
            return Err(fault(
                opened,
                "the sign opened here is never closed",
                "add ‘)’ where it ends",
            ));
        };
        let inside: String = self.glyphs[self.at + 1..self.at + 1 + length]
            .iter()
            .map(|g| g.text.as_str())
            .collect();
        if let Some(bad) = inside.chars().position(|c| "[]{}<>⟦⟧«»(".contains(c)) {
            return Err(fault(
                opened + 1 + bad,
                "a sign stands inside an expansion",
                "close ‘(’ before it",
            ));
        }
        self.at += length + 2;
        match inside.trim() {
            "!" => Ok(Node::Sic),
            "" => Err(fault(
                opened,
                "the expansion is empty",
                "write the letters between ‘(’ and ‘)’",
            )),
            "- - -" | "---" => Ok(Node::Expansion(vec![])),
            text => Ok(Node::Expansion(vec![Piece::Expanded(text.to_owned())])),
        }
    }
}

fn fault(column: usize, what: &str, remedy: &str) -> LeidenError {
    LeidenError {
        column,
        what: what.to_owned(),
        remedy: remedy.to_owned(),
    }
}

fn not_empty(inside: Vec<Node>, opened: usize) -> Result<Vec<Node>, LeidenError> {
    if inside.is_empty() {
        return Err(fault(
            opened,
            "there is nothing between these signs",
            "write what they hold, or take them away",
        ));
    }
    Ok(inside)
}

/// `...`, `c. 7`, `- - -`, `- - - - - -`.
fn gap(inside: &str) -> Option<Node> {
    let inside = inside.trim();
    let lost = |extent| Some(Node::Gap(Why::Lost, extent));
    if !inside.is_empty() && inside.chars().all(|c| c == '.') {
        return lost(Extent::Letters(u32::try_from(inside.len()).ok()?));
    }
    if let Some(number) = inside.strip_prefix("c.") {
        return lost(Extent::About(number.trim().parse().ok()?));
    }
    let dashes: String = inside.split_whitespace().collect();
    match dashes.as_str() {
        "---" => lost(Extent::Unknown),
        "------" => lost(Extent::Line),
        _ => None,
    }
}

fn take_question_mark(inside: &mut Vec<Node>) -> bool {
    let Some(Node::Text(text)) = inside.last_mut() else {
        return false;
    };
    let Some(without) = text.strip_suffix('?').map(str::to_owned) else {
        return false;
    };
    if without.is_empty() {
        inside.pop();
    } else {
        *text = without;
    }
    true
}
