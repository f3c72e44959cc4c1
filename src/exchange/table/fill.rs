//! An item from the values of a row.

use crate::exchange::item::{Item, ItemMaterial, Replica};
use crate::record::{Day, Lang, Localised, Otherwise, Rights, StatementUri, Use};
use std::collections::BTreeMap;

/// A cell with what its column means.
pub(super) struct Value<'a> {
    pub(super) title: &'a str,
    pub(super) key: &'a str,
    pub(super) lang: Option<&'a Lang>,
    pub(super) text: &'a str,
}

/// An agreement, as far as its cells were met.
#[derive(Default)]
struct Agreement<'a> {
    /// A column of it, for faults.
    title: &'a str,
    id: Option<&'a str>,
    holder: Option<&'a str>,
    statement: Option<&'a str>,
    permits: Vec<Use>,
    from: Option<Day>,
    until: Option<Day>,
    otherwise: Otherwise,
    finest_mm: Option<f64>,
    credit: Localised,
}

/// The item; `fault` hears of every value that cannot be.
pub(super) fn item(values: &[Value<'_>], mut fault: impl FnMut(&str, String)) -> Item {
    let mut item = Item::default();
    let mut materials: BTreeMap<usize, ItemMaterial> = BTreeMap::new();
    let mut densities: BTreeMap<usize, [Option<f64>; 2]> = BTreeMap::new();
    let mut agreements: BTreeMap<usize, Agreement<'_>> = BTreeMap::new();
    for value in values {
        let text = value.text;
        let said = match numbered(value.key) {
            Some(("material", n, name)) => {
                let material = materials.entry(n).or_default();
                match name {
                    "id" => id(text).map(|id| material.id = Some(id)),
                    "name" => put(&mut material.name, value),
                    _ => number(text).map(|d| {
                        let high = usize::from(name == "highest_g_per_cm3");
                        densities.entry(n).or_default()[high] = Some(d);
                    }),
                }
            }
            Some((_, n, name)) => agreement(agreements.entry(n).or_default(), name, value),
            None => single(&mut item, value),
        };
        if let Err(why) = said {
            fault(value.title, why);
        }
    }
    for (n, pair) in densities {
        if let ([Some(low), Some(high)], Some(material)) = (pair, materials.get_mut(&n)) {
            material.density_g_per_cm3 = Some([low, high]);
        }
    }
    item.materials = materials.into_values().collect();
    for (n, agreement) in agreements {
        let title = agreement.title;
        match finished(n, agreement) {
            Ok(Ok(rights)) => item.rights.push(rights),
            Ok(Err(unjudged)) => item.unjudged.push(unjudged),
            Err(why) => fault(title, why),
        }
    }
    item
}

/// `rights.1.holder` → group, number, rest.
fn numbered(key: &str) -> Option<(&str, usize, &str)> {
    let (group, rest) = key.split_once('.')?;
    let (number, name) = rest.split_once('.')?;
    Some((group, number.parse().ok()?, name))
}

fn single(item: &mut Item, value: &Value<'_>) -> Result<(), String> {
    let text = value.text;
    match value.key {
        "object" => id(text).map(|id| item.object = Some(id)),
        "number" => {
            item.number = Some(text.trim().to_owned());
            Ok(())
        }
        "words_rights" => id(text).map(|id| item.words_rights = Some(id)),
        "scanned" => day(text).map(|day| item.scanned = Some(day)),
        "replica.made" => day(text).map(|day| replica(item).made = Some(day)),
        "replica.location" => put(&mut replica(item).location, value),
        "replica.finish" => put(&mut replica(item).finish, value),
        key => match item.spoken_mut().into_iter().find(|(k, _)| *k == key) {
            Some((_, texts)) => put(texts, value),
            None => Err("This column is not read.".to_owned()),
        },
    }
}

fn replica(item: &mut Item) -> &mut Replica {
    item.replica.get_or_insert_default()
}

fn agreement<'a>(into: &mut Agreement<'a>, name: &str, value: &Value<'a>) -> Result<(), String> {
    into.title = value.title;
    let text = value.text.trim();
    match name {
        "id" => into.id = Some(text),
        "holder" => into.holder = Some(text),
        "statement" => into.statement = Some(text),
        "permits" => {
            for word in text.split([' ', ',', ';']).filter(|w| !w.is_empty()) {
                let usage = [Use::Display, Use::Download, Use::Print, Use::Deposit];
                let found = usage.into_iter().find(|u| u.word() == word);
                into.permits.push(found.ok_or_else(|| {
                    format!("‘{word}’ is not one of: display, download, print, deposit.")
                })?);
            }
        }
        "from" => into.from = Some(day(text)?),
        "until" => into.until = Some(day(text)?),
        "otherwise" => {
            let words = [Otherwise::Stop, Otherwise::LeaveOut];
            let found = words.into_iter().find(|o| o.word() == text);
            into.otherwise =
                found.ok_or_else(|| format!("‘{text}’ is not one of: stop, leave-out."))?;
        }
        "finest_mm" => into.finest_mm = Some(number(text)?),
        _ => put(&mut into.credit, value)?,
    }
    Ok(())
}

/// What was said of rights under a licence or statement that is not known here.
type Unjudged = (String, String);

fn finished(number: usize, one: Agreement<'_>) -> Result<Result<Rights, Unjudged>, String> {
    let holder = one.holder.ok_or("These rights have no holder.")?;
    let statement = one.statement.unwrap_or_default();
    let Ok(known) = StatementUri::try_from(statement.to_owned()) else {
        return Ok(Err((holder.to_owned(), statement.to_owned())));
    };
    Ok(Ok(Rights {
        id: id(one.id.unwrap_or(&format!("received-{number}")))?,
        holder: holder.to_owned(),
        statement: known,
        permits: one.permits,
        from: one.from,
        until: one.until,
        otherwise: one.otherwise,
        finest_mm: one.finest_mm,
        credit: Some(one.credit).filter(|c| !c.0.is_empty()),
    }))
}

fn put(texts: &mut Localised, value: &Value<'_>) -> Result<(), String> {
    let lang = value.lang.ok_or("This column names no language.")?;
    let text = value.text.replace("\r\n", "\n").trim().to_owned();
    texts.0.insert(lang.clone(), text);
    Ok(())
}

fn id<T: TryFrom<String, Error = crate::record::IdError>>(text: &str) -> Result<T, String> {
    let text = text.trim();
    T::try_from(text.to_owned()).map_err(|e| {
        format!(
            "The id {e}. Write for example ‘{}’.",
            crate::record::suggest(text)
        )
    })
}

fn day(text: &str) -> Result<Day, String> {
    text.trim().parse().map_err(|e: String| format!("{e}."))
}

fn number(text: &str) -> Result<f64, String> {
    match text.trim().parse::<f64>() {
        Ok(n) if n.is_finite() && n > 0.0 => Ok(n),
        _ => Err(format!("‘{text}’ is not a number above zero, such as 8.6.")),
    }
}
