//! One fault a case. In the new text `«` marks the place that the finding must name; it is taken
//! out before the file is written, and line and column are counted from it.

pub(crate) enum Lay {
    /// In this file, this text becomes that.
    Change(&'static str, &'static str, &'static str),
    /// This file has these bytes instead.
    Write(&'static str, &'static [u8]),
    /// This file or folder is gone.
    Remove(&'static str),
    /// This file or folder has that name instead.
    Rename(&'static str, &'static str),
    /// A symbolic link with this name, leading there.
    Link(&'static str, &'static str),
}

pub(crate) struct Case {
    pub(crate) name: &'static str,
    pub(crate) lay: Lay,
    pub(crate) rule: &'static str,
    /// The file, where it is not the one changed.
    pub(crate) file: Option<&'static str>,
    pub(crate) error: bool,
}

const SITE: &str = "site.toml";
const OBJECT: &str = "mortar/record.toml";
const HARE: &str = "mortar/details/hare/record.toml";
const PAD: &str = "mortar/details/pad/record.toml";
const SCAN: &str = "mortar/making/01-scan/record.toml";
const NOTE: &str = "mortar/en.md";
const HARE_NOTE: &str = "mortar/details/hare/en.md";

use Lay::{Change, Link, Remove, Rename, Write};

const fn at(
    name: &'static str,
    file: &'static str,
    old: &'static str,
    new: &'static str,
    rule: &'static str,
) -> Case {
    Case {
        name,
        lay: Change(file, old, new),
        rule,
        file: None,
        error: true,
    }
}

const fn advice(
    name: &'static str,
    file: &'static str,
    old: &'static str,
    new: &'static str,
    rule: &'static str,
) -> Case {
    Case {
        name,
        lay: Change(file, old, new),
        rule,
        file: None,
        error: false,
    }
}

const fn whole(name: &'static str, lay: Lay, rule: &'static str, file: &'static str) -> Case {
    Case {
        name,
        lay,
        rule,
        file: Some(file),
        error: true,
    }
}

pub(crate) const CASES: &[Case] = &[
    // The TOML itself.
    at(
        "no-closing-quote",
        SITE,
        "\"Brackwater Museum\"",
        "\"Brackwater Museum«",
        "toml-syntax",
    ),
    at(
        "key-twice",
        SITE,
        "publisher =",
        "format = 1\n«publisher = 'x'\n«publisher =",
        "toml-syntax",
    ),
    at(
        "unknown-key",
        HARE,
        "kind = \"motif\"",
        "kind = \"motif\"\n«ordre = 3",
        "unknown-key",
    ),
    at(
        "unknown-key-inside",
        HARE,
        "radius_mm = 4.0",
        "«radius = 4.0, radius_mm = 4.0",
        "unknown-key",
    ),
    at(
        "missing-key-inside",
        HARE,
        "anchor = { body = \"original\", ",
        "anchor = «{ ",
        "missing-key",
    ),
    at(
        "missing-key-at-top",
        SITE,
        "format = 1\npublisher = \"Brackwater Museum\"",
        "«format = 1",
        "missing-key",
    ),
    at(
        "text-for-number",
        SCAN,
        "hours = 6.5",
        "hours = «\"six\"",
        "wrong-type",
    ),
    at(
        "number-for-text",
        SITE,
        "\"Brackwater Museum\"",
        "«7",
        "wrong-type",
    ),
    at(
        "two-numbers-for-three",
        HARE,
        "[0.0, 60.0, 70.0]",
        "«[0.0, 60.0]",
        "wrong-type",
    ),
    at(
        "day-with-time",
        SCAN,
        "2024-03-20",
        "«2024-03-20T10:00:00",
        "wrong-type",
    ),
    at(
        "day-in-quotes",
        SCAN,
        "2024-03-20",
        "«\"2024-03-20\"",
        "wrong-type",
    ),
    at(
        "negative-order",
        HARE,
        "part =",
        "order = «-1\npart =",
        "wrong-type",
    ),
    at("format-2", HARE, "format = 1", "format = «2", "format"),
    at(
        "unknown-kind",
        HARE,
        "\"motif\"",
        "«\"motive\"",
        "unknown-word",
    ),
    at("empty-text", SITE, "\"Elin Fychan\"", "«\"\"", "empty-text"),
    at(
        "not-a-number",
        HARE,
        "radius_mm = 4.0",
        "radius_mm = «nan",
        "not-finite",
    ),
    at("infinite", HARE, "60.0", "«inf", "not-finite"),
    at(
        "unsafe-id-inside",
        OBJECT,
        "id = \"lent\"",
        "id = «\"Lent Out\"",
        "unsafe-id",
    ),
    // Files.
    whole("no-site", Remove(SITE), "missing-record", SITE),
    whole("no-record", Remove(HARE), "missing-record", HARE),
    whole(
        "no-welsh-object",
        Remove("mortar/cy.md"),
        "missing-language",
        "mortar/cy.md",
    ),
    whole(
        "no-welsh-detail",
        Remove("mortar/details/hare/cy.md"),
        "missing-language",
        "mortar/details/hare/cy.md",
    ),
    whole(
        "no-welsh-step",
        Remove("mortar/making/01-scan/cy.md"),
        "missing-language",
        "mortar/making/01-scan/cy.md",
    ),
    whole(
        "no-welsh-term",
        Remove("terms/bell/cy.md"),
        "missing-language",
        "terms/bell/cy.md",
    ),
    whole(
        "note-not-utf8",
        Write(NOTE, b"# The mortar\n\nab\xffc\n"),
        "not-utf8",
        NOTE,
    ),
    whole("record-not-utf8", Write(HARE, b"\xfe"), "not-utf8", HARE),
    whole(
        "note-is-a-link",
        Link("mortar/fr.md", "/etc/passwd"),
        "symbolic-link",
        "mortar/fr.md",
    ),
    whole(
        "folder-is-a-link",
        Link("loop", "."),
        "symbolic-link",
        "loop",
    ),
    // U+212A, the kelvin sign, is K in normal form C (Unicode Standard, singleton decompositions).
    whole(
        "names-alike-in-normal-form",
        Write("mortar/ma\u{212a}ing", b""),
        "names-alike",
        "mortar/ma\u{212a}ing",
    ),
    whole(
        "names-alike",
        Write("mortar/EN.md", b"# X\n"),
        "names-alike",
        "mortar/en.md",
    ),
    whole(
        "folder-with-accent",
        Rename("mortar/details/pad", "mortar/details/p\u{e9}"),
        "unsafe-id",
        "mortar/details/p\u{e9}",
    ),
    whole(
        "folder-with-space",
        Rename("mortar/details/pad", "mortar/details/The Pad"),
        "unsafe-id",
        "mortar/details/The Pad",
    ),
    whole(
        "folder-reserved",
        Rename("terms/bell", "terms/con"),
        "unsafe-id",
        "terms/con",
    ),
    whole(
        "step-without-number",
        Rename("mortar/making/01-scan", "mortar/making/scan"),
        "step-folder",
        "mortar/making/scan",
    ),
    whole(
        "too-deep",
        Write("mortar/a/b/c/d/e/f/g/h/x.txt", b""),
        "too-deep",
        "mortar/a/b/c/d/e/f/g",
    ),
    Case {
        name: "stray-file",
        lay: Write("mortar/plan.pdf", b""),
        rule: "not-read",
        file: Some("mortar/plan.pdf"),
        error: false,
    },
    Case {
        name: "stray-language",
        lay: Write("mortar/fr.md", b"# X\n"),
        rule: "not-read",
        file: Some("mortar/fr.md"),
        error: false,
    },
    Case {
        name: "stray-model",
        lay: Write("mortar/models/odd.stl", b""),
        rule: "not-read",
        file: Some("mortar/models/odd.stl"),
        error: false,
    },
    // Languages.
    at(
        "text-without-welsh",
        HARE,
        "{ en = \"A hare leaps to the left\", cy = \"Sgwarnog yn llamu i'r chwith\" }",
        "«{ en = \"A hare leaps to the left\" }",
        "missing-language",
    ),
    at(
        "text-in-french",
        OBJECT,
        "{ en = \"Store\",",
        "{ «fr = \"Dépôt\", en = \"Store\",",
        "language-not-of-site",
    ),
    at(
        "bad-tag",
        SITE,
        "[\"en\", \"cy\"]",
        "[\"en\", \"cy\", «\"e\"]",
        "bad-language",
    ),
    at(
        "language-twice",
        SITE,
        "[\"en\", \"cy\"]",
        "[\"en\", \"cy\", «\"en\"]",
        "duplicate-id",
    ),
    // Mentions.
    at(
        "unknown-person",
        SCAN,
        "[\"elin-fychan\"]",
        "[«\"elin-fichan\"]",
        "unknown-person",
    ),
    at(
        "unknown-source",
        OBJECT,
        "by = \"elin-fychan\", source = \"register\"",
        "source = «\"registre\"",
        "unknown-source",
    ),
    at(
        "unknown-material",
        OBJECT,
        "material = \"aluminium\"",
        "material = «\"aluminum\"",
        "unknown-material",
    ),
    at(
        "unknown-rights",
        HARE,
        "rights = \"lent\"",
        "rights = «\"loan\"",
        "unknown-rights",
    ),
    at(
        "unknown-part",
        HARE,
        "part = \"mortar\"",
        "part = «\"morter\"",
        "unknown-part",
    ),
    at(
        "part-twice",
        OBJECT,
        "id = \"pestle\"",
        "id = «\"mortar\"",
        "duplicate-id",
    ),
    at(
        "rights-twice",
        OBJECT,
        "id = \"lent\"",
        "id = «\"ours\"",
        "duplicate-id",
    ),
    advice(
        "measured-by-nobody",
        HARE,
        "ground = \"observed\"",
        "ground = «\"measured\"",
        "evidence-unnamed",
    ),
    // Rights.
    at(
        "unknown-statement",
        OBJECT,
        "\"http://rightsstatements.org/vocab/InC/1.0/\"",
        "«\"http://rightsstatements.org/vocab/XYZ/1.0/\"",
        "unknown-statement",
    ),
    whole(
        "rights-ended",
        Change(OBJECT, "until = 2026-12-31", "until = 2025-01-31"),
        "display-not-permitted",
        HARE,
    ),
    whole(
        "rights-not-begun",
        Change(OBJECT, "from = 2024-01-01", "from = 2026-01-01"),
        "display-not-permitted",
        HARE,
    ),
    whole(
        "print-only",
        Change(OBJECT, "permits = [\"display\"]", "permits = [\"print\"]"),
        "display-not-permitted",
        HARE,
    ),
    at(
        "rights-end-first",
        OBJECT,
        "until = 2026-12-31",
        "until = «2023-12-31",
        "rights-range",
    ),
    // Links.
    at(
        "dangling-detail",
        NOTE,
        "[the hare](detail:hare)",
        "«[the hare](detail:hair)",
        "dangling-link",
    ),
    at(
        "dangling-step",
        NOTE,
        "[the scan](step:scan)",
        "«[the scan](step:scam)",
        "dangling-link",
    ),
    at(
        "dangling-term",
        HARE_NOTE,
        "[bell](term:bell)",
        "«[bell](term:bells)",
        "dangling-link",
    ),
    at(
        "dangling-object",
        HARE_NOTE,
        "[object](object:mortar)",
        "«[object](object:pot)",
        "dangling-link",
    ),
    at(
        "dangling-across",
        "terms/bell/en.md",
        "[a hare](detail:mortar/hare)",
        "«[a hare](detail:mortar/pig)",
        "dangling-link",
    ),
    at(
        "detail-from-term",
        "terms/bell/en.md",
        "[a hare](detail:mortar/hare)",
        "«[a hare](detail:hare)",
        "dangling-link",
    ),
    // Pictures.
    at(
        "no-such-photograph",
        HARE,
        "\"hare.png\"",
        "«\"hair.png\"",
        "missing-file",
    ),
    at(
        "photograph-climbs",
        HARE,
        "\"hare.png\"",
        "«\"../hare.png\"",
        "path-leaves",
    ),
    at(
        "photograph-absolute",
        HARE,
        "\"hare.png\"",
        "«\"/etc/passwd\"",
        "path-leaves",
    ),
    at(
        "photograph-drive",
        HARE,
        "\"hare.png\"",
        "«'C:\\hare.png'",
        "path-leaves",
    ),
    whole(
        "not-a-picture",
        Write("mortar/details/hare/hare.png", b"no picture"),
        "not-a-picture",
        HARE,
    ),
    at(
        "alt-is-file-name",
        HARE,
        "\"A hare leaps to the left\"",
        "«\"IMG_2034.jpg\"",
        "filename-as-alternative-text",
    ),
    at(
        "alt-is-empty",
        HARE,
        "\"A hare leaps to the left\"",
        "«\" \"",
        "missing-alternative-text",
    ),
    at(
        "note-alt-is-empty",
        HARE_NOTE,
        "![A hare in low light](hare.png)",
        "«![](hare.png)",
        "missing-alternative-text",
    ),
    at(
        "note-alt-is-photo",
        HARE_NOTE,
        "![A hare in low light](hare.png)",
        "«![photo](hare.png)",
        "filename-as-alternative-text",
    ),
    at(
        "note-picture-undeclared",
        HARE_NOTE,
        "![A hare in low light](hare.png)",
        "«![A hare in low light](other.png)",
        "picture-without-rights",
    ),
    // Models.
    at(
        "model-climbs",
        OBJECT,
        "\"models/old.glb\"",
        "«\"../models/old.glb\"",
        "path-leaves",
    ),
    at(
        "no-such-model",
        OBJECT,
        "\"models/old.glb\"",
        "«\"models/older.glb\"",
        "missing-file",
    ),
    at(
        "model-kind",
        OBJECT,
        "\"models/pestle.stl\"",
        "«\"models/pestle.max\"",
        "model-kind",
    ),
    at(
        "glb-in-mm",
        OBJECT,
        "new.glb\"\nunit = \"m\"",
        "new.glb\"\nunit = «\"mm\"",
        "model-unit",
    ),
    // Bearings.
    at(
        "addition-on-original",
        PAD,
        "original = \"absent\"",
        "original = «\"present\"",
        "bearing-against-kind",
    ),
    at(
        "addition-absent",
        PAD,
        "replica = \"present\"",
        "replica = «\"absent\"",
        "bearing-against-kind",
    ),
    at(
        "absent-everywhere",
        HARE,
        "{ original = \"present\", replica = \"present\" }",
        "«{ original = \"absent\", replica = \"absent\" }",
        "bearing-against-kind",
    ),
    at(
        "bearing-lacks-replica",
        HARE,
        "{ original = \"present\", replica = \"present\" }",
        "«{ original = \"present\" }",
        "bearing-and-bodies",
    ),
    at(
        "part-not-on-replica",
        HARE,
        "part = \"mortar\"\nbearing = { original = \"present\", replica = \"present\" }",
        "part = \"pestle\"\nbearing = { original = \"present\", replica = «\"present\" }",
        "bearing-and-parts",
    ),
    at(
        "anchor-where-absent",
        PAD,
        "body = \"replica\"",
        "body = «\"original\"",
        "anchor-body",
    ),
    // Numbers.
    at(
        "radius-zero",
        HARE,
        "radius_mm = 4.0",
        "radius_mm = «0.0",
        "radius",
    ),
    at(
        "density-inverted",
        OBJECT,
        "[8.6, 8.7]",
        "«[8.7, 8.6]",
        "density",
    ),
    at(
        "density-negative",
        OBJECT,
        "[8.6, 8.7]",
        "«[-8.6, 8.7]",
        "density",
    ),
    at(
        "elevation-over",
        HARE,
        "elevation_deg = 5.0",
        "elevation_deg = «91",
        "elevation",
    ),
    at(
        "hours-negative",
        SCAN,
        "hours = 6.5",
        "hours = «-1",
        "hours",
    ),
    at(
        "weight-zero",
        OBJECT,
        "value_g = 4100.0",
        "value_g = «0",
        "weight",
    ),
    at(
        "address-without-slash",
        SITE,
        "\"https://brackwater.example/replicas/\"",
        "«\"https://brackwater.example/replicas\"",
        "site-address",
    ),
    at(
        "address-relative",
        SITE,
        "\"https://brackwater.example/replicas/\"",
        "«\"brackwater.example/\"",
        "site-address",
    ),
    // Length and ease: advice.
    advice(
        "title-long",
        NOTE,
        "# The mortar",
        "«# The old mortar and the new mortar in two rooms",
        "title-long",
    ),
    advice(
        "introduction-short",
        NOTE,
        "This is a copy of an old mortar. The first one is in the store. We made this one so that you can hold it. See",
        "«See",
        "introduction-length",
    ),
    advice(
        "label-hard",
        OBJECT,
        "\"This is a copy. You can touch it.\"",
        "«\"Additively manufactured facsimile exhibiting characteristic metallurgical discontinuities.\"",
        "hard-to-read",
    ),
];
