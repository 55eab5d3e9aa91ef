//! The command as a person meets it.

use std::path::Path;
use std::process::{Command, Output};

fn suncask(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_suncask"))
        .args(arguments)
        .current_dir(folder)
        .output()
        .expect("the command")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

#[test]
fn the_demo_leaves_a_whole_folder() {
    let folder = tempfile::tempdir().expect("folder");
    let done = suncask(folder.path(), &["run"]);
    assert!(done.status.success(), "{}", text(&done.stderr));
    assert!(text(&done.stdout).contains("made from monthly means"));
    for file in ["summary.json", "monthly.csv", "report.html", "pictures/months.svg", "pictures/days.png"] {
        assert!(folder.path().join("suncask-demo-results").join(file).exists(), "{file}");
    }
}

#[test]
fn a_starter_job_is_written_once_and_runs() {
    let folder = tempfile::tempdir().expect("folder");
    assert!(suncask(folder.path(), &["new", "house.toml"]).status.success());
    assert_eq!(suncask(folder.path(), &["new", "house.toml"]).status.code(), Some(1));
    assert!(suncask(folder.path(), &["check", "house.toml"]).status.success());
    assert!(suncask(folder.path(), &["run", "house.toml", "--out", "r", "--hourly"]).status.success());
    assert!(folder.path().join("r/hourly.csv").exists());
}

#[test]
fn every_failure_has_its_code_and_one_message() {
    let folder = tempfile::tempdir().expect("folder");
    std::fs::write(folder.path().join("bad.toml"), "[tank]\nvolum = \"80 gal\"\n").expect("file");
    std::fs::write(folder.path().join("mine.txt"), "kept").expect("file");
    for (arguments, code) in [
        (&["run", "absent.toml"][..], 1),
        (&["run", "bad.toml"], 1),
        (&["run", "--out", "."], 1),
        (&["weather", "absent.csv"], 1),
        (&["weather", "bad.toml"], 1),
        (&["weather", "bad.toml", "--plane", "35,180"], 2),
        (&["walk"], 2),
    ] {
        let done = suncask(folder.path(), arguments);
        assert_eq!(done.status.code(), Some(code), "{arguments:?}: {}", text(&done.stderr));
        assert!(
            !done.stderr.is_empty() && !text(&done.stderr).contains("panicked"),
            "{}",
            text(&done.stderr)
        );
    }
    assert_eq!(std::fs::read_to_string(folder.path().join("mine.txt")).expect("file"), "kept");
}

#[test]
fn sums_on_a_plane_are_json() {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("weather-samples");
    let done = suncask(&samples, &["weather", "temperate.csv", "--plane", "35,180", "--json"]);
    let json: serde_json::Value = serde_json::from_slice(&done.stdout).expect("JSON");
    let annual = &json["annual"];
    for key in ["ghi_kwh_m2", "dni_kwh_m2", "dhi_kwh_m2"] {
        assert!(annual[key].is_f64(), "{key}");
    }
    for model in ["isotropic", "hay_davies", "hdkr", "perez"] {
        let sum = annual["plane_kwh_m2"][model].as_f64().expect("a sum");
        let months: f64 =
            (0..12).filter_map(|month: usize| json["monthly"][month]["plane_kwh_m2"][model].as_f64()).sum();
        assert!(sum > 1000.0 && (months - sum).abs() < 1e-6 * sum, "{model}");
    }
}

#[test]
fn the_nearest_file_is_found() {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("weather-samples");
    let done = suncask(&samples, &["weather", "near", "46,-91", "--in", "."]);
    assert!(text(&done.stdout).starts_with("1. ./cold-and-cloudy.csv"), "{}", text(&done.stdout));
}
