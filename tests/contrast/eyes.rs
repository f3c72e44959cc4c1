//! Colours as eyes with and without all cones see them, and how far two of them are apart.

use super::{Rgb, colour, gamma, linear};

/// Linear RGB as seen with a deficiency of full severity: Machado, Oliveira and Fernandes, "A
/// physiologically-based model for simulation of color vision deficiency", IEEE Transactions on
/// Visualization and Computer Graphics 15, 2009 (tables from memory).
const MACHADO: [(&str, [[f64; 3]; 3]); 3] = [
    (
        "protanopia",
        [
            [0.152_286, 1.052_583, -0.204_868],
            [0.114_503, 0.786_281, 0.099_216],
            [-0.003_882, -0.048_116, 1.051_998],
        ],
    ),
    (
        "deuteranopia",
        [
            [0.367_322, 0.860_646, -0.227_968],
            [0.280_085, 0.672_501, 0.047_413],
            [-0.011_820, 0.042_940, 0.968_881],
        ],
    ),
    (
        "tritanopia",
        [
            [1.255_528, -0.076_749, -0.178_779],
            [-0.078_411, 0.930_809, 0.147_602],
            [0.004_733, 0.691_367, 0.303_900],
        ],
    ),
];

/// Responses of the cones to linear RGB, and what a missing cone would have said, from the two that
/// are there: Viénot, Brettel and Mollon, "Digital video colourmaps for checking the legibility of
/// displays by dichromats", Color Research and Application 24, 1999 (from memory).
const CONES: [[f64; 3]; 3] = [
    [17.8824, 43.5161, 4.119_35],
    [3.455_65, 27.1554, 3.867_14],
    [0.029_956_6, 0.184_309, 1.467_09],
];

fn times(m: &[[f64; 3]; 3], v: Rgb) -> Rgb {
    m.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

fn inverse(m: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    let minor = |r: usize, c: usize| {
        let [r1, r2] = [(r + 1) % 3, (r + 2) % 3];
        let [c1, c2] = [(c + 1) % 3, (c + 2) % 3];
        m[r1][c1] * m[r2][c2] - m[r1][c2] * m[r2][c1]
    };
    let whole: f64 = (0..3).map(|c| m[0][c] * minor(0, c)).sum();
    std::array::from_fn(|r| std::array::from_fn(|c| minor(c, r) / whole))
}

/// A colour as each kind of eye sees it.
pub(crate) fn seen(colour: Rgb) -> Vec<(String, Rgb)> {
    let light = colour.map(linear);
    let mut out = vec![("all cones".to_owned(), colour)];
    for (name, matrix) in &MACHADO {
        let seen = times(matrix, light).map(gamma);
        out.push((format!("{name} after Machado"), seen));
    }
    let [l, m, s] = times(&CONES, light);
    let back = inverse(&CONES);
    for (name, cones) in [
        ("protanopia", [2.023_44 * m - 2.525_81 * s, m, s]),
        ("deuteranopia", [l, 0.494_207 * l + 1.248_27 * s, s]),
    ] {
        out.push((
            format!("{name} after Viénot"),
            times(&back, cones).map(gamma),
        ));
    }
    out
}

/// A grey is a grey to every eye: the models keep the neutral axis.
#[test]
fn the_models_keep_greys() {
    for grey in [0.1, 0.5, 0.9] {
        for (eye, [r, g, b]) in seen([grey; 3]) {
            let off = (r - grey).abs().max((g - grey).abs()).max((b - grey).abs());
            assert!(off < 2e-3, "{eye}: {r} {g} {b}");
        }
    }
    // Red and green of the same lightness part for all cones, and hardly for two kinds of eye.
    let [red, green] = [colour("#b34700"), colour("#5f7a00")];
    for ((eye, a), (_, b)) in seen(red).into_iter().zip(seen(green)) {
        let apart = ciede2000(lab(a), lab(b));
        let weak = eye.contains("protan") || eye.contains("deuter");
        assert_eq!(apart < 20.0, weak, "{eye}: {apart}");
    }
}

/// CIE 1976 L*a*b* of sRGB, white point D65 (IEC 61966-2-1; CIE 15).
pub(crate) fn lab(colour: Rgb) -> [f64; 3] {
    let xyz = times(
        &[
            [0.412_456_4, 0.357_576_1, 0.180_437_5],
            [0.212_672_9, 0.715_152_2, 0.072_175],
            [0.019_333_9, 0.119_192, 0.950_304_1],
        ],
        colour.map(linear),
    );
    let white = [0.950_47, 1.0, 1.088_83];
    let f: [f64; 3] = std::array::from_fn(|i| {
        let t = xyz[i] / white[i];
        if t > (6.0f64 / 29.0).powi(3) {
            t.cbrt()
        } else {
            t / (3.0 * (6.0f64 / 29.0).powi(2)) + 4.0 / 29.0
        }
    });
    [
        116.0 * f[1] - 16.0,
        500.0 * (f[0] - f[1]),
        200.0 * (f[1] - f[2]),
    ]
}

/// The difference of two colours: CIEDE2000 (ISO/CIE 11664-6), after Sharma, Wu and Dalal, Color
/// Research and Application 30, 2005.
pub(crate) fn ciede2000([l1, a1, b1]: [f64; 3], [l2, a2, b2]: [f64; 3]) -> f64 {
    let seventh = |c: f64| (c.powi(7) / (c.powi(7) + 25f64.powi(7))).sqrt();
    let mean_c = f64::midpoint(a1.hypot(b1), a2.hypot(b2));
    let g = 0.5 * (1.0 - seventh(mean_c));
    let (a1, a2) = (a1 * (1.0 + g), a2 * (1.0 + g));
    let (c1, c2) = (a1.hypot(b1), a2.hypot(b2));
    let hue = |a: f64, b: f64| {
        if a == 0.0 && b == 0.0 {
            0.0
        } else {
            b.atan2(a).to_degrees().rem_euclid(360.0)
        }
    };
    let (h1, h2) = (hue(a1, b1), hue(a2, b2));
    let grey = c1 * c2 == 0.0;
    let dh = match h2 - h1 {
        _ if grey => 0.0,
        d if d > 180.0 => d - 360.0,
        d if d < -180.0 => d + 360.0,
        d => d,
    };
    let (dl, dc) = (l2 - l1, c2 - c1);
    let dh_big = 2.0 * (c1 * c2).sqrt() * (dh / 2.0).to_radians().sin();
    let (l, c) = (f64::midpoint(l1, l2), f64::midpoint(c1, c2));
    let h = match (h1 - h2).abs() {
        _ if grey => h1 + h2,
        d if d <= 180.0 => f64::midpoint(h1, h2),
        _ if h1 + h2 < 360.0 => f64::midpoint(h1, h2) + 180.0,
        _ => f64::midpoint(h1, h2) - 180.0,
    };
    let cos = |deg: f64| deg.to_radians().cos();
    let t = 1.0 - 0.17 * cos(h - 30.0) + 0.24 * cos(2.0 * h) + 0.32 * cos(3.0 * h + 6.0)
        - 0.20 * cos(4.0 * h - 63.0);
    let turn = 30.0 * (-((h - 275.0) / 25.0).powi(2)).exp();
    let rt = -2.0 * seventh(c) * (2.0 * turn).to_radians().sin();
    let sl = 1.0 + 0.015 * (l - 50.0).powi(2) / (20.0 + (l - 50.0).powi(2)).sqrt();
    let (sc, sh) = (1.0 + 0.045 * c, 1.0 + 0.015 * c * t);
    let (x, y, z) = (dl / sl, dc / sc, dh_big / sh);
    (x * x + y * y + z * z + rt * y * z).sqrt()
}

/// Pairs 1, 7, 16, 17, 19 and 34 of the published test data of Sharma, Wu and Dalal (from memory).
#[test]
fn the_difference_formula_gives_the_published_values() {
    for (a, b, expected) in [
        ([50.0, 2.6772, -79.7751], [50.0, 0.0, -82.7485], 2.0425),
        ([50.0, 0.0, 0.0], [50.0, -1.0, 2.0], 2.3669),
        ([50.0, 2.5, 0.0], [50.0, 0.0, -2.5], 4.3065),
        ([50.0, 2.5, 0.0], [73.0, 25.0, -18.0], 27.1492),
        ([50.0, 2.5, 0.0], [56.0, -27.0, -3.0], 31.9030),
        (
            [2.0776, 0.0795, -1.1350],
            [0.9033, -0.0636, -0.5514],
            0.9082,
        ),
    ] {
        let found = ciede2000(a, b);
        assert!((found - expected).abs() < 5e-5, "{a:?} {b:?}: {found}");
    }
}
