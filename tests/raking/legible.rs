//! Whether worn lettering is read more easily in raking light: contrast on the demonstration's
//! inscription, of which the truth is known from the program that shaped it.

use crate::lettering::{Line, raised, set};
use crate::maths::TURN;
use counterpart::limits::Limits;
use counterpart::mesh::{Mesh, read};
use counterpart::picture::{Camera, Finish, RakedDetail, RakedPictures, Scene};
use counterpart::record::{LengthUnit, UpAxis};
use counterpart::space::Tree;
use glam::{DVec2, DVec3};
use image::RgbaImage;
use std::path::Path;

// Where the band lies on the mortar, as `examples/shape_demo/mortar.rs` has it.
const LETTERING: &str = "✠ TOMAS · FVSOR · ME · FECIT · ANNO · DNI\u{305} · 1647 ·";
const CAP_MM: f64 = 10.4;
const BAND_R_MM: f64 = 60.0;
const BASE_LINE_Y_MM: f64 = 88.6;
const FROM_TURNS: f64 = -0.022;
const HEIGHT_MM: f64 = 1.2;
/// Signs before the worn N of ANNO: those of the middle of its wear.
const WORN_SIGN: usize = 24;

/// Width of the parts into which the band is cut, millimetres: about one letter.
const PART_MM: f64 = 8.0;

struct Band {
    mesh: Mesh,
    tree: Tree,
    scene: Scene,
    line: Line,
    letters: crate::relief::Relief,
}

/// A place of the picture on the band: along and above the base line, and how it lies.
#[derive(Clone, Copy)]
struct Place {
    pixel: usize,
    along_mm: f64,
    stroke: bool,
    /// Distance of the surface from the axis.
    out_mm: f64,
}

impl Band {
    fn of(body: &str) -> Self {
        let file = format!("content/brackwater-mortar/models/{body}-mortar.glb");
        let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(file);
        let mesh = read(&file, LengthUnit::Metre, UpAxis::Y, &Limits::default()).unwrap();
        let natural = set(LETTERING, CAP_MM, 0.0);
        let gaps = LETTERING.chars().filter(|c| *c != '\u{305}').count();
        let tracking = (TURN * BAND_R_MM - natural.width) / f64::from(gaps as u32);
        let line = set(LETTERING, CAP_MM, tracking);
        Self {
            tree: Tree::build(&mesh),
            scene: Scene::new(vec![(mesh.clone(), Finish::default())]).unwrap(),
            mesh,
            letters: raised(&line, HEIGHT_MM, 0.8, CAP_MM, 0.1),
            line,
        }
    }

    /// A camera on the band as the site has it, its middle this far along the line.
    fn camera(&self, along_mm: f64, azimuth_off_deg: f64) -> Camera {
        let turn = (along_mm / self.line.width + FROM_TURNS) * TURN;
        let middle = DVec3::new(turn.sin() * 59.3, 93.9, turn.cos() * 59.3);
        Camera::at(
            middle,
            turn.to_degrees() + azimuth_off_deg,
            5.0,
            13.0 / 0.6,
            [640, 512],
        )
    }

    /// Strokes and ground of the band as the camera sees them; slopes between are left out.
    fn places(&self, camera: &Camera) -> Vec<Place> {
        let (azimuth, elevation) = (
            camera.azimuth_deg.to_radians(),
            camera.elevation_deg.to_radians(),
        );
        let eye = DVec3::new(
            azimuth.sin() * elevation.cos(),
            elevation.sin(),
            azimuth.cos() * elevation.cos(),
        );
        let right = DVec3::new(azimuth.cos(), 0.0, -azimuth.sin());
        let up = eye.cross(right);
        let pixel_mm = 2.0 * camera.half_height_mm / f64::from(camera.size_px[1]);
        let mut places = Vec::new();
        for y in 0..camera.size_px[1] {
            for x in 0..camera.size_px[0] {
                let [u, v] = [(x, 640), (y, 512)]
                    .map(|(n, all)| (f64::from(n) + 0.5 - f64::from(all) / 2.0) * pixel_mm);
                let from = camera.centre_mm + right * u - up * v + eye * 200.0;
                let Some(hit) = self.tree.ray(from, -eye) else {
                    continue;
                };
                let corners = self.mesh.corners(hit.face);
                let p: DVec3 = (0..3).map(|k| corners[k] * hit.barycentric[k]).sum();
                if !(BASE_LINE_Y_MM - 0.8..BASE_LINE_Y_MM + CAP_MM + 0.8).contains(&p.y) {
                    continue;
                }
                let turns = (p.x.atan2(p.z) / TURN - FROM_TURNS).rem_euclid(1.0);
                let at = DVec2::new(turns * self.line.width, p.y - BASE_LINE_Y_MM);
                let height = self.letters.at(at);
                let stroke = height > 0.7 * HEIGHT_MM;
                if stroke || height == 0.0 {
                    places.push(Place {
                        pixel: (y * 640 + x) as usize,
                        along_mm: at.x,
                        stroke,
                        out_mm: p.x.hypot(p.z),
                    });
                }
            }
        }
        places
    }

    fn pictures(&self, camera: &Camera) -> (f64, RakedPictures) {
        let detail = RakedDetail::seen(&self.scene, camera, 13.0);
        let height_deg = detail.lowest_deg();
        (height_deg, detail.pictures(height_deg))
    }
}

/// Relative luminance of every pixel (WCAG 2.2, after IEC 61966-2-1 and ITU-R BT.709).
fn luminance(picture: &RgbaImage) -> Vec<f64> {
    let linear = |v: u8| {
        let c = f64::from(v) / 255.0;
        if c <= 0.04045 {
            c / 12.92
        } else {
            ((c + 0.055) / 1.055).powf(2.4)
        }
    };
    let weigh = |p: &image::Rgba<u8>| {
        0.2126 * linear(p.0[0]) + 0.7152 * linear(p.0[1]) + 0.0722 * linear(p.0[2])
    };
    picture.pixels().map(weigh).collect()
}

/// Contrast of strokes and ground (Michelson, Studies in Optics, 1927): of their mean luminances.
fn michelson(light: &[f64], places: &[Place]) -> f64 {
    let mean = |stroke: bool| {
        let all: Vec<f64> = places
            .iter()
            .filter(|p| p.stroke == stroke)
            .map(|p| light[p.pixel])
            .collect();
        all.iter().sum::<f64>() / all.len() as f64
    };
    let (stroke, ground) = (mean(true), mean(false));
    ((stroke - ground) / (stroke + ground)).abs()
}

/// Root mean square contrast (Peli, "Contrast in complex images", Journal of the Optical Society of
/// America A 7, 1990): the deviation of the luminances, over their mean.
fn rms(light: &[f64], places: &[Place]) -> f64 {
    let all: Vec<f64> = places.iter().map(|p| light[p.pixel]).collect();
    let mean = all.iter().sum::<f64>() / all.len() as f64;
    let square = all.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (all.len() - 1) as f64;
    square.sqrt() / mean
}

/// The band cut into parts that have strokes and ground.
fn parts(places: &[Place]) -> Vec<Vec<Place>> {
    let number = |p: &Place| (p.along_mm / PART_MM) as usize;
    let mut numbers: Vec<usize> = places.iter().map(number).collect();
    numbers.sort_unstable();
    numbers.dedup();
    let cut = numbers
        .into_iter()
        .map(|n| places.iter().filter(|p| number(p) == n).copied().collect());
    cut.filter(|part: &Vec<Place>| {
        let strokes = part.iter().filter(|p| p.stroke).count();
        strokes > 300 && part.len() - strokes > 300
    })
    .collect()
}

/// How far strokes stand out of the ground, millimetres.
fn standing_out_mm(places: &[Place]) -> f64 {
    let mean = |stroke: bool| {
        let all: Vec<f64> = places
            .iter()
            .filter(|p| p.stroke == stroke)
            .map(|p| p.out_mm)
            .collect();
        all.iter().sum::<f64>() / all.len() as f64
    };
    mean(true) - mean(false)
}

/// What a measure says of one part of the band in every light.
struct Said {
    even: f64,
    /// Of the eight lamps: the middle and the best.
    median: f64,
    best: f64,
    combined: f64,
}

/// Luminances of all pictures.
struct Lights {
    sides: Vec<Vec<f64>>,
    combined: Vec<f64>,
    even: Vec<f64>,
}

impl Lights {
    fn of(pictures: &RakedPictures) -> Self {
        Self {
            sides: pictures.sides.iter().map(luminance).collect(),
            combined: luminance(&pictures.combined),
            even: luminance(&pictures.even),
        }
    }

    fn said(&self, part: &[Place], measure: fn(&[f64], &[Place]) -> f64) -> Said {
        let mut all: Vec<f64> = self.sides.iter().map(|s| measure(s, part)).collect();
        all.sort_by(f64::total_cmp);
        let said = Said {
            even: measure(&self.even, part),
            median: (all[3] + all[4]) / 2.0,
            best: all[7],
            combined: measure(&self.combined, part),
        };
        println!(
            "  at {:.0} mm: even {:.3}, raked {:.3}, at best {:.3}, combined {:.3}",
            part[0].along_mm, said.even, said.median, said.best, said.combined
        );
        said
    }
}

/// The lamp may stand no higher than this to be called grazing, degrees (common practice, no source).
const GRAZING_DEG: f64 = 25.0;

/// The picture of the detail's page: in every part of the band, the best lamp has five times the RMS
/// contrast of even light, the combined picture no less than the median lamp; and strokes part from
/// their ground ten times as clearly as in even light, more than under any single lamp.
#[test]
fn lettering_is_read_more_easily_than_in_even_light() {
    for body in ["original", "replica"] {
        let band = Band::of(body);
        let camera = band.camera(18.2, -2.0);
        let places = band.places(&camera);
        let parts = parts(&places);
        assert!(parts.len() >= 5, "{} parts", parts.len());
        // The drawing lies where the letters are.
        assert!(
            standing_out_mm(&places) > 0.7,
            "{}",
            standing_out_mm(&places)
        );
        let (height_deg, pictures) = band.pictures(&camera);
        assert!(height_deg < GRAZING_DEG);
        let lights = Lights::of(&pictures);
        for part in &parts {
            println!("{body}, RMS");
            let said = lights.said(part, rms);
            assert!(said.best > 5.0 * said.even);
            assert!(said.combined >= said.median);
            println!("{body}, Michelson");
            let said = lights.said(part, michelson);
            assert!(said.combined > 10.0 * said.even);
            assert!(said.combined > said.best && said.combined > 0.3);
        }
    }
}

/// Around the N of ANNO, which is worn away: letters that are half gone are read; what is gone
/// altogether is not put back.
#[test]
fn worn_letters_are_read_and_lost_ones_are_not_invented() {
    for body in ["original", "replica"] {
        let band = Band::of(body);
        let worn_mm = band.line.signs[WORN_SIGN].centre().x;
        let (mut half_gone, mut gone) = (0, 0);
        for along_mm in [worn_mm - 9.0, worn_mm, worn_mm + 9.0] {
            let camera = band.camera(along_mm, 0.0);
            let lights = Lights::of(&band.pictures(&camera).1);
            for part in parts(&band.places(&camera)) {
                let out_mm = standing_out_mm(&part);
                println!("{body}, {out_mm:.2} mm, RMS");
                let raked = lights.said(&part, rms);
                println!("{body}, {out_mm:.2} mm, Michelson");
                let said = lights.said(&part, michelson);
                if out_mm < 0.12 {
                    gone += 1;
                    assert!(said.combined < 0.2, "a letter that is gone comes back");
                    continue;
                }
                half_gone += usize::from(out_mm < 0.6);
                assert!(raked.best > 5.0 * raked.even);
                assert!(said.combined > 10.0 * said.even);
                assert!(said.combined >= said.median && said.combined >= said.best);
            }
        }
        assert!(
            half_gone > 0 && gone > 0,
            "{half_gone} half gone, {gone} gone"
        );
    }
}
