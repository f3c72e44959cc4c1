//! Tables of comma-separated values (RFC 4180): a row an object, a column a fact and language.
//!
//! Written with commas, quotation marks where needed, CRLF and UTF-8 without a mark. Read with
//! commas, semicolons or tabs, told apart by the first row, with or without a mark.

use super::columns::{MATERIAL, MEASURED, Meaning, RIGHTS, SINGLE, meaning, spectrum};
use super::fault::{Fault, Left, Received, Taken};
use super::{Bounds, Item};
use crate::record::Lang;
use csv::{QuoteStyle, ReaderBuilder, StringRecord, Terminator, WriterBuilder};
use std::collections::BTreeMap;

mod cells;
mod fill;

/// By what columns are named.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Titles {
    /// By the keys of records.
    #[default]
    Own,
    /// By Spectrum's units of information, where one fits.
    Spectrum,
}

/// Signs with which a spreadsheet begins a formula, in either width, and those that would hide one.
/// An apostrophe is among them, so that what is written can be told from what was meant.
const RISKY: [char; 11] = ['=', '+', '-', '@', '\t', '\r', '\'', '＝', '＋', '－', '＠'];

/// A cell that no spreadsheet takes for a formula: an apostrophe before it, which they do not show.
fn guarded(text: &str) -> String {
    match text.starts_with(RISKY) {
        true => format!("'{text}"),
        false => text.to_owned(),
    }
}

/// What was meant by a cell.
fn unguarded(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest) if rest.starts_with(RISKY) => rest,
        _ => cell,
    }
}

/// Writes items as a table; languages in this order.
///
/// # Errors
/// The writer refuses, which memory never does.
pub fn write(items: &[Item], languages: &[Lang], titles: Titles) -> Result<String, String> {
    let rows: Vec<BTreeMap<String, String>> = items.iter().map(cells::cells).collect();
    let most = |prefix: &str| {
        let numbers = rows.iter().flat_map(|row| row.keys()).filter_map(|key| {
            let (number, _) = key.strip_prefix(prefix)?.split_once('.')?;
            number.parse::<usize>().ok()
        });
        numbers.max().unwrap_or(0)
    };
    let mut keys: Vec<(String, bool)> = Vec::new();
    keys.extend(SINGLE.iter().map(|c| (c.name.to_owned(), c.spoken)));
    for (group, columns) in [("material", MATERIAL), ("rights", RIGHTS)] {
        for number in 1..=most(&format!("{group}.")) {
            let of =
                |c: &super::columns::Column| (format!("{group}.{number}.{}", c.name), c.spoken);
            keys.extend(columns.iter().map(of));
        }
    }
    for body in ["", "replica."] {
        for name in MEASURED {
            keys.push((format!("{body}{name}"), false));
            keys.push((format!("{body}{name}_within"), false));
        }
    }
    let mut header = Vec::new();
    for (key, spoken) in keys {
        let title = match titles {
            Titles::Own => None,
            Titles::Spectrum => spectrum(&key),
        };
        let title = title.unwrap_or(&key).to_owned();
        let full = match spoken {
            true => languages
                .iter()
                .map(|l| (format!("{key}.{l}"), format!("{title}.{l}")))
                .collect(),
            false => vec![(key, title)],
        };
        // A column that is empty in every row says nothing.
        header.extend(
            full.into_iter()
                .filter(|(k, _)| rows.iter().any(|row| row.contains_key(k))),
        );
    }
    let mut writer = WriterBuilder::new()
        .terminator(Terminator::CRLF)
        .quote_style(QuoteStyle::Necessary)
        .from_writer(Vec::new());
    let refused = |e: csv::Error| e.to_string();
    writer
        .write_record(header.iter().map(|(_, title)| title))
        .map_err(refused)?;
    for row in &rows {
        let cell = |(key, _): &(String, String)| row.get(key).map_or(String::new(), |t| guarded(t));
        writer
            .write_record(header.iter().map(cell))
            .map_err(refused)?;
    }
    let bytes = writer.into_inner().map_err(|e| e.to_string())?;
    String::from_utf8(bytes).map_err(|e| e.to_string())
}

/// What separates the columns, by the first row: what stands there most, outside quotation marks.
fn separator(text: &str) -> (u8, &'static str) {
    let mut quoted = false;
    let mut counts = [
        (b',', "commas", 0),
        (b';', "semicolons", 0),
        (b'\t', "tabs", 0),
    ];
    for c in text.bytes() {
        match c {
            b'"' => quoted = !quoted,
            b'\n' | b'\r' if !quoted => break,
            _ if quoted => {}
            c => counts
                .iter_mut()
                .filter(|(s, ..)| *s == c)
                .for_each(|(.., n)| *n += 1),
        }
    }
    let mut best = counts[0];
    for one in counts {
        if one.2 > best.2 {
            best = one;
        }
    }
    (best.0, best.1)
}

/// Reads a table.
///
/// # Errors
/// Every fault, by row and column.
pub fn read(text: &str, only: Option<&Lang>, bounds: &Bounds) -> Result<Received, Vec<Fault>> {
    let (mark, word) = separator(text);
    let quotes = text.matches('"').count();
    let mut reader = ReaderBuilder::new()
        .delimiter(mark)
        .flexible(true)
        .from_reader(text.as_bytes());
    let failed = |e: csv::Error| vec![Fault::at("", format!("The table cannot be read: {e}."))];
    let header = reader.headers().map_err(failed)?.clone();
    let mut faults = Vec::new();
    let columns = header_meanings(&header, only, bounds, &mut faults);
    let mut records = Vec::new();
    let (mut last, mut number, mut row) = (1, 0, StringRecord::new());
    let at = |position: &csv::Position| usize::try_from(position.byte()).unwrap_or(text.len());
    let head = text.get(..at(reader.position())).unwrap_or(text);
    loop {
        let start = at(reader.position());
        if !reader.read_record(&mut row).map_err(failed)? {
            break;
        }
        let raw = text.get(start..at(reader.position())).unwrap_or_default();
        if number >= bounds.records {
            let what = format!(
                "There are more than {} rows. Divide the file.",
                bounds.records
            );
            faults.push(Fault::at(format!("row {}", number + 2), what));
            break;
        }
        number += 1;
        last = row.position().map_or(last, csv::Position::line);
        if row.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        let place = Row {
            number: number + 1,
            line: last,
        };
        if row.len() != header.len() {
            faults.push(Fault::at(place.to_string(), format!(
                "The row has {} cells, the first row has {}. Quotation marks within a cell are doubled (\"\"), and a cell with a separator in it stands in quotation marks.",
                row.len(), header.len()
            )));
            continue;
        }
        let mut record = taken(&header, &columns, &row, place, &mut faults);
        record.received = alone(head, raw);
        records.push(record);
    }
    // In a whole table every quotation mark has its partner; without, the rest is one cell.
    if quotes % 2 == 1 {
        faults.clear();
        faults.push(Fault::at(
            format!("after line {last}"),
            "A quotation mark is opened and never closed. Within a cell, double it (\"\").",
        ));
    }
    if faults.is_empty() && records.is_empty() {
        faults.push(Fault::at("", "The table has a first row and no other."));
    }
    if faults.is_empty() {
        Ok(Received {
            how: format!("a table, its columns separated by {word}"),
            ending: "csv",
            records,
        })
    } else {
        Err(faults)
    }
}

/// Where a row stands.
#[derive(Debug, Clone, Copy)]
struct Row {
    number: usize,
    line: u64,
}

impl std::fmt::Display for Row {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "row {} (line {})", self.number, self.line)
    }
}

fn header_meanings(
    header: &StringRecord,
    only: Option<&Lang>,
    bounds: &Bounds,
    faults: &mut Vec<Fault>,
) -> Vec<Meaning> {
    if header.len() > bounds.columns {
        faults.push(Fault::at(
            "row 1",
            format!("There are more than {} columns.", bounds.columns),
        ));
        return Vec::new();
    }
    let mut out: Vec<Meaning> = Vec::new();
    for (number, title) in header.iter().enumerate() {
        let place = format!("row 1, column {}", number + 1);
        let meaning = meaning(title, only).unwrap_or_else(|why| {
            faults.push(Fault::at(place.clone(), why));
            Meaning::Unknown
        });
        if matches!(meaning, Meaning::Value(..)) && out.contains(&meaning) {
            faults.push(Fault::at(
                place,
                format!("A second column means the same as ‘{title}’. Leave one of the two out."),
            ));
        }
        out.push(meaning);
    }
    if faults.is_empty() && !out.iter().any(|m| matches!(m, Meaning::Value(..))) {
        faults.push(Fault::at("row 1", "No column is known here. The first row names them, such as number, title.en, name.en; README.md lists all."));
    }
    out
}

fn taken(
    header: &StringRecord,
    columns: &[Meaning],
    row: &StringRecord,
    place: Row,
    faults: &mut Vec<Fault>,
) -> Taken {
    let mut left = Left::default();
    let mut values = Vec::new();
    for ((title, meaning), cell) in header.iter().zip(columns).zip(row) {
        let text = unguarded(cell);
        if text.trim().is_empty() {
            continue;
        }
        match meaning {
            Meaning::Value(key, lang) => values.push(fill::Value {
                title,
                key,
                lang: lang.as_ref(),
                text,
            }),
            Meaning::Measured | Meaning::Unknown => left.one(title),
        }
    }
    let item = fill::item(&values, |title, why| {
        faults.push(Fault::at(format!("{place}, column ‘{title}’"), why));
    });
    Taken {
        item,
        left,
        received: String::new(),
    }
}

/// A row as a table of its own, every sign of it as it was received.
fn alone(head: &str, row: &str) -> String {
    let mut out = format!("{head}{row}");
    // Of the two signs at the end of a row, the second is read with the next one.
    if out.ends_with('\r') {
        out.push('\n');
    }
    out
}
