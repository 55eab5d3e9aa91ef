//! TMY3 CSV. Layout: Wilcox & Marion 2008, User's Manual for TMY3 Data Sets, NREL/TP-581-43156.
//!
//! Line 1 is the station, line 2 the column names, then one row an hour. A stamp closes its hour: 24:00 carries the date of
//! the day that is ending, and radiation is the energy of the 60 minutes before the stamp. Dry bulb, dew point and wind are
//! point values at the stamp; they are taken as the value of the hour, which moves them by half an hour (0.3 % of the heat
//! a collector gains). Every month may come from another year, so years are not looked at.

use super::draft::{Anchor, Draft, Quantity, columns};
use super::{Layout, Site, table};
use crate::problem::Problem;

const DATE: &str = "Date (MM/DD/YYYY)";
const TIME: &str = "Time (HH:MM)";

/// Line of the column names, if this is the layout of `text`.
pub(super) fn recognise(text: &str) -> Option<usize> {
    let wanted = "date(mm/dd/yyyy)";
    text.lines()
        .take(5)
        .position(|line| {
            let start: String =
                line.chars().filter(|c| !c.is_whitespace() && *c != '"').take(wanted.len()).collect();
            start.to_lowercase() == wanted
        })
        .map(|i| i + 1)
}

/// Reads the rows below the column names.
pub(super) fn read(source: &str, text: &str, header_line: usize) -> Result<Draft, Vec<Problem>> {
    let site = site(source, text, header_line)?;
    let names = table::fields(table::from_line(text, header_line));
    let columns = columns(
        &names,
        &[
            (Quantity::Ghi, "GHI (W/m^2)"),
            (Quantity::Dni, "DNI (W/m^2)"),
            (Quantity::Dhi, "DHI (W/m^2)"),
            (Quantity::Air, "Dry-bulb (C)"),
            (Quantity::Wind, "Wspd (m/s)"),
            (Quantity::DewPoint, "Dew-point (C)"),
            (Quantity::Humidity, "RHum (%)"),
        ],
    );
    let (Some(date), Some(time)) = (table::column(&names, DATE), table::column(&names, TIME)) else {
        return Err(vec![table::error(
            source,
            header_line,
            &format!("There is no column \"{TIME}\"."),
            table::RESTORE,
        )]);
    };
    let anchor = Anchor { intervals: -1.0, seconds: 0.0 };
    let mut draft = Draft::new(source, Layout::Tmy3, site, anchor, &columns);
    table::for_each_row(text, header_line, |line, row| {
        let (date, time) = (row.get(date), row.get(time));
        draft.push(line, table::us_stamp(date, time).ok_or_else(|| format!("{date} {time}")), row, &columns);
        true
    });
    Ok(draft)
}

/// Line 1: station number, name, state, UTC offset in h, latitude, longitude (west negative), elevation in m.
pub(super) fn site(source: &str, text: &str, header_line: usize) -> Result<Site, Vec<Problem>> {
    let line = header_line.saturating_sub(1).max(1);
    let fields = table::fields(text.lines().nth(line - 1).unwrap_or(""));
    let get = |i: usize| fields.get(i).map_or("", String::as_str);
    let numbers: Vec<f64> = (3..7).filter_map(|i| get(i).parse().ok()).collect();
    let [utc_offset_h, latitude_deg, longitude_deg, elevation_m] = numbers[..] else {
        return Err(vec![table::error(
            source,
            line,
            "The station line does not give UTC offset, latitude, longitude and elevation.",
            "it reads: number, \"name\", state, UTC offset in hours, latitude, longitude (west negative), elevation in m",
        )]);
    };
    let name = if get(2).is_empty() { get(1).to_owned() } else { format!("{}, {}", get(1), get(2)) };
    Ok(Site { name, latitude_deg, longitude_deg, elevation_m, utc_offset_h })
}
