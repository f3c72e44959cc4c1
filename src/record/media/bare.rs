//! A recording without what it carries beside sound and pictures: names, places, days, serial
//! numbers, remarks, covers.
//!
//! Nothing is encoded anew. Where offsets within the file would shift, what is taken out is
//! overwritten with nothing of the same length.

use super::{Format, mpeg, ogg, u32_be, u32_le, u64_be};
use std::ops::Range;

/// The bytes that may be given away.
pub fn bare(bytes: &[u8], format: Format) -> Vec<u8> {
    match format {
        Format::Mp3 => mpeg::frames_only(bytes),
        Format::Mpeg4 => {
            let mut out = bytes.to_vec();
            boxes(&mut out, 0..bytes.len());
            out
        }
        Format::Ogg => ogg::bare(bytes),
        Format::Wave => wave(bytes),
        Format::WebM => {
            let mut out = bytes.to_vec();
            elements(&mut out, 0..bytes.len());
            out
        }
    }
}

/// Chunks of sound and of how it is to be read; the others go.
fn wave(bytes: &[u8]) -> Vec<u8> {
    let mut out = b"RIFF\0\0\0\0WAVE".to_vec();
    let mut at = 12usize;
    while let (Some(name), Some(size)) = (bytes.get(at..at + 4), u32_le(bytes, at + 4)) {
        let size = usize::try_from(size).unwrap_or(usize::MAX);
        let end = at.saturating_add(8).saturating_add(size).min(bytes.len());
        if [b"fmt ", b"fact", b"data"].iter().any(|kept| *kept == name) {
            out.extend_from_slice(&bytes[at..end]);
            if out.len() % 2 == 1 {
                out.push(0);
            }
        }
        at = end.saturating_add(size & 1);
    }
    let size = u32::try_from(out.len() - 8).unwrap_or(u32::MAX);
    out[4..8].copy_from_slice(&size.to_le_bytes());
    out
}

/// Boxes of remarks become empty ones; the days in the others are blotted out.
fn boxes(bytes: &mut [u8], within: Range<usize>) {
    let mut at = within.start;
    while at + 8 <= within.end {
        let (head, size) = match u32_be(bytes, at) {
            Some(0) => (8, within.end - at),
            Some(1) => match u64_be(bytes, at + 8).and_then(|s| usize::try_from(s).ok()) {
                Some(size) => (16, size),
                None => return,
            },
            Some(size) => (8, usize::try_from(size).unwrap_or(usize::MAX)),
            None => return,
        };
        let end = at.saturating_add(size).min(within.end);
        if size < head || at + head > end {
            return;
        }
        let inner = at + head..end;
        let name: [u8; 4] = bytes[at + 4..at + 8].try_into().unwrap_or_default();
        match &name {
            b"udta" | b"meta" | b"uuid" | b"skip" | b"free" | b"wide" | b"cprt" => {
                bytes[at + 4..at + 8].copy_from_slice(b"free");
                bytes[inner].fill(0);
            }
            b"trak" if data_track(&bytes[inner.clone()]) => {
                blot_samples(bytes, inner.clone());
                bytes[at + 4..at + 8].copy_from_slice(b"free");
                bytes[inner].fill(0);
            }
            b"moov" | b"trak" | b"mdia" | b"minf" | b"moof" | b"traf" | b"edts" => {
                boxes(bytes, inner);
            }
            // Days of making and changing, after version and flags: eight bytes or sixteen.
            b"mvhd" | b"tkhd" | b"mdhd" => {
                let long = if bytes.get(inner.start) == Some(&1) {
                    16
                } else {
                    8
                };
                let days = inner.start + 4..(inner.start + 4 + long).min(inner.end);
                bytes[days].fill(0);
            }
            // The name of whoever handles a track, after the kind and three words.
            b"hdlr" if inner.len() > 24 => bytes[inner.start + 24..inner.end].fill(0),
            _ => {}
        }
        at = end;
    }
}

/// The first box of this name on a path of names.
fn find<'b>(bytes: &'b [u8], path: &[&[u8; 4]]) -> Option<&'b [u8]> {
    let (first, rest) = path.split_first()?;
    let (_, inner) = mpeg::Boxes(bytes).find(|(name, _)| name == *first)?;
    if rest.is_empty() {
        Some(inner)
    } else {
        find(inner, rest)
    }
}

/// Whether a track is neither sound, film nor words: cameras keep places and movements there.
fn data_track(track: &[u8]) -> bool {
    let kind = find(track, &[b"mdia", b"hdlr"]).and_then(|h| h.get(8..12));
    !matches!(
        kind,
        Some(b"soun" | b"vide" | b"text" | b"sbtl" | b"subt") | None
    )
}

/// Blots out what a track's table says is its own, wherever in the file it lies.
fn blot_samples(bytes: &mut [u8], track: Range<usize>) {
    for sample in samples(&bytes[track]).unwrap_or_default() {
        let end = sample.end.min(bytes.len());
        if sample.start < end {
            bytes[sample.start..end].fill(0);
        }
    }
}

/// Where the chunks of a track lie (`stsc`, `stsz`, `stco` or `co64`; ISO/IEC 14496-12, 8.7).
fn samples(track: &[u8]) -> Option<Vec<Range<usize>>> {
    let table = find(track, &[b"mdia", b"minf", b"stbl"])?;
    let sizes = find(table, &[b"stsz"])?;
    let (same, count) = (u32_be(sizes, 4)?, u32_be(sizes, 8)? as usize);
    let size = |i: usize| match same {
        0 => u32_be(sizes, 12 + 4 * i),
        same => Some(same),
    };
    let runs = find(table, &[b"stsc"])?;
    let run_count = u32_be(runs, 4)? as usize;
    let short = find(table, &[b"stco"]);
    let offsets = short.or_else(|| find(table, &[b"co64"]))?;
    let chunks = u32_be(offsets, 4)? as usize;
    let (mut found, mut sample, mut run) = (Vec::new(), 0, 0);
    for chunk in 0..chunks {
        let start = match short {
            Some(_) => u32_be(offsets, 8 + 4 * chunk)? as usize,
            None => usize::try_from(u64_be(offsets, 8 + 8 * chunk)?).ok()?,
        };
        while run + 1 < run_count && u32_be(runs, 8 + 12 * (run + 1))? as usize <= chunk + 1 {
            run += 1;
        }
        let mut end = start;
        for _ in 0..u32_be(runs, 8 + 12 * run + 4)? {
            if sample == count {
                break;
            }
            end = end.checked_add(size(sample)? as usize)?;
            sample += 1;
        }
        found.push(start..end);
    }
    Some(found)
}

/// Ids of Matroska (RFC 9559), from memory. Masters that are looked into:
const MASTERS: [u64; 4] = [0x1853_8067, 0x1549_A966, 0x1654_AE6B, 0xAE];
/// Tags, attachments, and sums over what is changed here: they become empty room.
const REMARKS: [u64; 3] = [0x1254_C367, 0x1941_A469, 0xBF];
/// Title, programs, day, names of files and tracks: texts that become empty.
const TEXTS: [u64; 9] = [
    0x7BA9, 0x4D80, 0x5741, 0x4461, 0x7384, 0x3C_83AB, 0x3E_83BB, 0x536E, 0x25_8688,
];
const VOID: u8 = 0xEC;

fn elements(bytes: &mut [u8], within: Range<usize>) {
    let mut at = within.start;
    while let Some((id, head, size)) = super::matroska::element(&bytes[at..within.end]) {
        let inner = at + head..(at + head).saturating_add(size).min(within.end);
        let end = inner.end;
        if MASTERS.contains(&id) {
            elements(bytes, inner);
        } else if REMARKS.contains(&id) {
            bytes[at..end].fill(0);
            void(&mut bytes[at..end]);
        } else if TEXTS.contains(&id) {
            bytes[inner].fill(0);
        }
        at = end;
    }
}

/// Makes some bytes one element of empty room.
fn void(room: &mut [u8]) {
    let length = room.len();
    if length >= 9 {
        let size = (1u64 << 56) | (length as u64 - 9);
        room[0] = VOID;
        room[1..9].copy_from_slice(&size.to_be_bytes());
    } else if length >= 2 {
        room[0] = VOID;
        room[1] = 0x80 | u8::try_from(length - 2).unwrap_or(0);
    }
}
