//! The sheet on which both bodies are drawn in profile.

use super::Subject;
use crate::site::page::differences::Profile;
use crate::site::{SiteError, figures};

/// Free around the drawing, as a share of its height.
const FREE: f64 = 0.04;
/// Below it there is room for the scale: so many times that.
const FOOT: f64 = 4.5;
/// The scale bar is the longest round length below this share of the width.
const BAR: f64 = 0.4;
/// Height of the scale's number, as a share of the drawing's.
const TEXT: f64 = 1.0 / 28.0;

/// The drawing of an object with both bodies.
pub(super) fn profile(subject: &Subject<'_>) -> Result<Option<Profile>, SiteError> {
    let Some(lines) = &subject.pictures.profile else {
        return Ok(None);
    };
    let words = subject.site.words;
    let object = &subject.site.note(&subject.object.notes)?.title;
    let half = lines.half_mm;
    let height = 2.0 * half.y;
    let free = FREE * height;
    let [left, top] = [-half.x - free, -half.y - free];
    let [width_mm, height_mm] = [2.0 * (half.x + free), height + (1.0 + FOOT) * free];
    let bar_mm = figures::round_length(BAR * 2.0 * half.x);
    let decimals = usize::from(bar_mm < 1.0);
    Ok(Some(Profile {
        view_box: format!("{left:.2} {top:.2} {width_mm:.2} {height_mm:.2}"),
        left,
        top,
        half: half.x + free,
        height: height + 2.0 * free,
        width_mm,
        height_mm,
        solid: lines.solid.clone(),
        open: lines.open.clone(),
        replica: lines.replica.clone(),
        seen: lines.seen.clone(),
        bar_x: -bar_mm / 2.0,
        bar_y: half.y + 2.0 * free,
        bar_mm,
        bar_text: figures::millimetres(bar_mm, decimals, words)?,
        text_size: TEXT * height,
        title: words.fill("profile_title", &[("object", object)])?,
    }))
}
