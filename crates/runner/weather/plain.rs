//! The plain weather file of this program: a short header, named columns with units, one row a step.
//!
//! ```text
//! suncask weather 1
//! site: High valley (invented)
//! latitude: 39.5 deg
//! longitude: -106.1 deg
//! elevation: 2750 m
//! utc offset: -7 h
//! stamp: start
//! made: monthly means, seed 7
//! remark: any words
//! time, ghi W/m2, dni W/m2, dhi W/m2, air degC, wind m/s, dew point degC
//! 01-01 00:00, 0, 0, 0, -11.5, 2.1, -15.0
//! ```
//!
//! - Line 1 is the mark of the layout. The header lines below may come in any order. `latitude` (north positive),
//!   `longitude` (east positive), `utc offset` (local standard time minus UTC) are needed; `elevation` may be in m or ft.
//! - `stamp` says which moment of a step the time names: `start` (also when the line is left out), `middle` or `end`.
//! - `made` marks a year that was made up from averages; the mark follows the year into every result. `remark` is free.
//! - The table begins with the line that starts with `time`. Times are local standard time all year (never daylight-saving
//!   time): `MM-DD HH:MM`, or `YYYY-MM-DD HH:MM`; the year is not looked at. A full year of 365 days, steps of 1 min to 1 h
//!   that divide the hour. Rows of 29 February are left out.
//! - Columns by name, in any order: `ghi`, `dni`, `dhi` in W/m2 (mean of the step) or Wh/m2 (its energy); `air` and
//!   `dew point` in degC or degF; `wind` in m/s, mph or km/h; `humidity` in %. `ghi` and `air` are needed (or `dni` and `dhi`
//!   in place of `ghi`); an empty field is a gap.

use super::calendar::Stamp;
use super::draft::{Anchor, Column, Draft, Quantity};
use super::{Layout, Site, table};
use crate::problem::Problem;

/// First line of a plain weather file.
pub const MARK: &str = "suncask weather 1";

/// Line of the column names, if this is the layout of `text`; line 1 if that line is missing.
pub(super) fn recognise(text: &str) -> Option<usize> {
    let first = text.trim_start().trim_start_matches('"').get(..MARK.len() - 2);
    first.is_some_and(|start| start.eq_ignore_ascii_case(&MARK[..start.len()])).then(|| {
        let is_names = |line: &str| {
            let names = table::fields(line);
            names.len() > 1 && names[0].eq_ignore_ascii_case("time")
        };
        text.lines().take(200).position(is_names).map_or(1, |i| i + 1)
    })
}

/// Reads header and rows.
pub(super) fn read(source: &str, text: &str, header_line: usize) -> Result<Draft, Vec<Problem>> {
    let mut problems = Vec::new();
    if header_line == 1 {
        let help = "write \"time, ghi W/m2, dni W/m2, dhi W/m2, air degC, wind m/s\" above the rows";
        return Err(vec![table::error(source, 1, "There is no line of column names.", help)]);
    }
    if table::fields(text).first().map(|f| f.to_lowercase()).as_deref() != Some(MARK) {
        let help = format!("this program reads \"{MARK}\"");
        problems.push(table::error(source, 1, "This edition of the plain layout is not known.", &help));
    }
    let header = Header::read(source, text, header_line, &mut problems);
    let names = table::fields(table::from_line(text, header_line));
    let mut energy = [false; Quantity::COUNT];
    let mut columns: Vec<Column> = Vec::new();
    for (index, name) in names.iter().enumerate().skip(1) {
        match column(name, index) {
            Ok((column, is_energy)) => {
                energy[column.quantity as usize] = is_energy;
                if columns.iter().any(|c| c.quantity == column.quantity) {
                    let message = format!("There are two columns of {}.", column.quantity.name());
                    problems.push(table::error(source, header_line, &message, "leave one out"));
                }
                columns.push(column);
            }
            Err(Some((message, help))) => problems.push(table::error(source, header_line, &message, help)),
            Err(None) => {}
        }
    }
    let (Some(site), true) = (header.site(), problems.is_empty()) else { return Err(problems) };
    let anchor = Anchor { intervals: header.start_intervals, seconds: 0.0 };
    let mut draft = Draft::new(source, Layout::Plain, site, anchor, &columns);
    draft.made = header.made;
    table::for_each_row(text, header_line, |line, row| {
        let time = row.get(0);
        draft.push(line, stamp(time).ok_or_else(|| time.to_owned()), row, &columns);
        true
    });
    draft.energy_to_power(&energy);
    Ok(draft)
}

/// The place in the header.
pub(super) fn site(source: &str, text: &str, header_line: usize) -> Result<Site, Vec<Problem>> {
    let mut problems = Vec::new();
    Header::read(source, text, header_line, &mut problems).site().ok_or(problems)
}

/// What the lines above the table say.
#[derive(Default)]
struct Header {
    name: String,
    latitude_deg: Option<f64>,
    longitude_deg: Option<f64>,
    elevation_m: f64,
    utc_offset_h: Option<f64>,
    start_intervals: f64,
    made: bool,
}

impl Header {
    fn read(source: &str, text: &str, header_line: usize, problems: &mut Vec<Problem>) -> Self {
        let mut header = Self::default();
        for (index, line) in text.lines().enumerate().take(header_line - 1).skip(1) {
            let line = line.trim_matches(|c: char| c == ',' || c == '"' || c.is_whitespace());
            if line.is_empty() {
                continue;
            }
            let (key, value) = line.split_once(':').map_or((line, ""), |(key, value)| (key, value.trim()));
            let mut number = |units: &[(&str, f64)]| {
                let parsed = quantity(value, units);
                if parsed.is_none() {
                    let message = format!("\"{value}\" is no value for {}.", key.trim());
                    let help = format!("write a number in {}, with a point for decimals", units[0].0);
                    problems.push(table::error(source, index + 1, &message, &help));
                }
                parsed
            };
            match key.trim().to_lowercase().as_str() {
                "site" => value.clone_into(&mut header.name),
                "latitude" => header.latitude_deg = number(&[("deg", 1.0)]).or(Some(f64::NAN)),
                "longitude" => header.longitude_deg = number(&[("deg", 1.0)]).or(Some(f64::NAN)),
                "elevation" => header.elevation_m = number(&[("m", 1.0), ("ft", 0.3048)]).unwrap_or(0.0),
                "utc offset" => header.utc_offset_h = number(&[("h", 1.0)]).or(Some(f64::NAN)),
                "made" => header.made = true,
                "remark" => {}
                "stamp" => match value.to_lowercase().trim_end_matches(" of step") {
                    "start" => header.start_intervals = 0.0,
                    "middle" => header.start_intervals = -0.5,
                    "end" => header.start_intervals = -1.0,
                    _ => {
                        let message = format!("\"{value}\" does not say what the time of a row means.");
                        problems.push(table::error(
                            source,
                            index + 1,
                            &message,
                            "write start, middle or end",
                        ));
                    }
                },
                other => {
                    let message = format!("The header line \"{other}\" is not known.");
                    let help =
                        "known are site, latitude, longitude, elevation, utc offset, stamp, made, remark";
                    problems.push(table::error(source, index + 1, &message, help));
                }
            }
        }
        for (name, value) in [
            ("latitude", header.latitude_deg),
            ("longitude", header.longitude_deg),
            ("utc offset", header.utc_offset_h),
        ] {
            if value.is_none() {
                let help = format!("add a line \"{name}: ...\" above the table");
                problems.push(table::error(
                    source,
                    1,
                    &format!("The header does not give the {name}."),
                    &help,
                ));
            }
        }
        header
    }

    fn site(&self) -> Option<Site> {
        Some(Site {
            name: self.name.clone(),
            latitude_deg: self.latitude_deg?,
            longitude_deg: self.longitude_deg?,
            elevation_m: self.elevation_m,
            utc_offset_h: self.utc_offset_h?,
        })
    }
}

/// A number with or without its unit.
fn quantity(text: &str, units: &[(&str, f64)]) -> Option<f64> {
    let (number, unit) = text.split_once(' ').unwrap_or((text, units[0].0));
    let factor = units.iter().find(|(name, _)| name.eq_ignore_ascii_case(unit.trim()))?.1;
    number.parse::<f64>().ok().filter(|v| v.is_finite()).map(|v| v * factor)
}

/// A column from its name and unit; the flag is true for energy per step. `Err(None)` is a column that is not needed.
fn column(name: &str, index: usize) -> Result<(Column, bool), Option<(String, &'static str)>> {
    let lower = name.to_lowercase();
    let kinds = [
        ("ghi", Quantity::Ghi),
        ("dni", Quantity::Dni),
        ("dhi", Quantity::Dhi),
        ("air", Quantity::Air),
        ("wind", Quantity::Wind),
        ("dew point", Quantity::DewPoint),
        ("humidity", Quantity::Humidity),
    ];
    let found = kinds.iter().find_map(|&(word, quantity)| {
        let unit = lower.strip_prefix(word)?;
        (unit.is_empty() || unit.starts_with([' ', '(', '['])).then_some((quantity, unit))
    });
    let Some((quantity, unit)) = found else { return Err(None) };
    let unit = unit.trim_matches(|c: char| c.is_whitespace() || "()[]".contains(c));
    let scale = match (quantity, unit) {
        (Quantity::Ghi | Quantity::Dni | Quantity::Dhi, "w/m2" | "w/m^2" | "wh/m2" | "wh/m^2")
        | (Quantity::Air | Quantity::DewPoint, "degc" | "c")
        | (Quantity::Wind, "m/s")
        | (Quantity::Humidity, "%") => (1.0, 0.0),
        (Quantity::Air | Quantity::DewPoint, "degf" | "f") => (5.0 / 9.0, -32.0 * 5.0 / 9.0),
        (Quantity::Wind, "mph") => (0.44704, 0.0),
        (Quantity::Wind, "km/h") => (1.0 / 3.6, 0.0),
        (_, "") => {
            return Err(Some((format!("The column \"{name}\" has no unit."), "write it as \"air degC\"")));
        }
        _ => {
            let help = "units: W/m2 or Wh/m2; degC or degF; m/s, mph or km/h; humidity in %";
            return Err(Some((format!("The unit of the column \"{name}\" is not known."), help)));
        }
    };
    Ok((Column { quantity, index, factor: scale.0, offset: scale.1 }, unit.starts_with("wh")))
}

/// Stamp from `MM-DD HH:MM` or `YYYY-MM-DD HH:MM`, blank or `T` between, seconds allowed.
fn stamp(text: &str) -> Option<Stamp> {
    let (date, time) = text.split_once([' ', 'T'])?;
    let mut parts = date.rsplit('-').map(|p| p.parse::<u32>().ok());
    let (day, month) = (parts.next()??, parts.next()??);
    Stamp::new(month, day, table::time_of_day(time.trim())?)
}
