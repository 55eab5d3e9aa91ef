//! Plants side by side: what each saves, by the month, and the parts of the difference.

use super::months::{Key, heads, middle, month_width, row, scale};
use super::style::{
    At, Axis, BACKUP, BODY, Dash, GRID, INK, LOSS, MARGIN, MUTED, SMALL, SUN, Sheet, WIDTH, Words,
};
use super::units::{grouped, kwh};

/// A plant as a bar.
#[derive(Clone, Debug)]
pub struct SavedBar {
    /// What it is called.
    pub name: String,
    /// Energy saved at equal service, in kWh.
    pub saved_kwh: f64,
    /// What else is said behind the bar, as of money.
    pub note: String,
    /// True for the plant that saves most.
    pub best: bool,
}

/// Distance of rows, and where the first begins.
const PITCH: f64 = 32.0;
const TOP: f64 = 78.0;

/// Letters of a name within the line under the title.
const IN_LINE: usize = 40;

/// What each plant saves in the year, as an SVG.
pub fn compared_plants(name: &str, bars: &[SavedBar]) -> String {
    let list: Vec<_> = bars.iter().map(|bar| format!("{} {}", bar.name, kwh(bar.saved_kwh))).collect();
    let words = Words {
        title: "What each plant saves in a year",
        name,
        subtitle: "Energy saved at equal service, beside the heater without sun".to_owned(),
        description: format!("Bars of the energy saved at equal service: {}.", list.join("; ")),
    };
    let (left, right) = (320.0, WIDTH - MARGIN - 150.0);
    let most = bars.iter().map(|bar| bar.saved_kwh).fold(1.0, f64::max);
    let least = bars.iter().map(|bar| bar.saved_kwh).fold(0.0, f64::min);
    let axis = Axis { values: (least, most), places: (left, right) };
    Sheet::picture(TOP + PITCH * bars.len() as f64 + 18.0, &words, |sheet| {
        let zero = axis.at(0.0);
        for (i, bar) in bars.iter().enumerate() {
            let y = TOP + PITCH * (i as f64 + 0.5);
            let color = if bar.best { SUN } else { LOSS };
            sheet.fill((zero, y - 10.0), (axis.at(bar.saved_kwh), y + 10.0), color);
            sheet.text((MARGIN, y), &short(&bar.name, 38), BODY, INK, At::Left);
            let value = format!("{}{}", kwh(bar.saved_kwh), bar.note);
            sheet.text((WIDTH - MARGIN, y), &value, BODY, INK, At::Right);
        }
        sheet.line(&[(zero, TOP), (zero, TOP + PITCH * bars.len() as f64)], MUTED, 1.0, Dash::Solid);
    })
}

/// What two plants save by the month, side by side, as an SVG.
pub fn compared_months(names: [&str; 2], saved_kwh: [&[f64]; 2]) -> String {
    let years = saved_kwh.map(|months| months.iter().sum::<f64>());
    let words = Words {
        title: "Saved by month",
        name: names[0],
        subtitle: format!(
            "Beside it, dark: {}. Energy saved at equal service, in kWh",
            short(names[1], IN_LINE)
        ),
        description: format!(
            "Pairs of bars for twelve months: {} saves {} in the year, {} saves {}.",
            names[0],
            kwh(years[0]),
            names[1],
            kwh(years[1])
        ),
    };
    Sheet::picture(464.0, &words, |sheet| {
        let all = || saved_kwh.into_iter().flatten().copied();
        let (axis, ticks) =
            Axis::round(all().fold(0.0, f64::min), all().fold(1.0, f64::max), 6, (352.0, 98.0));
        scale(sheet, &axis, &ticks, "kWh a month");
        let zero = axis.at(0.0);
        for (months, (color, from, to)) in
            saved_kwh.into_iter().zip([(SUN, -0.36, -0.02), (BACKUP, 0.02, 0.36)])
        {
            for (month, value) in months.iter().enumerate() {
                let x = middle(month);
                sheet.fill(
                    (x + from * month_width(), zero),
                    (x + to * month_width(), axis.at(*value)),
                    color,
                );
            }
        }
        heads(sheet, 372.0, "Year");
        let whole = |values: Vec<f64>| -> Vec<String> { values.iter().map(|v| grouped(*v, 0)).collect() };
        for (i, (color, name)) in [(SUN, names[0]), (BACKUP, names[1])].into_iter().enumerate() {
            let y = 396.0 + 22.0 * i as f64;
            let months = whole(saved_kwh[i].to_vec());
            row(sheet, y, Key::Fill(color), &short(name, 17), &months, &grouped(years[i], 0));
        }
        let apart: Vec<f64> = saved_kwh[0].iter().zip(saved_kwh[1]).map(|(a, b)| a - b).collect();
        let year = grouped(years[0] - years[1], 0);
        row(sheet, 440.0, Key::Line(MUTED), "Difference", &whole(apart), &year);
    })
}

/// The parts of a difference, which add up to it: each a bar to the side of the plant it speaks for. As an SVG.
pub fn difference_parts(names: [&str; 2], parts: &[(&str, f64)], sum_kwh: f64) -> String {
    // A part that reads 0 kWh says nothing.
    let shown: Vec<_> = parts.iter().filter(|(_, kwh)| kwh.abs() >= 0.5).collect();
    let list: Vec<_> = shown.iter().map(|(label, part)| format!("{label} {}", kwh(*part))).collect();
    let words = Words {
        title: "Why they differ",
        name: names[0],
        subtitle: format!(
            "Parts of the difference to {}, in kWh a year; they add up",
            short(names[1], IN_LINE)
        ),
        description: format!(
            "Bars to the right speak for {}, to the left for {}. Parts: {}. In all {}.",
            names[0],
            names[1],
            list.join("; "),
            kwh(sum_kwh)
        ),
    };
    let rows = shown.len() + 1;
    let low = shown.iter().map(|(_, kwh)| *kwh).fold(sum_kwh.min(0.0), f64::min);
    let high = shown.iter().map(|(_, kwh)| *kwh).fold(sum_kwh.max(0.0), f64::max);
    let axis = Axis { values: (low, high.max(low + 1.0)), places: (270.0, WIDTH - MARGIN - 90.0) };
    Sheet::picture(TOP + PITCH * rows as f64 + 18.0, &words, |sheet| {
        let zero = axis.at(0.0);
        let bottom = TOP + PITCH * rows as f64;
        let all =
            shown.iter().map(|(label, kwh)| (*label, *kwh, false)).chain([("Difference", sum_kwh, true)]);
        for (i, (label, part, sum)) in all.enumerate() {
            let y = TOP + PITCH * (i as f64 + 0.5);
            if sum {
                let line = [(MARGIN, y - 0.5 * PITCH), (WIDTH - MARGIN, y - 0.5 * PITCH)];
                sheet.line(&line, GRID, 0.75, Dash::Solid);
            }
            let color = match (sum, part >= 0.0) {
                (true, _) => INK,
                (false, true) => SUN,
                (false, false) => BACKUP,
            };
            sheet.fill((zero, y - 10.0), (axis.at(part), y + 10.0), color);
            sheet.text((MARGIN, y), label, BODY, INK, At::Left);
            let sign = if part >= 0.5 { "+" } else { "" };
            sheet.text((WIDTH - MARGIN, y), &format!("{sign}{}", kwh(part)), BODY, INK, At::Right);
        }
        sheet.line(&[(zero, TOP), (zero, bottom)], MUTED, 1.0, Dash::Solid);
        sheet.text((zero - 8.0, TOP - 6.0), "against it", SMALL, MUTED, At::Right);
        sheet.text((zero + 8.0, TOP - 6.0), "for it", SMALL, MUTED, At::Left);
    })
}

/// A name cut to so many letters.
fn short(name: &str, letters: usize) -> String {
    if name.chars().count() <= letters {
        return name.to_owned();
    }
    name.chars().take(letters - 1).chain(['\u{2026}']).collect()
}
