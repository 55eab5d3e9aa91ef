//! The result for machines: `summary.json`, `monthly.csv` and `hourly.csv`, with the keys of the one table of columns.

use std::io::{self, Write};
use std::path::Path;

use serde::Serialize;
use serde::ser::{SerializeMap, Serializer};
use serde_json::Number;
use solar_geometry::time::month_and_day;

use super::money::MoneyFacts;
use super::{Report, Told, WeatherFacts};
use crate::job::Echo;
use crate::job::check;
use crate::money::{Account, CashColumn, CashYear, MoneyFigure};
use crate::problem::Problem;
use crate::record::{Accounts, Column, Outage, OutageFigure, ReadingFigure, Readings, Spell, Week, WeekKind};
use crate::safety::Finding;
use crate::study::range::Range;

/// Version of the layout of `summary.json`; goes up when a key changes its meaning or goes away.
pub const SCHEMA_VERSION: u32 = 1;

/// What the numbers are for, of whoever reads the file without this program at hand.
#[derive(Serialize)]
struct Summary<'a> {
    schema_version: u32,
    suncask_version: &'a str,
    date: &'a str,
    job: JobFacts<'a>,
    defaults: Vec<Default<'a>>,
    weather: &'a WeatherFacts,
    safety: &'a [Finding],
    annual: Values<'a>,
    monthly: Vec<Values<'a>>,
    weeks: Vec<WeekFacts<'a>>,
    clear_day: Option<ClearDay>,
    outages: Vec<OutageFacts<'a>>,
    money: Option<Sums<'a>>,
    range: Option<&'a Range>,
    rules_of_thumb: Vec<check::Finding>,
    columns: Vec<Definition>,
    week_kinds: Vec<Definition>,
    clear_day_columns: Vec<Definition>,
    outage_columns: Vec<Definition>,
    money_columns: Vec<Definition>,
    cash_columns: Vec<Definition>,
}

#[derive(Serialize)]
struct JobFacts<'a> {
    name: &'a str,
    quantities: &'a [Echo],
    notes: &'a [Problem],
}

#[derive(Serialize)]
struct Default<'a> {
    key: &'a str,
    value: &'a str,
    si: Option<f64>,
    unit: &'a str,
    source: &'a str,
}

#[derive(Serialize)]
pub(super) struct Definition {
    pub key: &'static str,
    pub unit: &'static str,
    pub label: &'static str,
    pub definition: &'static str,
}

/// What every column means.
pub(super) fn definitions() -> Vec<Definition> {
    let definition = |column: &Column| {
        let info = column.info();
        Definition { key: info.key, unit: info.unit, label: info.label, definition: info.definition }
    };
    Column::ALL.iter().map(definition).collect()
}

/// Three days without power: which, and every figure under its key.
#[derive(Serialize)]
struct OutageFacts<'a> {
    spell: Spell,
    first_day_of_year: u32,
    days: u32,
    #[serde(flatten)]
    figures: Figures<'a>,
}

/// Seven days in a row: which, and every column.
#[derive(Serialize)]
struct WeekFacts<'a> {
    week: &'static str,
    first_day_of_year: u32,
    days: u32,
    #[serde(flatten)]
    values: Values<'a>,
}

impl<'a> WeekFacts<'a> {
    fn of(week: &'a Week) -> Self {
        let values = Values(&week.accounts);
        Self { week: week.kind.key(), first_day_of_year: week.first_day, days: Week::DAYS, values }
    }
}

/// Readings of the clear day under their keys.
struct ClearDay(Readings);

impl Serialize for ClearDay {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(ReadingFigure::ALL.len()))?;
        for figure in &ReadingFigure::ALL {
            map.serialize_entry(figure.key, &number(figure.key, (figure.value)(&self.0)))?;
        }
        map.end()
    }
}

/// The figures of an outage under their keys, in their order; `null` where one has no meaning.
struct Figures<'a>(&'a Outage);

impl Serialize for Figures<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(OutageFigure::ALL.len()))?;
        for figure in &OutageFigure::ALL {
            map.serialize_entry(figure.key, &(figure.value)(self.0).map(|value| number(figure.key, value)))?;
        }
        map.end()
    }
}

/// Money: every figure under its key, what stands beside them, and the years.
struct Sums<'a>(&'a Account);

impl Serialize for Sums<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        for figure in &MoneyFigure::ALL {
            let value = (figure.value)(self.0).map(|value| number(figure.key, value));
            map.serialize_entry(figure.key, &value)?;
        }
        let years = self.0.outlook.as_ref().map(|o| o.years.iter().map(Cash).collect::<Vec<_>>());
        map.serialize_entry("cash_flow", &years)?;
        map.serialize_entry("facts", &MoneyFacts::of(self.0))?;
        map.end()
    }
}

/// A year of the cash flow under the keys of its columns.
struct Cash<'a>(&'a CashYear);

impl Serialize for Cash<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        map.serialize_entry("year", &self.0.year)?;
        for column in &CashColumn::ALL {
            map.serialize_entry(column.key, &number(column.key, (column.value)(self.0)))?;
        }
        map.end()
    }
}

/// The values of a span under their keys, in the order of the columns.
pub(super) struct Values<'a>(pub &'a Accounts);

impl Serialize for Values<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(Column::COUNT))?;
        for column in Column::ALL.iter().copied() {
            map.serialize_entry(column.info().key, &number(column.info().key, self.0[column]))?;
        }
        map.end()
    }
}

/// A value as it is written: whole numbers without a point, no negative zero, all digits of the rest.
///
/// # Panics
///
/// If the value is not finite: such a result must never reach a file.
pub(super) fn number(key: &str, value: f64) -> Number {
    // Whole numbers up to 2^53 are exact in both kinds.
    if value.fract() == 0.0 && value.abs() <= 9_007_199_254_740_992.0 {
        return Number::from(value as i64);
    }
    match Number::from_f64(value) {
        Some(number) => number,
        None => panic!("{key} is {value}"),
    }
}

/// Text of `summary.json`.
pub(super) fn summary(report: &Report<'_>, told: &Told) -> String {
    let week_kinds = WeekKind::ALL.iter().map(|week| {
        let (key, label, definition) = (week.key(), week.label(), week.definition());
        Definition { key, unit: "-", label, definition }
    });
    let clear_day_columns = ReadingFigure::ALL.iter().map(|figure| {
        let ReadingFigure { key, unit, label, definition, .. } = *figure;
        Definition { key, unit, label, definition }
    });
    let defaults = report.job.echo.iter().filter_map(|e| {
        let source = e.default_source.as_deref()?;
        Some(Default { key: &e.key, value: &e.written, si: e.si, unit: &e.unit, source })
    });
    let outages = report.result.outages.iter().map(|outage| OutageFacts {
        spell: outage.spell,
        first_day_of_year: outage.first_day,
        days: Outage::DAYS,
        figures: Figures(outage),
    });
    let outage_columns = OutageFigure::ALL.iter().map(|figure| {
        let OutageFigure { key, unit, label, definition, .. } = *figure;
        Definition { key, unit, label, definition }
    });
    let money_columns = MoneyFigure::ALL.iter().map(|figure| {
        let MoneyFigure { key, unit, label, definition, .. } = *figure;
        Definition { key, unit, label, definition }
    });
    let cash_columns = CashColumn::ALL.iter().map(|column| {
        let CashColumn { key, label, definition, .. } = *column;
        Definition { key, unit: "currency", label, definition }
    });
    let summary = Summary {
        schema_version: SCHEMA_VERSION,
        suncask_version: report.version,
        date: report.date,
        job: JobFacts { name: report.name(), quantities: &report.job.echo, notes: report.notes },
        defaults: defaults.collect(),
        weather: &report.weather,
        safety: report.safety,
        annual: Values(&report.result.annual),
        monthly: report.result.monthly.iter().map(Values).collect(),
        weeks: told.weeks.iter().map(WeekFacts::of).collect(),
        clear_day: told.clear_day.map(ClearDay),
        outages: outages.collect(),
        money: report.result.money.as_ref().map(Sums),
        range: report.range,
        rules_of_thumb: told.rules.iter().chain(report.rules).cloned().collect(),
        columns: definitions(),
        week_kinds: week_kinds.collect(),
        clear_day_columns: clear_day_columns.collect(),
        outage_columns: outage_columns.collect(),
        money_columns: money_columns.collect(),
        cash_columns: cash_columns.collect(),
    };
    serde_json::to_string_pretty(&summary).expect("plain values under text keys") + "\n"
}

/// Writes one row a month: `month` (1 to 12), then every column.
pub(super) fn monthly(path: &Path, months: &[Accounts]) -> io::Result<()> {
    let rows = months.iter().enumerate().map(|(i, month)| (vec![i + 1], month));
    table(path, &["month"], rows)
}

/// Writes one row an hour of local standard time: `month`, `day` of the month, `hour` (0 to 23, as it begins), then
/// every column.
pub(super) fn hourly(path: &Path, hours: &[Accounts]) -> io::Result<()> {
    let rows = hours.iter().enumerate().map(|(i, hour)| {
        let (month, day) = month_and_day((i / 24) as u32 + 1);
        (vec![month as usize, day as usize, i % 24], hour)
    });
    table(path, &["month", "day", "hour"], rows)
}

fn table<'a>(
    path: &Path,
    times: &[&str],
    rows: impl Iterator<Item = (Vec<usize>, &'a Accounts)>,
) -> io::Result<()> {
    let mut file = csv::Writer::from_path(path)?;
    file.write_record(times.iter().copied().chain(Column::ALL.iter().map(|c| c.info().key)))?;
    for (time, values) in rows {
        for part in time {
            file.write_field(part.to_string())?;
        }
        for column in Column::ALL.iter().copied() {
            file.write_field(number(column.info().key, values[column]).to_string())?;
        }
        file.write_record(None::<&[u8]>)?;
    }
    file.into_inner().map_err(|e| e.into_error())?.flush()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_numbers_and_zero_are_plain() {
        let text = |v| number("pump_starts", v).to_string();
        assert_eq!(text(1204.0), "1204");
        assert_eq!(text(-0.0), "0");
        assert_eq!(text(-3.0), "-3");
        assert_eq!(text(0.1 + 0.2), "0.30000000000000004");
        assert_eq!(text(3.0e-13), "3e-13");
    }

    #[test]
    #[should_panic(expected = "pump_starts is NaN")]
    fn not_a_number_is_never_written() {
        number("pump_starts", f64::NAN);
    }
}
