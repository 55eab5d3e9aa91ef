//! The command as a person meets it.

mod compare;
mod failures;
mod guides;
mod pdf;
mod range;
mod size;
mod tune;
mod water_use;

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use suncask::record::Column;

fn command(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_suncask"));
    command.args(arguments).current_dir(folder);
    command
}

fn suncask(folder: &Path, arguments: &[&str]) -> Output {
    command(folder, arguments).output().expect("the command")
}

/// What a command that succeeds prints.
fn printed(folder: &Path, arguments: &[&str]) -> String {
    let done = suncask(folder, arguments);
    assert_eq!(done.status.code(), Some(0), "{arguments:?}: {}", text(&done.stderr));
    assert!(done.stderr.is_empty(), "{arguments:?}: {}", text(&done.stderr));
    text(&done.stdout)
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

fn samples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("weather-samples")
}

#[test]
fn the_demo_leaves_a_whole_folder() {
    let folder = tempfile::tempdir().expect("folder");
    let shown = printed(folder.path(), &["run"]);
    assert!(shown.contains("made from monthly means, not measured"));
    assert!(shown.contains("An estimate, not a guarantee."));
    assert!(
        shown.contains("- Scald: ") && shown.contains("confirm with local code and a licensed professional")
    );
    let results = folder.path().join("suncask-demo-results");
    for file in ["summary.json", "monthly.csv", "report.html"] {
        assert!(results.join(file).exists(), "{file}");
    }
    for picture in ["plant", "months", "heat", "days", "tank"] {
        for ending in ["svg", "png"] {
            assert!(results.join("pictures").join(picture).with_extension(ending).exists(), "{picture}");
        }
    }
    assert!(!results.join("hourly.csv").exists(), "only when asked for");
    // Nothing of the time of writing is left.
    assert_eq!(std::fs::read_dir(folder.path()).expect("folder").count(), 1);
    for line in shown.lines() {
        assert!(line.chars().count() <= 120 && !line.contains('\u{1b}'), "{line}");
    }
}

#[test]
fn the_units_asked_for_are_shown() {
    let folder = tempfile::tempdir().expect("folder");
    for (units, sign, other) in [("us", "\u{b0}F", "\u{b0}C"), ("si", "\u{b0}C", "\u{b0}F")] {
        let shown = printed(folder.path(), &["run", "--units", units]);
        assert!(shown.contains(sign) && !shown.contains(other), "{shown}");
    }
}

#[test]
fn check_parts_what_was_written_from_what_is_assumed() {
    let folder = tempfile::tempdir().expect("folder");
    std::fs::write(folder.path().join("house.toml"), "[tank]\nvolume = \"80 gal\"\n").expect("file");
    let shown = printed(folder.path(), &["check", "house.toml"]);
    let (written, rest) = shown.split_once("What is assumed").expect("two lists");
    // 80 US gallons are 302.8 L by definition.
    assert!(written.contains("tank.volume  80 gal (302.8 L)"), "{written}");
    assert!(rest.contains("controller.on_difference") && rest.contains("rules of thumb"));
    assert_eq!(std::fs::read_dir(folder.path()).expect("folder").count(), 1, "nothing is run");
}

#[test]
fn a_starter_runs_with_hours() {
    let folder = tempfile::tempdir().expect("folder");
    printed(folder.path(), &["new", "my house.toml"]);
    printed(folder.path(), &["run", "my house.toml", "--hourly"]);
    let results = folder.path().join("my house-results");
    let hours = std::fs::read_to_string(results.join("hourly.csv")).expect("hours");
    // A head and 8,760 hours.
    assert_eq!(hours.lines().count(), 8761);
}

#[test]
fn columns_are_all_told() {
    let shown = printed(Path::new("."), &["columns"]);
    for column in Column::ALL {
        assert!(shown.lines().any(|line| line.starts_with(column.info().key)), "{column:?}");
    }
}

#[test]
fn a_reader_that_goes_away_ends_it_quietly() {
    let mut child = command(Path::new("."), &["columns"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the command");
    drop(child.stdout.take());
    let done = child.wait_with_output().expect("its end");
    assert_eq!(done.status.code(), Some(0));
    assert!(done.stderr.is_empty(), "{}", text(&done.stderr));
}

#[test]
fn sums_on_a_plane_are_json() {
    let shown = printed(&samples(), &["weather", "temperate.csv", "--plane", "35,180", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&shown).expect("JSON and nothing else");
    let annual = &json["annual"];
    for key in ["ghi_kwh_m2", "dni_kwh_m2", "dhi_kwh_m2"] {
        assert!(annual[key].is_f64(), "{key}");
    }
    assert_eq!(json["monthly"].as_array().map(Vec::len), Some(12));
    for model in ["isotropic", "hay_davies", "hdkr", "perez"] {
        let sum = annual["plane_kwh_m2"][model].as_f64().expect("a sum");
        let months: f64 =
            (0..12).filter_map(|month: usize| json["monthly"][month]["plane_kwh_m2"][model].as_f64()).sum();
        // The same numbers added in another order.
        assert!(sum > 1000.0 && (months - sum).abs() < 1e-9 * sum, "{model}");
    }
    let brighter = ["weather", "temperate.csv", "--plane", "35,180", "--json", "--albedo", "0.6"];
    let brighter: serde_json::Value = serde_json::from_str(&printed(&samples(), &brighter)).expect("JSON");
    // Equally bright ground sends albedo x global x (1 - cos tilt)/2 onto a plane: 0.4 x (1 - cos 35 deg)/2 more.
    let gain = brighter["annual"]["plane_kwh_m2"]["isotropic"].as_f64().expect("a sum")
        - annual["plane_kwh_m2"]["isotropic"].as_f64().expect("a sum");
    let expected =
        0.4 * 0.5 * (1.0 - 35_f64.to_radians().cos()) * annual["ghi_kwh_m2"].as_f64().expect("sun");
    assert!((gain - expected).abs() < 1e-6 * expected, "{gain} {expected}");
}

#[test]
fn a_plant_is_drawn_before_it_runs() {
    let folder = tempfile::tempdir().expect("folder");
    std::fs::write(folder.path().join("house.toml"), suncask::job::starter()).expect("a job");
    for (name, begins) in [("house.svg", &b"<svg"[..]), ("house.png", &b"\x89PNG"[..])] {
        let shown = printed(folder.path(), &["check", "house.toml", "--picture", name]);
        assert!(shown.contains(&format!("Picture: {name}")), "{shown}");
        assert!(std::fs::read(folder.path().join(name)).expect("a picture").starts_with(begins), "{name}");
    }
    let si = printed(folder.path(), &["check", "house.toml", "--picture", "si.svg", "--units", "si"]);
    assert!(si.contains("si.svg"));
    let drawn = std::fs::read_to_string(folder.path().join("si.svg")).expect("a picture");
    assert!(drawn.contains("303 L") && !drawn.contains("gal"));
    let refused = suncask(folder.path(), &["check", "house.toml", "--picture", "house.gif"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(text(&refused.stderr).contains("write for example house.png"), "{}", text(&refused.stderr));
    assert!(!folder.path().join("house.gif").exists());
}

#[test]
fn a_weather_file_is_shown_with_pictures() {
    let folder = tempfile::tempdir().expect("folder");
    std::fs::copy(samples().join("temperate.csv"), folder.path().join("near")).expect("copy");
    // A file called like a subcommand is reached by its path.
    let shown = printed(folder.path(), &["weather", "./near", "--out", "look"]);
    for words in
        ["39.000\u{b0} N, 93.500\u{b0} W", "TMY3", "8,760 records of 60 min", "Made from", "December"]
    {
        assert!(shown.contains(words), "{words}: {shown}");
    }
    for name in ["months.svg", "months.png", "map.svg", "map.png"] {
        assert!(folder.path().join(format!("look/near-weather-{name}")).exists(), "{name}");
    }
    assert_eq!(std::fs::read_dir(folder.path().join("look")).expect("folder").count(), 4);
}

#[test]
fn the_nearest_file_is_found() {
    for place in ["46,-91", "Cloudfell"] {
        let shown = printed(&samples(), &["weather", "near", place, "--in", "."]);
        let first = shown.lines().nth(1).expect("a line");
        assert!(first.starts_with("1. Cloudfell") && first.contains("1,131 kWh/m\u{b2}"), "{shown}");
    }
}

#[test]
fn a_made_year_replaces_only_a_made_year() {
    let folder = tempfile::tempdir().expect("folder");
    let make = [
        "weather",
        "make",
        "--name",
        "Nowhere",
        "--latitude",
        "-35",
        "--longitude",
        "149",
        "--sun",
        "7,6,5,4,3,2.5,2.7,3.5,4.8,6,6.8,7.2",
        "--air",
        "21,20,18,14,-1,7,6,7,10,13,16,19",
        "--out",
        "year.csv",
    ];
    let shown = printed(folder.path(), &make);
    assert!(shown.contains("A made year, not a measured one."));
    printed(folder.path(), &make);
    let greensboro = "tests/data/weather/tmy3_723170_greensboro_nc.csv";
    std::fs::copy(Path::new(env!("CARGO_MANIFEST_DIR")).join(greensboro), folder.path().join("year.csv"))
        .expect("copy");
    let before = std::fs::read(folder.path().join("year.csv")).expect("file");
    assert_eq!(suncask(folder.path(), &make).status.code(), Some(1));
    assert_eq!(std::fs::read(folder.path().join("year.csv")).expect("file"), before);
}
