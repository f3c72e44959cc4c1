//! Shapes the demonstration's objects and writes them into `content/`.
//!
//! `cargo run --release --example shape_demo` writes the models; with `-- --check` it only says
//! whether the files there are those it would write; with `-- --anchors FILE` it also lists where
//! each detail lies. All scatter comes from fixed seeds and the mathematics from `libm`, so the
//! same program makes the same bytes. The objects are invented.

mod anchors;
mod feet;
mod hare;
mod heron;
mod lettering;
mod mask;
mod maths;
mod mending;
mod mends;
mod mortar;
mod patina;
mod pestle;
mod pictures;
mod profile;
mod relief;
mod stroke;
mod token;
mod turning;

use anchors::Anchor;
use counterpart::mesh::{GlbFacts, Mesh, NamedMesh, glb_plain, is_closed};
use glam::DVec3;
use maths::noise;
use mortar::Mortar;
use patina::Finish;
use pestle::Pestle;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use token::Token;
use turning::Net;

/// Triangles of the meshes.
const MORTAR_TRIANGLES: usize = 166_000;
const PESTLE_TRIANGLES: usize = 34_000;
const TOKEN_TRIANGLES: usize = 60_000;

const CREDIT: &str = "Invented for demonstration; Brackwater Museum is not a real museum";

/// Which of the two bodies is shaped.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Body {
    Original,
    Replica,
}

impl Body {
    pub(crate) fn pick<T>(self, original: T, replica: T) -> T {
        match self {
            Self::Original => original,
            Self::Replica => replica,
        }
    }
}

/// A file and what belongs in it.
struct Output {
    path: PathBuf,
    bytes: Vec<u8>,
}

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let (check, list) = match arguments.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        [] => (false, None),
        ["--check"] => (true, None),
        ["--anchors", file] => (false, Some(PathBuf::from(file))),
        _ => {
            eprintln!("usage: shape_demo [--check | --anchors FILE]");
            return ExitCode::from(2);
        }
    };
    let shaped = shape(&Path::new(env!("CARGO_MANIFEST_DIR")).join("content"));
    let done = shaped.and_then(|(outputs, anchors)| {
        if check {
            compare(&outputs)
        } else {
            write(&outputs, list.as_deref(), &anchors)
        }
    });
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("{message}");
            ExitCode::FAILURE
        }
    }
}

fn shape(content: &Path) -> Result<(Vec<Output>, Vec<Anchor>), String> {
    let object = content.join("brackwater-mortar");
    let models = object.join("models");
    let mut bodies = Vec::new();
    let mut outputs = Vec::new();
    let mut anchors = Vec::new();
    let mut pose = None;
    for body in [Body::Original, Body::Replica] {
        let mortar = Mortar::new(body);
        let pestle = Pestle::new(body);
        let net = mortar.net();
        // Both bodies hold the pestle in the same place, as the copy was made from one scan.
        let pose = *pose.get_or_insert_with(|| pestle.pose(&mortar, &net));
        let name = body.pick("original", "replica");
        let finish = body.pick(Finish::BellMetal, Finish::Lacquer);
        let gaps = body.pick(gaps(&mortar), Vec::new());
        let colours = patina::paint(finish, &net);
        let mesh = net.mesh(&colours, MORTAR_TRIANGLES, |p| in_gap(&gaps, p));
        outputs.push(output(
            models.join(format!("{name}-mortar.glb")),
            "mortar",
            &mesh,
        )?);
        let pestle_net: Net = pestle.net(pose);
        let colours = patina::paint(finish, &pestle_net);
        let pestle_mesh = pestle_net.mesh(&colours, PESTLE_TRIANGLES, |_| false);
        let path = models.join(format!("{name}-pestle.glb"));
        outputs.push(output(path, "pestle", &pestle_mesh)?);
        bodies.push([mesh, pestle_mesh]);
        anchors.extend(match body {
            Body::Original => anchors::of_original(&mortar, &pestle, pose),
            Body::Replica => anchors::of_replica(&mortar),
        });
    }
    let token = Token::new();
    let net = token.net();
    let mesh = net.mesh(&patina::paint(Finish::Lead, &net), TOKEN_TRIANGLES, |_| {
        false
    });
    let path = content.join("pilgrim-token/models/original-token.glb");
    outputs.push(output(path, "token", &mesh)?);
    anchors.extend(anchors::of_token(&token));
    outputs.extend(pictures::all(&object, &bodies)?);
    Ok((outputs, anchors))
}

/// Places that the scanner did not see, each with the radius of the hole left there.
fn gaps(mortar: &Mortar) -> Vec<(DVec3, f64)> {
    let wall = |y: f64, azimuth_deg: f64| {
        let station = mortar.wall(y);
        mortar.spot(station, azimuth_deg.to_radians()).point
    };
    let well = mortar
        .stations
        .iter()
        .find(|s| s.along > mortar.marks.rim && s.point.y < 31.0);
    let beside = well.map(|s| mortar.spot(s, 258f64.to_radians()).point);
    let mut gaps = vec![(wall(36.4, 262.0), 2.6), (wall(79.6, 108.0), 2.0)];
    gaps.extend(beside.map(|p| (p, 3.4)));
    gaps
}

fn in_gap(gaps: &[(DVec3, f64)], p: DVec3) -> bool {
    gaps.iter().any(|(centre, radius)| {
        let d = p.distance(*centre);
        d < radius * 2.0 && d + 1.3 * noise(p * 0.9, 301) + 0.5 * noise(p * 2.4, 302) < *radius
    })
}

fn output(path: PathBuf, part: &str, mesh: &Mesh) -> Result<Output, String> {
    let facts = GlbFacts {
        copyright: Some(CREDIT.to_owned()),
        ..GlbFacts::default()
    };
    let bytes = glb_plain(&[NamedMesh::new(part, mesh)], &facts).map_err(|e| e.to_string())?;
    let state = if is_closed(mesh) { "closed" } else { "open" };
    println!(
        "{}: {} triangles, {state}, {} KB",
        path.file_name().unwrap_or_default().display(),
        mesh.triangles().len(),
        bytes.len() / 1000
    );
    Ok(Output { path, bytes })
}

fn write(outputs: &[Output], list: Option<&Path>, anchors: &[Anchor]) -> Result<(), String> {
    for output in outputs {
        let folder = output.path.parent().unwrap_or(Path::new("."));
        std::fs::create_dir_all(folder)
            .and_then(|()| std::fs::write(&output.path, &output.bytes))
            .map_err(|e| format!("{}: cannot be written: {e}", output.path.display()))?;
    }
    if let Some(file) = list {
        let text = format!("{:#}\n", anchors::listed(anchors));
        std::fs::write(file, text)
            .map_err(|e| format!("{}: cannot be written: {e}", file.display()))?;
    }
    Ok(())
}

fn compare(outputs: &[Output]) -> Result<(), String> {
    let mut differing = Vec::new();
    for output in outputs {
        match std::fs::read(&output.path) {
            Ok(bytes) if bytes == output.bytes => {}
            Ok(_) => differing.push(format!(
                "{}: is not what this program makes; run it without --check to write it again",
                output.path.display()
            )),
            Err(e) => differing.push(format!("{}: cannot be read: {e}", output.path.display())),
        }
    }
    if differing.is_empty() {
        return Ok(());
    }
    Err(differing.join("\n"))
}
