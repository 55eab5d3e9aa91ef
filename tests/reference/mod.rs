//! The whole year against independent reference results.
//!
//! Cases, results and tolerances: `tests/data/annual/README.md`. The tolerances are those stated with the results; they
//! leave room for a coarser but sound scheme.

pub(crate) mod case;

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use suncask::record::{Column, YearResult};
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

fn check(name: &str) {
    let case = case_of(name);
    let result = case::run_case(&case, &weather(), &RunOptions::default()).expect("a year");
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
        let key =
            (row[1].to_owned(), ours.keys().find(|key| key.1 == &row[2]).expect("a quantity of ours").1);
        let found = ours[&key];
        checked += 1;
        if (found - expected).abs() > tolerance {
            outside.push(format!(
                "month {}: {} is {found}, expected {expected} within {tolerance}",
                key.0, key.1
            ));
        }
    }
    assert!(checked >= 13 * 20, "{name}: only {checked} rows found");
    assert!(outside.is_empty(), "{name}:\n{}", outside.join("\n"));
    // Every transfer is booked once with both signs; what is left is rounding, near 1e-15.
    assert!(result.annual[Column::BalanceResidual] < 1e-12, "{}", result.annual[Column::BalanceResidual]);
}

#[test]
fn reference_one_tank_with_wrapped_coil() {
    check("A1-one-tank-wrap");
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

#[test]
fn hours_add_up_to_the_year() {
    let case = case_of("A1-one-tank-wrap");
    let options = RunOptions { hourly: true, trace_days: Vec::new() };
    let result = case::run_case(&case, &weather(), &options).expect("a year");
    assert_eq!(result.hourly.len(), 8760);
    for column in
        [Column::Sun, Column::HeatIntoTank, Column::BackupHeat, Column::Delivered, Column::PumpHours]
    {
        let hours: f64 = result.hourly.iter().map(|hour| hour[column]).sum();
        // Sums of 8,760 numbers in another order: rounding only.
        approx::assert_relative_eq!(hours, result.annual[column], max_relative = 1e-9);
    }
}

#[test]
fn traced_days_follow_the_reference() {
    let case = case_of("A1-one-tank-wrap");
    let options = RunOptions { hourly: false, trace_days: vec![15, 105, 196] };
    let result = case::run_case(&case, &weather(), &options).expect("a year");
    let mut reader = csv::Reader::from_path(data("annual/trace_A1.csv")).expect("trace");
    let mut differences: Vec<f64> = Vec::new();
    for row in reader.records() {
        let row = row.expect("row");
        let number = |i: usize| row[i].parse::<f64>().expect("number");
        let trace =
            result.traces.iter().find(|trace| f64::from(trace.day) == number(0)).expect("a traced day");
        let Some(after) = trace.points.iter().position(|point| point.minute >= number(1)) else { continue };
        let (b, a) = (&trace.points[after], &trace.points[after.saturating_sub(1)]);
        let part = if b.minute > a.minute { (number(1) - a.minute) / (b.minute - a.minute) } else { 1.0 };
        differences
            .push((a.tank_mean_c + part.max(0.0) * (b.tank_mean_c - a.tank_mean_c) - number(11)).abs());
    }
    assert!(differences.len() > 800);
    differences.sort_by(f64::total_cmp);
    // A thermostat that trips some minutes apart moves the mean for a while; half the time there is no such moment.
    assert!(differences[differences.len() / 2] < 0.25, "{}", differences[differences.len() / 2]);
}
