//! The pestle: a turned baluster, leaning in the well.

use glam::{DVec3, dvec2, dvec3};

use crate::mortar::{Mortar, Skin, roundness};
use crate::noise::{fractal, mix, smooth};
use crate::profile::{Pen, Profile};
use crate::solid::Solid;
use crate::turned::{even_rows, turned};

/// The pestle leans towards this azimuth.
pub const LEAN_DEG: f64 = 118.0;
/// How far the tip lies from the axis, away from the lean.
const TIP_OFF_MM: f64 = 20.0;
/// Room left at both contacts for the roughness of the castings.
const CONTACT_MM: f64 = 0.2;

pub struct Pestle {
    profile: Profile,
    tip: DVec3,
    axis: DVec3,
    side: DVec3,
}

fn profile() -> Profile {
    Pen::start(0.0, 0.0)
        .curve([9.5, 0.0], [16.6, 4.5], [16.6, 13.5])
        .curve([16.6, 20.5], [11.6, 24.0], [9.2, 28.0])
        .to(9.2, 29.0)
        .to(10.2, 29.0)
        .bead(10.2, 32.2)
        .to(8.3, 32.4)
        .curve([7.3, 48.0], [7.2, 60.0], [8.2, 76.0])
        .curve([9.0, 88.0], [10.6, 92.0], [10.6, 98.0])
        .curve([10.6, 104.0], [8.2, 107.0], [7.6, 112.0])
        .to(7.6, 113.0)
        .to(8.8, 113.0)
        .bead(8.8, 116.4)
        .to(7.2, 116.6)
        .curve([6.6, 128.0], [6.7, 138.0], [7.3, 148.0])
        .to(8.4, 148.0)
        .bead(8.4, 151.0)
        .to(7.6, 151.4)
        .curve([7.8, 155.5], [12.6, 156.0], [12.8, 163.0])
        .curve([12.9, 170.5], [8.0, 175.5], [0.0, 175.5])
        .finish(0.25)
}

impl Pestle {
    /// Turns the pestle and lays it in the well of `mortar`.
    pub fn rest_in(mortar: &Mortar) -> Self {
        let mut pestle = Self {
            profile: profile(),
            tip: DVec3::ZERO,
            axis: DVec3::Y,
            side: DVec3::X,
        };
        // The upright end of the range clears the rim, the other lies in it.
        let (mut clear, mut bitten) = (0.15, 1.1);
        for _ in 0..26 {
            let lean = (clear + bitten) * 0.5;
            pestle.pose(mortar, lean);
            if pestle.room(mortar, 60.0, 170.0) > CONTACT_MM {
                clear = lean;
            } else {
                bitten = lean;
            }
        }
        pestle.pose(mortar, clear);
        pestle
    }

    /// Leans by `lean` radians and sinks until the bulb touches the well.
    fn pose(&mut self, mortar: &Mortar, lean: f64) {
        let a = LEAN_DEG.to_radians();
        let towards = dvec3(libm::sin(a), 0.0, libm::cos(a));
        self.axis = towards * libm::sin(lean) + DVec3::Y * libm::cos(lean);
        self.side = towards.cross(DVec3::Y);
        let (mut low, mut high) = (10.0, 60.0);
        for _ in 0..26 {
            let y = (low + high) * 0.5;
            self.tip = towards * -TIP_OFF_MM + DVec3::Y * y;
            if self.room(mortar, 0.0, 30.0) > CONTACT_MM {
                high = y;
            } else {
                low = y;
            }
        }
        self.tip = towards * -TIP_OFF_MM + DVec3::Y * high;
    }

    /// Least distance between the well and the stretch of pestle; negative if bitten.
    fn room(&self, mortar: &Mortar, from: f64, to: f64) -> f64 {
        let mut least = f64::MAX;
        let mut s = 0.0;
        while s < self.profile.length_mm() {
            let y = self.profile.at(s).y;
            if (from..to).contains(&y) {
                for c in 0..72 {
                    let p = self.place(f64::from(c).to_radians() * 5.0, s, 0.0);
                    least = least.min(mortar.room_in_well(p));
                }
            }
            s += 1.5;
        }
        least
    }

    fn place(&self, a: f64, s: f64, out: f64) -> DVec3 {
        let q = self.profile.at(s) + self.profile.normal(s) * out;
        // The triangles go round with the azimuth about the pestle's own axis.
        let u = self.side;
        let v = u.cross(self.axis);
        self.tip + self.axis * q.y + (u * libm::sin(a) + v * libm::cos(a)) * q.x
    }

    /// How bright a place is worn: the grinding end, a little the grip and top.
    fn worn(&self, s: f64) -> f64 {
        let y = self.profile.at(s).y;
        let end = 1.0 - smooth(13.0, 25.0, y);
        let grip = 0.4 * smooth(80.0, 95.0, y) * (1.0 - smooth(103.0, 112.0, y));
        end.max(grip).max(0.6 * smooth(165.0, 174.0, y))
    }

    /// The surface before thinning.
    pub fn surface(&self) -> (Solid, Vec<Skin>) {
        let length = self.profile.length_mm();
        turned(&even_rows(length, 0.45), [0.0, length], 288, |a, s| {
            let p = self.place(a, s, 0.0);
            let worn = self.worn(s);
            let rough = 0.10 * fractal(p * 0.25, 3, 21) + 0.03 * fractal(p * 1.2, 2, 22);
            let pits = 0.25 * smooth(0.5, 0.8, fractal(p * 0.6, 2, 23));
            let h = mix(rough - pits, 0.3 * rough, smooth(0.3, 0.9, worn))
                * smooth(0.0, 3.0, self.profile.at(s).x);
            (
                self.place(a, s, h - 0.05),
                Skin {
                    worn: worn * 1.25,
                    ..Skin::default()
                },
            )
        })
    }

    /// The middle of the bright wear to be seen from above, towards azimuth `deg`.
    pub fn bright_place(&self, deg: f64) -> DVec3 {
        let want = dvec3(
            libm::sin(deg.to_radians()),
            0.9,
            libm::cos(deg.to_radians()),
        );
        let s = self.profile.rise_to(14.0, 0.0);
        let mut best = (f64::MIN, DVec3::ZERO);
        for c in 0..360 {
            let p = self.place(f64::from(c).to_radians(), s, 0.0);
            if p.dot(want) > best.0 {
                best = (p.dot(want), p);
            }
        }
        best.1
    }
}

impl Mortar {
    /// Distance from `p` to the metal round the well; negative inside the metal.
    fn room_in_well(&self, p: DVec3) -> f64 {
        let a = libm::atan2(p.x, p.z);
        let q = dvec2(dvec2(p.x, p.z).length() / roundness(a), p.y);
        let mut best = (f64::MAX, 0.0);
        let mut s = self.profile.top() - 8.0;
        while s <= self.profile.length_mm() {
            let d = self.profile.at(s).distance_squared(q);
            if d < best.0 {
                best = (d, s);
            }
            s += 0.3;
        }
        let out = (q - self.profile.at(best.1)).dot(self.profile.normal(best.1));
        if out >= 0.0 {
            best.0.sqrt()
        } else {
            -best.0.sqrt()
        }
    }
}
