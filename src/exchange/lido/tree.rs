//! A received XML document as a tree, within bounds. What has been understood is marked, so that the
//! rest can be told.

use crate::exchange::Bounds;
use crate::exchange::fault::{Fault, Left};
use crate::record::Lang;
use quick_xml::events::{BytesStart, Event};
use quick_xml::name::ResolveResult;
use quick_xml::reader::NsReader;
use std::cell::Cell;
use std::ops::Range;

/// One element.
#[derive(Debug, Default)]
pub(super) struct Node {
    /// Local name; with its namespace in braces when that is not LIDO's.
    pub(super) name: String,
    /// Local names and values.
    attributes: Vec<(String, String)>,
    /// Language of its texts, its own or that of an element around it.
    pub(super) lang: Option<Lang>,
    text: String,
    pub(super) children: Vec<Node>,
    /// Bytes of the document.
    pub(super) span: Range<usize>,
    taken: Cell<bool>,
}

impl Node {
    /// All elements at a path below this one.
    pub(super) fn all<'n>(&'n self, path: &[&str]) -> Vec<&'n Node> {
        let Some((first, rest)) = path.split_first() else {
            return vec![self];
        };
        let named = self.children.iter().filter(|c| c.name == *first);
        named.flat_map(|c| c.all(rest)).collect()
    }

    /// Its words, with blanks run together; none when there are none.
    pub(super) fn words(&self) -> Option<String> {
        let words: Vec<&str> = self.text.split_whitespace().collect();
        (!words.is_empty()).then(|| words.join(" "))
    }

    /// Its text with lines kept.
    pub(super) fn lines(&self) -> Option<String> {
        let lines: Vec<&str> = self.text.trim().lines().map(str::trim).collect();
        Some(lines.join("\n")).filter(|text| !text.is_empty())
    }

    pub(super) fn attribute(&self, name: &str) -> Option<&str> {
        let mut all = self.attributes.iter();
        all.find(|(n, _)| n == name)
            .map(|(_, value)| value.as_str())
    }

    /// Marks it as understood.
    pub(super) fn take(&self) {
        self.taken.set(true);
    }

    /// Lists everything below that holds words and was not understood.
    pub(super) fn tell_left(&self, path: &str, left: &mut Left) {
        for child in &self.children {
            let path = match path {
                "" => child.name.clone(),
                around => format!("{around}/{}", child.name),
            };
            let taken = child.taken.get();
            if !taken && (child.words().is_some() || child.children.is_empty()) {
                left.one(path.clone());
            }
            // What kind of name or identifier it is was looked at; of the rest nothing was.
            let read = ["type", "pref", "lang", "schemaLocation"];
            let unread = child
                .attributes
                .iter()
                .filter(|(n, _)| !read.contains(&n.as_str()));
            if taken {
                unread.for_each(|(name, _)| left.one(format!("{path}/@{name}")));
            }
            child.tell_left(&path, left);
        }
    }
}

/// Reads a document.
pub(super) fn parse(text: &str, bounds: &Bounds) -> Result<Node, Vec<Fault>> {
    let mut reader = NsReader::from_str(text);
    let mut stack: Vec<Node> = vec![Node::default()];
    let mut elements = 0;
    loop {
        let before = place(text, reader.buffer_position());
        let start = offset(reader.buffer_position(), text);
        let refuse = |what: &str| vec![Fault::at(before.clone(), what)];
        let (space, event) = match reader.read_resolved_event() {
            Ok((space, event)) => (own_space(&space), event),
            Err(error) => {
                let at = place(text, reader.error_position());
                return Err(vec![Fault::at(
                    at,
                    format!("This is not well-formed XML: {error}."),
                )]);
            }
        };
        match event {
            Event::Start(element) => {
                count(&mut elements, stack.len(), bounds).map_err(|why| refuse(&why))?;
                let node =
                    node(&element, &space, stack.last(), start).map_err(|why| refuse(&why))?;
                stack.push(node);
            }
            Event::Empty(element) => {
                count(&mut elements, stack.len(), bounds).map_err(|why| refuse(&why))?;
                let mut node =
                    node(&element, &space, stack.last(), start).map_err(|why| refuse(&why))?;
                node.span.end = offset(reader.buffer_position(), text);
                push(&mut stack, node);
            }
            Event::End(_) => {
                let Some(mut node) = stack.pop() else {
                    return Err(refuse("An element ends that did not begin."));
                };
                node.span.end = offset(reader.buffer_position(), text);
                push(&mut stack, node);
            }
            Event::Text(words) => add(&mut stack, &words.xml10_content()),
            Event::CData(words) => add(&mut stack, &words.xml10_content()),
            Event::GeneralRef(reference) => {
                let name = reference.xml10_content().into_owned();
                let c = match reference.resolve_char_ref() {
                    Ok(Some(c)) => Some(c),
                    _ => match name.as_str() {
                        "amp" => Some('&'),
                        "lt" => Some('<'),
                        "gt" => Some('>'),
                        "quot" => Some('"'),
                        "apos" => Some('\''),
                        _ => None,
                    },
                };
                match c {
                    Some(c) => add(&mut stack, c.encode_utf8(&mut [0; 4])),
                    None => {
                        return Err(refuse(&format!(
                            "The entity ‘&{name};’ is not one that XML knows by itself. Write the letters."
                        )));
                    }
                }
            }
            Event::DocType(_) => {
                return Err(refuse(
                    "Document types and the entities in them are refused: they can name other files. Take the line <!DOCTYPE …> away.",
                ));
            }
            Event::Eof => break,
            Event::Comment(_) | Event::PI(_) | Event::Decl(_) => {}
        }
    }
    match (stack.pop(), stack.is_empty()) {
        (Some(root), true) if !root.children.is_empty() => Ok(root),
        (Some(open), false) => Err(vec![Fault::at(
            "the end",
            format!(
                "The element ‘{}’ does not end. The file was perhaps cut short.",
                open.name
            ),
        )]),
        _ => Err(vec![Fault::at("", "There is no element in the file.")]),
    }
}

fn count(elements: &mut usize, deep: usize, bounds: &Bounds) -> Result<(), String> {
    *elements += 1;
    if *elements > bounds.elements {
        return Err(format!(
            "There are more than {} elements. Divide the file.",
            bounds.elements
        ));
    }
    if deep > bounds.depth {
        return Err(format!(
            "Elements lie more than {} deep in one another.",
            bounds.depth
        ));
    }
    Ok(())
}

fn own_space(space: &ResolveResult<'_>) -> String {
    match space {
        ResolveResult::Bound(name) => name.as_ref().to_owned(),
        ResolveResult::Unbound => String::new(),
        ResolveResult::Unknown(prefix) => format!("?{prefix:?}"),
    }
}

fn node(
    element: &BytesStart<'_>,
    space: &str,
    around: Option<&Node>,
    start: usize,
) -> Result<Node, String> {
    let local = element.local_name().as_ref().to_owned();
    let name = match space {
        super::NAMESPACE => local,
        other => format!("{{{other}}}{local}"),
    };
    let (mut attributes, mut lang) = (Vec::new(), around.and_then(|n| n.lang.clone()));
    for attribute in element.attributes() {
        let attribute = attribute.map_err(|e| format!("An attribute is wrong: {e}."))?;
        let key = attribute.key.as_ref();
        if key == "xmlns" || key.starts_with("xmlns:") {
            continue;
        }
        let value = quick_xml::escape::unescape(&attribute.value)
            .map_err(|e| format!("The attribute {key} is wrong: {e}."))?
            .into_owned();
        if key == "xml:lang" {
            let tag = value.parse();
            lang = Some(
                tag.map_err(|e: String| format!("{e}. Write a tag such as en or cy (BCP 47)."))?,
            );
        }
        let local = key.rsplit_once(':').map_or(key, |(_, local)| local);
        attributes.push((local.to_owned(), value));
    }
    Ok(Node {
        name,
        attributes,
        lang,
        span: start..start,
        ..Node::default()
    })
}

fn push(stack: &mut [Node], node: Node) {
    if let Some(around) = stack.last_mut() {
        around.children.push(node);
    }
}

fn add(stack: &mut [Node], words: &str) {
    if let Some(node) = stack.last_mut() {
        node.text.push_str(words);
    }
}

fn offset(position: u64, text: &str) -> usize {
    usize::try_from(position).map_or(text.len(), |at| at.min(text.len()))
}

fn place(text: &str, position: u64) -> String {
    let before = &text.as_bytes()[..offset(position, text)];
    format!(
        "line {}",
        before.iter().filter(|b| **b == b'\n').count() + 1
    )
}
