//! The whole year against independent reference results.
//!
//! Cases, results and tolerances: `tests/data/annual/README.md`. The tolerances are those stated with the results; they
//! leave room for a coarser but sound scheme.

pub(crate) mod case;
mod correlation;
mod variants;

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use solar_geometry::time::DAYS_IN_MONTH;
use suncask::record::{Accounts, Column, Gather, TracePoint, YearResult};
use suncask::year::{RunOptions, Setting, run};

fn data(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(name)
}

pub(crate) fn weather() -> PathBuf {
    data("weather/tmy3_723170_greensboro_nc.csv")
}

pub(crate) fn case_of(name: &str) -> case::Case {
    let text = std::fs::read_to_string(data(&format!("annual/{name}.json"))).expect("case file");
    let (case, unknown) = case::read(&text).expect("case");
    assert!(unknown.is_empty(), "{name}: keys that are not read: {unknown:?}");
    case
}

/// The year of case A1.
pub(crate) fn one_tank_year() -> Accounts {
    case::run_case(&case_of("A1-one-tank-wrap"), &weather(), &RunOptions::default()).expect("a year").annual
}

const CASES: [&str; 5] =
    ["A1-one-tank-wrap", "A2-two-tank-wrap", "A3-external-plate", "A4-open-loop", "A5-tight-differential"];

/// Compares a year with every row of the results.
fn check(name: &str) {
    let case = case_of(name);
    let result = case::run_case(&case, &weather(), &RunOptions::default()).expect("a year");
    let rows = case::rows(&case, &result);
    let ours: HashMap<(&str, &str), f64> =
        rows.iter().map(|(month, quantity, value)| ((month.as_str(), *quantity), *value)).collect();
    let mut reader = csv::Reader::from_path(data("annual/results.csv")).expect("results");
    let (mut found_rows, mut outside) = (0, Vec::new());
    for row in reader.records() {
        let row = row.expect("row");
        let (month, quantity) = (&row[1], &row[2]);
        if &row[0] != name {
            continue;
        }
        found_rows += 1;
        let expected: f64 = row[3].parse().expect("value");
        let tolerance: f64 = row[5].parse().expect("tolerance");
        let found = ours.get(&(month, quantity)).copied().unwrap_or(f64::NAN);
        // Negated, so that a missing quantity or a NaN counts as outside.
        let within = (found - expected).abs() <= tolerance;
        if !within {
            outside.push(format!("month {month}: {quantity} is {found}, expected {expected} ± {tolerance}"));
        }
    }
    // Every transfer is booked once with both signs; what is left is rounding, near 1e-15.
    let residual = result.annual[Column::BalanceResidual];
    if residual.is_nan() || residual >= 1e-12 {
        outside.push(format!("balance residual {residual}, expected below 1e-12"));
    }
    // The results state the residual for the year only, everything else for twelve months too.
    assert_eq!(found_rows, ours.len() - 12, "{name}: rows in results.csv");
    assert!(outside.is_empty(), "{name}:\n{}", outside.join("\n"));
}

#[test]
fn reference_one_tank_with_wrapped_coil() {
    check("A1-one-tank-wrap");
}

#[test]
fn reference_two_tanks() {
    check("A2-two-tank-wrap");
}

#[test]
fn reference_external_plate() {
    check("A3-external-plate");
}

#[test]
fn reference_open_loop() {
    check("A4-open-loop");
}

#[test]
fn reference_tight_differential() {
    check("A5-tight-differential");
}

fn same_bits(name: &str, a: &YearResult, b: &YearResult) {
    for (a, b) in a.monthly.iter().chain([&a.annual]).zip(b.monthly.iter().chain([&b.annual])) {
        for &column in Column::ALL {
            assert_eq!(a[column].to_bits(), b[column].to_bits(), "{name}: {}", column.info().key);
        }
    }
}

#[test]
fn reference_same_bits_on_repeat_on_any_threads_and_whoever_listens() {
    let weather = suncask::weather::read(&weather()).expect("weather");
    for name in CASES {
        let job = case::job(&case_of(name)).expect("job");
        let setting = Setting::new(&job, &weather);
        let plain = RunOptions::default();
        let trace_days = vec![15, 105, 196];
        let all =
            RunOptions { hourly: true, trace_days, outages: true, morning: true, ..RunOptions::default() };
        let first = run(&job, &setting, &plain).expect("a year");
        same_bits(name, &first, &run(&job, &setting, &all).expect("a year"));
        for threads in [1, 2] {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
            let years: Vec<YearResult> = pool.install(|| {
                use rayon::prelude::*;
                (0..3).into_par_iter().map(|_| run(&job, &setting, &plain).expect("a year")).collect()
            });
            years.iter().for_each(|year| same_bits(name, &first, year));
        }
    }
}

#[test]
fn reference_hours_make_the_months() {
    let options = RunOptions { hourly: true, ..RunOptions::default() };
    for name in CASES {
        let result = case::run_case(&case_of(name), &weather(), &options).expect("a year");
        assert_eq!(result.hourly.len(), 8760);
        let mut hours = result.hourly.as_slice();
        for (month, days) in result.monthly.iter().zip(DAYS_IN_MONTH) {
            let (these, later) = hours.split_at(24 * days as usize);
            hours = later;
            for &column in Column::ALL {
                let values = || these.iter().map(|hour| hour[column]);
                let combined = match column.info().gather {
                    Gather::Sum => values().sum(),
                    Gather::Mean => values().sum::<f64>() / these.len() as f64,
                    // A spell may cross the hour, and the residual is told against the year's inputs.
                    Gather::Max | Gather::Min | Gather::Derived => continue,
                };
                // The same numbers added in another order: rounding, against the size of what was added.
                let size = values().map(f64::abs).sum::<f64>().max(f64::MIN_POSITIVE);
                let off: f64 = (combined - month[column]) / size;
                assert!(off.abs() < 1e-9, "{name}: {} {combined} {}", column.info().key, month[column]);
            }
        }
    }
}

/// Values of a point in the order of the trace's columns from the collector on: collector, sensor, bottom, top, mean.
fn levels_c(point: &TracePoint) -> [f64; 5] {
    [point.collector_c, point.tank_sensor_c, point.tank_bottom_c, point.tank_top_c, point.tank_mean_c]
}

/// Columns of `trace_A1.csv` that hold the same.
const LEVEL_COLUMNS: [usize; 5] = [5, 6, 7, 8, 11];

/// Most by which half of all moments may differ, in K. A pump or thermostat that trips some minutes apart moves a
/// temperature for a while, so the largest differences say little; half the time there is no such moment. Measured: 0.05,
/// 0.07, 0.03, 0.01 and 0.03 K.
const MEDIAN_K: [f64; 5] = [0.25, 0.25, 0.15, 0.1, 0.15];

#[test]
fn reference_traced_days_are_followed() {
    let case = case_of("A1-one-tank-wrap");
    let options = RunOptions { trace_days: vec![15, 105, 196], ..RunOptions::default() };
    let result = case::run_case(&case, &weather(), &options).expect("a year");
    let mut reader = csv::Reader::from_path(data("annual/trace_A1.csv")).expect("trace");
    let mut differences_k: [Vec<f64>; 5] = Default::default();
    for row in reader.records() {
        let row = row.expect("row");
        let number = |i: usize| row[i].parse::<f64>().expect("number");
        let trace =
            result.traces.iter().find(|trace| f64::from(trace.day) == number(0)).expect("a traced day");
        // Our points are not five minutes apart: straight lines between them.
        let Some(after) = trace.points.iter().position(|point| point.minute >= number(1)) else { continue };
        let (b, a) = (&trace.points[after], &trace.points[after.saturating_sub(1)]);
        let part = if b.minute > a.minute { (number(1) - a.minute) / (b.minute - a.minute) } else { 1.0 };
        for (i, (a_c, b_c)) in levels_c(a).into_iter().zip(levels_c(b)).enumerate() {
            let ours_c = a_c + part * (b_c - a_c);
            differences_k[i].push((ours_c - number(LEVEL_COLUMNS[i])).abs());
        }
    }
    for (differences_k, most_k) in differences_k.iter_mut().zip(MEDIAN_K) {
        assert!(differences_k.len() > 850, "{}", differences_k.len());
        differences_k.sort_by(f64::total_cmp);
        let [median_k, rare_k] =
            [2, 20].map(|part| differences_k[differences_k.len() - differences_k.len() / part]);
        println!("median {median_k:.3} K, 95 % below {rare_k:.3} K");
        assert!(median_k < most_k, "{median_k} K, at most {most_k} K");
    }
}
