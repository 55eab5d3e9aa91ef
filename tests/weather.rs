//! Weather files: the published layouts here, faults, irradiance on a plane and the invented years beside.

mod faults;
mod invented;
mod mess;
mod near;
mod plane;

use suncask::problem::Severity;
use suncask::weather::{self, WeatherYear};

/// Reads one of the files under `tests/data/weather`.
fn file(name: &str) -> WeatherYear {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/weather").join(name);
    weather::read(&path).unwrap_or_else(|problems| panic!("{name}: {problems:#?}"))
}

const GREENSBORO: &str = "tmy3_723170_greensboro_nc.csv";
const DAGGETT: &str = "tmy3_723815_daggett_ca.csv";
const TRUCKEE: &str = "tmy3_725846_truckee_ca.csv";
const HIGH_PLAINS: &str = "nsrdb_psm3_1999_60min_39.73_-105.18.csv";
const COLORADO: &str = "nsrdb_psm3_2017_30min_40.53_-108.54.csv";
const FAIRBANKS: &str = "tmy3_702610_fairbanks_ak_resaved_excerpt.csv";
const PIEDMONT: &str = "pvgis_tmy_45.000_8.000_2005_2023.csv";

/// Sums in kWh/m2, temperatures in degC and wind in m/s, computed once from the same files with pandas.
const CHECK_SUMS: [(&str, [f64; 7]); 6] = [
    (GREENSBORO, [1566.203, 1476.549, 682.223, 14.422, -16.7, 35.6, 3.054]),
    (DAGGETT, [2089.617, 2723.471, 469.037, 19.691, -5.0, 46.7, 4.931]),
    (TRUCKEE, [1705.296, 2067.074, 514.096, 6.326, -26.0, 35.0, 2.289]),
    (HIGH_PLAINS, [1644.194, 2071.626, 537.894, 9.284, -13.0, 34.0, 2.553]),
    (COLORADO, [1748.852, 2173.062, 528.072, 8.076, -27.7, 35.0, 2.645]),
    (PIEDMONT, [1435.861, 1591.565, 570.947, 13.564, -2.34, 34.33, 1.209]),
];

#[test]
fn annual_sums_of_every_layout_are_those_of_the_file() {
    for (name, expected) in CHECK_SUMS {
        let year = file(name);
        let hours = f64::from(year.interval_s) / 3600.0;
        let sum = |values: &[f64]| values.iter().sum::<f64>() * hours / 1000.0;
        let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
        let found = [
            sum(&year.ghi_w_m2),
            sum(&year.dni_w_m2),
            sum(&year.dhi_w_m2),
            mean(&year.air_c),
            year.air_c.iter().copied().fold(f64::INFINITY, f64::min),
            year.air_c.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            mean(&year.wind_m_s),
        ];
        for (found, expected) in found.into_iter().zip(expected) {
            // The expected figures are rounded to three decimals.
            assert!((found - expected).abs() < 6e-4, "{name}: {found} for {expected}");
        }
    }
}

/// Ten months of this file are an hour early (found by an independent count); April and November are right.
#[test]
fn the_resaved_file_is_read_with_warnings_that_name_the_early_months() {
    let year = file(FAIRBANKS);
    let warning = year.warnings.iter().find(|p| p.message.contains("too early")).expect("a warning");
    let months =
        ["January", "February", "March", "May", "June", "July", "August", "September", "October", "December"];
    for month in months {
        assert!(warning.message.contains(month), "{month}: {warning}");
    }
    for month in ["April", "November"] {
        assert!(!year.warnings.iter().any(|p| p.message.contains(month)), "{month}");
    }
}

/// The published files are sound: no doubt may be raised about their time axis or closure.
#[test]
fn published_files_raise_no_warning() {
    for (name, _) in CHECK_SUMS {
        let warnings = file(name).warnings;
        assert!(warnings.iter().all(|p| p.severity == Severity::Note), "{name}: {warnings:#?}");
    }
}

/// The first record begins at local midnight where the hour ends at the stamp, before it where records are centred.
#[test]
fn every_layout_keeps_its_own_grid() {
    // Stamp 01:00 is the hour from midnight.
    let greensboro = file(GREENSBORO);
    assert_eq!((greensboro.first_start_s, greensboro.interval_s), (0.0, 3600));
    assert_eq!(greensboro.air_c[0], 10.0);
    assert_eq!(greensboro.site.name, "GREENSBORO PIEDMONT TRIAD INT, NC");
    // Stamps 00:30 and 00:00 are the middles of an hour and of a half hour.
    assert_eq!(file(HIGH_PLAINS).first_start_s, 0.0);
    let colorado = file(COLORADO);
    assert_eq!((colorado.first_start_s, colorado.interval_s), (-900.0, 1800));
    assert_eq!(colorado.air_c[0], -8.4);
    // UTC: the row of 00:00 is local 01:00, and its middle 0.1761 h later; the row of 23:00 comes round to the front.
    let piedmont = file(PIEDMONT);
    assert_eq!(piedmont.site.utc_offset_h, 1.0);
    assert_eq!(piedmont.first_start_s, libm::round(0.1761 * 3600.0) - 1800.0);
    assert_eq!((piedmont.air_c[0], piedmont.air_c[1]), (2.1, 2.04));
    assert!(piedmont.dni_w_m2.iter().all(|v| v.is_sign_positive()));
}

/// A file asked for in UTC holds the same year with its stamps moved: it must come out the same.
#[test]
fn nsrdb_stamps_in_utc_come_out_on_local_time() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/weather").join(HIGH_PLAINS);
    let text = std::fs::read_to_string(path).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let mut moved: Vec<String> = lines[..3].iter().map(|l| (*l).to_owned()).collect();
    moved[1] = moved[1].replacen(",-7,1820,-7,", ",0,1820,-7,", 1);
    assert_ne!(moved[1], lines[1]);
    // The row seven places on lends its stamp, around the year's end.
    let rows = &lines[3..];
    for (index, row) in rows.iter().enumerate() {
        let stamp = rows[(index + 7) % rows.len()].splitn(6, ',').take(5).collect::<Vec<_>>().join(",");
        moved.push(format!("{stamp},{}", row.splitn(6, ',').nth(5).unwrap()));
    }
    let (local, utc) = (file(HIGH_PLAINS), weather::read_text("utc.csv", &moved.join("\n")).unwrap());
    assert_eq!(utc.site, local.site);
    assert_eq!(utc.first_start_s, local.first_start_s);
    assert_eq!((utc.ghi_w_m2, utc.air_c), (local.ghi_w_m2, local.air_c));
}

/// Older PVGIS files have no offset line and CRLF line ends: the table starts a line earlier.
#[test]
fn a_pvgis_file_without_offset_line_is_read_and_says_so() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/weather").join(PIEDMONT);
    let text = std::fs::read_to_string(path).unwrap();
    let older: Vec<&str> = text.lines().filter(|l| !l.starts_with("Irradiance")).collect();
    let year = weather::read_text("older.csv", &older.join("\r\n")).unwrap();
    assert_eq!(year.first_start_s, -1800.0);
    assert_eq!(year.air_c, file(PIEDMONT).air_c);
    assert!(year.warnings.iter().any(|w| w.message.contains("Irradiance Time Offset")));
    // 0.1761 h are 10.6 min, which the sun itself shows: without the line the radiation is early by as much.
    let early = year.warnings.iter().find(|w| w.message.contains("too early")).expect("a shift");
    assert!(early.message.contains("11 min") && early.message.contains("the whole year"), "{early}");
}
