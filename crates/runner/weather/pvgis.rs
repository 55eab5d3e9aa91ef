//! Typical-year CSV of the European Commission's PVGIS service.
//!
//! Header lines `name: value`, thirteen lines that say which year each month is from, a table that begins `time(UTC)`, and
//! notes below it. Irradiance is a snapshot at the stamp plus `Irradiance Time Offset (h)`; older files lack that line (and
//! then the offset is not known: it counts as zero, and the self-check may find it). Stamps are UTC and no zone is given, so
//! local standard time is UTC plus longitude/15 rounded to whole hours; the year is turned round to begin at local midnight,
//! which moves the joints between months of different years by as much.

use super::calendar::Stamp;
use super::draft::{Anchor, Draft, Quantity, columns};
use super::{Layout, Site, table};
use crate::problem::{Problem, Severity};

const TIME: &str = "time(UTC)";

/// Line of the column names, if this is the layout of `text`.
pub(super) fn recognise(text: &str) -> Option<usize> {
    text.lines()
        .take(60)
        .position(|line| line.trim_start_matches([' ', '"']).starts_with(TIME))
        .map(|i| i + 1)
}

/// Reads the rows below the column names.
pub(super) fn read(source: &str, text: &str, header_line: usize) -> Result<Draft, Vec<Problem>> {
    let header = Header::read(source, text, header_line)?;
    let names = table::fields(table::from_line(text, header_line));
    let columns = columns(
        &names,
        &[
            (Quantity::Ghi, "G(h)"),
            (Quantity::Dni, "Gb(n)"),
            (Quantity::Dhi, "Gd(h)"),
            (Quantity::Air, "T2m"),
            (Quantity::Wind, "WS10m"),
            (Quantity::Humidity, "RH"),
        ],
    );
    let anchor = Anchor { intervals: -0.5, seconds: libm::round(header.offset_h.unwrap_or(0.0) * 3600.0) };
    let mut draft = Draft::new(source, Layout::PvgisTmy, header.site, anchor, &columns);
    draft.zone_shift_s = draft.site.utc_offset_h * 3600.0;
    if header.offset_h.is_none() {
        let message =
            "The header has no line \"Irradiance Time Offset (h)\": irradiance counts as taken at the stamp.";
        let help = "download the file again to get one with that line";
        draft.problems.push(Problem::new(Severity::Note, message).help(help).at_line(source, header_line));
    }
    table::for_each_row(text, header_line, |line, row| {
        let time = row.get(0);
        if !time.starts_with(|c: char| c.is_ascii_digit()) {
            return false; // the notes below the table
        }
        draft.push(line, stamp(time).ok_or_else(|| time.to_owned()), row, &columns);
        true
    });
    Ok(draft)
}

/// What the lines above the table say.
pub(super) struct Header {
    pub(super) site: Site,
    /// Hours from the stamp to the moment of the irradiance; older files do not say.
    offset_h: Option<f64>,
}

impl Header {
    pub(super) fn read(source: &str, text: &str, header_line: usize) -> Result<Self, Vec<Problem>> {
        let find = |wanted: &str| {
            text.lines().take(header_line - 1).find_map(|line| {
                let (name, value) = line.split_once(':')?;
                let value = value.trim_matches(|c: char| c == ',' || c == '"' || c.is_whitespace());
                name.trim_start_matches([' ', '"']).starts_with(wanted).then(|| value.parse::<f64>().ok())?
            })
        };
        let (Some(latitude_deg), Some(longitude_deg)) = (find("Latitude"), find("Longitude")) else {
            let message = "The header does not give latitude and longitude.";
            return Err(vec![table::error(source, 1, message, table::RESTORE)]);
        };
        let site = Site {
            name: String::new(),
            latitude_deg,
            longitude_deg,
            elevation_m: find("Elevation").unwrap_or(0.0),
            utc_offset_h: libm::round(longitude_deg / 15.0),
        };
        Ok(Self { site, offset_h: find("Irradiance Time Offset") })
    }
}

/// Stamp from `YYYYMMDD:HHMM`.
fn stamp(text: &str) -> Option<Stamp> {
    let (date, time) = text.split_once(':')?;
    if date.len() != 8 || time.len() != 4 || !text.is_ascii() {
        return None;
    }
    let part = |s: &str| s.parse::<u32>().ok();
    let time_s = i64::from(part(&time[..2])?) * 3600 + i64::from(part(&time[2..])?) * 60;
    Stamp::new(part(&date[4..6])?, part(&date[6..])?, time_s)
}
