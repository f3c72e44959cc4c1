//! The motion that best brings given points onto given points.

use super::Pose;
use glam::{DMat3, DQuat, DVec3};
use nalgebra::{Matrix3, SVD};

/// The best motion for pairs of points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Paired {
    /// Takes the first point of each pair near the second.
    pub pose: Pose,
    /// Root mean square of what is left, millimetres.
    pub rms_mm: f64,
    /// Whether the pairs leave no turn open: they do when they lie in one line.
    pub determined: bool,
    /// Singular values of the covariance, the largest first, mm².
    pub singular: [f64; 3],
}

/// A second singular value below this share of the first leaves the turn about a line open.
const LINE: f64 = 1e-9;

/// Least squares over turns and shifts, never a reflection (Kabsch, Acta Crystallographica A 32,
/// 1976), and over one scale factor when `fit_scale` holds (Umeyama, IEEE TPAMI 13, 1991). `None`
/// for no pairs.
pub fn from_pairs(pairs: &[(DVec3, DVec3)], fit_scale: bool) -> Option<Paired> {
    let count = pairs.len() as f64;
    let first = pairs.iter().map(|p| p.0).reduce(|a, b| a + b)? / count;
    let second = pairs.iter().map(|p| p.1).reduce(|a, b| a + b)? / count;
    let mut covariance = DMat3::ZERO;
    let mut spread = 0.0;
    for (p, q) in pairs {
        let (p, q) = (*p - first, *q - second);
        // Rows belong to the first point, columns to the second: H = Σ p qᵀ.
        covariance += DMat3::from_cols(p * q.x, p * q.y, p * q.z);
        spread += p.length_squared();
    }
    let h = Matrix3::from_column_slice(&covariance.to_cols_array());
    let svd = SVD::new(h, true, true);
    let (u, v_t) = (svd.u?, svd.v_t?);
    let mut order = [0, 1, 2];
    order.sort_by(|&a, &b| svd.singular_values[b].total_cmp(&svd.singular_values[a]));
    let singular = order.map(|k| svd.singular_values[k]);
    let mut flip = Matrix3::identity();
    let mirrored = (v_t.transpose() * u.transpose()).determinant() < 0.0;
    if mirrored {
        flip[(order[2], order[2])] = -1.0;
    }
    let r = v_t.transpose() * flip * u.transpose();
    let turn = DQuat::from_mat3(&DMat3::from_cols_slice(r.as_slice())).normalize();
    let sum = singular[0] + singular[1] + if mirrored { -singular[2] } else { singular[2] };
    let scale = if fit_scale && spread > 0.0 {
        sum / spread
    } else {
        1.0
    };
    let pose = Pose {
        scale,
        turn,
        shift: second - turn * (first * scale),
    };
    let squares: f64 = pairs
        .iter()
        .map(|(p, q)| pose.point(*p).distance_squared(*q))
        .sum();
    Some(Paired {
        pose,
        rms_mm: (squares / count).sqrt(),
        determined: singular[1] > LINE * singular[0].max(f64::MIN_POSITIVE),
        singular,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const FIRST: [[f64; 3]; 4] = [
        [0.0, 0.0, 0.0],
        [10.0, 0.0, 0.0],
        [0.0, 20.0, 0.0],
        [0.0, 0.0, 30.0],
    ];

    fn pairs(second: [[f64; 3]; 4]) -> Vec<(DVec3, DVec3)> {
        FIRST
            .into_iter()
            .zip(second)
            .map(|(p, q)| (DVec3::from_array(p), DVec3::from_array(q)))
            .collect()
    }

    /// Values worked in double precision with NumPy (`numpy.linalg.svd`) by the method of Kabsch.
    #[test]
    fn the_worked_example() {
        let mut second = [
            [5.0, -2.0, 7.0],
            [5.0, 8.0, 7.0],
            [-15.0, -2.0, 7.0],
            [5.0, -2.0, 37.0],
        ];
        let exact = from_pairs(&pairs(second), false).unwrap();
        assert!(exact.rms_mm < 1e-12 && exact.determined);
        for (found, known) in exact
            .singular
            .into_iter()
            .zip([732.164_940, 272.770_371, 45.064_690])
        {
            assert!((found - known).abs() < 1e-6, "{found} and {known}");
        }
        assert!((exact.pose.angle_deg() - 90.0).abs() < 1e-9);
        assert!(exact.pose.shift.distance(DVec3::new(5.0, -2.0, 7.0)) < 1e-12);
        second[1][0] = 5.4;
        let moved = from_pairs(&pairs(second), false).unwrap();
        assert!((moved.pose.angle_deg() - 89.532_769).abs() < 1e-6);
        assert!((moved.rms_mm - 0.148_250).abs() < 1e-6);
        let t = DVec3::new(5.098_405, -2.054_185, 7.017_214);
        assert!(moved.pose.shift.distance(t) < 2e-6);
    }

    #[test]
    fn a_mirror_image_is_never_reached_by_reflection() {
        let mirrored = FIRST.map(|[x, y, z]| [x, y, -z]);
        let found = from_pairs(&pairs(mirrored), false).unwrap();
        assert!((found.rms_mm - 6.713_024).abs() < 1e-6, "{}", found.rms_mm);
        assert!((found.pose.turn.length() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn scale_is_found_when_asked_for_and_a_line_is_not_enough() {
        let grown = FIRST.map(|p| p.map(|c| c * 1.013 + 4.0));
        let found = from_pairs(&pairs(grown), true).unwrap();
        assert!((found.pose.scale - 1.013).abs() < 1e-12 && found.rms_mm < 1e-12);
        let line: Vec<_> = (0..4)
            .map(|i| DVec3::X * f64::from(i))
            .map(|p| (p, p))
            .collect();
        assert!(!from_pairs(&line, false).unwrap().determined);
        assert_eq!(from_pairs(&[], false), None);
    }
}
