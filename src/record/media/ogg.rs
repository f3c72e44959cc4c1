//! Ogg: the first page names the codec and its rate, the last page counts the samples
//! (RFC 3533; Opus in RFC 7845, whose granules are always of 48 kHz; Vorbis I, section 4.2.2).

use super::{Format, Media, milliseconds, u16_le, u32_le};

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
