//! How a value is written: a new one in the plainest form, a changed one in the form of the old.

use super::Value;
use super::prose;
use toml_edit::{Array, InlineTable, Value as Toml};

/// A value as it is written where there was none.
pub(super) fn fresh(value: &Value) -> Result<Toml, String> {
    match value {
        Value::Text(text) if text.contains('\n') => parsed(&prose::many_lines(text)),
        Value::Text(text) => parsed(&prose::basic(text)),
        Value::Whole(whole) => Ok(Toml::from(*whole)),
        Value::Number(number) => parsed(&decimal(*number, 1)?),
        Value::Truth(truth) => Ok(Toml::from(*truth)),
        Value::Day(day) => parsed(&day.to_string()),
        Value::List(list) => {
            let mut array = Array::new();
            for value in list {
                array.push(fresh(value)?);
            }
            Ok(Toml::Array(array))
        }
        Value::Table(pairs) => {
            let mut table = InlineTable::new();
            for (key, value) in pairs {
                if table.insert(key, fresh(value)?).is_some() {
                    return Err(format!("the key ‘{key}’ is given twice."));
                }
            }
            Ok(Toml::InlineTable(table))
        }
    }
}

/// Writes a value over another one, in its form and with the spaces and comments around it.
pub(super) fn over(old: &mut Toml, new: &Value) -> Result<(), String> {
    if same(old, new) {
        return Ok(());
    }
    match (&mut *old, new) {
        (Toml::Array(array), Value::List(list)) => return over_list(array, list),
        (Toml::InlineTable(table), Value::Table(pairs)) => return over_table(table, pairs),
        _ => {}
    }
    let raw = raw(old);
    let mut value = match (&*old, new) {
        (Toml::String(_), Value::Text(text)) => parsed(&prose::like(&raw, text))?,
        (Toml::Float(_), Value::Number(number)) => parsed(&decimal(*number, decimals(&raw))?)?,
        (Toml::Float(_), Value::Whole(whole)) => parsed(&decimal(*whole as f64, decimals(&raw))?)?,
        (Toml::Integer(_), Value::Number(number)) if number.fract() == 0.0 => {
            parsed(&decimal(*number, 0)?)?
        }
        _ => fresh(new)?,
    };
    *value.decor_mut() = old.decor().clone();
    *old = value;
    Ok(())
}

fn over_list(array: &mut Array, list: &[Value]) -> Result<(), String> {
    while array.len() > list.len() {
        super::edit::shorten(array, array.len() - 1);
    }
    for (at, new) in list.iter().enumerate() {
        match array.get_mut(at) {
            Some(old) => over(old, new)?,
            None => super::edit::lengthen(array, fresh(new)?),
        }
    }
    Ok(())
}

fn over_table(table: &mut InlineTable, pairs: &[(String, Value)]) -> Result<(), String> {
    let gone = table.iter().map(|(key, _)| key.to_owned());
    let gone: Vec<_> = gone
        .filter(|key| !pairs.iter().any(|(k, _)| k == key))
        .collect();
    for key in gone {
        super::edit::take_from_inline(table, &key);
    }
    for (key, new) in pairs {
        match table.get_mut(key) {
            Some(old) => over(old, new)?,
            None => super::edit::add_to_inline(table, key, fresh(new)?),
        }
    }
    Ok(())
}

/// Whether a written value says the same.
pub(super) fn same(old: &Toml, new: &Value) -> bool {
    match (old, new) {
        (Toml::String(old), Value::Text(new)) => old.value() == new,
        (Toml::Integer(old), Value::Whole(new)) => old.value() == new,
        (Toml::Integer(old), Value::Number(new)) => *old.value() as f64 == *new,
        (Toml::Float(old), Value::Number(new)) => old.value() == new,
        (Toml::Float(old), Value::Whole(new)) => *old.value() == *new as f64,
        (Toml::Boolean(old), Value::Truth(new)) => old.value() == new,
        (Toml::Datetime(old), Value::Day(new)) => old.value().to_string() == new.to_string(),
        (Toml::Array(old), Value::List(new)) => {
            old.len() == new.len() && old.iter().zip(new).all(|(old, new)| same(old, new))
        }
        (Toml::InlineTable(old), Value::Table(new)) => {
            let all = |(key, new): &(String, Value)| old.get(key).is_some_and(|old| same(old, new));
            old.len() == new.len() && new.iter().all(all)
        }
        _ => false,
    }
}

/// A scalar as it stands in the file.
fn raw(value: &Toml) -> String {
    let mut bare = value.clone();
    bare.decor_mut().clear();
    bare.to_string()
}

/// More decimals than this are no hand's: they are not kept for their own sake.
const BY_HAND: usize = 6;

/// How many digits stand behind the point and are worth keeping.
fn decimals(raw: &str) -> usize {
    match raw.split_once('.') {
        Some((_, tail)) if tail.len() <= BY_HAND && tail.bytes().all(|b| b.is_ascii_digit()) => {
            tail.len()
        }
        _ => 1,
    }
}

/// A number with at least so many decimals, and as many more as it takes to be read back exactly.
fn decimal(number: f64, decimals: usize) -> Result<String, String> {
    if !number.is_finite() {
        return Err(format!("{number} is no number that can be measured."));
    }
    let wanted = format!("{number:.decimals$}");
    match wanted.parse::<f64>() {
        Ok(read) if read == number => Ok(wanted),
        // The shortest digits that are read back exactly; a float keeps its point.
        _ if decimals == 0 => Ok(format!("{number}")),
        _ => Ok(format!("{number:?}")),
    }
}

fn parsed(text: &str) -> Result<Toml, String> {
    text.parse().map_err(|e: toml_edit::TomlError| {
        format!("it cannot be written as TOML: {}.", e.message())
    })
}
