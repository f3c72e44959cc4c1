//! A photograph without what it carries beside its pixels, and the pixels as they were encoded.
//!
//! Parts of the file are kept by name: those that decide what is seen. Everything else (Exif, XMP, IPTC,
//! remarks, previews, what follows the picture's end) goes; of Exif the mark that turns the picture
//! upright is written anew. Marker segments of JPEG: ITU-T T.81, Annex B; chunks of PNG: W3C
//! Recommendation, Third Edition, section 5; of WebP: RFC 9649.

use image::metadata::Orientation;

/// The bytes that may be given away; nothing when it is no JPEG, PNG or WebP picture, or is damaged.
pub fn bare(bytes: &[u8]) -> Option<Vec<u8>> {
    if bytes.starts_with(b"\xFF\xD8") {
        jpeg(bytes)
    } else if bytes.starts_with(PNG) {
        png(bytes)
    } else if bytes.starts_with(b"RIFF") && bytes.get(8..12)? == b"WEBP" {
        webp(bytes)
    } else {
        None
    }
}

const PNG: &[u8] = b"\x89PNG\r\n\x1A\n";
const EXIF: &[u8] = b"Exif\0\0";

/// An Exif block that says how the picture is turned and no more; none for an upright one.
fn turned(exif: Option<&[u8]>) -> Option<Vec<u8>> {
    let exif = exif?;
    let block = exif.strip_prefix(EXIF).unwrap_or(exif);
    let turn = Orientation::from_exif_chunk(block)?;
    if turn == Orientation::NoTransforms {
        return None;
    }
    // Big-endian TIFF, one table of one entry: Orientation (0x0112), one short number.
    let mut out = b"MM\0\x2A\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
    out.extend([turn.to_exif(), 0, 0, 0, 0, 0, 0]);
    Some(out)
}

/// Segments up to the end of the picture.
fn jpeg(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut out = vec![0xFF, 0xD8];
    let mut exif = None;
    let mut at = 2;
    loop {
        if *bytes.get(at)? != 0xFF {
            return None;
        }
        let code = *bytes.get(at + 1)?;
        match code {
            // Fill before a marker.
            0xFF => {
                at += 1;
                continue;
            }
            0xD9 => {
                out.extend([0xFF, 0xD9]);
                break;
            }
            _ => {}
        }
        let length = usize::from(u16::from_be_bytes([
            *bytes.get(at + 2)?,
            *bytes.get(at + 3)?,
        ]));
        let end = at + 2 + length.max(2);
        let content = bytes.get(at + 4..end)?;
        let kept = match code {
            0xE0 => content.starts_with(b"JFIF\0"),
            0xE1 => {
                if content.starts_with(EXIF) && exif.is_none() {
                    exif = Some(content);
                }
                false
            }
            0xE2 => content.starts_with(b"ICC_PROFILE\0"),
            // How its colours are coded.
            0xEE => content.starts_with(b"Adobe"),
            0xE3..=0xEF | 0xFE => false,
            _ => true,
        };
        if kept {
            out.extend(&bytes[at..end]);
        }
        at = end;
        if code == 0xDA {
            let end = scanned(bytes, at)?;
            out.extend(&bytes[at..end]);
            at = end;
        }
    }
    if let Some(block) = turned(exif) {
        let length = u16::try_from(2 + EXIF.len() + block.len()).ok()?;
        let mut segment = vec![0xFF, 0xE1];
        segment.extend(length.to_be_bytes());
        segment.extend(EXIF);
        segment.extend(block);
        // JFIF, where there is one, comes first.
        let first = if out[2..].starts_with(&[0xFF, 0xE0]) {
            let length = u16::from_be_bytes([out[4], out[5]]);
            4 + usize::from(length)
        } else {
            2
        };
        out.splice(first..first, segment);
    }
    Some(out)
}

/// Where coded data ends: at a marker that is neither a stuffed byte nor a restart.
fn scanned(bytes: &[u8], from: usize) -> Option<usize> {
    let mut at = from;
    loop {
        at += bytes.get(at..)?.iter().position(|b| *b == 0xFF)?;
        match *bytes.get(at + 1)? {
            0x00 | 0xD0..=0xD7 => at += 2,
            0xFF => at += 1,
            _ => return Some(at),
        }
    }
}

/// Chunks that every reader must understand, and those that tell of colours, clearness and movement.
fn png(bytes: &[u8]) -> Option<Vec<u8>> {
    const KEPT: [&[u8; 4]; 12] = [
        b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"sBIT", b"cICP", b"pHYs", b"bKGD", b"acTL",
        b"fcTL", b"fdAT",
    ];
    let mut out = PNG.to_vec();
    let mut at = PNG.len();
    let mut head = None;
    let mut exif = None;
    loop {
        let length = u32::from_be_bytes(bytes.get(at..at + 4)?.try_into().ok()?);
        let end = at
            .checked_add(12)?
            .checked_add(usize::try_from(length).ok()?)?;
        let chunk = bytes.get(at..end)?;
        let name: &[u8; 4] = chunk.get(4..8)?.try_into().ok()?;
        if name == b"eXIf" {
            exif = Some(&chunk[8..chunk.len() - 4]);
        }
        if name[0].is_ascii_uppercase() || KEPT.contains(&name) {
            out.extend(chunk);
        }
        if name == b"IHDR" {
            head = Some(out.len());
        }
        at = end;
        if name == b"IEND" {
            break;
        }
    }
    if let Some(block) = turned(exif) {
        let mut chunk = u32::try_from(block.len()).ok()?.to_be_bytes().to_vec();
        chunk.extend(b"eXIf");
        chunk.extend(block);
        let sum = crc32fast::hash(&chunk[4..]);
        chunk.extend(sum.to_be_bytes());
        out.splice(head?..head?, chunk);
    }
    Some(out)
}

/// Chunks of pixels, clearness, movement and colours.
fn webp(bytes: &[u8]) -> Option<Vec<u8>> {
    const KEPT: [&[u8; 4]; 7] = [
        b"VP8 ", b"VP8L", b"VP8X", b"ALPH", b"ANIM", b"ANMF", b"ICCP",
    ];
    /// Flags of the extended header: there is Exif, there is XMP.
    const HAS_EXIF: u8 = 0x08;
    const HAS_XMP: u8 = 0x04;
    let size = u32::from_le_bytes(bytes.get(4..8)?.try_into().ok()?);
    let whole = bytes.get(..usize::try_from(size).ok()?.checked_add(8)?)?;
    let mut out = b"RIFF\0\0\0\0WEBP".to_vec();
    let (mut at, mut flags, mut exif) = (12, None, None);
    while at < whole.len() {
        let name: &[u8; 4] = whole.get(at..at + 4)?.try_into().ok()?;
        let length = u32::from_le_bytes(whole.get(at + 4..at + 8)?.try_into().ok()?);
        let end = at
            .checked_add(8)?
            .checked_add(usize::try_from(length).ok()?)?;
        let content = whole.get(at + 8..end)?;
        if name == b"EXIF" {
            exif = Some(content);
        }
        if KEPT.contains(&name) {
            if name == b"VP8X" {
                flags = Some(out.len() + 8);
            }
            out.extend(&whole[at..end]);
            if out.len() % 2 == 1 {
                out.push(0);
            }
        }
        at = end + (end & 1);
    }
    let turn = turned(exif);
    if let Some(place) = flags {
        let byte = out.get_mut(place)?;
        *byte &= !(HAS_EXIF | HAS_XMP);
        if turn.is_some() {
            *byte |= HAS_EXIF;
        }
    }
    if let (Some(block), Some(_)) = (turn, flags) {
        out.extend(b"EXIF");
        out.extend(u32::try_from(block.len()).ok()?.to_le_bytes());
        out.extend(&block);
        if out.len() % 2 == 1 {
            out.push(0);
        }
    }
    let size = u32::try_from(out.len() - 8).ok()?;
    out[4..8].copy_from_slice(&size.to_le_bytes());
    Some(out)
}
