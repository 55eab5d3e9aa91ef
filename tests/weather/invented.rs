//! An invented year whose radiation fits the sun, in two layouts, to be damaged by the tests.

use suncask::weather::Site;
use suncask::weather::sun_year::{SunBlock, SunYear};

/// Where the invented year is.
pub(crate) fn site() -> Site {
    Site {
        name: "INVENTED HILL, XX".to_owned(),
        latitude_deg: 40.0,
        longitude_deg: -105.0,
        elevation_m: 1500.0,
        utc_offset_h: -7.0,
    }
}

/// One record of the invented year.
pub(crate) struct Hour {
    pub(crate) ghi: f64,
    pub(crate) dni: f64,
    pub(crate) dhi: f64,
    pub(crate) air: f64,
}

/// 8760 hours: every third day clear, the others hazy; global closes with the parts.
pub(crate) fn hours() -> Vec<Hour> {
    hours_at(&site())
}

/// The same anywhere; south of the equator July is cold.
pub(crate) fn hours_at(site: &Site) -> Vec<Hour> {
    let sun = SunYear::on_grid(site, 3600, 0.0);
    let winter_day = if site.latitude_deg < 0.0 { 197.5 } else { 15.0 };
    (0..8760)
        .map(|record| {
            let suns = sun.record(record);
            let up_s: f64 = suns.iter().map(|s| s.up_s).sum();
            let sine_s: f64 = suns.iter().map(SunBlock::sine_up_s).sum();
            let clear = (record / 24) % 3 == 0;
            let dni = if up_s == 0.0 { 0.0 } else { (if clear { 800.0 } else { 300.0 }) * up_s / 3600.0 };
            let dhi = (if clear { 100.0 } else { 160.0 }) * sine_s / 3600.0;
            let ghi = if up_s == 0.0 { 0.0 } else { dni * sine_s / up_s + dhi };
            let day = (record / 24) as f64;
            let air = 10.0 - 15.0 * (std::f64::consts::TAU * (day - winter_day) / 365.0).cos();
            Hour { ghi, dni, dhi, air }
        })
        .collect()
}

/// Days of the months.
const DAYS: [usize; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/// Month and day (from 1) of each hour's beginning, and the hour of the day.
fn dates() -> impl Iterator<Item = (usize, usize, usize)> {
    (0..12).flat_map(|m| (1..=DAYS[m]).flat_map(move |d| (0..24).map(move |h| (m + 1, d, h))))
}

/// Lines of a TMY3 file; rows begin at index 2.
pub(crate) fn tmy3() -> Vec<String> {
    let mut lines = vec![
        "999999,\"INVENTED HILL\",XX,-7.0,40.000,-105.000,1500".to_owned(),
        "Date (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),DNI (W/m^2),DHI (W/m^2),Dry-bulb (C),Dew-point (C),Wspd (m/s)"
            .to_owned(),
    ];
    for ((month, day, hour), h) in dates().zip(hours()) {
        lines.push(format!(
            "{month:02}/{day:02}/1990,{:02}:00,{:.1},{:.1},{:.1},{:.1},{:.1},2.5",
            hour + 1,
            h.ghi,
            h.dni,
            h.dhi,
            h.air,
            h.air - 5.0
        ));
    }
    lines
}

/// Lines of a plain file with the columns given; rows begin after the line of their names.
pub(crate) fn plain(columns: &str, row: impl Fn(&Hour) -> String) -> Vec<String> {
    plain_of(&hours(), columns, row)
}

/// The same of other hours.
pub(crate) fn plain_of(hours: &[Hour], columns: &str, row: impl Fn(&Hour) -> String) -> Vec<String> {
    let mut lines: Vec<String> = [
        "suncask weather 1",
        "site: Invented Hill",
        "latitude: 40 deg",
        "longitude: -105 deg",
        "elevation: 1500 m",
        "utc offset: -7 h",
        "stamp: start",
    ]
    .map(str::to_owned)
    .to_vec();
    lines.push(format!("time, {columns}"));
    for ((month, day, hour), h) in dates().zip(hours) {
        lines.push(format!("{month:02}-{day:02} {hour:02}:00, {}", row(h)));
    }
    lines
}
