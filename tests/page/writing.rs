//! What the page writes: one folder, plain names, nothing of anybody else's.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use serde_json::{Value, json};

use super::{Page, folder};

fn keep(file: &str, moved: &Value) -> Value {
    json!({ "file": file, "variant": { "other_layout": false, "moved": moved }, "units": "us" })
}

/// Every file under a folder with its content.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        if path.is_dir() {
            found.extend(files(&path).into_iter().map(|(below, text)| (format!("{name}/{below}"), text)));
        } else {
            found.insert(name, fs::read(&path).expect("a file"));
        }
    }
    found
}

#[test]
fn nothing_is_written_outside_the_folder_or_over_what_is_not_its_own() {
    let outer = tempfile::tempdir().expect("a folder");
    let inner = outer.path().join("jobs");
    fs::create_dir(&inner).expect("a folder");
    fs::copy(folder("one-tank").path().join("house.toml"), inner.join("house.toml")).expect("copied");
    fs::write(inner.join("letter.toml"), "dear customer").expect("written");
    fs::create_dir(inner.join("letters-results")).expect("a folder");
    fs::write(inner.join("letters-results/note.txt"), "call back").expect("written");
    fs::write(outer.path().join("other.toml"), "name = \"theirs\"").expect("written");
    let page = Page::of(outer.path(), &["jobs/house.toml"]);
    let before = files(outer.path());
    for name in [
        "../other.toml",
        "..\\other.toml",
        "/tmp/suncask-other.toml",
        "jobs/other.toml",
        "..",
        ".",
        "",
        ".toml",
        ".x.toml",
        "other",
        "other.toml/",
        "other.toml\0",
        "C:\\other.toml",
        "a\nb.toml",
        "%2e%2e%2fother.toml",
        "letter.toml",
        &format!("{}.toml", "long".repeat(40)),
    ] {
        for path in ["/save", "/report"] {
            if (path, name) == ("/report", "letter.toml") {
                continue;
            }
            let (code, told) = page.ask(path, &keep(name, &json!({})));
            assert!(code == 200 && told["refused"].is_string(), "{path} {name:?}: {told}");
        }
    }
    let (_, told) = page.ask("/report", &keep("letters.toml", &json!({})));
    assert!(told["refused"].as_str().is_some_and(|why| why.contains("is not replaced")), "{told}");
    // What cannot be run is not kept either.
    for path in ["/save", "/report"] {
        let (_, told) = page.ask(path, &keep("fault.toml", &json!({ "off": "40 F" })));
        assert!(told["refused"].as_str().is_some_and(|why| why.contains("cannot be run")), "{told}");
    }
    assert_eq!(files(outer.path()), before);
}

#[test]
fn a_saved_job_keeps_its_remarks_and_an_edited_file_is_left_alone() {
    let folder = folder("one-tank");
    let path = folder.path().join("house.toml");
    let own = fs::read_to_string(&path).expect("the job");
    let page = Page::of(folder.path(), &["house.toml"]);
    let save = |file: &str, moved: &Value| page.ask("/save", &keep(file, moved)).1;
    // Over the file it was opened with, again and again.
    for tilt in ["40 deg", "41 deg"] {
        assert_eq!(save("house.toml", &json!({ "tilt": tilt }))["name"], "house.toml");
        let saved = fs::read_to_string(&path).expect("the job");
        let changed: Vec<&str> =
            saved.lines().zip(own.lines()).filter(|(new, old)| new != old).map(|(new, _)| new).collect();
        assert_eq!(saved.lines().count(), own.lines().count());
        assert!(changed.len() == 1 && changed[0].starts_with(&format!("tilt = \"{tilt}\"")), "{changed:?}");
        assert!(changed[0].contains("# rise in 12"), "{changed:?}");
    }
    // Somebody edits it meanwhile.
    fs::write(&path, format!("{own}# mine\n")).expect("written");
    let told = save("house.toml", &json!({}));
    assert!(told["refused"].as_str().is_some_and(|why| why.contains("has changed")), "{told}");
    assert!(fs::read_to_string(&path).expect("the job").ends_with("# mine\n"));
    assert_eq!(save("new.toml", &json!({}))["name"], "new.toml");
    assert_eq!(fs::read_to_string(folder.path().join("new.toml")).expect("the job"), own);
    let names: Vec<String> = files(folder.path()).into_keys().collect();
    assert_eq!(names, ["house.toml", "new.toml"], "nothing of the time of writing is left");
}

#[test]
fn the_demo_is_saved_into_the_current_folder() {
    let folder = tempfile::tempdir().expect("a folder");
    let page = Page::of(folder.path(), &[]);
    let (_, house) = page.ask("/house", &json!({}));
    assert_eq!(house["file"], Value::Null);
    assert_eq!(house["layouts"].as_array().map(Vec::len), Some(2));
    assert_eq!(page.ask("/save", &keep("mine.toml", &json!({}))).1["name"], "mine.toml");
    let saved = fs::read_to_string(folder.path().join("mine.toml")).expect("the job");
    assert_eq!(saved, suncask::job::starter());
}
