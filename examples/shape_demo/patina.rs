//! Colour from the shape: crevices keep verdigris and dirt, edges are rubbed bright.

use crate::maths::{mix, rough, smoothstep};
use crate::turning::{Bend, Nature, Net};
use glam::DVec3;
use rayon::prelude::*;

/// Colours as sRGB, 0 to 255.
type Rgb = DVec3;

const fn rgb(r: f64, g: f64, b: f64) -> Rgb {
    DVec3::new(r, g, b)
}

const BRONZE: Rgb = rgb(102.0, 77.0, 46.0);
const BROWN: Rgb = rgb(76.0, 55.0, 35.0);
const DARK: Rgb = rgb(44.0, 34.0, 24.0);
const SOOT: Rgb = rgb(24.0, 21.0, 17.0);
const VERDIGRIS: Rgb = rgb(80.0, 96.0, 72.0);
const OLIVE: Rgb = rgb(72.0, 72.0, 42.0);
const GOLD: Rgb = rgb(186.0, 148.0, 90.0);
const COPPER: Rgb = rgb(98.0, 54.0, 37.0);
const COPPER_BRIGHT: Rgb = rgb(150.0, 90.0, 62.0);
const LACQUER: Rgb = rgb(66.0, 51.0, 40.0);
const LACQUER_DEEP: Rgb = rgb(42.0, 33.0, 27.0);
const LACQUER_THIN: Rgb = rgb(120.0, 87.0, 58.0);
const LEAD: Rgb = rgb(104.0, 106.0, 108.0);
const LEAD_DARK: Rgb = rgb(58.0, 60.0, 63.0);
const LEAD_BRIGHT: Rgb = rgb(150.0, 152.0, 153.0);
const CRUST: Rgb = rgb(168.0, 162.0, 148.0);
const MUD: Rgb = rgb(112.0, 96.0, 74.0);
const BARE_METAL: Rgb = rgb(128.0, 124.0, 118.0);

/// What the surface is.
#[derive(Clone, Copy)]
pub(crate) enum Finish {
    BellMetal,
    Lacquer,
    Lead,
}

/// The colour of every point of a net.
pub(crate) fn paint(finish: Finish, net: &Net) -> Vec<[u8; 4]> {
    let bends = net.bends();
    net.spots
        .par_iter()
        .zip(&bends)
        .map(|(spot, bend)| {
            let colour = match finish {
                Finish::BellMetal => bell_metal(spot.point, *bend, spot.nature),
                Finish::Lacquer => lacquer(spot.point, *bend, spot.nature),
                Finish::Lead => lead(spot.point, *bend, spot.nature),
            };
            let byte = |c: f64| c.round().clamp(0.0, 255.0) as u8;
            [byte(colour.x), byte(colour.y), byte(colour.z), 255]
        })
        .collect()
}

fn bell_metal(p: DVec3, bend: Bend, nature: Nature) -> Rgb {
    let cloud = 0.5 + 0.6 * rough(p * 0.035, 3, 81);
    let speck = rough(p * 0.5, 3, 82);
    let mut colour = BROWN.lerp(BRONZE, (cloud + 0.35 * speck).clamp(0.0, 1.0));
    colour = colour.lerp(OLIVE, 0.45 * smoothstep(0.05, 0.5, rough(p * 0.06, 3, 83)));
    let hollow = (-bend.middle * 2.6 - bend.fine * 1.4 - bend.broad * 1.3).max(0.0);
    let ridge = (bend.middle * 2.0 + bend.fine * 1.6 + bend.broad * 0.9).max(0.0);
    let kept = hollow + 0.28 * nature.sheltered;
    colour = colour.lerp(DARK, smoothstep(0.08, 0.5, kept + 0.08 * speck));
    let damp = smoothstep(-0.05, 0.35, rough(p * 0.09, 3, 84) + 0.15 * speck);
    colour = colour.lerp(VERDIGRIS, 0.65 * damp * smoothstep(0.16, 0.5, hollow));
    colour = colour.lerp(SOOT, 0.85 * smoothstep(0.55, 1.15, kept));
    let copper =
        COPPER.lerp(COPPER_BRIGHT, 0.7 * smoothstep(0.3, 1.0, ridge)) * (1.0 + 0.3 * speck);
    let grime = smoothstep(-0.1, 0.5, rough(p * 0.16, 3, 86) + 0.3 * speck);
    let copper = copper.lerp(DARK, 0.5 * grime);
    let copper = copper.lerp(SOOT, smoothstep(0.2, 0.8, hollow));
    colour = colour.lerp(copper, nature.copper);
    let patchy = 0.75 + 0.5 * speck;
    let handled = 1.0 - 0.6 * nature.sheltered;
    // Hands and cloths reach some places more than others.
    let reached = 0.28 + 0.62 * smoothstep(-0.25, 0.4, rough(p * 0.045, 3, 85));
    let bright = smoothstep(0.14, 0.8, ridge) * reached * patchy * handled;
    let bright = bright.max(nature.rubbed * patchy * smoothstep(0.6, 0.1, hollow));
    let gold = GOLD.lerp(COPPER_BRIGHT, nature.copper);
    colour = colour.lerp(gold, bright.clamp(0.0, 0.95));
    colour * (1.0 + 0.07 * speck)
}

fn lacquer(p: DVec3, bend: Bend, nature: Nature) -> Rgb {
    let cloud = rough(p * 0.05, 2, 91);
    let hollow = (-bend.middle * 2.2 - bend.fine * 1.2 - bend.broad).max(0.0);
    let ridge = (bend.middle * 2.0 + bend.fine * 1.6 + bend.broad * 0.7).max(0.0);
    let mut colour = LACQUER * (1.0 + 0.05 * cloud);
    colour = colour.lerp(
        LACQUER_DEEP,
        smoothstep(0.08, 0.6, hollow + 0.3 * nature.sheltered),
    );
    // Lacquer draws back from edges and is thinnest there.
    colour = colour.lerp(LACQUER_THIN, 0.5 * smoothstep(0.25, 1.0, ridge));
    colour = colour.lerp(BARE_METAL, 0.55 * nature.bare);
    colour * mix(1.0, 1.03, rough(p * 0.8, 2, 92))
}

fn lead(p: DVec3, bend: Bend, nature: Nature) -> Rgb {
    let speck = rough(p * 1.1, 3, 95);
    let hollow = (-bend.middle * 1.8 - bend.fine * 2.2).max(0.0);
    let ridge = (bend.middle * 1.6 + bend.fine * 2.0).max(0.0);
    let mut colour = LEAD * (1.0 + 0.12 * speck);
    colour = colour.lerp(LEAD_DARK, smoothstep(0.05, 0.55, hollow));
    colour = colour.lerp(
        MUD,
        0.5 * smoothstep(0.2, 0.8, hollow) * smoothstep(-0.1, 0.4, speck),
    );
    colour = colour.lerp(CRUST, 0.7 * nature.sheltered);
    let bright = (0.8 * smoothstep(0.1, 0.6, ridge))
        .max(nature.rubbed)
        .max(0.25 * nature.bare);
    colour.lerp(LEAD_BRIGHT, bright)
}
