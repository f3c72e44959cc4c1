//! The gallery's screen: times that leave visitors time, and controls that a hand can reach.

use crate::record::read::draft::Draft;
use crate::record::{Findings, Kiosk};

/// Idle times below hurry a reader, above leave the screen as the last one left it, seconds (common
/// practice around 60 to 120, no source).
const IDLE: std::ops::RangeInclusive<u32> = 30..=600;
/// Sides of a screen, millimetres: a telephone's to a wall's.
const SCREEN: std::ops::RangeInclusive<f64> = 50.0..=6000.0;
/// Objects on the screen at once: more could not each be twelve millimetres large on a small one.
const ON_A_SCREEN: std::ops::RangeInclusive<u32> = 2..=48;
/// Unobstructed reach from a wheelchair: 15 to 48 inches (2010 ADA Standards for Accessible Design,
/// section 308.2.1).
const REACH: std::ops::RangeInclusive<f64> = 380.0..=1220.0;
/// Share of an upright screen's height below which the page keeps its controls.
const CONTROLS: f64 = 0.54;

pub(super) fn check(draft: &Draft<'_>, findings: &mut Findings) {
    let Some(site) = &draft.site else { return };
    let Some(facts) = &site.facts else { return };
    let kiosk = &facts.kiosk;
    if !IDLE.contains(&kiosk.idle_seconds) {
        findings.push(site.file.error(
            "kiosk-idle",
            site.places.at("kiosk.idle_seconds"),
            format!(
                "{} seconds without a touch are not a sensible wait.",
                kiosk.idle_seconds
            ),
            "Write from 30 to 600; 90 is usual. A warning of twenty seconds follows.",
        ));
    }
    if !ON_A_SCREEN.contains(&kiosk.objects_on_a_screen) {
        findings.push(site.file.error(
            "kiosk-objects",
            site.places.at("kiosk.objects_on_a_screen"),
            format!(
                "{} objects are not a sensible number for a screen.",
                kiosk.objects_on_a_screen
            ),
            "Write from 2 to 48, or leave it out for 12.",
        ));
    }
    if let Some(sides) = kiosk.screen_mm
        && !sides.iter().all(|side| SCREEN.contains(side))
    {
        findings.push(site.file.error(
            "kiosk-screen",
            site.places.at("kiosk.screen_mm"),
            format!("No screen measures {} by {} mm.", sides[0], sides[1]),
            "Measure width and height of the picture in millimetres, such as [598, 336].",
        ));
        return;
    }
    if let (Some(lower), Some(upper)) = (kiosk.lower_edge_mm, upper_mm(kiosk))
        && (lower < *REACH.start() || upper > *REACH.end())
    {
        findings.push(site.file.advice(
            "kiosk-reach",
            site.places.at("kiosk.lower_edge_mm"),
            format!(
                "The screen’s controls lie from {lower:.0} to {upper:.0} mm above the floor; from a wheelchair {} to {} mm can be reached.",
                REACH.start(),
                REACH.end()
            ),
            "Hang the screen lower or higher, or stand it upright; local codes may say otherwise, and a qualified designer confirms.",
        ));
    }
}

/// The uppermost control above the floor, millimetres.
fn upper_mm(kiosk: &Kiosk) -> Option<f64> {
    let [width, height] = kiosk.screen_mm?;
    let share = if height > width { CONTROLS } else { 1.0 };
    Some(kiosk.lower_edge_mm? + share * height)
}
