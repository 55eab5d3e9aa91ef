//! `suncask use`.

use std::fs;

use super::{printed, suncask, text};

/// Runs `use` on a job with this section and gives what is printed; the picture is there in both forms.
fn used(water: &str, more: &[&str]) -> String {
    let folder = tempfile::tempdir().expect("folder");
    fs::write(folder.path().join("house.toml"), format!("[hot_water]\n{water}\n")).expect("file");
    let arguments: Vec<&str> = ["use", "house.toml", "--out", "look"].iter().chain(more).copied().collect();
    let shown = printed(folder.path(), &arguments);
    for ending in ["svg", "png"] {
        assert!(folder.path().join("look/house-use").with_extension(ending).exists(), "{ending}");
    }
    assert_eq!(fs::read_dir(folder.path().join("look")).expect("folder").count(), 2);
    shown
}

/// The numbers of the line that begins so.
fn numbers(shown: &str, name: &str) -> Vec<f64> {
    let line = shown.lines().find(|line| line.starts_with(name)).unwrap_or_else(|| panic!("{name}: {shown}"));
    line[name.len()..]
        .split_whitespace()
        .map(|word| word.replace([',', '%'], "").parse().expect("a number"))
        .collect()
}

#[test]
fn a_pattern_by_law_is_shown_with_its_source() {
    let shown = used("pattern = \"US high\"", &[]);
    assert!(shown.contains("single draws from memory") && shown.contains("10 CFR 430"), "{shown}");
    // 14 draws of 84 gal, 318.0 L, as printed.
    assert_eq!(numbers(&shown, "Year")[..3], [14.0, 84.0, 318.0]);
    assert_eq!(numbers(&shown, "February")[..3], [14.0, 84.0, 318.0]);
    // 6 am: 27 gal at 6:00, 2 at 6:30, 1 at 6:40.
    assert_eq!(numbers(&shown, "6 am"), [30.0, 113.6, 30.0, 113.6]);
    // 27 gal flow at 3 gal/min for 9 min; nothing else runs in those ten minutes. The busiest hour adds 2 and 1 gal.
    assert!(shown.contains("Most in ten minutes: 27.0 gal (102.2 L), Jan 1 from 6 am"), "{shown}");
    assert!(shown.contains("Most in an hour: 30.0 gal (113.6 L)"), "{shown}");
    let tables =
        shown.split_once("By month").and_then(|(_, rest)| rest.split_once("Most in")).expect("tables").0;
    assert!(tables.lines().all(|line| line.chars().count() <= 90), "{tables}");
}

#[test]
fn an_even_day_has_no_single_draws() {
    let hours = format!("hours = [1{}]", ", 0".repeat(23));
    let shown = used(&format!("daily = \"48 gal\"\n{hours}"), &["--units", "si"]);
    assert!(!shown.contains("draws/day") && !shown.contains("By purpose"), "{shown}");
    assert_eq!(numbers(&shown, "Year")[..2], [48.0, 181.7]);
    assert_eq!(numbers(&shown, "0:00"), [48.0, 181.7, 48.0, 181.7]);
    assert!(shown.contains("\u{b0}C") && !shown.contains("\u{b0}F"), "{shown}");
}

#[test]
fn random_draws_repeat_and_follow_their_seed() {
    let water = "pattern = \"random draws\"\ndaily = \"60 gal\"\n";
    let shown = used(water, &[]);
    assert_eq!(shown, used(water, &[]));
    assert_ne!(shown, used(&format!("{water}seed = 2"), &[]));
    // The year's volume is exact; shares are those of three bedrooms at 120 F, by hand: shower 39.5 %, bath 9.9 %.
    assert_eq!(numbers(&shown, "Year")[1..3], [60.0, 227.1]);
    assert_eq!(
        (numbers(&shown, "shower").last(), numbers(&shown, "bath").last()),
        (Some(&39.0), Some(&10.0))
    );
}

#[test]
fn nobody_at_home_is_told() {
    let shown = used("pattern = \"EU M\"\nabsences = [\"Jan 1 - Dec 31\"]", &[]);
    assert!(shown.contains("No hot water is drawn."), "{shown}");
}

#[test]
fn faults_of_a_log_are_told_at_once_with_those_of_the_job() {
    let folder = tempfile::tempdir().expect("folder");
    fs::write(folder.path().join("house.toml"), "[hot_water]\nfile = \"draws.csv\"\nseed = 3\n")
        .expect("file");
    fs::write(folder.path().join("draws.csv"), "time,volume gal\n03-05,12\n").expect("file");
    let done = suncask(folder.path(), &["use", "house.toml"]);
    let told = text(&done.stderr);
    assert_eq!(done.status.code(), Some(1), "{told}");
    assert!(told.contains("draws.csv:2: `03-05` is not a date and a time"), "{told}");
    assert!(told.contains("house.toml:3:8") && told.matches("error:").count() == 2, "{told}");
    assert_eq!(fs::read_dir(folder.path()).expect("folder").count(), 2, "no picture");
}
