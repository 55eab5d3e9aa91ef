//! The day as a ring of 24 hours: when the element may heat, now and at best, and what a kWh costs.

use plotters::style::RGBColor;

use super::style::{At, BACKUP, BODY, Dash, GRID, INK, LOSS, MARGIN, MUTED, SMALL, SUN, Sheet, Words};
use super::units::Units;

/// All that the dial shows. Spans are minutes after midnight by the clock, each with its end behind its start.
#[derive(Clone, Debug)]
pub struct HoursDial {
    /// Whose it is.
    pub name: String,
    /// Hours the element has now.
    pub now: Vec<(u32, u32)>,
    /// The best hours that may be proposed.
    pub best: Vec<(u32, u32)>,
    /// Mean price of each hour, where the clock makes the price.
    pub prices: Option<[f64; 24]>,
    /// The lowest and the highest of them in words.
    pub least_most: Option<(String, String)>,
    /// Line under the title.
    pub told: String,
    /// Units of the reader, for the habit of writing hours.
    pub units: Units,
}

const CENTER: (f64, f64) = (240.0, 268.0);
/// Inner and outer radius of the rings.
const PRICES: (f64, f64) = (142.0, 164.0);
const NOW: (f64, f64) = (108.0, 136.0);
const BEST: (f64, f64) = (74.0, 102.0);

/// Dearest hour.
const DEAR: RGBColor = RGBColor(0x2b, 0x33, 0x3d);

/// Place of a minute of the day on a circle: midnight on top, clockwise.
fn at(minute: f64, radius: f64) -> (f64, f64) {
    let angle = std::f64::consts::TAU * minute / 1440.0;
    (CENTER.0 + radius * libm::sin(angle), CENTER.1 - radius * libm::cos(angle))
}

/// Points along an arc, four a half hour.
fn arc(from: f64, to: f64, radius: f64) -> Vec<(f64, f64)> {
    let steps = (((to - from) / 7.5) as usize).max(1);
    (0..=steps).map(|i| at(from + (to - from) * i as f64 / steps as f64, radius)).collect()
}

/// A piece of a ring.
fn piece(sheet: &Sheet<'_>, (from, to): (f64, f64), (inner, outer): (f64, f64), color: RGBColor) {
    let mut points = arc(from, to, outer);
    points.extend(arc(from, to, inner).into_iter().rev());
    sheet.area(&points, color);
}

fn ring(sheet: &Sheet<'_>, spans: &[(u32, u32)], radii: (f64, f64), color: RGBColor) {
    piece(sheet, (0.0, 1440.0), radii, GRID);
    for &(from, to) in spans {
        piece(sheet, (f64::from(from), f64::from(to)), radii, color);
    }
    for radius in [radii.0, radii.1] {
        sheet.line(&arc(0.0, 1440.0, radius), MUTED, 0.75, Dash::Solid);
    }
}

/// Between two colors.
fn mixed(low: RGBColor, high: RGBColor, share: f64) -> RGBColor {
    let mix = |a: u8, b: u8| (f64::from(a) + share * (f64::from(b) - f64::from(a))).round() as u8;
    RGBColor(mix(low.0, high.0), mix(low.1, high.1), mix(low.2, high.2))
}

impl HoursDial {
    fn words(&self, spans: &[(u32, u32)]) -> String {
        match spans {
            [] => "never".to_owned(),
            [(0, 1440)] => "always".to_owned(),
            spans => {
                let clock = |minute: u32| self.units.clock(60 * minute);
                let span = |&(from, to): &(u32, u32)| format!("{} \u{2013} {}", clock(from), clock(to));
                // What runs over midnight is told as one.
                let late = spans.iter().find(|span| span.1 == 1440 && spans.iter().any(|other| other.0 == 0));
                let early = spans.iter().find(|span| late.is_some() && span.0 == 0);
                let whole = late.zip(early).map(|(late, early)| (late.0, early.1));
                let rest = spans.iter().filter(|&span| Some(span) != late && Some(span) != early);
                whole.iter().chain(rest).map(span).collect::<Vec<_>>().join(", ")
            }
        }
    }
}

/// The dial as an SVG.
pub fn hours_dial(dial: &HoursDial) -> String {
    let (now, best) = (dial.words(&dial.now), dial.words(&dial.best));
    let price =
        dial.least_most.as_ref().map(|(least, most)| format!("a kWh costs {least} to {most} on average"));
    let words = Words {
        title: "Hours of the element",
        name: &dial.name,
        subtitle: dial.told.clone(),
        description: format!(
            "Ring of 24 hours. Now: {now}. Best hours that may be proposed: {best}.{}",
            price.as_ref().map(|price| format!(" By the hour {price}.")).unwrap_or_default()
        ),
    };
    Sheet::picture(505.0, &words, |sheet| {
        if let Some(prices) = &dial.prices {
            let ends = prices.iter().fold((f64::MAX, f64::MIN), |(a, b), &p| (a.min(p), b.max(p)));
            for (hour, price) in prices.iter().enumerate() {
                let share = (price - ends.0) / (ends.1 - ends.0).max(f64::MIN_POSITIVE);
                let span = (60.0 * hour as f64, 60.0 * (hour + 1) as f64);
                piece(sheet, span, PRICES, mixed(GRID, DEAR, share));
            }
            for radius in [PRICES.0, PRICES.1] {
                sheet.line(&arc(0.0, 1440.0, radius), MUTED, 0.75, Dash::Solid);
            }
        }
        ring(sheet, &dial.now, NOW, SUN);
        ring(sheet, &dial.best, BEST, BACKUP);
        for hour in 0..24 {
            let minute = 60.0 * f64::from(hour);
            let long = if hour % 3 == 0 { 7.0 } else { 3.0 };
            sheet.line(&[at(minute, PRICES.1 + 1.0), at(minute, PRICES.1 + long)], MUTED, 0.75, Dash::Solid);
            if hour % 3 == 0 {
                let words = dial.units.clock(3600 * hour);
                sheet.text(at(minute, PRICES.1 + 24.0), &words, SMALL, MUTED, At::Center);
            }
        }
        let mut y = 180.0;
        let mut line = |color: Option<RGBColor>, head: &str, words: &str| {
            if let Some(color) = color {
                sheet.fill((490.0, y - 8.0), (510.0, y + 8.0), color);
                sheet.line(
                    &[
                        (490.0, y - 8.0),
                        (510.0, y - 8.0),
                        (510.0, y + 8.0),
                        (490.0, y + 8.0),
                        (490.0, y - 8.0),
                    ],
                    LOSS,
                    0.75,
                    Dash::Solid,
                );
            }
            sheet.text((520.0, y), head, BODY, INK, At::Left);
            sheet.text((520.0, y + 18.0), words, SMALL, MUTED, At::Left);
            y += 56.0;
        };
        line(Some(SUN), "Middle ring: may heat now", &now);
        line(Some(BACKUP), "Inner ring: best that may be proposed", &best);
        if let Some(price) = &price {
            line(Some(DEAR), "Outer ring: price, darker is dearer", price);
        }
        let note = "Times by the clock of the house. Pale: the element may not heat.";
        sheet.text((MARGIN, 488.0), note, SMALL, MUTED, At::Left);
    })
}
