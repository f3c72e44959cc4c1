//! What the program made: decimated levels, pictures, the collation, documents in open formats, and a
//! copy of the object's pages.

use super::{Content, Files, body_withheld, model_withheld};
use crate::collate::{self, ObjectGeometry};
use crate::deposit::DepositError;
use crate::record::{BodyKind, Object, Withheld};
use crate::site::Composed;
use crate::site::page::{BodyView, Picture};
use crate::survey::measured_of;
use serde_json::Value;

/// Something that is not in the bag, beside the assets themselves.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::deposit) enum Left {
    /// A file that no record names.
    Unnamed(String),
    /// What cameras and programs wrote into a file that is there otherwise: its name, and the SHA-512 of
    /// the file as it was received.
    Remarks(String, String),
    /// A file of which it cannot be told what it carries beside pictures or sound.
    Unread(String),
    /// Levels and pictures of a body.
    Body(BodyKind),
    /// Pictures of differences, drawings for fingers, and distances, which tell of both bodies.
    Both,
    /// The copy of the pages.
    Site,
}

/// Which bodies may be shown.
#[derive(Debug, Clone)]
pub(in crate::deposit) struct Shown {
    bodies: Vec<BodyKind>,
    /// Every body may.
    pub(in crate::deposit) all: bool,
    /// Every scan may be handed on as fine as it is.
    fine: bool,
}

impl Shown {
    pub(super) fn of(object: &Object, withheld: &[Withheld]) -> Self {
        let kinds = [BodyKind::Original, BodyKind::Replica];
        let there = kinds
            .into_iter()
            .filter(|k| object.record.bodies.get(*k).is_some());
        let there: Vec<BodyKind> = there.collect();
        let may = |kind: &BodyKind| !body_withheld(withheld, *kind);
        Self {
            all: there.iter().all(may),
            fine: !model_withheld(withheld),
            bodies: there.into_iter().filter(may).collect(),
        }
    }

    /// Whether this body may be shown, by its word.
    pub(in crate::deposit) fn may(&self, body: &str) -> bool {
        self.bodies.iter().any(|kind| kind.word() == body)
    }
}

/// Puts all of it in; gives what is left out for the sake of a model.
pub(super) fn put(
    object: &Object,
    geometry: &ObjectGeometry,
    composed: &Composed,
    shown: &Shown,
    files: &mut Files,
) -> Result<Vec<Left>, DepositError> {
    let mut left = Vec::new();
    let told = composed.said.values().next();
    for body in told.iter().flat_map(|t| &t.object.bodies) {
        if shown.may(body.kind) {
            levels(body, composed, files)?;
        } else if body.kind == BodyKind::Original.word() {
            left.push(Left::Body(BodyKind::Original));
        } else {
            left.push(Left::Body(BodyKind::Replica));
        }
    }
    if let Some(told) = told {
        for (name, picture) in super::super::told::pictures(told, shown) {
            let path = largest(picture);
            put_from_site(&name, path, composed, files)?;
        }
        if shown.all {
            for drawing in &told.raised {
                let name = format!("data/pictures/raised-lines/drawing-{}.svg", drawing.number);
                put_from_site(&name, &drawing.href, composed, files)?;
            }
        }
    }
    collation(object, geometry, shown, files)?;
    for (name, path) in composed.documents.get(&object.id).into_iter().flatten() {
        put_from_site(&format!("data/formats/{name}"), path, composed, files)?;
    }
    if geometry.collation.is_some() && !shown.fine {
        left.push(Left::Both);
    }
    if shown.all {
        for (name, bytes) in &composed.files {
            files.insert(format!("data/site/{name}"), Content::Bytes(bytes.clone()));
        }
    } else {
        left.push(Left::Site);
    }
    Ok(left)
}

fn levels(body: &BodyView, composed: &Composed, files: &mut Files) -> Result<(), DepositError> {
    for level in &body.model.levels {
        // `../assets/mortar-replica-phone.1a2b.glb`: what stands before the digest is its name.
        let file = level.href.rsplit('/').next().unwrap_or(&level.href);
        let stem = file.split('.').next().unwrap_or(file);
        let name = format!("data/levels/{stem}.glb");
        put_from_site(&name, &level.href, composed, files)?;
    }
    Ok(())
}

/// The path of the largest file of a picture that every reader opens, as a page points at it.
pub(in crate::deposit) fn largest(picture: &Picture) -> &str {
    let last = picture.fallback.rsplit(", ").next().unwrap_or(&picture.src);
    last.rsplit_once(' ').map_or(last, |(path, _)| path)
}

fn put_from_site(
    name: &str,
    href: &str,
    composed: &Composed,
    files: &mut Files,
) -> Result<(), DepositError> {
    let path = href.trim_start_matches("../");
    let bytes = composed.files.get(path).ok_or_else(|| {
        DepositError::Io(format!(
            "the site has no file ‘{path}’, which its pages show"
        ))
    })?;
    let ending = path.rsplit('.').next().unwrap_or("");
    let name = match name.ends_with(&format!(".{ending}")) {
        true => name.to_owned(),
        false => format!("{name}.{ending}"),
    };
    files.insert(name, Content::Bytes(bytes.clone()));
    Ok(())
}

/// Everything measured, as data; differences as a table; distances on the surfaces themselves.
fn collation(
    object: &Object,
    geometry: &ObjectGeometry,
    shown: &Shown,
    files: &mut Files,
) -> Result<(), DepositError> {
    let mut measured = measured_of(Some(object), geometry);
    let comparison = measured
        .as_object_mut()
        .and_then(|m| m.remove("comparison"));
    let mut put = |name: &str, value: &Value| -> Result<(), DepositError> {
        let mut text = serde_json::to_vec_pretty(value)
            .map_err(|e| DepositError::Io(format!("writing {name}: {e}")))?;
        text.push(b'\n');
        files.insert(format!("data/collation/{name}"), Content::Bytes(text));
        Ok(())
    };
    put("measured.json", &measured)?;
    let Some(found) = &geometry.collation else {
        return Ok(());
    };
    if let Some(comparison) = comparison {
        put("collation.json", &comparison)?;
    }
    let table = collate::csv(found).into_bytes();
    files.insert(
        "data/collation/differences.csv".to_owned(),
        Content::Bytes(table),
    );
    // These are the surfaces of the scans themselves.
    if shown.fine {
        for part in &found.parts {
            for body in [BodyKind::Original, BodyKind::Replica] {
                let name = format!("data/collation/distances/{}-{}.ply", body.word(), part.part);
                files.insert(name, Content::Bytes(collate::ply(part, body)));
            }
        }
    }
    Ok(())
}
