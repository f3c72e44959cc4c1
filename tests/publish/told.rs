//! What is told of a picture to those who cannot see it, and to the keeper of a detail that nobody
//! sees.

use super::text;
use super::tree::{Place, block_glb};
use std::fs;

fn page(place: &Place, name: &str) -> String {
    fs::read_to_string(place.path(&format!("display/{name}index.html"))).unwrap()
}

/// The alternative texts of a page.
fn alternatives(html: &str) -> Vec<&str> {
    let pieces = html.split(" alt=\"").skip(1);
    pieces
        .map(|piece| piece.split('"').next().unwrap())
        .collect()
}

/// The value that the line with this key has in the findings' remedy.
fn remedy(place: &Place, rule: &str) -> Option<(serde_json::Value, String)> {
    let out = place.run(&["survey", "--json"]);
    let report: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    let findings = report["findings"].as_array().unwrap();
    let found = findings.iter().find(|f| f["rule"] == rule)?.clone();
    let remedy = found["remedy"].as_str().unwrap().to_owned();
    Some((found, remedy))
}

/// The dent is on the front of the box, and the keeper looks from behind: nothing of it can be seen.
/// The view that the finding names can be pasted, and is believed.
#[test]
fn a_view_from_the_wrong_side_is_told_with_the_right_one() {
    let place = Place::new();
    let record = "content/box/details/dent/record.toml";
    let wrong = "view = { azimuth_deg = 180.0, elevation_deg = 10.0 }";
    place.edit(
        record,
        "part = \"box\"\n",
        &format!("part = \"box\"\n{wrong}\n"),
    );
    let (found, told) = remedy(&place, "view-hidden").expect("a finding");
    assert_eq!(found["severity"], "advice");
    assert_eq!(found["place"]["file"], "box/details/dent/record.toml");
    assert_eq!(
        (
            found["place"]["line"].as_u64(),
            found["place"]["column"].as_u64()
        ),
        (Some(4), Some(8))
    );
    let what = found["what"].as_str().unwrap();
    assert!(
        what.contains("hidden") && what.contains("0 %") && what.contains("‘box’"),
        "{what}"
    );
    let right = told.find("view = {").map(|at| &told[at..]).unwrap();
    let right = &right[..=right.find('}').unwrap()];
    place.edit(record, wrong, right);
    assert!(remedy(&place, "view-hidden").is_none(), "pasted: {right}");
    assert!(remedy(&place, "detail-hidden").is_none());
}

/// A cover is put over the whole box. From nowhere is the dent seen, so the cover is taken away for
/// its still; the finding, the caption and the alternative text all say so.
#[test]
fn a_cover_is_taken_away_and_everyone_is_told() {
    let place = Place::new();
    let cover = ", { id = \"cover\", name = { en = \"The cover\" }, model = \"models/cover.glb\", unit = \"m\", material = \"lead\", rights = \"museum\", solid = false }]";
    place.edit(
        "content/box/record.toml",
        "solid = true }]",
        &format!("solid = true }}{cover}"),
    );
    fs::write(
        place.path("content/box/models/cover.glb"),
        block_glb(16.0, 34.0),
    )
    .unwrap();
    let (found, told) = remedy(&place, "detail-hidden").expect("a finding");
    let what = found["what"].as_str().unwrap();
    assert!(what.contains("‘cover’ hides 100 %"), "{what}");
    assert!(told.contains("with ‘cover’ taken away"), "{told}");
    let out = place.run(&["publish"]);
    assert!(out.status.success(), "{}", text(&out.stderr));
    let html = page(&place, "box/details/dent/");
    let away = "Taken away for this picture: The cover.";
    assert_eq!(
        html.matches(away).count(),
        2,
        "in the caption and in the alternative text"
    );
    assert!(alternatives(&html)[0].contains(away));
    // The still shows the box, not the cover: it is another picture than one of the cover.
    place.edit("content/box/record.toml", cover, "]");
    assert!(place.run(&["publish"]).status.success());
    assert!(!page(&place, "box/details/dent/").contains("Taken away"));
    assert!(remedy(&place, "detail-hidden").is_none());
}

#[test]
fn pictures_are_told_from_facts_and_in_the_keepers_words_where_there_are_any() {
    let place = Place::new();
    assert!(place.run(&["publish"]).status.success());
    let object = page(&place, "box/");
    let plate = alternatives(&object)[0];
    assert!(
        plate.starts_with("Computer picture of the original: A box. Seen from the "),
        "{plate}"
    );
    assert!(
        plate.contains("Letters: middle a.") && plate.ends_with("Surface: bare."),
        "{plate}"
    );
    let home = page(&place, "");
    assert!(
        !alternatives(&home)[0].contains("Letters"),
        "none are drawn there"
    );
    let detail = page(&place, "box/details/dent/");
    assert!(
        alternatives(&detail)[0].starts_with(
            "Close computer picture of a detail of the original: A dent. Seen from the "
        )
    );

    let record = "content/box/details/dent/record.toml";
    place.edit(
        record,
        "part = \"box\"\n",
        "part = \"box\"\nalt = { original = { en = \"A shallow dent with a bright rim\" } }\n",
    );
    place.edit(
        "content/box/record.toml",
        "finish = { en = \"bare\" }",
        "finish = { en = \"bare\" }\nalt = { en = \"A tall grey box\" }",
    );
    assert!(place.run(&["publish"]).status.success());
    let (object, detail) = (page(&place, "box/"), page(&place, "box/details/dent/"));
    let plate = alternatives(&object)[0];
    assert!(
        plate.starts_with("A tall grey box. Seen from the ")
            && plate.contains("Letters: middle a."),
        "{plate}"
    );
    assert!(
        alternatives(&detail)[0].starts_with("A shallow dent with a bright rim. Seen from the ")
    );

    place.edit(record, "alt = { original", "alt = { replica");
    let out = place.run(&["publish"]);
    assert_eq!(out.status.code(), Some(1));
    let said = text(&out.stderr);
    assert!(
        said.contains("bearing-and-bodies") && said.contains("no"),
        "{said}"
    );
}
