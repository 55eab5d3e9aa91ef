//! Month bars: solar heat and backup stacked, and beside them the hot water wanted.

use plotters::style::RGBColor;

use super::style::{
    At, Axis, BACKUP, BODY, Dash, GRID, INK, LOSS, MARGIN, MONTHS, MUTED, SMALL, SUN, Sheet, WIDTH, Words,
};
use super::units::{grouped, kwh, percent};
use crate::record::{Column, YearResult};

/// Left edge of the months: right of the row names of the table under the bars.
pub(super) const LEFT: f64 = 150.0;
/// Right edge of the months: left of the year's column of the table.
pub(super) const RIGHT: f64 = WIDTH - 78.0;

/// How a row of the table under month bars is keyed to the bars.
#[derive(Clone, Copy)]
pub(super) enum Key {
    /// Filled in this color.
    Fill(RGBColor),
    /// In outline.
    Outline,
    /// A line in this color.
    Line(RGBColor),
}

/// Middle of a month's place, 0 to 11.
pub(super) fn middle(month: usize) -> f64 {
    LEFT + (month as f64 + 0.5) * month_width()
}

/// Width of a month's place.
pub(super) fn month_width() -> f64 {
    (RIGHT - LEFT) / 12.0
}

/// Grid lines and numbers of an upright axis left of the months.
pub(super) fn scale(sheet: &Sheet<'_>, axis: &Axis, ticks: &[f64], unit: &str) {
    for tick in ticks {
        let y = axis.at(*tick);
        let (color, width) = if *tick == 0.0 { (MUTED, 1.0) } else { (GRID, 0.75) };
        sheet.line(&[(LEFT, y), (RIGHT, y)], color, width, Dash::Solid);
        sheet.text((LEFT - 8.0, y), &grouped(*tick, 0), SMALL, MUTED, At::Right);
    }
    sheet.text((LEFT - 8.0, axis.places.1 - 20.0), unit, SMALL, MUTED, At::Right);
}

/// Heads of the table under the bars: months, and the words over the year's column.
pub(super) fn heads(sheet: &Sheet<'_>, y: f64, year: &str) {
    for (month, name) in MONTHS.iter().enumerate() {
        sheet.text((middle(month), y), name, BODY, INK, At::Center);
    }
    sheet.text((WIDTH - MARGIN, y), year, BODY, INK, At::Right);
}

/// A row of the table under the bars, which is the key to them as well.
pub(super) fn row(sheet: &Sheet<'_>, y: f64, key: Key, name: &str, months: &[String], year: &str) {
    sheet.line(&[(MARGIN, y - 11.0), (WIDTH - MARGIN, y - 11.0)], GRID, 0.75, Dash::Solid);
    let box_of = ((MARGIN, y - 5.5), (MARGIN + 11.0, y + 5.5));
    match key {
        Key::Fill(color) => sheet.fill(box_of.0, box_of.1, color),
        Key::Outline => sheet.frame(box_of.0, box_of.1, INK, 1.25),
        Key::Line(color) => sheet.line(&[(MARGIN, y), (MARGIN + 11.0, y)], color, 2.0, Dash::Solid),
    }
    sheet.text((MARGIN + 17.0, y), name, SMALL, INK, At::Left);
    for (month, value) in months.iter().enumerate() {
        sheet.text((middle(month), y), value, SMALL, INK, At::Center);
    }
    sheet.text((WIDTH - MARGIN, y), year, SMALL, INK, At::Right);
}

/// Height of the bars' scale.
const TALL: f64 = 254.0;

/// The same where other things share the sheet of paper.
const LOW: f64 = 128.0;

/// Month bars of solar heat into the tank, backup heat and hot water wanted, in kWh, as an SVG.
pub fn month_bars(name: &str, result: &YearResult) -> String {
    bars(name, result, TALL)
}

/// The same, less high.
pub fn low_month_bars(name: &str, result: &YearResult) -> String {
    bars(name, result, LOW)
}

fn bars(name: &str, result: &YearResult, scale_height: f64) -> String {
    let year = &result.annual;
    let column = |c: Column| -> Vec<f64> { result.monthly.iter().map(|m| m[c]).collect() };
    let [sun, backup, load, missing] =
        [Column::HeatIntoTank, Column::BackupHeat, Column::Load, Column::Shortfall].map(column);
    // A part that reads 0 kWh says nothing.
    let short = year[Column::Shortfall] >= 0.5;
    let words = Words {
        title: "Sun, backup and hot water by month",
        name,
        subtitle: format!(
            "In the year: {} from the sun, {} from the backup, {} of hot water wanted",
            kwh(year[Column::HeatIntoTank]),
            kwh(year[Column::BackupHeat]),
            kwh(year[Column::Load])
        ),
        description: format!(
            "Bars for twelve months. Solar heat into the tank is {} in the year, most in {} and least in {}; backup \
             heat is {}; hot water wanted is {}, of which {} did not come. Solar fraction {}.",
            kwh(year[Column::HeatIntoTank]),
            MONTHS[extreme(&sun, |a, b| a > b)],
            MONTHS[extreme(&sun, |a, b| a < b)],
            kwh(year[Column::BackupHeat]),
            kwh(year[Column::Load]),
            kwh(year[Column::Shortfall]),
            percent(year[Column::SolarFraction]),
        ),
    };
    const TOP: f64 = 98.0;
    let foot = TOP + scale_height;
    let height = foot + if short { 130.0 } else { 108.0 };
    Sheet::picture(height, &words, |sheet| {
        let highest =
            (0..12).map(|m| (sun[m].max(0.0) + backup[m].max(0.0)).max(load[m])).fold(1.0, f64::max);
        let lowest = sun.iter().copied().fold(0.0, f64::min);
        let (axis, ticks) =
            Axis::round(lowest, highest, if scale_height < TALL { 4 } else { 6 }, (foot, TOP));
        scale(sheet, &axis, &ticks, "kWh a month");
        let zero = axis.at(0.0);
        for month in 0..12 {
            let x = middle(month);
            let (left, right) = (x - 0.38 * month_width(), x + 0.1 * month_width());
            sheet.fill((left, zero), (right, axis.at(sun[month])), SUN);
            let foot = sun[month].max(0.0);
            sheet.fill((left, axis.at(foot)), (right, axis.at(foot + backup[month])), BACKUP);
            let wanted = axis.at(load[month]);
            let (left, right) = (x + 0.16 * month_width(), x + 0.38 * month_width());
            sheet.frame((left, zero), (right, wanted), INK, 1.25);
            // Inside the outline.
            let came = axis.at((load[month] - missing[month]).max(0.0));
            if came > wanted + 2.0 {
                sheet.fill((left + 1.0, came), (right - 1.0, wanted + 1.0), LOSS);
            }
        }
        heads(sheet, foot + 20.0, "Year");
        let whole = |values: &[f64]| -> Vec<String> { values.iter().map(|v| grouped(*v, 0)).collect() };
        let rows = [
            (Key::Outline, "Hot water wanted", &load, Column::Load),
            (Key::Fill(BACKUP), "Backup heat", &backup, Column::BackupHeat),
            (Key::Fill(SUN), "Solar heat", &sun, Column::HeatIntoTank),
            (Key::Fill(LOSS), "Not delivered", &missing, Column::Shortfall),
        ];
        for (i, (key, name, values, column)) in rows.into_iter().take(3 + usize::from(short)).enumerate() {
            row(sheet, foot + 44.0 + 22.0 * i as f64, key, name, &whole(values), &grouped(year[column], 0));
        }
    })
}

/// Index of the value that beats all others.
fn extreme(values: &[f64], beats: impl Fn(f64, f64) -> bool) -> usize {
    (0..values.len()).fold(0, |best, i| if beats(values[i], values[best]) { i } else { best })
}
