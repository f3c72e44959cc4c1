//! The mortar: turned profile, relief, handles, feet, and what befell it.

use crate::Body;
use crate::feet;
use crate::hare;
use crate::lettering;
use crate::mask;
use crate::maths::{TURN, bell, noise, outward, pow, rough, sin, smoothstep, wrap};
use crate::mends;
use crate::profile::{Pen, Station};
use crate::relief::Relief;
use crate::turning::{Nature, Net, Spot};
use glam::{DVec2, DVec3};

/// Points round the axis.
const COLUMNS: usize = 1792;
/// Azimuths of the middles of the two handles, in turns.
pub(crate) const HANDLES: [f64; 2] = [0.25, 0.75];
/// Height of the middle of the faces, millimetres.
const FACE_Y: f64 = 62.5;
/// Radius by which widths on the body are turned into angles, millimetres.
pub(crate) const BODY_R: f64 = 52.0;
/// Height of the base line of the lettering and of its capitals, millimetres.
const BASE_LINE_Y: f64 = 88.6;
pub(crate) const CAP: f64 = 10.4;
/// Radius of the inscription band, millimetres.
const BAND_R: f64 = 60.0;
/// Azimuth where the lettering starts, in turns.
const LETTERING_FROM: f64 = -0.022;
/// Middle of the frieze, millimetres.
const FRIEZE_Y: f64 = 54.0;
/// Azimuths of the hares, in degrees; the handles take the room at 90 and 270.
pub(crate) const HARES_DEG: [f64; 6] = [-45.5, 0.0, 45.5, 134.5, 180.0, 225.5];
const SPRIGS_DEG: [f64; 4] = [-22.6, 22.9, 157.1, 202.9];
/// Size of the stamp against its drawing.
const HARE_SIZE: f64 = 1.16;
/// The sprig whose place the plug took.
const PLUGGED_SPRIG: usize = 0;

pub(crate) const LETTERING: &str = "✠ TOMAS · FVSOR · ME · FECIT · ANNO · DNI\u{305} · 1647 ·";
/// Place of the worn N among the signs of the lettering that leave a mark.
const WORN_SIGN: usize = 24;

/// The mortar's profile and reliefs, ready to be asked for any place.
pub(crate) struct Mortar {
    pub(crate) body: Body,
    pub(crate) stations: Vec<Station>,
    /// Length along the profile of the foot's edge, of the ends of the handles and of the rim.
    pub(crate) marks: Marks,
    letters: Relief,
    lettering_width: f64,
    worn_at: DVec2,
    hare: Relief,
    sprig: Relief,
    face: Relief,
}

/// Lengths along the profile, millimetres.
#[derive(Clone, Copy)]
pub(crate) struct Marks {
    pub(crate) foot_edge: f64,
    pub(crate) handle: [f64; 2],
    pub(crate) rim: f64,
}

/// The section from the middle of the underside, over the rim, to the middle of the well.
fn section() -> Pen {
    Pen::at(0.4, 11.2)
        .line(32.0, 10.2)
        .sweep([34.5, 10.0], 36.0, 8.5)
        .line(56.0, 8.5)
        .line(57.2, 9.4)
        .line(57.2, 12.6)
        .line(55.9, 13.2)
        .arc(55.9, 18.2, 0.5)
        .line(54.6, 18.4)
        .line(54.6, 19.8)
        .sweep([48.4, 20.6], 47.8, 33.0)
        .line(49.2, 33.2)
        .line(49.2, 34.5)
        .arc(49.2, 38.3, 0.5)
        .line(49.2, 39.7)
        .line(47.9, 40.3)
        .sweep([49.0, 54.0], 52.4, 68.6)
        .line(53.8, 68.8)
        .line(53.8, 70.2)
        .arc(53.8, 74.2, 0.5)
        .line(53.8, 75.6)
        .sweep([53.8, 79.4], 57.0, 80.4)
        .sweep([60.6, 81.2], 60.6, 84.8)
        .line(60.0, 85.2)
        .line(58.9, 86.2)
        .sweep([59.4, 95.0], 61.2, 103.4)
        .line(62.6, 103.6)
        .line(62.6, 105.0)
        .arc(62.6, 108.8, 0.5)
        .line(62.6, 110.2)
        .line(61.8, 110.8)
        .sweep([62.6, 120.4], 71.4, 122.6)
        .line(72.2, 122.8)
        .line(72.2, 124.2)
        .arc(72.2, 130.6, 0.48)
        .line(71.2, 131.2)
        .sweep([69.6, 132.3], 67.4, 131.7)
        .sweep([64.6, 131.2], 63.6, 126.4)
        .sweep([57.2, 112.0], 51.8, 88.0)
        .line(45.2, 66.0)
        .sweep([37.6, 24.0], 0.4, 24.0)
}

fn spacing(p: DVec2) -> f64 {
    let inside = p.y > 20.0 && p.x < 45.0 + (p.y - 62.0).max(-40.0) * 0.26;
    match p {
        _ if p.y < 12.0 && p.x < 34.0 => 0.6,
        _ if inside && p.y < 108.0 => 0.5,
        _ => 0.24,
    }
}

impl Mortar {
    pub(crate) fn new(body: Body) -> Self {
        // Finishing and lacquer took the last sharpness from the replica.
        let softness = body.pick(0.1, 0.3);
        let stations = section().turned(0.28, spacing);
        let first = |test: &dyn Fn(DVec2) -> bool| {
            stations
                .iter()
                .find(|s| test(s.point))
                .map_or(0.0, |s| s.along)
        };
        let marks = Marks {
            foot_edge: first(&|p| p.x > 56.3),
            handle: [first(&|p| p.x > 40.0 && p.y > 31.0), first(&|p| p.y > 86.6)],
            rim: first(&|p| p.y > 131.6),
        };
        let circumference = TURN * BAND_R;
        let natural = lettering::set(LETTERING, CAP, 0.0);
        let gaps = LETTERING.chars().filter(|c| *c != '\u{305}').count() as f64;
        let tracking = (circumference - natural.width) / gaps;
        let line = lettering::set(LETTERING, CAP, tracking);
        Self {
            body,
            marks,
            letters: lettering::raised(&line, 1.2, 0.8, CAP, 0.1).softened(softness),
            lettering_width: line.width,
            worn_at: line.signs[WORN_SIGN].centre(),
            hare: hare::hare(softness),
            sprig: hare::sprig(softness),
            face: mask::face(softness),
            stations,
        }
    }

    pub(crate) fn net(&self) -> Net {
        Net::turn(self.stations.len(), COLUMNS, |row, azimuth| {
            self.spot(&self.stations[row], azimuth)
        })
    }

    /// The station nearest to a length along the profile.
    pub(crate) fn station(&self, along: f64) -> &Station {
        let after = self.stations.partition_point(|s| s.along < along);
        &self.stations[after.min(self.stations.len() - 1)]
    }

    /// The station of the outer wall at a height.
    pub(crate) fn wall(&self, y: f64) -> &Station {
        let from = self.marks.foot_edge;
        let wall = self.stations.iter().filter(|s| s.along >= from);
        wall.min_by(|a, b| (a.point.y - y).abs().total_cmp(&(b.point.y - y).abs()))
            .expect("the profile has a wall")
    }

    /// Where the surface is at a station and an azimuth (radians).
    pub(crate) fn spot(&self, station: &Station, azimuth: f64) -> Spot {
        let mut nature = Nature::default();
        let patch = mends::patch(self, station, azimuth);
        let mut section = station.point.lerp(station.bridged, patch.bridging);
        let mut lift = self.decoration(station, azimuth);
        lift += mends::seam(self.body, station, azimuth, self.marks);
        lift += mends::plug(station, azimuth, self.marks, &mut nature);
        lift = lift * (1.0 - patch.bridging) + patch.lift;
        nature.copper = patch.copper;
        lift += self.skin(station, azimuth);
        section += station.normal * lift;
        let mut point = outward(azimuth) * section.x + DVec3::Y * section.y;
        if station.along < self.marks.foot_edge {
            feet::shape(self.body, &mut point, &mut nature);
        }
        self.handles(station, azimuth, &mut point, &mut nature);
        mends::bead(self, station, azimuth, &mut point);
        self.misfortunes(&mut point, azimuth);
        nature.sheltered = self.shelter(station);
        self.wear(station, azimuth, &mut nature);
        nature.rubbed *= 1.0 - 0.6 * nature.copper;
        Spot { point, nature }
    }

    /// Lettering, hares and sprigs.
    fn decoration(&self, station: &Station, azimuth: f64) -> f64 {
        let p = station.point;
        if station.along < self.marks.foot_edge || station.along > self.marks.rim {
            return 0.0;
        }
        let tired = 0.94 + 0.12 * noise(outward(azimuth) * 2.6 + DVec3::Y * p.y * 0.06, 21);
        if (86.0..104.0).contains(&p.y) {
            let turn = (azimuth / TURN - LETTERING_FROM).rem_euclid(1.0);
            let at = DVec2::new(turn * self.lettering_width, p.y - BASE_LINE_Y);
            let from = at - self.worn_at;
            let left = pow((from.x / 7.6).abs(), 4.0) + pow((from.y / 9.0).abs(), 4.0);
            let worn = 0.95 * smoothstep(1.1, 0.35, left);
            return self.letters.at(at) * tired * (1.0 - worn) - 0.18 * worn;
        }
        if !(39.0..70.0).contains(&p.y) {
            return 0.0;
        }
        let mut lift = 0.0;
        for (i, centre) in HARES_DEG.iter().enumerate() {
            let at = on_body(azimuth, *centre, p.y);
            // Every casting of the stamp sits a little differently.
            let tilt = [0.03, -0.02, 0.04, -0.03, 0.02, -0.01][i];
            let at = DVec2::new(at.x - at.y * tilt, at.y + at.x * tilt + 0.5);
            lift += HARE_SIZE * self.hare.at(at / HARE_SIZE);
        }
        for (i, centre) in SPRIGS_DEG.iter().enumerate() {
            if i != PLUGGED_SPRIG {
                lift += self.sprig.at(on_body(azimuth, *centre, p.y) / HARE_SIZE);
            }
        }
        lift * tired
    }

    /// The grain of the casting, the turner's and the file's marks, the scanner's noise.
    fn skin(&self, station: &Station, azimuth: f64) -> f64 {
        let p = outward(azimuth) * station.point.x + DVec3::Y * station.point.y;
        let filed = (smoothstep(120.0, 124.0, p.y) + smoothstep(14.0, 11.0, p.y)).min(1.0);
        let cast = 0.04 * rough(p * 0.3, 2, 31) + 0.012 * noise(p * 1.3, 33);
        let grain = cast * (1.0 - 0.6 * filed);
        let inside = station.along > self.marks.rim;
        let s = station.along;
        let lines = noise(DVec3::new(azimuth * 3.0, s * 2.6, 0.0), 35) * 0.02 * filed;
        let scoring = if inside {
            0.02 * noise(DVec3::new(azimuth * 2.0, s * 1.1, 7.0), 36)
        } else {
            0.0
        };
        let scan = 0.012 * noise(p * 1.7, 37);
        match self.body {
            Body::Original => grain + lines + scoring + scan,
            // Blasted, rubbed and lacquered: a faint trace of the layers is all that is left.
            Body::Replica => 0.45 * grain + 0.6 * scoring + 0.006 * sin(p.y * TURN / 0.9) + 0.05,
        }
    }

    /// Blends the two faces into the wall.
    fn handles(&self, station: &Station, azimuth: f64, point: &mut DVec3, nature: &mut Nature) {
        let [from, to] = self.marks.handle;
        if station.along < from || station.along > to {
            return;
        }
        let t = (station.along - from) / (to - from);
        let (low, high) = (self.station(from).point, self.station(to).point);
        let plain = low.lerp(high, t) - DVec2::X * 1.4 * sin(t * TURN * 0.5);
        for handle in HANDLES {
            let u = wrap(azimuth - handle * TURN) * BODY_R;
            if u.abs() > mask::HALF_WIDTH {
                continue;
            }
            let v = plain.y - FACE_Y;
            let h = self.face.at(DVec2::new(u, v));
            if h <= 0.0 {
                continue;
            }
            let blend = smoothstep(0.0, 2.2, h);
            // The beard hangs a little away from the wall, as a grip must.
            let droop = -0.16 * h * smoothstep(2.0, -20.0, v);
            let grain = 0.05 * rough(*point * 0.5, 2, 41);
            let raised = outward(azimuth) * (plain.x + h + grain) + DVec3::Y * (plain.y + droop);
            *point = point.lerp(raised, blend);
            nature.rubbed = nature.rubbed.max(0.8 * smoothstep(10.5, 15.0, h));
        }
    }

    /// Not quite round, and dented at the rim.
    fn misfortunes(&self, point: &mut DVec3, azimuth: f64) {
        let tall = (point.y / 132.0).clamp(0.0, 1.0);
        let oval = 1.0 + tall * (0.0032 * sin(2.0 * azimuth + 0.7) + 0.0012 * sin(3.0 * azimuth));
        point.x *= oval;
        point.z *= oval;
        mends::dent(point, azimuth);
    }

    fn shelter(&self, station: &Station) -> f64 {
        if station.along > self.marks.rim {
            smoothstep(128.0, 84.0, station.point.y)
        } else if station.along < self.marks.foot_edge {
            0.8
        } else {
            0.0
        }
    }

    fn wear(&self, station: &Station, azimuth: f64, nature: &mut Nature) {
        let p = station.point;
        let patchy = 0.5 + 0.5 * rough(outward(azimuth) * 3.0 + DVec3::Y * p.y * 0.1, 3, 51);
        if station.along > self.marks.rim && p.y < 60.0 {
            // The pestle keeps the bottom of the well clean.
            let ground = bell((p.x - 8.0) / 20.0, 1.0) * (0.55 + 0.45 * patchy);
            nature.rubbed = nature.rubbed.max(ground);
        }
        if p.y > 123.0 {
            let lip = smoothstep(126.0, 131.5, p.y) * (0.35 + 0.65 * patchy);
            nature.rubbed = nature.rubbed.max(0.5 * lip);
        }
    }
}

/// Millimetres to the right of and above the middle of a motif of the frieze.
fn on_body(azimuth: f64, centre_deg: f64, y: f64) -> DVec2 {
    let u = wrap(azimuth - centre_deg.to_radians()) * BODY_R;
    DVec2::new(u, y - FRIEZE_Y)
}
