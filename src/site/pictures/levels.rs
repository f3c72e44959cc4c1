//! The levels of one body, from the scans of its parts.

use super::coarse;
use super::models::{MeasuredBody, ModelFacts};
use crate::collate::PartGeometry;
use crate::mesh::{GlbFacts, Mesh, NamedMesh, OnSheet, Pictures, area_mm2, glb_display};
use crate::picture::{PictureError, grey_png, jpeg};
use crate::record::{BodyKind, Object};
use crate::reduce::{Focus, Measured, deviation, simplify};
use crate::relief::{Grain, Scan, Shade, Sheets, Spread, Unwrapped, bake, spread, unwrap};
use crate::site::SiteError;

/// One level of a display model.
#[derive(Debug)]
pub(super) struct Level {
    /// Where it is for.
    pub(super) name: &'static str,
    /// Triangles, all parts of a body together.
    triangles: usize,
    /// How finely its pictures are drawn: at least as finely as the scans are.
    grain: Grain,
    /// Texels along the sheet of measured differences, which are smooth: half as fine will do.
    difference_texels: u32,
}

/// The lightest first.
pub(super) const LEVELS: [Level; 3] = [
    Level {
        name: "phone",
        triangles: 20_000,
        grain: Grain {
            texels: 1024,
            finer: 2,
            colour_texels: 512,
        },
        difference_texels: 512,
    },
    Level {
        name: "desk",
        triangles: 80_000,
        grain: Grain {
            texels: 2048,
            finer: 1,
            colour_texels: 1024,
        },
        difference_texels: 1024,
    },
    Level {
        name: "kiosk",
        triangles: 200_000,
        grain: Grain {
            texels: 2048,
            finer: 1,
            colour_texels: 2048,
        },
        difference_texels: 1024,
    },
];
/// A part gets so many triangles at least.
const LEAST: usize = 1000;
/// Qualities of JPEG, of 100. Slopes show their faults in every glint.
const SLOPES: u8 = 72;
const SHADE: u8 = 60;
const COLOUR: u8 = 70;
/// The scan is looked for this many times as far from the reduced surface as that strays.
const MARGIN: f64 = 1.2;

/// What is to be made.
pub(super) struct Subject<'a> {
    pub(super) object: &'a Object,
    pub(super) kind: BodyKind,
    /// Parts, and where the visitors look on them.
    pub(super) parts: Vec<(&'a PartGeometry, Vec<Focus>)>,
    /// For each of them, by how much at least its model must stray, millimetres.
    pub(super) finest_mm: Vec<Option<f64>>,
    /// What was measured on the body.
    pub(super) measured: Option<&'a MeasuredBody<'a>>,
}

/// One level, made.
pub(super) struct Made {
    pub(super) facts: ModelFacts,
    pub(super) glb: Vec<u8>,
    /// A PNG file; `None` where nothing was measured, or there is no sheet to lay it on.
    pub(super) difference: Option<Vec<u8>>,
}

impl Subject<'_> {
    fn scan_triangles(&self) -> usize {
        self.parts
            .iter()
            .map(|(p, _)| p.mesh.triangles().len())
            .sum()
    }

    /// A part's share of a budget.
    fn share(&self, part: &PartGeometry, budget: usize) -> usize {
        (part.mesh.triangles().len() * budget / self.scan_triangles().max(1)).max(LEAST)
    }

    /// The limit that the body as a whole keeps to: some part of it is under an agreement.
    fn limit_mm(&self) -> Option<f64> {
        let limits = self.finest_mm.iter().flatten().copied();
        limits.reduce(f64::min)
    }

    /// A part with so many triangles at most, or fewer where an agreement asks for it.
    fn reduced(&self, index: usize, budget: usize) -> Result<Mesh, SiteError> {
        let (part, focuses) = &self.parts[index];
        let most = self.share(part, budget);
        match self.finest_mm[index] {
            None => Ok(simplify(&part.mesh, most, focuses)),
            Some(finest_mm) => coarse::reduced(part, most, finest_mm).ok_or_else(|| {
                self.refused(format!(
                    "its part ‘{}’ cannot be made so coarse that it strays by {finest_mm} mm; write a smaller finest_mm",
                    part.id
                ))
            }),
        }
    }

    fn refused(&self, why: impl std::fmt::Display) -> SiteError {
        let id = &self.object.id;
        SiteError::Picture(format!("the model of ‘{id}’ cannot be written: {why}"))
    }
}

/// All levels, up to the first that has every triangle of the scans: a finer one would be the same.
pub(super) fn all(subject: &Subject<'_>) -> Result<Vec<Made>, SiteError> {
    let mut reduced: Vec<(&Level, Vec<Mesh>)> = Vec::new();
    for level in &LEVELS {
        let whole = |(_, meshes): &(&Level, Vec<Mesh>)| count(meshes) >= subject.scan_triangles();
        if reduced.last().is_some_and(whole) {
            break;
        }
        let parts = 0..subject.parts.len();
        let meshes = parts.map(|index| subject.reduced(index, level.triangles));
        let meshes: Vec<Mesh> = meshes.collect::<Result<_, _>>()?;
        // An agreement may leave no finer level than the last.
        if reduced
            .last()
            .is_some_and(|(_, last)| count(&meshes) <= count(last))
        {
            break;
        }
        reduced.push((level, meshes));
    }
    // Shade is found on the finest likeness, for all; there is none without a sheet.
    let drawn = subject.limit_mm().is_none();
    let shades: Vec<Shade> = reduced
        .last()
        .filter(|_| drawn)
        .into_iter()
        .flat_map(|(_, meshes)| meshes.iter().zip(&subject.parts))
        .map(|(likeness, (part, _))| Shade::of(likeness, &part.tree))
        .collect();
    reduced
        .iter()
        .map(|(level, meshes)| one(subject, &shades, level, meshes))
        .collect()
}

fn count(meshes: &[Mesh]) -> usize {
    meshes.iter().map(|m| m.triangles().len()).sum()
}

fn one(
    subject: &Subject<'_>,
    shades: &[Shade],
    level: &Level,
    meshes: &[Mesh],
) -> Result<Made, SiteError> {
    let strays: Vec<Measured> = meshes
        .iter()
        .zip(&subject.parts)
        .map(|(mesh, (part, focuses))| deviation(&part.mesh, &part.tree, mesh, focuses))
        .collect();
    // What is drawn on a model would tell what its triangles must not.
    let flats = match subject.limit_mm() {
        None => unwrap(&meshes.iter().collect::<Vec<_>>(), level.grain.texels),
        Some(_) => None,
    };
    let drawn = flats.map(|flats| {
        let scans: Vec<Scan<'_>> = flats
            .iter()
            .zip(&subject.parts)
            .zip(shades)
            .zip(&strays)
            .map(|(((flat, (part, _)), shade), strays)| Scan {
                flat,
                mesh: &part.mesh,
                tree: &part.tree,
                shade,
                reach_mm: reach_mm(strays),
            })
            .collect();
        let sheets = bake(&scans, level.grain);
        (flats, sheets)
    });
    let texel_mm = drawn.as_ref().map(|(_, sheets)| {
        let area: f64 = meshes.iter().map(area_mm2).sum();
        #[expect(clippy::cast_precision_loss, reason = "counts far below 2^52")]
        let texels = sheets.samples as f64 / f64::from(level.grain.finer.pow(2));
        (area / texels.max(1.0)).sqrt()
    });
    let difference = match (&drawn, subject.measured) {
        (Some((flats, _)), Some(measured)) => Some(difference(
            subject,
            measured,
            flats,
            &strays,
            level.difference_texels,
        )?),
        _ => None,
    };
    let (glb, grid_mm) = write(subject, meshes, drawn.as_ref())?;
    let facts = ModelFacts {
        triangles: count(meshes),
        scan_triangles: subject.scan_triangles(),
        texel_mm,
        finest_mm: subject.limit_mm(),
        ..together(&strays, grid_mm).ok_or_else(|| subject.refused("it has no parts"))?
    };
    Ok(Made {
        facts,
        glb,
        difference,
    })
}

/// The sheet of measured differences, as a PNG file.
fn difference(
    subject: &Subject<'_>,
    measured: &MeasuredBody<'_>,
    flats: &[Unwrapped],
    strays: &[Measured],
    texels: u32,
) -> Result<Vec<u8>, SiteError> {
    let parts: Vec<Spread<'_>> = flats
        .iter()
        .zip(&subject.parts)
        .zip(strays)
        .map(|((flat, (part, _)), strays)| Spread {
            flat,
            mesh: &part.mesh,
            tree: &part.tree,
            field: measured.fields.get(&part.id).copied(),
            reach_mm: reach_mm(strays),
        })
        .collect();
    let sheet = spread(&parts, &measured.scale, texels)
        .ok_or_else(|| subject.refused("its distances were measured on another surface"))?;
    grey_png(&sheet).map_err(|e| subject.refused(e))
}

fn reach_mm(strays: &Measured) -> f64 {
    (strays.whole.max_mm * MARGIN).max(f64::MIN_POSITIVE)
}

/// What stands in a model as it is stored for words of the record: the same model under another number need not be
/// drawn again.
pub(super) struct Blanks;

impl Blanks {
    // No part has such a name.
    pub(super) const OBJECT: &str = "{object}";
    pub(super) const NUMBER: &str = "{number}";
    pub(super) const COPYRIGHT: &str = "{copyright}";
}

/// The file, with [`Blanks`], and what its grid costs, millimetres. Without pictures, where the surface could not be
/// laid flat.
fn write(
    subject: &Subject<'_>,
    meshes: &[Mesh],
    drawn: Option<&(Vec<Unwrapped>, Sheets)>,
) -> Result<(Vec<u8>, f64), SiteError> {
    let names = subject.parts.iter().map(|(part, _)| part.id.as_str());
    let parts: Vec<NamedMesh<'_>> = match drawn {
        None => names
            .zip(meshes)
            .map(|(name, mesh)| NamedMesh::new(name, mesh))
            .collect(),
        Some((flats, _)) => names
            .zip(flats)
            .map(|(name, flat)| on_sheet(name, flat))
            .collect(),
    };
    let files = drawn
        .map(|(_, sheets)| encoded(sheets).map_err(|e| subject.refused(e)))
        .transpose()?;
    let pictures = files.as_ref().map(|(slopes, shade, colour)| Pictures {
        slopes,
        shade,
        colour: colour.as_deref(),
    });
    let relief = drawn.map(|(_, sheets)| {
        serde_json::json!({ "samples": sheets.samples, "nearest_place_taken": sheets.missed })
    });
    let extras = serde_json::json!({
        "counterpart": { "object": Blanks::OBJECT, "number": Blanks::NUMBER,
                         "body": subject.kind.word(), "unit": "metre", "frame": "+Y up",
                         "relief": relief }
    });
    let facts = GlbFacts {
        copyright: Some(Blanks::COPYRIGHT.to_owned()),
        extras,
    };
    let written =
        glb_display(&parts, pictures.as_ref(), &facts).map_err(|e| subject.refused(e.what))?;
    Ok((written.bytes, written.quantisation_mm))
}

fn on_sheet<'a>(name: &'a str, flat: &'a Unwrapped) -> NamedMesh<'a> {
    NamedMesh {
        name,
        mesh: &flat.mesh,
        normals: Some(&flat.normals),
        sheet: Some(OnSheet {
            places: &flat.places,
            tangents: &flat.tangents,
        }),
    }
}

/// Slopes, shade, colour.
type Files = (Vec<u8>, Vec<u8>, Option<Vec<u8>>);

fn encoded(sheets: &Sheets) -> Result<Files, PictureError> {
    let colour = sheets.colour.as_ref().map(|c| jpeg(c, COLOUR));
    Ok((
        jpeg(&sheets.slopes, SLOPES)?,
        jpeg(&sheets.shade, SHADE)?,
        colour.transpose()?,
    ))
}

/// The parts taken together: the largest maximum and percentile (for the percentile an upper
/// bound), the mean square weighted by the samples. `None` without parts.
fn together(strays: &[Measured], grid_mm: f64) -> Option<ModelFacts> {
    let largest =
        |of: &dyn Fn(&Measured) -> Option<f64>| strays.iter().filter_map(of).reduce(f64::max);
    #[expect(clippy::cast_precision_loss, reason = "counts far below 2^52")]
    let (squares, samples) = strays.iter().fold((0.0, 0.0), |(s, n), m| {
        let count = m.whole.samples as f64;
        (s + m.whole.rms_mm.powi(2) * count, n + count)
    });
    Some(ModelFacts {
        max_mm: largest(&|m| Some(m.whole.max_mm))? + grid_mm,
        inside_max_mm: largest(&|m| Some(m.inside?.max_mm)).map(|max| max + grid_mm),
        rms_mm: (squares / f64::max(samples, 1.0)).sqrt().hypot(grid_mm),
        p95_mm: largest(&|m| Some(m.whole.p95_mm))? + grid_mm,
        ..ModelFacts::default()
    })
}
