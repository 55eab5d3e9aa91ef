//! Weather files: the published layouts, the faults they come with, and irradiance on a plane.

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
