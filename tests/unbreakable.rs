//! Nothing breaks a result: kills at random moments, two runs at once, a full disk, any number of threads.

mod disk;
mod kills;
mod threads;
mod together;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// A house whose studies take a few years only. All figures are invented.
fn small_house() -> String {
    let studies = "[stock]\ncollectors = [\"one 4x8 ft\", \"two 4x8 ft\"]\n\
                   [[stock.tank]]\nvolume = \"80 gal\"\n[[stock.tank]]\nvolume = \"120 gal\"\n\
                   [tune]\non_differences = [\"12 F\", \"18 F\"]\noff_differences = [\"5 F\"]\n\
                   high_limits = [\"160 F\"]\nthermostats = [\"130 F\"]\n";
    format!("{}\n{studies}", suncask::job::starter())
}

/// What is done to the house, each with the folder its result goes to.
const COMMANDS: [(&[&str], &str); 4] = [
    (&["run", "house.toml", "--hourly"], "house-results"),
    (&["compare", "house.toml", "--layouts"], "house-compare"),
    (&["tune", "house.toml"], "house-tune"),
    (&["size", "house.toml"], "house-size"),
];

/// A folder with the house in it.
fn place() -> tempfile::TempDir {
    let place = tempfile::tempdir().expect("a folder");
    std::fs::write(place.path().join("house.toml"), small_house()).expect("a job");
    place
}

fn command(program: &Path, folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(program);
    command.args(arguments).current_dir(folder).stdin(Stdio::null());
    command.stdout(Stdio::null()).stderr(Stdio::piped());
    command
}

fn program() -> PathBuf {
    PathBuf::from(env!("CARGO_BIN_EXE_suncask"))
}

fn suncask(folder: &Path, arguments: &[&str]) -> Output {
    command(&program(), folder, arguments).output().expect("the command")
}

fn done(folder: &Path, arguments: &[&str]) {
    let output = suncask(folder, arguments);
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
}

type Files = BTreeMap<String, Vec<u8>>;

/// Every file below a folder; a date in a text reads the same on any day.
fn files(folder: &Path) -> Files {
    fn collect(root: &Path, folder: &Path, found: &mut Files) {
        for entry in std::fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                collect(root, &path, found);
            } else {
                let name = path.strip_prefix(root).expect("below").to_string_lossy().into_owned();
                found.insert(name, undated(std::fs::read(&path).expect("a file")));
            }
        }
    }
    let mut found = Files::new();
    collect(folder, folder, &mut found);
    found
}

/// Blots out dates like 2026-01-31.
fn undated(mut bytes: Vec<u8>) -> Vec<u8> {
    let pattern = b"dddd-dd-dd";
    let mut i = 0;
    while i + pattern.len() <= bytes.len() {
        let fits = pattern.iter().zip(&bytes[i..]).all(|(p, b)| match p {
            b'd' => b.is_ascii_digit(),
            dash => b == dash,
        });
        if fits {
            bytes[i..i + pattern.len()].copy_from_slice(pattern);
        }
        i += 1;
    }
    bytes
}

/// The names of files that differ.
fn differing(a: &Files, b: &Files) -> Vec<String> {
    a.keys().chain(b.keys()).filter(|name| a.get(*name) != b.get(*name)).cloned().collect()
}

/// What is left in a folder besides these names.
fn strays(folder: &Path, known: &[&str]) -> Vec<String> {
    let entries = std::fs::read_dir(folder).expect("a folder");
    let names = entries.map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned());
    names.filter(|name| !known.contains(&name.as_str())).collect()
}
