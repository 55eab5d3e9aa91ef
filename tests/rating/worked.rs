//! Conversions against tables worked apart from this code (`tests/data/rating`).

use std::path::Path;

use super::heaters::loss_w_k;
use super::job;
use suncask::rating::collector::{MeanCurve, Point};
use suncask::rating::store_class::{StoreClass, conductance_w_k};

fn rows(file: &str) -> Vec<csv::StringRecord> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/rating").join(file);
    csv::Reader::from_path(path).expect("a table").records().map(|row| row.expect("a row")).collect()
}

fn number(row: &csv::StringRecord, column: usize) -> f64 {
    row[column].parse().unwrap_or_else(|_| panic!("{}", &row[column]))
}

/// 120 points of five collectors, two flows; negative output is kept.
#[test]
fn steady_collectors() {
    let rows = rows("collectors.csv");
    assert_eq!(rows.len(), 120);
    for row in &rows {
        let curve =
            MeanCurve { eta0_frac: number(row, 0), a1_w_m2_k: number(row, 1), a2_w_m2_k2: number(row, 2) };
        let point = Point {
            sun_w_m2: number(row, 3),
            air_c: number(row, 4),
            inlet_c: number(row, 5),
            flow_w_m2_k: number(row, 6) * number(row, 7),
        };
        let found = curve.at(&point);
        // Half of the last printed digit, and a little for the sum.
        assert!((found.heat_w_m2 - number(row, 8)).abs() < 6e-4, "{row:?}: {found:?}");
        assert!((found.mean_c - number(row, 9)).abs() < 6e-5, "{row:?}: {found:?}");
        assert!((found.outlet_c - number(row, 10)).abs() < 6e-5, "{row:?}: {found:?}");
        // The straight part goes to inlet temperature and back without loss, and gives the heat of the straight curve.
        let straight = MeanCurve { a2_w_m2_k2: 0.0, ..curve };
        let inlet = straight.straight_over_inlet(point.flow_w_m2_k);
        let back = inlet.over_mean(point.flow_w_m2_k);
        assert!((back.eta0_frac / curve.eta0_frac - 1.0).abs() < 1e-12);
        assert!((back.a1_w_m2_k / curve.a1_w_m2_k - 1.0).abs() < 1e-12);
        let by_inlet = inlet.heat_w_m2(point.sun_w_m2, point.inlet_c - point.air_c);
        // The heat is a difference of terms up to 1000 W/m2.
        assert!((by_inlet - straight.at(&point).heat_w_m2).abs() < 1e-9);
    }
}

/// Tanks of four sizes by their foam, as a job enters them.
#[test]
fn tanks_by_their_foam() {
    let rows = rows("tank_foam.csv");
    assert_eq!(rows.len(), 36);
    for row in &rows {
        let text = format!(
            "[tank]\nvolume = \"{} L\"\nheight = \"{} mm\"\ninsulation = \"{} in\"\nfoam_conductivity = \"{} W/mK\"\nfittings_loss = \"0 W/K\"\n",
            &row[2], &row[7], &row[4], &row[5]
        );
        let found = loss_w_k(&job(&text).plant.tanks[0]);
        // The table's foam lies on 3 mm of steel, 1.3 % of the radius, and reaches over the ends.
        assert!((found / number(row, 12) - 1.0).abs() < 0.02, "{row:?}: {found} W/K");
    }
}

/// Class limits at nine volumes.
#[test]
fn tank_classes() {
    let mut compared = 0;
    for row in rows("store_classes.csv") {
        let class = match row[0].split_whitespace().next() {
            Some("A+") => StoreClass::APlus,
            Some("A") => StoreClass::A,
            Some("B") => StoreClass::B,
            Some("C") => StoreClass::C,
            Some("D") => StoreClass::D,
            Some("E") => StoreClass::E,
            Some("F") => StoreClass::F,
            // Rows of another rule.
            _ => continue,
        };
        let loss_w = class.largest_loss_w(number(&row, 1) / 1000.0);
        // Half of the last printed digit, with a little for its rounding.
        assert!((loss_w - number(&row, 2)).abs() < 0.051, "{row:?}: {loss_w} W");
        assert!((conductance_w_k(loss_w) - number(&row, 3)).abs() < 5.1e-4, "{row:?}");
        compared += 1;
    }
    assert!(compared >= 7 * 7, "{compared} rows");
}
