//! One picture as files: several widths, WebP beside a fallback that every browser reads.

use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::imageops;
use image::{
    ExtendedColorType, GrayImage, ImageBuffer, ImageEncoder, PixelWithColorType, RgbaImage,
};
use rayon::prelude::*;
use std::fmt;

/// Widths offered to the browser, pixels; a picture is never enlarged. A phone of 390 CSS pixels at two to
/// one takes the second.
const WIDTHS: [u32; 3] = [480, 768, 1600];
/// Quality of WebP and JPEG, of 100: no visible loss on metal and lettering at these sizes.
const WEBP_QUALITY: f32 = 82.0;
const JPEG_QUALITY: u8 = 84;

/// Why a picture could not be made, a clause that can follow a colon.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PictureError(pub(super) String);

impl PictureError {
    /// Of a scene without parts.
    pub(crate) fn nothing_to_show() -> Self {
        Self("there is nothing to show".to_owned())
    }
}

impl fmt::Display for PictureError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for PictureError {}

/// One width of a picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sized {
    /// Pixels.
    pub width: u32,
    /// Pixels.
    pub height: u32,
    /// WebP file.
    pub webp: Vec<u8>,
    /// PNG where the picture has transparent parts, else JPEG.
    pub fallback: Vec<u8>,
    /// Whether the fallback is a PNG.
    pub transparent: bool,
}

impl Sized {
    /// Ending of the fallback's file name.
    pub fn fallback_ending(&self) -> &'static str {
        if self.transparent { "png" } else { "jpg" }
    }
}

/// A picture without transparent parts as JPEG, colour at full resolution, quality of 100.
///
/// # Errors
/// The encoder refuses, which happens only for sizes beyond its own limits.
pub fn jpeg<P>(picture: &ImageBuffer<P, Vec<u8>>, quality: u8) -> Result<Vec<u8>, PictureError>
where
    P: PixelWithColorType<Subpixel = u8>,
{
    let mut out = Vec::new();
    JpegEncoder::new_with_quality(&mut out, quality)
        .write_image(
            picture.as_raw(),
            picture.width(),
            picture.height(),
            P::COLOR_TYPE,
        )
        .map_err(|e| PictureError(format!("it cannot be written: {e}")))?;
    Ok(out)
}

/// A grey picture as PNG, every byte kept.
///
/// # Errors
/// The encoder refuses, which happens only for sizes beyond its own limits.
pub fn grey_png(picture: &GrayImage) -> Result<Vec<u8>, PictureError> {
    let mut out = Vec::new();
    PngEncoder::new_with_quality(&mut out, CompressionType::Best, FilterType::Adaptive)
        .write_image(
            picture.as_raw(),
            picture.width(),
            picture.height(),
            ExtendedColorType::L8,
        )
        .map_err(|e| PictureError(format!("it cannot be written: {e}")))?;
    Ok(out)
}

/// A still in all its sizes, smallest first.
///
/// # Errors
/// The encoder refuses, which happens only for sizes beyond its own limits.
pub fn still_files(still: &RgbaImage) -> Result<Vec<Sized>, PictureError> {
    sizes(still)
}

/// A picture in all its sizes, smallest first: the listed widths below its own, and its own up to
/// the widest.
pub(super) fn sizes(picture: &RgbaImage) -> Result<Vec<Sized>, PictureError> {
    let transparent = picture.pixels().any(|p| p.0[3] < 255);
    widths(picture.width())
        .into_par_iter()
        .map(|width| one(picture, width, transparent))
        .collect()
}

/// The listed widths below a picture's own, and its own up to the widest.
pub(super) fn widths(own: u32) -> Vec<u32> {
    let own = own.min(WIDTHS[WIDTHS.len() - 1]);
    let mut widths: Vec<u32> = WIDTHS.into_iter().filter(|w| *w < own).collect();
    widths.push(own);
    widths
}

/// A picture as files of this width.
pub(super) fn one(
    picture: &RgbaImage,
    width: u32,
    transparent: bool,
) -> Result<Sized, PictureError> {
    let height = (u64::from(picture.height()) * u64::from(width))
        .div_ceil(u64::from(picture.width()).max(1))
        .max(1);
    let height = u32::try_from(height)
        .map_err(|_| PictureError("it is too tall for its width".to_owned()))?;
    let scaled = if width == picture.width() {
        picture.clone()
    } else {
        shrunk(picture, width, height)
    };
    let (width, height) = scaled.dimensions();
    let (webp, fallback) = rayon::join(
        || as_webp(&scaled),
        || {
            if transparent {
                as_png(&scaled)
            } else {
                let opaque = image::DynamicImage::ImageRgba8(scaled.clone()).into_rgb8();
                jpeg(&opaque, JPEG_QUALITY)
            }
        },
    );
    let (webp, fallback) = (webp?, fallback?);
    Ok(Sized {
        width,
        height,
        webp,
        fallback,
        transparent,
    })
}

fn as_webp(picture: &RgbaImage) -> Result<Vec<u8>, PictureError> {
    let (width, height) = picture.dimensions();
    let written = webp::Encoder::from_rgba(picture, width, height)
        .encode_simple(false, WEBP_QUALITY)
        .map_err(|e| PictureError(format!("it cannot be written as WebP: {e:?}")))?;
    Ok(written.to_vec())
}

fn as_png(picture: &RgbaImage) -> Result<Vec<u8>, PictureError> {
    let mut out = Vec::new();
    PngEncoder::new_with_quality(&mut out, CompressionType::Default, FilterType::Adaptive)
        .write_image(
            picture,
            picture.width(),
            picture.height(),
            ExtendedColorType::Rgba8,
        )
        .map_err(|e| PictureError(format!("it cannot be written: {e}")))?;
    Ok(out)
}

/// Shrinks with the colours of transparent pixels left out of account.
fn shrunk(picture: &RgbaImage, width: u32, height: u32) -> RgbaImage {
    let mut weighted = picture.clone();
    for p in weighted.pixels_mut() {
        for k in 0..3 {
            p.0[k] = product(p.0[k], p.0[3]);
        }
    }
    let mut out = imageops::resize(&weighted, width, height, imageops::FilterType::CatmullRom);
    for p in out.pixels_mut() {
        for k in 0..3 {
            p.0[k] = quotient(p.0[k], p.0[3]);
        }
    }
    out
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a product of two bytes over 255 is a byte"
)]
fn product(a: u8, b: u8) -> u8 {
    ((u16::from(a) * u16::from(b) + 127) / 255) as u8
}

fn quotient(a: u8, alpha: u8) -> u8 {
    if alpha == 0 {
        0
    } else {
        ((u16::from(a) * 255 + u16::from(alpha) / 2) / u16::from(alpha)).min(255) as u8
    }
}

/// All sizes as one run of bytes, for a store.
pub fn pack(sizes: &[Sized]) -> Vec<u8> {
    let mut out = Vec::new();
    for size in sizes {
        for number in [size.width, size.height, u32::from(size.transparent)] {
            out.extend_from_slice(&number.to_le_bytes());
        }
        for bytes in [&size.webp, &size.fallback] {
            out.extend_from_slice(&(bytes.len() as u64).to_le_bytes());
            out.extend_from_slice(bytes);
        }
    }
    out
}

/// The inverse of [`pack`]; `None` for bytes that it did not write.
pub fn unpack(mut bytes: &[u8]) -> Option<Vec<Sized>> {
    fn number<'a>(bytes: &mut &'a [u8], length: usize) -> Option<&'a [u8]> {
        let (head, tail) = bytes.split_at_checked(length)?;
        *bytes = tail;
        Some(head)
    }
    let mut sizes = Vec::new();
    while !bytes.is_empty() {
        let mut word = || Some(u32::from_le_bytes(number(&mut bytes, 4)?.try_into().ok()?));
        let (width, height, transparent) = (word()?, word()?, word()? == 1);
        let mut file = || {
            let length = u64::from_le_bytes(number(&mut bytes, 8)?.try_into().ok()?);
            Some(number(&mut bytes, usize::try_from(length).ok()?)?.to_vec())
        };
        let (webp, fallback) = (file()?, file()?);
        sizes.push(Sized {
            width,
            height,
            webp,
            fallback,
            transparent,
        });
    }
    (!sizes.is_empty()).then_some(sizes)
}
