//! Two tanks beside the monthly correlation of Klein, Beckman and Duffie for solar hot water.
//!
//! Case K1 is made for it: a fully mixed preheat tank of 75 L per m2 that loses as the correlation's own, pipes that lose
//! nothing, a separate heater with its standby in the load. The correlation stands for many simulated years; its standard
//! error is 2.5 points of the yearly fraction (Duffie and Beckman, chapter 20, from memory), so a year is accepted within 5.

use suncask::record::Column;
use suncask::year::RunOptions;

use super::{case, case_of, data, weather};

/// Largest difference of the year, as a share of load and standby.
const YEAR: f64 = 0.05;

/// Largest difference from the independent program that ran the same case, in any month: the tolerance of the reference
/// cases' backup heat, 17 kWh a year, over twelve months of 330 kWh is 0.4 points; a month may carry three times its part.
const PROGRAM: f64 = 0.012;

/// `f = 1.029 Y - 0.065 X - 0.245 Y^2 + 0.0018 X^2 + 0.0215 Y^3` (Klein, Beckman and Duffie 1976).
fn correlation(loss_ratio: f64, gain_ratio: f64) -> f64 {
    let (x, y) = (loss_ratio, gain_ratio);
    (1.029 * y - 0.065 * x - 0.245 * y * y + 0.0018 * x * x + 0.0215 * y * y * y).clamp(0.0, 1.0)
}

#[test]
fn reference_two_tanks_beside_the_monthly_correlation() {
    let case = case_of("K1-mixed-preheat");
    let result = case::run_case(&case, &weather(), &RunOptions::default()).expect("a year");
    let mut reader = csv::Reader::from_path(data("annual/K1-correlation.csv")).expect("correlation");
    let (mut need_kwh, mut ours_kwh, mut theirs_kwh, mut months) = (0.0, 0.0, 0.0, 0);
    let mut load_kwh = 0.0;
    for row in reader.records() {
        let row = row.expect("row");
        let number = |i: usize| row[i].parse::<f64>().expect("number");
        if &row[0] == "year" {
            // Yearly fractions are weighted with load and standby.
            assert!((theirs_kwh / need_kwh - number(4)).abs() < 1e-4, "{}", theirs_kwh / need_kwh);
            continue;
        }
        let month = &result.monthly[row[0].parse::<usize>().expect("month") - 1];
        let theirs = correlation(number(1), number(2));
        assert!((theirs - number(4)).abs() < 1e-4, "the table's own fraction: {theirs} {}", number(4));
        let ours = 1.0 - month[Column::BackupHeat] / number(3);
        println!(
            "month {}: ours {ours:.3}, correlation {theirs:.3}, {:+.1} points",
            &row[0],
            100.0 * (ours - theirs)
        );
        assert!((ours - number(5)).abs() < PROGRAM, "month {}: {ours} {}", &row[0], number(5));
        need_kwh += number(3);
        load_kwh += month[Column::Load];
        ours_kwh += ours * number(3);
        theirs_kwh += theirs * number(3);
        months += 1;
    }
    assert_eq!(months, 12);
    // The standby in the table is the heater's loss; A2 allows 1 % of a tank's loss.
    let standby_kwh = result.annual[Column::Tank2Loss];
    assert!(
        (need_kwh - load_kwh - standby_kwh).abs() < 0.01 * standby_kwh,
        "{need_kwh} {load_kwh} {standby_kwh}"
    );
    let (ours, theirs) = (ours_kwh / need_kwh, theirs_kwh / need_kwh);
    println!("year: ours {ours:.4}, correlation {theirs:.4}, {:+.1} points", 100.0 * (ours - theirs));
    assert!((ours - theirs).abs() < YEAR, "{ours} {theirs}");
    assert!(result.annual[Column::BalanceResidual] < 1e-12);
}
