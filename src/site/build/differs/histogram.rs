//! Wall thicknesses as bars: how much of the area has a wall of so many millimetres.

use super::amounts::percent;
use crate::joint::Walls;
use crate::site::page::quantities::{Bar, Histogram, Tick};
use crate::site::words::Words;
use crate::site::{SiteError, figures};

/// Widths that a bar may have, millimetres. Each is a whole number of the half millimetres in which
/// walls are counted.
const WIDTHS_MM: [f64; 8] = [0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0];
/// Bars at most, before the last one that takes in all that is thicker.
const BARS: usize = 20;
/// This much of the area lies in bars of their own; what is thicker is the last bar.
const SHOWN: f64 = 0.95;

/// The drawing, in view-box units: the template has the same numbers.
const LEFT: f64 = 40.0;
const RIGHT: f64 = 352.0;
const TOP: f64 = 20.0;
const BOTTOM: f64 = 150.0;
/// Between two bars.
const BETWEEN: f64 = 1.5;

/// The same bars for several bodies, so that they can be compared.
pub(super) struct Bars {
    /// Width of a bar, millimetres.
    pub(super) width_mm: f64,
    /// Bars, the last of which takes in all that is thicker.
    pub(super) count: usize,
}

impl Bars {
    /// Bars that show every one of these.
    pub(super) fn of(all: &[&Walls]) -> Self {
        let reach_mm = all.iter().map(|w| reach_mm(w)).fold(0.0, f64::max);
        #[expect(clippy::cast_precision_loss, reason = "a handful")]
        let fits = |width: &&f64| reach_mm <= **width * BARS as f64;
        let widest = WIDTHS_MM[WIDTHS_MM.len() - 1];
        let width_mm = *WIDTHS_MM.iter().find(fits).unwrap_or(&widest);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most twenty, unless a body is metres thick"
        )]
        let own = (reach_mm / width_mm).ceil().max(1.0) as usize;
        Self {
            width_mm,
            count: own.min(BARS) + 1,
        }
    }

    /// Share of the measured area in each bar.
    pub(super) fn shares(&self, walls: &Walls) -> Vec<f64> {
        let mut shares = vec![0.0; self.count];
        let total: f64 = walls.histogram.iter().map(|b| b.area_mm2).sum();
        for bin in &walls.histogram {
            let middle = f64::midpoint(bin.from_mm, bin.to_mm);
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "thicknesses are above zero"
            )]
            let bar = (middle / self.width_mm) as usize;
            shares[bar.min(self.count - 1)] += bin.area_mm2 / total;
        }
        shares
    }

    /// "4 to 6 mm", and "more than 36 mm" for the last.
    pub(super) fn name(&self, bar: usize, words: &Words) -> Result<String, SiteError> {
        let decimals = usize::from(self.width_mm.fract() != 0.0);
        let edge = |n: usize| {
            #[expect(clippy::cast_precision_loss, reason = "a handful")]
            figures::number(n as f64 * self.width_mm, decimals, words)
        };
        if bar + 1 == self.count {
            let from = format!("{}\u{a0}mm", edge(bar)?);
            return words.fill("difference_step_last", &[("from", &from)]);
        }
        let to = format!("{}\u{a0}mm", edge(bar + 1)?);
        words.fill("difference_step", &[("from", &edge(bar)?), ("to", &to)])
    }

    /// Draws one body. `highest` is the greatest share of all that are to be compared.
    pub(super) fn draw(
        &self,
        walls: &Walls,
        highest: f64,
        alt: String,
        words: &Words,
    ) -> Result<Histogram, SiteError> {
        #[expect(clippy::cast_precision_loss, reason = "a handful")]
        let step = (RIGHT - LEFT) / self.count as f64;
        let height = |share: f64| (BOTTOM - TOP) * share / highest;
        #[expect(clippy::cast_precision_loss, reason = "a handful")]
        let at = |n: usize| LEFT + n as f64 * step;
        let bars = (0..).zip(self.shares(walls)).map(|(n, share)| Bar {
            x: tenth(at(n) + BETWEEN / 2.0),
            y: tenth(BOTTOM - height(share)),
            width: tenth(step - BETWEEN),
            height: tenth(height(share)),
        });
        let decimals = usize::from(self.width_mm.fract() != 0.0);
        // Numbers for about six edges; the last bar has no end, and its number stands below it.
        let last = self.count - 1;
        let every = last.div_ceil(6).max(1);
        let edge = |n: usize| {
            #[expect(clippy::cast_precision_loss, reason = "a handful")]
            figures::number(n as f64 * self.width_mm, decimals, words)
        };
        let mut across = Vec::new();
        for n in (0..last).step_by(every).filter(|n| last - n >= every) {
            across.push(Tick {
                at: tenth(at(n)),
                text: edge(n)?,
            });
        }
        let open = Tick {
            at: tenth(at(last) + step / 2.0),
            text: format!("> {}", edge(last)?),
        };
        let mut up = Vec::new();
        let rung = rung(highest);
        let mut share = rung;
        while share <= highest {
            up.push(Tick {
                at: tenth(BOTTOM - height(share)),
                text: percent_plain(share, words)?,
            });
            share += rung;
        }
        let place = (walls.median_mm / self.width_mm).min(self.end());
        Ok(Histogram {
            alt,
            bars: bars.collect(),
            across,
            open,
            up,
            median: Tick {
                at: tenth(LEFT + place * step),
                text: words.fill(
                    "walls_half",
                    &[("mm", &figures::millimetres(walls.median_mm, 1, words)?)],
                )?,
            },
        })
    }

    fn end(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "a handful")]
        let end = self.count as f64 - 0.5;
        end
    }
}

/// The thickness below which most of the area lies.
fn reach_mm(walls: &Walls) -> f64 {
    let total: f64 = walls.histogram.iter().map(|b| b.area_mm2).sum();
    let mut below = 0.0;
    for bin in &walls.histogram {
        below += bin.area_mm2;
        if below >= SHOWN * total {
            return bin.to_mm;
        }
    }
    walls.histogram.last().map_or(0.0, |b| b.to_mm)
}

/// From one line across to the next, so that there are two to four.
fn rung(highest: f64) -> f64 {
    let steps = [0.01, 0.02, 0.05, 0.1, 0.2];
    *steps.iter().find(|s| highest / **s < 5.0).unwrap_or(&0.25)
}

fn percent_plain(share: f64, words: &Words) -> Result<String, SiteError> {
    if share < 0.1 {
        return Ok(format!(
            "{}\u{a0}%",
            figures::number(share * 100.0, 0, words)?
        ));
    }
    percent(share, words)
}

/// View-box units to one decimal: finer than a printed hairline.
fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::joint::Bin;
    use crate::mesh::Spot;
    use crate::site::theme::Theme;
    use crate::site::words;
    use glam::DVec3;

    /// Walls of so many square millimetres by half millimetres.
    fn walls(areas: &[f64]) -> Walls {
        let bin = |(i, area_mm2): (u32, f64)| Bin {
            from_mm: f64::from(i) * 0.5,
            to_mm: f64::from(i + 1) * 0.5,
            area_mm2,
        };
        Walls {
            least_mm: 0.1,
            least_at: Spot {
                centre: DVec3::ZERO,
                radius_mm: 1.0,
            },
            median_mm: 3.0,
            p05_mm: 1.0,
            histogram: (0..).zip(areas.iter().copied()).map(bin).collect(),
            thin_below_mm: 1.0,
            thin: Vec::new(),
            escaped: 0.0,
            grazed: 0.0,
            buried: 0.0,
            samples: 1000,
        }
    }

    #[test]
    fn bars_hold_all_of_the_area_and_are_as_high_as_their_share() {
        // Fifty half millimetres alike, and a little that is far thicker.
        let mut areas = vec![2.0; 50];
        areas.extend(vec![0.0; 100]);
        areas.push(1.0);
        let walls = walls(&areas);
        let bars = Bars::of(&[&walls]);
        // 95 % of 101 mm² end in the 48th half millimetre: 24 mm, twelve bars of two.
        assert_eq!((bars.width_mm, bars.count), (2.0, 13));
        let shares = bars.shares(&walls);
        assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-12);
        assert!((shares[0] - 8.0 / 101.0).abs() < 1e-12);
        assert!((shares[12] - 5.0 / 101.0).abs() < 1e-12);
        let langs = ["en", "cy"].map(|l| l.parse().unwrap());
        let all = words::read(&Theme::built_in(), &langs).unwrap();
        let words = &all[&langs[0]];
        let drawn = bars
            .draw(&walls, 8.0 / 101.0, String::new(), words)
            .unwrap();
        assert_eq!(drawn.bars.len(), 13);
        assert!((drawn.bars[0].height - (BOTTOM - TOP)).abs() < 0.06);
        assert!((drawn.bars[12].height - 5.0 / 8.0 * (BOTTOM - TOP)).abs() < 0.06);
        assert!(
            drawn
                .bars
                .iter()
                .all(|b| b.x >= LEFT && b.x + b.width <= RIGHT)
        );
        assert_eq!(bars.name(1, words).unwrap(), "2 to 4\u{a0}mm");
        assert_eq!(bars.name(12, words).unwrap(), "more than 24\u{a0}mm");
        assert_eq!(drawn.up.len(), 3, "{:?}", drawn.up);
        // The mark of the median stands in its bar: 3 mm is the middle of the second.
        let second = &drawn.bars[1];
        assert!((drawn.median.at - (second.x + second.width / 2.0)).abs() < 0.2);
    }

    #[test]
    fn a_sheet_of_one_thickness_is_one_bar() {
        let walls = walls(&[0.0, 0.0, 7.0]);
        let bars = Bars::of(&[&walls]);
        assert_eq!((bars.width_mm, bars.count), (0.5, 4));
        assert_eq!(bars.shares(&walls), [0.0, 0.0, 1.0, 0.0]);
    }
}
