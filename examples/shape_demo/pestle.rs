//! The pestle: a turned baluster with two working ends, and how it leans in the well.

use crate::Body;
use crate::maths::{TURN, cos, hypot, noise, outward, rough, sin, smoothstep};
use crate::mortar::Mortar;
use crate::profile::{Pen, Station};
use crate::turning::{Nature, Net, Spot};
use glam::{DMat3, DVec2, DVec3};

const COLUMNS: usize = 640;
/// Azimuth towards which the shaft leans, degrees.
const LEAN_TOWARDS_DEG: f64 = 62.0;
/// Where the axis meets the end of the bulb, against the lean, millimetres from the mortar's axis.
const END_FROM_AXIS: f64 = -20.0;
/// Room left where pestle and mortar touch, so that neither scan cuts into the other.
const CLEARANCE: f64 = 0.14;
/// Length along the pestle up to which the work has rubbed it bright.
const WORN_LENGTH: f64 = 25.0;

/// Where the pestle lies in the frame of the mortar.
#[derive(Clone, Copy)]
pub(crate) struct Pose {
    turn: DMat3,
    foot: DVec3,
}

impl Pose {
    fn leaning(tilt: f64, low: f64) -> Self {
        let away = outward(LEAN_TOWARDS_DEG.to_radians());
        let axis = away * sin(tilt) + DVec3::Y * cos(tilt);
        let side = away * cos(tilt) - DVec3::Y * sin(tilt);
        Self {
            turn: DMat3::from_cols(side, axis, side.cross(axis)),
            foot: away * END_FROM_AXIS + DVec3::Y * low,
        }
    }

    pub(crate) fn place(&self, p: DVec3) -> DVec3 {
        self.turn * p + self.foot
    }

    pub(crate) fn direction(&self, v: DVec3) -> DVec3 {
        self.turn * v
    }

    /// Distance along the pestle's axis and from it.
    fn section_of(&self, p: DVec3) -> DVec2 {
        let local = self.turn.transpose() * (p - self.foot);
        DVec2::new(hypot(local.x, local.z), local.y)
    }
}

pub(crate) struct Pestle {
    body: Body,
    pub(crate) stations: Vec<Station>,
}

fn section() -> Pen {
    Pen::at(0.3, 0.0)
        .sweep([14.0, -0.2], 16.6, 13.0)
        .sweep([18.4, 23.0], 13.2, 33.0)
        .sweep([8.8, 42.0], 8.2, 50.0)
        .line(9.9, 50.4)
        .line(9.9, 51.8)
        .arc(9.9, 56.0, 0.5)
        .line(9.9, 57.4)
        .line(8.3, 58.0)
        .sweep([12.4, 82.0], 7.6, 108.0)
        .line(9.2, 108.6)
        .arc(9.2, 112.4, 0.5)
        .line(8.4, 112.9)
        .line(8.4, 114.0)
        .arc(8.4, 116.8, 0.5)
        .line(7.6, 117.4)
        .sweep([6.6, 128.0], 7.8, 138.0)
        .line(9.4, 138.6)
        .line(9.4, 139.8)
        .arc(9.4, 143.4, 0.5)
        .line(8.4, 144.2)
        .sweep([12.6, 147.0], 12.8, 158.0)
        .sweep([12.8, 170.4], 5.2, 170.6)
        .sweep([4.6, 172.6], 0.3, 172.8)
}

impl Pestle {
    pub(crate) fn new(body: Body) -> Self {
        Self {
            body,
            stations: section().turned(0.3, |_| 0.3),
        }
    }

    /// Lowers and tilts the pestle until it rests on the well and against the rim.
    pub(crate) fn pose(&self, mortar: &Mortar, net: &Net) -> Pose {
        let points: Vec<DVec3> = net.well(mortar, 3);
        let (deep, high): (Vec<DVec3>, Vec<DVec3>) = points.into_iter().partition(|p| p.y < 85.0);
        let near = |p: &DVec3| p.dot(outward(LEAN_TOWARDS_DEG.to_radians())) > 45.0;
        let high: Vec<DVec3> = high.into_iter().filter(near).collect();
        let rest = |tilt: f64| {
            let lowest = bisect(5.0, 80.0, |low| self.room(&deep, Pose::leaning(tilt, low)));
            Pose::leaning(tilt, lowest)
        };
        let upright = bisect(0.8, 0.1, |tilt| self.room(&high, rest(tilt)));
        rest(upright)
    }

    /// The least distance from the pestle to any of the points, less the clearance.
    fn room(&self, points: &[DVec3], pose: Pose) -> f64 {
        let to_point = |p: &DVec3| {
            let s = pose.section_of(*p);
            let after = self.stations.partition_point(|q| q.point.y < s.y);
            let q = &self.stations[after.min(self.stations.len() - 1)];
            if s.y > 8.0 {
                return (s.x - q.point.x) * q.normal.x.max(0.2);
            }
            // Round the end the nearest place is not beside the point.
            let end = self.stations.iter().take_while(|q| q.along < 24.0);
            let nearest = end.min_by(|a, b| {
                let d = |t: &Station| t.point.distance_squared(s);
                d(a).total_cmp(&d(b))
            });
            nearest.map_or(f64::INFINITY, |q| (s - q.point).dot(q.normal))
        };
        points.iter().map(to_point).fold(f64::INFINITY, f64::min) - CLEARANCE
    }

    pub(crate) fn net(&self, pose: Pose) -> Net {
        Net::turn(self.stations.len(), COLUMNS, |row, azimuth| {
            self.spot(&self.stations[row], azimuth, pose)
        })
    }

    pub(crate) fn spot(&self, station: &Station, azimuth: f64, pose: Pose) -> Spot {
        let p = outward(azimuth) * station.point.x + DVec3::Y * station.point.y;
        let turned = 0.012 * noise(DVec3::new(azimuth, station.along * 2.2, 0.0), 101);
        let grain = 0.02 * rough(p * 0.4, 2, 102) + 0.015 * noise(p * 2.1, 103);
        let lift = match self.body {
            Body::Original => grain + turned,
            Body::Replica => 0.5 * grain + 0.05,
        };
        let section = station.point + station.normal * lift;
        let local = outward(azimuth) * section.x + DVec3::Y * section.y;
        Spot {
            point: pose.place(local),
            nature: self.nature(p),
        }
    }

    fn nature(&self, p: DVec3) -> Nature {
        let ragged = 3.0 * rough(p * 0.12, 3, 104);
        let working = smoothstep(WORN_LENGTH + 3.0, WORN_LENGTH - 3.0, p.y + ragged);
        let other = 0.55 * smoothstep(160.0, 168.0, p.y + ragged);
        let grip = 0.45 * smoothstep(64.0, 76.0, p.y) * smoothstep(106.0, 92.0, p.y + ragged);
        Nature {
            rubbed: (working * 1.15).max(other).max(grip),
            sheltered: 0.0,
            ..Nature::default()
        }
    }

    /// Azimuth round the pestle that faces a direction.
    pub(crate) fn facing(&self, pose: Pose, towards: DVec3) -> f64 {
        let turns = (0..720).map(|i| f64::from(i) / 720.0 * TURN);
        let toward = |a: f64| pose.direction(outward(a)).dot(towards);
        turns
            .max_by(|a, b| toward(*a).total_cmp(&toward(*b)))
            .unwrap_or(0.0)
    }
}

/// Where `room` passes zero between a place without room and one with it.
fn bisect(mut without: f64, mut with: f64, room: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..22 {
        let middle = (without + with) * 0.5;
        if room(middle) > 0.0 {
            with = middle;
        } else {
            without = middle;
        }
    }
    with
}
