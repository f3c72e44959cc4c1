//! The site as those see it who come from elsewhere: search engines, feeds, shared addresses, old
//! addresses.

use crate::tree as place;

use place::Place;
use std::fs;

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// The box, dated, and called otherwise before.
fn renamed() -> Place {
    let place = Place::new();
    place.edit(
        "content/box/record.toml",
        "format = 1\n",
        "format = 1\nformerly = [\"crate\", \"chest\"]\n",
    );
    place.edit(
        "content/box/record.toml",
        "evidence = { ground = \"observed\" }",
        "evidence = { ground = \"observed\", date = 2024-02-12 }",
    );
    place.edit(
        "content/box/details/dent/record.toml",
        "format = 1\n",
        "format = 1\nformerly = [\"bruise\"]\n",
    );
    place.write(
        "content/terms/lead/en.md",
        "# Lead\n\nA soft, heavy metal.\n",
    );
    place.write(
        "content/terms/lead/record.toml",
        "format = 1\nformerly = [\"plumbum\"]\n",
    );
    place.write(
        "content/box/making/01-scan/en.md",
        "# The scan\n\nIt was scanned.\n",
    );
    place.write("content/box/making/01-scan/record.toml", "format = 1\nformerly = [\"survey\"]\ndate = 2024-03-20\nevidence = { ground = \"observed\" }\n");
    place
}

fn published(place: &Place, args: &[&str]) -> String {
    let out = place.run(&[&["publish"], args].concat());
    assert!(out.status.success(), "{}", text(&out.stderr));
    text(&out.stderr)
}

/// Where a link of a page at `file` leads, as a file.
fn target(file: &str, href: &str) -> String {
    let mut steps: Vec<&str> = file.split('/').collect();
    steps.pop();
    for step in href.split('/').filter(|s| !s.is_empty() && *s != ".") {
        match step {
            ".." => drop(steps.pop().expect("the link stays within the site")),
            step => steps.push(step),
        }
    }
    match steps.last() {
        Some(&"index.html") => steps.join("/"),
        _ => format!("{}/index.html", steps.join("/")),
    }
}

fn after<'t>(text: &'t str, mark: &str) -> &'t str {
    text.split_once(mark)
        .unwrap_or_else(|| panic!("‘{mark}’ is not in {text}"))
        .1
}

/// The HTML Standard, “Shared declarative refresh steps”: `0; url=…` leads on at once; RFC 6596 names
/// the one address of a page.
#[test]
fn every_old_address_leads_on() {
    let place = renamed();
    for (args, folder, served) in [
        (&[][..], "display", true),
        (&["--carry"][..], "carry", false),
    ] {
        published(&place, args);
        let old = [
            ("crate", "box"),
            ("chest", "box"),
            ("chest/rights", "box/rights"),
            ("chest/label", "box/label"),
            ("chest/handout", "box/handout"),
            ("chest/kiosk", "box/kiosk"),
            ("kiosk/crate", "kiosk/box"),
            ("crate/making", "box/making"),
            ("crate/details/dent", "box/details/dent"),
            ("crate/details/bruise", "box/details/dent"),
            ("box/details/bruise", "box/details/dent"),
        ];
        for (from, to) in old {
            let file = format!("{from}/index.html");
            let page = fs::read_to_string(place.path(&format!("{folder}/{file}")))
                .unwrap_or_else(|e| panic!("{file}: {e}"));
            let url = after(&page, "0; url=").split(['"', '>']).next().unwrap();
            assert_eq!(target(&file, url), format!("{to}/index.html"), "{page}");
            let link = page
                .split("<a ")
                .find(|a| a.contains("data-moved"))
                .expect("a link");
            let href = after(link, "href=")
                .trim_start_matches('"')
                .split(['"', ' ', '>'])
                .next()
                .unwrap();
            assert_eq!(href, url);
            assert!(page.contains("noindex"), "{page}");
            assert!(place.path(&format!("{folder}/{to}/index.html")).is_file());
            assert_eq!(
                page.contains(&format!(
                    "rel=canonical href=https://brackwater.example/{to}/"
                )) || page.contains(&format!("https://brackwater.example/{to}/\" rel=canonical"))
                    || page.contains(&format!(
                        "href=https://brackwater.example/{to}/ rel=canonical"
                    )),
                served,
                "{page}"
            );
        }
        // Places within pages.
        let glossary =
            fs::read_to_string(place.path(&format!("{folder}/glossary/index.html"))).unwrap();
        assert!(glossary.contains("id=plumbum"), "{glossary}");
        let making =
            fs::read_to_string(place.path(&format!("{folder}/box/making/index.html"))).unwrap();
        assert!(making.contains("id=survey"), "{making}");
        assert_eq!(place.path(&format!("{folder}/moved.txt")).exists(), served);
    }
    let table = fs::read_to_string(place.path("display/moved.txt")).unwrap();
    let rows: Vec<(&str, &str)> = table
        .lines()
        .filter(|l| !l.starts_with('#'))
        .map(|l| l.split_once('\t').unwrap())
        .collect();
    // A server takes the first row that fits; each page at an old address says the same.
    let led = |path: &str| {
        rows.iter()
            .find_map(|(old, new)| Some(format!("{new}{}", path.strip_prefix(old)?)))
    };
    assert_eq!(
        led("/crate/details/bruise/").as_deref(),
        Some("/box/details/dent/")
    );
    assert_eq!(
        led("/chest/data/record.csv").as_deref(),
        Some("/box/data/record.csv")
    );
    assert_eq!(led("/kiosk/chest/").as_deref(), Some("/kiosk/box/"));
    assert_eq!(
        led("/box/details/bruise/").as_deref(),
        Some("/box/details/dent/")
    );
    assert_eq!(led("/box/"), None);
    assert!(place.path("display/box/data/record.csv").is_file());
}

/// Sitemaps protocol 0.9 (sitemaps.org); RFC 9309 for robots.txt.
#[test]
fn search_engines_are_told_of_the_pages_for_readers() {
    let place = renamed();
    published(&place, &[]);
    let map = fs::read_to_string(place.path("display/sitemap.xml")).unwrap();
    let listed: Vec<&str> = map
        .split("<loc>")
        .skip(1)
        .map(|l| l.split("</loc>").next().unwrap())
        .collect();
    for address in &listed {
        let path = address
            .strip_prefix("https://brackwater.example/")
            .expect("an address of the site");
        let page =
            fs::read_to_string(place.path(&format!("display/{path}index.html"))).expect("a page");
        assert!(
            !page.contains("noindex") && page.contains(&format!("href={address}")),
            "{address}"
        );
    }
    // Every page that is neither listed nor a sheet asks to be left alone, and no other.
    for entry in walkdir::WalkDir::new(place.path("display")) {
        let entry = entry.unwrap();
        if entry.file_name() != "index.html" {
            continue;
        }
        let path = entry
            .path()
            .strip_prefix(place.path("display"))
            .unwrap()
            .to_string_lossy()
            .replace("index.html", "");
        let page = fs::read_to_string(entry.path()).unwrap();
        let sheet = ["label", "large-print", "handout", "raised-lines"]
            .iter()
            .any(|s| path == format!("box/{s}/"));
        let there = listed.contains(&format!("https://brackwater.example/{path}").as_str());
        assert_eq!(page.contains("noindex"), !there && !sheet, "{path}");
    }
    assert!(
        map.contains(
            "<loc>https://brackwater.example/box/</loc>\n    <lastmod>2024-03-20</lastmod>"
        ),
        "{map}"
    );
    // The detail's record bears no day.
    assert!(
        map.contains("<loc>https://brackwater.example/box/details/dent/</loc>\n  </url>"),
        "{map}"
    );
    let robots = fs::read_to_string(place.path("display/robots.txt")).unwrap();
    assert!(
        robots
            .lines()
            .any(|l| l == "Sitemap: https://brackwater.example/sitemap.xml"),
        "{robots}"
    );
    assert!(
        robots
            .lines()
            .all(|l| !l.to_lowercase().starts_with("disallow"))
    );
    published(&place, &["--carry"]);
    for name in ["sitemap.xml", "robots.txt", "feed.xml", "social"] {
        assert!(!place.path(&format!("carry/{name}")).exists(), "{name}");
    }
    let carried = fs::read_to_string(place.path("carry/box/index.html")).unwrap();
    assert!(
        !carried.contains("canonical") && !carried.contains("og:"),
        "{carried}"
    );
}

/// RFC 4287: an entry keeps its id (4.2.6) whatever the object is called; `updated` is a moment of RFC
/// 3339 (3.3).
#[test]
fn the_feed_keeps_ids_and_tells_days_of_the_records() {
    let place = renamed();
    published(&place, &[]);
    let feed = fs::read_to_string(place.path("display/feed.xml")).unwrap();
    let entry = |n: usize| feed.split("<entry>").nth(n).unwrap().to_owned();
    assert!(
        entry(0).contains("<updated>2024-03-20T00:00:00Z</updated>"),
        "{feed}"
    );
    // The object and its one step, both of the same newest day.
    assert_eq!(feed.matches("<entry>").count(), 2);
    assert!(
        entry(1).contains("<id>https://brackwater.example/crate/</id>")
            && entry(1).contains("href=\"https://brackwater.example/box/\""),
        "{feed}"
    );
    assert!(
        entry(2).contains("<id>https://brackwater.example/crate/making/#survey</id>")
            && entry(2).contains("box/making/#scan"),
        "{feed}"
    );
    // A day that is still to come is none.
    published(&place, &["--on", "2024-03-01"]);
    let earlier = fs::read_to_string(place.path("display/feed.xml")).unwrap();
    assert!(
        earlier.contains("2024-02-12") && !earlier.contains("2024-03-20"),
        "{earlier}"
    );
    // Without any day there is no feed, and no page says that there is one.
    let undated = Place::new();
    published(&undated, &[]);
    assert!(!undated.path("display/feed.xml").exists());
    assert!(
        !fs::read_to_string(undated.path("display/index.html"))
            .unwrap()
            .contains("atom")
    );
}

/// Width and height that services ask for: common practice, no source.
#[test]
fn a_shared_address_has_a_picture_with_words() {
    let place = renamed();
    published(&place, &[]);
    for (page, picture) in [
        ("", "social/en.jpg"),
        ("box/", "social/en/box.jpg"),
        ("box/details/dent/", "social/en/box.jpg"),
    ] {
        let html = fs::read_to_string(place.path(&format!("display/{page}index.html"))).unwrap();
        assert!(
            html.contains(&format!("https://brackwater.example/{picture}")),
            "{html}"
        );
        assert!(html.contains("og:image:alt") && html.contains("summary_large_image"));
        let bytes = fs::read(place.path(&format!("display/{picture}"))).unwrap();
        let seen = image::load_from_memory(&bytes).unwrap().into_rgb8();
        assert_eq!(seen.dimensions(), (1200, 630));
        // There is ink where the title stands, and something else than paper where the object does.
        let paper = seen.get_pixel(600, 12).0;
        let other = |x: std::ops::Range<u32>, y: std::ops::Range<u32>, by: u8| {
            let pixels = x.flat_map(|x| y.clone().map(move |y| (x, y)));
            let differs =
                |(x, y)| (0..3).any(|c| seen.get_pixel(x, y).0[c].abs_diff(paper[c]) > by);
            pixels.filter(|place| differs(*place)).count()
        };
        assert!(other(74..526, 82..300, 130) > 300, "{picture}: no title");
        assert!(other(560..1140, 60..530, 24) > 3000, "{picture}: no object");
        assert_eq!(
            other(74..526, 330..500, 24),
            0,
            "{picture}: the words run on"
        );
    }
    // Screens in the gallery are not shared.
    let screen = fs::read_to_string(place.path("display/kiosk/index.html")).unwrap();
    assert!(!screen.contains("og:image"));
}

#[test]
fn letters_that_the_type_lacks_are_told() {
    let place = Place::new();
    place.edit("content/box/en.md", "# A box", "# A box Ω");
    let said = published(&place, &[]);
    assert!(
        said.contains("letters-lacking") && said.contains('Ω'),
        "{said}"
    );
}

#[test]
fn addresses_that_would_be_lost_are_told_with_the_line_to_write() {
    let place = renamed();
    published(&place, &[]);
    assert!(!published(&place, &[]).contains("address-lost"));
    fs::rename(place.path("content/box"), place.path("content/casket")).unwrap();
    place.edit(
        "content/casket/record.toml",
        "formerly = [\"crate\", \"chest\"]\n",
        "",
    );
    let said = published(&place, &["--to", "display"]);
    assert!(
        said.contains("address-lost") && said.contains("casket/record.toml"),
        "{said}"
    );
    assert!(
        said.contains("formerly = [\"box\"]") && said.contains("formerly = [\"crate\"]"),
        "{said}"
    );
    // With the line nothing is lost.
    let place = renamed();
    published(&place, &[]);
    fs::rename(place.path("content/box"), place.path("content/casket")).unwrap();
    place.edit(
        "content/casket/record.toml",
        "[\"crate\", \"chest\"]",
        "[\"crate\", \"chest\", \"box\"]",
    );
    let said = published(&place, &[]);
    assert!(!said.contains("address-lost"), "{said}");
    // Details, steps and terms.
    fs::rename(
        place.path("content/casket/details/dent"),
        place.path("content/casket/details/bump"),
    )
    .unwrap();
    fs::rename(
        place.path("content/casket/making/01-scan"),
        place.path("content/casket/making/01-look"),
    )
    .unwrap();
    fs::rename(
        place.path("content/terms/lead"),
        place.path("content/terms/metal"),
    )
    .unwrap();
    place.edit("content/casket/en.md", "detail:dent", "detail:bump");
    let said = published(&place, &[]);
    for line in [
        "detail ‘dent’",
        "step ‘scan’",
        "explains ‘lead’",
        "formerly = [\"dent\"]",
        "formerly = [\"scan\"]",
        "formerly = [\"lead\"]",
    ] {
        assert!(said.contains(line), "‘{line}’ is not in {said}");
    }
}

#[test]
fn clashes_are_refused() {
    for (claim, why) in [
        ("[\"box\"]", "name of this object"),
        ("[\"crate\", \"crate\"]", "a second time"),
        ("[\"glossary\"]", "site uses"),
        ("[\"social\"]", "site uses"),
        ("[\"A b\"]", "a-b"),
    ] {
        let place = renamed();
        place.edit("content/box/record.toml", "[\"crate\", \"chest\"]", claim);
        let out = place.run(&["survey"]);
        assert_eq!(out.status.code(), Some(1), "{claim}");
        assert!(
            text(&out.stdout).contains(why),
            "{claim}: {}",
            text(&out.stdout)
        );
    }
    let place = renamed();
    place.write(
        "content/terms/plumbum/en.md",
        "# Plumbum\n\nLatin for lead.\n",
    );
    let out = place.run(&["survey"]);
    assert!(
        text(&out.stdout).contains("another term"),
        "{}",
        text(&out.stdout)
    );
}
