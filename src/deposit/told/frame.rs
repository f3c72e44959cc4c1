//! The frame in which places are told, and how to find it again on the object itself.

use super::{Sheet, Teller};
use crate::mesh::Bounds;
use crate::record::{BodyKind, Detail, Stands};
use crate::site::{SiteError, figures};
use glam::DVec3;

/// Nearer to the middle than this share of the half width, a place is said to be near the middle.
const MIDDLE: f64 = 0.2;
/// A normal that points up or down more than this is said to.
const STEEP: f64 = 0.7;
/// Nearer than this is told as the same height, since a tenth of a millimetre is told.
const LEVEL_MM: f64 = 0.05;
/// How many places of the original are named as landmarks.
const LANDMARKS: usize = 3;

impl Teller<'_> {
    pub(super) fn frame(&self, sheet: &mut Sheet) -> Result<(), SiteError> {
        sheet.paragraph(self.get("deposit_frame_lead")?);
        sheet.drawing(self.get("deposit_axes")?);
        sheet.paragraph(self.get("deposit_frame_axes")?);
        if self.spoken.geometry.bodies.contains_key(&BodyKind::Replica) {
            let method = self.file("collation/method");
            sheet.paragraph(&self.fill("deposit_frame_replica", &[("method", &method)])?);
        }
        sheet.paragraph(self.get("deposit_frame_again")?);
        sheet.blank();
        for (kind, body) in &self.spoken.geometry.bodies {
            let key = format!("deposit_box_{}", kind.word());
            let (least, most) = (body.bounds.min, body.bounds.max);
            let [x, y, z] =
                [(least.x, most.x), (least.y, most.y), (least.z, most.z)].map(|(a, b)| {
                    self.fill(
                        "deposit_from_to",
                        &[("from", &self.number(a, 1)?), ("to", &self.mm(b, 1)?)],
                    )
                });
            sheet.item(&self.fill(&key, &[("x", &x?), ("y", &y?), ("z", &z?)])?);
        }
        if let Some(original) = self.spoken.geometry.bodies.get(&BodyKind::Original) {
            sheet.item(&self.origin(&original.bounds)?);
        }
        let marks = self.landmarks();
        for (index, point) in &marks {
            let detail = &self.spoken.object.details[*index];
            sheet.item(&self.fill(
                "deposit_landmark",
                &[
                    ("letter", &figures::letter(*index)),
                    ("title", &self.note(&detail.notes)?.title),
                    ("point", &self.point(*point)?),
                ],
            )?);
        }
        let mut apart = Vec::new();
        for (i, (one, a)) in marks.iter().enumerate() {
            for (other, b) in &marks[i + 1..] {
                apart.push(self.fill(
                    "deposit_apart",
                    &[
                        ("one", &figures::letter(*one)),
                        ("other", &figures::letter(*other)),
                        ("mm", &self.mm(a.distance(*b), 1)?),
                    ],
                )?);
            }
        }
        if !apart.is_empty() {
            let list = apart.join(self.get("list_separator")?);
            sheet.paragraph(&self.fill("deposit_callipers", &[("list", &list)])?);
        }
        Ok(())
    }

    /// Where the origin lies within the box.
    fn origin(&self, bounds: &Bounds) -> Result<String, SiteError> {
        let middle = (bounds.min + bounds.max) / 2.0;
        let up = -bounds.min.y;
        let level = up.abs() < LEVEL_MM;
        let height = self.fill(
            if level {
                "deposit_origin_level"
            } else if up >= 0.0 {
                "deposit_origin_above"
            } else {
                "deposit_origin_below"
            },
            &[("mm", &self.mm(up.abs(), 1)?)],
        )?;
        self.fill(
            "deposit_origin",
            &[
                ("height", &height),
                ("x", &self.mm(-middle.x, 1)?),
                ("z", &self.mm(-middle.z, 1)?),
            ],
        )
    }

    /// Details of the original that lie furthest from one another, the first two first. Equal
    /// distances are settled by the order of the key.
    fn landmarks(&self) -> Vec<(usize, DVec3)> {
        let places: Vec<(usize, DVec3)> = self
            .spoken
            .object
            .details
            .iter()
            .enumerate()
            .filter(|(_, d)| d.record.bearing.original == Stands::Present)
            .filter_map(|(index, d)| {
                let on = self.spoken.geometry.places.get(&d.id)?;
                Some((index, on.get(&BodyKind::Original)?.point))
            })
            .collect();
        let mut chosen: Vec<(usize, DVec3)> = Vec::new();
        let mut best = 0.0;
        for (i, a) in places.iter().enumerate() {
            for b in &places[i + 1..] {
                let apart = a.1.distance(b.1);
                if apart > best {
                    best = apart;
                    chosen = vec![*a, *b];
                }
            }
        }
        if let [a, b] = chosen[..] {
            let along = (b.1 - a.1).normalize_or_zero();
            let off = |p: DVec3| (p - a.1).reject_from_normalized(along).length();
            let mut third: Option<(usize, DVec3)> = None;
            for p in &places {
                if off(p.1) > third.map_or(1.0, |t| off(t.1)) {
                    third = Some(*p);
                }
            }
            chosen.extend(third);
        } else {
            chosen = places.into_iter().take(1).collect();
        }
        chosen.truncate(LANDMARKS);
        chosen.sort_by_key(|(index, _)| *index);
        chosen
    }

    /// "x = −19.1, y = 54.4, z = 46.4 mm"
    pub(super) fn point(&self, p: DVec3) -> Result<String, SiteError> {
        Ok(format!(
            "x\u{a0}=\u{a0}{}, y\u{a0}=\u{a0}{}, z\u{a0}=\u{a0}{}",
            self.number(p.x, 1)?,
            self.number(p.y, 1)?,
            self.mm(p.z, 1)?
        ))
    }

    /// Where a place is, in words.
    pub(super) fn place(
        &self,
        detail: &Detail,
        kind: BodyKind,
        point: DVec3,
        normal: DVec3,
    ) -> Result<String, SiteError> {
        let Some(body) = self.spoken.geometry.bodies.get(&kind) else {
            return Ok(String::new());
        };
        let parts = self.spoken.object.record.bodies.parts(kind);
        let part = parts.iter().find(|p| p.id == detail.record.part);
        let part = match part {
            Some(part) => self.text(&part.name)?.to_owned(),
            None => detail.record.part.to_string(),
        };
        let (least, size) = (body.bounds.min, body.bounds.size());
        let height = match (point.y - least.y) / size.y.max(f64::MIN_POSITIVE) {
            h if h < 1.0 / 3.0 => "deposit_low",
            h if h < 2.0 / 3.0 => "deposit_middle",
            _ => "deposit_high",
        };
        let middle = (body.bounds.min + body.bounds.max) / 2.0;
        let out = DVec3::new(point.x - middle.x, 0.0, point.z - middle.z);
        let half = size.x.min(size.z) / 2.0;
        let side = if out.length() < MIDDLE * half {
            "deposit_near_axis"
        } else {
            const SIDES: [&str; 8] = [
                "deposit_front",
                "deposit_front_right",
                "deposit_right",
                "deposit_back_right",
                "deposit_back",
                "deposit_back_left",
                "deposit_left",
                "deposit_front_left",
            ];
            let eighth = (out.x.atan2(out.z).to_degrees() / 45.0).round();
            #[expect(clippy::cast_possible_truncation, reason = "between −4 and 4")]
            let index = (eighth as i64).rem_euclid(8);
            SIDES[usize::try_from(index).unwrap_or(0)]
        };
        let looks = if normal.y > STEEP {
            "deposit_looks_up"
        } else if normal.y < -STEEP {
            "deposit_looks_down"
        } else if normal.dot(out) < 0.0 {
            "deposit_looks_in"
        } else {
            "deposit_looks_out"
        };
        self.fill(
            "deposit_place",
            &[
                ("body", self.get(&format!("body_{}", kind.word()))?),
                ("part", &part),
                ("height", self.get(height)?),
                ("side", self.get(side)?),
                ("looks", self.get(looks)?),
            ],
        )
    }
}
