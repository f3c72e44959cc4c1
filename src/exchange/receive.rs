//! New objects from what was received: answers for the accession, and the record beside them as it
//! came.

use super::fault::Taken;
use super::item::Item;
use super::lido;
use crate::accession::{Answers, BodyAnswers, MaterialAnswers, Starting};
use crate::record::{BodyKind, Ground, MaterialId, ObjectId, Rights, Source, SourceId, suggest};
use std::collections::BTreeMap;

/// An object that is to be begun.
#[derive(Debug, Clone)]
pub struct Coming {
    /// What it becomes.
    pub starting: Starting,
    /// What was left out of it, by column or path, and how often.
    pub left: BTreeMap<String, usize>,
}

/// The source that a received record is, in the new record.
const RECEIVED: &str = "received-record";

/// What becomes of received records. `called` is the name of the received file, `ending` that of its
/// kind.
///
/// # Errors
/// A record for whose folder there is no name, or two with the same one: a sentence for each.
pub fn coming(records: Vec<Taken>, called: &str, ending: &str) -> Result<Vec<Coming>, Vec<String>> {
    let (mut all, mut faults) = (Vec::new(), Vec::new());
    let mut seen: BTreeMap<ObjectId, usize> = BTreeMap::new();
    for (number, record) in records.into_iter().enumerate() {
        let Some(id) = record
            .item
            .object
            .clone()
            .or_else(|| lido::named(&record.item))
        else {
            faults.push(format!(
                "Record {} has neither title nor number, so there is no name for its folder. Give it one.",
                number + 1
            ));
            continue;
        };
        if let Some(first) = seen.insert(id.clone(), number + 1) {
            faults.push(format!(
                "Records {first} and {} would both be called {id}. Give one another title, or name its folder in the column ‘object’.",
                number + 1
            ));
        }
        let answers = answers(&record.item, called, ending);
        let starting = Starting {
            id,
            answers,
            received: Some((format!("received/record.{ending}"), record.received)),
        };
        all.push(Coming {
            starting,
            left: record.left.0,
        });
    }
    if faults.is_empty() {
        Ok(all)
    } else {
        Err(faults)
    }
}

/// Nothing is made up: whatever was not received is left for later.
fn answers(item: &Item, called: &str, ending: &str) -> Answers {
    let mut answers = Answers {
        titles: item.title.clone(),
        number: item.number.clone(),
        name: item.name.clone(),
        date: item.date.clone(),
        place: item.place.clone(),
        maker: item.maker.clone(),
        keeper: item.keeper.clone(),
        label: item.label.clone(),
        words: item.words.clone(),
        agreements: item.rights.clone(),
        words_rights: item.words_rights.clone(),
        ..Answers::default()
    };
    // What was received is a document, and the record says which.
    if let Ok(id) = SourceId::try_from(RECEIVED.to_owned()) {
        answers.ground = Some(Ground::Documented);
        answers.source = Some(id.clone());
        let source = Source {
            author: None,
            title: format!("{called}, kept as received/record.{ending}"),
            lang: None,
            date: None,
            held: None,
        };
        answers.sources.insert(id, source);
    }
    answers.bodies.insert(
        BodyKind::Original,
        BodyAnswers {
            location: item.location.clone(),
            finish: item.finish.clone(),
            dated: item.scanned,
            ..BodyAnswers::default()
        },
    );
    if let Some(replica) = &item.replica {
        answers.bodies.insert(
            BodyKind::Replica,
            BodyAnswers {
                location: replica.location.clone(),
                finish: replica.finish.clone(),
                dated: replica.made,
                ..BodyAnswers::default()
            },
        );
    }
    for (number, material) in item.materials.iter().enumerate() {
        let name = material.name.0.values().next();
        let id = material.id.clone().or_else(|| {
            let id = name.map_or(format!("material-{}", number + 1), |n| suggest(n));
            MaterialId::try_from(id).ok()
        });
        if let Some(id) = id {
            let answer = MaterialAnswers {
                name: material.name.clone(),
                density_g_per_cm3: material.density_g_per_cm3,
                ground: None,
            };
            answers.materials.entry(id).or_insert(answer);
        }
    }
    answers.remarks = remarks(item);
    answers
}

/// What the keeper has to judge, as lines of the record that are not read.
fn remarks(item: &Item) -> Vec<String> {
    let line = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let unjudged = item.unjudged.iter().map(|(holder, said)| {
        format!("Rights as received: {}: {}. Write them as [[rights]] once it is known what they permit.", line(holder), line(said))
    });
    let silent = item.rights.iter().filter(|r| r.permits.is_empty());
    let silent = silent.map(|r: &Rights| {
        format!(
            "Nothing that was received says what the rights ‘{}’ permit: fill in their ‘permits’.",
            r.id
        )
    });
    unjudged.chain(silent).collect()
}
