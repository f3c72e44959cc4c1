//! Fills what no chart covers from what lies nearest, so that neither filtering nor smaller copies
//! of the sheet mix in a foreign colour.
//!
//! Means of what is known are taken down a pyramid and handed up again into the gaps (Gortler,
//! Grzeszczuk, Szeliski and Cohen, "The lumigraph", SIGGRAPH 1996, section 3.5).

/// A square of values, some of them known.
#[derive(Debug, Clone)]
pub(super) struct Square<const N: usize> {
    pub(super) size: usize,
    /// Sum and weight; unknown where the weight is nought.
    pub(super) values: Vec<([f32; N], f32)>,
}

impl<const N: usize> Square<N> {
    pub(super) fn new(size: usize) -> Self {
        Self {
            size,
            values: vec![([0.0; N], 0.0); size * size],
        }
    }

    pub(super) fn add(&mut self, x: usize, y: usize, value: [f32; N]) {
        let slot = &mut self.values[y * self.size + x];
        for (sum, v) in slot.0.iter_mut().zip(value) {
            *sum += v;
        }
        slot.1 += 1.0;
    }

    /// Means, and in the gaps what lies around them.
    pub(super) fn filled(mut self) -> Vec<[f32; N]> {
        for (sum, weight) in &mut self.values {
            if *weight > 0.0 {
                *sum = sum.map(|v| v / *weight);
                *weight = 1.0;
            }
        }
        self.fill();
        self.values.into_iter().map(|v| v.0).collect()
    }

    fn fill(&mut self) {
        if self.size <= 1 || self.values.iter().all(|v| v.1 > 0.0) {
            return;
        }
        let half = self.size.div_ceil(2);
        let mut smaller = Self::new(half);
        for y in 0..self.size {
            for x in 0..self.size {
                let (value, weight) = self.values[y * self.size + x];
                if weight > 0.0 {
                    smaller.add(x / 2, y / 2, value);
                }
            }
        }
        for (sum, weight) in &mut smaller.values {
            if *weight > 0.0 {
                *sum = sum.map(|v| v / *weight);
                *weight = 1.0;
            }
        }
        smaller.fill();
        for y in 0..self.size {
            for x in 0..self.size {
                let slot = &mut self.values[y * self.size + x];
                if slot.1 == 0.0 {
                    // Plain blocks, which a JPEG keeps for nothing.
                    *slot = smaller.values[(y / 2) * half + x / 2];
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn known_values_stay_and_gaps_take_what_is_near() {
        let mut square = Square::<1>::new(64);
        for y in 0..64 {
            for x in 0..10 {
                square.add(x, y, [2.0]);
            }
            for x in 50..64 {
                square.add(x, y, [4.0]);
                square.add(x, y, [6.0]);
            }
        }
        let filled = square.filled();
        assert_eq!(filled[0], [2.0]);
        assert_eq!(filled[63], [5.0]);
        for x in 10..16 {
            assert_eq!(filled[30 * 64 + x], [2.0], "column {x}");
        }
        assert!(filled.iter().all(|v| (2.0..=5.0).contains(&v[0])));
        assert_eq!(Square::<1>::new(4).filled(), vec![[0.0]; 16]);
    }
}
