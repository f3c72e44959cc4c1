//! A photograph (JPEG, PNG, WebP) within its bounds.

use counterpart::limits::Limits;
use counterpart::picture::decode;

/// Judges one input.
pub(crate) fn judge(bytes: &[u8]) {
    let limits = Limits {
        photograph_pixels: 1 << 16,
        ..Limits::default()
    };
    if let Ok(picture) = decode(bytes, &limits) {
        assert!(u64::from(picture.width()) * u64::from(picture.height()) <= 1 << 16);
    }
}
