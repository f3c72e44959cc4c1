//! What is kept between two readings of a folder that is being worked on changes no answer: after every
//! change, what was found with the help of it is what is found anew.

use counterpart::collate::{self, Kept, ObjectGeometry};
use counterpart::limits::Limits;
use counterpart::record::{self, Day};
use counterpart::survey::Survey;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::sync::Arc;

const OBJECT: &str = "brackwater-mortar";

/// Everything that is told of the object, with the help of what is kept and without.
fn both(root: &Path, kept: &mut Kept) -> [String; 2] {
    let limits = Limits::default();
    let today: Day = "2026-11-27".parse().expect("a day");
    let reading = record::read(root, today, &limits);
    let catalogue = reading.catalogue.expect("records that can be read");
    let object = catalogue
        .objects
        .iter()
        .find(|o| o.id.as_str() == OBJECT)
        .expect("the mortar");
    let told = |(geometry, findings): (Option<ObjectGeometry>, record::Findings)| {
        let geometry = geometry.expect("models that can be read");
        let found = Survey {
            catalogue: Some(catalogue.clone()),
            geometry: BTreeMap::from([(object.id.clone(), Arc::new(geometry))]),
            findings: record::Findings::none(),
            sources: reading.sources.clone(),
            loud: BTreeSet::new(),
        };
        let remarks: Vec<_> = findings.iter().map(|f| (&f.what, &f.remedy)).collect();
        format!("{:#}\n{remarks:#?}", found.measured())
    };
    let again = told(collate::read_again(
        root,
        object,
        &reading.sources,
        &limits,
        kept,
    ));
    let anew = told(collate::read(root, object, &reading.sources, &limits));
    [again, anew]
}

fn change(path: &Path, from: &str, to: &str) {
    let text = fs::read_to_string(path).expect("a record");
    assert!(text.contains(from), "{} has no {from}", path.display());
    fs::write(path, text.replacen(from, to, 1)).expect("written");
}

#[test]
fn what_is_kept_changes_no_answer() {
    let work = tempfile::tempdir().expect("a folder");
    let root = work.path().join("content");
    let demonstration = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    for entry in walkdir::WalkDir::new(&demonstration) {
        let entry = entry.expect("the demonstration");
        let to = root.join(entry.path().strip_prefix(&demonstration).expect("within"));
        if entry.file_type().is_dir() {
            fs::create_dir_all(&to).expect("made");
        } else {
            fs::copy(entry.path(), &to).expect("copied");
        }
    }
    let folder = root.join(OBJECT);
    let mut kept = Kept::default();
    let mut seen: Vec<String> = Vec::new();
    let mut step = |what: &str, differs: bool| {
        let [again, anew] = both(&root, &mut kept);
        assert!(again == anew, "{what}: kept and anew are told differently");
        if let Some(last) = seen.last() {
            assert_eq!(*last != again, differs, "{what}: whether anything changed");
        }
        seen.push(again);
    };
    step("at first", false);
    step("nothing changed", false);
    change(
        &folder.join("details/rim-dent/record.toml"),
        "radius_mm = 11.0",
        "radius_mm = 6.0",
    );
    step("a detail reaches less far", true);
    fs::remove_dir_all(folder.join("details/wax-bead")).expect("removed");
    step("a detail is gone", true);
    fs::copy(
        folder.join("models/original-pestle.glb"),
        folder.join("models/replica-pestle.glb"),
    )
    .expect("copied");
    step("a model is another", true);
}
