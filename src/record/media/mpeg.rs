//! Of the MPEG family: boxes of the ISO base media file format (ISO/IEC 14496-12; `mvhd` 8.2.2,
//! `tkhd` 8.3.2, `hdlr` 8.4.3, from memory), and frames of layer III (ISO/IEC 11172-3, 2.4.2.3).

use super::{Format, Media, milliseconds, u32_be, u64_be};

pub(super) fn read_boxes(bytes: &[u8]) -> Option<Media> {
    let mut top = Boxes(bytes);
    let (first, _) = top.next()?;
    if first != *b"ftyp" {
        return None;
    }
    let (_, movie) = top.find(|(name, _)| name == b"moov")?;
    let mut media = Media {
        film: false,
        sound: false,
        ..Media::sound(Format::Mpeg4, None)
    };
    for (name, inner) in Boxes(movie) {
        match &name {
            b"mvhd" => media.duration_ms = duration(inner),
            b"trak" => track(inner, &mut media),
            _ => {}
        }
    }
    (media.film || media.sound).then_some(media)
}

fn duration(header: &[u8]) -> Option<u64> {
    let (rate, count) = match header.first()? {
        0 => (u32_be(header, 12)?, u64::from(u32_be(header, 16)?)),
        _ => (u32_be(header, 20)?, u64_be(header, 24)?),
    };
    // A recording in fragments says 0 here.
    milliseconds(count, u64::from(rate)).filter(|ms| *ms > 0)
}

fn track(inner: &[u8], media: &mut Media) {
    let within = |bytes, wanted: &[u8; 4]| Boxes(bytes).find(|(name, _)| name == wanted);
    let handler = within(inner, b"mdia").and_then(|(_, media)| within(media, b"hdlr"));
    match handler.and_then(|(_, header)| header.get(8..12)) {
        Some(b"soun") => media.sound = true,
        Some(b"vide") => {
            media.film = true;
            if let Some((_, header)) = within(inner, b"tkhd")
                && let Some(end) = header.len().checked_sub(8)
                && let (Some(width), Some(height)) = (u32_be(header, end), u32_be(header, end + 4))
            {
                // Of 16.16 bits: whole pixels and parts of them.
                media.size_px = Some([width >> 16, height >> 16]);
            }
        }
        _ => {}
    }
}

/// The boxes that lie side by side in some bytes; ends where they cannot be read.
#[derive(Clone, Copy)]
pub(super) struct Boxes<'b>(pub(super) &'b [u8]);

impl<'b> Iterator for Boxes<'b> {
    type Item = ([u8; 4], &'b [u8]);

    fn next(&mut self) -> Option<Self::Item> {
        let name: [u8; 4] = self.0.get(4..8)?.try_into().ok()?;
        let (head, size) = match u32_be(self.0, 0)? {
            0 => (8, self.0.len()),
            1 => (16, usize::try_from(u64_be(self.0, 8)?).ok()?),
            size => (8, usize::try_from(size).ok()?),
        };
        let inner = self.0.get(head..size.min(self.0.len()))?;
        self.0 = self.0.get(size..).unwrap_or_default();
        Some((name, inner))
    }
}

/// Kilobits a second of layer III, MPEG-1 and MPEG-2.
const KILOBITS: [[u32; 15]; 2] = [
    [
        0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320,
    ],
    [0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160],
];

struct Frame {
    bytes: usize,
    samples: u64,
    rate: u64,
}

/// The frame that begins these bytes.
fn frame(bytes: &[u8]) -> Option<Frame> {
    let word = u32_be(bytes, 0)?;
    let (version, layer) = (word >> 19 & 3, word >> 17 & 3);
    // Eleven ones; a version that exists; layer III.
    if word >> 21 != 0x7FF || version == 1 || layer != 1 {
        return None;
    }
    let first = version == 3;
    let kilobits = *KILOBITS[usize::from(!first)].get((word >> 12 & 15) as usize)?;
    let rate = *[44_100, 48_000, 32_000].get((word >> 10 & 3) as usize)?;
    let rate: u32 = match version {
        3 => rate,
        2 => rate / 2,
        _ => rate / 4,
    };
    let samples = if first { 1152 } else { 576 };
    let long = samples / 8 * kilobits * 1000 / rate + (word >> 9 & 1);
    (kilobits > 0).then_some(Frame {
        bytes: usize::try_from(long).ok()?,
        samples: u64::from(samples),
        rate: u64::from(rate),
    })
}

/// MP3 without tags before, between or behind its frames. What looks like a frame counts when
/// another follows it, or the end.
pub(super) fn frames_only(bytes: &[u8]) -> Vec<u8> {
    let mut out = Vec::with_capacity(bytes.len());
    let mut at = 0;
    let mut last = false;
    while at + 4 <= bytes.len() {
        let here = &bytes[at..];
        // A tag may hold what looks like frames: a cover, say.
        if here.starts_with(b"ID3") && here.len() > 10 {
            let size = here[6..10].iter();
            at += 10 + size.fold(0usize, |sum, b| sum << 7 | usize::from(b & 0x7F));
            last = false;
            continue;
        }
        let Some(found) = frame(here) else {
            at += 1;
            last = false;
            continue;
        };
        let after = here.get(found.bytes..).unwrap_or_default();
        if last || frame(after).is_some() {
            out.extend_from_slice(&here[..found.bytes.min(here.len())]);
            at += found.bytes.max(1);
            last = true;
        } else {
            at += 1;
        }
    }
    out
}

/// MP3: frame after frame, behind tags (ID3v2) that may stand before them.
pub(super) fn read_frames(bytes: &[u8]) -> Option<Media> {
    let mut at = 0;
    if bytes.starts_with(b"ID3") {
        // The size has seven bits a byte.
        let size = bytes.get(6..10)?.iter();
        at = 10 + size.fold(0usize, |sum, b| sum << 7 | usize::from(b & 0x7F));
    }
    let first = frame(bytes.get(at..)?)?;
    let (mut count, mut samples) = (0, 0);
    while let Some(next) = bytes.get(at..).and_then(frame) {
        let body = bytes.get(at..at + next.bytes).unwrap_or_default();
        // A frame that holds a table for seeking holds no sound.
        let table = body
            .windows(4)
            .take(64)
            .any(|four| four == b"Xing" || four == b"Info");
        if !table {
            samples += next.samples;
        }
        count += 1;
        at += next.bytes;
    }
    // Two bytes alone may look like the beginning of a frame by chance.
    (count >= 2).then(|| Media::sound(Format::Mp3, milliseconds(samples, first.rate)))
}
