//! RIFF WAVE: `fmt ` says how many bytes a second, `data` how many there are.

use super::{Format, Media, milliseconds, u32_le};

pub(super) fn read(bytes: &[u8]) -> Option<Media> {
    if bytes.get(..4)? != b"RIFF" || bytes.get(8..12)? != b"WAVE" {
        return None;
    }
    let (mut rate, mut duration, mut at) = (None, None, 12usize);
    while let (Some(name), Some(size)) = (bytes.get(at..at + 4), u32_le(bytes, at + 4)) {
        let size = usize::try_from(size).ok()?;
        match name {
            b"fmt " => rate = u32_le(bytes, at + 16),
            b"data" => {
                let there = size.min(bytes.len() - (at + 8).min(bytes.len()));
                duration = milliseconds(there as u64, u64::from(rate.unwrap_or(0)));
                break;
            }
            _ => {}
        }
        // Chunks begin at even places.
        at = at
            .checked_add(8)?
            .checked_add(size)?
            .checked_add(size & 1)?;
    }
    Some(Media::sound(Format::Wave, duration))
}
