//! `suncask run --range`.

use super::{printed, suncask, text};

#[test]
fn a_range_stands_everywhere_when_asked_for() {
    let folder = tempfile::tempdir().expect("a folder");
    let shown = printed(folder.path(), &["run", "--range"]);
    for words in ["Saving as a range", "low ", "Let vary: hot-water use, ", "Not covered: "] {
        assert!(shown.contains(words), "{words}: {shown}");
    }
    let results = folder.path().join("suncask-demo-results");
    let summary = std::fs::read_to_string(results.join("summary.json")).expect("a summary");
    let summary: serde_json::Value = serde_json::from_str(&summary).expect("JSON");
    let range = &summary["range"];
    let at = |key: &str| range["saved_kwh"][key].as_f64().expect(key);
    assert!(at("low") < at("likely") && at("likely") < at("high"));
    assert_eq!(range["as_given_kwh"], summary["annual"]["equal_service_saved_kwh"]);
    assert_eq!((&range["seed"], &range["years"]), (&1.into(), &40.into()));
    let page = std::fs::read_to_string(results.join("report.html")).expect("a page");
    assert!(page.contains("Saving: low, likely, high") && page.contains("What it does not cover"));
}

#[test]
fn a_seed_belongs_to_a_range() {
    let folder = tempfile::tempdir().expect("a folder");
    let failed = suncask(folder.path(), &["run", "--seed", "3"]);
    assert_eq!(failed.status.code(), Some(2));
    assert!(text(&failed.stderr).contains("--range"));
}
