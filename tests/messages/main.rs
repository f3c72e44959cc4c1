//! Message catalogues beside the sources of the program: every English sentence of theirs is said somewhere.

mod gather;

use std::collections::BTreeMap;
use std::path::Path;

type Tables = BTreeMap<String, BTreeMap<String, String>>;

fn catalogues() -> Vec<(String, Tables)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/messages");
    let files = std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path());
    let tables = files
        .filter(|p| p.extension().is_some_and(|e| e == "toml"))
        .map(|p| {
            let text = std::fs::read_to_string(&p).unwrap();
            let name = p.file_stem().unwrap().to_string_lossy().into_owned();
            (name, toml::from_str(&text).unwrap())
        });
    tables.collect()
}

#[test]
fn no_catalogue_has_a_sentence_that_nobody_says() {
    let texts = gather::texts(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"));
    assert!(texts.len() > 1000, "{} texts", texts.len());
    let catalogues = catalogues();
    assert!(!catalogues.is_empty());
    for (tag, tables) in catalogues {
        let dead: Vec<&String> = tables
            .values()
            .flat_map(BTreeMap::keys)
            .filter(|english| !texts.contains_key(*english))
            .collect();
        assert!(
            dead.is_empty(),
            "{tag}: said no more, or otherwise: {dead:#?}"
        );
        let known: usize = tables.values().map(BTreeMap::len).sum();
        println!("{tag}: {known} sentences");
    }
}

#[test]
fn texts_are_gathered_as_catalogues_write_them() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(
        folder.path().join("a.rs"),
        r#"
            use clap::Args;
            /// Help that teaches. More of it.
            ///
            /// And a second.
            fn a() {
                let a = format!("There {} a ‘{name:?}’ of {:.1} \
                    mm {{x}}.", 1, 2);
                let b = "Add { … }.";
                assert!(true, "not this");
                x.expect("nor this");
                write!(f, "{0} and {0}", "this too");
            }
            #[cfg(test)]
            mod tests { const A: &str = "nor this"; }
            #[command(after_help = "Example: this")]
            struct S;
        "#,
    )
    .unwrap();
    let found: Vec<String> = gather::texts(folder.path()).into_keys().collect();
    assert_eq!(
        found,
        [
            "Add {{ … }}.",
            "And a second",
            "And a second.",
            "Example: this",
            "Help that teaches. More of it.",
            "There {1} a ‘{name}’ of {2} mm {{x}}.",
            "this too",
            "{1} and {1}",
        ]
    );
}
