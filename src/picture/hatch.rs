//! Ink on paper: the hatches that tell gained from lost by the way they run, and how deep by how
//! close they stand.
//!
//! Hatches lie in the plane of the picture, like an engraver's. Colour only repeats what they say.

use crate::differ::{Step, Tone};

/// What is laid on one place of the paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Mark {
    /// Wash under the hatch: the paper's colour is multiplied by it.
    pub(super) wash: [f32; 3],
    /// sRGB, 0..1.
    pub(super) ink: [f32; 3],
    /// Share of the place that the ink covers.
    pub(super) cover: f32,
}

/// Nothing on the paper.
pub(super) const BARE: Mark = Mark {
    wash: [1.0; 3],
    ink: [0.0; 3],
    cover: 0.0,
};

/// Ochre, ink-blue, and the grey of the dotted ground, sRGB.
const OCHRE: [f32; 3] = [0.541, 0.353, 0.0];
const BLUE: [f32; 3] = [0.141, 0.282, 0.486];
const GREY: [f32; 3] = [0.365, 0.325, 0.278];
/// Washes of the three steps.
const OCHRE_WASH: [[f32; 3]; 3] = [[0.98, 0.91, 0.74], [0.97, 0.85, 0.60], [0.95, 0.77, 0.45]];
const BLUE_WASH: [[f32; 3]; 3] = [[0.85, 0.91, 0.99], [0.74, 0.84, 0.98], [0.61, 0.75, 0.95]];

/// A mark at a place of the picture, pixels from its top left corner. `pitch` is the distance
/// between lines of the first step, pixels.
pub(super) fn mark(tone: Tone, [x, y]: [f32; 2], pitch: f32) -> Mark {
    let root = std::f32::consts::FRAC_1_SQRT_2;
    match tone {
        Tone::Within => BARE,
        Tone::NotCaptured => dots([x, y], pitch),
        // Lines that rise to the right run across the sum, those that fall across the difference.
        Tone::Gained(step) => lines(step, (x + y) * root, pitch, OCHRE, &OCHRE_WASH),
        Tone::Lost(step) => lines(step, (x - y) * root, pitch, BLUE, &BLUE_WASH),
    }
}

/// The border of a region of this tone, if it has one.
pub(super) fn border(tone: Tone) -> Option<[f32; 3]> {
    match tone {
        Tone::Gained(_) => Some(OCHRE),
        Tone::Lost(_) => Some(BLUE),
        Tone::Within | Tone::NotCaptured => None,
    }
}

fn lines(step: Step, across: f32, pitch: f32, ink: [f32; 3], washes: &[[f32; 3]; 3]) -> Mark {
    // The second step puts a line between each two of the first, the third makes them broad: lines
    // run on from step to step.
    let (apart, width, wash) = match step {
        Step::Slight => (pitch, pitch * 0.15, washes[0]),
        Step::Plain => (pitch / 2.0, pitch * 0.14, washes[1]),
        Step::Strong => (pitch / 2.0, pitch * 0.26, washes[2]),
    };
    let off = (across - (across / apart).round() * apart).abs();
    Mark {
        wash,
        ink,
        cover: smooth(width.max(1.0) / 2.0 - off),
    }
}

/// Dots in staggered rows, one for each square of the pitch.
fn dots([x, y]: [f32; 2], pitch: f32) -> Mark {
    let row = (y / pitch).round();
    let shift = if row.rem_euclid(2.0) < 1.0 {
        0.0
    } else {
        pitch / 2.0
    };
    let dx = (x - shift) - ((x - shift) / pitch).round() * pitch;
    let off = dx.hypot(y - row * pitch);
    Mark {
        ink: GREY,
        cover: smooth((pitch * 0.11).max(0.7) - off),
        ..BARE
    }
}

/// Share of a pixel inside, from the distance of its middle to the edge, pixels; positive: inside.
pub(super) fn smooth(inside: f32) -> f32 {
    (inside + 0.5).clamp(0.0, 1.0)
}

/// Lays a mark on a colour, sRGB, 0..1.
pub(super) fn laid(paper: [f32; 3], mark: &Mark) -> [f32; 3] {
    std::array::from_fn(|k| {
        let washed = paper[k] * mark.wash[k];
        washed + (mark.ink[k] - washed) * mark.cover
    })
}
