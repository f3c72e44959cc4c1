//! The one shape that all things of the store share, and a picture for each.

use counterpart::mesh::{GlbFacts, Mesh, NamedMesh, glb_plain};
use glam::DVec3;
use std::f64::consts::TAU;

/// Points around, and rings from foot to crown.
const AROUND: usize = 48;
const RINGS: usize = 24;
/// Half the height and the greatest radius, millimetres.
const HALF_MM: f64 = 14.0;
const RADIUS_MM: f64 = 12.0;

/// Radius at a height between −1 and 1: a drop with a flat foot.
fn radius_mm(height: f64) -> f64 {
    RADIUS_MM * (1.0 - height.powi(2) * 0.75).sqrt() * (1.0 - 0.25 * height)
}

fn point(height: f64, turn: f64) -> DVec3 {
    let radius = radius_mm(height);
    DVec3::new(
        radius * (turn * TAU).sin(),
        HALF_MM * (1.0 + height),
        radius * (turn * TAU).cos(),
    )
}

/// The model as a file, and eight places on it, millimetres.
pub(crate) fn weight() -> Result<(Vec<u8>, Vec<[f64; 3]>), String> {
    let mut points = Vec::new();
    for ring in 0..=RINGS {
        let height = -1.0 + 2.0 * ring as f64 / RINGS as f64;
        points.extend((0..AROUND).map(|i| point(height, i as f64 / AROUND as f64)));
    }
    let (foot, crown) = (points.len() as u32, points.len() as u32 + 1);
    points.push(DVec3::ZERO);
    points.push(DVec3::new(0.0, 2.0 * HALF_MM, 0.0));
    let mut triangles = Vec::new();
    let at = |ring: usize, i: usize| (ring * AROUND + i % AROUND) as u32;
    for i in 0..AROUND {
        for ring in 0..RINGS {
            let [a, b, c, d] = [
                at(ring, i),
                at(ring, i + 1),
                at(ring + 1, i + 1),
                at(ring + 1, i),
            ];
            triangles.extend([[a, b, c], [a, c, d]]);
        }
        triangles.push([foot, at(0, i + 1), at(0, i)]);
        triangles.push([crown, at(RINGS, i), at(RINGS, i + 1)]);
    }
    let anchors = (0..8).map(|i| {
        // Halfway along an edge of the mesh, so that it lies on it.
        let ring = 4 + 2 * i;
        let (a, b) = (
            points[ring * AROUND + i * 6],
            points[(ring + 1) * AROUND + i * 6],
        );
        a.midpoint(b).to_array()
    });
    let anchors = anchors.collect();
    let points = points.iter().map(|p| p.as_vec3()).collect();
    let mesh = Mesh::new(points, triangles).map_err(|e| e.to_string())?;
    let bytes = glb_plain(&[NamedMesh::new("weight", &mesh)], &GlbFacts::default());
    Ok((bytes.map_err(|e| e.to_string())?, anchors))
}

/// A small square whose colour tells things apart.
pub(crate) fn picture(number: usize) -> Result<Vec<u8>, String> {
    let shade = |by: usize| (60 + number * by % 160) as u8;
    let colour = image::Rgb([shade(37), shade(59), shade(83)]);
    let picture = image::RgbImage::from_pixel(64, 64, colour);
    let mut out = std::io::Cursor::new(Vec::new());
    picture
        .write_to(&mut out, image::ImageFormat::Png)
        .map_err(|e| e.to_string())?;
    Ok(out.into_inner())
}
