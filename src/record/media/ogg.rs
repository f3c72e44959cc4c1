//! Ogg: the first page names the codec and its rate, the last page counts the samples
//! (RFC 3533; Opus in RFC 7845, whose granules are always of 48 kHz; Vorbis I, section 4.2.2).

use std::collections::BTreeMap;

use super::{Format, Media, milliseconds, u16_le, u32_le};

/// The same file, its comments (the second packet of each stream) written over with blanks.
pub(super) fn bare(bytes: &[u8]) -> Vec<u8> {
    let mut out = bytes.to_vec();
    // Of each stream: how many packets have ended, and where the bytes of the second one lie.
    let mut streams: BTreeMap<u32, (usize, Vec<usize>)> = BTreeMap::new();
    let mut pages = Vec::new();
    let mut at = 0;
    while bytes.get(at..at + 4).is_some_and(|four| four == b"OggS") {
        let (Some(serial), Some(count)) = (u32_le(bytes, at + 14), bytes.get(at + 26)) else {
            break;
        };
        let table = at + 27..at + 27 + usize::from(*count);
        let Some(segments) = bytes.get(table.clone()) else {
            break;
        };
        // A stream that begins anew under the same number begins to count anew.
        if bytes[at + 5] & 2 != 0 {
            blot(&mut out, streams.remove(&serial));
        }
        let (ended, comment) = streams.entry(serial).or_default();
        let mut place = table.end;
        for long in segments {
            let next = (place + usize::from(*long)).min(bytes.len());
            if *ended == 1 {
                comment.extend(place..next);
            }
            *ended += usize::from(*long < 255);
            place = next;
        }
        pages.push(at..place);
        at = place;
    }
    for (_, stream) in streams {
        blot(&mut out, Some(stream));
    }
    for page in pages {
        let sum = checked(&out[page.clone()]);
        out[page.start + 22..page.start + 26].copy_from_slice(&sum.to_le_bytes());
    }
    out
}

/// Writes blanks over the maker and every comment, whose lengths stay (Vorbis I, section 5; RFC
/// 7845, section 5.2).
fn blot(out: &mut [u8], stream: Option<(usize, Vec<usize>)>) {
    let Some((_, places)) = stream else { return };
    let byte = |out: &[u8], i: usize| places.get(i).map(|at| out[*at]);
    let head = match byte(out, 0) {
        Some(b'O') => 8,
        _ => 7,
    };
    let number = |out: &[u8], i: usize| -> Option<usize> {
        let four = [
            byte(out, i)?,
            byte(out, i + 1)?,
            byte(out, i + 2)?,
            byte(out, i + 3)?,
        ];
        usize::try_from(u32::from_le_bytes(four)).ok()
    };
    let write = |out: &mut [u8], from: usize, long: usize, field: bool| {
        for i in 0..long {
            if let Some(at) = places.get(from + i) {
                // A comment is a name, `=` and a text.
                out[*at] = match (field, i) {
                    (true, 0) => b'X',
                    (true, 1) => b'=',
                    _ => b' ',
                };
            }
        }
    };
    let Some(vendor) = number(out, head) else {
        return;
    };
    write(out, head + 4, vendor, false);
    let Some(mut at) = head.checked_add(4).and_then(|at| at.checked_add(vendor)) else {
        return;
    };
    let Some(count) = number(out, at) else { return };
    at += 4;
    for _ in 0..count {
        let Some(long) = number(out, at).filter(|long| *long <= places.len()) else {
            return;
        };
        write(out, at + 4, long, true);
        at += 4 + long;
    }
    // Room left over may hold anything; of Vorbis, one bit there says that the packet is whole.
    if head == 8 {
        write(out, at, places.len().saturating_sub(at), false);
    }
}

/// The sum of a page, in which its own place counts as nothing (RFC 3533, section 6).
fn checked(page: &[u8]) -> u32 {
    let mut sum = 0u32;
    for (i, byte) in page.iter().enumerate() {
        let byte = if (22..26).contains(&i) { 0 } else { *byte };
        sum ^= u32::from(byte) << 24;
        for _ in 0..8 {
            sum = sum << 1 ^ if sum >> 31 == 1 { 0x04C1_1DB7 } else { 0 };
        }
    }
    sum
}

pub(super) fn read(bytes: &[u8]) -> Option<Media> {
    if bytes.get(..4)? != b"OggS" {
        return None;
    }
    let segments = usize::from(*bytes.get(26)?);
    let packet = bytes.get(27 + segments..)?;
    let (rate, skip) = if packet.starts_with(b"OpusHead") {
        (48_000, u64::from(u16_le(packet, 10)?))
    } else if packet.starts_with(b"\x01vorbis") {
        (u64::from(u32_le(packet, 12)?), 0)
    } else {
        // Films and other codecs in Ogg are not played everywhere.
        return None;
    };
    let last = bytes.windows(4).rposition(|four| four == b"OggS")?;
    let granule = bytes.get(last + 6..last + 14)?;
    let samples = i64::from_le_bytes(granule.try_into().ok()?);
    let duration = u64::try_from(samples)
        .ok()
        .and_then(|samples| milliseconds(samples.saturating_sub(skip), rate));
    Some(Media::sound(Format::Ogg, duration))
}
