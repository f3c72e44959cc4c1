//! A note: read, turned into HTML and plain text, its inscriptions parsed, spoken and written back.
//! The HTML may hold no element and no attribute but those that notes make.

use counterpart::record::words::leiden::parse;
use counterpart::record::words::{
    LinkTarget, Passage, Resolve, ResolvedPicture, SpokenWords, ease, to_html, to_text,
};
use counterpart::record::{Lang, Note, SourceFile};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::OnceLock;

static WORDS: OnceLock<(SpokenWords, Lang)> = OnceLock::new();

fn words() -> &'static (SpokenWords, Lang) {
    WORDS.get_or_init(|| {
        let text = include_str!("../../../themes/plate/words/leiden.en.toml");
        let words: BTreeMap<String, String> = toml::from_str(text).expect("words of the theme");
        let lang: Lang = "en".parse().expect("a language");
        let spoken = SpokenWords::from_words(&lang, &words).expect("all phrases");
        (spoken, lang)
    })
}

/// As the site resolves: own schemes become paths, the web's addresses stay, others lead nowhere.
struct Anywhere;

impl Resolve for Anywhere {
    fn link(&self, target: &LinkTarget) -> Option<String> {
        match target {
            LinkTarget::Web(address) => Some(address.clone()),
            LinkTarget::Place(place) => Some(place.clone()),
            LinkTarget::Unknown(_) => None,
            _ => Some("../elsewhere/".to_owned()),
        }
    }
    fn picture(&self, file: &str) -> Option<ResolvedPicture> {
        Some(ResolvedPicture {
            webp: "a.webp 1w".to_owned(),
            fallback: "a.jpg 1w".to_owned(),
            src: "a.jpg".to_owned(),
            width: 1,
            height: 1,
            alt: file.to_owned(),
            caption: Some(file.to_owned()),
            credit: file.to_owned(),
            printed: true,
        })
    }
}

const ELEMENTS: [&str; 45] = [
    "a",
    "abbr",
    "blockquote",
    "br",
    "code",
    "dd",
    "del",
    "div",
    "dl",
    "dt",
    "em",
    "figcaption",
    "figure",
    "h1",
    "h2",
    "h3",
    "h4",
    "h5",
    "h6",
    "hr",
    "i",
    "img",
    "ins",
    "li",
    "ol",
    "p",
    "picture",
    "pre",
    "s",
    "small",
    "source",
    "span",
    "strong",
    "sub",
    "sup",
    "table",
    "tbody",
    "td",
    "th",
    "thead",
    "tr",
    "u",
    "ul",
    "b",
    "mark",
];
const ATTRIBUTES: [&str; 20] = [
    "href",
    "rel",
    "class",
    "lang",
    "dir",
    "role",
    "id",
    "src",
    "srcset",
    "sizes",
    "width",
    "height",
    "alt",
    "loading",
    "type",
    "start",
    "aria-hidden",
    "aria-label",
    "title",
    "translate",
];

/// Walks all tags: text never opens one, an attribute is quoted, and no address is a script.
fn walk(html: &str) {
    let mut rest = html;
    while let Some(at) = rest.find('<') {
        rest = &rest[at + 1..];
        let name_start = rest.strip_prefix('/').unwrap_or(rest);
        let end = name_start
            .find(|c: char| !c.is_ascii_alphanumeric())
            .unwrap_or(name_start.len());
        let name = &name_start[..end];
        assert!(ELEMENTS.contains(&name), "an element <{name}> in {html}");
        let mut tag = &name_start[end..];
        loop {
            tag = tag.trim_start();
            if let Some(after) = tag.strip_prefix("/>").or_else(|| tag.strip_prefix('>')) {
                rest = after;
                break;
            }
            let end = tag
                .find(|c: char| !c.is_ascii_alphanumeric() && c != '-')
                .unwrap_or(tag.len());
            let attribute = &tag[..end];
            assert!(
                ATTRIBUTES.contains(&attribute),
                "an attribute {attribute:?} in {html}"
            );
            tag = &tag[end..];
            let Some(value) = tag.strip_prefix("=\"") else {
                continue;
            };
            let close = value.find('"').expect("a value that ends");
            if attribute == "href" {
                let address = value[..close].trim_start().to_lowercase();
                assert!(
                    ["http:", "https:", "mailto:", "#", "../"]
                        .iter()
                        .any(|s| address.starts_with(s)),
                    "an address {address:?}"
                );
            }
            tag = &value[close + 1..];
        }
    }
}

/// Judges one input.
pub(crate) fn judge(text: &str) {
    let (spoken, _) = words();
    note_of(text);
    // The same text as an inscription.
    note_of(&format!(
        "# M\n\n```leiden la\n{text}\n```\n\n```expanded la\n{text}\n```\n"
    ));
    if let Ok(tree) = parse(text) {
        let _ = tree.spoken(spoken);
        let signs = tree.to_signs();
        // What is written back is the same reading.
        let again = parse(&signs).unwrap_or_else(|e| panic!("{signs:?} from {text:?}: {e:?}"));
        assert_eq!(again.to_signs(), signs);
    }
}

fn note_of(text: &str) {
    let (spoken, lang) = words();
    let source = SourceFile {
        path: PathBuf::from("en.md"),
        name: "mortar/en.md".to_owned(),
        text: text.to_owned(),
    };
    let (note, findings) = Note::read(source, lang.clone());
    let _ = findings.counts();
    for passage in [Passage::Lead, Passage::Rest, Passage::Whole] {
        if let Ok(html) = to_html(&note, passage, 3, &Anywhere, spoken) {
            walk(&html);
        }
    }
    let _ = (
        to_text(&note, spoken),
        note.first_sentence(),
        note.word_count(),
    );
    let _ = (note.inscriptions(), ease(&note.plain_text(), lang));
}
