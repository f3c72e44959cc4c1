//! PLY (Greg Turk, "The PLY polygon file format", Stanford University, 1994): ASCII and binary.
//!
//! Vertices may carry colours; normals are read over and computed anew. Polygons are cut into a
//! fan from their first corner. Elements and properties that mean nothing here are stepped over.

mod body;
mod header;

use super::Raw;
use crate::limits::Limits;
use crate::mesh::MeshError;
use body::{Ascii, Binary, Numbers};
use glam::Vec3;
use header::{Element, Encoding, Header, Kind, Shape};

fn damaged(what: impl std::fmt::Display) -> MeshError {
    MeshError::new(
        format!("the PLY file is damaged: {what}"),
        "export the model again, and compare the sizes of the files",
    )
}

/// Reads a `.ply` file, in the file's unit.
pub(super) fn read(bytes: &[u8], limits: &Limits) -> Result<Raw, MeshError> {
    let (header, body) = header::read(bytes)?;
    // Every number of a body takes at least this many bytes, so no count can promise more than
    // the file holds.
    let promised = |e: &Element| {
        let least: usize = e.properties.iter().map(|p| p.least_bytes(&header)).sum();
        e.count.saturating_mul(least.max(1))
    };
    if let Some(lying) = header
        .elements
        .iter()
        .find(|e| promised(e) > body.len() + 1)
    {
        return Err(damaged(format!(
            "it promises {} of ‘{}’, which {} bytes cannot hold",
            lying.count,
            lying.name,
            body.len()
        )));
    }
    match header.encoding {
        Encoding::Ascii => elements(&header, &mut Ascii::new(body, header.lines), limits),
        Encoding::Little => elements(&header, &mut Binary::<true>::new(body), limits),
        Encoding::Big => elements(&header, &mut Binary::<false>::new(body), limits),
    }
}

fn elements<N: Numbers>(
    header: &Header,
    numbers: &mut N,
    limits: &Limits,
) -> Result<Raw, MeshError> {
    let mut raw = Raw::default();
    for element in &header.elements {
        match element.name.as_str() {
            "vertex" => vertices(element, numbers, &mut raw)?,
            "face" => faces(element, numbers, &mut raw, limits)?,
            _ => {
                for _ in 0..element.count {
                    for property in &element.properties {
                        skip(property.shape, numbers)?;
                    }
                }
            }
        }
    }
    Ok(raw)
}

fn skip<N: Numbers>(shape: Shape, numbers: &mut N) -> Result<(), MeshError> {
    let (kind, count) = match shape {
        Shape::One(kind) => (kind, 1),
        Shape::List { count, item } => (item, numbers.whole(count)?),
    };
    for _ in 0..count {
        numbers.number(kind)?;
    }
    Ok(())
}

/// What a property of a vertex is for.
#[derive(Clone, Copy)]
enum Part {
    Place(usize),
    /// Channel and the value of full strength.
    Colour(usize, f64),
    Nothing,
}

fn vertices<N: Numbers>(
    element: &Element,
    numbers: &mut N,
    raw: &mut Raw,
) -> Result<(), MeshError> {
    let parts: Vec<(Shape, Part)> = element
        .properties
        .iter()
        .map(|p| {
            let full = |kind: Kind| match kind {
                Kind::F32 | Kind::F64 => 1.0,
                Kind::U16 => 65_535.0,
                _ => 255.0,
            };
            let part = match (p.name.as_str(), p.shape) {
                ("x", Shape::One(_)) => Part::Place(0),
                ("y", Shape::One(_)) => Part::Place(1),
                ("z", Shape::One(_)) => Part::Place(2),
                ("red" | "r" | "diffuse_red", Shape::One(k)) => Part::Colour(0, full(k)),
                ("green" | "g" | "diffuse_green", Shape::One(k)) => Part::Colour(1, full(k)),
                ("blue" | "b" | "diffuse_blue", Shape::One(k)) => Part::Colour(2, full(k)),
                _ => Part::Nothing,
            };
            (p.shape, part)
        })
        .collect();
    let has = |wanted: &dyn Fn(&Part) -> bool| parts.iter().filter(|(_, p)| wanted(p)).count() == 3;
    if !has(&|p| matches!(p, Part::Place(_))) {
        return Err(damaged("its vertices have no x, y and z"));
    }
    let coloured = has(&|p| matches!(p, Part::Colour(..)));
    raw.positions.reserve_exact(element.count);
    let mut colours = Vec::with_capacity(if coloured { element.count } else { 0 });
    for _ in 0..element.count {
        let mut at = [0.0f32; 3];
        let mut colour = [255u8; 4];
        for &(shape, part) in &parts {
            match (part, shape) {
                (Part::Place(axis), Shape::One(kind)) => at[axis] = numbers.single(kind)?,
                (Part::Colour(channel, full), Shape::One(kind)) => {
                    #[expect(clippy::cast_possible_truncation, reason = "a share of full strength")]
                    let share = (numbers.number(kind)? / full) as f32;
                    colour[channel] = crate::mesh::to_byte(share);
                }
                _ => skip(shape, numbers)?,
            }
        }
        raw.positions.push(Vec3::from_array(at));
        if coloured {
            colours.push(colour);
        }
    }
    raw.colours = coloured.then_some(colours);
    Ok(())
}

fn faces<N: Numbers>(
    element: &Element,
    numbers: &mut N,
    raw: &mut Raw,
    limits: &Limits,
) -> Result<(), MeshError> {
    let corners = |name: &str| matches!(name, "vertex_indices" | "vertex_index");
    if !element
        .properties
        .iter()
        .any(|p| corners(&p.name) && matches!(p.shape, Shape::List { .. }))
    {
        return Err(damaged("its faces have no list of vertex indices"));
    }
    raw.triangles
        .reserve_exact(element.count.min(limits.triangles));
    for _ in 0..element.count {
        for property in &element.properties {
            let Shape::List { count, item } = property.shape else {
                skip(property.shape, numbers)?;
                continue;
            };
            if !corners(&property.name) {
                skip(property.shape, numbers)?;
                continue;
            }
            let count = numbers.whole(count)?;
            let mut fan = [0u32; 2];
            for corner in 0..count {
                let index = numbers.whole(item)?;
                let index = u32::try_from(index).map_err(|_| damaged("a face names no vertex"))?;
                match corner {
                    0 | 1 => fan[corner] = index,
                    _ => {
                        raw.triangles.push([fan[0], fan[1], index]);
                        fan[1] = index;
                    }
                }
            }
            if raw.triangles.len() > limits.triangles {
                return Err(super::too_many_triangles(limits));
            }
        }
    }
    Ok(())
}
