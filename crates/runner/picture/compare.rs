//! Plants side by side: what each saves, by the month, and the parts of the difference.

use super::months::{Key, heads, middle, month_width, row, scale};
use super::style::{
    At, Axis, BACKUP, BODY, Dash, GRID, INK, LOSS, MARGIN, MUTED, PAPER, SUN, Sheet, WIDTH, Words,
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

/// Steps that lead from what the second plant saves to what the first one does, as an SVG.
pub fn difference_parts(names: [&str; 2], saved_kwh: [f64; 2], parts: &[(&str, f64)]) -> String {
    // A part that reads 0 kWh says nothing.
    let shown: Vec<_> = parts.iter().filter(|(_, kwh)| kwh.abs() >= 0.5).collect();
    let list: Vec<_> = shown.iter().map(|(label, part)| format!("{label} {}", signed(*part))).collect();
    let words = Words {
        title: "Why they differ",
        name: names[0],
        subtitle: format!("Steps from {}, in kWh saved a year; they add up", short(names[1], IN_LINE)),
        description: format!(
            "Steps from the {} that {} saves to the {} that {} saves: {}. In all {}.",
            kwh(saved_kwh[1]),
            names[1],
            kwh(saved_kwh[0]),
            names[0],
            if list.is_empty() { "none".to_owned() } else { list.join("; ") },
            signed(saved_kwh[0] - saved_kwh[1])
        ),
    };
    let mut reached = vec![saved_kwh[1]];
    for (_, part) in &shown {
        reached.push(reached.last().copied().unwrap_or_default() + part);
    }
    let ends = reached.iter().chain(&saved_kwh).copied();
    let (low, high) = (ends.clone().fold(f64::INFINITY, f64::min), ends.fold(f64::NEG_INFINITY, f64::max));
    let span = (high - low).max(1.0);
    // Where the steps are small beside what is saved, the bars of the sums begin at a break.
    let broken = low > 1.5 * span;
    let least = if broken { low - 0.4 * span } else { low.min(0.0) };
    let axis = Axis { values: (least, high.max(least + 1.0)), places: (300.0, WIDTH - MARGIN - 95.0) };
    let rows = shown.len() + 2;
    Sheet::picture(TOP + PITCH * rows as f64 + 18.0, &words, |sheet| {
        let foot = axis.at(if broken { least } else { 0.0 });
        let middle = |row: usize| TOP + PITCH * (row as f64 + 0.5);
        for (row, (name, saved, color)) in
            [(0, (names[1], saved_kwh[1], LOSS)), (rows - 1, (names[0], saved_kwh[0], SUN))]
        {
            let y = middle(row);
            sheet.fill((foot, y - 10.0), (axis.at(saved), y + 10.0), color);
            if broken {
                for x in [foot + 14.0, foot + 20.0] {
                    sheet.line(&[(x - 3.0, y + 11.0), (x + 3.0, y - 11.0)], PAPER, 2.5, Dash::Solid);
                }
            }
            sheet.text((MARGIN, y), &short(name, 34), BODY, INK, At::Left);
            sheet.text((WIDTH - MARGIN, y), &kwh(saved), BODY, INK, At::Right);
        }
        for (i, (label, part)) in shown.iter().enumerate() {
            let y = middle(i + 1);
            let color = if *part >= 0.0 { SUN } else { BACKUP };
            sheet.fill((axis.at(reached[i]), y - 10.0), (axis.at(reached[i + 1]), y + 10.0), color);
            sheet.text((MARGIN + 14.0, y), label, BODY, MUTED, At::Left);
            sheet.text((WIDTH - MARGIN, y), &signed(*part), BODY, MUTED, At::Right);
        }
        for (i, kwh) in reached.iter().enumerate() {
            let x = axis.at(*kwh);
            sheet.line(&[(x, middle(i) - 10.0), (x, middle(i + 1) + 10.0)], MUTED, 0.75, Dash::Solid);
        }
        sheet.line(&[(foot, TOP), (foot, TOP + PITCH * rows as f64)], MUTED, 1.0, Dash::Solid);
        let line = [(MARGIN, middle(rows - 1) - 16.0), (WIDTH - MARGIN, middle(rows - 1) - 16.0)];
        sheet.line(&line, GRID, 0.75, Dash::Solid);
    })
}

/// A change of energy with its sign.
fn signed(change_kwh: f64) -> String {
    let sign = if change_kwh >= 0.5 { "+" } else { "" };
    format!("{sign}{}", kwh(change_kwh))
}

/// A name cut to so many letters.
fn short(name: &str, letters: usize) -> String {
    if name.chars().count() <= letters {
        return name.to_owned();
    }
    name.chars().take(letters - 1).chain(['\u{2026}']).collect()
}
