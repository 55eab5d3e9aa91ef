//! Typical weather years: readers for the open layouts, self-check, irradiance on a plane, and years made from monthly means.

use std::path::Path;

use serde::Serialize;

use crate::problem::{Problem, Severity};
use crate::whole_file;

pub mod calendar;
mod check;
mod demo;
mod draft;
pub mod make;
pub mod near;
mod nsrdb;
pub mod plain;
pub mod plane;
mod pvgis;
pub mod summary;
pub mod sun_year;
mod table;
mod tmy3;
pub mod write;

pub use demo::demo;
pub(crate) use table::decode as plain_text;
pub use table::dew_point_c;

/// Hours in the year of 365 days that every simulation runs on.
pub const HOURS_PER_YEAR: usize = 8760;

/// Lines at the beginning of a file in which the mark of a made year is looked for.
const HEADER_LINES: usize = 30;

/// The place a weather file is for.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Site {
    /// Name as the file gives it; empty if it gives none.
    pub name: String,
    /// Latitude in degrees, north positive.
    pub latitude_deg: f64,
    /// Longitude in degrees, east positive.
    pub longitude_deg: f64,
    /// Height above sea level in m.
    pub elevation_m: f64,
    /// Local standard time minus UTC, in hours.
    pub utc_offset_h: f64,
}

impl Site {
    /// The name, or the coordinates of a place without one.
    pub fn called(&self) -> String {
        if !self.name.is_empty() {
            return self.name.clone();
        }
        let side = |deg: f64, plus: char, minus: char| {
            format!("{:.2}\u{b0} {}", deg.abs(), if deg < 0.0 { minus } else { plus })
        };
        format!("{}, {}", side(self.latitude_deg, 'N', 'S'), side(self.longitude_deg, 'E', 'W'))
    }
}

/// Layout of a weather file, recognised from its content.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Layout {
    /// TMY3 CSV: radiation stamped at the end of the hour.
    Tmy3,
    /// NSRDB CSV: values at the stamp, standing for the step centred on it.
    Nsrdb,
    /// PVGIS typical year CSV in UTC: values at stamp plus the file's offset.
    PvgisTmy,
    /// Our own plain CSV with named columns and units.
    Plain,
}

/// A whole year of weather on local standard time, as equal records that each cover "start + interval".
///
/// Record `i` covers `first_start_s + i * interval_s` to `+ interval_s`, in seconds after 1 January 00:00 local standard
/// time; `first_start_s` may be negative (a record that straddles the turn of the year wraps). All columns have one value
/// a record: the mean over the record for irradiance, a value at its mid-point for the rest.
#[derive(Clone, Debug)]
pub struct WeatherYear {
    /// Where.
    pub site: Site,
    /// Which layout the file had.
    pub layout: Layout,
    /// File name as given by the user, or a name for built-in data.
    pub source: String,
    /// True if the year was made from monthly means, not measured or modelled for real hours.
    pub made: bool,
    /// Length of a record in s.
    pub interval_s: u32,
    /// Start of record 0 in s after 1 January 00:00, local standard time.
    pub first_start_s: f64,
    /// Global horizontal irradiance in W/m2.
    pub ghi_w_m2: Vec<f64>,
    /// Direct normal irradiance in W/m2.
    pub dni_w_m2: Vec<f64>,
    /// Diffuse horizontal irradiance in W/m2.
    pub dhi_w_m2: Vec<f64>,
    /// Air temperature in degC.
    pub air_c: Vec<f64>,
    /// Wind speed in m/s.
    pub wind_m_s: Vec<f64>,
    /// Dew point in degC; empty if the file has neither dew point nor humidity.
    pub dew_point_c: Vec<f64>,
    /// Doubts found by the self-check, for the result to list.
    pub warnings: Vec<Problem>,
}

/// Reads a weather file in any of the four layouts and checks it.
///
/// # Errors
/// A file that cannot be used: all that is wrong with it, the main fault first.
pub fn read(path: &Path) -> Result<WeatherYear, Vec<Problem>> {
    let source = path.display().to_string();
    match whole_file::read(path) {
        Ok(bytes) => read_bytes(&source, &bytes),
        Err(error) => {
            let message = format!("Cannot read the weather file {source}: {error}.");
            Err(vec![Problem::new(Severity::Error, message).help("check the path")])
        }
    }
}

/// Reads weather from the content of a file; `source` is its name for messages.
///
/// # Errors
/// As [`read`].
pub fn read_bytes(source: &str, bytes: &[u8]) -> Result<WeatherYear, Vec<Problem>> {
    let text = table::decode(source, bytes)?;
    let sorted = draft(source, &text)?.into_year()?;
    let mut year = check::complete(sorted)?;
    // The header's mark stands for layouts that have no line of their own for it.
    year.made |= text.lines().take(HEADER_LINES).any(|line| line.contains(make::MADE_MARK));
    Ok(year)
}

/// Reads weather from text; `source` is a name for messages.
///
/// # Errors
/// As [`read`].
pub fn read_text(source: &str, text: &str) -> Result<WeatherYear, Vec<Problem>> {
    read_bytes(source, text.as_bytes())
}

/// Layout of a text and the line of its column names.
fn recognise(source: &str, text: &str) -> Result<(Layout, usize), Vec<Problem>> {
    let found = plain::recognise(text)
        .map(|line| (Layout::Plain, line))
        .or_else(|| tmy3::recognise(text).map(|line| (Layout::Tmy3, line)))
        .or_else(|| pvgis::recognise(text).map(|line| (Layout::PvgisTmy, line)))
        .or_else(|| nsrdb::recognise(text).map(|line| (Layout::Nsrdb, line)));
    // The line of the names, or any at the top where there is none.
    let names = match found {
        Some((_, line)) if line > 1 => line - 1..line,
        _ => 0..HEADER_LINES,
    };
    if let Some(problem) = table::other_separator(source, text, names) {
        return Err(vec![problem]);
    }
    found.ok_or_else(|| {
        let message = if text.trim().is_empty() {
            "The file is empty."
        } else if text.trim_start().starts_with('<') {
            "This is a web page, not a weather file."
        } else {
            "This is no weather file of a layout that can be read."
        };
        let mark = plain::MARK;
        let help = format!(
            "readable are TMY3, NSRDB and PVGIS typical-year CSV, and plain CSV that begins \"{mark}\""
        );
        vec![table::error(source, 1, message, &help)]
    })
}

/// Recognises the layout and reads the rows.
fn draft(source: &str, text: &str) -> Result<draft::Draft, Vec<Problem>> {
    match recognise(source, text)? {
        (Layout::Tmy3, line) => tmy3::read(source, text, line),
        (Layout::Nsrdb, line) => nsrdb::read(source, text, line),
        (Layout::PvgisTmy, line) => pvgis::read(source, text, line),
        (Layout::Plain, line) => plain::read(source, text, line),
    }
}

/// The place in the head of a file, without its rows.
fn site_and_layout(source: &str, text: &str) -> Result<(Site, Layout), Vec<Problem>> {
    let (layout, line) = recognise(source, text)?;
    let site = match layout {
        Layout::Tmy3 => tmy3::site(source, text, line)?,
        Layout::Nsrdb => nsrdb::site(source, text)?.0,
        Layout::PvgisTmy => pvgis::Header::read(source, text, line)?.site,
        Layout::Plain => plain::site(source, text, line)?,
    };
    Ok((site, layout))
}
