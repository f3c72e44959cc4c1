//! WebM: elements of id, size and content (EBML, RFC 8794; ids in RFC 9559, section 5, from memory).

use super::{Format, Media};

const HEAD: u64 = 0x1A45_DFA3;
const DOC_TYPE: u64 = 0x4282;
const SEGMENT: u64 = 0x1853_8067;
const INFO: u64 = 0x1549_A966;
const SCALE: u64 = 0x2A_D7B1;
const DURATION: u64 = 0x4489;
const TRACKS: u64 = 0x1654_AE6B;
const TRACK: u64 = 0xAE;
const TRACK_TYPE: u64 = 0x83;
const VIDEO: u64 = 0xE0;
const WIDTH: u64 = 0xB0;
const HEIGHT: u64 = 0xBA;

/// Nanoseconds of a tick where the file does not say.
const USUAL_SCALE: u64 = 1_000_000;

pub(super) fn read(bytes: &[u8]) -> Option<Media> {
    let mut top = Elements(bytes);
    let (id, head) = top.next()?;
    let kind = Elements(head).find(|(id, _)| *id == DOC_TYPE);
    if id != HEAD || kind?.1 != b"webm" {
        return None;
    }
    let (_, segment) = top.find(|(id, _)| *id == SEGMENT)?;
    let mut media = Media {
        film: false,
        sound: false,
        ..Media::sound(Format::WebM, None)
    };
    for (id, inner) in Elements(segment) {
        match id {
            INFO => media.duration_ms = duration(inner),
            TRACKS => {
                for (_, track) in Elements(inner).filter(|(id, _)| *id == TRACK) {
                    one_track(track, &mut media);
                }
                // What follows is the recording itself.
                break;
            }
            _ => {}
        }
    }
    (media.film || media.sound).then_some(media)
}

fn duration(info: &[u8]) -> Option<u64> {
    let scale = Elements(info).find(|(id, _)| *id == SCALE);
    let scale = scale.map_or(Some(USUAL_SCALE), |(_, bytes)| whole(bytes))?;
    let (_, bytes) = Elements(info).find(|(id, _)| *id == DURATION)?;
    let ticks = match bytes.len() {
        4 => f64::from(f32::from_be_bytes(bytes.try_into().ok()?)),
        8 => f64::from_be_bytes(bytes.try_into().ok()?),
        _ => return None,
    };
    #[expect(
        clippy::cast_precision_loss,
        reason = "a tick is far below 2^53 nanoseconds"
    )]
    let ms = ticks * scale as f64 / 1e6;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "checked to be a length of less than a year"
    )]
    (0.0..3.2e10).contains(&ms).then_some(ms.round() as u64)
}

fn one_track(track: &[u8], media: &mut Media) {
    let kind = Elements(track).find(|(id, _)| *id == TRACK_TYPE);
    match kind.and_then(|(_, bytes)| whole(bytes)) {
        Some(1) => {
            media.film = true;
            let video = Elements(track).find(|(id, _)| *id == VIDEO);
            let side = |wanted: u64| {
                let (_, bytes) = Elements(video?.1).find(|(id, _)| *id == wanted)?;
                u32::try_from(whole(bytes)?).ok()
            };
            if let (Some(width), Some(height)) = (side(WIDTH), side(HEIGHT)) {
                media.size_px = Some([width, height]);
            }
        }
        Some(2) => media.sound = true,
        _ => {}
    }
}

/// A number of one to eight bytes.
fn whole(bytes: &[u8]) -> Option<u64> {
    (bytes.len() <= 8).then(|| bytes.iter().fold(0, |sum, b| sum << 8 | u64::from(*b)))
}

/// The elements that lie side by side in some bytes; ends where they cannot be read.
#[derive(Clone, Copy)]
struct Elements<'b>(&'b [u8]);

impl<'b> Iterator for Elements<'b> {
    type Item = (u64, &'b [u8]);

    fn next(&mut self) -> Option<Self::Item> {
        let (id, head, size) = element(self.0)?;
        let (inner, after) = self.0.get(head..)?.split_at_checked(size)?;
        self.0 = after;
        Some((id, inner))
    }
}

/// Id, length of the head, and length of what follows it, of the element that begins these bytes.
pub(super) fn element(bytes: &[u8]) -> Option<(u64, usize, usize)> {
    let (id, id_long) = number(bytes, 4, true)?;
    let rest = bytes.get(id_long..)?;
    let (size, long) = number(rest, 8, false)?;
    let rest = rest.get(long..)?;
    // All ones: the size was not known when it was written, and it reaches to the end.
    let unknown = size == (1 << (7 * long)) - 1;
    let size = usize::try_from(size).unwrap_or(usize::MAX);
    let size = if unknown {
        rest.len()
    } else {
        size.min(rest.len())
    };
    Some((id, id_long + long, size))
}

/// A number whose first byte says by its leading zeros how long it is.
fn number(bytes: &[u8], longest: usize, with_marker: bool) -> Option<(u64, usize)> {
    let first = *bytes.first()?;
    let long = first.leading_zeros() as usize + 1;
    if long > longest {
        return None;
    }
    let value = whole(bytes.get(..long)?)?;
    let marker = 1u64 << (7 * long);
    Some((if with_marker { value } else { value & !marker }, long))
}
