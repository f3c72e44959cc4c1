//! The way to a value, and what is done there.

use super::form::{fresh, over};
use super::value::dotted;
use super::{Change, Step, Value};
use crate::desk::pen::{Inside, Refusal};
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Key, Table, Value as Toml};

/// Carries out changes on a text with plain line ends.
pub(super) fn edit(file: &Inside, text: &str, changes: &[Change]) -> Result<String, Refusal> {
    let mut document = read(file, text)?;
    if document.to_string() != text {
        return Err(Refusal::Failed {
            doing: format!("reading {file}"),
            cause: "it cannot be written again byte for byte; change it as text".to_owned(),
        });
    }
    for change in changes {
        let (key, done) = match change {
            Change::Set { key, value } => {
                (key, set(Node::Table(document.as_table_mut()), key, value))
            }
            Change::Remove { key } => (key, remove(Node::Table(document.as_table_mut()), key)),
            Change::Append { key, table } => (
                key,
                append(Node::Table(document.as_table_mut()), key, table),
            ),
        };
        done.map_err(|why| Refusal::NotSettable {
            file: file.clone(),
            key: dotted(key),
            why,
        })?;
    }
    let edited = document.to_string();
    // Should the editing ever write what cannot be read, the record stays as it was.
    read(file, &edited)?;
    Ok(edited)
}

fn read(file: &Inside, text: &str) -> Result<DocumentMut, Refusal> {
    text.parse()
        .map_err(|e: toml_edit::TomlError| Refusal::not_toml(file, text, e.span(), e.message()))
}

/// Where the way has come to.
enum Node<'d> {
    Table(&'d mut Table),
    Inline(&'d mut InlineTable),
    Tables(&'d mut ArrayOfTables),
    Array(&'d mut Array),
    Scalar,
}

impl<'d> Node<'d> {
    fn of(item: &'d mut Item) -> Self {
        match item {
            Item::Table(table) => Self::Table(table),
            Item::ArrayOfTables(tables) => Self::Tables(tables),
            Item::Value(value) => Self::of_value(value),
            Item::None => Self::Scalar,
        }
    }

    fn of_value(value: &'d mut Toml) -> Self {
        match value {
            Toml::InlineTable(table) => Self::Inline(table),
            Toml::Array(array) => Self::Array(array),
            _ => Self::Scalar,
        }
    }

    /// One step on; tables that are missing are made if `make` says so.
    fn step(self, step: &Step, make: bool) -> Result<Self, String> {
        let nothing = || format!("there is no {}.", shown(step));
        match (self, step) {
            (Self::Table(table), Step::Key(key)) => {
                if make && !table.contains_key(key) {
                    table.insert(key, Item::Table(new_table(table.is_empty())));
                }
                table.get_mut(key).map(Self::of).ok_or_else(nothing)
            }
            (Self::Inline(table), Step::Key(key)) => {
                if make && !table.contains_key(key) {
                    add_to_inline(table, key, Toml::InlineTable(InlineTable::new()));
                }
                table.get_mut(key).map(Self::of_value).ok_or_else(nothing)
            }
            (Self::Tables(tables), Step::At(at)) => {
                tables.get_mut(*at).map(Self::Table).ok_or_else(nothing)
            }
            (Self::Array(array), Step::At(at)) => {
                array.get_mut(*at).map(Self::of_value).ok_or_else(nothing)
            }
            (node, step) => Err(format!("{} is wanted in {}.", shown(step), node.kind())),
        }
    }

    fn kind(&self) -> &'static str {
        match self {
            Self::Table(_) | Self::Inline(_) => "a table",
            Self::Tables(_) | Self::Array(_) => "a list",
            Self::Scalar => "a single value",
        }
    }
}

fn shown(step: &Step) -> String {
    match step {
        Step::Key(key) => format!("key ‘{key}’"),
        Step::At(at) => format!("place {at} (counted from 0)"),
    }
}

/// A table that will be written with a header of its own, parted from what stands before it.
fn new_table(first: bool) -> Table {
    let mut table = Table::new();
    table.set_implicit(true);
    if !first {
        table.decor_mut().set_prefix("\n");
    }
    table
}

fn parted(key: &[Step]) -> Result<(&[Step], &Step), String> {
    let (last, way) = key.split_last().ok_or("the way to it is empty.")?;
    Ok((way, last))
}

fn walk<'d>(from: Node<'d>, way: &[Step], make: bool) -> Result<Node<'d>, String> {
    way.iter()
        .try_fold(from, |node, step| node.step(step, make))
}

fn set(root: Node<'_>, key: &[Step], value: &Value) -> Result<(), String> {
    let (way, last) = parted(key)?;
    match (walk(root, way, true)?, last) {
        (Node::Table(table), Step::Key(key)) => match table.get_mut(key) {
            Some(item) => set_item(item, value),
            None => {
                table.set_implicit(false);
                table.insert(key, Item::Value(fresh(value)?));
                Ok(())
            }
        },
        (Node::Inline(table), Step::Key(key)) => match table.get_mut(key) {
            Some(old) => over(old, value),
            None => {
                add_to_inline(table, key, fresh(value)?);
                Ok(())
            }
        },
        (Node::Array(array), Step::At(at)) if *at == array.len() => {
            lengthen(array, fresh(value)?);
            Ok(())
        }
        (Node::Array(array), Step::At(at)) => match array.get_mut(*at) {
            Some(old) => over(old, value),
            None => Err(format!("there is no {}.", shown(last))),
        },
        (Node::Tables(tables), Step::At(at)) => match tables.get_mut(*at) {
            Some(table) => set_table(table, value),
            None => Err(format!("there is no {}.", shown(last))),
        },
        (node, last) => Err(format!("{} is wanted in {}.", shown(last), node.kind())),
    }
}

fn set_item(item: &mut Item, value: &Value) -> Result<(), String> {
    match (item, value) {
        (Item::Value(old), value) => over(old, value),
        (Item::Table(table), value) => set_table(table, value),
        (Item::ArrayOfTables(tables), Value::List(list)) => {
            while tables.len() > list.len() {
                tables.remove(tables.len() - 1);
            }
            for (at, value) in list.iter().enumerate() {
                match tables.get_mut(at) {
                    Some(table) => set_table(table, value)?,
                    None => tables.push(headed(value)?),
                }
            }
            Ok(())
        }
        _ => Err("it is a list of tables; give a list.".to_owned()),
    }
}

fn set_table(table: &mut Table, value: &Value) -> Result<(), String> {
    let Value::Table(pairs) = value else {
        return Err("it is a table with a header of its own; set the keys in it.".to_owned());
    };
    let gone = table.iter().map(|(key, _)| key.to_owned());
    let gone: Vec<_> = gone
        .filter(|key| !pairs.iter().any(|(k, _)| k == key))
        .collect();
    gone.iter().for_each(|key| drop(table.remove(key)));
    for (key, value) in pairs {
        set(Node::Table(table), &[Step::Key(key.clone())], value)?;
    }
    Ok(())
}

fn remove(root: Node<'_>, key: &[Step]) -> Result<(), String> {
    let (way, last) = parted(key)?;
    let gone = match (walk(root, way, false)?, last) {
        (Node::Table(table), Step::Key(key)) => table.remove(key).is_some(),
        (Node::Inline(table), Step::Key(key)) => take_from_inline(table, key),
        (Node::Array(array), Step::At(at)) if *at < array.len() => {
            shorten(array, *at);
            true
        }
        (Node::Tables(tables), Step::At(at)) if *at < tables.len() => {
            tables.remove(*at);
            true
        }
        _ => false,
    };
    if gone {
        Ok(())
    } else {
        Err(format!("there is no {}.", shown(last)))
    }
}

fn append(root: Node<'_>, key: &[Step], value: &Value) -> Result<(), String> {
    let (way, last) = parted(key)?;
    match (walk(root, way, true)?, last) {
        (Node::Table(table), Step::Key(key)) => match table.get_mut(key) {
            Some(item) => append_to(Node::of(item), value)?,
            None if matches!(value, Value::Table(_)) => {
                let mut tables = ArrayOfTables::new();
                tables.push(headed(value)?);
                table.insert(key, Item::ArrayOfTables(tables));
            }
            None => {
                table.set_implicit(false);
                table.insert(key, Item::Value(list_of(value)?));
            }
        },
        (Node::Inline(table), Step::Key(key)) => match table.get_mut(key) {
            Some(old) => append_to(Node::of_value(old), value)?,
            None => add_to_inline(table, key, list_of(value)?),
        },
        (node, last) => append_to(node.step(last, false)?, value)?,
    }
    Ok(())
}

fn list_of(value: &Value) -> Result<Toml, String> {
    fresh(&Value::List(vec![value.clone()]))
}

fn append_to(list: Node<'_>, value: &Value) -> Result<(), String> {
    match list {
        Node::Tables(tables) => tables.push(headed(value)?),
        Node::Array(array) => lengthen(array, fresh(value)?),
        node => return Err(format!("it is {}, not a list.", node.kind())),
    }
    Ok(())
}

/// A table that will be written below a header of its own, in double brackets.
fn headed(value: &Value) -> Result<Table, String> {
    let Value::Table(pairs) = value else {
        return Err("this list holds tables; give a table.".to_owned());
    };
    let mut table = Table::new();
    table.decor_mut().set_prefix("\n");
    for (key, value) in pairs {
        if table.insert(key, Item::Value(fresh(value)?)).is_some() {
            return Err(format!("the key ‘{key}’ is given twice."));
        }
    }
    Ok(table)
}

/// What stands before or behind a value: spaces, line ends, comments.
fn space(raw: Option<&toml_edit::RawString>) -> String {
    raw.and_then(|r| r.as_str()).unwrap_or_default().to_owned()
}

/// Adds a value at the end of a list, in the manner of the last one.
pub(super) fn lengthen(array: &mut Array, mut value: Toml) {
    let count = array.len();
    if let Some(last) = count.checked_sub(1).and_then(|i| array.get_mut(i)) {
        let (before, behind) = (space(last.decor().prefix()), space(last.decor().suffix()));
        last.decor_mut().set_suffix("");
        // Comments belong to the value that they were written for.
        let before = if before.contains('#') {
            before
                .rsplit_once('\n')
                .map_or(String::new(), |(_, i)| format!("\n{i}"))
        } else {
            before
        };
        let before = if count == 1 && !before.contains('\n') {
            " ".to_owned()
        } else {
            before
        };
        *value.decor_mut() = toml_edit::Decor::new(before, behind);
    }
    array.push_formatted(value);
}

/// Takes a value out of a list.
pub(super) fn shorten(array: &mut Array, at: usize) {
    let gone = array.remove(at);
    let count = array.len();
    if count == 0 {
        array.set_trailing_comma(false);
    } else if at == count {
        hand_down_suffix(array.get_mut(count - 1), &gone);
    } else if at == 0
        && let Some(first) = array.get_mut(0)
    {
        first.decor_mut().set_prefix(space(gone.decor().prefix()));
    }
}

/// What stood between the last value and the bracket stays there.
fn hand_down_suffix(last: Option<&mut Toml>, gone: &Toml) {
    if let Some(last) = last
        && space(last.decor().suffix()).is_empty()
    {
        last.decor_mut().set_suffix(space(gone.decor().suffix()));
    }
}

/// Adds a value at the end of a table in braces, in the manner of the last one.
pub(super) fn add_to_inline(table: &mut InlineTable, key: &str, mut value: Toml) {
    let mut name = Key::new(key);
    if let Some((last, old)) = table.iter_mut().last() {
        let behind = space(old.decor().suffix());
        old.decor_mut().set_suffix("");
        *value.decor_mut() = toml_edit::Decor::new(" ", behind);
        let before = space(last.leaf_decor().prefix());
        let before = if before.is_empty() || before.contains('#') {
            " ".to_owned()
        } else {
            before
        };
        *name.leaf_decor_mut() = toml_edit::Decor::new(before, " ");
    }
    table.insert_formatted(&name, value);
}

/// Takes a value out of a table in braces. Whether it was there.
pub(super) fn take_from_inline(table: &mut InlineTable, key: &str) -> bool {
    let first = table.iter().next().is_some_and(|(k, _)| k == key);
    let Some((name, gone)) = table.remove_entry(key) else {
        return false;
    };
    hand_down_suffix(table.iter_mut().last().map(|(_, v)| v), &gone);
    if first && let Some((mut next, _)) = table.iter_mut().next() {
        next.leaf_decor_mut()
            .set_prefix(space(name.leaf_decor().prefix()));
    }
    true
}
