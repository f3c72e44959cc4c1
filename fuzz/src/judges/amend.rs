//! Changes of single values of a record: a JSON list of changes on the first line, the record after it.
//! What comes out is TOML.

use counterpart::desk::pen::{Change, Inside, amended};

/// Judges one input.
pub(crate) fn judge(text: &str) {
    let Some((changes, record)) = text.split_once('\n') else {
        return;
    };
    let Ok(changes) = serde_json::from_str::<Vec<Change>>(changes) else {
        return;
    };
    let file = Inside::new("mortar/record.toml").expect("a path");
    if let Ok(changed) = amended(&file, record, &changes) {
        changed
            .parse::<toml::Table>()
            .expect("what the pen writes is TOML");
    }
}
