//! Words set in the theme's own type, as a picture: shaped (kerning, ligatures, marks) and filled.

use crate::site::SiteError;
use crate::site::theme::Theme;
use image::{Rgb, RgbImage};
use rustybuzz::ttf_parser::{GlyphId, OutlineBuilder};
use rustybuzz::{Face, UnicodeBuffer};
use zeno::{Command, Mask, Origin, PathBuilder};

/// The faces of one family; letters that the first has not are looked for in the next.
pub(super) struct Family<'t>(Vec<Face<'t>>);

/// For reading, and for data.
pub(super) const SERIF: [&str; 2] = [
    "drawn/plate-serif-regular.otf",
    "drawn/plate-serif-regular-more.otf",
];
pub(super) const SANS: [&str; 2] = [
    "drawn/plate-sans-regular.ttf",
    "drawn/plate-sans-regular-more.ttf",
];

/// Letters of a text that the theme's type has not.
pub(crate) fn lacking(theme: &Theme, text: &str) -> Result<Vec<char>, SiteError> {
    let family = Family::of(theme, &SERIF)?;
    let mut all: Vec<char> = text
        .chars()
        .filter(|c| !c.is_whitespace() && family.face(*c).is_none())
        .collect();
    all.sort_unstable();
    all.dedup();
    Ok(all)
}

impl<'t> Family<'t> {
    pub(super) fn of(theme: &'t Theme, files: &[&str]) -> Result<Self, SiteError> {
        let face = |name: &&str| {
            let bytes = theme
                .folder("fonts")
                .find(|(n, _)| n == name)
                .map(|(_, bytes)| bytes);
            bytes.and_then(|b| Face::from_slice(b, 0)).ok_or_else(|| {
                SiteError::Theme(format!(
                    "the font fonts/{name} is missing or cannot be read"
                ))
            })
        };
        Ok(Self(files.iter().map(face).collect::<Result<_, _>>()?))
    }

    fn face(&self, c: char) -> Option<usize> {
        self.0.iter().position(|face| face.glyph_index(c).is_some())
    }

    /// Runs of a text that one face has.
    fn runs(&self, text: &str) -> Vec<(usize, String)> {
        let mut runs: Vec<(usize, String)> = Vec::new();
        for c in text.chars() {
            // A blank, or a letter that nobody has, stays with its neighbours.
            let last = runs.last().map_or(0, |(face, _)| *face);
            let face = if c.is_whitespace() {
                last
            } else {
                self.face(c).unwrap_or(last)
            };
            match runs.last_mut() {
                Some((at, run)) if *at == face => run.push(c),
                _ => runs.push((face, c.to_string())),
            }
        }
        runs
    }

    /// Outlines of a line that begins at `at` (pixels, on the line on which letters stand), and how
    /// wide it is.
    fn line(&self, text: &str, size_px: f32, at: [f32; 2], out: &mut Vec<Command>) -> f32 {
        let mut x = at[0];
        for (index, run) in self.runs(text) {
            let Some(face) = self.0.get(index) else {
                continue;
            };
            #[expect(
                clippy::cast_precision_loss,
                reason = "units of a font are some thousand"
            )]
            let scale = size_px / face.units_per_em() as f32;
            let mut buffer = UnicodeBuffer::new();
            buffer.push_str(&run);
            let set = rustybuzz::shape(face, &[], buffer);
            for (glyph, place) in set.glyph_infos().iter().zip(set.glyph_positions()) {
                #[expect(
                    clippy::cast_precision_loss,
                    reason = "units of a font are some thousand"
                )]
                let [dx, dy, step] =
                    [place.x_offset, place.y_offset, place.x_advance].map(|n| n as f32 * scale);
                let mut pen = Pen {
                    out,
                    scale,
                    at: [x + dx, at[1] - dy],
                };
                if let Ok(id) = u16::try_from(glyph.glyph_id) {
                    face.outline_glyph(GlyphId(id), &mut pen);
                }
                x += step;
            }
        }
        x - at[0]
    }

    /// How wide a text is, pixels.
    pub(super) fn width(&self, text: &str, size_px: f32) -> f32 {
        self.line(text, size_px, [0.0, 0.0], &mut Vec::new())
    }

    /// Draws one line.
    pub(super) fn draw(
        &self,
        picture: &mut RgbImage,
        text: &str,
        size_px: f32,
        at: [f32; 2],
        ink: Rgb<u8>,
    ) {
        let mut outlines = Vec::new();
        self.line(text, size_px, at, &mut outlines);
        if outlines.is_empty() {
            return;
        }
        let (mask, placed) = Mask::new(&outlines).origin(Origin::TopLeft).render();
        for (n, cover) in mask.into_iter().enumerate().filter(|(_, cover)| *cover > 0) {
            let width = placed.width as usize;
            let (x, y) = (n % width, n / width);
            let place = |start: i32, step: usize| {
                i64::from(start) + i64::try_from(step).unwrap_or(i64::MAX / 2)
            };
            let place = (
                u32::try_from(place(placed.left, x)),
                u32::try_from(place(placed.top, y)),
            );
            if let (Ok(x), Ok(y)) = place
                && let Some(pixel) = picture.get_pixel_mut_checked(x, y)
            {
                blend(pixel, ink, cover);
            }
        }
    }

    /// A text broken at blanks so that no line is wider; a single word may be.
    pub(super) fn broken(&self, text: &str, size_px: f32, width: f32) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in text.split_whitespace() {
            if let Some(line) = lines.last_mut() {
                let longer = format!("{line} {word}");
                if self.width(&longer, size_px) <= width {
                    *line = longer;
                    continue;
                }
            }
            lines.push(word.to_owned());
        }
        lines
    }
}

/// Lays ink on a pixel, so much of 255.
pub(super) fn blend(pixel: &mut Rgb<u8>, ink: Rgb<u8>, cover: u8) {
    for k in 0..3 {
        let mixed =
            u32::from(pixel.0[k]) * u32::from(255 - cover) + u32::from(ink.0[k]) * u32::from(cover);
        // A mean of two bytes is a byte.
        pixel.0[k] = u8::try_from((mixed + 127) / 255).unwrap_or(u8::MAX);
    }
}

/// Takes a glyph's outline, whose second axis points upward, to the picture.
struct Pen<'o> {
    out: &'o mut Vec<Command>,
    scale: f32,
    at: [f32; 2],
}

impl Pen<'_> {
    fn place(&self, x: f32, y: f32) -> [f32; 2] {
        [self.at[0] + x * self.scale, self.at[1] - y * self.scale]
    }
}

impl OutlineBuilder for Pen<'_> {
    fn move_to(&mut self, x: f32, y: f32) {
        let to = self.place(x, y);
        self.out.move_to(to);
    }
    fn line_to(&mut self, x: f32, y: f32) {
        let to = self.place(x, y);
        self.out.line_to(to);
    }
    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let (by, to) = (self.place(x1, y1), self.place(x, y));
        self.out.quad_to(by, to);
    }
    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let (by, then, to) = (self.place(x1, y1), self.place(x2, y2), self.place(x, y));
        self.out.curve_to(by, then, to);
    }
    fn close(&mut self) {
        self.out.close();
    }
}
