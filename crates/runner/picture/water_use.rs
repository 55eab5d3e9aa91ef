//! Hot-water use: a mean weekday and weekend by the hour, and every draw of a usual week.

use plotters::style::RGBColor;

use super::style::{
    At, Axis, BACKUP, BODY, Dash, GRID, INK, LOSS, MARGIN, MUTED, SMALL, SUN, Sheet, WATER, WIDTH, Words,
};
use super::units::{Units, grouped};
use crate::draws::{Tap, UseSummary};
use crate::job::Purpose;
use crate::job::quantity::when;

const LEFT: f64 = 66.0;
/// Right edge of the hours: left of the totals of the days.
const RIGHT: f64 = WIDTH - 88.0;
/// Top of the first day of the week, and height of a day.
const WEEK: f64 = 372.0;
const DAY: f64 = 34.0;
/// Foot of the last day.
const FOOT: f64 = WEEK + 7.0 * DAY;

const WEEKDAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];

/// Between those of showers and sinks in lightness.
const ANY_USE: RGBColor = RGBColor(0x5c, 0x60, 0x79);

/// Name and color of a purpose; all six differ in lightness.
fn look(purpose: Purpose) -> (&'static str, RGBColor) {
    match purpose {
        Purpose::Shower => ("Shower", BACKUP),
        Purpose::Bath => ("Bath", INK),
        Purpose::Sink => ("Sink", WATER),
        Purpose::Dishwasher => ("Dishwasher", SUN),
        Purpose::Laundry => ("Laundry", LOSS),
        Purpose::Other => ("Any use", ANY_USE),
    }
}

/// Picture of a year's hot-water use, as an SVG. `single_draws` is false where each hour's water flows evenly.
pub fn water_use(name: &str, seen: &UseSummary, single_draws: bool, units: Units) -> String {
    let (unit, size_m3) = units.volume();
    let shown = |volume_m3: f64| format!("{} {unit}", grouped(volume_m3 / size_m3, 0));
    let days = f64::from(seen.annual.days);
    let warmth = match seen.mean_use_c.is_finite() {
        true => format!(" at {}", units.shown_level(seen.mean_use_c)),
        false => String::new(),
    };
    let mut facts = format!("{} a day{warmth} on average", shown(seen.annual.volume_m3 / days));
    if single_draws {
        facts.push_str(&format!(
            ", in {} draws; most in an hour {}, in ten minutes {}",
            grouped(f64::from(seen.annual.draws) / days, 0),
            shown(seen.hour.volume_m3),
            shown(seen.ten_minutes.volume_m3),
        ));
    }
    let hours = |day: &[f64; 24]| day.map(|volume| volume / size_m3);
    let (weekday, weekend) = (hours(&seen.weekday_m3), hours(&seen.weekend_m3));
    let busiest = (0..24).fold(0, |best, hour| if weekday[hour] > weekday[best] { hour } else { best });
    let words = Words {
        title: "Hot water at the taps",
        name,
        subtitle: facts.clone(),
        description: format!(
            "Bars of the hot water in each hour of an average weekday and an average day of the weekend, and a strip for each day \
             of a usual week with every draw. {facts}. Busiest hour of weekdays: from {} on.",
            units.clock(busiest as u32 * 3600),
        ),
    };
    Sheet::picture(FOOT + 74.0, &words, |sheet| {
        let time = Axis { values: (0.0, 24.0), places: (LEFT, RIGHT) };
        let most = weekday.iter().chain(&weekend).copied().fold(1.0, f64::max);
        let (axis, ticks) = Axis::round(0.0, most, 5, (300.0, 106.0));
        for tick in &ticks {
            let y = axis.at(*tick);
            let (color, width) = if *tick == 0.0 { (MUTED, 1.0) } else { (GRID, 0.75) };
            sheet.line(&[(LEFT, y), (RIGHT, y)], color, width, Dash::Solid);
            sheet.text((LEFT - 8.0, y), &grouped(*tick, 0), SMALL, MUTED, At::Right);
        }
        sheet.text((LEFT - 8.0, 84.0), unit, SMALL, MUTED, At::Right);
        let mut x = LEFT;
        for (filled, name) in [(true, "Average weekday, each hour"), (false, "Average day of the weekend")] {
            let (corner, opposite) = ((x, 78.5), (x + 11.0, 89.5));
            if filled {
                sheet.fill(corner, opposite, WATER);
            } else {
                sheet.frame(corner, opposite, INK, 1.25);
            }
            sheet.text((x + 17.0, 84.0), name, SMALL, INK, At::Left);
            x += 206.0;
        }
        let zero = axis.at(0.0);
        for hour in 0..24 {
            let (left, width) = (time.at(hour as f64), time.at(1.0) - time.at(0.0));
            if weekday[hour] > 0.0 {
                sheet.fill((left + 0.12 * width, zero), (left + 0.5 * width, axis.at(weekday[hour])), WATER);
            }
            if weekend[hour] > 0.0 {
                let corner = (left + 0.88 * width, axis.at(weekend[hour]));
                sheet.frame((left + 0.56 * width, zero), corner, INK, 1.25);
            }
        }
        hour_names(sheet, &time, 314.0, units);
        let last = seen.week_first_day + 6;
        let heading = format!(
            "A usual week, {} \u{2013} {}: {}",
            when::date_words(seen.week_first_day),
            when::date_words(last),
            if single_draws { "every draw, as high as its flow" } else { "each hour's water flows evenly" }
        );
        sheet.text((LEFT, 350.0), &heading, BODY, INK, At::Left);
        week(sheet, seen, &time, &shown);
        hour_names(sheet, &time, FOOT + 14.0, units);
        key(sheet, seen, single_draws, units);
    })
}

fn hour_names(sheet: &Sheet<'_>, time: &Axis, y: f64, units: Units) {
    for hour in [0, 3, 6, 9, 12, 15, 18, 21, 24] {
        let x = time.at(f64::from(hour));
        sheet.line(&[(x, y - 14.0), (x, y - 9.0)], MUTED, 0.75, Dash::Solid);
        sheet.text((x, y), &units.clock(hour * 3600), SMALL, MUTED, At::Center);
    }
}

/// Largest flow of one tap in the week, in m3/s.
fn largest_flow(seen: &UseSummary) -> f64 {
    seen.week.iter().map(|tap| tap.flow_m3_s).fold(0.0, f64::max)
}

/// A strip a day with each tap as wide as it runs and as high as it flows.
fn week(sheet: &Sheet<'_>, seen: &UseSummary, time: &Axis, shown: &impl Fn(f64) -> String) {
    const HIGHEST: f64 = DAY - 7.0;
    /// Narrower bars would be lost in print.
    const NARROWEST: f64 = 1.6;
    let largest = largest_flow(seen);
    for (row, name) in WEEKDAYS.into_iter().enumerate() {
        let foot = WEEK + DAY * (row as f64 + 1.0);
        for hour in (0..=24).step_by(3) {
            let x = time.at(f64::from(hour));
            sheet.line(&[(x, foot - HIGHEST), (x, foot)], GRID, 0.75, Dash::Solid);
        }
        sheet.line(&[(LEFT, foot), (RIGHT, foot)], LOSS, 0.75, Dash::Solid);
        sheet.text((LEFT - 8.0, foot - 9.0), name, SMALL, INK, At::Right);
        let today = seen.week_first_day + row as u32;
        let mut taps: Vec<&Tap> =
            seen.week.iter().filter(|tap| (today - 1..=today).contains(&tap.day)).collect();
        let volume: f64 = taps.iter().filter(|tap| tap.day == today).map(|tap| tap.volume_m3()).sum();
        sheet.text((WIDTH - MARGIN, foot - 9.0), &shown(volume), SMALL, INK, At::Right);
        // Small flows in front, so that none is hidden.
        taps.sort_by(|a, b| b.flow_m3_s.total_cmp(&a.flow_m3_s));
        for tap in taps {
            // What runs on past midnight comes first on the next day.
            let start_h = f64::from(tap.clock_s) / 3600.0 - if tap.day < today { 24.0 } else { 0.0 };
            let end_h = start_h + f64::from(tap.duration_s) / 3600.0;
            if end_h <= 0.0 {
                continue;
            }
            let left = time.at(start_h.max(0.0));
            let right = time.at(end_h.min(24.0)).max(left + NARROWEST);
            sheet.fill((left, foot - HIGHEST * tap.flow_m3_s / largest), (right, foot), look(tap.purpose).1);
        }
    }
}

/// The purposes of the week with their colors, and the flow of the highest bar.
fn key(sheet: &Sheet<'_>, seen: &UseSummary, single_draws: bool, units: Units) {
    let y = FOOT + 44.0;
    let mut x = LEFT;
    let drawn =
        seen.purposes.iter().filter(|(purpose, _)| seen.week.iter().any(|tap| tap.purpose == *purpose));
    for (purpose, _) in drawn {
        let (name, color) = look(*purpose);
        sheet.fill((x, y - 5.5), (x + 11.0, y + 5.5), color);
        sheet.text((x + 17.0, y), name, SMALL, INK, At::Left);
        x += 34.0 + 7.2 * name.len() as f64;
    }
    if single_draws && !seen.week.is_empty() {
        let (unit, size_m3) = units.volume();
        let flow = grouped(largest_flow(seen) * 60.0 / size_m3, 1);
        sheet.text((WIDTH - MARGIN, y), &format!("Highest bar {flow} {unit}/min"), SMALL, MUTED, At::Right);
    }
}
