//! Notes and inscriptions against the EpiDoc Guidelines and CommonMark.

use counterpart::record::words::leiden::{Node, parse};
use counterpart::record::words::{
    LinkTarget, Passage, Resolve, ResolvedPicture, SpokenWords, to_html,
};
use counterpart::record::{Lang, Note, SourceFile};
use std::collections::BTreeMap;
use std::path::PathBuf;

fn spoken_words(lang: &str) -> SpokenWords {
    let text = match lang {
        "cy" => include_str!("../themes/plate/words/leiden.cy.toml"),
        _ => include_str!("../themes/plate/words/leiden.en.toml"),
    };
    let words: BTreeMap<String, String> = toml::from_str(text).unwrap();
    SpokenWords::from_words(&lang.parse().unwrap(), &words).unwrap()
}

fn heard(signs: &str) -> String {
    parse(signs).unwrap().spoken(&spoken_words("en"))
}

/// The signs of the EpiDoc Guidelines (Krummrey-Panciera alignment page and the transcription
/// pages), each with a plain sentence that a reader can hear.
#[test]
fn every_sign_is_heard_in_plain_words() {
    for (signs, sentence) in [
        ("tomas", "tomas"),
        ("to\u{323}mas", "tomas, the o is uncertain"),
        ("tom[as]", "tomas, the last two letters restored"),
        (
            "tom[as?]",
            "tomas, the last two letters restored, and the restoration is doubtful",
        ),
        (
            "tom[?as]",
            "tomas, the last two letters restored, and the restoration is doubtful",
        ),
        ("tom[...]", "tom, then three letters lost"),
        ("[c. 7]", "about seven letters lost"),
        ("[- - -]", "a gap of unknown length"),
        ("[- - - - - -]", "one line lost"),
        ("+++", "three letters that cannot be read"),
        ("f(ecit)", "fecit, written f"),
        ("pl(- - -)", "p l, an abbreviation not resolved"),
        ("⟦tomas⟧", "tomas, erased but legible"),
        ("[[tomas]]", "tomas, erased but legible"),
        ("«anna»", "anna, cut over an erasure"),
        ("`et´", "et, added later above the line"),
        ("tom{m}as", "tomas, with an extra m cut by mistake"),
        ("to<m>as", "tomas, the m was left out by the cutter"),
        ("VXQ", "letters V X Q, meaning unknown"),
        ("vac. 3", "a blank the width of three letters"),
        ("to-/mas", "tomas, broken across lines 1 and 2"),
        ("a\u{361}e", "ae, a and e joined"),
        ("(!)", "so on the object"),
        (
            "T(itus) fec[it]",
            "Titus, written T, fecit, the last two letters restored",
        ),
    ] {
        let found = heard(signs);
        assert_eq!(found.trim_start_matches(", "), sentence, "{signs}");
        assert!(
            !found.contains(['[', ']', '(', '⟦', '«', '`', '{', '<', '+']),
            "{signs}: {found}"
        );
    }
}

#[test]
fn capitals_that_make_words_are_read_as_words() {
    let tree = parse("TOMAS · FVSOR · ME · FECIT · AN[N]O · D(OMI)NI · 1647").unwrap();
    assert!(!tree.nodes.iter().any(|n| matches!(n, Node::Letters(_))));
    let spoken = tree.spoken(&spoken_words("en"));
    assert!(
        spoken.starts_with(
            "TOMAS FVSOR ME FECIT, ANNO, the N in it restored, DOMINI, written DNI, 1647"
        ),
        "{spoken}"
    );
    let welsh = tree.spoken(&spoken_words("cy"));
    assert!(
        welsh.contains("ysgrifennwyd DNI") && !welsh.contains('{'),
        "{welsh}"
    );
}

/// U+1ECD and o with U+0323 are canonically equivalent (Unicode, normalisation form D).
#[test]
fn a_ready_made_letter_is_the_same_as_its_pieces() {
    assert_eq!(parse("t\u{1ecd}mas"), parse("to\u{323}mas"));
}

#[test]
fn signs_come_back_as_they_were() {
    for signs in [
        "tom[as?] ⟦[...]⟧ pl(- - -) to<m>as {m} «anna» `et´ +++ vac. 3 to-/mas (!)",
        "TOMAS · FVSOR · ME · FECIT · AN[N]O · D(OMI)NI · 1647",
        "[c. 7] a\u{361}e [- - -] / [- - - - - -]",
        // Abbreviations within other signs, and one that is made whole in part only.
        "[t(omas)] ⟦pl(- - -)⟧ D(omi)n(- - -)",
    ] {
        let tree = parse(signs).unwrap();
        assert_eq!(tree.to_signs(), signs);
        assert_eq!(parse(&tree.to_signs()).unwrap(), tree);
    }
}

#[test]
fn a_sign_without_its_partner_has_its_column() {
    for (signs, column) in [
        ("tom[as", 4),
        ("tom]as", 4),
        ("⟦to", 1),
        ("a (b", 3),
        ("to[]m", 3),
        ("x ()", 3),
    ] {
        assert_eq!(parse(signs).unwrap_err().column, column, "{signs}");
    }
    assert!(parse(&"[".repeat(20_000)).is_err());
    for end in 0..60 {
        let text: String = "⟦t[o?]m «a» `s´⟧ {x} <y> (z) [c. 7] +++ [- - -] vac. 3 a-/b"
            .chars()
            .take(end)
            .collect();
        let _ = parse(&text);
    }
}

fn note(lang: &str, text: &str) -> (Note, Vec<String>) {
    let source = SourceFile {
        name: format!("a/{lang}.md"),
        path: PathBuf::new(),
        text: text.to_owned(),
    };
    let lang: Lang = lang.parse().unwrap();
    let (note, findings) = Note::read(source, lang);
    let found = findings
        .iter()
        .map(|f| format!("{} {}:{}", f.rule, f.place.line, f.place.column))
        .collect();
    (note, found)
}

struct Everything;

impl Resolve for Everything {
    fn link(&self, target: &LinkTarget) -> Option<String> {
        match target {
            LinkTarget::Unknown(_) => None,
            LinkTarget::Source(source) => Some(format!("evidence/#source-{source}")),
            LinkTarget::Web(address) | LinkTarget::Place(address) => Some(address.clone()),
            other => Some(format!("at/{other:?}")),
        }
    }

    fn picture(&self, file: &str) -> Option<ResolvedPicture> {
        Some(ResolvedPicture {
            printed: true,
            webp: "a.webp 480w".into(),
            fallback: "a.jpg 480w".into(),
            src: file.into(),
            width: 480,
            height: 300,
            alt: "What it <shows>".into(),
            caption: None,
            credit: "Somebody".into(),
        })
    }
}

fn html(lang: &str, text: &str) -> String {
    to_html(
        &note(lang, text).0,
        Passage::Whole,
        2,
        &Everything,
        &spoken_words("en"),
    )
    .unwrap()
}

#[test]
fn nothing_that_a_note_says_becomes_markup() {
    for hostile in [
        "<script>alert(1)</script>",
        "<img src=x onerror=alert(1)>",
        "a <b onclick=x()>b</b>",
        "[x](https://a.example/\"onmouseover=\"alert(1))",
        "![x\"onerror=\"y](a.jpg)",
        "```leiden la\n<script>\n```\n\n```expanded\n<b>\n```\n\n```translation\n<i>\n```",
        "| a |\n|:-:|\n| <td style=x> |",
        "a[^1]\n\n[^1]: <script>",
    ] {
        let out = html("en", &format!("# T\n\nfirst\n\n{hostile}\n"));
        for tag in out.split('<').skip(1) {
            let tag = tag.split('>').next().unwrap();
            let unquoted: String = tag.split('"').step_by(2).collect();
            let name = unquoted.split_whitespace().next().unwrap_or_default();
            assert!(
                !matches!(name, "script" | "b" | "i"),
                "{hostile} gives {out}"
            );
            assert!(
                !unquoted.contains(" on") && !unquoted.contains("style="),
                "{hostile} gives {out}"
            );
        }
    }
    let unknown = note("en", "# T\n\n[x](javascript:alert(1))\n").0;
    assert!(matches!(unknown.links[0].target, LinkTarget::Unknown(_)));
    assert!(
        to_html(
            &unknown,
            Passage::Whole,
            2,
            &Everything,
            &spoken_words("en")
        )
        .is_err()
    );
}

#[test]
fn passages_pictures_tables_and_footnotes_have_their_form() {
    let out = html(
        "cy",
        "# T\n\nY gair [fecit](lang:la) a [shalom](lang:he), “dyfyniad” a’r llall.\n\n![x](a.jpg)\n\n## Adran\n\n| a | b |\n|--:|---|\n| 1 | 2 |\n\nGair.[^n]\n\n[^n]: Nodyn.\n",
    );
    assert!(out.contains("<span lang=\"la\">fecit</span>"), "{out}");
    assert!(
        out.contains("<span lang=\"he\" dir=\"rtl\">shalom</span>"),
        "{out}"
    );
    assert!(out.contains("‘dyfyniad’ a’r llall"), "{out}");
    assert!(
        out.contains("<figure class=\"photograph\"><picture>") && !out.contains("<p><figure"),
        "{out}"
    );
    assert!(
        out.contains("alt=\"What it &lt;shows&gt;\" loading"),
        "{out}"
    );
    assert!(
        out.contains("<h2>Adran</h2>") && !out.contains("<h1"),
        "{out}"
    );
    assert!(
        out.contains("href=\"#note-a/cy.md-1\"") && out.contains("id=\"note-a/cy.md-1\""),
        "{out}"
    );
}

#[test]
fn a_note_tells_its_own_faults_with_their_places() {
    for (text, expected) in [
        ("words first\n", vec!["title-missing 1:1"]),
        ("", vec!["title-missing 1:1"]),
        ("# T\n\n### Jump\n", vec!["heading-jump 3:1"]),
        ("# T\n\n# Again\n", vec!["second-title 3:1"]),
        ("# T\n\n##\n", vec!["heading-empty 3:1"]),
        ("# T\n\n<b>x</b>\n", vec!["raw-html 3:1", "raw-html 3:5"]),
        (
            "# T\n\n```leiden la\ntom[as\n```\n\n```expanded la\nx\n```\n\n```translation\nx\n```\n",
            vec!["leiden 4:4"],
        ),
        (
            "# T\n\n```leiden la\ntomas\n```\n",
            vec!["inscription-incomplete 3:1"],
        ),
        (
            "# T\n\n```translation\nx\n```\n",
            vec!["inscription-order 3:1"],
        ),
        (
            "# T\n\n```leiden l@tin\ntomas\n```\n\n```expanded la\nx\n```\n\n```translation\nx\n```\n",
            vec!["bad-language 3:1"],
        ),
        ("# T\n\nAll is well.\n", vec![]),
    ] {
        let found = note("en", text).1;
        assert_eq!(found, expected, "{text}");
    }
}

#[test]
fn no_text_is_too_odd_to_be_read() {
    let whole = "# T\n\n“a” [l](detail:x) ![p](a.jpg)[^1]\n\n```leiden la\n⟦t[o?]m⟧\n```\n\n```expanded la\nx\n```\n\n```translation\ny\n```\n\n[^1]: é\n\n| a |\n|---|\n| b |\n";
    for (end, _) in whole.char_indices() {
        let (note, _) = note("en", &whole[..end]);
        let _ = to_html(&note, Passage::Rest, 3, &Everything, &spoken_words("en"));
    }
    for deep in [
        "> ".repeat(5_000),
        "[".repeat(10_000),
        "*a ".repeat(5_000),
        "- ".repeat(2_000),
    ] {
        let _ = note("en", &format!("# T\n\n{deep}"));
    }
}
