//! What the program hands on, written for tests/outside/judge_exchanged.py: LIDO, tables, the list of
//! pages and the feeds of the demonstration.

use std::path::Path;
use std::process::Command;

#[test]
fn lido_tables_sitemap_and_feeds_are_read_by_others() {
    let home = crate::folder();
    let ours = home.join("exchanged");
    if ours.exists() {
        std::fs::remove_dir_all(&ours).unwrap();
    }
    std::fs::create_dir_all(&ours).unwrap();
    let content = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    let run = |args: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_counterpart"));
        let out = command.args(args).current_dir(&ours).output().unwrap();
        assert!(
            out.status.success(),
            "{}",
            String::from_utf8_lossy(&out.stderr)
        );
    };
    let content = content.to_str().unwrap();
    run(&["exchange", content, "--as", "lido", "--to", "all.xml"]);
    run(&["exchange", content, "--as", "csv", "--to", "all.csv"]);
    run(&[
        "exchange",
        content,
        "--as",
        "csv",
        "--spectrum",
        "--to",
        "spectrum.csv",
    ]);
    run(&["publish", content, "--to", "display", "--on", "2026-11-27"]);
    let judged = Command::new(home.join("python/bin/python"))
        .arg("tests/outside/judge_exchanged.py")
        .args([&ours, &home.join("schemas")])
        .status()
        .unwrap();
    assert!(judged.success());
}
