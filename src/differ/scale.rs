//! The three tones in which a difference is shown, and the steps of its depth.
//!
//! Pictures, the sheet that a viewer loads and the words of a legend all ask here, so that they say
//! the same.

use super::Band;

/// How one place is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Tone {
    /// The other surface was not captured there.
    NotCaptured,
    /// No difference.
    Within,
    /// The replica has more; the step of depth.
    Gained(Step),
    /// The replica has less; the step of depth.
    Lost(Step),
}

/// How far beyond what is within tolerance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Step {
    /// Up to twice the tolerance.
    Slight,
    /// Up to five times.
    Plain,
    /// Further.
    Strong,
}

/// Where the steps begin, in tolerances.
const STEPS: [f64; 3] = [1.0, 2.0, 5.0];
/// One tolerance is so many units of a [`Scale::code`].
const FINE: f64 = 8.0;
/// The code of the middle of what is within tolerance.
const MIDDLE: u8 = 128;

/// Distances of one body's surface told as tones.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    tolerance_mm: f64,
    coating_mm: [f64; 2],
    /// 1 where a positive distance means that the replica has more, else −1.
    more: f64,
}

impl Scale {
    /// For the replica's surface measured against the original.
    pub fn of_replica(band: &Band) -> Self {
        Self {
            tolerance_mm: band.tolerance_mm.max(f64::MIN_POSITIVE),
            coating_mm: band.coating_mm,
            more: 1.0,
        }
    }

    /// For the original's surface measured against the replica.
    pub fn of_original(band: &Band) -> Self {
        Self {
            more: -1.0,
            ..Self::of_replica(band)
        }
    }

    /// How a signed distance is shown. One that was not captured says nothing, unless it is within
    /// tolerance: then it lies at the rim of what was.
    pub fn tone(&self, signed_mm: f64, captured: bool) -> Tone {
        let more_mm = signed_mm * self.more;
        let [least, most] = self.coating_mm;
        let (gain, loss) = (more_mm - most, least - more_mm);
        let step = |over_mm: f64| {
            let over = over_mm / self.tolerance_mm;
            if over > STEPS[2] {
                Step::Strong
            } else if over > STEPS[1] {
                Step::Plain
            } else {
                Step::Slight
            }
        };
        let beyond = STEPS[0] * self.tolerance_mm;
        match captured {
            _ if gain <= beyond && loss <= beyond => Tone::Within,
            false => Tone::NotCaptured,
            true if gain > beyond => Tone::Gained(step(gain)),
            true => Tone::Lost(step(loss)),
        }
    }

    /// Where the steps begin, millimetres: of what is gained, and of what is lost.
    pub fn steps_mm(&self) -> [[f64; 3]; 2] {
        let [least, most] = self.coating_mm;
        [most, -least].map(|from| STEPS.map(|s| from + s * self.tolerance_mm))
    }

    /// The distance as one byte: 128 is the middle of what is within tolerance, more is gained, less
    /// is lost, 0 is not captured. Beyond sixteen tolerances it no longer grows.
    pub fn code(&self, signed_mm: f64, captured: bool) -> u8 {
        if self.tone(signed_mm, captured) == Tone::NotCaptured {
            return 0;
        }
        let middle_mm = self.coating_mm.iter().sum::<f64>() / 2.0;
        let units = (signed_mm * self.more - middle_mm) / self.tolerance_mm * FINE;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "held between 1 and 255"
        )]
        let code = (f64::from(MIDDLE) + units).round().clamp(1.0, 255.0) as u8;
        code
    }

    /// Where the steps begin on either side of 128, in units of a [`Scale::code`].
    pub fn steps_in_codes(&self) -> [f64; 3] {
        let [least, most] = self.coating_mm;
        let half = (most - least) / 2.0 / self.tolerance_mm;
        STEPS.map(|s| (half + s) * FINE)
    }

    /// All that the scale depends on, for a store's key.
    pub fn digest_bytes(&self) -> Vec<u8> {
        let [least, most] = self.coating_mm;
        [self.tolerance_mm, least, most, self.more]
            .iter()
            .flat_map(|v| v.to_le_bytes())
            .collect()
    }
}

/// The distance at a point of a triangle from those at its corners: whether it was captured is for
/// the nearest corner to say, and corners that were not have no say in a distance that was.
pub fn blend(corners: [(f64, bool); 3], weights: [f64; 3]) -> (f64, bool) {
    let nearest = (1..3).fold(0, |n, k| if weights[k] > weights[n] { k } else { n });
    let (own, captured) = corners[nearest];
    if !captured {
        return (own, false);
    }
    let (sum, all) = corners
        .iter()
        .zip(weights)
        .filter(|((_, captured), _)| *captured)
        .fold((0.0, 0.0), |(s, a), ((d, _), w)| (s + d * w, a + w));
    (sum / all, true)
}

#[cfg(test)]
mod tests {
    use super::*;

    const BAND: Band = Band {
        tolerance_mm: 0.1,
        coating_mm: [0.0, 0.06],
    };

    #[test]
    fn gained_and_lost_are_the_same_seen_from_either_body() {
        let (original, replica) = (Scale::of_original(&BAND), Scale::of_replica(&BAND));
        for (more_mm, expected) in [
            (0.0, Tone::Within),
            (0.15, Tone::Within),
            (0.17, Tone::Gained(Step::Slight)),
            (0.27, Tone::Gained(Step::Plain)),
            (0.57, Tone::Gained(Step::Strong)),
            (-0.09, Tone::Within),
            (-0.11, Tone::Lost(Step::Slight)),
            (-0.21, Tone::Lost(Step::Plain)),
            (-0.51, Tone::Lost(Step::Strong)),
        ] {
            assert_eq!(replica.tone(more_mm, true), expected, "{more_mm}");
            assert_eq!(original.tone(-more_mm, true), expected, "{more_mm}");
            let unknown = if expected == Tone::Within {
                Tone::Within
            } else {
                Tone::NotCaptured
            };
            assert_eq!(replica.tone(more_mm, false), unknown, "{more_mm}");
        }
        assert!((replica.steps_mm()[0][0] - 0.16).abs() < 1e-12);
        assert!((replica.steps_mm()[1][2] - 0.5).abs() < 1e-12);
    }

    /// A reader that has the code and the steps alone finds the same tone.
    #[test]
    fn a_code_tells_the_tone() {
        let scale = Scale::of_replica(&BAND);
        let [slight, plain, strong] = scale.steps_in_codes();
        for hundredths in -300..300 {
            let mm = f64::from(hundredths) / 100.0 + 0.003;
            let units = f64::from(scale.code(mm, true)) - 128.0;
            let step = |over: f64| {
                if over > strong {
                    Step::Strong
                } else if over > plain {
                    Step::Plain
                } else {
                    Step::Slight
                }
            };
            let told = match units {
                u if u > slight => Tone::Gained(step(u)),
                u if u < -slight => Tone::Lost(step(-u)),
                _ => Tone::Within,
            };
            // Half a unit is lost in rounding.
            let near = [-1.0, 1.0].map(|s| scale.tone(mm + s * 0.1 / FINE / 2.0, true));
            assert!(near.contains(&told), "{mm}: {told:?}, {near:?}");
        }
        assert_eq!(scale.code(9.0, false), 0);
        assert_eq!((scale.code(9.0, true), scale.code(-9.0, true)), (255, 1));
        assert_eq!(scale.code(0.03, true), 128);
    }

    #[test]
    fn what_was_not_captured_never_mixes_in() {
        let corners = [(1.0, true), (9.0, false), (2.0, true)];
        assert_eq!(
            blend(corners, [0.5, 0.25, 0.25]),
            (1.0 * 0.5 / 0.75 + 2.0 * 0.25 / 0.75, true)
        );
        assert_eq!(blend(corners, [0.3, 0.5, 0.2]), (9.0, false));
    }
}
