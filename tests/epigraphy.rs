//! Inscriptions as EpiDoc TEI. `./check outside` holds them against the schemas too.

#[path = "signs/mod.rs"]
mod signs;

use counterpart::epigraphy::{Edition, edition, editions};
use counterpart::record::Findings;
use counterpart::record::words::leiden::parse;
use quick_xml::Reader;
use quick_xml::escape::resolve_predefined_entity;
use quick_xml::events::Event;
use signs::{CASES, demo, detail, note, told};
use std::collections::BTreeMap;

/// An element as it is read back, by a reader that knows nothing of how it was written.
#[derive(Debug, Clone, Default)]
struct Element {
    name: String,
    attributes: BTreeMap<String, String>,
    inside: Vec<Item>,
}

#[derive(Debug, Clone)]
enum Item {
    Text(String),
    Element(Element),
}

impl Element {
    fn text(&self) -> String {
        let inside = self.inside.iter();
        inside
            .map(|item| match item {
                Item::Text(text) => text.clone(),
                Item::Element(element) => element.text(),
            })
            .collect()
    }

    fn all<'e>(&'e self, name: &str, found: &mut Vec<&'e Element>) {
        if self.name == name {
            found.push(self);
        }
        for item in &self.inside {
            if let Item::Element(element) = item {
                element.all(name, found);
            }
        }
    }

    fn every(&self, name: &str) -> Vec<&Element> {
        let mut found = Vec::new();
        self.all(name, &mut found);
        found
    }

    fn has(&self, name: &str) -> Option<&str> {
        self.attributes.get(name).map(String::as_str)
    }
}

fn read(xml: &str) -> Element {
    let mut reader = Reader::from_str(xml);
    reader.config_mut().check_end_names = true;
    let mut open = vec![Element::default()];
    loop {
        let event = reader.read_event().unwrap();
        match event {
            Event::Start(ref start) | Event::Empty(ref start) => {
                let attributes = start.attributes().map(|a| {
                    let a = a.unwrap();
                    let value = quick_xml::escape::unescape(&a.value).unwrap().into_owned();
                    (a.key.as_ref().to_owned(), value)
                });
                let element = Element {
                    name: start.name().as_ref().to_owned(),
                    attributes: attributes.collect(),
                    inside: Vec::new(),
                };
                if matches!(event, Event::Empty(_)) {
                    open.last_mut().unwrap().inside.push(Item::Element(element));
                } else {
                    open.push(element);
                }
            }
            Event::End(_) => {
                let element = open.pop().unwrap();
                open.last_mut().unwrap().inside.push(Item::Element(element));
            }
            Event::Text(text) => {
                let text = text.to_string();
                open.last_mut().unwrap().inside.push(Item::Text(text));
            }
            Event::GeneralRef(name) => {
                let name = name.to_string();
                let text = resolve_predefined_entity(&name).expect(&name).to_owned();
                open.last_mut().unwrap().inside.push(Item::Text(text));
            }
            Event::Eof => break,
            _ => {}
        }
    }
    assert_eq!(open.len(), 1, "every element is closed");
    open.pop().unwrap()
}

/// Elements → signs, by the Krummrey-Panciera alignment page of the EpiDoc Guidelines read from
/// right to left.
fn back(element: &Element) -> String {
    let inside: String = element
        .inside
        .iter()
        .map(|item| match item {
            Item::Text(text) => text.clone(),
            Item::Element(element) => back(element),
        })
        .collect();
    let quantity = || element.has("quantity").unwrap().parse::<usize>().unwrap();
    let is = |name: &str, value: &str| element.has(name) == Some(value);
    match element.name.as_str() {
        "ab" | "g" | "orig" | "expan" => inside,
        "unclear" => format!("{inside}\u{323}"),
        "supplied" if is("reason", "omitted") => format!("<{inside}>"),
        "supplied" if is("cert", "low") => format!("[{inside}?]"),
        "supplied" if is("reason", "lost") => format!("[{inside}]"),
        "gap" if is("reason", "illegible") => "+".repeat(quantity()),
        "gap" if is("extent", "unknown") => "[- - -]".to_owned(),
        "gap" if is("unit", "line") && quantity() == 1 => "[- - - - - -]".to_owned(),
        "gap" if is("precision", "low") => format!("[c. {}]", quantity()),
        "gap" if is("unit", "character") => format!("[{}]", ".".repeat(quantity())),
        "ex" => format!("({inside})"),
        "abbr" if element.has("of-a-whole").is_some() => inside,
        "abbr" => format!("{inside}(- - -)"),
        "del" if is("rend", "erasure") => format!("⟦{inside}⟧"),
        "add" if is("place", "overstrike") => format!("«{inside}»"),
        "add" if is("place", "above") => format!("`{inside}´"),
        "surplus" => format!("{{{inside}}}"),
        "space" if is("extent", "unknown") => "vac.".to_owned(),
        "space" => format!("vac. {}", quantity()),
        "lb" if is("n", "1") => String::new(),
        "lb" if is("break", "no") => "-/".to_owned(),
        "lb" => "/".to_owned(),
        "hi" if is("rend", "ligature") => {
            let letters: Vec<String> = inside.chars().map(String::from).collect();
            letters.join("\u{361}")
        }
        "note" => format!("({inside})"),
        other => panic!("no sign for <{other}> {:?}", element.attributes),
    }
}

/// An `abbr` within an `expan` is part of a word that is whole.
fn mark(element: &mut Element) {
    let whole = element.name == "expan";
    for item in &mut element.inside {
        if let Item::Element(inner) = item {
            if whole && inner.name == "abbr" {
                inner.attributes.insert("of-a-whole".into(), String::new());
            }
            mark(inner);
        }
    }
}

/// The edition of signs that stand in place of the token's.
fn of(cut: &str) -> Result<Edition, Findings> {
    let (mut catalogue, sources) = demo();
    let notes = [("en", note("T", cut, "t")), ("cy", note("T", cut, "t"))];
    told(
        &mut catalogue,
        &notes.each_ref().map(|(l, n)| (*l, n.as_str())),
    );
    let (object, detail) = detail(&catalogue, "token-inscription");
    Ok(edition(&catalogue, object, detail, &sources)?.expect("an inscription"))
}

fn as_cut(xml: &str) -> Element {
    let mut tree = read(xml);
    mark(&mut tree);
    tree.every("ab")[0].clone()
}

/// The EpiDoc Guidelines' examples, in words of our own.
#[test]
fn every_sign_has_its_element() {
    for (cut, expected) in [
        ("tomas", "tomas"),
        ("to\u{323}mas", "t<unclear>o</unclear>mas"),
        ("tom[as]", "tom<supplied reason=\"lost\">as</supplied>"),
        (
            "tom[as?]",
            "tom<supplied reason=\"lost\" cert=\"low\">as</supplied>",
        ),
        (
            "tom[...]",
            "tom<gap reason=\"lost\" quantity=\"3\" unit=\"character\"/>",
        ),
        (
            "[c. 7]",
            "<gap reason=\"lost\" quantity=\"7\" unit=\"character\" precision=\"low\"/>",
        ),
        (
            "[- - -]",
            "<gap reason=\"lost\" extent=\"unknown\" unit=\"character\"/>",
        ),
        (
            "[- - - - - -]",
            "<gap reason=\"lost\" quantity=\"1\" unit=\"line\"/>",
        ),
        (
            "+++",
            "<gap reason=\"illegible\" quantity=\"3\" unit=\"character\"/>",
        ),
        ("f(ecit)", "<expan><abbr>f</abbr><ex>ecit</ex></expan>"),
        ("pl(- - -)", "<abbr>pl</abbr>"),
        ("[[tomas]]", "<del rend=\"erasure\">tomas</del>"),
        (
            "⟦[...]⟧",
            "<del rend=\"erasure\"><gap reason=\"lost\" quantity=\"3\" unit=\"character\"/></del>",
        ),
        ("«anna»", "<add place=\"overstrike\">anna</add>"),
        ("`et´", "<add place=\"above\">et</add>"),
        ("tom{m}as", "tom<surplus>m</surplus>as"),
        ("to<m>as", "to<supplied reason=\"omitted\">m</supplied>as"),
        ("VXQ", "<orig>VXQ</orig>"),
        ("vac. 3", "<space quantity=\"3\" unit=\"character\"/>"),
        ("to-/mas", "to<lb n=\"2\" break=\"no\"/>mas"),
        ("a\u{361}e", "<hi rend=\"ligature\">ae</hi>"),
        ("(!)", "<note>!</note>"),
        // An abbreviation within a restoration, and one that is made whole in part only.
        (
            "[t(omas)]",
            "<supplied reason=\"lost\"><expan><abbr>t</abbr><ex>omas</ex></expan></supplied>",
        ),
        ("D(omi)n(- - -)", "<abbr>D<ex>omi</ex>n</abbr>"),
        (
            "· ✠",
            "<g type=\"interpunct\">·</g> <g type=\"cross\">✠</g>",
        ),
    ] {
        let xml = of(cut).unwrap().xml;
        let whole =
            format!("<ab xml:lang=\"la\" xml:space=\"preserve\"><lb n=\"1\"/>{expected}</ab>");
        assert!(xml.contains(&whole), "{cut} gives {xml}");
    }
}

/// The edition says what the diplomatic reading says, sign for sign and letter for letter.
#[test]
fn signs_come_back_from_the_edition() {
    for cut in CASES {
        let tree = parse(cut).unwrap();
        let found = as_cut(&of(cut).unwrap().xml);
        assert_eq!(back(&found), tree.to_signs(), "{cut}");
        assert_eq!(parse(&back(&found)).unwrap(), tree, "{cut}");
    }
}

#[test]
fn the_demonstration_is_told_whole() {
    let (catalogue, sources) = demo();
    let mut seen = 0;
    for object in &catalogue.objects {
        for edition in editions(&catalogue, object, &sources).unwrap() {
            seen += 1;
            let (_, detail) = detail(&catalogue, edition.detail.as_str());
            let tree = read(&edition.xml);
            let note = detail.notes.values().last().unwrap();
            let told = &note.inscriptions()[0];
            assert_eq!(back(&as_cut(&edition.xml)), told.signs.text);
            assert_eq!(tree.every("ab")[1].text(), told.expanded.text);
            assert_eq!(tree.every("ab")[1].has("xml:lang"), Some("la"));
            let divs = tree.every("div");
            let kinds: Vec<_> = divs.iter().map(|d| d.has("type").unwrap()).collect();
            assert_eq!(kinds, ["edition", "edition", "translation", "translation"]);
            for (div, lang) in divs[2..].iter().zip(["en", "cy"]) {
                assert_eq!(div.has("xml:lang"), Some(lang));
                let note = detail.notes.get(&lang.parse().unwrap()).unwrap();
                let told = &note.inscriptions()[0].translation;
                assert_eq!(div.text().trim(), told.text);
            }
            let statement = catalogue.site.statement.as_ref().unwrap();
            for (note, lang) in tree.every("note").iter().zip(["en", "cy"]) {
                assert_eq!(note.text(), statement.get(&lang.parse().unwrap()).unwrap());
            }
            let texts =
                |name: &str| -> Vec<String> { tree.every(name).iter().map(|e| e.text()).collect() };
            assert_eq!(texts("publisher"), ["Amgueddfa Brackwater Museum"]);
            assert!(texts("idno").contains(&object.record.identification.number));
            assert!(
                texts("idno")
                    .iter()
                    .any(|id| id.starts_with(&catalogue.site.address))
            );
            assert_eq!(texts("material").len(), 2);
            assert_eq!(
                tree.every("date")[0].has("when"),
                Some(&*detail.record.evidence.date.unwrap().to_string())
            );
            assert!(texts("name").contains(&"Elin Fychan".to_owned()));
            assert_eq!(
                tree.every("licence")[0].has("target"),
                Some("https://creativecommons.org/licenses/by/4.0/")
            );
        }
    }
    assert_eq!(seen, 2, "the mortar's and the token's");
    let (object, detail) = detail(&catalogue, "heron");
    assert_eq!(edition(&catalogue, object, detail, &sources).unwrap(), None);
}

#[test]
fn nothing_that_is_told_becomes_markup() {
    let (mut catalogue, sources) = demo();
    let hostile = "<supplied reason=\"x\">&amp;]]>'";
    catalogue.site.publisher = hostile.to_owned();
    let text = note(&format!("`{hostile}`"), "a & b", hostile);
    told(&mut catalogue, &[("en", &text), ("cy", &text)]);
    let (object, detail) = detail(&catalogue, "token-inscription");
    let edition = edition(&catalogue, object, detail, &sources)
        .unwrap()
        .unwrap();
    let tree = read(&edition.xml);
    assert!(tree.every("supplied").is_empty());
    assert_eq!(tree.every("publisher")[0].text(), hostile);
    assert_eq!(tree.every("div")[2].text().trim(), hostile);
    assert_eq!(tree.every("title")[0].text(), hostile);
}

#[test]
fn what_cannot_be_said_names_its_place() {
    let control = note("T", "to\u{1}mas", "t");
    let blank = note("T", "", "t");
    let nothing_cut = note("T", "tomas (- - -)", "t");
    let good = note("T", "tomas", "t");
    let other = note("T", "tom[as]", "t");
    let twice = format!("{good}\n{}", good.split_once("Words.").unwrap().1);
    let title = note("T\u{2}", "tomas", "t");
    for (en, cy, file, line, word) in [
        (&control, &control, "en.md", 5, "U+0001"),
        (&title, &good, "en.md", 1, "U+0002"),
        (&blank, &blank, "en.md", 5, "no signs"),
        (&nothing_cut, &nothing_cut, "en.md", 5, "(- - -)"),
        (&good, &other, "cy.md", 5, "read otherwise"),
        (&good, &twice, "cy.md", 5, "2 inscriptions"),
    ] {
        let (mut catalogue, sources) = demo();
        told(&mut catalogue, &[("en", en), ("cy", cy)]);
        let (object, detail) = detail(&catalogue, "token-inscription");
        let findings = edition(&catalogue, object, detail, &sources).unwrap_err();
        let finding = findings.iter().next().unwrap();
        let place = &finding.place;
        assert!(place.file.ends_with(file), "{finding:?}");
        assert_eq!(place.line, line, "{finding:?}");
        assert!(finding.what.contains(word), "{finding:?}");
        assert!(!finding.remedy.is_empty());
    }
}

/// Lettering that is on the copy only was not made when and where the original was.
#[test]
fn lettering_of_the_replica_has_the_replicas_day() {
    let (mut catalogue, sources) = demo();
    let objects = catalogue.objects.iter_mut().map(std::sync::Arc::make_mut);
    let mut all = objects.flat_map(|o| &mut o.details);
    let band = all.find(|d| d.id.as_str() == "inscription-band").unwrap();
    band.record.anchor.body = counterpart::record::BodyKind::Replica;
    let (object, detail) = detail(&catalogue, "inscription-band");
    let tree = read(
        &edition(&catalogue, object, detail, &sources)
            .unwrap()
            .unwrap()
            .xml,
    );
    let dates = tree.every("origDate");
    assert_eq!(dates.len(), 1);
    assert_eq!(dates[0].has("when"), Some("2024-07-02"));
    assert!(tree.every("origPlace").is_empty());
    assert!(tree.every("material")[0].text().contains("Aluminium"));
}
