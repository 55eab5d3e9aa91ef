//! Years made from monthly means, the files written from them, and the samples in `weather-samples/`.

use std::path::{Path, PathBuf};

use solar_geometry::sun::{Observer, SunDay, extraterrestrial_normal_w_m2};
use solar_geometry::surface::Plane;
use suncask::weather::make::{MADE_MARK, MakeSpec, clearness_distance, daily_clearness, make_year};
use suncask::weather::plane::{PlaneOptics, PlaneYear};
use suncask::weather::sun_year::SunYear;
use suncask::weather::{self, Layout, WeatherYear, calendar::DAYS_IN_MONTH, write};

const LAYOUTS: [Layout; 4] = [Layout::Tmy3, Layout::Nsrdb, Layout::PvgisTmy, Layout::Plain];

fn repository(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn station(name: &str) -> WeatherYear {
    let path = repository("tests/data/weather").join(name);
    weather::read(&path).unwrap_or_else(|problems| panic!("{name}: {problems:#?}"))
}

/// Mean of each month of a column, by the middle of the records.
fn monthly_means(year: &WeatherYear, column: &[f64]) -> [f64; 12] {
    let ends: Vec<u32> = DAYS_IN_MONTH
        .iter()
        .scan(0, |end, days| {
            *end += days;
            Some(*end)
        })
        .collect();
    let (mut sum, mut count) = ([0.0; 12], [0.0; 12]);
    for (record, value) in column.iter().enumerate() {
        let middle_s = year.first_start_s + (record as f64 + 0.5) * f64::from(year.interval_s);
        let day = (middle_s / 86_400.0) as u32;
        let month = ends.iter().position(|&end| day < end).unwrap_or(11);
        sum[month] += value;
        count[month] += 1.0;
    }
    std::array::from_fn(|m| sum[m] / count[m])
}

/// What would be known of a place of which only the monthly means are known.
fn means_of(year: &WeatherYear, seed: u64) -> MakeSpec {
    MakeSpec {
        name: year.site.name.clone(),
        latitude_deg: year.site.latitude_deg,
        longitude_deg: year.site.longitude_deg,
        elevation_m: year.site.elevation_m,
        utc_offset_h: Some(year.site.utc_offset_h),
        ghi_kwh_m2_day: monthly_means(year, &year.ghi_w_m2).map(|w| 0.024 * w),
        air_c: monthly_means(year, &year.air_c),
        wind_m_s: Some(monthly_means(year, &year.wind_m_s)),
        seed,
    }
}

/// Irradiation in a year, W/m2 mean, of a plane that faces the equator at the tilt of the latitude.
fn on_plane(year: &WeatherYear) -> f64 {
    let optics = PlaneOptics::open(Plane::from_deg(year.site.latitude_deg, 180.0));
    let blocks = PlaneYear::new(year, &SunYear::new(year), &optics).blocks;
    blocks.iter().map(|b| b.beam_w_m2 + b.sky_w_m2 + b.ground_w_m2).sum::<f64>() / blocks.len() as f64
}

fn made(spec: &MakeSpec) -> WeatherYear {
    make_year(spec).unwrap_or_else(|problems| panic!("{problems:#?}"))
}

/// An invented place with the seasons of the north (`latitude_deg` > 0) or the south.
fn invented(latitude_deg: f64, ghi_kwh_m2_day: [f64; 12]) -> MakeSpec {
    let warm = |m: f64| -libm::cos((m + 0.5) / 6.0 * std::f64::consts::PI) * latitude_deg.signum();
    MakeSpec {
        name: "Nowhere, invented".to_owned(),
        latitude_deg,
        longitude_deg: 17.0,
        elevation_m: 100.0,
        utc_offset_h: None,
        ghi_kwh_m2_day,
        air_c: std::array::from_fn(|m| 12.0 + 9.0 * warm(m as f64)),
        wind_m_s: None,
        seed: 11,
    }
}

/// Places from the polar night to the other hemisphere.
fn places() -> [MakeSpec; 4] {
    [
        invented(69.0, [0.0, 0.5, 1.7, 3.5, 4.6, 5.1, 4.7, 3.4, 1.9, 0.7, 0.1, 0.0]),
        invented(48.0, [1.0, 1.8, 3.0, 4.2, 5.1, 5.6, 5.6, 4.8, 3.5, 2.1, 1.1, 0.8]),
        invented(2.0, [4.6, 5.0, 5.1, 4.9, 4.6, 4.5, 4.5, 4.7, 4.9, 4.7, 4.4, 4.3]),
        invented(-35.0, [7.8, 6.9, 5.4, 4.0, 2.8, 2.4, 2.6, 3.5, 4.6, 6.0, 7.1, 7.9]),
    ]
}

#[test]
fn monthly_means_are_reproduced_to_the_rounding() {
    for spec in places() {
        let year = made(&spec);
        let sun = monthly_means(&year, &year.ghi_w_m2);
        let air = monthly_means(&year, &year.air_c);
        let wind = monthly_means(&year, &year.wind_m_s);
        for month in 0..12 {
            // Rounding hands its remainder on: what is left is half a step (0.5 Wh/m2, 0.05 K, 0.05 m/s) a month of 672 hours.
            let place = format!("latitude {} month {}", spec.latitude_deg, month + 1);
            assert!((sun[month] - spec.ghi_kwh_m2_day[month] / 0.024).abs() < 0.51 / 672.0, "sun, {place}");
            assert!((air[month] - spec.air_c[month]).abs() < 0.051 / 672.0, "air, {place}");
            assert!((wind[month] - 3.0).abs() < 0.051 / 672.0, "wind, {place}");
        }
    }
}

#[test]
fn hours_stay_within_what_the_sun_offers_and_close() {
    for spec in places() {
        let year = made(&spec);
        let observer = Observer {
            latitude_deg: spec.latitude_deg,
            longitude_deg: spec.longitude_deg,
            elevation_m: spec.elevation_m,
        };
        let mut sun = SunDay::new(2001, 1, 1, year.site.utc_offset_h, &observer);
        for day in 0..365 {
            let normal_w_m2 = extraterrestrial_normal_w_m2(f64::from(day) + 1.0);
            for hour in 0..24 {
                let record = day as usize * 24 + hour;
                let (ghi, dni, dhi) = (year.ghi_w_m2[record], year.dni_w_m2[record], year.dhi_w_m2[record]);
                let up = sun.up_parts(hour as f64 * 3600.0, (hour as f64 + 1.0) * 3600.0);
                // Mean sine over the part with sun, from five points: exact enough for watts.
                let mut sine = 0.0;
                for (from_s, until_s) in up.as_slice() {
                    let points = (0..5)
                        .map(|i| sun.at(from_s + (f64::from(i) + 0.5) / 5.0 * (until_s - from_s)).cos_zenith);
                    sine += points.sum::<f64>() / 5.0 * (until_s - from_s) / up.total_s();
                }
                let place =
                    format!("latitude {} day {day} hour {hour}: {ghi} {dni} {dhi}", spec.latitude_deg);
                assert!(ghi >= 0.0 && dni >= 0.0 && dhi >= 0.0 && dhi <= ghi, "{place}");
                assert!(ghi <= normal_w_m2 * sine + 1.0 && dni < 1100.0, "{place}");
                // Three roundings to 1 W/m2, and the blocks of five minutes in an hour of sunrise.
                assert!((ghi - dni * sine - dhi).abs() < 3.0, "{place}, closes to {}", dni * sine + dhi);
            }
            sun = sun.next_day();
        }
    }
}

#[test]
fn the_seed_decides_and_wind_does_not_move_the_sun() {
    let spec = &places()[1];
    let year = made(spec);
    let same = made(spec);
    assert_eq!(year.ghi_w_m2, same.ghi_w_m2);
    assert_eq!(year.air_c, same.air_c);
    assert_eq!(year.wind_m_s, same.wind_m_s);
    assert_ne!(year.ghi_w_m2, made(&MakeSpec { seed: 12, ..spec.clone() }).ghi_w_m2);
    let windy = made(&MakeSpec { wind_m_s: Some([6.0; 12]), ..spec.clone() });
    assert_eq!(year.ghi_w_m2, windy.ghi_w_m2);
    assert_eq!(year.air_c, windy.air_c);
}

/// Largest distances measured (seeds 1 to 3): 0.085, 0.090 and 0.085 at the three stations whose days the limits of the daily
/// clearness were fitted to; then 0.101 and 0.055, seen when the term of the height was chosen, and 0.104, which had no say.
/// The bounds leave room for another seed. Two samples of 365 independent days of one climate differ by up to 0.10 in 19 of
/// 20 cases.
#[test]
fn clear_and_cloudy_days_are_spread_as_in_real_years() {
    for (name, bound) in [
        ("tmy3_723170_greensboro_nc.csv", 0.10),
        ("tmy3_723815_daggett_ca.csv", 0.10),
        ("tmy3_725846_truckee_ca.csv", 0.10),
        ("nsrdb_psm3_1999_60min_39.73_-105.18.csv", 0.12),
        ("nsrdb_psm3_2017_30min_40.53_-108.54.csv", 0.08),
        ("pvgis_tmy_45.000_8.000_2005_2023.csv", 0.12),
    ] {
        let real = station(name);
        for seed in 1..=3 {
            let year = made(&means_of(&real, seed));
            let distance = clearness_distance(&real, &year);
            let sum = |column: &[f64], year: &WeatherYear| {
                column.iter().sum::<f64>() * f64::from(year.interval_s) / 3.6e6
            };
            let direct = sum(&year.dni_w_m2, &year) / sum(&real.dni_w_m2, &real) - 1.0;
            let plane = on_plane(&year) / on_plane(&real) - 1.0;
            assert!(distance <= bound, "{name} seed {seed}: {distance:.3}");
            // Measured -1.4 to +0.4 %: what a south-facing collector at the tilt of the latitude gets in a year.
            assert!(plane.abs() < 0.02, "{name} seed {seed}: {plane}");
            // Measured -3.2 to -12.1 %: Erbs' correlation, fed with the true hours of these files, makes 4 to 17 % too much
            // diffuse already, most in dry mountain air.
            assert!((-0.13..0.0).contains(&direct), "{name} seed {seed}: {direct}");
        }
    }
}

#[test]
fn days_remember_the_day_before_and_clear_days_swing_more() {
    let year = made(&means_of(&station("tmy3_723170_greensboro_nc.csv"), 1));
    let clearness = daily_clearness(&year);
    let swing: Vec<f64> = year
        .air_c
        .chunks(24)
        .map(|day| day.iter().fold(f64::MIN, |a, &b| a.max(b)) - day.iter().fold(f64::MAX, |a, &b| a.min(b)))
        .collect();
    // Over 365 days a correlation has a standard error of 0.05. The real year has 0.28 and 0.76 (means of its months).
    let memory = correlation(&clearness[1..], &clearness[..364]);
    assert!((0.1..0.45).contains(&memory), "{memory}");
    let together = correlation(&clearness, &swing);
    assert!(together > 0.5, "{together}");
}

fn correlation(x: &[f64], y: &[f64]) -> f64 {
    let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len() as f64;
    let (mx, my) = (mean(x), mean(y));
    let product = |f: &dyn Fn(usize) -> f64| (0..x.len()).map(f).sum::<f64>();
    let xy = product(&|i| (x[i] - mx) * (y[i] - my));
    xy / (product(&|i| (x[i] - mx).powi(2)) * product(&|i| (y[i] - my).powi(2))).sqrt()
}

#[test]
fn impossible_means_are_refused_all_at_once() {
    let good = &places()[1];
    let refused = |spec: &MakeSpec| match make_year(spec) {
        Ok(_) => panic!("{spec:?}"),
        Err(problems) => problems.iter().map(ToString::to_string).collect::<Vec<_>>(),
    };
    // Twelve monthly totals instead of daily means: one message a month.
    let totals = MakeSpec { ghi_kwh_m2_day: good.ghi_kwh_m2_day.map(|v| 30.0 * v), ..good.clone() };
    assert_eq!(refused(&totals).len(), 12);
    // Months in the order of the other hemisphere.
    let mut turned = good.ghi_kwh_m2_day;
    turned.rotate_left(6);
    let messages = refused(&MakeSpec { ghi_kwh_m2_day: turned, ..good.clone() });
    assert!(messages.iter().any(|m| m.contains("December") && m.contains("kWh/m2 a day")), "{messages:?}");
    assert_eq!(refused(&MakeSpec { latitude_deg: 91.0, ..good.clone() }).len(), 1);
    assert_eq!(refused(&MakeSpec { latitude_deg: f64::NAN, ..good.clone() }).len(), 1);
    assert_eq!(refused(&MakeSpec { utc_offset_h: Some(-7.0), ..good.clone() }).len(), 1);
    let mut odd = MakeSpec { wind_m_s: Some([-1.0; 12]), ..good.clone() };
    odd.air_c[3] = 70.0;
    assert_eq!(refused(&odd).len(), 13);
    // No sun in a month that has some.
    let mut dark = good.clone();
    dark.ghi_kwh_m2_day[5] = 0.0;
    assert!(refused(&dark)[0].contains("June"));
}

/// Largest difference between two columns of one length.
fn largest_difference(a: &[f64], b: &[f64]) -> f64 {
    assert_eq!(a.len(), b.len());
    a.iter().zip(b).map(|(x, y)| (x - y).abs()).fold(0.0, f64::max)
}

fn written(year: &WeatherYear, layout: Layout) -> String {
    write::text(year, layout).unwrap_or_else(|problems| panic!("{problems:#?}"))
}

fn read_back(text: &str) -> WeatherYear {
    weather::read_text("written.csv", text).unwrap_or_else(|problems| panic!("{problems:#?}"))
}

#[test]
fn a_made_year_comes_back_whole_and_marked_from_every_layout() {
    let year = made(&places()[1]);
    assert!(year.made && year.site.name.ends_with(MADE_MARK));
    for layout in LAYOUTS {
        let back = read_back(&written(&year, layout));
        assert_eq!(back.layout, layout);
        assert!(back.made, "{layout:?} lost the mark");
        assert!(back.warnings.is_empty(), "{layout:?}: {:#?}", back.warnings);
        assert_eq!((back.interval_s, back.first_start_s), (3600, 0.0), "{layout:?}");
        let expected_name = if layout == Layout::PvgisTmy { "" } else { &year.site.name };
        assert_eq!(back.site.name, expected_name);
        assert_eq!(
            (back.site.latitude_deg, back.site.longitude_deg, back.site.elevation_m, back.site.utc_offset_h),
            (year.site.latitude_deg, year.site.longitude_deg, year.site.elevation_m, year.site.utc_offset_h)
        );
        assert_eq!(back.ghi_w_m2, year.ghi_w_m2, "{layout:?}");
        assert_eq!(back.dni_w_m2, year.dni_w_m2, "{layout:?}");
        assert_eq!(back.dhi_w_m2, year.dhi_w_m2, "{layout:?}");
        assert_eq!(back.air_c, year.air_c, "{layout:?}");
        assert_eq!(back.wind_m_s, year.wind_m_s, "{layout:?}");
        // PVGIS goes by humidity in 0.01 %: in dry air that is up to a few hundredths of a degree.
        let dew_tolerance_k = if layout == Layout::PvgisTmy { 0.03 } else { 0.0 };
        assert!(largest_difference(&back.dew_point_c, &year.dew_point_c) <= dew_tolerance_k, "{layout:?}");
    }
}

#[test]
fn the_self_check_finds_nothing_in_made_years_of_any_latitude() {
    for spec in places() {
        let back = read_back(&written(&made(&spec), Layout::Plain));
        assert!(back.warnings.is_empty(), "latitude {}: {:#?}", spec.latitude_deg, back.warnings);
    }
}

#[test]
fn real_years_are_written_where_the_layout_can_hold_them() {
    let centred = station("nsrdb_psm3_2017_30min_40.53_-108.54.csv");
    assert!(write::text(&centred, Layout::Tmy3).is_err());
    assert!(write::text(&centred, Layout::PvgisTmy).is_err());
    let satellite = station("pvgis_tmy_45.000_8.000_2005_2023.csv");
    assert!(write::text(&satellite, Layout::Tmy3).is_err());
    assert!(write::text(&satellite, Layout::Nsrdb).is_err());
    // Tolerance: half the layout's step.
    for (year, layout, tolerance_w_m2) in [
        (&centred, Layout::Nsrdb, 0.5),
        (&centred, Layout::Plain, 0.05),
        (&satellite, Layout::PvgisTmy, 0.005),
        (&satellite, Layout::Plain, 0.05),
    ] {
        let back = read_back(&written(year, layout));
        assert!(!back.made);
        assert_eq!(back.interval_s, year.interval_s);
        assert!((back.first_start_s - year.first_start_s).abs() < 1.0, "{layout:?}");
        assert!(largest_difference(&back.ghi_w_m2, &year.ghi_w_m2) <= tolerance_w_m2 + 1e-9, "{layout:?}");
        assert!(largest_difference(&back.dni_w_m2, &year.dni_w_m2) <= tolerance_w_m2 + 1e-9, "{layout:?}");
        assert!(largest_difference(&back.air_c, &year.air_c) <= 0.05 + 1e-9, "{layout:?}");
    }
}

/// A command of the samples' README: what it makes, in which layout, and into which file.
fn sample(command: &str) -> (MakeSpec, Layout, String) {
    // Words between blanks, or whole between quotes.
    let words: Vec<String> = command
        .split('"')
        .enumerate()
        .flat_map(|(i, part)| match i % 2 {
            0 => part.split_whitespace().map(str::to_owned).collect(),
            _ => vec![part.to_owned()],
        })
        .collect();
    let option = |name: &str| {
        let place =
            words.iter().position(|word| word == name).unwrap_or_else(|| panic!("{name} in {command}"));
        words[place + 1].as_str()
    };
    let number = |name: &str| option(name).parse().unwrap_or_else(|e| panic!("{name}: {e}"));
    let twelve = |name: &str| -> [f64; 12] {
        let values: Vec<f64> = option(name).split(',').map(|v| v.trim().parse().expect(name)).collect();
        values.try_into().expect(name)
    };
    let spec = MakeSpec {
        name: option("--name").to_owned(),
        latitude_deg: number("--latitude"),
        longitude_deg: number("--longitude"),
        elevation_m: number("--elevation"),
        utc_offset_h: Some(number("--utc-offset")),
        ghi_kwh_m2_day: twelve("--sun"),
        air_c: twelve("--air"),
        wind_m_s: Some(twelve("--wind")),
        seed: option("--seed").parse().expect("--seed"),
    };
    let layout = match option("--layout") {
        "tmy3" => Layout::Tmy3,
        "nsrdb" => Layout::Nsrdb,
        "pvgis" => Layout::PvgisTmy,
        "plain" => Layout::Plain,
        other => panic!("{other}"),
    };
    (spec, layout, option("--out").to_owned())
}

fn samples() -> Vec<(MakeSpec, Layout, String)> {
    let readme = std::fs::read_to_string(repository("weather-samples/README.md")).expect("README.md");
    let joined = readme.replace("\\\n", " ");
    joined.lines().filter(|line| line.starts_with("suncask weather make")).map(sample).collect()
}

#[test]
fn samples_are_what_their_readme_says() {
    let samples = samples();
    assert_eq!(samples.len(), 3);
    let mut layouts = Vec::new();
    for (spec, layout, path) in samples {
        let text = written(&made(&spec), layout);
        let stored = std::fs::read_to_string(repository(&path)).unwrap_or_default();
        // No assert_eq: it would print two files.
        assert!(
            text == stored,
            "{path} differs; run its command in weather-samples/README.md and correct the README"
        );
        let back = read_back(&stored);
        assert!(back.made && back.warnings.is_empty(), "{path}: {:#?}", back.warnings);
        layouts.push(layout);
    }
    assert_eq!(layouts, [Layout::Plain, Layout::Tmy3, Layout::Nsrdb]);
}

#[test]
fn the_demo_is_the_temperate_sample_and_says_that_it_is_made() {
    let demo = weather::demo();
    assert!(demo.made && demo.site.name.contains("invented"));
    assert!(demo.warnings.is_empty(), "{:#?}", demo.warnings);
    assert_eq!(demo.ghi_w_m2.len(), weather::HOURS_PER_YEAR);
}
