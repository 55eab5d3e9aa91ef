//! Three days side by side: tank top, middle and bottom, the collector, the pump and the sun.

use plotters::style::RGBColor;

use super::style::{
    At, Axis, BODY, COLLECTOR, Dash, GRID, INK, LOSS, MARGIN, MONTHS, MUTED, SECOND_TANK, SMALL, SUN, Sheet,
    TANK_BOTTOM, TANK_MIDDLE, TANK_TOP, WIDTH, Words,
};
use super::units::{Units, grouped};
use crate::record::{DayTrace, TracePoint};

/// A line of the picture: name, color, width, dash and where its value stands.
type Curve = (&'static str, RGBColor, f64, Dash, fn(&TracePoint) -> f64);

const CURVES: [Curve; 5] = [
    ("Collector", COLLECTOR, 1.5, Dash::Broken(12.0, 2.0), |p| p.collector_c),
    ("Tank top", TANK_TOP, 2.5, Dash::Solid, |p| p.tank_top_c),
    ("Tank middle", TANK_MIDDLE, 2.0, Dash::Broken(5.0, 4.0), |p| p.tank_middle_c),
    ("Tank bottom", TANK_BOTTOM, 2.5, Dash::Broken(1.5, 2.5), |p| p.tank_bottom_c),
    ("Heater top", SECOND_TANK, 2.5, Dash::Broken(2.0, 6.0), |p| p.second_top_c),
];

/// The curves that these days have: not every plant has a loop or a second tank, and a batch collector is its tank.
fn curves(days: &[ShownDay<'_>]) -> Vec<Curve> {
    let points = || days.iter().flat_map(|d| &d.trace.points);
    let batch = points().all(|p| p.collector_c == p.tank_top_c);
    let there = |curve: &Curve| points().any(|p| curve.4(p).is_finite()) && !(batch && curve.1 == COLLECTOR);
    CURVES.into_iter().filter(there).collect()
}

/// Left edge of the first panel.
const LEFT: f64 = 74.0;
/// Gap between panels.
const GAP: f64 = 22.0;

/// A traced day with the word for its sky and its date.
#[derive(Clone, Copy, Debug)]
pub struct ShownDay<'a> {
    /// "Clear day", "Mixed day" or "Dull day".
    pub sky: &'static str,
    /// Month, 1 to 12, and day of the month.
    pub date: (u32, u32),
    /// The day.
    pub trace: &'a DayTrace,
}

impl ShownDay<'_> {
    fn heading(&self) -> String {
        format!("{}, {} {}", self.sky, MONTHS[self.date.0 as usize - 1], self.date.1)
    }

    fn warmest(&self, value: fn(&TracePoint) -> f64) -> f64 {
        self.trace.points.iter().map(value).fold(f64::MIN, f64::max)
    }

    fn pump_hours(&self) -> f64 {
        steps(self.trace).map(|(from, p)| p.pump_frac * (p.minute - from) / 60.0).sum()
    }
}

/// Points with the minute at which their step began.
fn steps(trace: &DayTrace) -> impl Iterator<Item = (f64, &TracePoint)> {
    let begins = std::iter::once(0.0).chain(trace.points.iter().map(|p| p.minute));
    begins.zip(&trace.points)
}

/// Temperatures, pump and sun on one to three days, as an SVG.
///
/// # Panics
///
/// If there is no day, or one without points.
pub fn day_curves(name: &str, days: &[ShownDay<'_>], units: Units) -> String {
    assert!(!days.is_empty() && days.iter().all(|d| !d.trace.points.is_empty()), "a day to draw");
    let level = |level_c| units.shown_level(level_c);
    let curves = curves(days);
    let pumped = days.iter().any(|d| d.pump_hours() > 0.0);
    let told: Vec<_> = days
        .iter()
        .map(|d| {
            let tops =
                curves.iter().map(|c| format!("{} up to {}", c.0.to_lowercase(), level(d.warmest(c.4))));
            let pump = pumped.then(|| format!("pump {} hours", grouped(d.pump_hours(), 1)));
            format!("{}: {}", d.heading(), tops.chain(pump).collect::<Vec<_>>().join(", "))
        })
        .collect();
    let words = Words {
        title: if curves[0].1 == COLLECTOR {
            "Tank and collector on three days"
        } else {
            "The tank on three days"
        },
        name,
        subtitle: format!("Temperatures in {}; hours of local standard time", units.level_sign()),
        description: format!("Curves over the hours of each day. {}.", told.join(". ")),
    };
    let all =
        || days.iter().flat_map(|d| &d.trace.points).flat_map(|p| curves.iter().map(|c| units.level(c.4(p))));
    let (low, high) = (all().fold(f64::MAX, f64::min), all().fold(f64::MIN, f64::max));
    let brightest = days.iter().map(|d| d.warmest(|p| p.plane_w_m2)).fold(1.0, f64::max);
    Sheet::picture(494.0, &words, |sheet| {
        key(sheet, &curves);
        let (warmth, ticks) = Axis::round(low.min(high - 1.0), high, 7, (352.0, 132.0));
        let (sun, sun_ticks) = Axis::round(0.0, brightest, 3, (460.0, 400.0));
        for (axis, ticks) in [(&warmth, &ticks), (&sun, &sun_ticks)] {
            for tick in ticks {
                sheet.text((LEFT - 8.0, axis.at(*tick)), &grouped(*tick, 0), SMALL, MUTED, At::Right);
            }
        }
        if pumped {
            sheet.text((LEFT - 8.0, 377.0), "Pump", SMALL, MUTED, At::Right);
        }
        sheet.text((LEFT - 8.0, 476.0), "W/m\u{b2}", SMALL, MUTED, At::Right);
        let width = (WIDTH - MARGIN - LEFT - 2.0 * GAP) / 3.0;
        for (i, day) in days.iter().enumerate() {
            let left = LEFT + i as f64 * (width + GAP);
            let hours = Axis { values: (0.0, 24.0), places: (left, left + width) };
            sheet.text((left, 113.0), &day.heading(), BODY, INK, At::Left);
            for (axis, ticks) in [(&warmth, &ticks), (&sun, &sun_ticks)] {
                for tick in ticks {
                    let y = axis.at(*tick);
                    sheet.line(&[(left, y), (left + width, y)], GRID, 0.75, Dash::Solid);
                }
            }
            hour_lines(sheet, &hours, units);
            if pumped {
                pump(sheet, day.trace, &hours);
            }
            sunshine(sheet, day.trace, &hours, &sun);
            for &(_, color, width, dash, value) in &curves {
                let points = day.trace.points.iter();
                let points: Vec<_> =
                    points.map(|p| (hours.at(p.minute / 60.0), warmth.at(units.level(value(p))))).collect();
                sheet.line(&points, color, width, dash);
            }
        }
    })
}

/// Names of the curves beside a piece of each, above the panels.
fn key(sheet: &Sheet<'_>, curves: &[Curve]) {
    let mut x = LEFT;
    for &(name, color, width, dash, _) in curves {
        sheet.line(&[(x, 82.0), (x + 34.0, 82.0)], color, width, dash);
        sheet.text((x + 40.0, 82.0), name, SMALL, INK, At::Left);
        // Two-word names are all about as long.
        x += if curves.len() > 4 { 118.0 } else { 134.0 };
    }
    sheet.fill((x, 77.0), (x + 20.0, 87.0), SUN);
    sheet.text((x + 26.0, 82.0), "Sun on the collectors", SMALL, INK, At::Left);
}

fn hour_lines(sheet: &Sheet<'_>, hours: &Axis, units: Units) {
    let names = match units {
        Units::Us => ["6 am", "noon", "6 pm"],
        Units::Si => ["6:00", "12:00", "18:00"],
    };
    for (hour, name) in [6.0, 12.0, 18.0].into_iter().zip(names) {
        let x = hours.at(hour);
        sheet.line(&[(x, 132.0), (x, 460.0)], GRID, 0.75, Dash::Solid);
        sheet.text((x, 476.0), name, SMALL, MUTED, At::Center);
    }
}

/// A band whose height is the share of time the pump ran.
fn pump(sheet: &Sheet<'_>, trace: &DayTrace, hours: &Axis) {
    const FOOT: f64 = 386.0;
    const FULL: f64 = 18.0;
    sheet.line(&[(hours.places.0, FOOT), (hours.places.1, FOOT)], LOSS, 0.75, Dash::Solid);
    let mut pieces: Vec<(f64, f64, f64)> = Vec::new();
    for (from, p) in steps(trace).filter(|(_, p)| p.pump_frac > 0.0) {
        match pieces.last_mut() {
            Some(last) if last.1 == from && last.2 == p.pump_frac => last.1 = p.minute,
            _ => pieces.push((from, p.minute, p.pump_frac)),
        }
    }
    for (from, to, share) in pieces {
        sheet.fill((hours.at(from / 60.0), FOOT - FULL * share), (hours.at(to / 60.0), FOOT), MUTED);
    }
}

fn sunshine(sheet: &Sheet<'_>, trace: &DayTrace, hours: &Axis, sun: &Axis) {
    let mut outline = vec![(hours.places.0, sun.places.0)];
    for (from, p) in steps(trace) {
        outline.push((hours.at(0.5 * (from + p.minute) / 60.0), sun.at(p.plane_w_m2)));
    }
    outline.push((hours.places.1, sun.places.0));
    sheet.area(&outline, SUN);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::style::luminance;

    /// Lines cross: what little ink or lightness tells apart, the other does.
    #[test]
    fn every_curve_has_its_own_line() {
        let inked = |dash: Dash| match dash {
            Dash::Solid => 1.0,
            Dash::Broken(dash, gap) => dash / (dash + gap),
        };
        // L* of CIE 1976.
        let light = |color| 116.0 * libm::cbrt(luminance(color)) - 16.0;
        for (i, a) in CURVES.iter().enumerate() {
            for b in &CURVES[..i] {
                let (ink, gray) = ((inked(a.3) - inked(b.3)).abs(), (light(a.1) - light(b.1)).abs());
                assert!(ink > 0.1 && (ink > 0.25 || gray > 10.0), "{} and {}: {ink} {gray}", a.0, b.0);
            }
        }
    }
}
