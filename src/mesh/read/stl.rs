//! STL: triangles alone, as text or as 50 bytes each.
//!
//! The format has no standard of its own; this follows the description that 3D Systems published
//! for its machines (StereoLithography Interface Specification, 1989, as quoted in the literature).
//! Corners at the very same place become one vertex; normals are computed anew.

use super::Raw;
use crate::limits::Limits;
use crate::mesh::MeshError;
use crate::mesh::weld::places;
use glam::Vec3;

const HEADER: usize = 84;
const FACET: usize = 50;

fn damaged(what: impl std::fmt::Display) -> MeshError {
    MeshError::new(
        format!("the STL file is damaged: {what}"),
        "export the model again, and compare the sizes of the files",
    )
}

/// Reads an `.stl` file, in the file's unit.
pub(super) fn read(bytes: &[u8], limits: &Limits) -> Result<Raw, MeshError> {
    // Many binary files begin with the word ‘solid’, so the size decides, not the word.
    let corners = match promised(bytes) {
        Some(count) if bytes.len() == HEADER + FACET * count => binary(bytes, count, limits)?,
        _ if bytes.trim_ascii_start().starts_with(b"solid") && is_text(bytes) => {
            text(bytes, limits)?
        }
        Some(count) => {
            return Err(damaged(format!(
                "it promises {count} triangles, {} bytes; it has {}",
                HEADER + FACET * count,
                bytes.len()
            )));
        }
        None => return Err(damaged("it is shorter than its own header")),
    };
    let (place_of, positions) = places(&corners);
    Ok(Raw {
        positions,
        triangles: place_of.as_chunks().0.to_vec(),
        ..Raw::default()
    })
}

/// Count of triangles in the header of a binary file.
fn promised(bytes: &[u8]) -> Option<usize> {
    let count: [u8; 4] = bytes.get(80..HEADER)?.try_into().ok()?;
    usize::try_from(u32::from_le_bytes(count)).ok()
}

/// Whether the beginning can be text at all.
fn is_text(bytes: &[u8]) -> bool {
    bytes.iter().take(512).all(|&b| b != 0)
}

fn binary(bytes: &[u8], count: usize, limits: &Limits) -> Result<Vec<Vec3>, MeshError> {
    if count > limits.triangles {
        return Err(super::too_many_triangles(limits));
    }
    let facets = bytes.get(HEADER..).unwrap_or_default();
    let number = |b: &[u8; 4]| f32::from_le_bytes(*b);
    Ok(facets
        .as_chunks::<FACET>()
        .0
        .iter()
        // Twelve bytes of normal come first, two of attributes last.
        .flat_map(|facet| {
            let numbers = facet[12..48].as_chunks::<4>().0;
            let corner = |k: usize| {
                Vec3::new(
                    number(&numbers[3 * k]),
                    number(&numbers[3 * k + 1]),
                    number(&numbers[3 * k + 2]),
                )
            };
            [corner(0), corner(1), corner(2)]
        })
        .collect())
}

fn text(bytes: &[u8], limits: &Limits) -> Result<Vec<Vec3>, MeshError> {
    let mut corners = Vec::new();
    let mut complete = false;
    for (number, line) in (1..).zip(bytes.split(|&b| b == b'\n')) {
        let line = String::from_utf8_lossy(line);
        let mut words = line.split_ascii_whitespace();
        let fault = || damaged(format!("line {number}: ‘{}’ is not a vertex", short(&line)));
        match words.next() {
            Some("vertex") => {
                let mut at = [0.0; 3];
                for value in &mut at {
                    *value = words
                        .next()
                        .and_then(|w| w.parse().ok())
                        .ok_or_else(fault)?;
                }
                corners.push(Vec3::from_array(at));
            }
            Some("endfacet" | "endloop") if corners.len() % 3 != 0 => {
                return Err(damaged(format!(
                    "line {number}: a facet without three corners"
                )));
            }
            Some("endsolid") => complete = true,
            Some("solid" | "facet" | "outer" | "endfacet" | "endloop") | None => {}
            Some(other) => {
                return Err(damaged(format!(
                    "line {number}: ‘{}’ means nothing",
                    short(other)
                )));
            }
        }
        if corners.len() / 3 > limits.triangles {
            return Err(super::too_many_triangles(limits));
        }
    }
    if !complete {
        return Err(damaged("it ends without the line ‘endsolid’"));
    }
    Ok(corners)
}

fn short(text: &str) -> String {
    text.trim().chars().take(40).collect()
}
