//! A bell-shaped mean over the covered part of a picture.

/// Takes means around every pixel, weighted by a bell and by how much of each pixel is covered: three
/// passes of a moving mean in each direction come near a bell (Wells, "Efficient synthesis of
/// Gaussian filters by cascaded uniform filters", IEEE Transactions on Pattern Analysis and Machine
/// Intelligence 8, 1986).
pub(super) struct Soft<'a> {
    cover: &'a [f32],
    across: usize,
    reach: usize,
    /// What the cover itself comes to.
    total: Vec<f32>,
}

impl<'a> Soft<'a> {
    /// A bell of this deviation, pixels.
    pub(super) fn new(cover: &'a [f32], across: usize, deviation: f32) -> Self {
        // A mean over 2r + 1 pixels has the variance r(r + 1)/3; three of them make the bell's.
        let reach = ((0.25 + deviation * deviation).sqrt() - 0.5).round();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a few pixels"
        )]
        let reach = reach.max(0.0) as usize;
        Self {
            cover,
            across,
            reach,
            total: passes(cover.to_vec(), across, reach),
        }
    }

    /// The mean around every pixel.
    pub(super) fn mean(&self, values: &[f32]) -> Vec<f32> {
        let weighted = values.iter().zip(self.cover).map(|(v, w)| v * w).collect();
        (passes(weighted, self.across, self.reach).into_iter())
            .zip(&self.total)
            .zip(values)
            .map(|((sum, total), own)| if *total > 1e-6 { sum / total } else { *own })
            .collect()
    }
}

fn passes(mut values: Vec<f32>, across: usize, reach: usize) -> Vec<f32> {
    if reach == 0 || across == 0 {
        return values;
    }
    let mut next = values.clone();
    for _ in 0..3 {
        for (row, out) in values.chunks(across).zip(next.chunks_mut(across)) {
            along(row, out, reach);
        }
        std::mem::swap(&mut values, &mut next);
        down(&values, &mut next, across, reach);
        std::mem::swap(&mut values, &mut next);
    }
    values
}

/// The moving mean along a row; beyond its ends there is nothing.
fn along(row: &[f32], out: &mut [f32], reach: usize) {
    let share = 1.0 / (2 * reach + 1) as f64;
    // In double precision, what goes in comes out again.
    let mut sum: f64 = row.iter().take(reach).map(|v| f64::from(*v)).sum();
    for (i, out) in out.iter_mut().enumerate() {
        if let Some(next) = row.get(i + reach) {
            sum += f64::from(*next);
        }
        if i > reach {
            sum -= f64::from(row[i - reach - 1]);
        }
        #[expect(clippy::cast_possible_truncation, reason = "a mean of such values")]
        let mean = (sum * share) as f32;
        *out = mean;
    }
}

/// The moving mean down all columns at once, row by row.
fn down(values: &[f32], out: &mut [f32], across: usize, reach: usize) {
    let share = 1.0 / (2 * reach + 1) as f64;
    let row = |y: usize| values.chunks(across).nth(y);
    let mut sums = vec![0.0f64; across];
    for y in 0..reach {
        for (sum, v) in sums.iter_mut().zip(row(y).into_iter().flatten()) {
            *sum += f64::from(*v);
        }
    }
    for (y, out) in out.chunks_mut(across).enumerate() {
        for (sum, v) in sums.iter_mut().zip(row(y + reach).into_iter().flatten()) {
            *sum += f64::from(*v);
        }
        if y > reach {
            for (sum, v) in sums
                .iter_mut()
                .zip(row(y - reach - 1).into_iter().flatten())
            {
                *sum -= f64::from(*v);
            }
        }
        for (out, sum) in out.iter_mut().zip(&sums) {
            #[expect(clippy::cast_possible_truncation, reason = "a mean of such values")]
            let mean = (sum * share) as f32;
            *out = mean;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A single bright pixel becomes a bell: its sum stays, its deviation is the one asked for.
    #[test]
    fn a_point_becomes_a_bell() {
        // Wide enough that no bell meets an edge.
        let (across, rows) = (121, 101);
        let mut values = vec![0.0; across * rows];
        values[50 * across + 60] = 1.0;
        let cover = vec![1.0; values.len()];
        for deviation in [2.0f32, 4.0, 7.0] {
            let found = Soft::new(&cover, across, deviation).mean(&values);
            let (mut sum, mut square) = (0.0, [0.0; 2]);
            for (i, v) in found.iter().enumerate() {
                sum += v;
                square[0] += v * ((i % across) as f32 - 60.0).powi(2);
                square[1] += v * ((i / across) as f32 - 50.0).powi(2);
            }
            assert!((sum - 1.0).abs() < 1e-4, "{sum}");
            for square in square {
                // Whole pixels of reach: the deviation is met to within half a pixel.
                assert!((square.sqrt() - deviation).abs() < 0.5, "{}", square.sqrt());
            }
        }
    }

    #[test]
    fn what_is_not_covered_has_no_part_in_the_mean() {
        let values: Vec<f32> = (0..40 * 40)
            .map(|i| if i % 40 < 20 { 3.0 } else { 99.0 })
            .collect();
        let cover: Vec<f32> = (0..40 * 40)
            .map(|i| if i % 40 < 20 { 1.0 } else { 0.0 })
            .collect();
        let found = Soft::new(&cover, 40, 3.0).mean(&values);
        let own = (0..40 * 40).filter(|i| i % 40 < 20);
        assert!(own.clone().all(|i| (found[i] - 3.0).abs() < 1e-4));
    }
}
