//! The verdict of a comparison in sentences.

use super::super::sheet::capital;
use crate::job::quantity::rounded;
use crate::money::Currency;
use crate::picture::{Units, grouped, kwh, money};
use crate::study::Row;
use crate::study::compare::{Axis, Comparison, Crossing, Difference, Flip, Layout, Measure, Shape};

/// Of the parts that speak for the better plant, one counts as a chief cause from this share of the largest on.
const CHIEF_FRAC: f64 = 0.4;

/// A part that speaks against it is named from this share of the difference on.
const AGAINST_FRAC: f64 = 0.15;

/// Below these a difference is none for a person.
const NOTHING_KWH: f64 = 0.5;
const NOTHING_MONEY: f64 = 0.5;

/// What the two of the verdict are called: by their shape where they differ in it, else by name. The verb goes with the first.
struct Called {
    best: String,
    saves: &'static str,
    other: String,
}

fn called(layouts: &[Layout], comparison: &Comparison) -> Called {
    let (best, other) = (&layouts[comparison.best], &layouts[comparison.other]);
    let named = |layout: &Layout| format!("\u{201c}{}\u{201d}", layout.name);
    if best.shape == other.shape {
        return Called { best: named(best), saves: "saves", other: named(other) };
    }
    let both = |layout: &Layout| format!("{} ({})", layout.shape.words(), named(layout));
    Called { best: both(best), saves: verb(best.shape), other: both(other) }
}

fn verb(shape: Shape) -> &'static str {
    if shape == Shape::TwoTanks { "save" } else { "saves" }
}

/// The answer in one sentence.
pub(super) fn verdict(layouts: &[Layout], comparison: &Comparison) -> String {
    let Called { best, saves, other } = called(layouts, comparison);
    let Some(main) = comparison.main() else { return String::new() };
    let worth = match (comparison.measure, main.saved_money) {
        (Measure::Money(currency), Some(sum)) => Some((currency, sum)),
        _ => None,
    };
    let nothing =
        main.saved_kwh.abs() < NOTHING_KWH && worth.is_none_or(|(_, sum)| sum.abs() < NOTHING_MONEY);
    if nothing {
        return capital(&format!("{best} and {other} save the same, to less than 1 kWh a year."));
    }
    let more = match worth {
        None => format!("{} a year more", kwh(main.saved_kwh)),
        Some((currency, sum)) if main.saved_kwh >= NOTHING_KWH => {
            format!("{} ({}) a year more", kwh(main.saved_kwh), dollars(currency, sum))
        }
        // The prices of hours and fuels can turn the order of the energies round.
        Some((currency, sum)) => {
            let less = kwh(-main.saved_kwh);
            let what = format!("{} a year more, though {less} less,", dollars(currency, sum));
            let because = "because what it buys is cheaper: another fuel, or other hours";
            return capital(&format!("{best} {saves} {what} than {other}: {because}."));
        }
    };
    capital(&format!("{best} {saves} {more} than {other}: {}.", causes(main)))
}

/// Where another plant is ahead over the years, installed costs counted.
pub(super) fn over_the_years(layouts: &[Layout], own: &[Row], comparison: &Comparison) -> Option<String> {
    let Measure::Money(currency) = comparison.measure else { return None };
    let value = |i: usize| own[i].money("net_present_value");
    let known: Vec<(usize, f64)> = (0..own.len()).filter_map(|i| Some((i, value(i)?))).collect();
    let (first, most) = known.iter().copied().reduce(|a, b| if b.1 > a.1 { b } else { a })?;
    let best = value(comparison.best)?;
    (first != comparison.best && most - best >= NOTHING_MONEY).then(|| {
        format!(
            "With what they cost, over the years \u{201c}{}\u{201d} is ahead: net present value {}, that of \u{201c}{}\u{201d} {}.",
            layouts[first].name,
            money(currency, most, 0),
            layouts[comparison.best].name,
            money(currency, best, 0)
        )
    })
}

/// A sum as a person says it: cents only where it is small.
fn dollars(currency: Currency, sum: f64) -> String {
    money(currency, sum, if sum.abs() < 10.0 { 2 } else { 0 })
}

/// The chief causes of a positive difference, and what speaks against it.
pub(super) fn causes(difference: &Difference) -> String {
    let mut parts: Vec<(f64, [&str; 2])> = difference.parts_kwh.into_iter().zip(difference.because).collect();
    parts.sort_by(|a, b| b.0.total_cmp(&a.0));
    let largest = parts.first().map_or(0.0, |part| part.0);
    let chief: Vec<String> = parts
        .iter()
        .take(2)
        .filter(|(part, _)| *part > 0.0 && *part >= CHIEF_FRAC * largest)
        .map(|(part, because)| format!("{} (+{})", because[0], kwh(*part)))
        .collect();
    let against = parts.last().filter(|(part, _)| *part < -AGAINST_FRAC * difference.saved_kwh.abs());
    let against = against
        .map_or(String::new(), |(part, because)| format!(", although {} ({})", because[1], kwh(*part)));
    format!("chiefly because {}{against}", chief.join(" and "))
}

/// What turns the verdict round, and what does not.
pub(super) fn flips(layouts: &[Layout], comparison: &Comparison, units: Units) -> Vec<String> {
    if comparison.flips.is_empty() {
        return Vec::new();
    }
    let other = match called(layouts, comparison) {
        _ if layouts[comparison.best].shape != layouts[comparison.other].shape => {
            let shape = layouts[comparison.other].shape;
            capital(&format!("{} {} as much or more", shape.words(), verb(shape)))
        }
        called => capital(&format!("{} saves as much or more", called.other)),
    };
    let mut turning = Vec::new();
    let mut steady = Vec::new();
    for flip in &comparison.flips {
        let loses = flip.points.iter().all(|point| point.1 < 0.0);
        match flip.crossings.as_slice() {
            [] if loses => turning.push(format!("{} {}", common(flip.axis), range(flip, units))),
            [] => steady.push(format!("{} {}", plain(comparison, flip.axis), range(flip, units))),
            all => {
                let at = |crossing: &Crossing| turn(layouts, comparison, flip.axis, crossing, units);
                turning.extend(all.iter().map(at));
            }
        }
    }
    let mut said = Vec::new();
    if !turning.is_empty() {
        said.push(format!("{other} if {}.", turning.join(", or if ")));
    }
    if !steady.is_empty() {
        said.push(format!("No change of the verdict with {}.", steady.join("; with ")));
    }
    said
}

fn plain(comparison: &Comparison, axis: Axis) -> &'static str {
    match axis {
        Axis::BackupTankLoss if comparison.second_tank => "a loss of the backup tank",
        Axis::BackupTankLoss => "a loss of the tank",
        Axis::Thermostat => "both thermostats alike",
        Axis::DailyUse => "a daily use",
    }
}

/// Of an axis that leaves the other plant ahead all along: both are set alike on it, which they are not as they are.
fn common(axis: Axis) -> &'static str {
    match axis {
        Axis::BackupTankLoss => "the loss of the backup tank is",
        Axis::Thermostat => "both thermostats are set alike, anywhere",
        Axis::DailyUse => "the daily use is",
    }
}

fn range(flip: &Flip, units: Units) -> String {
    let ends = [flip.points.first(), flip.points.last()].map(|end| end.map_or(f64::NAN, |end| end.0));
    let [low, high] = ends.map(|value| match flip.axis {
        Axis::Thermostat => units.shown_level(value),
        _ => rounded(value),
    });
    match flip.axis {
        Axis::Thermostat => format!("from {low} to {high}"),
        _ => format!("from {low} to {high} times what it is"),
    }
}

/// On which side of a crossing the other plant saves more.
fn turn(
    layouts: &[Layout],
    comparison: &Comparison,
    axis: Axis,
    crossing: &Crossing,
    units: Units,
) -> String {
    let less = crossing.positive_above;
    let at = crossing.at;
    let times = rounded((at * 100.0).round() / 100.0);
    match axis {
        Axis::BackupTankLoss => {
            let loss: Vec<f64> = comparison.backup_loss_w_k.into_iter().flatten().collect();
            let now = match loss.as_slice() {
                [one] => format!(" ({} W/K)", rounded((at * one * 100.0).round() / 100.0)),
                _ => String::new(),
            };
            let word = if less { "less" } else { "more" };
            let tank = if comparison.second_tank { "the backup tank" } else { "the tank" };
            format!("{tank} loses {word} than {times} times what it does now{now}")
        }
        Axis::Thermostat => {
            let word = if less { "below" } else { "above" };
            let level = grouped(units.level(at), 0);
            format!("the thermostat is set {word} {level} {}", units.level_sign())
        }
        Axis::DailyUse => {
            let word = if less { "less" } else { "more" };
            let daily_m3 = layouts[comparison.best].job.water_use.pattern.daily_m3() * at;
            let (unit, unit_m3) = units.volume();
            let volume = grouped(daily_m3 / unit_m3, 0);
            format!("the house draws {word} than {volume} {unit} a day ({times} times what it does now)")
        }
    }
}
