//! The year of a variant as the page shows it: figures with their words and units, pictures, cautions, and a day to scrub.
//!
//! Figures are those of the columns, shown in the words of report and tables; nothing is worked out here.

use std::collections::BTreeMap;
use std::time::Instant;

use serde::Serialize;

use super::asked::Year;
use super::control::{Stands, stands};
use super::day::{Day, day};
use super::house::House;
use super::variant::{Moved, Said, moved};
use crate::money::{Account, MoneyFigure};
use crate::picture::{self, DrawnPlant, Units, before_sum};
use crate::record::{Accounts, Column, YearResult};
use crate::report::{shown_sum, shown_value};
use crate::safety::{CONFIRM, Finding, findings};
use crate::year::{RunOptions, Shared, Stop};

/// Columns the page shows, in its order; of [`RARE`] only those that say something.
const COLUMNS: [Column; 18] = [
    Column::EqualServiceSaved,
    Column::EqualServiceFraction,
    Column::Saved,
    Column::SavingsFraction,
    Column::HeatIntoTank,
    Column::SolarFraction,
    Column::BackupPurchased,
    Column::Pump,
    Column::BaselinePurchased,
    Column::Load,
    Column::Shortfall,
    Column::CoolShowerMinutes,
    Column::TankLoss,
    Column::HottestTank,
    Column::HottestCollector,
    Column::Stagnation,
    Column::PumpStarts,
    Column::Refills,
];

/// Parts that most plants do not have.
const RARE: [Column; 3] = [Column::Refills, Column::PumpStarts, Column::Pump];

/// Figures of money the page shows.
const SUMS: [&str; 6] = [
    "saved",
    "bill_without_sun",
    "bill_with_sun",
    "simple_payback_years",
    "payback_year",
    "net_present_value",
];

/// A figure, in full and as it is read.
#[derive(Debug, Serialize)]
struct Figure {
    key: &'static str,
    label: &'static str,
    definition: &'static str,
    /// In the unit of its column, as in `summary.json`; nothing where it has no meaning.
    value: Option<f64>,
    /// As it is read, with its unit.
    shown: String,
    change: Change,
}

/// How the difference of two such values is read: times `slope`, between these words.
#[derive(Debug, Serialize)]
struct Change {
    slope: f64,
    decimals: usize,
    before: String,
    behind: String,
}

/// A picture: what it is, and its SVG, which carries its own text alternative.
#[derive(Debug, Serialize)]
struct Picture {
    key: &'static str,
    svg: String,
}

/// A reading that raises a hazard.
#[derive(Debug, Serialize)]
struct Caution {
    hazard: &'static str,
    words: String,
}

/// A year that ran.
#[derive(Debug, Serialize)]
struct Ran<'a> {
    figures: Vec<Figure>,
    pictures: Vec<Picture>,
    cautions: Vec<Caution>,
    said: &'a [Said],
    stands: Vec<Stands>,
    /// The plant, to be filled with the day.
    drawing: String,
    day: Option<Day>,
    /// Every column as in `summary.json`.
    annual: BTreeMap<&'static str, f64>,
    took_ms: f64,
}

/// A variant that cannot be run.
#[derive(Debug, Serialize)]
struct Failed {
    said: Vec<Said>,
}

/// Runs the year that was asked for and writes it as JSON; nothing if it was told to stop.
pub(super) fn year(house: &House, shared: &Shared<'_>, asked: &Year, stop: &Stop) -> Option<String> {
    let begun = Instant::now();
    let ran = moved(house, &asked.variant).and_then(|moved| {
        let mut trace_days = house.days.all().to_vec();
        trace_days.push(asked.day);
        trace_days.sort_unstable();
        trace_days.dedup();
        let options = RunOptions { trace_days, outages: true, stop: stop.clone(), ..RunOptions::default() };
        let result = shared
            .run(&moved.job, &options)
            .map_err(|problems| problems.iter().map(|problem| Said::of(problem, None)).collect::<Vec<_>>())?;
        Ok((moved, result))
    });
    if stop.told() {
        return None;
    }
    let text = match &ran {
        Ok((moved, result)) => {
            let mut ran = ran_year(&Around { house, shared, asked }, moved, result);
            ran.took_ms = begun.elapsed().as_secs_f64() * 1000.0;
            serde_json::to_string(&ran)
        }
        Err(said) => serde_json::to_string(&Failed { said: said.clone() }),
    };
    Some(text.expect("plain values under text keys"))
}

/// What a year was asked in.
struct Around<'a, 'w> {
    house: &'a House,
    shared: &'a Shared<'w>,
    asked: &'a Year,
}

fn ran_year<'a>(around: &Around<'_, '_>, moved: &'a Moved, result: &YearResult) -> Ran<'a> {
    let units = around.asked.units.into();
    let job = &moved.job;
    let there = |column: &Column| !RARE.contains(column) || result.annual[*column] != 0.0;
    let mut figures: Vec<Figure> = Vec::new();
    if let Some(account) = &result.money {
        figures.extend(
            SUMS.iter()
                .filter_map(|key| MoneyFigure::ALL.iter().find(|figure| figure.key == *key))
                .filter_map(|figure| sum(figure, account)),
        );
    }
    figures.extend(
        COLUMNS.iter().filter(|column| there(column)).map(|column| figure(*column, &result.annual, units)),
    );
    let mut pictures = vec![
        Picture { key: "months", svg: picture::month_bars(&job.name, result) },
        Picture { key: "heat", svg: picture::heat_path(&job.name, result) },
    ];
    // The same days for every variant, whatever its roof: those of the job.
    let shown = around.house.days.shown(&result.traces);
    pictures.push(Picture { key: "days", svg: picture::day_curves(&job.name, &shown, units) });
    let day =
        result.traces.iter().find(|trace| trace.day == around.asked.day).map(|trace| day(trace, job, units));
    if let Some(account) = &result.money
        && let Some(outlook) = &account.outlook
    {
        pictures.push(Picture { key: "cash", svg: picture::cash_flow(&job.name, account.currency, outlook) });
    }
    Ran {
        figures,
        pictures,
        cautions: findings(job, around.shared.weather(), result).iter().map(caution).collect(),
        said: &moved.doubts,
        stands: stands(&moved.draft, job),
        drawing: picture::plant_drawing(&DrawnPlant::of(job), units),
        day,
        annual: Column::ALL.iter().map(|column| (column.info().key, result.annual[*column])).collect(),
        took_ms: 0.0,
    }
}

fn figure(column: Column, values: &Accounts, units: Units) -> Figure {
    let info = column.info();
    let (number, unit) = shown_value(column, values, units);
    let share =
        matches!(column, Column::SavingsFraction | Column::EqualServiceFraction | Column::SolarFraction);
    let slope = if share { 100.0 } else { units.show(column, 1.0).0 - units.show(column, 0.0).0 };
    let behind = |unit: &str| if unit.is_empty() { String::new() } else { format!(" {unit}") };
    let change = Change {
        slope,
        decimals: usize::from(share || number.contains('.')),
        before: String::new(),
        // A share differs by points, and one temperature from another by a difference.
        behind: match info.unit {
            _ if share => " points".into(),
            "degC" => behind(units.difference_sign()),
            _ => behind(unit),
        },
    };
    Figure {
        key: info.key,
        label: info.label,
        definition: info.definition,
        value: Some(values[column]),
        shown: format!("{number}{}", behind(unit)),
        change,
    }
}

/// A figure of money; nothing where an account without a plan has none.
fn sum(figure: &MoneyFigure, account: &Account) -> Option<Figure> {
    let value = (figure.value)(account);
    if value.is_none() && account.outlook.is_none() {
        return None;
    }
    let sum = before_sum(account.currency);
    let (before, behind, decimals) = match figure.unit {
        "currency" => (sum, String::new(), 0),
        "currency/kWh" => (sum, " a kWh".into(), 3),
        // From one year to another are years.
        "year" => (String::new(), " years".into(), 0),
        unit => (String::new(), format!(" {unit}"), 1),
    };
    Some(Figure {
        key: figure.key,
        label: figure.label,
        definition: figure.definition,
        value,
        shown: shown_sum(figure, account),
        change: Change { slope: 1.0, decimals, before, behind },
    })
}

fn caution(finding: &Finding) -> Caution {
    let words = format!("{} {} {}; {CONFIRM}.", finding.reading, finding.meaning, finding.caution);
    Caution { hazard: finding.hazard, words }
}
