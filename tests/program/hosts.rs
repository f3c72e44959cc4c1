//! Rules for servers: the paths that they name are in a site, and what they keep for ever is named by digest.

use super::guide::blocks;
use std::path::Path;

fn rules(words: &str) -> String {
    let mut found = blocks("recipes.md")
        .into_iter()
        .filter(|b| b.words == words);
    let rules = found
        .next()
        .unwrap_or_else(|| panic!("no rules for {words}"))
        .body;
    assert!(found.next().is_none());
    rules
}

/// Called with the site that the guide publishes.
pub(crate) fn every_path_is_in(site: &Path) {
    for line in rules("headers").lines().filter(|l| l.starts_with('/')) {
        let path = line.trim_start_matches('/').trim_end_matches('*');
        assert!(site.join(path).exists(), "{line}");
    }
    for server in ["headers", "nginx", "apache", "caddy"] {
        let rules = rules(server);
        assert!(rules.contains("/assets/"), "{server}");
        assert!(rules.contains("max-age=31536000, immutable"), "{server}");
        assert!(rules.contains("no-cache"), "{server}");
    }
    let mut kept = 0;
    for file in std::fs::read_dir(site.join("assets")).unwrap() {
        let name = file.unwrap().file_name().into_string().unwrap();
        let digest = name.split('.').rev().nth(1).unwrap_or_default();
        assert!(
            digest.len() == 16 && digest.bytes().all(|b| b.is_ascii_hexdigit()),
            "assets/{name} has no digest in its name and must not be kept for a year"
        );
        kept += 1;
    }
    assert!(kept > 10);
    // Every kind of file in the site has a media type with a server that knows only what it is told.
    let known = rules("nginx");
    let mut folders = vec![site.to_path_buf()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if let Some(ending) = path.extension() {
                let ending = ending.to_string_lossy();
                assert!(
                    known.contains(&format!(" {ending};")),
                    "no media type for {}",
                    path.display()
                );
            }
        }
    }
}
