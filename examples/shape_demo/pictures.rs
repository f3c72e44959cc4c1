//! Pictures that stand in for photographs: of an invented thing there can be none.

use crate::Output;
use counterpart::mesh::Mesh;
use counterpart::picture::{Camera, Finish, KeyLight, Scene, still_lit};
use glam::DVec3;
use image::codecs::jpeg::JpegEncoder;
use image::{RgbImage, RgbaImage};
use std::path::Path;

const SIZE: [u32; 2] = [1200, 900];
const QUALITY: u8 = 86;
/// The table on which the things stand, sRGB.
const GROUND: [f32; 3] = [214.0, 205.0, 190.0];

/// All pictures of the mortar; `bodies` are original and replica, each mortar and pestle.
pub(crate) fn all(object: &Path, bodies: &[[Mesh; 2]]) -> Result<Vec<Output>, String> {
    let [original, replica] = bodies else {
        return Err("two bodies are wanted".to_owned());
    };
    let soft = KeyLight::default();
    let from = |centre: [f64; 3], azimuth, elevation, half_height| {
        Camera::at(
            DVec3::from_array(centre),
            azimuth,
            elevation,
            half_height,
            SIZE,
        )
    };
    let with_pestle = |body: &[Mesh; 2]| scene(body.iter());
    Ok(vec![
        picture(
            object.join("from-above.jpg"),
            &with_pestle(original)?,
            &from([4.0, 74.0, 0.0], 12.0, 64.0, 108.0),
            soft,
        )?,
        picture(
            object.join("details/lip-patch/patch-close.jpg"),
            &with_pestle(original)?,
            &from([-45.9, 124.0, 58.8], 322.0, 20.0, 24.0),
            KeyLight::raking(20.0),
        )?,
        picture(
            object.join("details/worn-foot/underside.jpg"),
            &scene(original.iter().take(1))?,
            &from([0.0, 30.0, 0.0], 330.0, -52.0, 78.0),
            soft,
        )?,
        side_by_side(object, original, replica, soft)?,
    ])
}

fn side_by_side(
    object: &Path,
    original: &[Mesh; 2],
    replica: &[Mesh; 2],
    light: KeyLight,
) -> Result<Output, String> {
    let apart = |mesh: &Mesh, x: f32| {
        let positions = mesh
            .positions()
            .iter()
            .map(|p| *p + glam::Vec3::X * x)
            .collect();
        let moved = Mesh::new(positions, mesh.triangles().to_vec());
        moved.and_then(|m| match mesh.colours() {
            Some(colours) => m.with_colours(colours.to_vec()),
            None => Ok(m),
        })
    };
    let mut both = Vec::new();
    for (body, x) in [(original, -105.0), (replica, 105.0)] {
        for mesh in body {
            both.push(apart(mesh, x).map_err(|e| e.to_string())?);
        }
    }
    let camera = Camera::at(DVec3::new(0.0, 78.0, 0.0), 0.0, 14.0, 150.0, SIZE);
    picture(
        object.join("making/06-lacquer/two-finishes.jpg"),
        &scene(both.iter())?,
        &camera,
        light,
    )
}

fn scene<'a>(meshes: impl Iterator<Item = &'a Mesh>) -> Result<Scene, String> {
    let parts = meshes
        .map(|mesh| (mesh.clone(), Finish::default()))
        .collect();
    Scene::new(parts).ok_or_else(|| "a picture has nothing in it".to_owned())
}

fn picture(
    path: std::path::PathBuf,
    scene: &Scene,
    camera: &Camera,
    light: KeyLight,
) -> Result<Output, String> {
    let still = on_table(&still_lit(scene, camera, light));
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, QUALITY)
        .encode_image(&still)
        .map_err(|e| format!("{}: {e}", path.display()))?;
    Ok(Output { path, bytes })
}

/// The still on the table, a little darker toward the bottom.
fn on_table(still: &RgbaImage) -> RgbImage {
    let height = still.height().max(1) as f32;
    let mut out = RgbImage::new(still.width(), still.height());
    for (x, y, pixel) in still.enumerate_pixels() {
        let alpha = f32::from(pixel.0[3]) / 255.0;
        let shade = 1.04 - 0.10 * y as f32 / height;
        let mixed = [0, 1, 2].map(|k| {
            let value = f32::from(pixel.0[k]) * alpha + GROUND[k] * shade * (1.0 - alpha);
            value.round().clamp(0.0, 255.0) as u8
        });
        out.put_pixel(x, y, image::Rgb(mixed));
    }
    out
}
