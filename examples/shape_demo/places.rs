//! Where each detail is and from where it shows best, written into its record.

use glam::{DVec3, dvec2};

use crate::face;
use crate::feet;
use crate::mortar::{
    BEAD_DEG, Body, DENT_DEG, HARE_Y, Mortar, PATCH_DEG, PLUG_DEG, PLUG_Y, SEAMS_DEG, hares_deg,
};
use crate::pestle::Pestle;
use crate::solid::Solid;
use crate::token::Token;

/// A detail’s place on the finished surface and its best view.
pub struct Place {
    /// Folder of the detail below `content`.
    pub folder: &'static str,
    pub point_mm: DVec3,
    pub radius_mm: f64,
    pub azimuth_deg: f64,
    pub elevation_deg: f64,
}

/// The finished surfaces, on which the places are settled.
pub struct Surfaces<'a> {
    pub original_mortar: &'a Solid,
    pub original_pestle: &'a Solid,
    pub replica_mortar: &'a Solid,
    pub token: &'a Solid,
}

/// The places of all details, each moved to the nearest point of its surface.
pub fn places(mortar: &Mortar, pestle: &Pestle, token: &Token, on: &Surfaces<'_>) -> Vec<Place> {
    let wall = |deg: f64, y: f64| {
        mortar
            .point(deg.to_radians(), mortar.outside(y), Body::Original)
            .0
    };
    let inside = mortar
        .point(BEAD_DEG.to_radians(), mortar.bead_s, Body::Replica)
        .0;
    let stump = feet::sole(0);
    let pad = DVec3::new(stump.x * 1.17, 1.2, stump.z * 1.17);
    let toe = DVec3::new(stump.x * 1.19, 5.4, stump.z * 1.19);
    let hare = hares_deg()[2];
    let scar = mortar.point(1.1, 24.0, Body::Replica).0;
    let rows: [(&'static str, &Solid, DVec3, [f64; 3]); 16] = [
        (
            "brackwater-mortar/details/inscription-band",
            on.original_mortar,
            wall(0.0, 96.0),
            [12.0, 8.0, 4.0],
        ),
        (
            "brackwater-mortar/details/hare-frieze",
            on.original_mortar,
            wall(hare, HARE_Y + 1.5),
            [15.0, hare, 4.0],
        ),
        (
            "brackwater-mortar/details/grotesque-handles",
            on.original_mortar,
            face::nose(90.0),
            [20.0, 74.0, 8.0],
        ),
        (
            "brackwater-mortar/details/casting-plug",
            on.original_mortar,
            wall(PLUG_DEG, PLUG_Y),
            [6.5, PLUG_DEG, 4.0],
        ),
        (
            "brackwater-mortar/details/lip-patch",
            on.original_mortar,
            wall(PATCH_DEG, 125.0),
            [15.0, PATCH_DEG, 16.0],
        ),
        (
            "brackwater-mortar/details/rim-dent",
            on.original_mortar,
            wall(DENT_DEG, 128.0),
            [10.0, DENT_DEG, 30.0],
        ),
        (
            "brackwater-mortar/details/mould-seam",
            on.original_mortar,
            wall(SEAMS_DEG[1], 76.0),
            [9.0, SEAMS_DEG[1] + 8.0, 4.0],
        ),
        (
            "brackwater-mortar/details/worn-foot",
            on.original_mortar,
            toe,
            [11.0, 315.0, -18.0],
        ),
        (
            "brackwater-mortar/details/pestle-polish",
            on.original_pestle,
            pestle.bright_place(20.0),
            [10.0, 20.0, 60.0],
        ),
        (
            "brackwater-mortar/details/levelling-pad",
            on.replica_mortar,
            pad,
            [10.0, 315.0, -18.0],
        ),
        (
            "brackwater-mortar/details/wax-bead",
            on.replica_mortar,
            inside,
            [4.0, 0.0, 45.0],
        ),
        (
            "brackwater-mortar/details/support-scars",
            on.replica_mortar,
            scar,
            [16.0, 40.0, -60.0],
        ),
        (
            "pilgrim-token/details/heron",
            on.token,
            token.on_front(dvec2(0.6, 1.0)),
            [8.0, 0.0, 0.0],
        ),
        (
            "pilgrim-token/details/token-inscription",
            on.token,
            token.letter(1),
            [4.0, 0.0, 0.0],
        ),
        (
            "pilgrim-token/details/bent-edge",
            on.token,
            token.fold(),
            [5.0, 40.0, 10.0],
        ),
        (
            "pilgrim-token/details/lost-pin",
            on.token,
            token.on_back(dvec2(0.4, 3.0)),
            [3.0, 200.0, 10.0],
        ),
    ];
    rows.into_iter()
        .map(
            |(folder, solid, near, [radius_mm, azimuth_deg, elevation_deg])| Place {
                folder,
                point_mm: nearest(solid, near),
                radius_mm,
                azimuth_deg: azimuth_deg.rem_euclid(360.0),
                elevation_deg,
            },
        )
        .collect()
}

/// The corner of the surface nearest to `p`.
fn nearest(solid: &Solid, p: DVec3) -> DVec3 {
    let mut best = (f64::MAX, p);
    for q in &solid.points {
        let d = q.distance_squared(p);
        if d < best.0 {
            best = (d, *q);
        }
    }
    best.1
}

/// The text of a record with the lines of place and view replaced.
///
/// # Errors
/// A line that should be there is not.
pub fn rewrite(record: &str, place: &Place) -> Result<String, String> {
    let p = place.point_mm;
    let lines = [
        (
            "point_mm = ",
            format!("[{:.2}, {:.2}, {:.2}]", p.x, p.y, p.z),
        ),
        ("radius_mm = ", format!("{:.1}", place.radius_mm)),
        ("azimuth_deg = ", format!("{:.1}", place.azimuth_deg)),
        ("elevation_deg = ", format!("{:.1}", place.elevation_deg)),
    ];
    let mut found = 0;
    let mut out = String::with_capacity(record.len());
    for line in record.split_inclusive('\n') {
        match lines.iter().find(|(key, _)| line.starts_with(key)) {
            Some((key, value)) => {
                found += 1;
                out += &format!("{key}{value}\n");
            }
            None => out += line,
        }
    }
    if found != lines.len() {
        return Err(format!(
            "content/{}/record.toml: {found} of the lines point_mm, radius_mm, azimuth_deg, elevation_deg found; write each once",
            place.folder
        ));
    }
    Ok(out)
}
