//! Texts that the page reads, writes, keeps as drafts, bins and brings back.

use crate::desk::pen::{BinId, Change, Fresh, Inside, Leaf, Version, WindowId, amended};
use crate::desk::refused::Refused;
use crate::desk::server::Desk;
use serde::Deserialize;
use serde_json::{Value, json};

/// A text file, its version, and of a record what it says.
pub(super) fn read(desk: &Desk, path: &str) -> Result<Value, Refused> {
    let file = Inside::new(path)?;
    let Some(Leaf { text, version }) = desk.pen.read(&file)? else {
        return Ok(json!({ "path": path, "version": null, "text": "", "facts": null }));
    };
    let facts: Option<toml::Value> = path
        .ends_with(".toml")
        .then(|| toml::from_str(&text).ok())
        .flatten();
    Ok(
        json!({ "path": path, "version": version, "text": text, "facts": facts.as_ref().map(plain) }),
    )
}

/// TOML as JSON; days as text.
fn plain(value: &toml::Value) -> Value {
    match value {
        toml::Value::String(s) => json!(s),
        toml::Value::Integer(i) => json!(i),
        toml::Value::Float(f) => json!(f),
        toml::Value::Boolean(b) => json!(b),
        toml::Value::Datetime(d) => json!(d.to_string()),
        toml::Value::Array(all) => all.iter().map(plain).collect(),
        toml::Value::Table(table) => {
            Value::Object(table.iter().map(|(k, v)| (k.clone(), plain(v))).collect())
        }
    }
}

/// Files to be written, all or none.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Save {
    files: Vec<Written>,
    why: String,
    /// Whose drafts of these files are done with.
    window: Option<WindowId>,
}

/// One of them: a whole text, or changes of single values.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    path: String,
    version: Option<Version>,
    text: Option<String>,
    #[serde(default)]
    changes: Vec<Change>,
}

pub(super) fn save(desk: &Desk, asked: &Save) -> Result<Value, Refused> {
    let mut fresh = Vec::new();
    for one in &asked.files {
        let file = Inside::new(&one.path)?;
        let text = match &one.text {
            Some(text) => text.clone(),
            None => {
                // Changes are made to what was seen; whether it is still so, the pen checks.
                let base = match (&one.version, desk.pen.read(&file)?) {
                    (None, _) => String::new(),
                    (Some(_), Some(leaf)) => leaf.text,
                    (Some(_), None) => {
                        return Err(Refused::missing(format!("‘{file}’ is no longer there.")));
                    }
                };
                amended(&file, &base, &one.changes)?
            }
        };
        fresh.push(Fresh {
            file,
            expected: one.version.clone(),
            text,
        });
    }
    let versions = desk.pen.write_all(&fresh, &asked.why, (desk.clock)())?;
    if let Some(window) = &asked.window {
        for one in &fresh {
            desk.pen.drop_draft(window, &one.file)?;
        }
    }
    desk.live.poke();
    Ok(json!({ "versions": versions }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Drafted {
    window: WindowId,
    path: String,
    base: Option<Version>,
    /// The draft is let go when there is none.
    text: Option<String>,
}

pub(super) fn draft(desk: &Desk, asked: &Drafted) -> Result<Value, Refused> {
    let file = Inside::new(&asked.path)?;
    match &asked.text {
        Some(text) => desk.pen.draft(
            &asked.window,
            &file,
            asked.base.as_ref(),
            text,
            (desk.clock)(),
        )?,
        None => desk.pen.drop_draft(&asked.window, &file)?,
    }
    Ok(json!({ "kept": asked.text.is_some() }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Binning {
    path: String,
}

pub(super) fn bin(desk: &Desk, asked: &Binning) -> Result<Value, Refused> {
    let what = Inside::folder(&asked.path).or_else(|_| Inside::new(&asked.path))?;
    let binned = desk.pen.bin(&what, (desk.clock)())?;
    desk.live.poke();
    Ok(json!(binned))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Restoring {
    id: BinId,
}

pub(super) fn restore(desk: &Desk, asked: &Restoring) -> Result<Value, Refused> {
    let place = desk.pen.restore(&asked.id, (desk.clock)())?;
    desk.live.poke();
    Ok(json!({ "place": place.as_str() }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Translated {
    note: String,
    source: String,
    why: String,
}

/// Says that a translation says what its source says now.
pub(super) fn translated(desk: &Desk, asked: &Translated) -> Result<Value, Refused> {
    let (file, source) = (Inside::new(&asked.note)?, Inside::new(&asked.source)?);
    let gone = |what: &Inside| Refused::missing(format!("There is no ‘{what}’."));
    let note = desk.pen.read(&file)?.ok_or_else(|| gone(&file))?;
    let from = desk.pen.read(&source)?.ok_or_else(|| gone(&source))?;
    let digest = crate::record::wording_digest(&from.text);
    let note = Fresh {
        file,
        expected: Some(note.version),
        text: note.text,
    };
    desk.pen
        .write_translation(&note, &source, &digest, &asked.why, (desk.clock)())?;
    desk.live.poke();
    Ok(json!({ "said": true }))
}
