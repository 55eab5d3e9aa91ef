//! Writes a weather year in any of the four layouts, so that other tools (and our own readers) can take it up.
//!
//! Each layout's stamp names another moment of the record, and the writers put it where the readers look for it; so a year
//! that is written and read again has the same energy in every record, to the layout's rounding (1 W/m2 in TMY3 and NSRDB,
//! 0.1 W/m2 in the plain layout, 0.01 W/m2 in PVGIS). Air, dew point and wind go into the row of their record, as the readers
//! take them out again; a strict reader of TMY3, for which they are values at the stamp, sees them half an hour late.
//!
//! A made year shows that it is made: by [`MADE_MARK`] in the name of the site, and by the plain layout's own `made` line.

use std::fmt::Write as _;

use super::calendar::{self, DAY_S, DAYS_BEFORE_MONTH, YEAR_S};
use super::make::{MADE_MARK, round_to};
use super::{Layout, WeatherYear, plain};
use crate::problem::{Problem, Severity};

/// Year in the stamps of layouts that want one: any year of 365 days would do.
const NOMINAL_YEAR: u32 = 2001;

/// Station number in layouts that want one: no station has it.
const NO_STATION: u32 = 999_999;

/// The text of a weather file.
///
/// # Errors
/// A year whose records the layout cannot hold; the plain layout holds every year.
pub fn text(year: &WeatherYear, layout: Layout) -> Result<String, Vec<Problem>> {
    match layout {
        Layout::Tmy3 => tmy3(year),
        Layout::Nsrdb => nsrdb(year),
        Layout::PvgisTmy => pvgis(year),
        Layout::Plain => Ok(plain_text(year)),
    }
}

/// A layout that cannot hold the year's records.
fn refuse(layout: &str, demand: &str) -> Vec<Problem> {
    let message = format!("The {layout} layout cannot hold this year: it needs {demand}.");
    vec![Problem::new(Severity::Error, message).help("write the plain layout, which holds every year")]
}

/// Name of the site on one line without quotes, marked if the year is made.
fn site_name(year: &WeatherYear) -> String {
    let name = year.site.name.replace('"', "'").replace(char::is_control, " ");
    match year.made && !name.contains(MADE_MARK) {
        true => format!("{name} {MADE_MARK}").trim_start().to_owned(),
        false => name,
    }
}

/// A second of the year as month, day and second of the day.
fn moment(second: i64) -> (usize, i64, i64) {
    let second = second.rem_euclid(YEAR_S);
    let month = calendar::month_of_second(second);
    (month + 1, second / DAY_S - i64::from(DAYS_BEFORE_MONTH[month]) + 1, second % DAY_S)
}

/// Middle of a record in s of the year, to the second.
fn middle_s(year: &WeatherYear, record: usize) -> i64 {
    libm::round(year.first_start_s + (record as f64 + 0.5) * f64::from(year.interval_s)) as i64
}

/// Whole watts.
fn watts(irradiance_w_m2: f64) -> f64 {
    round_to(irradiance_w_m2, 1.0)
}

/// Tenths.
fn tenths(value: f64) -> f64 {
    round_to(value, 0.1)
}

/// Appends `, x` for the dew point of a record where the year has any.
fn push_dew_point(out: &mut String, year: &WeatherYear, record: usize, comma: &str) {
    if let Some(&dew_point_c) = year.dew_point_c.get(record) {
        let _ = write!(out, "{comma}{}", tenths(dew_point_c));
    }
    out.push('\n');
}

/// Relative humidity in percent from air temperature and dew point in degC.
///
/// Source: Magnus form with the constants of Alduchov & Eskridge 1996, J. Appl. Meteor. 35, 601-609; the readers turn it back
/// with the same form.
fn relative_humidity_pct(air_c: f64, dew_point_c: f64) -> f64 {
    let exponent = |t_c: f64| 17.625 * t_c / (243.04 + t_c);
    100.0 * libm::exp(exponent(dew_point_c) - exponent(air_c))
}

/// TMY3: station line, names, one row an hour whose stamp closes the hour; 24:00 belongs to the day that ends.
fn tmy3(year: &WeatherYear) -> Result<String, Vec<Problem>> {
    if year.interval_s != 3600 || year.first_start_s != 0.0 {
        return Err(refuse("TMY3", "hours that begin on the hour"));
    }
    let (site, name) = (&year.site, site_name(year));
    let mut out = format!(
        "{NO_STATION},\"{name}\",,{:.1},{:.3},{:.3},{:.0}\n",
        site.utc_offset_h, site.latitude_deg, site.longitude_deg, site.elevation_m
    );
    out += "Date (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),DNI (W/m^2),DHI (W/m^2),Dry-bulb (C),Wspd (m/s)";
    out += if year.dew_point_c.is_empty() { "\n" } else { ",Dew-point (C)\n" };
    for record in 0..year.ghi_w_m2.len() {
        let (month, day, second) = moment(record as i64 * 3600);
        let hour = second / 3600 + 1;
        let _ = write!(
            out,
            "{month:02}/{day:02}/{NOMINAL_YEAR},{hour:02}:00,{},{},{},{},{}",
            watts(year.ghi_w_m2[record]),
            watts(year.dni_w_m2[record]),
            watts(year.dhi_w_m2[record]),
            tenths(year.air_c[record]),
            tenths(year.wind_m_s[record]),
        );
        push_dew_point(&mut out, year, record, ",");
    }
    Ok(out)
}

/// NSRDB: two lines of metadata, names, rows stamped at the middle of their step, in the site's own zone.
fn nsrdb(year: &WeatherYear) -> Result<String, Vec<Problem>> {
    if middle_s(year, 0) % 60 != 0 || !year.interval_s.is_multiple_of(60) {
        return Err(refuse("NSRDB", "steps whose middle falls on a whole minute"));
    }
    let (site, name) = (&year.site, site_name(year));
    let source = if year.made { "made from monthly means" } else { "rewritten" };
    let (latitude, longitude, zone) = (site.latitude_deg, site.longitude_deg, site.utc_offset_h);
    let mut out = String::from(
        "Source,Location ID,City,State,Country,Latitude,Longitude,Time Zone,Elevation,Local Time Zone,\
         Dew Point Units,DHI Units,DNI Units,GHI Units,Temperature Units,Wind Speed Units\n",
    );
    let _ = writeln!(
        out,
        "{source},{NO_STATION},\"{name}\",-,-,{latitude},{longitude},{zone},{:.0},{zone},c,w/m2,w/m2,w/m2,c,m/s",
        site.elevation_m
    );
    out += "Year,Month,Day,Hour,Minute,GHI,DNI,DHI,Temperature,Wind Speed";
    out += if year.dew_point_c.is_empty() { "\n" } else { ",Dew Point\n" };
    for record in 0..year.ghi_w_m2.len() {
        let (month, day, second) = moment(middle_s(year, record));
        let _ = write!(
            out,
            "{NOMINAL_YEAR},{month},{day},{},{},{},{},{},{},{}",
            second / 3600,
            second % 3600 / 60,
            watts(year.ghi_w_m2[record]),
            watts(year.dni_w_m2[record]),
            watts(year.dhi_w_m2[record]),
            tenths(year.air_c[record]),
            tenths(year.wind_m_s[record]),
        );
        push_dew_point(&mut out, year, record, ",");
    }
    Ok(out)
}

/// PVGIS typical year: header lines, hours of UTC, the middle of each hour given as offset from its stamp.
///
/// The layout has humidity instead of the dew point, and no name: the site stands in a line of its own.
fn pvgis(year: &WeatherYear) -> Result<String, Vec<Problem>> {
    let site = &year.site;
    if year.interval_s != 3600 {
        return Err(refuse("PVGIS", "hourly values"));
    }
    if site.utc_offset_h != libm::round(site.longitude_deg / 15.0) {
        return Err(refuse("PVGIS", "the time zone of the longitude, for it gives none"));
    }
    let offset_s = middle_s(year, 0).rem_euclid(3600);
    let mut out = format!(
        "Latitude (decimal degrees): {:.3}\nLongitude (decimal degrees): {:.3}\nElevation (m): {:.1}\n\
         Irradiance Time Offset (h): {:.4}\nSite: {}\nmonth,year\n",
        site.latitude_deg,
        site.longitude_deg,
        site.elevation_m,
        offset_s as f64 / 3600.0,
        site_name(year)
    );
    for month in 1..=12 {
        let _ = writeln!(out, "{month},{NOMINAL_YEAR}");
    }
    out += "time(UTC),T2m,G(h),Gb(n),Gd(h),WS10m";
    out += if year.dew_point_c.is_empty() { "\n" } else { ",RH\n" };
    let records = year.ghi_w_m2.len() as i64;
    // Row 0 is hour 0 of UTC: the record whose stamp, in local time, is the zone's offset.
    let first_stamp_h = middle_s(year, 0).div_euclid(3600);
    let hundredths = |value: f64| round_to(value, 0.01);
    for row in 0..records {
        let record = (row + site.utc_offset_h as i64 - first_stamp_h).rem_euclid(records) as usize;
        let (month, day, second) = moment(row * 3600);
        let _ = write!(
            out,
            "{NOMINAL_YEAR}{month:02}{day:02}:{:02}00,{},{},{},{},{}",
            second / 3600,
            hundredths(year.air_c[record]),
            hundredths(year.ghi_w_m2[record]),
            hundredths(year.dni_w_m2[record]),
            hundredths(year.dhi_w_m2[record]),
            hundredths(year.wind_m_s[record]),
        );
        if let Some(&dew_point_c) = year.dew_point_c.get(record) {
            let _ = write!(out, ",{}", hundredths(relative_humidity_pct(year.air_c[record], dew_point_c)));
        }
        out.push('\n');
    }
    Ok(out)
}

/// Plain layout, stamped at the start of the step, or at its middle where the first step begins before the year.
fn plain_text(year: &WeatherYear) -> String {
    let site = &year.site;
    let from_start = year.first_start_s >= 0.0 && year.first_start_s.fract() == 0.0;
    let mut out = format!(
        "{}\nsite: {}\nlatitude: {} deg\nlongitude: {} deg\nelevation: {} m\nutc offset: {} h\nstamp: {}\n",
        plain::MARK,
        site_name(year),
        site.latitude_deg,
        site.longitude_deg,
        site.elevation_m,
        site.utc_offset_h,
        if from_start { "start" } else { "middle" }
    );
    if year.made {
        let _ = writeln!(out, "made: {}", year.source);
    }
    out += "time, ghi W/m2, dni W/m2, dhi W/m2, air degC, wind m/s";
    out += if year.dew_point_c.is_empty() { "\n" } else { ", dew point degC\n" };
    for record in 0..year.ghi_w_m2.len() {
        let start_s = year.first_start_s + record as f64 * f64::from(year.interval_s);
        let (month, day, second) = moment(if from_start { start_s as i64 } else { middle_s(year, record) });
        let _ = write!(out, "{month:02}-{day:02} {:02}:{:02}", second / 3600, second % 3600 / 60);
        if second % 60 != 0 {
            let _ = write!(out, ":{:02}", second % 60);
        }
        let _ = write!(
            out,
            ", {}, {}, {}, {}, {}",
            tenths(year.ghi_w_m2[record]),
            tenths(year.dni_w_m2[record]),
            tenths(year.dhi_w_m2[record]),
            tenths(year.air_c[record]),
            tenths(year.wind_m_s[record]),
        );
        push_dew_point(&mut out, year, record, ", ");
    }
    out
}
