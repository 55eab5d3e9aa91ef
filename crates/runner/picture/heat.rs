//! Where the year's heat went: from the sun on the collectors, step by step, to the hot water at the taps.

use plotters::style::RGBColor;

use super::style::{At, BACKUP, BODY, Dash, GRID, INK, LOSS, MARGIN, MUTED, SUN, Sheet, WATER, WIDTH, Words};
use super::units::{grouped, kwh, percent};
use crate::record::{Accounts, Column, YearResult};

/// A row: a total that stands on zero, or a change that hangs from the row above.
struct Row {
    name: &'static str,
    kwh: f64,
    total: bool,
    color: RGBColor,
}

/// Rows whose changes lead exactly from total to total.
fn rows(year: &Accounts) -> Vec<Row> {
    let total = |name, column: Column, color| Row { name, kwh: year[column], total: true, color };
    let change = |name, kwh, color| Row { name, kwh, total: false, color };
    let (sun, into_tank, hot_water) =
        (year[Column::Sun], year[Column::HeatIntoTank], year[Column::Delivered]);
    let outside = [
        change("not taken up by the collectors", year[Column::Absorbed] - sun, LOSS),
        change("lost from the collectors", -year[Column::CollectorLoss], LOSS),
        change("lost from the pipes", -year[Column::SupplyLoss] - year[Column::ReturnLoss], LOSS),
    ];
    let inside = [
        change("added by the backup", year[Column::BackupHeat], BACKUP),
        change("lost from the tank", year[Column::FlueLoss] - year[Column::TankLoss], LOSS),
        change("lost up the flue", -year[Column::FlueLoss], LOSS),
        change("lost from the pipe between the tanks", -year[Column::BetweenLoss], LOSS),
        change("lost from the recirculation loop", -year[Column::RecirculationLoss], LOSS),
    ];
    // What the named parts leave over: warmth of the pump, and heat in store at the end more or less than at the start.
    let rest = |from: f64, parts: &[Row], to: f64| to - from - parts.iter().map(|r| r.kwh).sum::<f64>();
    let rest_outside = change("pump warmth and heat left in the loop", rest(sun, &outside, into_tank), MUTED);
    let rest_inside = change("change in store and pump warmth", rest(into_tank, &inside, hot_water), MUTED);
    let mut rows = vec![total("Sun on the collectors", Column::Sun, SUN)];
    rows.extend(outside);
    rows.push(rest_outside);
    rows.push(total("Solar heat into the tank", Column::HeatIntoTank, SUN));
    rows.extend(inside);
    rows.push(rest_inside);
    rows.push(total("Hot water delivered", Column::Delivered, WATER));
    // A part that reads 0 kWh says nothing.
    rows.retain(|r| r.total || r.kwh.abs() >= 0.5);
    rows
}

/// Where the year's heat went, in kWh, as an SVG.
pub fn heat_path(name: &str, result: &YearResult) -> String {
    let year = &result.annual;
    let rows = rows(year);
    let list: Vec<_> = rows.iter().map(|r| format!("{} {}", r.name, kwh(r.kwh))).collect();
    let share = year[Column::HeatIntoTank] / year[Column::Sun].max(f64::MIN_POSITIVE);
    let words = Words {
        title: "Where the year\u{2019}s heat went",
        name,
        subtitle: format!(
            "{} of the sun on the collectors came into the tank; the backup added {}",
            percent(share),
            kwh(year[Column::BackupHeat])
        ),
        description: format!("Bars that lead from sun to hot water over one year: {}.", list.join("; ")),
    };
    const PITCH: f64 = 32.0;
    const TOP: f64 = 78.0;
    let height = TOP + PITCH * rows.len() as f64 + 18.0;
    let (left, right) = (300.0, WIDTH - MARGIN - 95.0);
    let most = year[Column::Sun].max(year[Column::HeatIntoTank] + year[Column::BackupHeat]).max(1.0);
    let at = |kwh: f64| left + (right - left) * kwh / most;
    Sheet::picture(height, &words, |sheet| {
        let mut reached = 0.0;
        for (i, row) in rows.iter().enumerate() {
            let y = TOP + PITCH * (i as f64 + 0.5);
            let from = if row.total { 0.0 } else { reached };
            let to = if row.total { row.kwh } else { reached + row.kwh };
            if row.total && i > 0 {
                let line = [(MARGIN, y - 0.5 * PITCH), (WIDTH - MARGIN, y - 0.5 * PITCH)];
                sheet.line(&line, GRID, 0.75, Dash::Solid);
            }
            sheet.fill((at(from), y - 10.0), (at(to), y + 10.0), row.color);
            if i + 1 < rows.len() {
                let edge = at(to);
                sheet.line(&[(edge, y - 10.0), (edge, y + PITCH + 10.0)], MUTED, 0.75, Dash::Solid);
            }
            let (indent, color) = if row.total { (0.0, INK) } else { (14.0, MUTED) };
            sheet.text((MARGIN + indent, y), row.name, BODY, color, At::Left);
            let sign = if !row.total && row.kwh > 0.0 { "+" } else { "" };
            let value = format!("{sign}{} kWh", grouped(row.kwh, 0));
            sheet.text((WIDTH - MARGIN, y), &value, BODY, color, At::Right);
            reached = to;
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn changes_lead_from_total_to_total() {
        // Any numbers will do: what the named parts leave over has a row of its own.
        let mut year = Accounts::default();
        for (i, column) in Column::ALL.iter().enumerate() {
            year[*column] = 100.0 + 37.0 * ((i * i) % 13) as f64;
        }
        let mut reached = 0.0;
        for row in rows(&year) {
            if row.total {
                // A row below 0.5 kWh may be missing between two totals.
                assert!(reached == 0.0 || (row.kwh - reached).abs() <= 0.5, "{}", row.name);
                reached = row.kwh;
            } else {
                reached += row.kwh;
            }
        }
    }
}
