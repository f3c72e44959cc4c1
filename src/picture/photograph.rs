//! Photographs: decoded within limits, turned upright, made smaller, and without their metadata.
//!
//! Only pixels pass through: place and time of taking, names and serial numbers stay behind.

use super::files::{PictureError, Sized, sizes};
use crate::limits::Limits;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageReader, RgbaImage};
use std::io::Cursor;

/// Changes whenever the same photograph would give other files.
pub const PHOTOGRAPH_METHOD: &str = "photograph 2";

/// Most memory for the head of a picture, its colour profile included.
const HEAD_BYTES: u64 = 64 << 20;

/// A photograph (JPEG, PNG or WebP) in all its sizes, smallest first.
///
/// # Errors
/// It is not such a picture, is damaged, or has more pixels than the limits allow.
pub fn derive(bytes: &[u8], limits: &Limits) -> Result<Vec<Sized>, PictureError> {
    sizes(&decode(bytes, limits)?)
}

/// A picture as pixels, turned as its orientation mark says.
///
/// # Errors
/// As [`derive`].
pub fn decode(bytes: &[u8], limits: &Limits) -> Result<RgbaImage, PictureError> {
    let mut reader = ImageReader::new(Cursor::new(bytes))
        .with_guessed_format()
        .map_err(|e| PictureError(format!("it cannot be read: {e}")))?;
    // A colour profile is unpacked before anything else is known.
    let mut head = image::Limits::default();
    head.max_alloc = Some(HEAD_BYTES);
    reader.limits(head);
    if reader.format().is_none() {
        return Err(PictureError(
            "it is not a JPEG, PNG or WebP picture".to_owned(),
        ));
    }
    let mut decoder = reader
        .into_decoder()
        .map_err(|e| PictureError(format!("it is damaged: {e}")))?;
    let (width, height) = decoder.dimensions();
    let pixels = u64::from(width) * u64::from(height);
    if pixels > limits.photograph_pixels {
        return Err(PictureError(format!(
            "it has {pixels} pixels; at most {} are read",
            limits.photograph_pixels
        )));
    }
    let mut bounds = image::Limits::default();
    // Eight bytes a pixel: the deepest form that the formats have.
    bounds.max_alloc = Some(limits.photograph_pixels.saturating_mul(8));
    decoder
        .set_limits(bounds)
        .map_err(|e| PictureError(format!("it is too large: {e}")))?;
    let turn = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let mut picture = DynamicImage::from_decoder(decoder)
        .map_err(|e| PictureError(format!("it is damaged: {e}")))?;
    picture.apply_orientation(turn);
    Ok(picture.into_rgba8())
}
