//! `suncask compare` as a person meets it.

use super::{printed, suncask, text};

#[test]
fn one_job_alone_has_nothing_beside_it() {
    let folder = tempfile::tempdir().expect("folder");
    printed(folder.path(), &["new", "house.toml"]);
    for (arguments, told) in [
        (&["compare", "house.toml"][..], "add --layouts"),
        (&["compare", "house.toml", "house.toml", "--layouts"], "name one"),
    ] {
        let done = suncask(folder.path(), arguments);
        assert_eq!(done.status.code(), Some(2), "{arguments:?}");
        assert!(text(&done.stderr).contains(told), "{}", text(&done.stderr));
    }
}

#[test]
fn two_jobs_leave_a_whole_folder() {
    let folder = tempfile::tempdir().expect("folder");
    printed(folder.path(), &["new", "one.toml"]);
    let one = std::fs::read_to_string(folder.path().join("one.toml")).expect("a job");
    let larger =
        one.replace("volume = \"80 gal\"\nheight = \"52 in\"", "volume = \"119 gal\"\nheight = \"60 in\"");
    assert_ne!(one, larger);
    std::fs::write(folder.path().join("larger.toml"), larger).expect("a job");
    let shown = printed(folder.path(), &["compare", "one.toml", "larger.toml", "--units", "si"]);
    assert!(shown.contains("\u{201c}larger\u{201d} saves") && shown.contains("chiefly because"), "{shown}");
    assert!(shown.contains("as-written") && shown.contains("not a guarantee"), "{shown}");
    assert!(!shown.contains("\u{b0}F") && !shown.contains(" gal"), "{shown}");
    assert!(!shown.contains("differ in"), "{shown}");
    for line in shown.lines() {
        assert!(line.chars().count() <= 120, "{line}");
    }
    let results = folder.path().join("one-compare");
    for picture in ["plants", "months", "difference"] {
        for ending in ["svg", "png"] {
            assert!(results.join("pictures").join(picture).with_extension(ending).exists(), "{picture}");
        }
    }
    let json = std::fs::read_to_string(results.join("study.json")).expect("a study");
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!((&json["study"], &json["complete"]), (&"compare".into(), &true.into()));
    let difference = &json["findings"]["best_saves_more"][0];
    let parts = difference["parts"].as_object().expect("parts");
    let sum: f64 = parts.values().filter_map(serde_json::Value::as_f64).sum();
    assert!((sum - difference["saved_kwh"].as_f64().expect("a number")).abs() < 1e-9);
    let page = std::fs::read_to_string(results.join("report.html")).expect("a page");
    for words in ["Estimate, not a guarantee", "What flips it", "Why they differ", "Mildmeadow"] {
        assert!(page.contains(words), "{words}");
    }
    // Both jobs, the results, and nothing of the time of running.
    assert_eq!(std::fs::read_dir(folder.path()).expect("folder").count(), 3);
}

#[test]
fn layouts_that_the_job_cannot_give_are_named() {
    let folder = tempfile::tempdir().expect("folder");
    printed(folder.path(), &["new", "house.toml"]);
    let shown = printed(folder.path(), &["compare", "house.toml", "--layouts", "--draws", "as-written"]);
    assert!(shown.contains("80 gal solar tank, present heater"), "{shown}");
    assert!(shown.contains("[[stock.tank]]") && !shown.contains("drawn in single draws"), "{shown}");
}
