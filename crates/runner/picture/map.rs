//! Day-by-hour maps of a year: days from left to right, hours from bottom to top, one color a step of the value.

use plotters::style::RGBColor;

use super::style::{At, Axis, BODY, Dash, GRID, INK, MARGIN, MONTHS, MUTED, SMALL, Sheet, WIDTH, Words};
use super::units::{Units, grouped};
use crate::record::{Accounts, Column};

/// Colors from low to high; each is lighter than the one before, so that the order survives gray print.
const RAMP: [RGBColor; 5] = [
    RGBColor(0x10, 0x22, 0x3c),
    RGBColor(0x23, 0x55, 0x86),
    RGBColor(0x4b, 0x93, 0x93),
    RGBColor(0xee, 0xb5, 0x49),
    RGBColor(0xff, 0xf3, 0xcf),
];

const LEFT: f64 = 66.0;
const TOP: f64 = 76.0;
const BOTTOM: f64 = 316.0;

/// `count` colors along the ramp.
pub(super) fn colors(count: usize) -> Vec<RGBColor> {
    let mix = |a: u8, b: u8, share: f64| (f64::from(a) + share * (f64::from(b) - f64::from(a))).round() as u8;
    (0..count)
        .map(|i| {
            let along = i as f64 / (count.max(2) - 1) as f64 * (RAMP.len() - 1) as f64;
            let piece = (along as usize).min(RAMP.len() - 2);
            let (low, high, share) = (RAMP[piece], RAMP[piece + 1], along - piece as f64);
            RGBColor(mix(low.0, high.0, share), mix(low.1, high.1, share), mix(low.2, high.2, share))
        })
        .collect()
}

/// Map of the temperature at the top of the tank, from 8,760 hours, as an SVG.
///
/// # Panics
///
/// If there are not 8,760 hours.
pub fn tank_map(name: &str, hourly: &[Accounts], units: Units) -> String {
    let values: Vec<f64> = hourly.iter().map(|h| units.level(h[Column::TankTop])).collect();
    let sign = units.level_sign();
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let (coolest, hottest) = range(&values);
    let facts = format!(
        "hottest hour {} {sign}, coolest {} {sign}, mean {} {sign}",
        grouped(hottest, 0),
        grouped(coolest, 0),
        grouped(mean, 0)
    );
    let words = Words {
        title: "Top of the tank, every hour of the year",
        name,
        subtitle: format!("What comes out of the tank: {facts}"),
        description: format!(
            "Map of days from left to right and hours from bottom to top, colored by the temperature at the top of the \
             tank: {facts}."
        ),
    };
    map(&words, &values, sign, units)
}

/// Map of the sun on level ground in W/m2, from 8,760 hours, as an SVG; `made` weather is called so.
///
/// # Panics
///
/// If there are not 8,760 hours.
pub fn sun_map(name: &str, made: bool, ghi_w_m2: &[f64], units: Units) -> String {
    let (_, strongest) = range(ghi_w_m2);
    let facts = format!(
        "{} kWh/m\u{b2} in the year, strongest hour {} W/m\u{b2}",
        grouped(ghi_w_m2.iter().sum::<f64>() / 1000.0, 0),
        grouped(strongest, 0)
    );
    let words = Words {
        title: "Sun on level ground, every hour of the year",
        name,
        subtitle: format!(
            "{}{facts}; hours of local standard time",
            if made { "Made weather: " } else { "" }
        ),
        description: format!(
            "Map of days from left to right and hours from bottom to top, colored by the sun on level ground. {}{facts}.",
            if made { "Made from monthly means, not measured: " } else { "" }
        ),
    };
    map(&words, ghi_w_m2, "W/m\u{b2}", units)
}

fn range(values: &[f64]) -> (f64, f64) {
    values.iter().fold((f64::MAX, f64::MIN), |(low, high), v| (low.min(*v), high.max(*v)))
}

fn map(words: &Words<'_>, values: &[f64], unit: &str, units: Units) -> String {
    assert_eq!(values.len(), 8760, "one value for each hour of the year");
    let (low, high) = range(values);
    let (scale, bounds) = Axis::round(low, high.max(low + 1.0), 10, (0.0, 1.0));
    let colors = colors(bounds.len() - 1);
    let class = |value: f64| {
        // A value on the uppermost bound belongs to the last color.
        ((scale.at(value) * colors.len() as f64) as usize).min(colors.len() - 1)
    };
    Sheet::picture(400.0, words, |sheet| {
        let right = WIDTH - MARGIN;
        sheet.cells((LEFT, TOP), (right, BOTTOM), (365, 24), &colors, |day, row| {
            class(values[24 * day + (23 - row)])
        });
        let hours = Axis { values: (0.0, 24.0), places: (BOTTOM, TOP) };
        let names = match units {
            Units::Us => ["12 am", "6 am", "noon", "6 pm", "12 am"],
            Units::Si => ["0:00", "6:00", "12:00", "18:00", "24:00"],
        };
        for (i, name) in names.into_iter().enumerate() {
            let y = hours.at(6.0 * i as f64);
            sheet.line(&[(LEFT - 5.0, y), (LEFT, y)], MUTED, 0.75, Dash::Solid);
            sheet.text((LEFT - 9.0, y), name, SMALL, MUTED, At::Right);
        }
        let days = Axis { values: (0.0, 365.0), places: (LEFT, right) };
        let mut first = 0.0;
        for (name, length) in
            MONTHS.iter().zip([31.0, 28.0, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0])
        {
            sheet.line(&[(days.at(first), BOTTOM), (days.at(first), BOTTOM + 5.0)], MUTED, 0.75, Dash::Solid);
            sheet.text((days.at(first + 0.5 * length), BOTTOM + 14.0), name, BODY, INK, At::Center);
            first += length;
        }
        key(sheet, &colors, &bounds, unit);
    })
}

/// Boxes of the colors with the values at which they change.
fn key(sheet: &Sheet<'_>, colors: &[RGBColor], bounds: &[f64], unit: &str) {
    const WIDE: f64 = 52.0;
    const Y: f64 = 352.0;
    for (i, color) in colors.iter().enumerate() {
        let x = LEFT + WIDE * i as f64;
        sheet.fill((x, Y), (x + WIDE, Y + 14.0), *color);
    }
    let end = LEFT + WIDE * colors.len() as f64;
    // The lightest box would be lost on the paper without an edge.
    let edge = [(LEFT, Y), (end, Y), (end, Y + 14.0), (LEFT, Y + 14.0), (LEFT, Y)];
    sheet.line(&edge, GRID, 0.75, Dash::Solid);
    for (i, bound) in bounds.iter().enumerate() {
        sheet.text((LEFT + WIDE * i as f64, Y + 25.0), &grouped(*bound, 0), SMALL, MUTED, At::Center);
    }
    sheet.text((end + 24.0, Y + 25.0), unit, SMALL, MUTED, At::Left);
}

#[cfg(test)]
mod tests {
    use super::super::style::luminance;
    use super::*;

    #[test]
    fn colors_rise_in_lightness() {
        for count in [2, 5, 8, 10] {
            let light: Vec<f64> = colors(count).into_iter().map(luminance).collect();
            // One part in thirty of the step from black to white still shows in gray print when boxes touch the scale.
            assert!(light.windows(2).all(|w| w[1] > w[0] + 0.005), "{light:?}");
        }
    }
}
