//! Every starter job is sound and runs, and its year is the one that was kept.
//!
//! `tests/data/snapshots/starters.csv` holds some figures of each year in the built-in invented climate. They are no reference:
//! they were printed by this program, and show when a change moves a kind of plant that no reference case covers. A change that
//! moves one beyond the tolerance writes the new figure there and says why.

use std::path::{Path, PathBuf};

use suncask::job::file::read_text;
use suncask::job::{STARTERS, Starter};
use suncask::problem::Severity;
use suncask::record::{Column, YearResult};
use suncask::year::{RunOptions, Setting, run};

/// Half a percent, as the file says; figures below 1 may move by 0.005: they are printed with two decimals.
const TOLERANCE: f64 = 0.005;

const KEPT: [Column; 14] = [
    Column::HeatIntoTank,
    Column::TankLoss,
    Column::FlueLoss,
    Column::BackupHeat,
    Column::ElementHeat,
    Column::BurnerHeat,
    Column::HeatPumpHeat,
    Column::FlowHeaterHeat,
    Column::BackupElectric,
    Column::BackupFuel,
    Column::Load,
    Column::Delivered,
    Column::BaselinePurchased,
    Column::Saved,
];

fn path() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/snapshots/starters.csv")
}

fn year(starter: &Starter) -> YearResult {
    let job = read_text(starter.kind, starter.text)
        .unwrap_or_else(|problems| panic!("{}: {problems:?}", starter.kind));
    // A note is worth reading; a starter deserves no warning.
    let doubts = job.notes.iter().filter(|note| note.severity != Severity::Note);
    assert_eq!(doubts.count(), 0, "{}: {:?}", starter.kind, job.notes);
    let setting = Setting::new(&job, &suncask::weather::demo());
    run(&job, &setting, &RunOptions::default())
        .unwrap_or_else(|problems| panic!("{}: {problems:?}", starter.kind))
}

#[test]
fn every_starter_runs_as_it_did() {
    let mut kept = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path()).expect("the figures kept");
    let rows: Vec<csv::StringRecord> = kept.records().map(|row| row.expect("a row")).collect();
    let mut moved = Vec::new();
    let mut now = String::new();
    for starter in &STARTERS {
        let result = year(starter);
        // Tests of the project demand this much of the balance.
        assert!(result.annual[Column::BalanceResidual] < 1e-9, "{}", starter.kind);
        for column in KEPT {
            let (key, found) = (column.info().key, result.annual[column]);
            now.push_str(&format!("{},{key},{found:.2}\n", starter.kind));
            let row = rows.iter().find(|row| &row[0] == starter.kind && &row[1] == key);
            let before = row.map(|row| row[2].parse::<f64>().expect("a number"));
            if before.is_none_or(|before| (found - before).abs() > TOLERANCE * before.abs().max(1.0)) {
                moved.push(format!("{} {key}: {found:.2}, kept {before:?}", starter.kind));
            }
        }
    }
    assert!(moved.is_empty(), "{}\nall of them now:\n{now}", moved.join("\n"));
    assert_eq!(rows.len(), STARTERS.len() * KEPT.len(), "rows of kinds that are no longer there");
}

#[test]
fn each_kind_of_backup_does_its_part() {
    let of = |kind: &str| {
        let starter = STARTERS.iter().find(|starter| starter.kind == kind).expect("a starter");
        year(starter).annual
    };
    for (kind, heat, fuel) in [
        ("two-elements", Column::ElementHeat, false),
        ("gas", Column::BurnerHeat, true),
        ("flow-through", Column::FlowHeaterHeat, true),
        ("heat-pump", Column::HeatPumpHeat, false),
    ] {
        let annual = of(kind);
        let heat_kwh = annual[Column::BackupHeat];
        assert!(annual[heat] > 0.9 * heat_kwh && heat_kwh > 100.0, "{kind}: {heat_kwh} kWh");
        assert_eq!(annual[Column::BackupFuel] > 0.0, fuel, "{kind}");
        let bought_kwh = annual[Column::BackupElectric] + annual[Column::BackupFuel];
        assert!((annual[Column::BackupPurchased] - bought_kwh).abs() < 1e-9 * bought_kwh, "{kind}");
    }
}
