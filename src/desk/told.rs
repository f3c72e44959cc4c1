//! What the page is told: the survey, as plain data.

use super::live::Seen;
use crate::collate::{Explained, ObjectGeometry, shown_on};
use crate::messages::Messages;
use crate::record::{
    BodyKind, Freshness, Object, ObjectId, SourceFile, TRANSLATIONS, Translations,
};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::Path;

/// Folders of the content folder that are no objects.
const OTHERS: [&str; 1] = ["terms"];

/// Everything on the first page and the lists of every other.
pub(super) fn desk(content: &Path, seen: &Seen, messages: &Messages) -> Value {
    let theme = seen.site.as_ref().and_then(|s| s.look.theme.clone());
    let objects: Vec<Value> = folders(content)
        .into_iter()
        .filter(|name| !OTHERS.contains(&name.as_str()) && theme.as_ref() != Some(name))
        .map(|name| object(content, seen, &name))
        .collect();
    let site = seen.site.as_ref().map(|site| {
        json!({
            "languages": site.languages, "name": site.name, "publisher": site.publisher,
            "people": site.people.iter().map(|(id, p)| (id.to_string(), p.name.clone())).collect::<BTreeMap<_, _>>(),
        })
    });
    let findings: Vec<Value> = seen
        .findings
        .iter()
        .map(|f| {
            json!({
                "severity": f.severity, "rule": f.rule, "file": f.place.file, "line": f.place.line,
                "start": f.place.span.start, "end": f.place.span.end, "what": messages.say(&f.what), "remedy": messages.say(&f.remedy),
            })
        })
        .collect();
    let (errors, advice) = seen.findings.counts();
    json!({
        "number": seen.number, "measuring": seen.measuring, "site": site, "objects": objects,
        "translations": translations(seen), "terms": folders(&content.join("terms")), "findings": findings,
        "errors": errors, "advice": advice,
        "publishable": seen.catalogue.is_some() && errors == 0 && seen.measuring.is_empty(),
    })
}

/// Names of the folders in a folder, without hidden ones and links.
fn folders(folder: &Path) -> Vec<String> {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut names: Vec<String> = entries
        .flatten()
        .filter(|e| e.file_type().is_ok_and(|t| t.is_dir()))
        .filter_map(|e| e.file_name().into_string().ok())
        .filter(|name| !name.starts_with('.'))
        .collect();
    names.sort();
    names
}

/// The first heading of every note in a folder, by language.
fn titles(seen: &Seen, folder: &str) -> BTreeMap<String, String> {
    let prefix = format!("{folder}/");
    let note = |file: &SourceFile| {
        let lang = file.name.strip_prefix(&prefix)?.strip_suffix(".md")?;
        let title = file.text.lines().find(|line| !line.trim().is_empty())?;
        let title = title.strip_prefix("# ")?.trim();
        (!lang.contains('/')).then(|| (lang.to_owned(), title.to_owned()))
    };
    seen.sources.iter().filter_map(note).collect()
}

fn object(content: &Path, seen: &Seen, name: &str) -> Value {
    let id: Option<ObjectId> = name.parse().ok();
    let record = id
        .as_ref()
        .and_then(|id| seen.catalogue.as_ref()?.object(id));
    let geometry = id.as_ref().and_then(|id| seen.geometry.get(id));
    // The keeper's order where there is one; what cannot be read yet comes after.
    let mut details: Vec<String> = record
        .map(|o| o.details.iter().map(|d| d.id.to_string()).collect())
        .unwrap_or_default();
    for found in folders(&content.join(name).join("details")) {
        if !details.contains(&found) {
            details.push(found);
        }
    }
    let details: Vec<Value> = details
        .iter()
        .map(|detail| {
            let folder = format!("{name}/details/{detail}");
            json!({ "id": detail, "titles": titles(seen, &folder), "place": place(record, geometry.map(AsRef::as_ref), detail) })
        })
        .collect();
    let steps: Vec<Value> = folders(&content.join(name).join("making"))
        .into_iter()
        .map(|step| json!({ "id": step, "titles": titles(seen, &format!("{name}/making/{step}")) }))
        .collect();
    json!({
        "id": name, "titles": titles(seen, name), "details": details, "steps": steps,
        "recorded": seen.sources.get(&format!("{name}/record.toml")).is_some(),
        "bodies": geometry.map(|g| bodies(g)),
        "front": geometry.map(|g| g.front),
        "unexplained": geometry.map_or_else(Vec::new, |g| unexplained(g)),
    })
}

/// Where a detail is drawn.
fn place(record: Option<&Object>, geometry: Option<&ObjectGeometry>, detail: &str) -> Value {
    let found = record.and_then(|o| o.details.iter().find(|d| d.id.as_str() == detail));
    let placed = found.and_then(|d| {
        let body = d.record.anchor.body;
        let placed = geometry?.places.get(&d.id)?.get(&body)?;
        Some(json!({
            "body": body, "at": placed.point.to_array(), "normal": placed.normal.to_array(), "kind": d.record.kind,
        }))
    });
    placed.unwrap_or(Value::Null)
}

/// Measures of every part, for whoever has just dropped a scan.
fn bodies(geometry: &ObjectGeometry) -> Value {
    let of = |(kind, body): (&BodyKind, &crate::collate::BodyGeometry)| {
        let parts: Vec<Value> = body
            .parts
            .iter()
            .map(|part| {
                let m = &part.condition.measures;
                json!({
                    "id": part.id, "triangles": part.mesh.triangles().len(),
                    "size_mm": m.bounds.size().to_array(), "volume_mm3": m.volume.span_mm3(),
                    "area_mm2": m.area_mm2, "openings": m.openings.len(), "pieces": m.shells.len(),
                })
            })
            .collect();
        (
            kind.word().to_owned(),
            json!({
                "parts": parts, "low": body.bounds.min.to_array(), "high": body.bounds.max.to_array(),
            }),
        )
    };
    Value::Object(geometry.bodies.iter().map(of).collect())
}

/// Differences that no detail explains, the largest first, each with what a detail would be begun from.
fn unexplained(geometry: &ObjectGeometry) -> Vec<Value> {
    let Some(collation) = &geometry.collation else {
        return Vec::new();
    };
    let open = collation.found.iter();
    open.filter(|f| f.explained == Explained::Not)
        .filter_map(|found| {
            let region = &collation.part(&found.part)?.comparison.regions[found.index];
            let body = shown_on(region.kind);
            let shape = geometry.bodies.get(&body)?;
            Some(json!({
                "number": found.number, "part": found.part, "way": region.kind.word(), "body": body,
                "area_mm2": region.area_mm2, "volume_mm3": region.volume_mm3, "max_mm": region.max_mm,
                "point_mm": super::place::written(shape, region.centre),
                "radius_mm": (region.spot.radius_mm * 10.0).ceil() / 10.0,
                "near": found.near.iter().map(|(id, mm)| json!({ "detail": id, "mm": mm })).collect::<Vec<_>>(),
            }))
        })
        .collect()
}

/// How every translated note stands to its source.
fn translations(seen: &Seen) -> BTreeMap<String, Freshness> {
    let Some(site) = &seen.site else {
        return BTreeMap::new();
    };
    let text = seen.sources.get(TRANSLATIONS).map(|f| f.text.as_str());
    let said: Translations = text
        .and_then(|t| toml::from_str(t).ok())
        .unwrap_or_default();
    let others = site.languages.iter().skip(1);
    let endings: Vec<String> = others.map(|lang| format!("/{lang}.md")).collect();
    let notes = seen
        .sources
        .iter()
        .filter(|f| endings.iter().any(|e| f.name.ends_with(e)));
    notes
        .map(|file| {
            let state = said.state(&file.name, |name| {
                Some(seen.sources.get(name)?.text.clone())
            });
            (file.name.clone(), state)
        })
        .collect()
}
