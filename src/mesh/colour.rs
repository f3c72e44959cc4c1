//! Colours as numbers: bytes, sRGB and light.

use super::laid::Between;

/// The colour of a vertex that lies between two.
pub(super) fn between(colours: &[[u8; 4]], at: &Between) -> [u8; 4] {
    let [a, b] = [at.a, at.b].map(|i| colours[i as usize]);
    std::array::from_fn(|k| {
        let mixed = f64::from(a[k]) * (1.0 - at.share) + f64::from(b[k]) * at.share;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between two bytes"
        )]
        let byte = mixed.round() as u8;
        byte
    })
}

/// The nearest byte of a channel between 0 and 1.
pub(crate) fn to_byte(value: f32) -> u8 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to 0..=255"
    )]
    let byte = (value.clamp(0.0, 1.0) * 255.0).round() as u8;
    byte
}

/// sRGB to linear light, 0..1 (IEC 61966-2-1).
pub(crate) fn srgb_to_linear(value: f32) -> f32 {
    if value <= 0.040_45 {
        value / 12.92
    } else {
        ((value + 0.055) / 1.055).powf(2.4)
    }
}

/// Linear light to sRGB, 0..1 (IEC 61966-2-1).
pub(crate) fn linear_to_srgb(value: f32) -> f32 {
    if value <= 0.003_130_8 {
        value * 12.92
    } else {
        1.055 * value.powf(1.0 / 2.4) - 0.055
    }
}
