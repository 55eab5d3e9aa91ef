//! The commands that the guides print are the commands that work.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::Stdio;

use super::{command, printed, samples};

/// The commands of `suncask` in the shell blocks of a guide, each as its words.
fn commands(guide: &str) -> Vec<Vec<String>> {
    let text = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(guide)).expect("the guide");
    let blocks = text.split("```sh\n").skip(1).filter_map(|rest| rest.split("```").next());
    let joined: String = blocks.collect::<String>().replace("\\\n", " ");
    joined.lines().map(words).filter(|words| words.first().is_some_and(|word| word == "suncask")).collect()
}

/// Words of a shell line with double quotes and a comment at its end.
fn words(line: &str) -> Vec<String> {
    let mut words = Vec::new();
    for (i, part) in line.split(" # ").next().unwrap_or("").split('"').enumerate() {
        match i % 2 {
            0 => words.extend(part.split_whitespace().map(str::to_owned)),
            _ => words.push(part.to_owned()),
        }
    }
    words
}

/// A command that goes on until it is ended says where its page is.
fn served(folder: &Path, arguments: &[&str]) {
    let mut process = command(folder, arguments).stdout(Stdio::piped()).spawn().expect("the command");
    let told = BufReader::new(process.stdout.as_mut().expect("its output")).lines().map_while(Result::ok);
    let found = { told }.any(|line| line.starts_with("http://127.0.0.1:"));
    process.kill().expect("its end");
    process.wait().expect("its end");
    assert!(found, "{arguments:?}");
}

/// Runs the commands of a guide one after another in a folder that holds the weather samples.
fn follow(guide: &str, folder: &Path) -> usize {
    fs::create_dir(folder.join("weather-samples")).expect("folder");
    for entry in fs::read_dir(samples()).expect("samples").flatten() {
        fs::copy(entry.path(), folder.join("weather-samples").join(entry.file_name())).expect("copy");
    }
    let commands = commands(guide);
    for command in &commands {
        let arguments: Vec<&str> = command.iter().skip(1).map(String::as_str).collect();
        match arguments.first() {
            Some(&"page") => served(folder, &arguments),
            _ => drop(printed(folder, &arguments)),
        }
    }
    commands.len()
}

#[test]
fn the_readme_can_be_followed() {
    let folder = tempfile::tempdir().expect("folder");
    assert!(follow("README.md", folder.path()) >= 8);
    assert!(folder.path().join("house-results/report.html").exists());
}

#[test]
fn the_weather_samples_come_out_byte_for_byte() {
    let folder = tempfile::tempdir().expect("folder");
    assert_eq!(follow("weather-samples/README.md", folder.path()), 3);
    for name in ["hot-and-dry.csv", "temperate.csv", "cold-and-cloudy.csv"] {
        let made = fs::read(folder.path().join("weather-samples").join(name)).expect("made");
        assert!(made == fs::read(samples().join(name)).expect("stored"), "{name}");
    }
}
