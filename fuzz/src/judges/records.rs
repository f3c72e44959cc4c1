//! A content folder of which one text is the input: its first byte says which, a digit. What can be read is
//! reported, and written for others.

use crate::content;
use crate::place;
use counterpart::epigraphy::editions;
use counterpart::exchange::lido::{self, Publisher};
use counterpart::exchange::{Item, Titles, write_table};
use counterpart::limits::Limits;
use counterpart::record::{Day, read, report};
use std::collections::BTreeMap;
use std::sync::Mutex;

/// Which file is not as it was, from the run before.
static LAST: Mutex<Option<usize>> = Mutex::new(None);

/// Judges one input.
pub(crate) fn judge(text: &str) {
    let Some((digit, text)) = text.split_at_checked(1) else {
        return;
    };
    let Some(file) = digit.chars().next().and_then(|c| c.to_digit(10)) else {
        return;
    };
    let (folder, file) = (place::folder("records"), file as usize);
    let mut last = LAST.lock().unwrap_or_else(|e| e.into_inner());
    match *last {
        None => content::lay(&folder),
        Some(other) if other != file => {
            let (name, own) = content::FILES[other];
            content::put(&folder, name, own);
        }
        Some(_) => {}
    }
    *last = Some(file);
    content::put(&folder, content::FILES[file].0, text);
    let today = Day::new(2026, 1, 31).expect("a day");
    let reading = read(&folder, today, &Limits::default());
    let _ = report::plain(&reading.findings, &reading.sources, false);
    let Some(catalogue) = &reading.catalogue else {
        assert!(reading.findings.refuse(), "no catalogue, and no reason");
        return;
    };
    let items = Item::all(catalogue, &BTreeMap::new());
    let site = &catalogue.site;
    let by = Publisher {
        name: &site.publisher,
        address: &site.address,
        languages: &site.languages,
    };
    let _ = lido::write(&items, &by);
    let _ = write_table(&items, &site.languages, Titles::Own).expect("a table in memory");
    for object in &catalogue.objects {
        let _ = editions(catalogue, object, &reading.sources);
    }
}
