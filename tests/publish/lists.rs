//! A collection of more objects than a page lists: addresses, and links that lead there.

use super::tree::{Place, files};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;

/// Six boxes, two of them of brass and called otherwise in Welsh; four to a page, two to a screen.
fn six() -> Place {
    let place = Place::new();
    let record = fs::read_to_string(place.path("content/box/record.toml")).unwrap();
    let model = fs::read(place.path("content/box/models/box.glb")).unwrap();
    fs::remove_dir_all(place.path("content/box")).unwrap();
    place.edit("content/site.toml", "[\"en\"]", "[\"en\", \"cy\"]");
    let both = |text: &str| {
        // Every text in the second language too.
        let line = |line: &str| match line.find("en = \"") {
            Some(at) => {
                let said = line[at + 6..].split('"').next().unwrap();
                let own = match said {
                    "lead" => "plwm",
                    "brass" => "pres",
                    other => other,
                };
                let (before, after) = line.split_at(at);
                format!("{before}cy = \"{own}\", {after}\n")
            }
            None => format!("{line}\n"),
        };
        text.lines().map(line).collect::<String>()
    };
    let site = fs::read_to_string(place.path("content/site.toml")).unwrap();
    place.write(
        "content/site.toml",
        &(both(&site) + "[look]\nobjects_on_a_page = 4\n[kiosk]\nobjects_on_a_screen = 2\n"),
    );
    let part = "name = { en = \"Box\" }, model";
    let record = both(&record.replace(part, "name = { en = \"Box\" },model")).replace(
        "name = { en = \"Box\" },model",
        "name = { en = \"Box\", cy = \"Box\" }, model",
    );
    for n in 1..=6 {
        let own = match n {
            5.. => record
                .replace("\"lead\" }", "\"brass\" }")
                .replace("\"plwm\"", "\"pres\""),
            _ => record.clone(),
        };
        let own = own.replace("BRKMU:1", &format!("BRKMU:{n}")).replace(
            "= \"Box\", en = \"Box\" }\n",
            match n {
                1..=3 => "= \"Blwch\", en = \"Box\" }\n",
                _ => "= \"Cist\", en = \"Chest\" }\n",
            },
        );
        place.write(&format!("content/box-{n}/record.toml"), &own);
        for lang in ["en", "cy"] {
            let note = format!("# Box {n}\n\nA box that was copied.\n");
            place.write(&format!("content/box-{n}/{lang}.md"), &note);
        }
        fs::create_dir_all(place.path(&format!("content/box-{n}/models"))).unwrap();
        fs::write(
            place.path(&format!("content/box-{n}/models/box.glb")),
            &model,
        )
        .unwrap();
    }
    place
}

/// Where a link of a page at `file` leads, as a file; none for one that leaves the page's own site.
fn target(file: &str, href: &str) -> Option<String> {
    let href = href.split(['#', '?']).next().unwrap();
    if href.contains(':') || href.is_empty() {
        return None;
    }
    let mut steps: Vec<&str> = file.split('/').collect();
    steps.pop();
    for step in href.split('/').filter(|s| !s.is_empty() && *s != ".") {
        match step {
            ".." => drop(steps.pop().expect("the link stays within the site")),
            step => steps.push(step),
        }
    }
    if href.ends_with('/') || steps.is_empty() {
        steps.push("index.html");
    }
    Some(steps.join("/"))
}

/// Addresses of the links of a page, minified as they are.
fn links(page: &str) -> Vec<&str> {
    let all = page.split("<a ").skip(1);
    all.filter_map(|a| a.split('>').next()?.split_once("href="))
        .map(|(_, rest)| match rest.strip_prefix('"') {
            Some(quoted) => quoted.split('"').next().unwrap(),
            None => rest.split(' ').next().unwrap(),
        })
        .collect()
}

#[test]
fn many_objects_are_listed_on_pages_whose_links_are_whole() {
    let place = six();
    for (args, folder) in [
        (&["publish"][..], "display"),
        (&["publish", "--carry"], "carry"),
    ] {
        let out = place.run(args);
        assert!(
            out.status.success(),
            "{}",
            String::from_utf8_lossy(&out.stderr)
        );
        let all: BTreeMap<String, String> = files(&place.path(folder))
            .into_iter()
            .filter(|(name, _)| name.ends_with(".html"))
            .map(|(name, bytes)| (name, String::from_utf8(bytes).unwrap()))
            .collect();
        let made: BTreeSet<&str> = all
            .keys()
            .map(String::as_str)
            .filter(|n| n.contains("objects/"))
            .collect();
        let wanted = [
            "objects/2",
            "objects/by/name",
            "objects/by/name/box",
            "objects/by/name/chest",
            "objects/by/material",
            "objects/by/material/lead",
            "objects/by/material/brass",
            "kiosk/objects/2",
            "kiosk/objects/3",
            "kiosk/objects/by",
            "kiosk/objects/by/box",
            "kiosk/objects/by/box/2",
            "kiosk/objects/by/chest",
            "kiosk/objects/by/chest/2",
            "cy/objects/2",
            "cy/objects/by/name",
            "cy/objects/by/name/blwch",
            "cy/objects/by/name/cist",
            "cy/objects/by/material",
            "cy/objects/by/material/plwm",
            "cy/objects/by/material/pres",
            "cy/kiosk/objects/2",
            "cy/kiosk/objects/3",
            "cy/kiosk/objects/by",
            "cy/kiosk/objects/by/blwch",
            "cy/kiosk/objects/by/blwch/2",
            "cy/kiosk/objects/by/cist",
            "cy/kiosk/objects/by/cist/2",
        ];
        let wanted: BTreeSet<String> = wanted.iter().map(|p| format!("{p}/index.html")).collect();
        // One century is no choice, and no place is told.
        assert_eq!(
            made,
            wanted
                .iter()
                .map(String::as_str)
                .collect::<BTreeSet<&str>>(),
            "{folder}"
        );
        let mut led_to = BTreeSet::new();
        for (file, page) in &all {
            for href in links(page) {
                let Some(to) = target(file, href) else {
                    continue;
                };
                assert!(
                    place.path(&format!("{folder}/{to}")).is_file(),
                    "{file}: {href}"
                );
                led_to.insert(to);
            }
        }
        for page in &made {
            assert!(led_to.contains(*page), "nothing leads to {page}");
        }
        assert!(all["objects/2/index.html"].contains("<title>Objects 5 to 6 –"));
        // The same value in the other language, whatever it is called there.
        assert!(
            links(&all["objects/by/material/brass/index.html"])
                .iter()
                .any(|href| href.contains("cy/objects/by/material/pres/"))
        );
        let objects = |page: &str| -> BTreeSet<String> {
            links(&all[page])
                .iter()
                .filter_map(|href| target(page, href))
                .filter(|to| to.matches('/').count() == 1 && to.starts_with("box-"))
                .collect()
        };
        assert_eq!(objects("index.html").len(), 4);
        assert_eq!(objects("objects/2/index.html").len(), 2);
        assert!(objects("index.html").is_disjoint(&objects("objects/2/index.html")));
        assert_eq!(
            objects("objects/by/material/brass/index.html"),
            objects("objects/2/index.html")
        );
    }
    let map = fs::read_to_string(place.path("display/sitemap.xml")).unwrap();
    for listed in [
        "objects/2/",
        "objects/by/name/",
        "cy/objects/by/material/pres/",
    ] {
        assert!(
            map.contains(&format!("<loc>https://brackwater.example/{listed}</loc>")),
            "{listed}: {map}"
        );
    }
    assert!(!map.contains("kiosk"), "{map}");
}

#[test]
fn what_one_page_lists_has_no_other_pages() {
    let place = Place::new();
    assert!(place.run(&["publish"]).status.success());
    assert!(!place.path("display/objects").exists());
    assert!(!place.path("display/kiosk/objects").exists());
    let home = fs::read_to_string(place.path("display/index.html")).unwrap();
    assert!(
        !home.contains("<form") && home.contains("form-action 'none'"),
        "{home}"
    );
}

#[test]
fn a_page_of_no_sensible_length_is_refused() {
    for (table, key, count, rule) in [
        ("look", "objects_on_a_page", 3, "page-length"),
        ("look", "objects_on_a_page", 201, "page-length"),
        ("kiosk", "objects_on_a_screen", 1, "kiosk-objects"),
        ("kiosk", "objects_on_a_screen", 49, "kiosk-objects"),
    ] {
        let place = Place::new();
        let site = fs::read_to_string(place.path("content/site.toml")).unwrap();
        let site = format!("{site}\n[{table}]\n{key} = {count}\n");
        place.write("content/site.toml", &site);
        let out = place.run(&["survey", "--json"]);
        assert_eq!(out.status.code(), Some(1), "{key} = {count}");
        let report: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
        let findings = report["findings"].as_array().unwrap();
        assert!(findings.iter().any(|f| f["rule"] == rule), "{report:#}");
    }
}
