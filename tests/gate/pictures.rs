//! Photographs of one colour, with what cameras and programs write beside the pixels.
//!
//! Places of metadata: JPEG APP1 (Exif 2.3, XMP part 3), APP13 and COM; PNG `eXIf`, `tEXt`, `iTXt`
//! (PNG, third edition, 11.3); WebP `EXIF` and `XMP ` chunks (RFC 9649).

use counterpart::limits::Limits;
use image::{ImageEncoder, RgbImage};

/// A green that nothing else in the site has.
pub(crate) const COLOUR: [u8; 3] = [17, 201, 93];

fn field() -> RgbImage {
    RgbImage::from_pixel(320, 240, image::Rgb(COLOUR))
}

/// An Exif block: maker, owner, serial number of the body and the lens, and a place.
fn exif() -> Vec<u8> {
    let texts: [(u16, &str); 4] = [
        (0x010F, "EXIFMARK"),
        (0x8298, "OWNERMARK"),
        (0xA430, "OWNERMARK"),
        (0xA431, "EXIFMARK-1234"),
    ];
    let mut out = b"II*\0\x08\0\0\0".to_vec();
    let count = texts.len() + 1;
    out.extend(u16::try_from(count).unwrap().to_le_bytes());
    let mut after = Vec::new();
    let base = 8 + 2 + 12 * count + 4;
    for (tag, text) in texts {
        out.extend(tag.to_le_bytes());
        out.extend(2u16.to_le_bytes());
        out.extend(u32::try_from(text.len() + 1).unwrap().to_le_bytes());
        out.extend(u32::try_from(base + after.len()).unwrap().to_le_bytes());
        after.extend(text.as_bytes());
        after.push(0);
    }
    // The pointer to the place, which has its own table.
    out.extend(0x8825u16.to_le_bytes());
    out.extend(4u16.to_le_bytes());
    out.extend(1u32.to_le_bytes());
    out.extend(u32::try_from(base + after.len()).unwrap().to_le_bytes());
    out.extend(0u32.to_le_bytes());
    out.extend(after);
    out.extend(1u16.to_le_bytes());
    out.extend(0x001Du16.to_le_bytes());
    out.extend(2u16.to_le_bytes());
    out.extend(4u32.to_le_bytes());
    out.extend(b"GPS\0");
    out.extend(0u32.to_le_bytes());
    out
}

const XMP: &[u8] = b"<x:xmpmeta><rdf:li>XMPMARK OWNERMARK</rdf:li></x:xmpmeta>";

pub(crate) fn jpeg_with_metadata() -> Vec<u8> {
    let mut plain = Vec::new();
    let encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut plain, 95);
    encoder
        .write_image(&field(), 320, 240, image::ExtendedColorType::Rgb8)
        .unwrap();
    let segment = |marker: u8, content: &[u8]| {
        let mut out = vec![0xFF, marker];
        out.extend(u16::try_from(content.len() + 2).unwrap().to_be_bytes());
        out.extend(content);
        out
    };
    let mut out = plain[..2].to_vec();
    out.extend(segment(0xE1, &[b"Exif\0\0", exif().as_slice()].concat()));
    out.extend(segment(
        0xE1,
        &[b"http://ns.adobe.com/xap/1.0/\0", XMP].concat(),
    ));
    out.extend(segment(
        0xED,
        b"Photoshop 3.0\x008BIM\x04\x04\0\0\0\0\0\x10IPTCMARK OWNERMARK",
    ));
    out.extend(segment(0xFE, b"REMARKMARK"));
    out.extend(&plain[2..]);
    out
}

fn png_with_metadata() -> Vec<u8> {
    let mut plain = Vec::new();
    let encoder = image::codecs::png::PngEncoder::new(&mut plain);
    encoder
        .write_image(&field(), 320, 240, image::ExtendedColorType::Rgb8)
        .unwrap();
    let chunk = |name: &[u8; 4], content: &[u8]| {
        let mut out = u32::try_from(content.len()).unwrap().to_be_bytes().to_vec();
        out.extend(name);
        out.extend(content);
        let mut sum = 0xFFFF_FFFFu32;
        for byte in name.iter().chain(content) {
            sum ^= u32::from(*byte);
            for _ in 0..8 {
                sum = sum >> 1 ^ if sum & 1 == 1 { 0xEDB8_8320 } else { 0 };
            }
        }
        out.extend((!sum).to_be_bytes());
        out
    };
    // Behind the header, which is 25 bytes long.
    let mut out = plain[..33].to_vec();
    out.extend(chunk(b"eXIf", &exif()));
    out.extend(chunk(b"tEXt", b"Author\0OWNERMARK REMARKMARK"));
    out.extend(chunk(
        b"iTXt",
        &[b"XML:com.adobe.xmp\0\0\0\0\0", XMP].concat(),
    ));
    out.extend(&plain[33..]);
    out
}

fn webp_with_metadata() -> Vec<u8> {
    let mut plain = Vec::new();
    let encoder = image::codecs::webp::WebPEncoder::new_lossless(&mut plain);
    encoder
        .write_image(&field(), 320, 240, image::ExtendedColorType::Rgb8)
        .unwrap();
    let chunk = |name: &[u8; 4], content: &[u8]| {
        let mut out = name.to_vec();
        out.extend(u32::try_from(content.len()).unwrap().to_le_bytes());
        out.extend(content);
        out.resize(out.len().next_multiple_of(2), 0);
        out
    };
    let extended = [0b0000_1100, 0, 0, 0, 63, 1, 0, 239, 0, 0];
    let mut body = b"WEBP".to_vec();
    body.extend(chunk(b"VP8X", &extended));
    body.extend(&plain[12..]);
    body.extend(chunk(b"EXIF", &exif()));
    body.extend(chunk(b"XMP ", XMP));
    let mut out = b"RIFF".to_vec();
    out.extend(u32::try_from(body.len()).unwrap().to_le_bytes());
    out.extend(body);
    out
}

#[test]
fn photographs_give_away_their_pixels_alone() {
    for (kind, bytes) in [
        ("JPEG", jpeg_with_metadata()),
        ("PNG", png_with_metadata()),
        ("WebP", webp_with_metadata()),
    ] {
        let planted = ["EXIFMARK", "XMPMARK", "OWNERMARK"];
        for mark in planted {
            assert!(has(&bytes, mark), "{kind}: {mark} is not even planted");
        }
        let sizes = counterpart::picture::derive(&bytes, &Limits::default()).unwrap();
        assert!(!sizes.is_empty());
        let packed = counterpart::picture::pack(&sizes);
        for mark in [
            "EXIFMARK",
            "XMPMARK",
            "IPTCMARK",
            "OWNERMARK",
            "REMARKMARK",
            "Exif",
            "EXIF",
            "8BIM",
            "GPS",
        ] {
            assert!(!has(&packed, mark), "{kind}: {mark}");
        }
    }
}

/// For an archive the file stays as it was encoded: only what lies beside the pixels goes.
#[test]
fn for_an_archive_pixels_stay_as_they_were_encoded() {
    use counterpart::picture::{bare, decode};
    let limits = Limits::default();
    for (kind, bytes) in [
        ("JPEG", jpeg_with_metadata()),
        ("PNG", png_with_metadata()),
        ("WebP", webp_with_metadata()),
    ] {
        let bared = bare(&bytes).unwrap_or_else(|| panic!("{kind} is not read"));
        for mark in [
            "EXIFMARK",
            "XMPMARK",
            "IPTCMARK",
            "OWNERMARK",
            "REMARKMARK",
            "GPS",
        ] {
            assert!(!has(&bared, mark), "{kind}: {mark}");
        }
        assert!(bared.len() < bytes.len());
        assert_eq!(
            decode(&bared, &limits).unwrap(),
            decode(&bytes, &limits).unwrap(),
            "{kind}"
        );
        assert_eq!(
            bare(&bared).as_deref(),
            Some(bared.as_slice()),
            "{kind}: twice"
        );
        // No cut of it is taken for a whole picture.
        for end in [3, bytes.len() / 2, bytes.len() - 1] {
            if let Some(cut) = bare(&bytes[..end]) {
                assert!(kind == "JPEG" || !has(&cut, "MARK"), "{kind} cut at {end}");
            }
        }
    }
    assert_eq!(bare(b"GIF89a"), None);
}

/// A picture that lies on its side in the file stands upright without its Exif, too (TIFF tag 0x0112, value 6).
#[test]
fn a_turned_photograph_stays_upright() {
    use counterpart::picture::{bare, decode};
    let mut picture = field();
    for x in 0..8 {
        picture.put_pixel(x, 0, image::Rgb([250, 10, 10]));
    }
    let picture = image::imageops::resize(&picture, 32, 16, image::imageops::FilterType::Nearest);
    let mut plain = Vec::new();
    image::codecs::jpeg::JpegEncoder::new(&mut plain)
        .encode_image(&picture)
        .unwrap();
    let mut exif = b"Exif\0\0II*\0\x08\0\0\0\x02\0".to_vec();
    exif.extend(b"\x0F\x01\x02\0\x04\0\0\0EXI\0");
    exif.extend(b"\x12\x01\x03\0\x01\0\0\0\x06\0\0\0\0\0\0\0");
    let mut turned = plain[..2].to_vec();
    turned.extend([0xFF, 0xE1]);
    turned.extend(u16::try_from(exif.len() + 2).unwrap().to_be_bytes());
    turned.extend(exif);
    turned.extend(&plain[2..]);
    let limits = Limits::default();
    let upright = decode(&turned, &limits).unwrap();
    assert_eq!(
        (upright.width(), upright.height()),
        (16, 32),
        "it is turned"
    );
    let bared = bare(&turned).unwrap();
    assert!(!has(&bared, "EXI\0"));
    assert_eq!(decode(&bared, &limits).unwrap(), upright);
}

pub(crate) fn has(bytes: &[u8], mark: &str) -> bool {
    bytes.windows(mark.len()).any(|w| w == mark.as_bytes())
}
