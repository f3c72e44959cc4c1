//! The cells of an item, by the keys of their columns.

use crate::exchange::item::{Item, ItemMaterial, Measured};
use crate::record::{BodyKind, Localised, Otherwise, Rights};
use std::collections::BTreeMap;

/// All values of an item by the key of their column, languages included.
pub(super) fn cells(item: &Item) -> BTreeMap<String, String> {
    let mut out = BTreeMap::new();
    let mut put = |key: &str, text: String| {
        if !text.is_empty() {
            out.insert(key.to_owned(), text);
        }
    };
    put(
        "object",
        item.object
            .as_ref()
            .map(ToString::to_string)
            .unwrap_or_default(),
    );
    put("number", item.number.clone().unwrap_or_default());
    put(
        "words_rights",
        item.words_rights
            .as_ref()
            .map(ToString::to_string)
            .unwrap_or_default(),
    );
    put(
        "scanned",
        item.scanned.map(|d| d.to_string()).unwrap_or_default(),
    );
    let mut spoken = |key: &str, texts: &Localised| {
        for (lang, text) in &texts.0 {
            put(&format!("{key}.{lang}"), text.clone());
        }
    };
    for (key, texts) in item.spoken() {
        spoken(key, texts);
    }
    if let Some(replica) = &item.replica {
        spoken("replica.location", &replica.location);
        spoken("replica.finish", &replica.finish);
    }
    for (n, material) in item.materials.iter().enumerate() {
        spoken(&format!("material.{}.name", n + 1), &material.name);
    }
    for (n, rights) in item.rights.iter().enumerate() {
        spoken(
            &format!("rights.{}.credit", n + 1),
            &rights.credit.clone().unwrap_or_default(),
        );
    }
    if let Some(day) = item.replica.as_ref().and_then(|r| r.made) {
        put("replica.made", day.to_string());
    }
    for (n, material) in item.materials.iter().enumerate() {
        of_material(&format!("material.{}", n + 1), material, &mut put);
    }
    for (n, rights) in item.rights.iter().enumerate() {
        of_rights(&format!("rights.{}", n + 1), rights, &mut put);
    }
    for (kind, measured) in &item.measured {
        let body = if *kind == BodyKind::Replica {
            "replica."
        } else {
            ""
        };
        of_measured(body, measured, &mut put);
    }
    out
}

fn of_material(at: &str, material: &ItemMaterial, put: &mut dyn FnMut(&str, String)) {
    if let Some(id) = &material.id {
        put(&format!("{at}.id"), id.to_string());
    }
    if let Some([low, high]) = material.density_g_per_cm3 {
        put(&format!("{at}.lowest_g_per_cm3"), low.to_string());
        put(&format!("{at}.highest_g_per_cm3"), high.to_string());
    }
}

fn of_rights(at: &str, rights: &Rights, put: &mut dyn FnMut(&str, String)) {
    put(&format!("{at}.id"), rights.id.to_string());
    put(&format!("{at}.holder"), rights.holder.clone());
    put(&format!("{at}.statement"), rights.statement.to_string());
    let permits: Vec<&str> = rights.permits.iter().map(|u| u.word()).collect();
    put(&format!("{at}.permits"), permits.join(" "));
    for (key, day) in [("from", rights.from), ("until", rights.until)] {
        put(
            &format!("{at}.{key}"),
            day.map(|d| d.to_string()).unwrap_or_default(),
        );
    }
    if rights.otherwise != Otherwise::default() {
        put(
            &format!("{at}.otherwise"),
            rights.otherwise.word().to_owned(),
        );
    }
    put(
        &format!("{at}.finest_mm"),
        rights
            .finest_mm
            .map(|mm| mm.to_string())
            .unwrap_or_default(),
    );
}

fn of_measured(body: &str, measured: &Measured, put: &mut dyn FnMut(&str, String)) {
    for (k, name) in ["width_mm", "height_mm", "depth_mm"].iter().enumerate() {
        put(&format!("{body}{name}"), measured.size_mm[k].clone());
        if let Some(within) = &measured.within_mm {
            put(&format!("{body}{name}_within"), within[k].clone());
        }
    }
    if let Some(mass) = &measured.mass {
        put(&format!("{body}mass_g"), mass.value_g.to_string());
        put(&format!("{body}mass_g_within"), mass.within_g.to_string());
    }
}
