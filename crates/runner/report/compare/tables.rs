//! The rows of a comparison: for the page and for a terminal alike.

use super::CompareReport;
use crate::job::quantity::size::SQUARE_FOOT_M2;
use crate::money::MoneyFigure;
use crate::picture::{MONTHS, Units, grouped, money};
use crate::record::{Column, MorningFigure};
use crate::study::Row;
use crate::study::compare::{Layout, Measure, PARTS};

/// A row: what it is, each plant's value, and how much more the best has than the other of the verdict.
#[derive(Clone, Debug)]
pub(super) struct Line {
    pub label: String,
    pub values: Vec<String>,
    pub apart: String,
}

/// Columns of the year that decide between plants.
const YEAR: [Column; 14] = [
    Column::EqualServiceSaved,
    Column::EqualServiceFraction,
    Column::HeatIntoTank,
    Column::BackupHeat,
    Column::BackupPurchased,
    Column::Tank1Loss,
    Column::Tank2Loss,
    Column::Pump,
    Column::Delivered,
    Column::Shortfall,
    Column::BaselinePurchased,
    Column::CoolShowerMinutes,
    Column::Stagnation,
    Column::HottestTank,
];

/// Money of a plant that its difference is worth showing of.
const MONEY: [&str; 4] = ["saved", "simple_payback_years", "net_present_value", "co2_saved_kg"];

/// Everything a customer weighs, one row each.
pub(super) fn lines(report: &CompareReport<'_>) -> Vec<Line> {
    let mut lines = costs(report);
    lines.extend(MONEY.iter().filter_map(|key| money_line(report, key)));
    lines.extend(YEAR.iter().filter_map(|column| year_line(report, *column)));
    lines.splice(lines.len() - 2..lines.len() - 2, mornings(report));
    lines
}

/// The two of the verdict.
fn pair<T>(report: &CompareReport<'_>, of: impl Fn(usize) -> T) -> [T; 2] {
    [of(report.comparison.best), of(report.comparison.other)]
}

fn number_line(
    report: &CompareReport<'_>,
    label: String,
    value: impl Fn(usize) -> Option<f64>,
    shown: impl Fn(f64) -> String,
    none: &str,
) -> Line {
    let values = (0..report.layouts.len()).map(|i| value(i).map_or(none.to_owned(), &shown));
    let apart = match pair(report, &value) {
        [Some(best), Some(other)] => signed(best - other, &shown),
        _ => "\u{2013}".to_owned(),
    };
    Line { label, values: values.collect(), apart }
}

fn signed(apart: f64, shown: impl Fn(f64) -> String) -> String {
    let text = shown(apart);
    let something = text.bytes().any(|b| (b'1'..=b'9').contains(&b));
    if apart > 0.0 && something { format!("+{text}") } else { text }
}

fn costs(report: &CompareReport<'_>) -> Vec<Line> {
    let layouts = report.layouts;
    // Without prices, or with those of two currencies, no sign fits.
    let sum = |sum: f64| match report.comparison.measure {
        Measure::Money(currency) => money(currency, sum, 0),
        Measure::Energy => grouped(sum, 0),
    };
    let cost = number_line(report, "Installed cost".into(), |i| layouts[i].installed_cost, sum, "not known");
    let words = |label: &str, word: &dyn Fn(&Layout) -> String| {
        let [best, other] = pair(report, |i| word(&layouts[i]));
        let apart = if best == other { "same" } else { "differs" };
        Line { label: label.into(), values: layouts.iter().map(word).collect(), apart: apart.into() }
    };
    let replaced = words("Replacing the present heater", &|layout| {
        let avoided =
            layout.job.money.as_ref().and_then(|m| m.plan.as_ref()).and_then(|p| p.tank_avoided.as_ref());
        match (layout.present_heater_goes, avoided) {
            (Some(true), Some(tank)) => {
                format!("avoided: {} in year {}", sum(tank.amount), tank.year)
            }
            (Some(true), None) => "avoided".into(),
            (Some(false), _) => "still due".into(),
            (None, _) => "not known".into(),
        }
    });
    let (unit, size_m2) = match report.units {
        Units::Us => ("ft\u{b2}", SQUARE_FOOT_M2),
        Units::Si => ("m\u{b2}", 1.0),
    };
    let floor = number_line(
        report,
        format!("Floor under the tanks, {unit}"),
        |i| Some(layouts[i].floor_m2),
        |m2| grouped(m2 / size_m2, 1),
        "",
    );
    vec![cost, replaced, floor, words("Backup buys", &|layout| layout.fuel().into())]
}

fn money_line(report: &CompareReport<'_>, key: &str) -> Option<Line> {
    let Measure::Money(currency) = report.comparison.measure else { return None };
    let figure = MoneyFigure::ALL.iter().find(|figure| figure.key == key)?;
    let value = |i: usize| report.own[i].money(key);
    if (0..report.layouts.len()).all(|i| value(i).is_none()) {
        return None;
    }
    let unit = figure.unit;
    let label =
        if unit == "currency" { figure.label.to_owned() } else { format!("{}, {unit}", figure.label) };
    Some(match unit {
        "currency" => number_line(report, label, value, |sum| money(currency, sum, 0), "none"),
        "years" => number_line(report, label, value, |years| grouped(years, 1), "never"),
        _ => number_line(report, label, value, |number| grouped(number, 0), "none"),
    })
}

fn year_line(report: &CompareReport<'_>, column: Column) -> Option<Line> {
    let info = column.info();
    if column == Column::Tank2Loss && report.own.iter().all(|row| row.annual[column] == 0.0) {
        return None;
    }
    let value = |i: usize| Some(report.own[i].annual[column]);
    Some(match info.unit {
        "-" => {
            let label = format!("{}, %", info.label);
            number_line(report, label, value, |share| grouped(100.0 * share, 1), "")
        }
        "degC" => {
            let (units, label) = (report.units, format!("{}, {}", info.label, report.units.level_sign()));
            let line = number_line(report, label, value, |level_c| grouped(units.level(level_c), 0), "");
            // A difference has no zero of its own.
            let [best, other] = pair(report, |i| units.level(report.own[i].annual[column]));
            Line { apart: signed(best - other, |k| grouped(k, 0)), ..line }
        }
        unit => number_line(report, format!("{}, {unit}", info.label), value, |v| grouped(v, 0), ""),
    })
}

/// What a family notices in the dullest week.
fn mornings(report: &CompareReport<'_>) -> Vec<Line> {
    let (unit, unit_m3) = report.units.volume();
    let line = |figure: MorningFigure, unit: &str, scale: f64, decimals: usize| {
        let value = move |i: usize| Some((figure.value)(&report.own[i].morning) * scale);
        number_line(report, format!("{}, {unit}", figure.label), value, move |v| grouped(v, decimals), "")
    };
    vec![
        line(MorningFigure::USABLE, unit, 1e-3 / unit_m3, 0),
        line(MorningFigure::SHOWERS, MorningFigure::SHOWERS.unit, 1.0, 1),
    ]
}

/// A month and its values.
pub(super) type Month = (&'static str, Vec<String>);

/// What each plant saves by the month and in the year, and the difference of the two of the verdict.
pub(super) fn months(report: &CompareReport<'_>) -> Vec<Month> {
    by_month(report, |row, month| span(row, month)[Column::EqualServiceSaved], report.layouts.len())
}

/// A column of the two of the verdict by the month: the best, the other, the difference.
pub(super) fn pair_months(report: &CompareReport<'_>, column: Column) -> Vec<Month> {
    let [best, other] = pair(report, |i| &report.own[i]);
    let row = |month| {
        let [a, b] = [best, other].map(|row| span(row, month)[column]);
        vec![grouped(a, 0), grouped(b, 0), signed(a - b, |kwh| grouped(kwh, 0))]
    };
    named_months(row)
}

fn by_month(
    report: &CompareReport<'_>,
    value: impl Fn(&Row, Option<usize>) -> f64,
    plants: usize,
) -> Vec<Month> {
    let row = |month| {
        let mut cells: Vec<String> =
            report.own[..plants].iter().map(|row| grouped(value(row, month), 0)).collect();
        let [best, other] = pair(report, |i| value(&report.own[i], month));
        cells.push(signed(best - other, |kwh| grouped(kwh, 0)));
        cells
    };
    named_months(row)
}

fn named_months(row: impl Fn(Option<usize>) -> Vec<String>) -> Vec<Month> {
    let months = MONTHS.iter().enumerate().map(|(month, name)| (*name, row(Some(month))));
    months.chain([("Year", row(None))]).collect()
}

fn span(row: &Row, month: Option<usize>) -> &crate::record::Accounts {
    month.map_or(&row.annual, |month| &row.monthly[month])
}

/// The ledger: each part of the best plant's lead over each other one, then their sum.
pub(super) fn ledger(report: &CompareReport<'_>) -> Vec<(String, Vec<String>)> {
    let shown = |kwh: f64| signed(kwh, |kwh| grouped(kwh, 1));
    let differences = &report.comparison.differences;
    let part = |i: usize| {
        let values: Vec<f64> = differences.iter().map(|difference| difference.parts_kwh[i]).collect();
        // A part that reads 0.0 everywhere says nothing.
        let says = values.iter().any(|kwh| kwh.abs() >= 0.05);
        says.then(|| (PARTS[i].label.to_owned(), values.into_iter().map(shown).collect()))
    };
    let sum = differences.iter().map(|difference| shown(difference.saved_kwh)).collect();
    (0..PARTS.len()).filter_map(part).chain([("Difference, kWh a year".to_owned(), sum)]).collect()
}
