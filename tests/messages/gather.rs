//! Every text of two words or more in the sources of the program, as a message catalogue writes it.

use proc_macro2::{Delimiter, Group, TokenStream, TokenTree};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Where the texts are: the first file of each.
pub(crate) type Texts = BTreeMap<String, String>;

/// Macros whose first text has blanks.
const BLANKS: [&str; 6] = [
    "format",
    "write",
    "writeln",
    "format_args",
    "print",
    "println",
];
/// What is for programmers: not said to anybody else.
const INWARD: [&str; 10] = [
    "panic",
    "unreachable",
    "assert",
    "assert_eq",
    "assert_ne",
    "debug_assert",
    "debug_assert_eq",
    "expect",
    "include_str",
    "matches",
];

/// All texts below `src`, without those of tests.
pub(crate) fn texts(src: &Path) -> Texts {
    let mut found = Texts::new();
    let mut files = Vec::new();
    rust_files(src, &mut files);
    for file in files {
        let name = file
            .strip_prefix(src)
            .unwrap()
            .to_string_lossy()
            .replace('\\', "/");
        let text = std::fs::read_to_string(&file).unwrap();
        let tokens: TokenStream = text.parse().unwrap_or_else(|e| panic!("{name}: {e}"));
        let mut taken = Vec::new();
        // What the command line offers is explained by comments.
        let helps = text.contains("clap::");
        walk(tokens, false, helps, &mut taken);
        for english in taken {
            found.entry(english).or_insert_with(|| name.clone());
        }
    }
    found
}

fn rust_files(folder: &Path, found: &mut Vec<PathBuf>) {
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    paths.sort();
    for path in paths {
        if path.is_dir() {
            rust_files(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") && !path.ends_with("tests.rs") {
            found.push(path);
        }
    }
}

fn walk(tokens: TokenStream, mut blanks: bool, helps: bool, found: &mut Vec<String>) {
    let trees: Vec<TokenTree> = tokens.into_iter().collect();
    let mut help = Vec::new();
    let mut at = 0;
    while let Some(tree) = trees.get(at) {
        at += 1;
        match tree {
            // An attribute: `#[…]`. Comments of what the command line offers are its help.
            TokenTree::Punct(hash) if hash.as_char() == '#' => {
                // `#![…]` speaks of the whole file, and to nobody else.
                if matches!(trees.get(at), Some(TokenTree::Punct(p)) if p.as_char() == '!') {
                    at += 2;
                    continue;
                }
                let Some(TokenTree::Group(group)) = trees.get(at) else {
                    continue;
                };
                at += 1;
                match attribute(group) {
                    Attribute::Test => at = after_item(&trees, at),
                    Attribute::Doc(line) => {
                        help.extend(helps.then_some(line));
                        continue;
                    }
                    Attribute::Help if helps => walk(group.stream(), false, helps, found),
                    Attribute::Help | Attribute::Other => {}
                }
            }
            TokenTree::Ident(name) => {
                let name = name.to_string();
                let called =
                    matches!(trees.get(at), Some(TokenTree::Punct(p)) if p.as_char() == '!');
                let inner = at + usize::from(called);
                if let Some(TokenTree::Group(group)) = trees.get(inner)
                    && group.delimiter() != Delimiter::Brace
                {
                    if INWARD.contains(&name.as_str()) {
                        at = inner + 1;
                    } else if called {
                        walk(
                            group.stream(),
                            BLANKS.contains(&name.as_str()),
                            helps,
                            found,
                        );
                        at = inner + 1;
                    }
                }
            }
            TokenTree::Group(group) => walk(group.stream(), false, helps, found),
            TokenTree::Literal(literal) => {
                if let Ok(text) = syn::parse_str::<syn::LitStr>(&literal.to_string()) {
                    let text = text.value();
                    let written = if blanks {
                        blanked(&text)
                    } else {
                        braced(&text)
                    };
                    blanks = false;
                    keep(written, found);
                }
            }
            TokenTree::Punct(_) => {}
        }
        paragraphs(&std::mem::take(&mut help), found);
    }
}

enum Attribute {
    Test,
    Doc(String),
    Help,
    Other,
}

fn attribute(group: &Group) -> Attribute {
    let trees: Vec<TokenTree> = group.stream().into_iter().collect();
    let name = trees.first().map(ToString::to_string).unwrap_or_default();
    match (name.as_str(), trees.last()) {
        ("cfg", Some(what)) if what.to_string() == "(test)" => Attribute::Test,
        ("test", _) => Attribute::Test,
        ("doc", Some(TokenTree::Literal(line))) => {
            let line = syn::parse_str::<syn::LitStr>(&line.to_string());
            Attribute::Doc(line.map_or(String::new(), |l| l.value().trim().to_owned()))
        }
        ("command" | "arg", _) => Attribute::Help,
        _ => Attribute::Other,
    }
}

/// Past the item that an attribute stands before: its body, or its semicolon.
fn after_item(trees: &[TokenTree], from: usize) -> usize {
    let end = trees[from..].iter().position(|tree| match tree {
        TokenTree::Group(group) => group.delimiter() == Delimiter::Brace,
        TokenTree::Punct(p) => p.as_char() == ';',
        _ => false,
    });
    end.map_or(trees.len(), |n| from + n + 1)
}

/// A comment as the command line makes help of it: lines joined, and no full stop behind a single sentence.
fn paragraphs(lines: &[String], found: &mut Vec<String>) {
    let text = lines.join("\n");
    for paragraph in text.split("\n\n").filter(|p| !p.is_empty()) {
        let joined = paragraph.replace('\n', " ");
        let bare = joined.strip_suffix('.').filter(|t| !t.contains(". "));
        found.push(braced(&joined));
        found.extend(bare.map(braced));
    }
}

fn keep(text: String, found: &mut Vec<String>) {
    let text = text.trim_matches('\n').to_owned();
    if text.chars().filter(|c| c.is_alphabetic()).count() >= 2 {
        found.push(text);
    }
}

/// A text without blanks, in which braces are themselves.
fn braced(text: &str) -> String {
    text.replace('{', "{{").replace('}', "}}")
}

/// A text with blanks, of which those without a name have their number, and none says how it is filled.
fn blanked(text: &str) -> String {
    let mut out = String::new();
    let mut number = 0;
    let mut rest = text;
    while let Some(at) = rest.find('{') {
        let (before, from) = rest.split_at(at);
        out.push_str(before);
        if let Some(after) = from.strip_prefix("{{") {
            out.push_str("{{");
            rest = after;
            continue;
        }
        let Some((inside, after)) = from[1..].split_once('}') else {
            break;
        };
        let name = inside.split(':').next().unwrap_or_default().trim();
        match name.parse::<usize>() {
            Ok(place) => out.push_str(&format!("{{{}}}", place + 1)),
            Err(_) if name.is_empty() => {
                number += 1;
                out.push_str(&format!("{{{number}}}"));
            }
            Err(_) => out.push_str(&format!("{{{name}}}")),
        }
        rest = after;
    }
    out + rest
}
