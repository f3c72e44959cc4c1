//! Sound and film keep what is heard and seen, and nothing beside it.

use super::pictures::has;
use counterpart::record::media::{Format, Media, bare};

/// The fixtures as they were written, with the names of programs in them.
const FILES: [(&str, &[u8]); 9] = [
    ("tone.mp3", include_bytes!("../media/tone.mp3")),
    ("tone.m4a", include_bytes!("../media/tone.m4a")),
    ("tone.ogg", include_bytes!("../media/tone.ogg")),
    ("tone.opus", include_bytes!("../media/tone.opus")),
    ("tone.wav", include_bytes!("../media/tone.wav")),
    ("silent.mp4", include_bytes!("../media/silent.mp4")),
    ("spoken.mp4", include_bytes!("../media/spoken.mp4")),
    ("silent.webm", include_bytes!("../media/silent.webm")),
    ("spoken.webm", include_bytes!("../media/spoken.webm")),
];

#[test]
fn what_is_played_stays_and_the_writers_go() {
    let mut named = 0;
    for (name, bytes) in FILES {
        let media = Media::read(bytes).unwrap();
        let out = bare(bytes, media.format);
        assert_eq!(
            Media::read(&out),
            Some(media),
            "{name} is another recording now"
        );
        // Programs sign comments and lists; the sound of AAC and MP3 may hold a name of its own.
        named += usize::from(has(bytes, "Lavf"));
        // The first frame of an MP3 names its encoder: it is sound to a player, and stays.
        if media.format != Format::Mp3 {
            assert!(!has(&out, "Lavf"), "{name}: the program that wrote it");
        }
        // Once bare, there is nothing more to take away.
        assert_eq!(bare(&out, media.format), out, "{name}");
    }
    assert!(
        named >= 3,
        "the fixtures name their writers in {named} files only"
    );
}

fn boxed(name: &[u8; 4], content: &[u8]) -> Vec<u8> {
    let mut out = u32::try_from(content.len() + 8)
        .unwrap()
        .to_be_bytes()
        .to_vec();
    out.extend(name);
    out.extend(content);
    out
}

#[test]
fn remarks_in_boxes_go_wherever_they_are() {
    let film: &[u8] = include_bytes!("../media/silent.mp4");
    let mut marked = film.to_vec();
    marked.extend(boxed(
        b"udta",
        &boxed(b"\xA9xyz", b"\0\x10\x15\xC7PLACEMARK+51-003/"),
    ));
    marked.extend(boxed(b"uuid", b"0123456789abcdefXMPMARK"));
    marked.extend(boxed(b"meta", b"\0\0\0\0OWNERMARK"));
    let out = bare(&marked, Format::Mpeg4);
    assert_eq!(out.len(), marked.len(), "offsets must not shift");
    for mark in ["PLACEMARK", "XMPMARK", "OWNERMARK"] {
        assert!(has(&marked, mark) && !has(&out, mark), "{mark}");
    }
    assert_eq!(Media::read(&out), Media::read(film));
}

#[test]
fn a_track_of_places_is_blotted_out() {
    // One sample of fifteen bytes in a track whose handler is `meta`, as cameras write them.
    let samples = b"PLACEMARK 51 N!";
    let head = boxed(b"ftyp", b"isom\0\0\0\0");
    let data = boxed(b"mdat", samples);
    let offset = u32::try_from(head.len() + 8).unwrap();
    let number = |n: u32| n.to_be_bytes();
    let table = [
        boxed(
            b"stsc",
            &[[0; 4], number(1), number(1), number(1), number(1)].concat(),
        ),
        boxed(b"stsz", &[[0; 4], number(15), number(1)].concat()),
        boxed(b"stco", &[[0; 4], number(1), number(offset)].concat()),
    ]
    .concat();
    let handler = [&[0; 8][..], b"meta", &[0; 12], b"OWNERMARK\0"].concat();
    let minf = boxed(b"minf", &boxed(b"stbl", &table));
    let mdia = boxed(b"mdia", &[boxed(b"hdlr", &handler), minf].concat());
    let moov = boxed(b"moov", &boxed(b"trak", &mdia));
    let film = [head, data, moov].concat();
    let out = bare(&film, Format::Mpeg4);
    assert!(has(&film, "PLACEMARK") && !has(&out, "PLACEMARK"));
    assert!(!has(&out, "OWNERMARK"));
    assert_eq!(out.len(), film.len());
}

#[test]
fn lists_of_a_wave_file_go() {
    let tone: &[u8] = include_bytes!("../media/tone.wav");
    let mut marked = tone.to_vec();
    marked.extend(b"LIST\x16\0\0\0INFOIART\x0A\0\0\0OWNERMARK\0");
    marked.extend(b"bext\x08\0\0\0PLACE-51");
    let out = bare(&marked, Format::Wave);
    assert!(!has(&out, "OWNERMARK") && !has(&out, "PLACE-51"));
    assert_eq!(Media::read(&out), Media::read(tone));
    let size = u32::from_le_bytes(out[4..8].try_into().unwrap());
    assert_eq!(usize::try_from(size).unwrap() + 8, out.len());
}

/// A page's sum as RFC 3533 has it, over again, a table at a time.
#[test]
fn pages_of_ogg_still_add_up() {
    let table: Vec<u32> = (0..256u32)
        .map(|i| {
            (0..8).fold(i << 24, |r, _| {
                if r >> 31 == 1 {
                    r << 1 ^ 0x04C1_1DB7
                } else {
                    r << 1
                }
            })
        })
        .collect();
    for bytes in [
        &include_bytes!("../media/tone.ogg")[..],
        include_bytes!("../media/tone.opus"),
    ] {
        let out = bare(bytes, Format::Ogg);
        assert_eq!(out.len(), bytes.len());
        let (mut at, mut pages) = (0, 0);
        while at < out.len() {
            let count = usize::from(out[at + 26]);
            let body: usize = out[at + 27..at + 27 + count]
                .iter()
                .map(|b| usize::from(*b))
                .sum();
            let end = at + 27 + count + body;
            let mut page = out[at..end].to_vec();
            let kept = u32::from_le_bytes(page[22..26].try_into().unwrap());
            page[22..26].fill(0);
            let sum = page.iter().fold(0u32, |r, b| {
                r << 8 ^ table[usize::from((r >> 24) as u8 ^ b)]
            });
            assert_eq!(sum, kept, "the page at {at}");
            at = end;
            pages += 1;
        }
        assert!(pages >= 3);
    }
}
