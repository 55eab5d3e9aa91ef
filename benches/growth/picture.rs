//! Growth as a table and as small panels in the style of the program's own pictures.

#[expect(dead_code, unused_imports, reason = "the panels need a part of the style")]
#[path = "../../crates/runner/picture/style.rs"]
mod style;

use libm::{log as ln, pow};
use style::{At, Axis, BACKUP, BODY, Dash, GRID, INK, MARGIN, MUTED, SMALL, Sheet, WIDTH, Words};

/// How a cost grows with something.
pub(crate) struct Growth {
    pub(crate) what: &'static str,
    pub(crate) cost: &'static str,
    /// Exponent with which it would grow in proportion: 1, or -1 where twice of it would halve the cost.
    pub(crate) grows: f64,
    pub(crate) points: Vec<(f64, f64)>,
}

const COLUMNS: usize = 3;
const TOP: f64 = 72.0;
/// From panel to panel, and within one to its axes.
const PITCH: (f64, f64) = ((WIDTH - 2.0 * MARGIN) / COLUMNS as f64, 214.0);
const LEFT: f64 = 40.0;
const HEAD: f64 = 44.0;
const FOOT: f64 = 26.0;
const GAP: f64 = 14.0;
/// Room for a number below the axis.
const LABEL: f64 = 27.0;

/// The points as rows of markdown.
pub(crate) fn table(growths: &[Growth]) -> String {
    let mut table = "| what | cost |\n|---|---|\n".to_owned();
    for growth in growths {
        let points: Vec<String> =
            growth.points.iter().map(|(value, cost)| format!("{value}: {}", short(*cost))).collect();
        table.push_str(&format!("| {} | {}: {} |\n", growth.what, growth.cost, points.join("; ")));
    }
    table
}

/// A number to three figures.
fn short(value: f64) -> String {
    let decimals = if value < 1.0 {
        3
    } else if value < 10.0 {
        2
    } else {
        usize::from(value < 100.0)
    };
    format!("{value:.decimals$}")
}

/// The panels as SVG.
pub(crate) fn drawn(growths: &[Growth], cores: usize) -> String {
    let words = Words {
        title: "How cost grows",
        name: "case A1, and studies of the one-tank starter",
        subtitle: format!(
            "Both axes logarithmic; broken line: growth in proportion from the first point on. {cores} cores."
        ),
        description: growths
            .iter()
            .map(|growth| {
                let ends = [growth.points[0], growth.points[growth.points.len() - 1]];
                let [first, last] = ends.map(|(at, cost)| format!("{} at {at}", short(cost)));
                format!("{}, {}: {first}, {last}.", growth.what, growth.cost)
            })
            .collect::<Vec<_>>()
            .join(" "),
    };
    let rows = growths.len().div_ceil(COLUMNS);
    Sheet::picture(TOP + PITCH.1 * rows as f64 + MARGIN / 2.0, &words, |sheet| {
        for (i, growth) in growths.iter().enumerate() {
            let corner = (MARGIN + PITCH.0 * (i % COLUMNS) as f64, TOP + PITCH.1 * (i / COLUMNS) as f64);
            panel(sheet, corner, growth);
        }
    })
}

/// Values 1, 2, 5 of each decade between two values, at which a scale may begin and end too.
fn steps(least: f64, most: f64) -> Vec<f64> {
    let all = (-3..6).flat_map(|decade| [1.0, 2.0, 5.0].map(|digit| digit * 10_f64.powi(decade)));
    let all: Vec<f64> = all.collect();
    let first = all.iter().rposition(|step| *step <= least * 1.001).unwrap_or(0);
    let last = all.iter().position(|step| *step >= most * 0.999).unwrap_or(all.len() - 1);
    all[first..=last].to_vec()
}

fn panel(sheet: &Sheet<'_>, (left, top): (f64, f64), growth: &Growth) {
    let (first, last) = (growth.points[0].0, growth.points[growth.points.len() - 1].0);
    let costs = growth.points.iter().map(|point| point.1);
    let (least, most) = costs.fold((f64::INFINITY, 0.0_f64), |(a, b), cost| (a.min(cost), b.max(cost)));
    let levels = steps(least, most);
    let (low, high) = (levels[0], levels[levels.len() - 1]);
    let x = Axis { values: (ln(first), ln(last)), places: (left + LEFT + 6.0, left + PITCH.0 - GAP - 8.0) };
    let y = Axis { values: (ln(low), ln(high)), places: (top + PITCH.1 - FOOT - GAP, top + HEAD) };
    let edges = (left + LEFT, left + PITCH.0 - GAP);
    sheet.text((left, top + 6.0), growth.what, BODY, INK, At::Left);
    sheet.text((left, top + 23.0), growth.cost, SMALL, MUTED, At::Left);
    // Many decades are labelled at their beginnings only.
    let sparse = levels.len() > 7;
    for level in levels.iter().filter(|level| !sparse || libm::log10(**level).fract().abs() < 1e-9) {
        let at = y.at(ln(*level));
        sheet.line(&[(edges.0, at), (edges.1, at)], GRID, 1.0, Dash::Solid);
        sheet.text((edges.0 - 5.0, at), &format!("{level}"), SMALL, MUTED, At::Right);
    }
    // From the right, as far as they do not touch.
    let mut free_to = f64::INFINITY;
    for (value, _) in growth.points.iter().rev() {
        let at = x.at(ln(*value));
        if at + LABEL < free_to {
            sheet.text((at, y.places.0 + 13.0), &format!("{value}"), SMALL, MUTED, At::Center);
            free_to = at;
        }
    }
    // In proportion from the first point on, as far as the panel goes.
    let (from, cost) = growth.points[0];
    let edge = if growth.grows > 0.0 { high } else { low };
    let until = (from * pow(edge / cost, 1.0 / growth.grows)).min(last);
    let proportional = cost * pow(until / from, growth.grows);
    let place = |value: f64, cost: f64| (x.at(ln(value)), y.at(ln(cost)));
    sheet.line(&[place(from, cost), place(until, proportional)], MUTED, 1.2, Dash::Broken(5.0, 4.0));
    let line: Vec<_> = growth.points.iter().map(|&(value, cost)| place(value, cost)).collect();
    sheet.line(&line, BACKUP, 2.0, Dash::Solid);
    for (px, py) in line {
        sheet.fill((px - 2.5, py - 2.5), (px + 2.5, py + 2.5), BACKUP);
    }
}
