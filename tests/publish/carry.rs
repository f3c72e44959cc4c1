//! The copy that is opened from a disk: no address that needs a server, nothing to be fetched.

use crate::tree::{Place, files};
use std::collections::BTreeMap;

/// Values of an attribute in a page, quoted or not.
fn values<'a>(html: &'a str, attribute: &str) -> Vec<&'a str> {
    let ends = [' ', '>', '"', '\''];
    html.split(&format!(" {attribute}="))
        .skip(1)
        .map(|rest| match rest.strip_prefix('"') {
            Some(quoted) => quoted.split('"').next().unwrap_or_default(),
            None => rest.split(ends).next().unwrap_or_default(),
        })
        .collect()
}

/// What an address within the site names, seen from a page's file.
fn named(page: &str, address: &str) -> String {
    let mut steps: Vec<&str> = page.split('/').collect();
    steps.pop();
    let plain = address.split(['#', '?']).next().unwrap_or_default();
    for step in plain.split('/') {
        match step {
            "." | "" => {}
            ".." => {
                steps.pop().expect("an address stays within the site");
            }
            name => steps.push(name),
        }
    }
    steps.join("/")
}

#[test]
fn every_address_names_a_file() {
    let place = Place::new();
    let out = place.run(&["publish", "--carry"]);
    assert!(out.status.success());
    assert!(String::from_utf8_lossy(&out.stdout).contains("carry/index.html"));
    let all: BTreeMap<_, _> = files(&place.path("carry")).into_iter().collect();
    let mut addresses = 0;
    for (page, bytes) in all.iter().filter(|(name, _)| name.ends_with(".html")) {
        let html = std::str::from_utf8(bytes).unwrap();
        for attribute in ["href", "src"] {
            for address in values(html, attribute) {
                if address.starts_with('#') || address.contains(':') {
                    continue;
                }
                addresses += 1;
                let file = named(page, address);
                assert!(all.contains_key(&file), "{page}: {address} names no file");
            }
        }
        assert!(
            !html.contains("type=module") && !html.contains("rel=preload"),
            "{page}"
        );
    }
    assert!(addresses > 50, "only {addresses}");
    let style = all
        .iter()
        .find(|(name, _)| name.starts_with("assets/style."))
        .unwrap();
    let style = std::str::from_utf8(style.1).unwrap();
    assert!(style.contains("url(data:font/woff2;base64,d09GMg"));
    assert!(!all.keys().any(|name| name.ends_with(".woff2")));
}

/// A script that carries a model brings the very bytes of the file beside it.
#[test]
fn scripts_carry_models_byte_for_byte() {
    let place = Place::new();
    assert!(
        place
            .run(&["publish", "--carry", "--to", "stick"])
            .status
            .success()
    );
    let all: BTreeMap<_, _> = files(&place.path("stick")).into_iter().collect();
    let mut carried = 0;
    for (name, script) in all.iter().filter(|(name, _)| name.ends_with(".glb.js")) {
        let own = name.trim_start_matches("assets/");
        let text = std::str::from_utf8(script).unwrap();
        let inside = text
            .strip_prefix(&format!("carried(\"{own}\",\""))
            .and_then(|rest| rest.strip_suffix("\")\n"))
            .unwrap_or_else(|| panic!("{name} begins otherwise: {}", &text[..60]));
        let model = &all[name.trim_end_matches(".js")];
        assert_eq!(&base64::decode(inside).unwrap(), model, "{name}");
        carried += 1;
    }
    assert!(carried >= 1, "no script carries a model");
}
