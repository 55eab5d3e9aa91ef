//! `hourly = "prices.csv"`: 8,760 prices under a line of column names, for a house with its own generation.
//!
//! | column | holds |
//! |---|---|
//! | `import` | what a kWh from the grid costs, as in `import $/kWh` |
//! | `export` | what a kWh into the grid earns; needs `house` |
//! | `house` | what the rest of the house takes from the grid in the hour, negative while it feeds in, as in `house kWh` |
//!
//! One row an hour of local standard time, the first from midnight of 1 January; other columns are not read.

use super::super::section::Section;
use super::{KWH_J, Purse};
use crate::job::quantity::{Kind, Quantity, parse};
use crate::money::tariff::{Hourly, Tariff};
use crate::problem::{Problem, Severity};
use crate::weather::{HOURS_PER_YEAR, plain_text};
use crate::whole_file;

/// Largest price per kWh and largest use of an hour in kWh that a house can have: sums of a year stay numbers.
const LARGEST: f64 = 1e6;

/// Faults told one by one; more of them say nothing new.
const MOST_TOLD: usize = 8;

/// The file a job names; `None` with its faults told.
pub(super) fn read(section: &Section<'_>, purse: &Purse) -> Option<Tariff> {
    let text = |text: &str| Ok(text.trim().to_string());
    let file = section.words("hourly", text, |_| String::new())?;
    let path = section.beside(&file);
    let name = path.display().to_string();
    let bytes = match whole_file::read(&path) {
        Ok(bytes) => bytes,
        Err(error) => {
            let what = format!("cannot read the file of prices {name}: {error}");
            let problem = Problem::new(Severity::Error, what).label("this file");
            section.report("hourly", problem.help("its path counts from the job file's folder"));
            return None;
        }
    };
    let found = hourly_prices(&name, &bytes, |unit| purse.check(section, "hourly", unit));
    found.map(Tariff::Hourly).map_err(|problems| section.report_elsewhere(problems)).ok()
}

/// Where a column stands, and what its numbers are multiplied by.
type Column = Option<(usize, f64)>;

/// Reads the bytes of a file of prices called `name`; `unit` hears one of each column's units.
///
/// # Errors
/// What is wrong with it, line by line, up to a few.
pub fn hourly_prices(
    name: &str,
    bytes: &[u8],
    mut unit: impl FnMut(&Quantity),
) -> Result<Hourly, Vec<Problem>> {
    let text = plain_text(name, bytes)?;
    let fault = |line: usize, what: String, help: &str| {
        Problem::new(Severity::Error, what).help(help).at_line(name, line)
    };
    let mut rows = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut records = rows.records().map_while(Result::ok);
    let heads = records.next().unwrap_or_default();
    let mut column = |wanted: &str, kind: Kind| -> Result<Column, Vec<Problem>> {
        let at =
            |head: &str| head.split_whitespace().next().is_some_and(|word| word.eq_ignore_ascii_case(wanted));
        let Some(place) = heads.iter().position(at) else { return Ok(None) };
        let written = heads[place][wanted.len()..].trim();
        let help = match kind {
            Kind::Energy => "name it with its unit, as in \"house kWh\"",
            _ => "name it with its unit, as in \"import $/kWh\"",
        };
        let quantity = parse(&format!("1 {written}"), &[kind]).map_err(|fault_of_unit| {
            vec![fault(1, format!("column `{wanted}`: {}", fault_of_unit.message), help)]
        })?;
        unit(&quantity);
        let size = if kind == Kind::Energy { quantity.si / KWH_J } else { quantity.si * KWH_J };
        Ok(Some((place, size)))
    };
    let (import, export, house) = (
        column("import", Kind::MoneyPerEnergy)?,
        column("export", Kind::MoneyPerEnergy)?,
        column("house", Kind::Energy)?,
    );
    if import.is_none() {
        let help = "the first line names the columns: import $/kWh, export $/kWh, house kWh";
        return Err(vec![fault(1, "there is no column `import`".into(), help)]);
    }
    if export.is_some() != house.is_some() {
        let help = "`export` and `house` go together: the price of feeding in, and when the house does";
        return Err(vec![fault(1, "one of the columns `export` and `house` is missing".into(), help)]);
    }
    let mut found = Hourly { import: Vec::new(), export: Vec::new(), house_kwh: Vec::new() };
    let mut problems = Vec::new();
    for record in records {
        let line = record.position().map_or(1, |position| position.line() as usize);
        let mut value = |column: Column| {
            let Some((place, size)) = column else { return 0.0 };
            let field = record.get(place).unwrap_or_default();
            let (what, help) = match field.parse::<f64>() {
                Ok(number) if (number * size).abs() <= LARGEST => return number * size,
                Ok(number) if number.is_finite() => ("is not possible", "is it in the unit of its column?"),
                _ => ("is not a number", "a plain number belongs here"),
            };
            problems.push(fault(line, format!("`{field}` {what}"), help));
            f64::NAN
        };
        found.import.push(value(import));
        found.export.push(value(export));
        found.house_kwh.push(value(house));
        if problems.len() >= MOST_TOLD {
            break;
        }
    }
    let rows = found.import.len();
    if problems.is_empty() && rows != HOURS_PER_YEAR {
        let help = "one row an hour of local standard time, 365 days; leave out 29 February";
        problems.push(fault(rows + 1, format!("{rows} hours, but a year has {HOURS_PER_YEAR}"), help));
    }
    if problems.is_empty() { Ok(found) } else { Err(problems) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn year_of(head: &str, row: &str) -> Result<Hourly, Vec<Problem>> {
        let text = format!("{head}\n{}", format!("{row}\n").repeat(HOURS_PER_YEAR));
        hourly_prices("prices.csv", text.as_bytes(), |_| {})
    }

    #[test]
    fn prices_that_overflow_are_refused() {
        let sound = year_of("import $/MWh", "170").expect("a year");
        // 170 of 1,000 kWh, rounded twice.
        assert!(sound.import.iter().all(|price| (price - 0.17).abs() < 1e-15));
        for (head, row) in [("import $/Wh", "1e308"), ("import $/kWh", "-1e7")] {
            let told = year_of(head, row).expect_err("too large");
            assert_eq!(told[0].message, format!("`{row}` is not possible"));
        }
        assert_eq!(year_of("import $/kWh", "nan").expect_err("none")[0].message, "`nan` is not a number");
    }
}
