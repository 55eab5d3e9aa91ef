//! Single components against independent single-component answers, through the public interface.
//!
//! Rows, values and tolerances come from `tests/data/annual/limits.csv`; a row without a tolerance must be met to a relative
//! 1e-6. Every row of a test must be answered, or named with the reason why it is not ours.

mod backup;
mod collector;
mod exchanger;
mod layouts;
mod loops;
mod part_flow;
mod pipe;
mod plants;
mod sun;
mod tank;
mod use_of_water;

use std::path::Path;

/// Tolerance of rows that state none, relative: closed form against closed form.
const CLOSED_FORM: f64 = 1e-6;

/// An answer of ours to the row whose quantity begins so.
type Answer = (String, f64);

fn answer(quantity: impl Into<String>, value: f64) -> Answer {
    (quantity.into(), value)
}

/// Compares all rows of a test with the answers; `not_ours` names rows of a model that is another one.
fn check(test: &str, answers: &[Answer], not_ours: &[&str]) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/annual/limits.csv");
    let mut reader = csv::Reader::from_path(path).expect("limits");
    let mut rows = 0;
    let mut outside = Vec::new();
    for row in reader.records() {
        let row = row.expect("row");
        if &row[0] != test || not_ours.iter().any(|quantity| row[1].starts_with(quantity)) {
            continue;
        }
        rows += 1;
        let fitting: Vec<&Answer> = answers.iter().filter(|answer| begins(&row[1], &answer.0)).collect();
        assert_eq!(fitting.len(), 1, "{test}: {} has {} answers", &row[1], fitting.len());
        let expected: f64 = row[2].parse().expect("value");
        let found = fitting[0].1;
        let off = (found - expected).abs();
        if off.is_nan() || off > tolerance(&row[4], expected) {
            outside.push(format!("{}: {found}, expected {expected} within {:?}", &row[1], &row[4]));
        }
    }
    assert!(outside.is_empty(), "{test}:\n{}", outside.join("\n"));
    assert_eq!(rows, answers.len(), "{test}: rows and answers");
}

/// True if the row's quantity begins with these words, the last of them whole.
fn begins(quantity: &str, words: &str) -> bool {
    quantity
        .strip_prefix(words)
        .is_some_and(|rest| !rest.starts_with(|next: char| next.is_ascii_alphanumeric()))
}

/// A tolerance as the table words it: a number with its unit, a percentage, or nothing.
fn tolerance(text: &str, expected: f64) -> f64 {
    let number = text.split_whitespace().next().map(|word| word.parse::<f64>().expect("a tolerance"));
    match number {
        None => CLOSED_FORM * expected.abs(),
        Some(percent) if text.contains('%') => 0.01 * percent * expected.abs(),
        Some(number) => number,
    }
}
