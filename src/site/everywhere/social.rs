//! Pictures for those who pass an address on: the object's still and its title in the site's own
//! type, on paper within the edge of a plate.

use super::type_set::{Family, SANS, SERIF, blend};
use crate::picture;
use crate::record::{Catalogue, Lang, Object, ObjectId, Rights, Use};
use crate::site::assets::Assets;
use crate::site::files::Files;
use crate::site::pictures::Pictures;
use crate::site::theme::Theme;
use crate::site::{Form, Request, SiteError};
use crate::store::{Key, Store, of_several};
use image::imageops::FilterType;
use image::{Rgb, RgbImage, Rgba, RgbaImage, imageops};
use rayon::prelude::*;
use std::collections::BTreeSet;

/// Width and height, pixels: what services that show such pictures ask for (common practice).
pub(super) const SIZE_PX: [u32; 2] = [1200, 630];
/// Quality of JPEG, of 100.
const QUALITY: u8 = 86;
/// Colours of the page by day.
const PAPER: Rgb<u8> = Rgb([0xf6, 0xf1, 0xe6]);
const INK: Rgb<u8> = Rgb([0x22, 0x1d, 0x17]);
const FAINT: Rgb<u8> = Rgb([0x5d, 0x53, 0x47]);
const RULE: Rgb<u8> = Rgb([0xb9, 0xab, 0x95]);
/// The edge of the plate from the edge of the picture.
const EDGE: u32 = 26;
/// Words begin here and are no wider than this.
const WORDS: (f32, f32) = (74.0, 452.0);
/// Where an object may stand: left, top, width, height.
const STAGE: [u32; 4] = [580, 76, 540, 424];
/// Its shadow may fall here, left and right, and fades toward the ends over so many pixels.
const SHADOW: ([u32; 2], f32) = ([536, 1174], 110.0);
/// What covers more than this is the object; less is its shadow.
const SOLID: u8 = 250;
/// Sizes of the title, the largest that fits in four lines.
const TITLE_PX: [f32; 4] = [66.0, 56.0, 48.0, 40.0];

/// Where all such pictures lie.
#[derive(Debug, Default)]
pub(crate) struct Social {
    paths: BTreeSet<String>,
}

/// Where the picture of an object or the whole site lies.
fn path(object: Option<&ObjectId>, lang: &Lang) -> String {
    let lang = lang.as_str().to_lowercase();
    match object {
        Some(id) => format!("social/{lang}/{id}.jpg"),
        None => format!("social/{lang}.jpg"),
    }
}

impl Social {
    /// Makes them, out of the stills that the site has anyway, and adds them to its files.
    pub(crate) fn make(
        request: &Request<'_>,
        theme: &Theme,
        pictures: &Pictures,
        assets: &Assets,
    ) -> Result<Self, SiteError> {
        let catalogue = request.catalogue;
        // Nobody passes on the address of a file on a disk.
        if request.form == Form::Carried {
            return Ok(Self::default());
        }
        let bench = Bench {
            sheet: Sheet {
                serif: Family::of(theme, &SERIF)?,
                sans: Family::of(theme, &SANS)?,
            },
            method: method(theme),
            files: assets.files(),
        };
        let objects = catalogue.objects.iter();
        let shown: Vec<Shown> = objects
            .filter_map(|o| shown(catalogue, o, pictures))
            .collect();
        let languages = &catalogue.site.languages;
        let of_object = |shown: &Shown| {
            let of_lang = |lang, room| {
                let wording = Wording::of_object(catalogue, shown, lang);
                let path = path(Some(&shown.object.id), lang);
                let files = bench.files.of_object(&shown.object.id);
                bench.put((path, &files), &wording, &[shown], room)
            };
            let Some(room) = shown.room else {
                return Ok(Vec::new());
            };
            let all = languages.iter().map(|lang| of_lang(lang, room));
            all.collect::<Result<_, _>>()
        };
        let made: Vec<Vec<String>> = shown.par_iter().map(of_object).collect::<Result<_, _>>()?;
        let mut paths: BTreeSet<String> = made.into_iter().flatten().collect();
        let some: Vec<&Shown> = shown.iter().take(2).collect();
        // One object of many makes no picture of the site.
        let whole = request.only.is_none() && !some.is_empty();
        let of_all = of_several(request.store);
        for lang in languages.iter().filter(|_| whole) {
            let wording = Wording::of_site(catalogue, &some, lang);
            let place = (path(None, lang), bench.files);
            paths.insert(bench.put(place, &wording, &some, &of_all)?);
        }
        Ok(Self { paths })
    }

    /// The picture for pages of an object, or of the whole site.
    pub(crate) fn of(&self, object: Option<&ObjectId>, lang: &Lang) -> Option<String> {
        Some(path(object, lang)).filter(|path| self.paths.contains(path))
    }
}

/// The still of the body that visitors stand before, with the agreements under which its models are.
struct Shown<'a> {
    object: &'a Object,
    /// Among the files of the site; its name tells its content.
    still: String,
    rights: Vec<&'a Rights>,
    /// Where its own picture is kept; `None` when that stands as it was.
    room: Option<&'a Store>,
}

/// None when an agreement does not let it be shown.
fn shown<'a>(
    catalogue: &Catalogue,
    object: &'a Object,
    pictures: &'a Pictures,
) -> Option<Shown<'a>> {
    let record = &object.record;
    let mut rights: Vec<&Rights> = Vec::new();
    for part in record.bodies.parts(object.shown_body()) {
        let own = record.rights.iter().find(|r| r.id == part.rights)?;
        if !own.permits(Use::Display, catalogue.today) {
            return None;
        }
        if rights.iter().all(|r| r.id != own.id) {
            rights.push(own);
        }
    }
    let plate = pictures.shown.get(&object.id)?;
    Some(Shown {
        object,
        still: plate.files.largest()?.path,
        rights,
        room: pictures.objects.get(&object.id).map(|own| &own.room),
    })
}

/// What a picture says.
struct Wording<'a> {
    title: &'a str,
    facts: Vec<&'a str>,
    below: &'a str,
    credit: String,
}

impl<'a> Wording<'a> {
    fn of_object(catalogue: &'a Catalogue, shown: &Shown<'a>, lang: &Lang) -> Self {
        let what = &shown.object.record.identification;
        let facts = [&what.name, &what.date];
        let facts = facts.map(|f| f.get(lang).unwrap_or_default());
        let note = shown.object.notes.get(lang);
        Self {
            title: note.map_or("", |n| n.title.as_str()),
            facts: facts.into_iter().filter(|f| !f.is_empty()).collect(),
            below: catalogue.site.name.get(lang).unwrap_or_default(),
            credit: credits(&shown.rights, lang),
        }
    }

    fn of_site(catalogue: &'a Catalogue, shown: &[&Shown<'_>], lang: &Lang) -> Self {
        let site = &catalogue.site;
        let mut rights: Vec<&Rights> = shown.iter().flat_map(|s| s.rights.clone()).collect();
        rights.dedup();
        Self {
            title: site.name.get(lang).unwrap_or_default(),
            facts: Vec::new(),
            below: &site.publisher,
            credit: credits(&rights, lang),
        }
    }
}

/// What pictures depend on beside what they show and say.
fn method(theme: &Theme) -> Key {
    let fonts = theme.folder("fonts/drawn");
    fonts.fold(Key::of("social picture 1"), |key, (name, bytes)| {
        key.and(name.as_bytes()).and(bytes)
    })
}

/// Where they are made.
struct Bench<'a> {
    sheet: Sheet<'a>,
    method: Key,
    files: &'a Files,
}

impl Bench<'_> {
    /// Puts one at its path, which it gives back.
    fn put(
        &self,
        (path, files): (String, &Files),
        wording: &Wording<'_>,
        shown: &[&Shown<'_>],
        store: &Store,
    ) -> Result<String, SiteError> {
        let texts = [wording.title, wording.below, &wording.credit];
        let facts = wording.facts.len().to_string();
        let texts = texts.iter().chain(&wording.facts).copied();
        let stills = shown.iter().map(|s| s.still.as_str());
        let key = std::iter::once(facts.as_str())
            .chain(texts)
            .chain(stills)
            .fold(self.method.clone(), |key, text| key.and(text.as_bytes()));
        let jpeg = store.or_make(&key, || {
            let stills = shown.iter().map(|s| self.still(s));
            let stills: Vec<RgbaImage> = stills.collect::<Result<_, _>>()?;
            let jpeg = picture::jpeg(&self.sheet.drawn(wording, &stills), QUALITY);
            jpeg.map_err(|e| SiteError::Picture(format!("a social picture: {e}")))
        })?;
        files.put(&path, jpeg);
        Ok(path)
    }

    fn still(&self, shown: &Shown<'_>) -> Result<RgbaImage, SiteError> {
        let failed =
            |why: String| SiteError::Picture(format!("the still of ‘{}’: {why}", shown.object.id));
        let bytes = self.files.bytes(&shown.still)?;
        let bytes = bytes.ok_or_else(|| failed("it is not there".to_owned()))?;
        let read = image::load_from_memory(&bytes).map_err(|e| failed(e.to_string()))?;
        Ok(read.into_rgba8())
    }
}

/// The box around what is solid: left, top, width, height.
fn solid(still: &RgbaImage) -> [u32; 4] {
    let (mut left, mut top, mut right, mut bottom) = (u32::MAX, u32::MAX, 0, 0);
    for (x, y, Rgba([.., alpha])) in still.enumerate_pixels() {
        if *alpha > SOLID {
            (left, right) = (left.min(x), right.max(x + 1));
            (top, bottom) = (top.min(y), bottom.max(y + 1));
        }
    }
    if left >= right || top >= bottom {
        return [0, 0, still.width(), still.height()];
    }
    [left, top, right - left, bottom - top]
}

/// What the pictures are set in.
struct Sheet<'t> {
    serif: Family<'t>,
    sans: Family<'t>,
}

impl Sheet<'_> {
    fn drawn(&self, wording: &Wording<'_>, stills: &[RgbaImage]) -> RgbImage {
        let mut picture = paper();
        match stills {
            [one] => stand(&mut picture, one, STAGE),
            // Side by side, the first the larger.
            [one, other, ..] => {
                stand(&mut picture, one, [566, 96, 356, 404]);
                stand(&mut picture, other, [958, 288, 176, 212]);
            }
            [] => {}
        }
        self.words(&mut picture, wording.title, &wording.facts, wording.below);
        self.credit(&mut picture, &wording.credit);
        picture
    }

    /// Title, facts below it, and who speaks at the foot.
    fn words(&self, picture: &mut RgbImage, title: &str, facts: &[&str], below: &str) {
        let (left, width) = WORDS;
        let fits = |size: &&f32| {
            let lines = self.serif.broken(title, **size, width);
            lines.len() <= 4 && lines.iter().all(|l| self.serif.width(l, **size) <= width)
        };
        let size = *TITLE_PX.iter().find(fits).unwrap_or(&TITLE_PX[3]);
        let mut y = 82.0 + size * 0.8;
        for line in self.serif.broken(title, size, width).iter().take(5) {
            self.serif
                .draw(picture, line, size, [left - size * 0.03, y], INK);
            y += size * 1.08;
        }
        y += 2.0;
        for fact in facts {
            for line in self.sans.broken(fact, 24.0, width).iter().take(2) {
                self.sans.draw(picture, line, 24.0, [left, y], FAINT);
                y += 35.0;
            }
        }
        let foot = self.serif.broken(below, 27.0, width);
        let mut y =
            556.0 - 34.0 * f32::from(u8::try_from(foot.len().saturating_sub(1)).unwrap_or(0));
        for line in &foot {
            self.serif.draw(picture, line, 27.0, [left, y], INK);
            y += 34.0;
        }
    }

    /// Small, at the foot on the right.
    fn credit(&self, picture: &mut RgbImage, text: &str) {
        let right = 1138.0;
        let lines = self.sans.broken(text, 17.0, 560.0);
        let mut y =
            556.0 - 23.0 * f32::from(u8::try_from(lines.len().saturating_sub(1)).unwrap_or(0));
        for line in &lines {
            let x = right - self.sans.width(line, 17.0);
            self.sans.draw(picture, line, 17.0, [x, y], FAINT);
            y += 23.0;
        }
    }
}

/// Who is to be named, and under what licence it is shown.
fn credits(rights: &[&Rights], lang: &Lang) -> String {
    let one = |r: &&Rights| {
        let credit = r.credit.as_ref().and_then(|c| c.get(lang));
        format!("{}. {}", credit.unwrap_or(&r.holder), r.statement.label())
    };
    rights.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// Paper with the edge of a plate.
fn paper() -> RgbImage {
    let mut picture = RgbImage::from_pixel(SIZE_PX[0], SIZE_PX[1], PAPER);
    let [right, bottom] = SIZE_PX.map(|n| n - EDGE);
    for x in EDGE..right {
        for y in [EDGE, bottom - 1] {
            picture.put_pixel(x, y, RULE);
        }
    }
    for y in EDGE..bottom {
        for x in [EDGE, right - 1] {
            picture.put_pixel(x, y, RULE);
        }
    }
    picture
}

/// Lays a still on the picture: what is solid as large as the stage lets it be, in its middle and
/// standing on its lower edge; the shadow fades out.
#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "pixels of a picture of some thousand"
)]
fn stand(picture: &mut RgbImage, still: &RgbaImage, [left, top, width, height]: [u32; 4]) {
    let [own_left, own_top, own_width, own_height] = solid(still).map(|n| n as f32);
    let scale = (width as f32 / own_width).min(height as f32 / own_height);
    let size = |own: u32| ((own as f32 * scale).round() as u32).max(1);
    let small = imageops::resize(
        &weighted(still),
        size(still.width()),
        size(still.height()),
        FilterType::CatmullRom,
    );
    let x0 = left as f32 + (width as f32 - own_width * scale) / 2.0 - own_left * scale;
    let y0 = top as f32 + (height as f32 - own_height * scale) - own_top * scale;
    let (x0, y0) = (x0.round() as i64, y0.round() as i64);
    let ([from, to], fades) = SHADOW;
    // The shadow ends where the still does, or where it may fall, whichever is nearer.
    let from = i64::from(from).max(x0);
    let to = i64::from(to).min(x0 + i64::from(small.width()));
    let low = i64::from(SIZE_PX[1] - EDGE - 1).min(y0 + i64::from(small.height()));
    for (x, y, p) in small.enumerate_pixels() {
        let (px, py) = (x0 + i64::from(x), y0 + i64::from(y));
        let near = (px - from).min(to - 1 - px).min(low - 1 - py);
        let shade = (near as f32 / fades).clamp(0.0, 1.0);
        // What covers much is the object's edge, and stays; a shadow never covers so much.
        let edge = ((f32::from(p.0[3]) - 150.0) / 60.0).clamp(0.0, 1.0);
        let part = shade.max(edge);
        let [r, g, b, alpha] = p.0.map(|n| (f32::from(n) * part).round() as u8);
        if let (Ok(px), Ok(py)) = (u32::try_from(px), u32::try_from(py))
            && let Some(pixel) = picture.get_pixel_mut_checked(px, py)
        {
            blend(pixel, Rgb([0, 0, 0]), alpha);
            for (k, add) in [r, g, b].into_iter().enumerate() {
                pixel.0[k] = pixel.0[k].saturating_add(add);
            }
        }
    }
}

/// With colours weighted by how much they cover, so that clear pixels are left out of account.
fn weighted(still: &RgbaImage) -> RgbaImage {
    let mut weighted = still.clone();
    for p in weighted.pixels_mut() {
        let alpha = u16::from(p.0[3]);
        for k in 0..3 {
            p.0[k] = u8::try_from((u16::from(p.0[k]) * alpha + 127) / 255).unwrap_or(u8::MAX);
        }
    }
    weighted
}
