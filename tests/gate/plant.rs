//! A content folder with marks in everything that an agreement may forbid.

use super::pictures::jpeg_with_metadata;
use super::tree::Place;
use std::fs;

/// The day for which rights are judged.
pub(crate) const DAY: &str = "2026-03-01";
pub(crate) const RECORD: &str = "content/box/record.toml";

/// Marks that may go out with what they belong to, and those that may never.
pub(crate) const ALL: [&str; 14] = [
    "CAPTIONMARK",
    "ALTMARK",
    "TITLEMARK",
    "SPOKENMARK",
    "NOTEMARK",
    "TAGMARK",
    "LASTMARK",
    "EXIFMARK",
    "XMPMARK",
    "IPTCMARK",
    "REMARKMARK",
    "MESHMARK",
    "EXTRAMARK",
    "OWNERMARK",
];
pub(crate) const NEVER: [&str; 10] = [
    "NOTEMARK",
    "TAGMARK",
    "LASTMARK",
    "EXIFMARK",
    "XMPMARK",
    "IPTCMARK",
    "REMARKMARK",
    "MESHMARK",
    "EXTRAMARK",
    "OWNERMARK",
];

/// A box with a photograph and a recording that belong to a lender, under these terms.
pub(crate) fn planted(terms: &str) -> Place {
    let place = Place::new();
    place.edit(
        RECORD,
        "words_rights = \"museum\"",
        "words_rights = \"words\"",
    );
    place.edit(RECORD, "rights = \"museum\"", "rights = \"scan\"");
    let rights = |id: &str| {
        format!(
            "[[rights]]\nid = \"{id}\"\nholder = \"Brackwater Museum\"\nstatement = \"https://creativecommons.org/licenses/by/4.0/\"\npermits = [\"display\", \"print\"]\n"
        )
    };
    let text = fs::read_to_string(place.path(RECORD)).unwrap();
    let (before, _) = text.split_once("[[rights]]").unwrap();
    let text = format!(
        "{before}{}\n{}\n[[rights]]\nid = \"lender\"\nholder = \"A lender\"\ncredit = {{ en = \"The lender asks for these words\" }}\nstatement = \"http://rightsstatements.org/vocab/InC/1.0/\"\n{terms}\n\n[[photographs]]\nfile = \"mark.jpg\"\nrights = \"lender\"\nalt = {{ en = \"A green field, ALTMARK, seen from above\" }}\ncaption = {{ en = \"CAPTIONMARK of the field\" }}\n\n[[recordings]]\nfile = \"mark.mp3\"\nrights = \"lender\"\ntitle = {{ en = \"TITLEMARK, a tone\" }}\nlanguage = \"en\"\ncaptions = {{ en = \"mark.en.vtt\" }}\n",
        rights("words"),
        rights("scan"),
    );
    place.write(RECORD, &text);
    place.write(
        "content/box/en.md",
        "# A box\n\nA box that was copied so that its [dent](detail:dent) can be felt.\n\n![A field from above](mark.jpg)\n",
    );
    fs::write(place.path("content/box/mark.jpg"), jpeg_with_metadata()).unwrap();
    fs::write(place.path("content/box/mark.mp3"), tagged_mp3()).unwrap();
    place.write(
        "content/box/mark.en.vtt",
        "WEBVTT written by OWNERMARK\n\nNOTE\nNOTEMARK, recorded by OWNERMARK\n\n00:00.000 --> 00:00.900\nSPOKENMARK is heard.\n",
    );
    let model = place.path("content/box/models/box.glb");
    let marked = marked_glb(&fs::read(&model).unwrap());
    fs::write(model, marked).unwrap();
    place
}

/// The tone with tags before and behind it.
fn tagged_mp3() -> Vec<u8> {
    // Without the tag that it has: its size has seven bits a byte.
    let tone = include_bytes!("../media/tone.mp3");
    let own = tone[6..10]
        .iter()
        .fold(0, |sum, b| sum << 7 | usize::from(*b));
    let tone = &tone[10 + own..];
    let text = b"\x00TAGMARK by OWNERMARK at 51.5 N";
    let mut frame = b"TIT2".to_vec();
    frame.extend(u32::try_from(text.len()).unwrap().to_be_bytes());
    frame.extend([0, 0]);
    frame.extend(text);
    let mut out = b"ID3\x03\x00\x00\x00\x00\x00".to_vec();
    out.push(u8::try_from(frame.len()).unwrap());
    out.extend(&frame);
    out.extend_from_slice(tone);
    let mut last = b"TAGLASTMARK OWNERMARK".to_vec();
    last.resize(128, 0);
    out.extend(last);
    out
}

/// A model with marks in credit, program, extras and names.
fn marked_glb(glb: &[u8]) -> Vec<u8> {
    let length = usize::try_from(u32::from_le_bytes(glb[12..16].try_into().unwrap())).unwrap();
    let mut json: serde_json::Value = serde_json::from_slice(&glb[20..20 + length]).unwrap();
    json["asset"]["copyright"] = "OWNERMARK".into();
    json["asset"]["generator"] = "REMARKMARK".into();
    json["asset"]["extras"] = serde_json::json!({ "gps": "EXTRAMARK" });
    json["extras"] = serde_json::json!({ "serial": "EXTRAMARK" });
    json["meshes"][0]["name"] = "MESHMARK".into();
    json["nodes"][0]["name"] = "MESHMARK".into();
    let mut text = serde_json::to_vec(&json).unwrap();
    text.resize(text.len().next_multiple_of(4), b' ');
    let rest = &glb[20 + length..];
    let mut out = glb[..8].to_vec();
    out.extend(
        u32::try_from(20 + text.len() + rest.len())
            .unwrap()
            .to_le_bytes(),
    );
    out.extend(u32::try_from(text.len()).unwrap().to_le_bytes());
    out.extend(b"JSON");
    out.extend(text);
    out.extend(rest);
    out
}
