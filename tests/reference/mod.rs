//! The whole year against independent reference results.
//!
//! Cases, results and tolerances: `tests/data/annual/README.md`. The tolerances are those stated with the results; they
//! leave room for a coarser but sound scheme.

pub(crate) mod case;

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use suncask::record::{Column, TracePoint, YearResult};
use suncask::year::{RunOptions, Setting, run};
use thermal_network::spec::Numerics;

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

/// A case with its defaults, or with other step lengths.
fn year_of(name: &str, numerics: Numerics) -> (case::Case, YearResult) {
    let case = case_of(name);
    let mut job = case::job(&case).expect("job");
    job.plant.numerics = numerics;
    let setting = Setting::new(&job, &suncask::weather::read(&weather()).expect("weather"));
    let result = run(&job, &setting, &RunOptions::default()).expect("a year");
    (case, result)
}

/// Compares every annual and monthly row; the annual ones are printed beside the reference.
fn check(name: &str, numerics: Numerics) {
    let (case, result) = year_of(name, numerics);
    let ours: HashMap<(String, &str), f64> = case::rows(&case, &result)
        .into_iter()
        .map(|(month, quantity, value)| ((month, quantity), value))
        .collect();
    let mut reader = csv::Reader::from_path(data("annual/results.csv")).expect("results");
    let (mut checked, mut outside) = (0, Vec::new());
    for row in reader.records() {
        let row = row.expect("row");
        if &row[0] != name {
            continue;
        }
        let expected: f64 = row[3].parse().expect("value");
        let tolerance: f64 = row[5].parse().expect("tolerance");
        let found = ours[&(row[1].to_owned(), &row[2])];
        let line = format!(
            "{:>5} {:28} {found:12.4}, expected {expected:12.4} within {tolerance}",
            &row[1], &row[2]
        );
        checked += 1;
        if &row[1] == "year" {
            println!("{name} {line}");
        }
        let off = (found - expected).abs();
        if off.is_nan() || off > tolerance {
            outside.push(line);
        }
    }
    assert!(checked >= 13 * 28, "{name}: only {checked} rows found");
    assert!(outside.is_empty(), "{name}:\n{}", outside.join("\n"));
    // Every transfer is booked once with both signs; what is left is rounding, near 1e-14.
    println!("{name}: residual {:e}", result.annual[Column::BalanceResidual]);
    assert!(result.annual[Column::BalanceResidual] < 1e-12, "{}", result.annual[Column::BalanceResidual]);
}

#[test]
fn reference_one_tank_with_wrapped_coil() {
    check("A1-one-tank-wrap", Numerics::default());
}

/// With rests of a quarter of an hour: the second tank's thermostats trip while nothing flows, and September's few minutes
/// of shortfall hang on when they do.
#[test]
fn reference_two_tanks() {
    check("A2-two-tank-wrap", Numerics { quiet_step_s: 900, ..Numerics::default() });
}

#[test]
fn reference_external_plate() {
    check("A3-external-plate", Numerics::default());
}

#[test]
fn reference_open_loop() {
    check("A4-open-loop", Numerics::default());
}

#[test]
fn reference_tight_differential() {
    check("A5-tight-differential", Numerics::default());
}

fn same_bits(a: &YearResult, b: &YearResult) {
    for (a, b) in a.monthly.iter().chain([&a.annual]).zip(b.monthly.iter().chain([&b.annual])) {
        for &column in Column::ALL {
            assert_eq!(a[column].to_bits(), b[column].to_bits(), "{}", column.info().key);
        }
    }
}

#[test]
fn same_bits_on_repeat_on_any_threads_and_whoever_listens() {
    let case = case_of("A1-one-tank-wrap");
    let job = case::job(&case).expect("job");
    let setting = Setting::new(&job, &suncask::weather::read(&weather()).expect("weather"));
    let plain = RunOptions::default();
    let all = RunOptions { hourly: true, trace_days: vec![15, 105, 196] };
    let first = run(&job, &setting, &plain).expect("a year");
    same_bits(&first, &run(&job, &setting, &all).expect("a year"));
    for threads in [1, 2] {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        let years: Vec<YearResult> = pool.install(|| {
            use rayon::prelude::*;
            (0..3).into_par_iter().map(|_| run(&job, &setting, &plain).expect("a year")).collect()
        });
        years.iter().for_each(|year| same_bits(&first, year));
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
fn traced_days_follow_the_reference() {
    let case = case_of("A1-one-tank-wrap");
    let options = RunOptions { hourly: false, trace_days: vec![15, 105, 196] };
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
