//! A body as the page draws it: fewer triangles where there are very many, in plain arrays, since
//! nothing is saved by packing what does not leave the machine.
//!
//! ```text
//! length of the index, u32 · index, JSON · for each part: positions f32×3, normals f32×3,
//! colours f32×3, corners u32 · all little-endian, in the order of the index
//! ```

use crate::collate::BodyGeometry;
use crate::mesh::{Mesh, vertex_normals};
use crate::reduce::simplify;
use crate::site::SiteError;
use crate::store::{Key, Store};
use serde_json::json;

/// Changes whenever the making changes.
const METHOD: &str = "desk model 1";
/// Triangles of a body on the desk. Places are taken from all of them whatever is drawn.
const TRIANGLES: usize = 250_000;
/// A part keeps so many at least.
const LEAST: usize = 1000;
/// Grey-warm, as scans without colour are drawn.
const PLAIN: [u8; 4] = [200, 190, 176, 255];

/// The body in one file; made once for each state of its scans.
pub(super) fn of(body: &BodyGeometry, store: &Store) -> Result<Vec<u8>, SiteError> {
    let key = body.parts.iter().fold(Key::of(METHOD), |key, part| {
        key.and(part.id.as_str().as_bytes()).and(&part.digest)
    });
    store.or_make(&key, || make(body))
}

fn make(body: &BodyGeometry) -> Result<Vec<u8>, SiteError> {
    let all: usize = body.parts.iter().map(|p| p.mesh.triangles().len()).sum();
    let mut index = Vec::new();
    let mut arrays: Vec<u8> = Vec::new();
    for part in &body.parts {
        let own = part.mesh.triangles().len();
        let lighter;
        let mesh = if all > TRIANGLES {
            let share = (own * TRIANGLES / all).max(LEAST);
            lighter = simplify(&part.mesh, share, &[]);
            &lighter
        } else {
            &part.mesh
        };
        index.push(json!({
            "id": part.id, "points": mesh.positions().len(), "triangles": mesh.triangles().len(), "scanned": own,
        }));
        write(mesh, &mut arrays);
    }
    let index = serde_json::to_vec(&index).map_err(|e| SiteError::Picture(e.to_string()))?;
    let length = u32::try_from(index.len()).map_err(|e| SiteError::Picture(e.to_string()))?;
    let mut out = length.to_le_bytes().to_vec();
    out.extend(index);
    // Arrays of numbers begin at multiples of four.
    out.resize(out.len().next_multiple_of(4), b' ');
    out.extend(arrays);
    Ok(out)
}

fn write(mesh: &Mesh, arrays: &mut Vec<u8>) {
    let mut numbers = |values: &mut dyn Iterator<Item = f32>| {
        for value in values {
            arrays.extend(value.to_le_bytes());
        }
    };
    let positions = mesh.positions();
    numbers(&mut positions.iter().flat_map(|p| p.to_array()));
    numbers(&mut vertex_normals(mesh).iter().flat_map(|n| n.to_array()));
    let colours = mesh.vertex_colours();
    let colours = colours.as_deref();
    let colour = |i: usize| colours.and_then(|c| c.get(i)).copied().unwrap_or(PLAIN);
    numbers(&mut (0..positions.len()).flat_map(|i| {
        let [r, g, b, _] = colour(i).map(linear);
        [r, g, b]
    }));
    for corner in mesh.triangles().iter().flatten() {
        arrays.extend(corner.to_le_bytes());
    }
}

/// The painter reckons in light, files in sRGB (IEC 61966-2-1).
fn linear(code: u8) -> f32 {
    let c = f32::from(code) / 255.0;
    if c <= 0.04045 {
        c / 12.92
    } else {
        ((c + 0.055) / 1.055).powf(2.4)
    }
}
