//! `suncask tune` as a person meets it.

use super::{printed, suncask, text};

#[test]
fn tune_leaves_a_whole_folder() {
    let place = tempfile::tempdir().expect("folder");
    let job = "name = \"Small\"\n[backup]\nkind = \"flow-through heater\"\n[tune]\non_differences = [\"12 F\"]\n\
               off_differences = [\"4 F\", \"20 F\"]\nsensor_error = \"0 F\"\n";
    std::fs::write(place.path().join("small.toml"), job).expect("file");
    let shown = printed(place.path(), &["tune", "small.toml", "--units", "si"]);
    assert!(shown.contains("of the usual suspects") || shown.contains("First, before any dial"), "{shown}");
    assert!(shown.contains("on 6.7 K, off 2.2 K") && !shown.contains(" F,"), "{shown}");
    assert!(shown.contains("An estimate, not a guarantee."), "{shown}");
    // However its lines are broken.
    let flowing = shown.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flowing.contains("single draws by chance"), "{shown}");
    for line in shown.lines() {
        assert!(line.chars().count() <= 120, "{line}");
    }
    let results = place.path().join("small-tune");
    for file in ["study.json", "study.csv", "report.html", "pictures/map.svg", "pictures/maps.png"] {
        assert!(results.join(file).exists(), "{file}");
    }
    let json: serde_json::Value =
        serde_json::from_slice(&std::fs::read(results.join("study.json")).expect("file")).expect("JSON");
    assert_eq!((&json["study"], &json["complete"]), (&"tune".into(), &true.into()));
    assert!(json["findings"]["sentence"].as_str().is_some_and(|sentence| sentence.len() > 40));
    // The job, five suspects and one pair; the journal is gone.
    assert_eq!(
        json["rows"].as_array().map(Vec::len),
        json["candidates"].as_u64().map(|count| count as usize)
    );
    assert!(!place.path().join("small-tune.unfinished").exists());
    let wrong = suncask(place.path(), &["tune", "none.toml"]);
    assert!(wrong.status.code() == Some(1) && text(&wrong.stderr).contains("cannot read the job file"));
}
