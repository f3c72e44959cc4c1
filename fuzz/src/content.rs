//! A small content folder: one object of the demonstration with a detail and a step, without models.

use std::fs;
use std::path::Path;

/// Its files.
pub(crate) const FILES: [(&str, &str); 10] = [
    ("site.toml", include_str!("../../content/site.toml")),
    (
        "pilgrim-token/record.toml",
        include_str!("../../content/pilgrim-token/record.toml"),
    ),
    (
        "pilgrim-token/en.md",
        include_str!("../../content/pilgrim-token/en.md"),
    ),
    (
        "pilgrim-token/details/token-inscription/record.toml",
        include_str!("../../content/pilgrim-token/details/token-inscription/record.toml"),
    ),
    (
        "pilgrim-token/details/token-inscription/en.md",
        include_str!("../../content/pilgrim-token/details/token-inscription/en.md"),
    ),
    (
        "pilgrim-token/making/01-scan/record.toml",
        include_str!("../../content/brackwater-mortar/making/01-scan/record.toml"),
    ),
    (
        "pilgrim-token/making/01-scan/en.md",
        include_str!("../../content/brackwater-mortar/making/01-scan/en.md"),
    ),
    (
        "terms/frieze/en.md",
        include_str!("../../content/terms/frieze/en.md"),
    ),
    (
        "terms/frieze/record.toml",
        "format = 1\nformerly = [\"band\"]\n",
    ),
    (
        "translations.toml",
        "format = 1\n[notes.\"pilgrim-token/cy.md\"]\nsource = \"en.md\"\ndigest = \"0\"\n",
    ),
];

/// Writes all of them.
pub(crate) fn lay(folder: &Path) {
    for (name, text) in FILES {
        put(folder, name, text);
    }
}

/// Writes one.
pub(crate) fn put(folder: &Path, name: &str, text: &str) {
    let path = folder.join(name);
    fs::create_dir_all(path.parent().expect("a folder")).expect("a folder in memory");
    fs::write(path, text).expect("a file in memory");
}
