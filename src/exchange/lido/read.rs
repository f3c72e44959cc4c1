//! Items from LIDO. Whatever is not understood is told by its path.

use super::tree::{Node, parse};
use super::{CREATION, DIGITISATION, FINISH, LABEL, PRODUCTION, WORK};
use crate::exchange::Bounds;
use crate::exchange::fault::{Fault, Left, Received, Taken};
use crate::exchange::item::{Item, ItemMaterial};
use crate::record::{
    Day, Lang, Localised, ObjectId, Otherwise, Rights, RightsId, StatementUri, suggest,
};

/// Reads a document with one record or many.
///
/// # Errors
/// XML that is not well formed, or not LIDO.
pub fn read(text: &str, only: Option<&Lang>, bounds: &Bounds) -> Result<Received, Vec<Fault>> {
    let tree = parse(text, bounds)?;
    let mut found = tree.all(&["lidoWrap", "lido"]);
    found.extend(tree.all(&["lido"]));
    if found.is_empty() {
        let root = tree.children.first().map_or("", |n| &n.name);
        let what = format!(
            "The file holds no record of LIDO (namespace {}); its outermost element is ‘{root}’.",
            super::NAMESPACE
        );
        return Err(vec![Fault::at("", what)]);
    }
    if found.len() > bounds.records {
        let what = format!(
            "There are more than {} records. Divide the file.",
            bounds.records
        );
        return Err(vec![Fault::at("", what)]);
    }
    let head = head(text, &tree);
    let records = found.iter().map(|node| {
        let mut reading = Reading {
            only,
            item: Item::default(),
        };
        reading.record(node);
        let mut left = Left::default();
        node.tell_left("", &mut left);
        Taken {
            item: reading.item,
            left,
            received: format!("{}{}{}", head.0, &text[node.span.clone()], head.1),
        }
    });
    Ok(Received {
        how: "LIDO".to_owned(),
        ending: "xml",
        records: records.collect(),
    })
}

/// What stands around a record in the document, so that one alone is a document with the same
/// namespaces.
fn head<'t>(text: &'t str, tree: &Node) -> (&'t str, String) {
    match tree.all(&["lidoWrap"]).first() {
        Some(wrap) => {
            let first = wrap
                .children
                .first()
                .map_or(wrap.span.end, |c| c.span.start);
            let ends = text[..wrap.span.end].rfind("</").unwrap_or(wrap.span.end);
            let start = &text[..first];
            (start, format!("\n{}\n", &text[ends..wrap.span.end]))
        }
        None => (
            text.get(..tree.children.first().map_or(0, |c| c.span.start))
                .unwrap_or_default(),
            "\n".to_owned(),
        ),
    }
}

struct Reading<'a> {
    only: Option<&'a Lang>,
    item: Item,
}

/// Puts the words of an element where its language has none yet.
fn put(texts: &mut Localised, only: Option<&Lang>, node: &Node, words: Option<String>) {
    if let (Some(words), Some(lang)) = (words, node.lang.as_ref().or(only))
        && !texts.0.contains_key(lang)
    {
        texts.0.insert(lang.clone(), words);
        node.take();
    }
}

fn words_of(texts: &mut Localised, only: Option<&Lang>, nodes: &[&Node]) {
    for node in nodes {
        put(texts, only, node, node.words());
    }
}

/// Where display texts are missing, the names are taken.
fn first_of(texts: &mut Localised, only: Option<&Lang>, from: &Node, paths: &[&[&str]]) {
    for path in paths {
        words_of(texts, only, &from.all(path));
    }
}

impl Reading<'_> {
    fn record(&mut self, record: &Node) {
        for id in record.all(&["lidoRecID"]) {
            let words = id.words().unwrap_or_default();
            let last = words.trim_end_matches('/').rsplit(['/', ':']).next();
            if self.item.object.is_none()
                && let Some(Ok(object)) = last.map(|l| ObjectId::try_from(l.to_owned()))
            {
                self.item.object = Some(object);
                id.take();
            }
        }
        for about in record.all(&["descriptiveMetadata"]) {
            self.describe(about);
            about
                .all(&["eventWrap", "eventSet", "event"])
                .into_iter()
                .for_each(|e| self.event(e));
        }
        for about in record.all(&["administrativeMetadata"]) {
            self.rights(about);
        }
    }

    fn describe(&mut self, about: &Node) {
        let (only, item) = (self.only, &mut self.item);
        words_of(
            &mut item.name,
            only,
            &about.all(&[
                "objectClassificationWrap",
                "objectWorkTypeWrap",
                "objectWorkType",
                "term",
            ]),
        );
        let own = ["objectIdentificationWrap"];
        let below = |path: &[&str]| about.all(&[&own[..], path].concat());
        words_of(
            &mut item.title,
            only,
            &below(&["titleWrap", "titleSet", "appellationValue"]),
        );
        // The first place is the present one, in all records that we have seen described.
        if let Some(held) = below(&["repositoryWrap", "repositorySet"]).first() {
            words_of(
                &mut item.keeper,
                only,
                &held.all(&["repositoryName", "legalBodyName", "appellationValue"]),
            );
            words_of(
                &mut item.location,
                only,
                &held.all(&["repositoryLocation", "namePlaceSet", "appellationValue"]),
            );
            if let Some(id) = held.all(&["workID"]).first()
                && item.number.is_none()
                && let Some(number) = id.words()
            {
                item.number = Some(number);
                id.take();
            }
        }
        for set in below(&["objectDescriptionWrap", "objectDescriptionSet"]) {
            for note in set.all(&["descriptiveNoteValue"]) {
                match set.attribute("type") {
                    Some(FINISH) => put(&mut item.finish, only, note, note.words()),
                    Some(LABEL) => put(&mut item.label, only, note, note.words()),
                    _ => put(
                        &mut item.words,
                        only,
                        note,
                        note.lines().map(|t| as_markdown(&t)),
                    ),
                }
            }
        }
    }

    fn event(&mut self, event: &Node) {
        let only = self.only;
        let concepts = event.all(&["eventType", "conceptID"]);
        let terms = event.all(&["eventType", "term"]);
        let is = |id: &str, word: &str| {
            concepts
                .iter()
                .any(|c| c.words().is_some_and(|w| w.ends_with(id)))
                || terms
                    .iter()
                    .any(|t| t.words().is_some_and(|w| w.eq_ignore_ascii_case(word)))
        };
        let known = || concepts.iter().chain(&terms).for_each(|n| n.take());
        if terms
            .iter()
            .any(|t| t.words().as_deref() == Some(DIGITISATION))
        {
            let day = event.all(&["eventDate", "date", "latestDate"]);
            if let Some(node) = day.first()
                && let Some(Ok(day)) = node.words().map(|w| w.parse::<Day>())
                && self.item.scanned.is_none()
            {
                self.item.scanned = Some(day);
                node.take();
                known();
                let same = event.all(&["eventDate", "date", "earliestDate"]);
                same.iter()
                    .filter(|n| n.words() == node.words())
                    .for_each(|n| n.take());
            }
            return;
        }
        if !is(PRODUCTION, "production") && !is(CREATION, "creation") {
            return;
        }
        known();
        let item = &mut self.item;
        first_of(
            &mut item.date,
            only,
            event,
            &[&["eventDate", "displayDate"]],
        );
        if item.date.0.is_empty() {
            self.span_of_dates(event);
        }
        let item = &mut self.item;
        first_of(
            &mut item.place,
            only,
            event,
            &[
                &["eventPlace", "displayPlace"],
                &["eventPlace", "place", "namePlaceSet", "appellationValue"],
            ],
        );
        first_of(
            &mut item.maker,
            only,
            event,
            &[
                &["eventActor", "displayActorInRole"],
                &[
                    "eventActor",
                    "actorInRole",
                    "actor",
                    "nameActorSet",
                    "appellationValue",
                ],
            ],
        );
        for made in event.all(&["eventMaterialsTech", "materialsTech", "termMaterialsTech"]) {
            let technique = made
                .attribute("type")
                .is_some_and(|t| t.to_lowercase().contains("technique"));
            if technique {
                // A technique is no material; its term is told as left out.
                continue;
            }
            let mut material = ItemMaterial::default();
            words_of(&mut material.name, only, &made.all(&["term"]));
            if material.name.0.is_empty() {
                continue;
            }
            if let Some(id) = made.all(&["conceptID"]).first()
                && let Some(Ok(own)) = id.words().map(|w| w.parse())
            {
                material.id = Some(own);
                id.take();
            }
            item.materials.push(material);
        }
    }

    /// Where no date is written to be read: from the earliest to the latest.
    fn span_of_dates(&mut self, event: &Node) {
        let one = |name: &str| event.all(&["eventDate", "date", name]).into_iter().next();
        let (earliest, latest) = (one("earliestDate"), one("latestDate"));
        let lang = event.lang.as_ref().or(self.only);
        let words = |n: Option<&Node>| n.and_then(Node::words);
        let text = match (words(earliest), words(latest)) {
            (Some(a), Some(b)) if a != b => format!("{a}–{b}"),
            (Some(a), _) | (None, Some(a)) => a,
            (None, None) => return,
        };
        if let Some(lang) = lang {
            self.item.date.0.insert(lang.clone(), text);
            earliest.into_iter().chain(latest).for_each(Node::take);
        }
    }

    fn rights(&mut self, about: &Node) {
        for set in about.all(&["rightsWorkWrap", "rightsWorkSet"]) {
            self.agreement(set, WORK);
        }
        for set in about.all(&["recordWrap", "recordRights"]) {
            if let Some(id) = self.agreement(set, "record") {
                self.item.words_rights.get_or_insert(id);
            }
        }
    }

    /// One statement of rights; its id when its licence is known.
    fn agreement(&mut self, set: &Node, name: &str) -> Option<RightsId> {
        let holders = set.all(&["rightsHolder", "legalBodyName", "appellationValue"]);
        let holder = holders.first().and_then(|n| n.words())?;
        let types: Vec<&Node> = ["conceptID", "term"]
            .iter()
            .flat_map(|n| set.all(&["rightsType", n]))
            .collect();
        let known = types
            .iter()
            .find_map(|n| Some((*n, StatementUri::try_from(n.words()?).ok()?)));
        holders.first().into_iter().for_each(|n| n.take());
        let Some((node, statement)) = known else {
            let said: Vec<String> = types.iter().filter_map(|n| n.words()).collect();
            types.iter().for_each(|n| n.take());
            self.item.unjudged.push((holder, said.join("; ")));
            return None;
        };
        node.take();
        let own = set
            .attribute("type")
            .and_then(|t| RightsId::try_from(t.to_owned()).ok());
        let mut id = own.or_else(|| name.parse().ok())?;
        for n in 2.. {
            if self.item.rights.iter().all(|r| r.id != id) {
                break;
            }
            id = format!("{name}-{n}").parse().ok()?;
        }
        let day = |name: &str| {
            let nodes = set.all(&["rightsDate", name]);
            let node = nodes.first()?;
            let day = node.words()?.parse().ok()?;
            node.take();
            Some(day)
        };
        let mut credit = Localised::default();
        words_of(&mut credit, self.only, &set.all(&["creditLine"]));
        self.item.rights.push(Rights {
            id: id.clone(),
            holder,
            statement,
            // LIDO does not say for what leave was given: the keeper does.
            permits: Vec::new(),
            from: day("earliestDate"),
            until: day("latestDate"),
            otherwise: Otherwise::default(),
            finest_mm: None,
            credit: Some(credit).filter(|c| !c.0.is_empty()),
        });
        Some(id)
    }
}

/// Plain text as Markdown that says the same: every sign that Markdown reads is held off.
fn as_markdown(text: &str) -> String {
    let mut out = String::new();
    for (n, line) in text.lines().filter(|l| !l.is_empty()).enumerate() {
        if n > 0 {
            out.push_str("\n\n");
        }
        for c in line.chars() {
            if c.is_ascii_punctuation() && !",;:?!/%".contains(c) {
                out.push('\\');
            }
            out.push(c);
        }
    }
    out
}

/// A name for the folder of a received object that has none.
pub(crate) fn named(item: &Item) -> Option<ObjectId> {
    let title = item.title.0.values().next().or(item.name.0.values().next());
    let text = title.or(item.number.as_ref())?;
    ObjectId::try_from(suggest(text)).ok()
}
