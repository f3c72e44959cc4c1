//! One picture out of many: at every place and at every scale, what the best lamp shows.
//!
//! Pictures are fused as exposures are (Mertens, Kautz and Van Reeth, "Exposure fusion", Pacific
//! Graphics 2007): weighted by local contrast and by how well a tone stands between black and white,
//! layer by layer of a Laplacian pyramid. A stroke that lies along one lamp's light is shown by the
//! lamps across it. What the fusion cannot say is which side of an edge stands up, since lamps from
//! opposite sides disagree; so the surface's own curvature is laid over it: what stands out is
//! lighter, what lies in is darker, as when lettering is rubbed with chalk.

use super::pyramid::{Grey, collapsed, gaussian, laplacian};
use super::shade::Raked;
use super::soften::Soft;
use rayon::prelude::*;

/// Mertens, Kautz and Van Reeth's deviation about the middle of the scale.
const WELL_EXPOSED: f32 = 0.2;
/// Contrast is taken over this share of the run's reach; about the width of a stroke.
const CONTRAST: f32 = 0.10;
/// Curvature is the height against the mean around it, both softened: by these shares of the reach.
const FINE: f32 = 0.04;
const COARSE: f32 = 0.45;
/// Standing out by the usual amount makes a tone lighter by nearly this share.
const BY_CURVATURE: f32 = 0.48;
/// Below this, millimetres, standing out is the grain of a scan and not enlarged any further.
const GRAIN_MM: f32 = 0.03;

/// Tones under all lamps (sRGB, 0 to 1) as one; `radius` and `reach` are pixels.
pub(super) fn combined(raked: &Raked, lit: &[Vec<f32>], radius: f32, reach: f32) -> Vec<f32> {
    let relief = raked.relief();
    let (across, cover) = (relief.across(), relief.cover());
    let fused = fused(lit, cover, across, reach * CONTRAST);
    let standing = standing_out(raked, reach);
    let inside = raked.around_middle(radius);
    let square: f32 = inside.iter().map(|i| standing[*i] * standing[*i]).sum();
    let usual = (square / inside.len().max(1) as f32).sqrt().max(GRAIN_MM);
    (fused.into_iter().zip(standing))
        .map(|(tone, out)| (tone * (1.0 + BY_CURVATURE * (out / usual).tanh())).clamp(0.0, 1.0))
        .collect()
}

fn fused(lit: &[Vec<f32>], cover: &[f32], across: usize, width: f32) -> Vec<f32> {
    let soft = Soft::new(cover, across, width);
    let mut weights: Vec<Vec<f32>> = lit.par_iter().map(|tones| weight(tones, &soft)).collect();
    for i in 0..cover.len() {
        let total: f32 = weights.iter().map(|w| w[i]).sum();
        for weight in &mut weights {
            weight[i] /= total;
        }
    }
    let layers: Vec<Vec<Grey>> = lit
        .par_iter()
        .zip(weights)
        .map(|(tones, weight)| {
            let values = (tones.iter().zip(cover))
                .map(|(t, c)| if *c > 0.0 { *t } else { 0.5 })
                .collect();
            let weight = gaussian(Grey {
                across,
                values: weight,
            });
            let mut layers = laplacian(Grey { across, values });
            for (layer, weight) in layers.iter_mut().zip(weight) {
                for (value, weight) in layer.values.iter_mut().zip(weight.values) {
                    *value *= weight;
                }
            }
            layers
        })
        .collect();
    // Summed in the order of the lamps, so that the same bytes come out on any number of threads.
    let mut sum: Option<Vec<Grey>> = None;
    for layers in layers {
        let Some(sum) = &mut sum else {
            sum = Some(layers);
            continue;
        };
        for (to, from) in sum.iter_mut().zip(layers) {
            for (to, from) in to.values.iter_mut().zip(from.values) {
                *to += from;
            }
        }
    }
    collapsed(sum.unwrap_or_default())
}

/// How much a lamp has to say at each place.
fn weight(tones: &[f32], soft: &Soft<'_>) -> Vec<f32> {
    let mean = soft.mean(tones);
    let off: Vec<f32> = (tones.iter().zip(&mean))
        .map(|(t, m)| (t - m).powi(2))
        .collect();
    let variance = soft.mean(&off);
    (tones.iter().zip(variance))
        .map(|(tone, variance)| {
            let exposed = (-0.5 * ((tone - 0.5) / WELL_EXPOSED).powi(2)).exp();
            // Never quite nought, so that the weights can be shared out everywhere.
            variance.max(0.0).sqrt() * exposed + 1e-4
        })
        .collect()
}

/// How far each place stands out from what is around it, millimetres: in the limit of small widths,
/// half the width's square times the mean curvature of the surface without its run.
fn standing_out(raked: &Raked, reach: f32) -> Vec<f32> {
    let relief = raked.relief();
    let soft =
        |share| Soft::new(relief.cover(), relief.across(), reach * share).mean(raked.rise_mm());
    let (fine, coarse) = rayon::join(|| soft(FINE), || soft(COARSE));
    fine.into_iter().zip(coarse).map(|(f, c)| f - c).collect()
}
