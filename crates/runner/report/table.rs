//! The result as tables for a terminal.

use comfy_table::presets::NOTHING;
use comfy_table::{Cell, CellAlignment, ContentArrangement, Table};

use crate::picture::{MONTHS, Units, grouped};
use crate::record::{Accounts, Column, YearResult};

/// What a person at a terminal wants of a year, in this order; the rest is in the files. Of [`RARE`] only what is there.
const ANNUAL: [Column; 29] = [
    Column::Ghi,
    Column::Sun,
    Column::HeatIntoTank,
    Column::SupplyLoss,
    Column::ReturnLoss,
    Column::TankLoss,
    Column::BetweenLoss,
    Column::RecirculationLoss,
    Column::Transferred,
    Column::BackupHeat,
    Column::BackupPurchased,
    Column::BackupFuel,
    Column::Pump,
    Column::RecirculationPump,
    Column::Control,
    Column::Load,
    Column::Delivered,
    Column::Shortfall,
    Column::CoolShowerMinutes,
    Column::PumpStarts,
    Column::HottestTank,
    Column::HottestCollector,
    Column::Stagnation,
    Column::BaselinePurchased,
    Column::Saved,
    Column::EqualServiceSaved,
    Column::SavingsFraction,
    Column::EqualServiceFraction,
    Column::SolarFraction,
];

/// Parts that most plants do not have.
const RARE: [Column; 5] = [
    Column::BackupFuel,
    Column::BetweenLoss,
    Column::RecirculationLoss,
    Column::Transferred,
    Column::RecirculationPump,
];

/// Columns of the monthly table with heads short enough for 80 letters a line.
const MONTHLY: [(&str, Column); 9] = [
    ("Sun on\ncollectors", Column::Sun),
    ("Solar\nheat", Column::HeatIntoTank),
    ("Backup\nheat", Column::BackupHeat),
    ("Tank\nloss", Column::TankLoss),
    ("Hot\nwater", Column::Load),
    ("Short-\nfall", Column::Shortfall),
    ("Pump\nstarts", Column::PumpStarts),
    ("Hottest\ntank", Column::HottestTank),
    ("Energy\nsaved", Column::Saved),
];

/// Value of a column for a person: no decimals above 10, one below, and shares in percent.
pub(crate) fn value(column: Column, values: &Accounts, units: Units) -> (String, &'static str) {
    if matches!(column, Column::SavingsFraction | Column::EqualServiceFraction | Column::SolarFraction) {
        return (grouped(100.0 * values[column], 1), "%");
    }
    let (shown, unit) = units.show(column, values[column]);
    let decimals = usize::from(shown.abs() < 10.0 && shown.fract() != 0.0);
    (grouped(shown, decimals), unit)
}

/// A table without lines; columns stand to the right but those named.
pub(super) fn table(head: impl IntoIterator<Item = String>, left_columns: &[usize]) -> Table {
    let mut table = Table::new();
    table.load_style(NOTHING).set_content_arrangement(ContentArrangement::Disabled);
    table.set_header(head.into_iter().map(Cell::new));
    for (i, column) in table.column_iter_mut().enumerate() {
        let side = if left_columns.contains(&i) { CellAlignment::Left } else { CellAlignment::Right };
        column.set_cell_alignment(side);
    }
    table
}

/// The year's main figures, one a line, with units.
pub fn annual_table(result: &YearResult, units: Units) -> String {
    let mut table = table(["In the year", "", "Unit"].map(str::to_owned), &[0, 2]);
    let there = |column: &Column| !RARE.contains(column) || result.annual[*column] != 0.0;
    for column in ANNUAL.into_iter().filter(there) {
        let (shown, unit) = value(column, &result.annual, units);
        table.add_row([column.info().label.to_owned(), shown, unit.to_owned()]);
    }
    table.trim_fmt()
}

/// Labels and values, one pair a line under a head.
pub(super) fn labelled(head: &str, rows: &[(&str, String)]) -> String {
    let mut table = table([head.to_owned(), String::new()], &[0]);
    for (label, value) in rows {
        table.add_row([(*label).to_owned(), value.clone()]);
    }
    table.trim_fmt()
}

/// Twelve months and the year in kWh, pump starts and the hottest tank; fits 80 letters a line.
pub fn monthly_table(result: &YearResult, units: Units) -> String {
    let unit = |column: Column| match units.show(column, 0.0).1 {
        "" => String::new(),
        unit => format!("\n{unit}"),
    };
    let heads = MONTHLY.iter().map(|(head, column)| format!("{head}{}", unit(*column)));
    let mut table = table([String::new()].into_iter().chain(heads), &[0]);
    for (name, values) in MONTHS.iter().copied().zip(&result.monthly).chain([("Year", &result.annual)]) {
        let cells = MONTHLY.iter().map(|(_, column)| value(*column, values, units).0);
        table.add_row([name.to_owned()].into_iter().chain(cells));
    }
    table.trim_fmt()
}
