//! Radiation: missing columns and values from the others, and whether it comes while the sun is up.

use solar_geometry::split::{Decomposition, SplitInput};

use super::super::WeatherYear;
use super::super::calendar::{DAY_S, month_of_second};
use super::super::draft::{Quantity, Sorted};
use super::super::sun_year::{DayOfYear, SunBlock, SunYear};
use super::super::table::RESTORE;
use super::{counted, doubt, refuse};
use crate::problem::{Problem, Severity};

/// The sun over one record.
struct RecordSun {
    /// Share of the record with the sun up.
    up_frac: f64,
    /// Mean sine of the elevation while the sun is up.
    mean_sine: f64,
    extraterrestrial_normal_w_m2: f64,
}

impl RecordSun {
    fn new(blocks: &[SunBlock], record_s: f64) -> Self {
        let up_s: f64 = blocks.iter().map(|b| b.up_s).sum();
        let sine_s: f64 = blocks.iter().map(SunBlock::sine_up_s).sum();
        let normal = blocks.iter().map(|b| b.extraterrestrial_normal_w_m2).fold(0.0, f64::max);
        Self { up_frac: up_s / record_s, mean_sine: sine_s / up_s, extraterrestrial_normal_w_m2: normal }
    }

    /// Direct normal irradiance that closes global and diffuse, within the extraterrestrial value.
    fn closing_dni_w_m2(&self, ghi_w_m2: f64, dhi_w_m2: f64) -> f64 {
        ((ghi_w_m2 - dhi_w_m2) / self.mean_sine).clamp(0.0, self.extraterrestrial_normal_w_m2 * self.up_frac)
    }
}

const GHI: usize = Quantity::Ghi as usize;
const DNI: usize = Quantity::Dni as usize;
const DHI: usize = Quantity::Dhi as usize;

/// Global irradiance where it is missing and the other two are there; at night none.
pub(super) fn fill_global(sorted: &mut Sorted, sun: &SunYear, doubts: &mut Vec<Problem>) {
    let record_s = f64::from(sorted.interval_s);
    let mut filled = 0;
    for (record, v) in sorted.values.iter_mut().enumerate().filter(|(_, v)| v[GHI].is_nan()) {
        let sun = RecordSun::new(sun.record(record), record_s);
        if sun.up_frac == 0.0 {
            v[GHI] = if v[DHI].is_nan() { 0.0 } else { v[DHI] };
        } else if !v[DNI].is_nan() && !v[DHI].is_nan() {
            v[GHI] = v[DNI] * sun.mean_sine + v[DHI];
            filled += 1;
        }
    }
    report_filled(filled, Quantity::Ghi, doubts);
}

/// Direct and diffuse irradiance where they are missing. True if both were in the file nearly everywhere.
///
/// One missing comes from closure, both from the decomposition of Erbs, Klein & Duffie 1982. With the sun down there is no
/// direct light, and all light is diffuse.
pub(super) fn fill_parts(sorted: &mut Sorted, sun: &SunYear, doubts: &mut Vec<Problem>) -> bool {
    let record_s = f64::from(sorted.interval_s);
    let (mut direct, mut diffuse, mut both) = (0, 0, 0);
    let gappy = |v: &[f64; Quantity::COUNT]| v[DNI].is_nan() || v[DHI].is_nan();
    for (record, v) in sorted.values.iter_mut().enumerate().filter(|(_, v)| gappy(v)) {
        let sun = RecordSun::new(sun.record(record), record_s);
        match (v[DNI].is_nan(), v[DHI].is_nan()) {
            _ if sun.up_frac == 0.0 => {
                v[DNI] = if v[DNI].is_nan() { 0.0 } else { v[DNI] };
                v[DHI] = if v[DHI].is_nan() { v[GHI] } else { v[DHI] };
            }
            (true, false) => {
                v[DNI] = sun.closing_dni_w_m2(v[GHI], v[DHI]);
                direct += 1;
            }
            (false, true) => {
                v[DHI] = (v[GHI] - v[DNI] * sun.mean_sine).max(0.0);
                diffuse += 1;
            }
            _ => {
                // The relation holds for the part of the record with the sun up.
                let parts = Decomposition::Erbs.split(&SplitInput {
                    ghi_w_m2: v[GHI] / sun.up_frac,
                    cos_zenith: sun.mean_sine,
                    extraterrestrial_normal_w_m2: sun.extraterrestrial_normal_w_m2,
                });
                (v[DNI], v[DHI]) = (parts.dni_w_m2 * sun.up_frac, parts.dhi_w_m2 * sun.up_frac);
                both += 1;
            }
        }
    }
    report_filled(direct, Quantity::Dni, doubts);
    report_filled(diffuse, Quantity::Dhi, doubts);
    if both > 0 {
        let message =
            format!("{both} rows have no direct and diffuse irradiance: both were split from the global.");
        let help = "by the method of Erbs, Klein and Duffie 1982; a file that has the parts is better";
        doubts.push(doubt(Severity::Warning, message, help));
    }
    (direct + diffuse + both) * 20 < sorted.values.len()
}

fn report_filled(count: usize, quantity: Quantity, doubts: &mut Vec<Problem>) {
    if count > 0 {
        let message = format!(
            "{} by day were missing and follow from the other two columns.",
            counted(count, quantity)
        );
        doubts.push(doubt(Severity::Warning, message, "a file that has all three is better"));
    }
}

/// Rows with clearly more diffuse than global irradiance.
pub(super) fn check_excess_diffuse(sorted: &Sorted, doubts: &mut Vec<Problem>) {
    let is_odd = |v: &[f64; Quantity::COUNT]| v[DHI] > 1.02 * v[GHI] + DIFFUSE_MARGIN_W_M2;
    let count = sorted.values.iter().filter(|v| is_odd(v)).count();
    let Some(first) = sorted.values.iter().position(is_odd) else { return };
    if count >= FEWEST_ODD_ROWS {
        let v = &sorted.values[first];
        let message = format!(
            "{count} rows have more diffuse than global irradiance, first {} against {} W/m2.",
            v[DHI], v[GHI]
        );
        let help = "both are used as they stand";
        doubts.push(
            doubt(Severity::Warning, message, help).at_line(sorted.source.as_str(), sorted.lines[first]),
        );
    }
}

/// Rounding and the spread of instruments: less excess than this is no fault, W/m2 (common practice).
const DIFFUSE_MARGIN_W_M2: f64 = 5.0;
/// A few odd rows occur in sound files.
const FEWEST_ODD_ROWS: usize = 10;

/// Share of a year's radiation that may come with the sun down: rows at dawn and dusk hold some (0.1 % in sound files).
const DARK_FRAC: f64 = 0.003;
/// Latitude from which the sun stays about as high all day, so that no noon can be told, deg.
const NO_NOON_FROM_DEG: f64 = 89.0;
/// How far the middle of the radiation may lie from solar noon before the file is refused, h.
const FARTHEST_NOON_H: f64 = 1.5;

/// Does the radiation come by day? `Some` refuses the file.
pub(super) fn check_day(year: &WeatherYear, sun: &SunYear, doubts: &mut Vec<Problem>) -> Option<Problem> {
    let total: f64 = year.ghi_w_m2.iter().sum();
    if total <= 0.0 {
        return Some(refuse(&year.source, "There is no radiation in the whole year.".to_owned(), RESTORE));
    }
    let dark = |record: usize| sun.record(record).iter().all(|b| b.up_s == 0.0);
    let dark_sum: f64 = (0..year.ghi_w_m2.len()).filter(|&r| dark(r)).map(|r| year.ghi_w_m2[r]).sum();
    // The middle of each day's radiation on the circle of 24 h, seen from solar noon.
    let (mut east, mut north) = (0.0, 0.0);
    let mut day = DayOfYear::first(&year.site);
    let mut noon_s = day.sun.transit_s();
    for (record, &ghi) in year.ghi_w_m2.iter().enumerate() {
        let middle_s = year.first_start_s + (record as f64 + 0.5) * f64::from(year.interval_s);
        while day.number < libm::floor(middle_s / DAY_S as f64) as i64 {
            day.advance();
            noon_s = day.sun.transit_s();
        }
        let angle_rad = core::f64::consts::TAU * (middle_s - noon_s) / DAY_S as f64;
        east += ghi * libm::sin(angle_rad);
        north += ghi * libm::cos(angle_rad);
    }
    let late_h = libm::atan2(east, north) * 12.0 / core::f64::consts::PI;
    let dark_frac = dark_sum / total;
    if year.site.latitude_deg.abs() < NO_NOON_FROM_DEG && late_h.abs() > FARTHEST_NOON_H {
        let side = if late_h > 0.0 { "after" } else { "before" };
        let message = format!(
            "The middle of the day's radiation comes {:.1} h {side} solar noon at longitude {} deg with a UTC offset of {} h.",
            late_h.abs(),
            year.site.longitude_deg,
            year.site.utc_offset_h
        );
        let help =
            "check the sign of the longitude (west is negative), the UTC offset and the zone of the stamps";
        return Some(refuse(&year.source, message, help));
    }
    if dark_frac > DARK_FRAC {
        let message =
            format!("{:.1} % of the year's radiation comes while the sun is down.", 100.0 * dark_frac);
        doubts.push(doubt(
            Severity::Warning,
            message,
            "check latitude, longitude, UTC offset and the time stamps",
        ));
    }
    None
}

/// Latitude from which summer and winter must differ clearly, deg.
const SEASONS_FROM_DEG: f64 = 30.0;

/// Is it summer when it should be? `Some` refuses the file.
pub(super) fn check_season(year: &WeatherYear) -> Option<Problem> {
    if year.site.latitude_deg.abs() < SEASONS_FROM_DEG {
        return None;
    }
    let mut months = [0.0; 12];
    for (record, ghi) in year.ghi_w_m2.iter().enumerate() {
        let middle_s = year.first_start_s + (record as f64 + 0.5) * f64::from(year.interval_s);
        months[month_of_second(middle_s as i64)] += ghi * f64::from(year.interval_s) / 3.6e6;
    }
    let (june, december) = (months[5] + months[6], months[11] + months[0]);
    let (summer, winter) = if year.site.latitude_deg > 0.0 { (june, december) } else { (december, june) };
    if summer >= winter {
        return None;
    }
    let half = if year.site.latitude_deg > 0.0 { "north" } else { "south" };
    let message = format!(
        "June and July have {june:.0} kWh/m2 of sun, December and January {december:.0}: that does not go with a latitude of \
         {} deg {half}.",
        year.site.latitude_deg.abs()
    );
    Some(refuse(&year.source, message, "check the sign of the latitude (south is negative) and the dates"))
}
