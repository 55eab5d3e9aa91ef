//! Maps of on against off difference: one cell a pair, with its numbers in it.

use plotters::style::RGBColor;

use super::map::colors;
use super::style::{At, BODY, Dash, INK, MARGIN, MUTED, PAPER, SMALL, Sheet, WIDTH, Words};
use super::units::{grouped, money};
use crate::money::Currency;

/// A pair of differences.
#[derive(Clone, Copy, Debug)]
pub struct OnOffCell {
    /// Position among the on differences.
    pub on: usize,
    /// Position among the off differences.
    pub off: usize,
    /// Saved a year, in the currency or in kWh.
    pub worth: f64,
    /// Saved a year in kWh.
    pub kwh: f64,
    /// Pump starts a day.
    pub starts_a_day: f64,
    /// Pump hours a year.
    pub pump_hours: f64,
    /// Cool-shower minutes a year.
    pub cool_min: f64,
    /// True: as good as the best.
    pub as_good: bool,
    /// True: this pair is proposed.
    pub proposed: bool,
    /// True: it breaks a floor.
    pub barred: bool,
}

/// All that the maps show.
#[derive(Clone, Debug)]
pub struct OnOff {
    /// Whose they are.
    pub name: String,
    /// On differences in words, rising.
    pub on: Vec<String>,
    /// Off differences in words, rising.
    pub off: Vec<String>,
    /// Currency of `worth`; `None`: kWh.
    pub currency: Option<Currency>,
    /// The pairs.
    pub cells: Vec<OnOffCell>,
    /// Line under the title.
    pub told: String,
}

const LEFT: f64 = 120.0;
const TOP: f64 = 74.0;
/// Colors of a map.
const STEPS: usize = 9;

/// Where a map lies and how high a row is.
#[derive(Clone, Copy)]
struct Place {
    top: f64,
    row: f64,
}

impl OnOff {
    fn bottom(&self, place: Place) -> f64 {
        place.top + place.row * self.off.len() as f64
    }

    /// Corners of a cell; off differences rise from the bottom up.
    fn corners(&self, place: Place, on: usize, off: usize) -> [(f64, f64); 2] {
        let wide = (WIDTH - MARGIN - LEFT) / self.on.len() as f64;
        let (x, y) = (LEFT + wide * on as f64, self.bottom(place) - place.row * off as f64);
        [(x, y - place.row), (x + wide, y)]
    }

    /// Draws the cells, each in the color of its value with its lines of text, and the axes.
    fn draw(
        &self,
        sheet: &Sheet<'_>,
        place: Place,
        value: impl Fn(&OnOffCell) -> f64,
        text: impl Fn(&OnOffCell) -> Vec<String>,
    ) {
        let values = || self.cells.iter().map(&value);
        let (low, high) = (values().fold(f64::MAX, f64::min), values().fold(f64::MIN, f64::max));
        let colors = colors(STEPS);
        for cell in &self.cells {
            let [a, b] = self.corners(place, cell.on, cell.off);
            let along = (value(cell) - low) / (high - low).max(f64::MIN_POSITIVE);
            let color = colors[((along * STEPS as f64) as usize).min(STEPS - 1)];
            sheet.fill(a, b, color);
            sheet.line(&[a, (b.0, a.1), b, (a.0, b.1), a], PAPER, 1.5, Dash::Solid);
            let lines = text(cell);
            for (i, line) in lines.iter().enumerate() {
                let y = 0.5 * (a.1 + b.1) + 15.0 * (i as f64 - 0.5 * (lines.len() - 1) as f64);
                sheet.text(
                    (0.5 * (a.0 + b.0), y),
                    line,
                    if i == 0 { BODY } else { SMALL },
                    on(color),
                    At::Center,
                );
            }
        }
        let bottom = self.bottom(place);
        for (i, words) in self.on.iter().enumerate() {
            let [a, b] = self.corners(place, i, 0);
            sheet.text((0.5 * (a.0 + b.0), bottom + 13.0), words, SMALL, MUTED, At::Center);
        }
        for (i, words) in self.off.iter().enumerate() {
            let [a, b] = self.corners(place, 0, i);
            sheet.text((LEFT - 10.0, 0.5 * (a.1 + b.1)), words, SMALL, MUTED, At::Right);
        }
        sheet.text((MARGIN, place.top + 0.5 * place.row), "Off at", BODY, INK, At::Left);
        sheet.text((MARGIN, bottom + 13.0), "On at", BODY, INK, At::Left);
    }

    /// Outlines the pairs that are as good as the best.
    fn outline(&self, sheet: &Sheet<'_>, place: Place) {
        let as_good = |on: Option<usize>, off: Option<usize>| {
            let found = self.cells.iter().find(|cell| Some(cell.on) == on && Some(cell.off) == off);
            found.is_some_and(|cell| cell.as_good)
        };
        for cell in self.cells.iter().filter(|cell| cell.as_good) {
            let [a, b] = self.corners(place, cell.on, cell.off);
            let (on, off) = (cell.on, cell.off);
            for (neighbor, from, to) in [
                ((Some(on), Some(off + 1)), a, (b.0, a.1)),
                ((Some(on), off.checked_sub(1)), (a.0, b.1), b),
                ((on.checked_sub(1), Some(off)), a, (a.0, b.1)),
                ((Some(on + 1), Some(off)), (b.0, a.1), b),
            ] {
                if !as_good(neighbor.0, neighbor.1) {
                    sheet.line(&[from, to], INK, 2.5, Dash::Solid);
                }
            }
        }
    }

    fn worth(&self, worth: f64) -> String {
        self.currency
            .map_or_else(|| format!("{} kWh", grouped(worth, 0)), |currency| money(currency, worth, 0))
    }
}

/// Color of text on a fill: dark on light ones.
fn on(RGBColor(red, green, blue): RGBColor) -> RGBColor {
    let luma = 0.299 * f64::from(red) + 0.587 * f64::from(green) + 0.114 * f64::from(blue);
    if luma > 110.0 { INK } else { PAPER }
}

/// Saving by on and off difference with pump starts a day in each cell, as an SVG.
pub fn on_off_map(map: &OnOff) -> String {
    let list = map.cells.iter().map(|cell| {
        format!(
            "on {} off {}: {}, {} starts a day",
            map.on[cell.on],
            map.off[cell.off],
            map.worth(cell.worth),
            grouped(cell.starts_a_day, 1)
        )
    });
    let words = Words {
        title: "On and off difference",
        name: &map.name,
        subtitle: map.told.clone(),
        description: format!("Map of pairs. {}. {}.", map.told, list.collect::<Vec<_>>().join("; ")),
    };
    let place = Place { top: TOP, row: if map.off.len() > 7 { 40.0 } else { 52.0 } };
    let bottom = map.bottom(place);
    Sheet::picture(bottom + 58.0, &words, |sheet| {
        let text = |cell: &OnOffCell| {
            let mut lines =
                vec![map.worth(cell.worth), format!("{} starts/day", grouped(cell.starts_a_day, 1))];
            if map.on.len() > 7 {
                lines[1] = format!("{}/day", grouped(cell.starts_a_day, 1));
            }
            if cell.proposed {
                lines.push("proposed".to_owned());
            }
            lines
        };
        map.draw(sheet, place, |cell| cell.worth, text);
        map.outline(sheet, place);
        for cell in map.cells.iter().filter(|cell| cell.barred) {
            let [a, b] = map.corners(place, cell.on, cell.off);
            sheet.line(&[(a.0, b.1), (b.0, a.1)], INK, 1.0, Dash::Broken(4.0, 4.0));
        }
        let note = "Lighter saves more. Heavy outline: as good as the best. Crossed out: breaks a floor. starts/day: pump starts a day";
        sheet.text((MARGIN, bottom + 40.0), note, SMALL, MUTED, At::Left);
    })
}

/// Energy saved, pump hours and cool-shower minutes by on and off difference, one map each, as an SVG.
pub fn on_off_maps(map: &OnOff) -> String {
    type Panel = (&'static str, fn(&OnOffCell) -> f64);
    const PANELS: [Panel; 3] = [
        ("Energy saved a year at equal service, kWh", |cell| cell.kwh),
        ("Pump hours a year", |cell| cell.pump_hours),
        ("Cool-shower minutes a year", |cell| cell.cool_min),
    ];
    const ROW: f64 = 25.0;
    let high = 62.0 + ROW * map.off.len() as f64;
    let ranges = PANELS.map(|(title, value)| {
        let (low, most) =
            map.cells.iter().map(value).fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)));
        format!("{title}: {} to {}", grouped(low, 0), grouped(most, 0))
    });
    let words = Words {
        title: "What the two differences move",
        name: &map.name,
        subtitle: "The same pairs as in the map of savings; lighter is more".to_owned(),
        description: format!("Three maps of on against off difference. {}.", ranges.join("; ")),
    };
    Sheet::picture(TOP + 3.0 * high, &words, |sheet| {
        for (i, (title, value)) in PANELS.into_iter().enumerate() {
            let top = TOP + high * i as f64;
            sheet.text((LEFT, top + 8.0), title, BODY, INK, At::Left);
            let place = Place { top: top + 20.0, row: ROW };
            map.draw(sheet, place, value, |cell| vec![grouped(value(cell), 0)]);
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::style::luminance;

    #[test]
    fn numbers_are_readable_in_every_cell() {
        for color in colors(STEPS) {
            let (ground, text) = (luminance(color) + 0.05, luminance(on(color)) + 0.05);
            // Large text of the Web Content Accessibility Guidelines 2.1, level AA, asks for 3 : 1.
            assert!((ground / text).max(text / ground) > 3.0, "{color:?}");
        }
    }
}
