//! The XML of the model part: objects, meshes, components and the build.

use super::damaged;
use crate::limits::Limits;
use crate::mesh::MeshError;
use glam::{Affine3A, Mat3A, Vec3, Vec3A};
use quick_xml::events::{BytesStart, Event};
use quick_xml::reader::Reader;
use std::collections::BTreeMap;

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Unit {
    pub(super) name: &'static str,
    pub(super) in_mm: f64,
}

/// Core Specification 1.4.0, section 3.4: the default is the millimetre.
const UNITS: [Unit; 6] = [
    Unit {
        name: "millimeter",
        in_mm: 1.0,
    },
    Unit {
        name: "micron",
        in_mm: 0.001,
    },
    Unit {
        name: "centimeter",
        in_mm: 10.0,
    },
    Unit {
        name: "inch",
        in_mm: 25.4,
    },
    Unit {
        name: "foot",
        in_mm: 304.8,
    },
    Unit {
        name: "meter",
        in_mm: 1000.0,
    },
];

/// An object by number, placed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Placed {
    pub(super) object: u32,
    pub(super) place: Affine3A,
}

#[derive(Debug, Default)]
pub(super) struct Object {
    pub(super) positions: Vec<Vec3>,
    pub(super) triangles: Vec<[u32; 3]>,
    pub(super) components: Vec<Placed>,
}

#[derive(Debug)]
pub(super) struct Model {
    pub(super) unit: Unit,
    pub(super) objects: BTreeMap<u32, Object>,
    pub(super) build: Vec<Placed>,
}

/// Target of the first relationship of this type.
pub(super) fn relationship(xml: &[u8], kind: &str) -> Result<Option<String>, MeshError> {
    let mut found = None;
    each(xml, |element, _| {
        if element.local_name().as_ref() == "Relationship"
            && found.is_none()
            && text(element, "Type")?.is_some_and(|t| t == kind)
        {
            found = text(element, "Target")?;
        }
        Ok(())
    })?;
    Ok(found)
}

pub(super) fn parse(xml: &[u8], limits: &Limits) -> Result<Model, MeshError> {
    let mut model = Model {
        unit: UNITS[0],
        objects: BTreeMap::new(),
        build: Vec::new(),
    };
    let mut current: Option<u32> = None;
    let mut triangles = 0;
    each(xml, |element, line| {
        let at = |what: String| damaged(format!("line {line}: {what}"));
        match element.local_name().as_ref() {
            "model" => {
                if let Some(name) = text(element, "unit")? {
                    model.unit = *UNITS
                        .iter()
                        .find(|u| u.name == name)
                        .ok_or_else(|| at(format!("‘{name}’ is not a unit")))?;
                }
                if let Some(needed) = text(element, "requiredextensions")?
                    && !needed.trim().is_empty()
                {
                    return Err(MeshError::new(
                        format!("the 3MF file needs extensions that are not read ({needed})"),
                        "export it with the core specification alone",
                    ));
                }
            }
            "object" => {
                let id = required::<u32>(element, "id").map_err(at)?;
                if model.objects.insert(id, Object::default()).is_some() {
                    return Err(at(format!("there are two objects {id}")));
                }
                current = Some(id);
            }
            "vertex" => {
                let object = open(&mut model.objects, current).ok_or_else(|| at(lost()))?;
                let number = |name| required::<f32>(element, name).map_err(at);
                object
                    .positions
                    .push(Vec3::new(number("x")?, number("y")?, number("z")?));
            }
            "triangle" => {
                let object = open(&mut model.objects, current).ok_or_else(|| at(lost()))?;
                let number = |name| required::<u32>(element, name).map_err(at);
                let corners = [number("v1")?, number("v2")?, number("v3")?];
                if corners
                    .iter()
                    .any(|&c| c as usize >= object.positions.len())
                {
                    return Err(at(
                        "a triangle names a vertex that does not exist".to_owned()
                    ));
                }
                object.triangles.push(corners);
                triangles += 1;
                if triangles > limits.triangles {
                    return Err(crate::mesh::read::too_many_triangles(limits));
                }
            }
            "component" => {
                let placed = placed(element).map_err(at)?;
                let object = open(&mut model.objects, current).ok_or_else(|| at(lost()))?;
                object.components.push(placed);
            }
            "item" => model.build.push(placed(element).map_err(at)?),
            _ => {}
        }
        Ok(())
    })?;
    Ok(model)
}

fn open(objects: &mut BTreeMap<u32, Object>, current: Option<u32>) -> Option<&mut Object> {
    objects.get_mut(&current?)
}

fn lost() -> String {
    "a vertex, triangle or component stands outside every object".to_owned()
}

/// Calls for every start of an element, with its line.
fn each(
    xml: &[u8],
    mut take: impl FnMut(&BytesStart<'_>, usize) -> Result<(), MeshError>,
) -> Result<(), MeshError> {
    let text = std::str::from_utf8(xml).map_err(|_| damaged("its XML is not in UTF-8"))?;
    let mut reader = Reader::from_str(text);
    let (mut line, mut counted) = (1, 0usize);
    loop {
        let event = reader
            .read_event()
            .map_err(|e| damaged(format!("after line {line}: {e}")))?;
        match event {
            Event::Start(element) | Event::Empty(element) => take(&element, line)?,
            Event::Eof => return Ok(()),
            _ => {}
        }
        let here = usize::try_from(reader.buffer_position()).unwrap_or(usize::MAX);
        let passed = xml.get(counted..here).unwrap_or_default();
        line += passed.iter().filter(|&&b| b == b'\n').count();
        counted = here;
    }
}

fn text(element: &BytesStart<'_>, name: &str) -> Result<Option<String>, MeshError> {
    let found = element
        .try_get_attribute(name)
        .map_err(|e| damaged(e.to_string()))?;
    Ok(found.map(|a| a.value.into_owned()))
}

fn required<T: std::str::FromStr>(element: &BytesStart<'_>, name: &str) -> Result<T, String> {
    let found = element.try_get_attribute(name).map_err(|e| e.to_string())?;
    let value = found.ok_or_else(|| format!("‘{name}’ is missing"))?;
    value
        .value
        .trim()
        .parse()
        .ok()
        .ok_or_else(|| format!("‘{name}’ is not the number that is due"))
}

/// Section 3.3 of the specification: twelve numbers, row by row, that act on row vectors.
fn placed(element: &BytesStart<'_>) -> Result<Placed, String> {
    let object = required(element, "objectid")?;
    let given = text(element, "transform").map_err(|e| e.what)?;
    let Some(given) = given else {
        return Ok(Placed {
            object,
            place: Affine3A::IDENTITY,
        });
    };
    let numbers: Vec<f32> = given
        .split_whitespace()
        .map(|w| {
            w.parse()
                .map_err(|_| format!("‘{w}’ in a transform is no number"))
        })
        .collect::<Result<_, _>>()?;
    let rows: [[f32; 3]; 4] = numbers
        .as_chunks::<3>()
        .0
        .try_into()
        .ok()
        .filter(|_| numbers.len() == 12)
        .ok_or_else(|| "a transform does not have twelve numbers".to_owned())?;
    // A row that acts on row vectors is a column that acts on column vectors.
    let [x, y, z, move_by] = rows.map(Vec3A::from_array);
    Ok(Placed {
        object,
        place: Affine3A {
            matrix3: Mat3A::from_cols(x, y, z),
            translation: move_by,
        },
    })
}
