//! What a file of sound or film is, told by its bytes: format, length, size of the picture.
//!
//! Reads headers only and decodes nothing. Every count is checked against the bytes that are there;
//! what cannot be told is `None`.

mod bare;
mod matroska;
mod mpeg;
mod ogg;
mod wave;

pub use bare::bare;

/// Formats that browsers play and that may be published.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// MPEG-1 or 2, layer III.
    Mp3,
    /// The ISO base media file format (ISO/IEC 14496-12): `.m4a`, `.mp4`.
    Mpeg4,
    /// Ogg (RFC 3533) with Opus or Vorbis.
    Ogg,
    /// RIFF WAVE.
    Wave,
    /// WebM, a subset of Matroska (RFC 9559).
    WebM,
}

/// What is known of a recording from its file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Media {
    /// How it is packed.
    pub format: Format,
    /// Whether it has moving pictures.
    pub film: bool,
    /// Whether it has sound.
    pub sound: bool,
    /// How long it runs, milliseconds.
    pub duration_ms: Option<u64>,
    /// Width and height of the picture.
    pub size_px: Option<[u32; 2]>,
}

/// Endings that a recording's name may have.
pub(crate) const ENDINGS: [&str; 7] = ["mp3", "m4a", "ogg", "opus", "wav", "mp4", "webm"];

impl Media {
    /// Tells a file by its bytes; `None` where it is none of the formats.
    pub fn read(bytes: &[u8]) -> Option<Self> {
        wave::read(bytes)
            .or_else(|| ogg::read(bytes))
            .or_else(|| matroska::read(bytes))
            .or_else(|| mpeg::read_boxes(bytes))
            .or_else(|| mpeg::read_frames(bytes))
    }

    /// Sound alone, in this format.
    fn sound(format: Format, duration_ms: Option<u64>) -> Self {
        Self {
            format,
            film: false,
            sound: true,
            duration_ms,
            size_px: None,
        }
    }

    /// Media type for servers and browsers.
    pub fn media_type(&self) -> &'static str {
        match (self.format, self.film) {
            (Format::Mp3, _) => "audio/mpeg",
            (Format::Mpeg4, false) => "audio/mp4",
            (Format::Mpeg4, true) => "video/mp4",
            (Format::Ogg, _) => "audio/ogg",
            (Format::Wave, _) => "audio/wav",
            (Format::WebM, false) => "audio/webm",
            (Format::WebM, true) => "video/webm",
        }
    }

    /// Endings that suit it, the usual one first.
    pub fn endings(&self) -> &'static [&'static str] {
        match (self.format, self.film) {
            (Format::Mp3, _) => &["mp3"],
            (Format::Mpeg4, false) => &["m4a"],
            (Format::Mpeg4, true) => &["mp4"],
            (Format::Ogg, _) => &["ogg", "opus"],
            (Format::Wave, _) => &["wav"],
            (Format::WebM, _) => &["webm"],
        }
    }
}

fn u16_le(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_le_bytes(
        bytes.get(at..at.checked_add(2)?)?.try_into().ok()?,
    ))
}

fn u32_le(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_le_bytes(
        bytes.get(at..at.checked_add(4)?)?.try_into().ok()?,
    ))
}

fn u32_be(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_be_bytes(
        bytes.get(at..at.checked_add(4)?)?.try_into().ok()?,
    ))
}

fn u64_be(bytes: &[u8], at: usize) -> Option<u64> {
    Some(u64::from_be_bytes(
        bytes.get(at..at.checked_add(8)?)?.try_into().ok()?,
    ))
}

/// So many of a rate a second, as milliseconds.
fn milliseconds(count: u64, rate: u64) -> Option<u64> {
    u64::try_from(u128::from(count) * 1000 / u128::from(Some(rate).filter(|r| *r > 0)?)).ok()
}

#[cfg(test)]
mod tests;
