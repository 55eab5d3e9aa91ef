//! A typical-like year made from twelve monthly means, for places without a weather file.
//!
//! The order of the day: days of each month by their clearness (`days`), hours of each day (`hours`), air and wind (`air`),
//! under the sun of the place (`sky`). Chance comes from a seed and is the same on every machine. The values are rounded as
//! a file would show them (1 W/m2, 0.1 degC, 0.1 m/s) in such a way that the monthly means are kept. A made year carries
//! [`MADE_MARK`] in its name.

mod air;
mod days;
mod distance;
mod hours;
mod monthly;
mod sky;

pub use distance::{clearness_distance, daily_clearness};
pub(in crate::weather) use monthly::round_to;

use super::calendar::MONTH_NAMES;
use super::{Layout, Site, WeatherYear};
use crate::problem::{Problem, Severity};
use sky::Sky;

/// What a made year has at the end of its site name, so that files written from it show what they are.
pub const MADE_MARK: &str = "(made)";

/// Mean wind speed assumed where none is given, m/s: common practice for a sheltered suburb.
pub const ASSUMED_WIND_M_S: f64 = 3.0;

/// Monthly irradiation below which a clearness says nothing (polar night and its edges), kWh/m2 and day without atmosphere.
const TWILIGHT_KWH_M2_DAY: f64 = 0.5;

/// Lowest and highest monthly clearness that we take for possible: no station known to us lies outside (from memory:
/// about 0.2 in the darkest winters of cloudy coasts, 0.75 in the driest highlands).
const POSSIBLE_CLEARNESS: std::ops::RangeInclusive<f64> = 0.1..=0.8;

/// What a year is made from.
#[derive(Clone, Debug, PartialEq)]
pub struct MakeSpec {
    /// Name of the place.
    pub name: String,
    /// Latitude in degrees, north positive.
    pub latitude_deg: f64,
    /// Longitude in degrees, east positive.
    pub longitude_deg: f64,
    /// Height above sea level in m.
    pub elevation_m: f64,
    /// Local standard time minus UTC in hours; by default that of the longitude, in whole hours.
    pub utc_offset_h: Option<f64>,
    /// Global horizontal irradiation of each month in kWh/m2 and day.
    pub ghi_kwh_m2_day: [f64; 12],
    /// Mean air temperature of each month in degC.
    pub air_c: [f64; 12],
    /// Mean wind speed of each month in m/s; [`ASSUMED_WIND_M_S`] all year if not given.
    pub wind_m_s: Option<[f64; 12]>,
    /// Number that decides the order of days and hours; the same number makes the same year.
    pub seed: u64,
}

/// Makes a year of hours.
///
/// # Errors
/// All values of the spec that cannot be, each with what to do.
pub fn make_year(spec: &MakeSpec) -> Result<WeatherYear, Vec<Problem>> {
    let problems = impossible_numbers(spec);
    if !problems.is_empty() {
        return Err(problems);
    }
    let site = site(spec);
    let sky = Sky::new(&site);
    let without_air_wh_m2 = sky.daily_wh_m2();
    let mean_wh_m2 = spec.ghi_kwh_m2_day.map(|kwh| kwh * 1000.0);
    let problems = impossible_sun(spec, &without_air_wh_m2);
    if !problems.is_empty() {
        return Err(problems);
    }

    let days = days::days(&mean_wh_m2, &without_air_wh_m2, spec.elevation_m, spec.seed);
    let sun = hours::hours(&days, &sky, spec.seed);
    let solar_shift_h = site.longitude_deg / 15.0 - site.utc_offset_h;
    let air_c = air::temperature(&spec.air_c, &days, solar_shift_h, spec.seed);
    let clearness: [f64; 12] = std::array::from_fn(|m| monthly::mean(&days.clearness[monthly::days(m)]));
    let dew_point_c = air::dew_point(&air_c, &clearness);
    let wind_m_s = air::wind(&spec.wind_m_s.unwrap_or([ASSUMED_WIND_M_S; 12]), spec.seed);
    Ok(WeatherYear {
        site,
        layout: Layout::Plain,
        source: format!("monthly means, seed {}", spec.seed),
        made: true,
        interval_s: 3600,
        first_start_s: 0.0,
        ghi_w_m2: sun.ghi_w_m2,
        dni_w_m2: sun.dni_w_m2,
        dhi_w_m2: sun.dhi_w_m2,
        air_c,
        wind_m_s,
        dew_point_c,
        warnings: Vec::new(),
    })
}

/// The place, its name marked as made.
fn site(spec: &MakeSpec) -> Site {
    let name = spec.name.trim();
    let marked = if name.contains(MADE_MARK) { name.to_owned() } else { format!("{name} {MADE_MARK}") };
    Site {
        name: marked.trim_start().to_owned(),
        latitude_deg: spec.latitude_deg,
        longitude_deg: spec.longitude_deg,
        elevation_m: spec.elevation_m,
        utc_offset_h: spec.utc_offset_h.unwrap_or_else(|| libm::round(spec.longitude_deg / 15.0)),
    }
}

/// Numbers outside what the earth offers.
fn impossible_numbers(spec: &MakeSpec) -> Vec<Problem> {
    let mut problems = Vec::new();
    let mut demand = |what: &str, value: f64, range: [f64; 2], unit: &str, help: &str| {
        if !(range[0]..=range[1]).contains(&value) {
            let [low, high] = range;
            let message = format!(
                "{what} is {} {unit}; it must lie between {low} and {high} {unit}.",
                round_to(value, 0.001)
            );
            problems.push(Problem::new(Severity::Error, message).help(help));
        }
    };
    demand("The latitude", spec.latitude_deg, [-90.0, 90.0], "deg", "north is positive, south negative");
    demand("The longitude", spec.longitude_deg, [-180.0, 180.0], "deg", "east is positive, west negative");
    demand("The elevation", spec.elevation_m, [-450.0, 6000.0], "m", "give it in meters above sea level");
    if let Some(offset_h) = spec.utc_offset_h {
        let near_h = spec.longitude_deg / 15.0;
        let range = [libm::ceil(near_h - 3.5), libm::floor(near_h + 3.5)];
        demand(
            "The offset from UTC",
            offset_h,
            range,
            "h",
            "west of Greenwich it is negative; leave it out if unsure",
        );
    }
    for (month, name) in MONTH_NAMES.iter().enumerate() {
        let sun_help = "give kWh/m2 a day, not a month; a month's total divided by its days";
        demand(
            &format!("The sun of {name}"),
            spec.ghi_kwh_m2_day[month],
            [0.0, 12.0],
            "kWh/m2 a day",
            sun_help,
        );
        let air_help = "give the month's mean in degC";
        demand(&format!("The air temperature of {name}"), spec.air_c[month], [-60.0, 45.0], "degC", air_help);
        if let Some(wind_m_s) = spec.wind_m_s {
            let wind_help = "give the month's mean in m/s (1 mph is 0.447 m/s)";
            demand(&format!("The wind of {name}"), wind_m_s[month], [0.0, 20.0], "m/s", wind_help);
        }
    }
    problems
}

/// Months with more sun than an atmosphere lets through, or less than any climate has.
fn impossible_sun(spec: &MakeSpec, without_air_wh_m2: &[f64]) -> Vec<Problem> {
    let mut problems = Vec::new();
    for (month, name) in MONTH_NAMES.iter().enumerate() {
        let given = spec.ghi_kwh_m2_day[month];
        let possible = monthly::mean(&without_air_wh_m2[monthly::days(month)]) / 1000.0;
        let most = POSSIBLE_CLEARNESS.end() * possible;
        let least = if possible < TWILIGHT_KWH_M2_DAY { 0.0 } else { POSSIBLE_CLEARNESS.start() * possible };
        if given > most || given < least {
            let message = format!(
                "The sun of {name} is {given:.2} kWh/m2 a day; at latitude {} deg it must lie between {least:.2} and {most:.2} \
                 ({possible:.2} would arrive without an atmosphere).",
                spec.latitude_deg
            );
            let help = "check latitude, order of the months and unit (kWh/m2 a day on a level surface)";
            problems.push(Problem::new(Severity::Error, message).help(help));
        }
    }
    problems
}
