#![no_main]

//! The head of a recording: sound or film of any of the formats.

use counterpart::record::media::Media;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Some(media) = Media::read(bytes) {
        assert!(media.film || media.sound);
        assert!(!media.endings().is_empty() && !media.media_type().is_empty());
    }
});
