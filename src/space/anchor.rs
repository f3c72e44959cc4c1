//! A point brought onto a surface.

use super::Tree;
use crate::mesh::Mesh;
use glam::DVec3;

/// A point on the surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Anchored {
    /// The point, millimetres.
    pub point: DVec3,
    /// Outward unit normal, averaged over the patch by area.
    pub normal: DVec3,
    /// How far the given point was from the surface, millimetres.
    pub distance_mm: f64,
}

/// The point is too far from the surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OffSurface {
    /// How far, millimetres.
    pub distance_mm: f64,
    /// The nearest point of the surface, millimetres.
    pub nearest: DVec3,
}

/// Brings a point onto the surface of a mesh, if it is within `reach_mm` of it. The normal is the
/// mean over the triangles whose middle lies within `radius_mm` of the point and that face the
/// same way as the surface at the point, so that a thin wall's far side does not count.
///
/// # Errors
/// The distance and the nearest point, when the surface is further away.
pub fn snap(
    tree: &Tree,
    mesh: &Mesh,
    point: DVec3,
    radius_mm: f64,
    reach_mm: f64,
) -> Result<Anchored, OffSurface> {
    let Some(found) = tree.closest(point) else {
        return Err(OffSurface {
            distance_mm: f64::INFINITY,
            nearest: point,
        });
    };
    if found.distance_mm > reach_mm {
        return Err(OffSurface {
            distance_mm: found.distance_mm,
            nearest: found.point,
        });
    }
    let mut sum = DVec3::ZERO;
    for face in (0u32..).take(mesh.triangles().len()) {
        let [a, b, c] = mesh.corners(face);
        if ((a + b + c) / 3.0).distance_squared(found.point) > radius_mm * radius_mm {
            continue;
        }
        let normal = (b - a).cross(c - a);
        if normal.dot(found.normal) > 0.0 {
            sum += normal;
        }
    }
    let normal = sum.try_normalize().unwrap_or(found.normal);
    Ok(Anchored {
        point: found.point,
        normal,
        distance_mm: found.distance_mm,
    })
}
