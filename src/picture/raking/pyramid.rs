//! A picture as layers of ever coarser detail (Burt and Adelson, "The Laplacian pyramid as a compact
//! image code", IEEE Transactions on Communications 31, 1983).

/// Grey values in rows.
#[derive(Debug, Clone)]
pub(super) struct Grey {
    pub(super) across: usize,
    pub(super) values: Vec<f32>,
}

/// The five taps of Burt and Adelson, with a = 3/8.
const TAPS: [f32; 5] = [1.0 / 16.0, 1.0 / 4.0, 3.0 / 8.0, 1.0 / 4.0, 1.0 / 16.0];
/// The coarsest layer is not narrower than this.
const NARROWEST: usize = 6;

impl Grey {
    fn down(&self) -> usize {
        self.values.len() / self.across.max(1)
    }

    fn row(&self, y: usize) -> &[f32] {
        &self.values[y * self.across..(y + 1) * self.across]
    }

    /// Half as many pixels either way.
    fn halved(&self) -> Self {
        let (across, down) = (self.across.div_ceil(2), self.down().div_ceil(2));
        let mut values = Vec::with_capacity(across * down);
        let mut mixed = vec![0.0f32; self.across];
        for y in 0..down {
            mixed.fill(0.0);
            for (k, tap) in TAPS.iter().enumerate() {
                let from = (2 * y + k).saturating_sub(2).min(self.down() - 1);
                for (mixed, v) in mixed.iter_mut().zip(self.row(from)) {
                    *mixed += tap * v;
                }
            }
            values.extend((0..across).map(|x| {
                let at = |k: usize| mixed[(2 * x + k).saturating_sub(2).min(self.across - 1)];
                (0..5).map(|k| TAPS[k] * at(k)).sum::<f32>()
            }));
        }
        Self { across, values }
    }

    /// Twice as many pixels, `across` wide and `down` high.
    fn doubled(&self, across: usize, down: usize) -> Self {
        let mut values = Vec::with_capacity(across * down);
        let mut mixed = vec![0.0f32; self.across];
        for y in 0..down {
            mixed.fill(0.0);
            for (from, share) in between(y, self.down()) {
                for (mixed, v) in mixed.iter_mut().zip(self.row(from)) {
                    *mixed += share * v;
                }
            }
            values.extend((0..across).map(|x| {
                let taps = between(x, self.across);
                taps.map(|(from, share)| mixed[from] * share)
                    .iter()
                    .sum::<f32>()
            }));
        }
        Self { across, values }
    }
}

/// The pixels of a row of this length, and their shares, that make one of twice as many.
fn between(fine: usize, length: usize) -> [(usize, f32); 3] {
    let at = |i: usize| i.min(length - 1);
    let half = fine / 2;
    if fine.is_multiple_of(2) {
        let sides = [half.saturating_sub(1), half, half + 1];
        [
            (at(sides[0]), 0.125),
            (at(sides[1]), 0.75),
            (at(sides[2]), 0.125),
        ]
    } else {
        [(at(half), 0.5), (at(half + 1), 0.5), (at(half), 0.0)]
    }
}

/// The picture itself and its halves, down to the coarsest.
pub(super) fn gaussian(picture: Grey) -> Vec<Grey> {
    let mut layers = vec![picture];
    while let Some(last) = layers.last()
        && last.across.min(last.down()) >= 2 * NARROWEST
    {
        layers.push(last.halved());
    }
    layers
}

/// What each halving takes away, and the coarsest layer.
pub(super) fn laplacian(picture: Grey) -> Vec<Grey> {
    let mut layers = gaussian(picture);
    for i in 1..layers.len() {
        let coarse = layers[i].doubled(layers[i - 1].across, layers[i - 1].down());
        for (fine, coarse) in layers[i - 1].values.iter_mut().zip(coarse.values) {
            *fine -= coarse;
        }
    }
    layers
}

/// The picture that these layers make.
pub(super) fn collapsed(mut layers: Vec<Grey>) -> Vec<f32> {
    while layers.len() > 1 {
        let coarse = layers.pop();
        if let (Some(coarse), Some(fine)) = (coarse, layers.last_mut()) {
            let grown = coarse.doubled(fine.across, fine.down());
            for (fine, coarse) in fine.values.iter_mut().zip(grown.values) {
                *fine += coarse;
            }
        }
    }
    layers.pop().map_or_else(Vec::new, |g| g.values)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn layers_make_the_picture_again() {
        for (across, down) in [(64, 48), (37, 53), (13, 12), (5, 3)] {
            let values: Vec<f32> = (0..across * down)
                .map(|i| ((i * 7919) % 101) as f32 / 101.0)
                .collect();
            let picture = Grey {
                across,
                values: values.clone(),
            };
            let again = collapsed(laplacian(picture));
            assert_eq!(again.len(), values.len());
            for (a, b) in again.iter().zip(&values) {
                assert!((a - b).abs() < 1e-5, "{across} × {down}");
            }
        }
    }

    #[test]
    fn even_grey_has_nothing_but_its_coarsest_layer() {
        let layers = laplacian(Grey {
            across: 80,
            values: vec![0.4; 80 * 64],
        });
        let (last, fine) = layers.split_last().unwrap();
        assert!(fine.iter().flat_map(|g| &g.values).all(|v| v.abs() < 1e-6));
        assert!(last.values.iter().all(|v| (v - 0.4).abs() < 1e-6));
    }
}
