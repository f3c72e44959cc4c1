//! Colour of metal by shape and wear: dark and green in hollows, golden where rubbed.

use glam::DVec3;
use rayon::prelude::*;

use crate::mortar::{Body, Skin};
use crate::noise::{fractal, smooth};
use crate::solid::Solid;

type Rgb = [f64; 3];

fn blend(a: Rgb, b: Rgb, t: f64) -> Rgb {
    std::array::from_fn(|i| a[i] + (b[i] - a[i]) * t)
}

/// How far each point stands out of (plus) or lies in (minus) its surroundings, mm.
pub fn relief(solid: &Solid, rounds: usize) -> Vec<f64> {
    let smoothed = relax(solid, rounds, 1.0);
    let normals = solid.normals();
    (0..solid.points.len())
        .map(|i| (solid.points[i] - smoothed[i]).dot(normals[i]))
        .collect()
}

/// Positions after `rounds` of averaging with their neighbours.
pub fn relax(solid: &Solid, rounds: usize, share: f64) -> Vec<DVec3> {
    let count = solid.points.len();
    let mut start = vec![0u32; count + 1];
    for t in &solid.triangles {
        for &i in t {
            start[i as usize + 1] += 1;
        }
    }
    for i in 0..count {
        start[i + 1] += start[i];
    }
    let mut next = start.clone();
    let mut around = vec![0u32; solid.triangles.len() * 3];
    for t in &solid.triangles {
        for k in 0..3 {
            // Each neighbour is met once going round, as the one after.
            let i = t[k] as usize;
            around[next[i] as usize] = t[(k + 1) % 3];
            next[i] += 1;
        }
    }
    let mut points = solid.points.clone();
    for _ in 0..rounds {
        points = (0..count)
            .into_par_iter()
            .map(|i| {
                let ring = &around[start[i] as usize..start[i + 1] as usize];
                if ring.is_empty() {
                    return points[i];
                }
                let sum: DVec3 = ring.iter().map(|&j| points[j as usize]).sum();
                points[i].lerp(sum / ring.len() as f64, share)
            })
            .collect();
    }
    points
}

/// Bell metal after four centuries.
pub fn bronze(p: DVec3, normal: DVec3, stands: f64, skin: Skin) -> [u8; 4] {
    let cloud = fractal(p * 0.045, 3, 201);
    let fine = fractal(p * 0.35, 3, 202);
    let mut c = blend(
        [94.0, 71.0, 45.0],
        [76.0, 66.0, 44.0],
        smooth(-0.5, 0.5, cloud),
    );
    c = blend(c, [116.0, 88.0, 50.0], smooth(0.0, 0.7, fine) * 0.6);
    // Green where damp stayed: in hollows, low down, under mouldings.
    let hollow = smooth(0.015, 0.16, -stands);
    let damp = smooth(
        0.05,
        0.55,
        cloud + 0.45 * fine + 0.5 * hollow - 0.15 * normal.y,
    );
    c = blend(c, [47.0, 41.0, 30.0], hollow * 0.85);
    c = blend(c, [88.0, 102.0, 76.0], damp * (0.18 + 0.5 * hollow));
    c = blend(c, [66.0, 58.0, 42.0], skin.inside * 0.55);
    // Hands and cloths rub what stands out.
    let rubbed = smooth(0.02, 0.2, stands);
    c = blend(c, [150.0, 115.0, 64.0], rubbed * 0.62);
    c = blend(
        c,
        [214.0, 176.0, 104.0],
        (skin.worn * (0.75 + 0.25 * fine)).clamp(0.0, 1.0),
    );
    let copper = blend(
        [118.0, 68.0, 46.0],
        [86.0, 52.0, 40.0],
        smooth(-0.3, 0.5, fine + hollow),
    );
    c = blend(
        c,
        blend(copper, [150.0, 92.0, 64.0], rubbed * 0.7),
        skin.copper,
    );
    c = blend(c, [140.0, 116.0, 74.0], skin.plug * 0.55);
    to_bytes(c)
}

/// Warm brown-black lacquer, thinner on edges.
pub fn lacquer(p: DVec3, stands: f64) -> [u8; 4] {
    let cloud = fractal(p * 0.06, 2, 301);
    let mut c = blend(
        [56.0, 43.0, 35.0],
        [49.0, 38.0, 32.0],
        smooth(-0.6, 0.6, cloud),
    );
    c = blend(c, [38.0, 29.0, 25.0], smooth(0.02, 0.2, -stands) * 0.7);
    c = blend(c, [78.0, 61.0, 49.0], smooth(0.03, 0.25, stands) * 0.6);
    to_bytes(c)
}

fn to_bytes(c: Rgb) -> [u8; 4] {
    let b = c.map(|v| v.round().clamp(0.0, 255.0) as u8);
    [b[0], b[1], b[2], 255]
}

/// Colours a whole surface of the mortar.
pub fn paint(solid: &mut Solid, skins: &[Skin], body: Body) {
    let stands = relief(solid, 14);
    let normals = solid.normals();
    solid.colours = (0..solid.points.len())
        .into_par_iter()
        .map(|i| match body {
            Body::Original => bronze(solid.points[i], normals[i], stands[i], skins[i]),
            Body::Replica => lacquer(solid.points[i], stands[i]),
        })
        .collect();
}

/// Lead from a river: grey oxide, brown in hollows, paler where rubbed.
pub fn lead(p: DVec3, stands: f64) -> [u8; 4] {
    let cloud = fractal(p * 0.16, 3, 501);
    let fine = fractal(p * 0.9, 3, 502);
    let mut c = blend(
        [116.0, 117.0, 118.0],
        [98.0, 97.0, 95.0],
        smooth(-0.4, 0.5, cloud),
    );
    c = blend(
        c,
        [150.0, 148.0, 140.0],
        0.6 * smooth(0.1, 0.7, fine + 0.4 * cloud),
    );
    c = blend(c, [66.0, 61.0, 55.0], 0.85 * smooth(0.005, 0.07, -stands));
    c = blend(c, [172.0, 173.0, 174.0], 0.7 * smooth(0.01, 0.09, stands));
    to_bytes(c)
}
