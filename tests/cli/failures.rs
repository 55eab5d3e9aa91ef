//! What goes wrong ends with its exit code and one clear message.

use std::fs;

use super::{samples, suncask, text};

#[test]
fn every_failure_has_its_code_and_one_message() {
    let place = tempfile::tempdir().expect("folder");
    let folder = place.path();
    let sample = samples().join("temperate.csv").display().to_string();
    fs::create_dir(folder.join("mine")).expect("folder");
    for (name, bytes) in [
        ("house.toml", &b""[..]),
        ("bad.toml", b"[tank]\nvolum = \"80 gal\"\n[pump]\nflow = \"3 ft\"\n"),
        ("broken.toml", b"[tank\nvolume = \"80 gal\"\n"),
        ("bytes.toml", b"name = \"\xff\xfe\"\n"),
        ("no-weather.toml", b"[weather]\nfile = \"none.csv\"\n"),
        ("page.csv", b"<html></html>"),
        ("empty.csv", b""),
        ("mine/letter.txt", b"kept"),
    ] {
        fs::write(folder.join(name), bytes).expect("file");
    }
    let plane = |plane: &'static str| ["weather", sample.as_str(), "--plane", plane, "--json"];
    let make = |air: &'static str| {
        let sun = "2,3,4,5,6,6,6,5,4,3,2,2";
        [
            "weather",
            "make",
            "--name",
            "x",
            "--latitude",
            "40",
            "--longitude",
            "-90",
            "--sun",
            sun,
            "--air",
            air,
            "--out",
            "x.csv",
        ]
    };
    // Arguments, exit code, and what the message must name.
    let cases: Vec<(Vec<&str>, i32, &str)> = vec![
        (vec!["run", "absent.toml"], 1, "absent.toml"),
        (vec!["run", "mine"], 1, "mine"),
        (vec!["run", "bytes.toml"], 1, "UTF-8"),
        (vec!["run", "bad.toml"], 1, "did you mean `volume`"),
        (vec!["check", "bad.toml"], 1, "bad.toml:4"),
        (vec!["run", "broken.toml"], 1, "broken.toml:1"),
        (vec!["run", "no-weather.toml"], 1, "none.csv"),
        (vec!["use", "no-weather.toml"], 1, "no-weather.toml:2:8: named here"),
        (vec!["use", "house.toml", "--out", "house.toml"], 1, "house.toml"),
        (vec!["use"], 2, "<JOB>"),
        (vec!["check", "no-weather.toml"], 1, "no-weather.toml:2:8: named here"),
        (vec!["run", "--out", "."], 1, "not replaced"),
        (vec!["run", "--out", "mine"], 1, "letter.txt"),
        (vec!["run", "--out", "house.toml"], 1, "not a folder"),
        (vec!["run", "--out", "house.toml/below"], 1, "house.toml/below"),
        (vec!["new", "house.toml"], 1, "there already"),
        (vec!["new", "nowhere/house.toml"], 1, "nowhere/house.toml"),
        (vec!["weather", "absent.csv"], 1, "absent.csv"),
        (vec!["weather", "mine"], 1, "mine"),
        (vec!["weather", "page.csv"], 1, "web page"),
        (vec!["weather", "empty.csv"], 1, "empty"),
        (vec!["weather", &sample, "--out", "house.toml"], 1, "house.toml"),
        (vec!["weather", "near", "nowhere", "--in", "mine"], 1, "no readable weather file"),
        (vec!["weather", "near", "40,-90", "--in", "absent"], 1, "absent"),
        (make("999,0,0,0,0,0,0,0,0,0,0,0").to_vec(), 1, "January"),
        (make("1,2,3").to_vec(), 2, "twelve numbers"),
        (plane("35").to_vec(), 2, "TILT,AZIMUTH"),
        (plane("35,180,0").to_vec(), 2, "TILT,AZIMUTH"),
        (plane("-1,180").to_vec(), 2, "between 0 and 90"),
        (vec!["weather", &sample, "--plane", "35,180"], 2, "--json"),
        (vec!["weather", "near", "91,0", "--in", &sample], 1, "temperate.csv"),
        (vec!["weather"], 2, "<FILE>"),
        (vec!["run", "house.toml", "--units", "metric"], 2, "us, si"),
        (vec!["walk"], 2, "walk"),
        (vec![], 2, "Usage"),
    ];
    for (arguments, code, named) in cases {
        let done = suncask(folder, &arguments);
        let told = text(&done.stderr);
        assert_eq!(done.status.code(), Some(code), "{arguments:?}: {told}");
        assert!(told.contains(named), "{arguments:?}: {told}");
        assert!(!told.contains("fault of its own") && !told.contains('\u{1b}'), "{arguments:?}: {told}");
    }
    assert_eq!(fs::read_to_string(folder.join("mine/letter.txt")).expect("file"), "kept");
    assert_eq!(fs::read_to_string(folder.join("house.toml")).expect("file"), "");
    // Nothing was written anywhere.
    assert_eq!(fs::read_dir(folder).expect("folder").count(), 8);
}

#[test]
fn all_faults_of_a_job_are_told_at_once() {
    let place = tempfile::tempdir().expect("folder");
    let job = "[tank]\nvolum = \"80 gal\"\n[pump]\nflow = \"3 ft\"\n";
    fs::write(place.path().join("bad.toml"), job).expect("file");
    let told = text(&suncask(place.path(), &["run", "bad.toml"]).stderr);
    assert_eq!(told.matches("error:").count(), 2, "{told}");
    assert!(
        told.contains("bad.toml:2:1") && told.contains("bad.toml:4:11") && told.contains("^^^"),
        "{told}"
    );
}
