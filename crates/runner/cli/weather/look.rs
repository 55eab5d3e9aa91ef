//! `suncask weather FILE`.

use std::fmt::Write as _;

use super::super::{Failure, out};
use super::{Look, numbers};
use crate::job::quantity::size::FOOT_M;
use crate::picture::{self, Units, WeatherMonths, grouped};
use crate::weather::summary::{self, Climate, WeatherSummary};
use crate::weather::{self, Layout, Site, WeatherYear, calendar};

const MILE_PER_HOUR_M_S: f64 = 0.447_04;

pub(super) fn on_plane(year: &WeatherYear, plane: &str, albedo: f64) -> Result<(), Failure> {
    let Some([tilt_deg, azimuth_deg]) = numbers(plane) else {
        return Err(Failure::usage(format_args!(
            "--plane {plane}: expected TILT,AZIMUTH in degrees, for example 35,180"
        )));
    };
    if !(0.0..=90.0).contains(&tilt_deg) {
        return Err(Failure::usage(format_args!(
            "--plane {plane}: the tilt must lie between 0 and 90 degrees"
        )));
    }
    if !(0.0..=1.0).contains(&albedo) {
        return Err(Failure::usage(format_args!("--albedo {albedo}: it must lie between 0 and 1")));
    }
    let sums = summary::on_plane(year, tilt_deg, azimuth_deg, albedo);
    out::print(&serde_json::to_string_pretty(&sums).map_err(Failure::input)?)
}

pub(super) fn look(year: &WeatherYear, arguments: &Look) -> Result<(), Failure> {
    let units = arguments.units.into();
    let sums = summary::summarise(year);
    let mut text = format!("{}\n{}\n\n{}", arguments.file.display(), head(year, units), table(&sums, units));
    if !year.warnings.is_empty() {
        let _ = writeln!(text, "\n{}", out::lines(&year.warnings));
    }
    let stem = arguments.file.file_stem().unwrap_or_default().to_string_lossy();
    let stem = format!("{stem}-weather");
    text.push_str(&out::pictures(arguments.out.as_deref(), &stem, &pictures(year, &sums, units))?);
    out::print(&text)
}

fn head(year: &WeatherYear, units: Units) -> String {
    let layout = match year.layout {
        Layout::Tmy3 => "TMY3",
        Layout::Nsrdb => "NSRDB",
        Layout::PvgisTmy => "PVGIS typical year",
        Layout::Plain => "plain CSV",
    };
    let made = if year.made { ". Made from monthly means, not measured" } else { "" };
    format!(
        "{}\nLayout {layout}, {} records of {} min: 365 days of local standard time{made}.",
        place(&year.site, units),
        grouped(year.ghi_w_m2.len() as f64, 0),
        year.interval_s / 60,
    )
}

fn place(site: &Site, units: Units) -> String {
    let side = |deg: f64, plus: char, minus: char| {
        format!("{:.3}\u{b0} {}", deg.abs(), if deg < 0.0 { minus } else { plus })
    };
    format!(
        "{}: {}, {}, {} above sea level, UTC{:+} h",
        if site.name.is_empty() { "Unnamed site" } else { &site.name },
        side(site.latitude_deg, 'N', 'S'),
        side(site.longitude_deg, 'E', 'W'),
        height(site.elevation_m, units),
        site.utc_offset_h,
    )
}

/// A height or a difference of heights in the units of the reader.
pub(super) fn height(height_m: f64, units: Units) -> String {
    match units {
        Units::Us => format!("{} ft", grouped(height_m / FOOT_M, 0)),
        Units::Si => format!("{} m", grouped(height_m, 0)),
    }
}

/// Sums and means by month and year; fits 80 letters a line.
fn table(sums: &WeatherSummary, units: Units) -> String {
    let sign = units.level_sign();
    let (wind_unit, per_m_s) = match units {
        Units::Us => ("mph", 1.0 / MILE_PER_HOUR_M_S),
        Units::Si => ("m/s", 1.0),
    };
    let row = |cells: [&str; 8]| {
        let [name, rest @ ..] = cells;
        let rest: String = rest.iter().map(|cell| format!("{cell:>9}")).collect();
        format!("{name:9}{rest}\n")
    };
    let sun = "kWh/m\u{b2}";
    let mut text = row(["", "global", "direct", "diffuse", "air", "lowest", "highest", "wind"]);
    text.push_str(&row(["", sun, sun, sun, sign, sign, sign, wind_unit]));
    let months = calendar::MONTH_NAMES.iter().copied().zip(&sums.monthly);
    for (name, climate) in months.chain([("Year", &sums.annual)]) {
        let cells = [
            climate.ghi_kwh_m2,
            climate.dni_kwh_m2,
            climate.dhi_kwh_m2,
            units.level(climate.air_mean_c),
            units.level(climate.air_min_c),
            units.level(climate.air_max_c),
            climate.wind_mean_m_s * per_m_s,
        ];
        let [ghi, dni, dhi, air, low, high, wind] = cells.map(|value| grouped(value, 1));
        text.push_str(&row([name, &ghi, &dni, &dhi, &air, &low, &high, &wind]));
    }
    text.push_str("Global and diffuse: on level ground; direct: on a surface that faces the sun.\n");
    text
}

fn pictures(year: &WeatherYear, sums: &WeatherSummary, units: Units) -> [(&'static str, String); 2] {
    let month = |of: fn(&Climate) -> f64| std::array::from_fn(|i| of(&sums.monthly[i]));
    let months = WeatherMonths {
        name: &year.site.called(),
        made: year.made,
        ghi_kwh_m2: month(|climate| climate.ghi_kwh_m2),
        dhi_kwh_m2: month(|climate| climate.dhi_kwh_m2),
        air_c: month(|climate| climate.air_mean_c),
    };
    [
        ("months", picture::weather_months(&months, units)),
        ("map", picture::sun_map(&year.site.called(), year.made, &hourly_ghi(year), units)),
    ]
}

/// Mean global irradiance of each hour of the year, in W/m2.
fn hourly_ghi(year: &WeatherYear) -> Vec<f64> {
    let hours = weather::HOURS_PER_YEAR;
    let share = f64::from(year.interval_s) / 3600.0;
    let mut ghi_w_m2 = vec![0.0; hours];
    for (i, record_w_m2) in year.ghi_w_m2.iter().enumerate() {
        let middle_h = (year.first_start_s + (i as f64 + 0.5) * f64::from(year.interval_s)) / 3600.0;
        ghi_w_m2[(middle_h.floor() as i64).rem_euclid(hours as i64) as usize] += record_w_m2 * share;
    }
    ghi_w_m2
}
