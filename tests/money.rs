//! Money: measures against worked examples and a finance library, tariffs by hand, laws, the job file and whole years.

mod finance;
mod job;
mod tariff;
mod year;

/// Differences of a few roundings in sums of up to 8,760 terms.
fn close(found: f64, expected: f64) {
    assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{found} against {expected}");
}
