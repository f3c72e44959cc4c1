//! Comparisons hold the surfaces of the scans: they stay in the store only while those may be shown.

use super::tree::Place;
use std::fs;

const RECORD: &str = "content/box/record.toml";

/// A box with a copy that is a little taller.
fn copied() -> Place {
    let place = Place::new();
    fs::write(
        place.path("content/box/models/copy.glb"),
        super::tree::block_glb(10.0, 30.4),
    )
    .unwrap();
    place.edit(
        RECORD,
        "[materials.lead]",
        "[bodies.replica]\nlocation = { en = \"on the table\" }\nfinish = { en = \"bare\" }\n\
         parts = [{ id = \"box\", name = { en = \"Box\" }, model = \"models/copy.glb\", unit = \"m\", material = \"lead\", rights = \"museum\", solid = true }]\n\n\
         [materials.lead]",
    );
    place.edit(
        "content/box/details/dent/record.toml",
        "bearing = { original = \"present\" }",
        "bearing = { original = \"present\", replica = \"present\" }",
    );
    place
}

/// Whether comparisons are in the store after a run on that day.
fn kept(place: &Place, day: &str) -> bool {
    let out = place.run(&["publish", "--on", day]);
    // Whatever the survey finds: comparisons are made before it is judged.
    assert!(matches!(out.status.code(), Some(0 | 1)));
    let room = place.path(".counterpart/compared-box");
    fs::read_dir(room).is_ok_and(|mut files| files.next().is_some())
}

#[test]
fn comparisons_go_with_the_permission_to_show_the_scans() {
    let place = copied();
    assert!(kept(&place, "2026-03-01"));
    place.edit(
        RECORD,
        "permits = [",
        "from = 2026-02-01\nuntil = 2026-03-31\npermits = [",
    );
    assert!(kept(&place, "2026-03-31"));
    assert!(!kept(&place, "2026-04-01"), "ended");
    assert!(!kept(&place, "2026-01-31"), "not yet begun");
    assert!(kept(&place, "2026-02-01"));
    // Whatever was compared before in another way goes too.
    place.edit(RECORD, "until = 2026-03-31", "finest_mm = 0.5");
    assert!(!kept(&place, "2026-03-01"), "less than the scan");
}
