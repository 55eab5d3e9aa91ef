//! `suncask size`.

use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::{command, printed, suncask, text};

#[test]
fn a_grid_from_the_command_line() {
    let folder = tempfile::tempdir().expect("a folder");
    let stock = "\n[stock]\ncollectors = [\"one 4x8 ft\", \"two 4x8 ft\"]\ncost_per_collector = \"$1,100\"\n\
        [[stock.tank]]\nvolume = \"80 gal\"\ncost = \"$1,600\"\n";
    let job = format!("{}{stock}", suncask::job::starter());
    std::fs::write(folder.path().join("house.toml"), job).expect("a job");
    let shown = printed(folder.path(), &["size", "house.toml"]);
    for words in
        ["Size that follows: ", "number 2 adds", "Collector area for 4 people", "no fixed cost is given"]
    {
        assert!(shown.contains(words), "{words}: {shown}");
    }
    let results = folder.path().join("house-size");
    let study = std::fs::read_to_string(results.join("study.json")).expect("findings");
    let study: serde_json::Value = serde_json::from_str(&study).expect("JSON");
    assert_eq!(
        (&study["complete"], &study["study"], &study["candidates"]),
        (&true.into(), &"size".into(), &2.into())
    );
    assert!(study["findings"]["grid"]["cells"][1]["payback_years"].as_f64().is_some_and(|years| years > 1.0));
    let csv = std::fs::read_to_string(results.join("study.csv")).expect("rows");
    assert!(csv.starts_with("name,collectors,tank,") && csv.lines().count() == 3, "{csv}");
    let page = std::fs::read_to_string(results.join("report.html")).expect("a page");
    assert!(page.contains("Estimate, not a guarantee") && page.contains("Size that follows"));
    assert!(results.join("pictures/grid.png").exists());
    // Whole, and again over its own older result.
    assert_eq!(printed(folder.path(), &["size", "house.toml"]), shown);
    assert!(!folder.path().join("house-size.unfinished").exists());
}

#[test]
fn no_grid_of_a_batch_collector() {
    let folder = tempfile::tempdir().expect("a folder");
    printed(folder.path(), &["new", "batch.toml", "--like", "batch"]);
    let failed = suncask(folder.path(), &["size", "batch.toml"]);
    assert_eq!(failed.status.code(), Some(1));
    assert!(text(&failed.stderr).contains("tank and collector in one"));
}

/// Plants whose year takes minutes answer at once too.
#[cfg(unix)]
#[test]
fn ctrl_c_leaves_a_folder_that_says_so() {
    let folder = tempfile::tempdir().expect("a folder");
    let starters = &suncask::job::STARTERS;
    let natural = starters.iter().find(|starter| starter.kind == "thermosiphon").expect("a starter");
    let job = natural.text.replace("[tank]\n", "[tank]\nslices = 200\n");
    std::fs::write(folder.path().join("house.toml"), job).expect("a job");
    for arguments in
        [&["size", "house.toml"][..], &["tune", "house.toml"], &["compare", "house.toml", "house.toml"]]
    {
        let results = folder.path().join(format!("house-{}", arguments[0]));
        let mut study = command(folder.path(), arguments);
        let study = study.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("the command");
        let begun = Instant::now();
        // It listens once it has opened its list of finished years.
        while !results.with_extension("unfinished").exists() {
            assert!(begun.elapsed() < Duration::from_secs(60), "{arguments:?}");
            std::thread::sleep(Duration::from_millis(20));
        }
        std::thread::sleep(Duration::from_millis(500));
        let begun = Instant::now();
        let told = Command::new("kill").args(["-INT", &study.id().to_string()]).status().expect("kill");
        assert!(told.success());
        let ended = study.wait_with_output().expect("its end");
        assert_eq!(ended.status.code(), Some(130), "{arguments:?}");
        assert!(begun.elapsed() < Duration::from_secs(60), "{arguments:?}: {:?}", begun.elapsed());
        let said = text(&ended.stderr);
        assert!(said.contains("interrupted: 0 of ") && said.contains("marked as incomplete"), "{said}");
        let study = std::fs::read_to_string(results.join("study.json")).expect("a folder");
        let study: serde_json::Value = serde_json::from_str(&study).expect("JSON");
        assert_eq!(study["complete"], false);
    }
}
