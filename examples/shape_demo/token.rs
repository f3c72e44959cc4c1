//! The pilgrim token: a thin oval of lead, cast in a mould cut on one side only.

use crate::heron;
use crate::lettering;
use crate::maths::{
    TURN, atan2, bell, cos, half_round, noise, outward, rough, sin, smoothstep, wrap,
};
use crate::profile::{Pen, Station};
use crate::relief::Relief;
use crate::turning::{Nature, Net, Spot};
use glam::{DVec2, DVec3};

const COLUMNS: usize = 1440;
/// Half the width over half the height.
const NARROW: f64 = 0.92;
/// Half the height; the token stands on its lower edge.
const HALF_HEIGHT: f64 = 17.0;
const BEADS: f64 = 60.0;
const BEAD_RING: f64 = 15.3;
const LINES: [f64; 2] = [14.2, 10.3];
const BASE_LINE: f64 = 10.95;
const CAP: f64 = 2.8;
/// Clockwise from the top, in turns: where the lettering starts and where its wear is worst.
const LETTERING_FROM: f64 = -0.17;
const WORN_AT: f64 = 0.635;
/// Three letters could have stood in the worn place; nobody knows which.
const LETTERING: &str = "✠ SIGN\u{305} · S\u{305} · T";
/// The part of the ring that the readable lettering takes, in turns.
const READABLE: f64 = 0.66;
/// The direction of the bent edge and how far from the middle the bend begins.
const BEND_TOWARDS: DVec2 = DVec2::new(0.882, -0.471);
const BEND_FROM: f64 = 10.8;
const BEND_PER_MM: f64 = 0.3;
/// Where the pin sat.
pub(crate) const PIN: DVec2 = DVec2::new(0.4, 3.2);

pub(crate) struct Token {
    stations: Vec<Station>,
    front_from: f64,
    heron: Relief,
    letters: Relief,
    lettering_width: f64,
}

impl Token {
    pub(crate) fn new() -> Self {
        let stations = Pen::at(0.05, -1.0)
            .line(15.6, -1.0)
            .sweep([16.9, -0.9], 17.0, 0.0)
            .sweep([17.0, 0.85], 16.0, 0.9)
            .line(0.05, 0.9)
            .turned(0.12, |_| 0.08);
        let front = stations.iter().find(|s| s.point.y > 0.0);
        let natural = lettering::set(LETTERING, CAP, 0.0);
        let length = READABLE * TURN * (BASE_LINE + CAP * 0.5);
        let signs = LETTERING.chars().filter(|c| *c != '\u{305}').count() as f64;
        let line = lettering::set(LETTERING, CAP, (length - natural.width) / signs);
        Self {
            front_from: front.map_or(0.0, |s| s.along),
            heron: heron::heron(0.08),
            letters: lettering::raised(&line, 0.62, 0.24, CAP, 0.04).softened(0.05),
            lettering_width: line.width,
            stations,
        }
    }

    pub(crate) fn net(&self) -> Net {
        Net::turn(self.stations.len(), COLUMNS, |row, azimuth| {
            self.spot(&self.stations[row], azimuth)
        })
    }

    /// The spot of the front (or back) at a place of the token's plane, middle at the origin.
    pub(crate) fn at(&self, place: DVec2, front: bool) -> Spot {
        let round = DVec2::new(place.x / NARROW, place.y);
        let side = |s: &&Station| (s.along > self.front_from) == front;
        let nearest = self.stations.iter().filter(side).min_by(|a, b| {
            let off = |s: &Station| (s.point.x - round.length()).abs();
            off(a).total_cmp(&off(b))
        });
        let station = nearest.expect("the token has two sides");
        self.spot(station, atan2(round.x, -round.y))
    }

    fn spot(&self, station: &Station, azimuth: f64) -> Spot {
        let r = station.point.x;
        let p = DVec2::new(sin(azimuth) * r, -cos(azimuth) * r);
        let front = station.along > self.front_from;
        let clockwise = atan2(p.x, p.y);
        let worn = self.worn(p, clockwise);
        let mut nature = Nature {
            bare: worn,
            ..Nature::default()
        };
        let full = smoothstep(16.6, 15.4, r);
        let lift = if front {
            self.relief(p, r, clockwise) * (1.0 - 0.93 * worn) - 0.12 * worn
        } else {
            back(p, &mut nature) * full
        };
        let crust = 0.10 * smoothstep(0.15, 0.6, rough(p.extend(1.0) * 0.35, 4, 201));
        // Turned against the axes, so that the noise shows no grain of its own.
        let askew = DVec3::new(
            p.x * 0.8 - p.y * 0.6,
            p.x * 0.6 + p.y * 0.8,
            station.point.y,
        );
        let eaten =
            0.6 * noise(p.extend(station.point.y) * 1.1, 202) + 0.4 * noise(askew * 2.3, 209);
        let pits = 0.18 * smoothstep(0.42, 0.7, eaten);
        let scan = 0.012 * noise(p.extend(station.point.y) * 5.0, 203);
        nature.sheltered = (crust * 10.0).min(1.0);
        let section = station.point + station.normal * (lift + crust - pits + scan);
        let nicked = 1.0 + 0.010 * rough(outward(azimuth) * 4.0, 3, 204);
        let flat = DVec2::new(sin(azimuth) * NARROW, -cos(azimuth)) * section.x * nicked;
        let warped = 0.35 * sin(clockwise * 2.0 + 0.8) * (r / 17.0) * (r / 17.0);
        Spot {
            point: bent(flat, section.y + warped) + DVec3::Y * HALF_HEIGHT,
            nature,
        }
    }

    fn worn(&self, p: DVec2, clockwise: f64) -> f64 {
        let off = wrap(clockwise - WORN_AT * TURN) / TURN;
        let ragged = 0.03 * noise(p.extend(0.0) * 0.5, 205);
        let outer = smoothstep(8.8, 11.2, p.length());
        let general = 0.25 * smoothstep(0.0, 0.7, noise(p.extend(3.0) * 0.16, 206));
        (smoothstep(0.135, 0.085, off.abs() + ragged) * outer).max(general)
    }

    fn relief(&self, p: DVec2, r: f64, clockwise: f64) -> f64 {
        let bead = (clockwise / TURN * BEADS).fract();
        let bead = (bead + 1.0).fract() - 0.5;
        let across = DVec2::new(bead * TURN * BEAD_RING / BEADS, r - BEAD_RING).length();
        let mut lift = 0.5 * half_round(across / 0.68);
        for line in LINES {
            lift = lift.max(0.36 * half_round((r - line) / 0.3));
        }
        if (LINES[1]..LINES[0]).contains(&r) {
            let turn = (clockwise / TURN - LETTERING_FROM).rem_euclid(1.0);
            let u = turn / READABLE * self.lettering_width;
            lift = lift.max(self.letters.at(DVec2::new(u, r - BASE_LINE)));
        }
        lift + self.heron.at(p * 1.02)
    }
}

/// The plain back with the stub of the pin and the mark of the mould's flat half.
fn back(p: DVec2, nature: &mut Nature) -> f64 {
    let d = (p - PIN) * DVec2::new(1.0, 0.82);
    let q = d.length() / 1.7;
    let broken = 0.35 * rough(p.extend(0.0) * 1.3, 2, 207);
    let stub = (1.9 + broken) * smoothstep(1.15, 0.72, q);
    nature.rubbed = 0.55 * smoothstep(0.8, 0.55, q);
    let collar = 0.35 * bell(q, 1.7);
    let chisel = 0.06
        * sin((p.x * 0.8 + p.y * 0.6) * 3.1)
        * smoothstep(0.0, 0.4, noise(p.extend(9.0) * 0.2, 208));
    let dished = -0.25 * bell(p.length(), 9.0);
    stub + collar + chisel + dished
}

/// Folds the edge forward beyond the bend.
fn bent(p: DVec2, z: f64) -> DVec3 {
    let along = p.dot(BEND_TOWARDS);
    let past = along - BEND_FROM;
    if past <= 0.0 {
        return p.extend(z);
    }
    let angle = past * BEND_PER_MM;
    let reach = sin(angle) / BEND_PER_MM - z * sin(angle);
    let rise = (1.0 - cos(angle)) / BEND_PER_MM + z * cos(angle);
    (p + BEND_TOWARDS * (reach - past)).extend(rise)
}

/// A place in the middle of the bent edge.
pub(crate) fn bent_edge() -> DVec2 {
    BEND_TOWARDS * 14.6
}

/// A place on the letter before the worn ones.
pub(crate) fn lettering_place(turns_from_start: f64) -> DVec2 {
    let clockwise = (LETTERING_FROM + turns_from_start) * TURN;
    let r = BASE_LINE + CAP * 0.5;
    DVec2::new(sin(clockwise) * r * NARROW, cos(clockwise) * r)
}
