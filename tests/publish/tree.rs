//! A small, whole content folder, made anew for each test.

use super::shapes::block;
use counterpart::mesh::{GlbFacts, NamedMesh, glb_plain};
use glam::Vec3;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A content folder in an empty place of its own.
pub(crate) struct Place {
    folder: tempfile::TempDir,
}

const SITE: &str = r#"format = 1
publisher = "Brackwater Museum"
address = "https://brackwater.example/"
languages = ["en"]
name = { en = "Counterparts" }
introduction = { en = "Replicas and what they tell." }
"#;

const OBJECT: &str = r#"format = 1
words_rights = "museum"
label = { en = "A plain box, copied to show how a record is kept. The first box stays in the store." }

[identification]
number = "BRKMU:1"
name = { en = "Box" }
date = { en = "1700" }
keeper = { en = "Brackwater Museum" }
evidence = { ground = "observed" }

[bodies.original]
location = { en = "in the store" }
finish = { en = "bare" }
parts = [{ id = "box", name = { en = "Box" }, model = "models/box.glb", unit = "m", material = "lead", rights = "museum", solid = true }]

[materials.lead]
name = { en = "lead" }
density_g_per_cm3 = [11.3, 11.4]
evidence = { ground = "conjectured" }

[[rights]]
id = "museum"
holder = "Brackwater Museum"
statement = "https://creativecommons.org/licenses/by/4.0/"
permits = ["display", "download", "print"]
"#;

const DETAIL: &str = r#"format = 1
kind = "damage"
part = "box"
bearing = { original = "present" }
evidence = { ground = "observed" }

[anchor]
body = "original"
point_mm = [0.0, 15.0, 5.0]
radius_mm = 3.0
"#;

impl Place {
    /// A box of 10 × 30 × 10 mm with one detail on its front.
    pub(crate) fn new() -> Self {
        Self::on(tempfile::tempdir().unwrap())
    }

    /// The same in memory, where the system has a place for that: for what is written very often.
    #[allow(dead_code, reason = "not asked for by every test")]
    pub(crate) fn in_memory() -> Self {
        Self::on(tempfile::tempdir_in("/dev/shm").unwrap_or_else(|_| tempfile::tempdir().unwrap()))
    }

    fn on(folder: tempfile::TempDir) -> Self {
        let place = Self { folder };
        place.write("content/site.toml", SITE);
        place.write("content/box/record.toml", OBJECT);
        place.write(
            "content/box/en.md",
            "# A box\n\nA box that was copied so that its [dent](detail:dent) can be felt.\n",
        );
        place.write("content/box/details/dent/record.toml", DETAIL);
        place.write(
            "content/box/details/dent/en.md",
            "# A dent\n\nSomeone let it fall.\n",
        );
        fs::create_dir_all(place.path("content/box/models")).unwrap();
        fs::write(
            place.path("content/box/models/box.glb"),
            block_glb(10.0, 30.0),
        )
        .unwrap();
        place
    }

    /// The folder of the place.
    #[allow(dead_code, reason = "not asked for by every test")]
    pub(crate) fn folder(&self) -> &Path {
        self.folder.path()
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn write(&self, name: &str, text: &str) {
        let path = self.path(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }

    pub(crate) fn edit(&self, name: &str, from: &str, to: &str) {
        let text = fs::read_to_string(self.path(name)).unwrap();
        assert!(text.contains(from), "‘{from}’ is not in {name}");
        fs::write(self.path(name), text.replace(from, to)).unwrap();
    }

    /// The program, run in this place.
    pub(crate) fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_counterpart"));
        command
            .args(args)
            .current_dir(self.folder.path())
            .env("NO_COLOR", "1");
        command
    }

    pub(crate) fn run(&self, args: &[&str]) -> Output {
        self.command(args).output().unwrap()
    }

    /// Beside a site lies nothing, or what the next run goes by: a ledger and a second tree, which is whole.
    #[allow(dead_code, reason = "not asked for by every test")]
    pub(crate) fn nothing_half_beside(&self, site: &str) {
        let site = self.path(site);
        let name = format!(".{}.counterpart", site.file_name().unwrap().display());
        let bench = site.with_file_name(name);
        if bench.exists() {
            assert_eq!(names(&bench), ["ledger", "next", "records"]);
            assert!(files(&bench.join("next")) == files(&site), "half a tree");
        }
    }

    /// Names at the top of the place, sorted; without what lies beside sites.
    #[allow(dead_code, reason = "not asked for by every test")]
    pub(crate) fn names_without_ledgers(&self) -> Vec<String> {
        let mut names = self.names();
        names.retain(|name| name == ".counterpart" || !name.ends_with(".counterpart"));
        names
    }

    /// Names at the top of the place, sorted.
    #[allow(dead_code, reason = "not asked for by every test")]
    pub(crate) fn names(&self) -> Vec<String> {
        names(self.folder.path())
    }
}

#[allow(dead_code, reason = "not asked for by every test")]
fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<String> = entries
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

/// All files below a folder with their bytes.
#[allow(dead_code, reason = "not asked for by every test")]
pub(crate) fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    walkdir::WalkDir::new(folder)
        .sort_by_file_name()
        .into_iter()
        .map(Result::unwrap)
        .filter(|e| e.file_type().is_file())
        .map(|e| {
            (
                e.path().strip_prefix(folder).unwrap().display().to_string(),
                fs::read(e.path()).unwrap(),
            )
        })
        .collect()
}

/// An upright box that stands on the ground, as a file.
pub(crate) fn block_glb(width: f32, height: f32) -> Vec<u8> {
    let half = width / 2.0;
    let mesh = block(Vec3::new(-half, 0.0, -half), Vec3::new(half, height, half));
    glb_plain(&[NamedMesh::new("box", &mesh)], &GlbFacts::default()).unwrap()
}
