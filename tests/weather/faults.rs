//! One message for each kind of fault: refused with a place and a remedy, or read with a warning.

use proptest::prelude::*;
use suncask::problem::{Problem, Severity};
use suncask::weather::{WeatherYear, dew_point_c, read_bytes, read_text};

use super::invented::{hours, plain, tmy3};

fn good(lines: &[String]) -> WeatherYear {
    read_text("year.csv", &lines.join("\n")).unwrap_or_else(|problems| panic!("{problems:#?}"))
}

/// The problems of a file that must be refused; each says what to do.
fn refused(lines: &[String]) -> Vec<Problem> {
    let problems = read_text("year.csv", &lines.join("\n")).expect_err("the file must be refused");
    assert!(problems.iter().all(|p| p.help.is_some()), "{problems:#?}");
    problems
}

#[track_caller]
fn says(problem: &Problem, line: Option<usize>, words: &[&str]) {
    let text = problem.to_string();
    for word in words {
        assert!(text.contains(word), "\"{word}\" not in: {text}");
    }
    if line.is_some() {
        assert_eq!(problem.place.as_ref().map(|p| p.line), line, "{text}");
    }
}

#[track_caller]
fn warned(year: &WeatherYear, words: &[&str]) {
    let found = year.warnings.iter().any(|w| words.iter().all(|word| w.message.contains(word)));
    assert!(found, "{words:?} not in {:#?}", year.warnings);
}

/// Index of the row whose hour ends at 12:00 on a day of the year (0 is 1 January).
fn noon(day: usize) -> usize {
    2 + 24 * day + 11
}

/// Replaces a field of a line.
fn set(lines: &mut [String], line: usize, field: usize, value: &str) {
    let mut fields: Vec<&str> = lines[line].split(',').collect();
    fields[field] = value;
    lines[line] = fields.join(",");
}

const GHI: usize = 2;
const DNI: usize = 3;
const DHI: usize = 4;
const AIR: usize = 5;
const WIND: usize = 7;

#[test]
fn the_invented_year_itself_is_without_doubt() {
    let year = good(&tmy3());
    assert_eq!(year.warnings, []);
    assert_eq!(year.site, super::invented::site());
}

#[test]
fn a_missing_hour_is_refused() {
    let mut lines = tmy3();
    // The hour that ends at 03:00 on 8 March: what a change to daylight-saving time looks like.
    lines.remove(2 + 24 * 66 + 2);
    let problems = refused(&lines);
    says(&problems[0], Some(2 + 24 * 66 + 2), &["8 March 03:00", "missing", "daylight-saving"]);
    assert_eq!(problems.len(), 1);
}

#[test]
fn a_repeated_hour_is_refused() {
    let mut lines = tmy3();
    let line = lines[1001].clone();
    lines.insert(1002, line);
    says(&refused(&lines)[0], Some(1003), &["was there before, in line 1002"]);
}

#[test]
fn half_a_year_is_refused() {
    let lines = tmy3();
    says(&refused(&lines[..4000])[0], None, &["4762 of 8760 rows are missing", "a full year"]);
    says(&refused(&lines[..2])[0], None, &["no rows of data"]);
}

#[test]
fn unreadable_fields_are_refused_together() {
    let mut lines = tmy3();
    set(&mut lines, 9, 0, "31/12/1990");
    set(&mut lines, 20, AIR, "n/a");
    set(&mut lines, 21, AIR, "cold");
    let problems = refused(&lines);
    says(&problems[0], Some(10), &["31/12/1990 08:00"]);
    says(&problems[1], Some(21), &["\"n/a\" is not a number (2 such rows)"]);
}

#[test]
fn short_gaps_are_bridged_and_long_ones_refused() {
    let mut lines = tmy3();
    set(&mut lines, noon(100), WIND, "-9900");
    set(&mut lines, noon(100), AIR, "9999");
    for hour in 0..2 {
        for field in [GHI, DNI, DHI] {
            set(&mut lines, noon(200) + hour, field, "");
        }
    }
    let year = good(&lines);
    warned(&year, &["1 value of wind speed", "straight lines"]);
    warned(&year, &["1 value of air temperature"]);
    warned(&year, &["2 values of global horizontal irradiance"]);
    warned(&year, &["2 rows", "split from the global"]);
    for hour in 2..4 {
        set(&mut lines, noon(200) + hour, GHI, "-9900");
        set(&mut lines, noon(200) + hour, DNI, "-9900");
    }
    says(&refused(&lines)[0], Some(noon(200) + 1), &["up to 4.0 h in a row", "at most 3 h"]);
}

#[test]
fn impossible_values_are_refused_once_a_quantity() {
    let mut lines = tmy3();
    for day in 150..200 {
        set(&mut lines, noon(day), AIR, "88");
    }
    set(&mut lines, noon(10), GHI, "3300");
    let problems = refused(&lines);
    assert_eq!(problems.len(), 2);
    says(&problems[0], Some(noon(10) + 1), &["3300 W/m2"]);
    says(&problems[1], Some(noon(150) + 1), &["88 degC", "there are 50 such values", "degF"]);
}

#[test]
fn small_negative_values_at_night_count_as_zero() {
    let mut lines = tmy3();
    set(&mut lines, 2, GHI, "-1.6");
    set(&mut lines, 3, GHI, "-2");
    let year = good(&lines);
    assert_eq!((year.ghi_w_m2[0], year.ghi_w_m2[1]), (0.0, 0.0));
    let note = &year.warnings[0];
    assert_eq!(note.severity, Severity::Note);
    says(note, None, &["2 values", "below zero"]);
}

#[test]
fn wrong_signs_of_the_place_are_refused() {
    let mut lines = tmy3();
    set(&mut lines, 0, 5, "105.000");
    says(&refused(&lines)[0], Some(1), &["longitude 105 deg", "before solar noon", "west is negative"]);
    let mut lines = tmy3();
    set(&mut lines, 0, 4, "-40.000");
    says(&refused(&lines)[0], Some(1), &["June and July", "40 deg south", "sign of the latitude"]);
    let mut lines = tmy3();
    set(&mut lines, 0, 4, "140");
    says(&refused(&lines)[0], None, &["latitude of 140 deg", "between -90 and 90"]);
}

#[test]
fn a_zone_an_hour_off_is_found_by_the_sun() {
    let mut lines = tmy3();
    set(&mut lines, 0, 3, "-6.0");
    let year = good(&lines);
    let warning = &year.warnings[0];
    says(warning, None, &["60 min too early", "the whole year", "UTC offset"]);
}

#[test]
fn one_month_an_hour_late_is_found_and_named() {
    let mut lines = tmy3();
    let march = 2 + 24 * 59..2 + 24 * 90;
    let light: Vec<Vec<String>> = lines[march.clone()]
        .iter()
        .map(|l| l.split(',').skip(GHI).take(3).map(str::to_owned).collect())
        .collect();
    for (index, line) in march.enumerate().skip(1) {
        for (field, value) in light[index - 1].iter().enumerate() {
            set(&mut lines, line, GHI + field, value);
        }
    }
    let year = good(&lines);
    says(&year.warnings[0], None, &["60 min too late", "in March:"]);
}

#[test]
fn columns_that_do_not_fit_each_other_are_named_by_month() {
    let mut lines = tmy3();
    for line in 2 + 24 * 181..2 + 24 * 212 {
        let ghi: f64 = lines[line].split(',').nth(GHI).unwrap().parse().unwrap();
        set(&mut lines, line, GHI, &format!("{:.1}", 0.8 * ghi));
    }
    warned(&good(&lines), &["do not fit each other in July", "-20 %"]);
}

#[test]
fn more_diffuse_than_global_is_said_with_its_line() {
    let mut lines = tmy3();
    for day in 0..12 {
        set(&mut lines, noon(day), GHI, "50");
        set(&mut lines, noon(day), DHI, "90");
        set(&mut lines, noon(day), DNI, "0");
    }
    let year = good(&lines);
    warned(&year, &["12 rows have more diffuse than global", "90 against 50 W/m2"]);
}

#[test]
fn the_leap_day_is_left_out_with_a_warning() {
    let mut lines = plain("ghi W/m2, dni W/m2, dhi W/m2, air degC, wind m/s", |h| {
        format!("{:.2}, {:.2}, {:.2}, {:.1}, 2", h.ghi, h.dni, h.dhi, h.air)
    });
    let without = good(&lines);
    let march = lines.iter().position(|l| l.starts_with("03-01")).unwrap();
    for hour in (0..24).rev() {
        lines.insert(march, format!("02-29 {hour:02}:00, 999, 999, 0, 10, 2"));
    }
    let year = good(&lines);
    warned(&year, &["24 rows of 29 February"]);
    assert_eq!((&year.ghi_w_m2, &year.air_c), (&without.ghi_w_m2, &without.air_c));
}

#[test]
fn a_missing_part_follows_from_the_others() {
    let columns = "ghi W/m2, dhi W/m2, air degC, wind m/s";
    let year = good(&plain(columns, |h| format!("{:.3}, {:.3}, {:.1}, 2", h.ghi, h.dhi, h.air)));
    warned(&year, &["direct normal irradiance", "follow from the other two"]);
    let worst = |found: &[f64], of: fn(&super::invented::Hour) -> f64| {
        found.iter().zip(hours()).map(|(f, h)| (f - of(&h)).abs()).fold(0.0, f64::max)
    };
    // Fields are rounded to 0.001 W/m2; at the lowest sun the closure divides by a sine of a thousandth.
    assert!(worst(&year.dni_w_m2, |h| h.dni) < 1.0);
    let columns = "dni W/m2, dhi W/m2, air degC, wind m/s";
    let year = good(&plain(columns, |h| format!("{:.3}, {:.3}, {:.1}, 2", h.dni, h.dhi, h.air)));
    assert!(worst(&year.ghi_w_m2, |h| h.ghi) < 0.002);
    let columns = "ghi W/m2, air degC, wind m/s";
    let year = good(&plain(columns, |h| format!("{:.3}, {:.1}, 2", h.ghi, h.air)));
    warned(&year, &["split from the global"]);
    assert!(year.dhi_w_m2.iter().zip(&year.ghi_w_m2).all(|(dhi, ghi)| *dhi <= ghi + 1e-9));
}

#[test]
fn columns_that_every_year_needs_are_asked_for() {
    let problems = refused(&plain("wind m/s", |_| "2".to_owned()));
    says(&problems[0], None, &["no column of global horizontal"]);
    says(&problems[1], None, &["no column of air temperature"]);
    let year = good(&plain("ghi W/m2, air degC", |h| format!("{:.1}, {:.1}", h.ghi, h.air)));
    warned(&year, &["no wind speed"]);
    assert!(year.wind_m_s.iter().all(|w| *w == 3.0) && year.dew_point_c.is_empty());
}

#[test]
fn plain_columns_come_in_other_units_and_order() {
    let metric = good(&plain("ghi W/m2, dni W/m2, dhi W/m2, air degC, wind m/s, humidity %", |h| {
        format!("{:.3}, {:.3}, {:.3}, {:.3}, 4.4704, 50", h.ghi, h.dni, h.dhi, h.air)
    }));
    let mut lines = plain("wind mph, air degF, dhi Wh/m2, note, dni Wh/m2, ghi Wh/m2, humidity %", |h| {
        format!("10, {:.4}, {:.3}, x, {:.3}, {:.3}, 50", 1.8 * h.air + 32.0, h.dhi, h.dni, h.ghi)
    });
    lines[4] = "elevation: 4921.26 ft".to_owned();
    let other = good(&lines);
    assert_eq!(other.ghi_w_m2, metric.ghi_w_m2);
    assert!((other.site.elevation_m - 1500.0).abs() < 0.001);
    assert!((other.wind_m_s[7] - 4.4704).abs() < 1e-12);
    assert!((other.air_c[99] - metric.air_c[99]).abs() < 1e-3);
    assert!((metric.dew_point_c[99] - dew_point_c(metric.air_c[99], 50.0)).abs() < 1e-12);
}

#[test]
fn a_plain_header_says_all_that_is_wrong_with_it() {
    let mut lines = plain("ghi W/m2, air", |h| format!("{:.1}, {:.1}", h.ghi, h.air));
    lines[2] = "latitude: forty".to_owned();
    lines[3] = "colour: red".to_owned();
    lines[6] = "stamp: noon".to_owned();
    let problems = refused(&lines);
    says(&problems[0], Some(3), &["\"forty\" is no value for latitude"]);
    says(&problems[1], Some(4), &["\"colour\" is not known"]);
    says(&problems[2], Some(7), &["write start, middle or end"]);
    says(&problems[3], None, &["does not give the longitude"]);
    says(&problems[4], Some(8), &["column \"air\" has no unit"]);
}

#[test]
fn stamps_of_the_plain_layout_name_start_middle_or_end() {
    let mut lines = plain("ghi W/m2, air degC", |h| format!("{:.1}, {:.1}", h.ghi, h.air));
    lines[6] = "stamp: middle".to_owned();
    let year = good(&lines.iter().map(|l| l.replace(":00, ", ":30, ")).collect::<Vec<_>>());
    assert_eq!(year.first_start_s, 0.0);
    lines[6] = "stamp: end".to_owned();
    // Stamps of 00:00 close the last hour of the day before.
    let turned = good(&lines);
    assert_eq!(turned.air_c[8759], year.air_c[0]);
}

#[test]
fn what_spreadsheets_leave_behind_is_read_the_same() {
    let clean = good(&tmy3());
    let messy: Vec<String> = tmy3()
        .into_iter()
        .enumerate()
        .map(|(index, line)| match index {
            0 => line.replace('"', "").replace("-7.0", "-7") + ",,,,",
            1 => line + ",,",
            _ => {
                let line = line.replacen("0", "", usize::from(line.starts_with('0')));
                line.replace("/1990,0", "/1990,").replace(":00,", ":00:00, ").replace(",0.0,", ", -0.0 ,")
                    + ",,258.6"
            }
        })
        .collect();
    let text = format!("\u{feff}{}\r\n", messy.join("\r\n"));
    let year = read_text("resaved.csv", &text).unwrap_or_else(|problems| panic!("{problems:#?}"));
    assert_eq!((&year.ghi_w_m2, &year.air_c, &year.site), (&clean.ghi_w_m2, &clean.air_c, &clean.site));
    assert_eq!(year.warnings, []);
}

#[test]
fn files_that_hold_no_weather_are_named_for_what_they_are() {
    let cases: [(&[u8], &str); 5] = [
        (b"", "is empty"),
        (b"<html><body>Not found</body></html>", "web page"),
        (b"PK\x03\x04rest", "spreadsheet or a zipped file"),
        (b"\xff\xfet\0i\0m\0e\0", "UTF-16"),
        (b"a,b,c\n1,2,3\n", "no weather file of a layout that can be read"),
    ];
    for (bytes, words) in cases {
        let problems = read_bytes("odd.csv", bytes).expect_err(words);
        says(&problems[0], Some(1), &["odd.csv:1", words]);
        assert!(problems[0].help.is_some());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Whatever happens to the bytes of a file, reading it ends in a year or in messages, never in a panic.
    #[test]
    fn damaged_files_never_panic(
        which in 0..4_usize,
        keep in 0..60_usize,
        hits in prop::collection::vec((0..6000_usize, any::<u8>()), 0..12),
    ) {
        let whole: [&[u8]; 4] = [
            include_bytes!("../data/weather/tmy3_702610_fairbanks_ak_resaved_excerpt.csv"),
            include_bytes!("../data/weather/nsrdb_psm3_1999_60min_39.73_-105.18.csv"),
            include_bytes!("../data/weather/pvgis_tmy_45.000_8.000_2005_2023.csv"),
            b"suncask weather 1\nlatitude: 1\nlongitude: 2\nutc offset: 0\ntime, ghi W/m2, air degC\n01-01 00:00, 1, 2\n01-01 00:10, 1, 2\n",
        ];
        let mut bytes: Vec<u8> = whole[which].split_inclusive(|b| *b == b'\n').take(keep).flatten().copied().collect();
        for (place, byte) in hits {
            let length = bytes.len().max(1);
            if let Some(b) = bytes.get_mut(place % length) {
                *b = byte;
            }
        }
        prop_assert!(read_bytes("damaged.csv", &bytes).is_err());
    }
}
