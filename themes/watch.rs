//! Build script: the theme is embedded in the binary, so a file added to it must rebuild it.

fn main() {
    for folder in [
        "templates",
        "styles",
        "fonts",
        "words",
        "viewer/viewer.js",
        "viewer/offline.js",
    ] {
        println!("cargo::rerun-if-changed=themes/plate/{folder}");
    }
}
