//! New objects and the scans that come in for them.

use crate::accession::{self, Answers};
use crate::desk::pen::Inside;
use crate::desk::refused::Refused;
use crate::desk::server::Desk;
use crate::record::{LengthUnit, ObjectId, UpAxis};
use serde::Deserialize;
use serde_json::{Value, json};
use std::sync::Arc;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Naming {
    title: String,
    #[serde(default)]
    taken: Vec<String>,
}

/// A name for a folder, from a title; another when it is taken.
pub(super) fn named(asked: &Naming) -> Value {
    let wanted = crate::record::suggest(&asked.title);
    let numbered = (2..).map(|n| format!("{wanted}-{n}"));
    let name = std::iter::once(wanted.clone())
        .chain(numbered)
        .find(|n| !asked.taken.contains(n));
    json!({ "name": name })
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Beginning {
    id: ObjectId,
    answers: Answers,
}

pub(super) fn begun(desk: &Desk, asked: &Beginning) -> Result<Value, Refused> {
    let begun = accession::begin(&desk.pen, &asked.id, &asked.answers, (desk.clock)())?;
    desk.live.poke();
    Ok(json!(begun))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Measuring {
    path: String,
    unit: Option<LengthUnit>,
    #[serde(default)]
    up: UpAxis,
}

/// A scan that has just come in: in which units it may be, and once that is said, what it measures.
pub(super) fn measured(desk: &Arc<Desk>, asked: &Measuring) -> Result<Value, Refused> {
    let inside = Inside::new(&asked.path)?;
    let missing = || Refused::missing(format!("There is no ‘{inside}’."));
    let root = desk.content.canonicalize().map_err(|_| missing())?;
    let path = root
        .join(inside.as_str())
        .canonicalize()
        .map_err(|_| missing())?;
    if !path.starts_with(&root) {
        return Err(missing());
    }
    let unfit = |e: crate::mesh::MeshError| {
        Refused::cannot(format!("The scan cannot be used: {}. {}", e.what, e.remedy))
    };
    let Some(unit) = asked.unit else {
        let choices = accession::unit_choices(&path, &desk.limits).map_err(unfit)?;
        return Ok(json!({ "units": choices }));
    };
    let teller = Measurer(desk);
    let scan = accession::look(&path, unit, asked.up, &desk.limits, &teller).map_err(unfit)?;
    Ok(json!({ "scan": scan.json(), "plain": scan.plain() }))
}

struct Measurer<'a>(&'a Desk);

impl crate::progress::Listener for Measurer<'_> {
    fn progress(&self, done: usize, total: usize, what: &str) {
        self.0
            .tell(&json!({ "measured": { "done": done, "total": total, "what": what } }));
    }
}
