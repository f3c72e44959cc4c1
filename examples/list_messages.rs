//! Lists the texts of the program that a message catalogue does not have yet, as a table to be filled:
//! `cargo run --example list_messages -- cy`. Not all are messages: leave out what is not said to anybody.

#[path = "../tests/messages/gather.rs"]
mod gather;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let tag = std::env::args()
        .nth(1)
        .ok_or("Say which language: list_messages cy")?;
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let file = src.join(format!("messages/{tag}.toml"));
    let known: BTreeMap<String, BTreeMap<String, String>> = match std::fs::read_to_string(&file) {
        Ok(text) => toml::from_str(&text)?,
        Err(_) => BTreeMap::new(),
    };
    let known: BTreeSet<&String> = known.values().flat_map(BTreeMap::keys).collect();
    let mut tables: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (english, file) in gather::texts(&src) {
        if !known.contains(&english) && english.trim().contains(' ') {
            let part = file.split(['/', '.']).next().unwrap_or_default();
            tables.entry(part.to_owned()).or_default().push(english);
        }
    }
    for (part, texts) in tables {
        println!("\n[{part}]");
        for english in texts {
            // A string of JSON is one of TOML, too.
            println!("{} = \"\"", serde_json::to_string(&english)?);
        }
    }
    Ok(())
}
