//! Against `ffprobe` 5.1 (what it says of each file stands beside it) and damaged files.

use super::{Format, Media};

/// File, its bytes, format, film, sound, `ffprobe`'s duration in milliseconds, size.
type Known = (
    &'static str,
    &'static [u8],
    Format,
    bool,
    bool,
    u64,
    Option<[u32; 2]>,
);

const FILES: [Known; 9] = [
    (
        "wav",
        include_bytes!("../../../tests/media/tone.wav"),
        Format::Wave,
        false,
        true,
        1500,
        None,
    ),
    (
        "mp3",
        include_bytes!("../../../tests/media/tone.mp3"),
        Format::Mp3,
        false,
        true,
        1567,
        None,
    ),
    (
        "m4a",
        include_bytes!("../../../tests/media/tone.m4a"),
        Format::Mpeg4,
        false,
        true,
        1500,
        None,
    ),
    (
        "ogg",
        include_bytes!("../../../tests/media/tone.ogg"),
        Format::Ogg,
        false,
        true,
        1500,
        None,
    ),
    (
        "opus",
        include_bytes!("../../../tests/media/tone.opus"),
        Format::Ogg,
        false,
        true,
        1500,
        None,
    ),
    (
        "mp4",
        include_bytes!("../../../tests/media/silent.mp4"),
        Format::Mpeg4,
        true,
        false,
        1600,
        Some([64, 48]),
    ),
    (
        "mp4",
        include_bytes!("../../../tests/media/spoken.mp4"),
        Format::Mpeg4,
        true,
        true,
        1600,
        Some([64, 48]),
    ),
    (
        "webm",
        include_bytes!("../../../tests/media/silent.webm"),
        Format::WebM,
        true,
        false,
        1600,
        Some([64, 48]),
    ),
    (
        "webm",
        include_bytes!("../../../tests/media/spoken.webm"),
        Format::WebM,
        true,
        true,
        1608,
        Some([64, 48]),
    ),
];

/// `ffprobe` counts Opus with its lead, 6.5 ms, which players leave out (RFC 7845, 4.2).
const CLOSE_MS: u64 = 1;

#[test]
fn files_are_told_as_another_reader_tells_them() {
    for (ending, bytes, format, film, sound, ms, size) in FILES {
        let media = Media::read(bytes).unwrap_or_else(|| panic!("{ending} is read"));
        let of = (media.format, media.film, media.sound, media.size_px);
        assert_eq!(of, (format, film, sound, size), "{ending}");
        assert!(media.endings().contains(&ending), "{ending}: {media:?}");
        let found = media
            .duration_ms
            .unwrap_or_else(|| panic!("{ending} has a length"));
        assert!(found.abs_diff(ms) <= CLOSE_MS, "{ending}: {found} and {ms}");
    }
}

#[test]
fn nothing_else_is_taken_for_a_recording() {
    let picture = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR";
    let others: [&[u8]; 6] = [
        b"",
        b"ID3",
        b"RIFF\0\0\0\0AVI ",
        picture,
        b"\xff\xfb\x90\x00",
        b"WEBVTT\n",
    ];
    for other in others {
        assert_eq!(Media::read(other), None, "{other:?}");
    }
}

#[test]
fn a_file_cut_or_damaged_anywhere_is_no_panic() {
    for (_, bytes, ..) in FILES {
        for end in 0..bytes.len() {
            Media::read(&bytes[..end]);
        }
        // One byte wrong in the head, at every place, by the values that break counts.
        for at in 0..bytes.len().min(600) {
            for value in [0, 1, 0x7F, 0x80, 0xFF] {
                let mut wrong = bytes.to_vec();
                wrong[at] = value;
                Media::read(&wrong);
            }
        }
    }
}
