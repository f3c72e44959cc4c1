//! The head of a recording: sound or film of any of the formats.

use counterpart::record::media::Media;

/// Judges one input.
pub(crate) fn judge(bytes: &[u8]) {
    if let Some(media) = Media::read(bytes) {
        assert!(media.film || media.sound);
        assert!(!media.endings().is_empty() && !media.media_type().is_empty());
    }
}
