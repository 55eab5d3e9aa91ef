//! Cost of reading what people hand over: each layout of weather, job files, logged draws, bills and hourly prices.

mod common;

use std::fmt::Write;
use std::fs;
use std::hint::black_box;
use std::path::Path;

use suncask::job::file::{read, read_text};
use suncask::job::{STARTERS, starter};
use suncask::weather;

use common::Cost;

/// Weather files in the repository, with what they are.
const WEATHER: [(&str, &str); 5] = [
    ("TMY3", "tests/data/weather/tmy3_723170_greensboro_nc.csv"),
    ("NSRDB of hours", "tests/data/weather/nsrdb_psm3_1999_60min_39.73_-105.18.csv"),
    ("NSRDB of half hours", "tests/data/weather/nsrdb_psm3_2017_30min_40.53_-108.54.csv"),
    ("PVGIS", "tests/data/weather/pvgis_tmy_45.000_8.000_2005_2023.csv"),
    ("plain", "weather-samples/hot-and-dry.csv"),
];

/// A year of draws as a meter would log them, ten a day; invented.
fn log() -> String {
    let mut log = "day,time,volume gal,duration,for\n".to_owned();
    for day in 1..=365 {
        for draw in 0..10 {
            writeln!(log, "{day},{}:{:02},{}.5,5 min,shower", 6 + draw, 6 * draw, 1 + draw)
                .expect("in memory");
        }
    }
    log
}

/// Prices of a year's hours; invented.
fn prices() -> String {
    let mut prices = "import $/kWh,export $/kWh,house kWh\n".to_owned();
    for hour in 0..8760 {
        writeln!(prices, "0.{:02},0.05,{}.25", 10 + hour % 24, hour % 3).expect("in memory");
    }
    prices
}

const BILLS: &str = "[bills]\nkwh = [900, 820, 760, 640, 580, 610, 700, 690, 600, 620, 720, 860]\n\
    other_use = [560, 500, 450, 350, 320, 380, 480, 470, 370, 350, 420, 530]\ncover = \"whole house\"\n";

fn main() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut costs = Vec::new();
    for (layout, path) in WEATHER {
        costs.push(Cost::new(format!("weather, {layout}"), move || {
            let bytes = fs::read(root.join(path)).expect("a file of the repository");
            move || drop(black_box(weather::read_bytes(path, &bytes).expect("a sound file")))
        }));
    }
    costs.push(Cost::new("job file, the starter", || || drop(black_box(read_text("starter", starter())))));
    costs.push(Cost::new("job files, all starters", || {
        || STARTERS.iter().for_each(|job| drop(black_box(read_text(job.kind, job.text))))
    }));
    costs.push(Cost::new("job file with bills", || {
        let text = format!("{}\n{BILLS}", starter());
        assert!(read_text("job", &text).expect("a sound job").bills.is_some());
        move || drop(black_box(read_text("job", &text)))
    }));
    let folder = tempfile::tempdir().expect("a folder");
    for (name, job, file, rows) in [
        ("job with 3,650 logged draws", "[hot_water]\nfile = \"draws.csv\"\n", "draws.csv", log()),
        ("job with 8,760 hourly prices", "[electricity]\nhourly = \"prices.csv\"\n", "prices.csv", prices()),
    ] {
        let path = folder.path().join(format!("{file}.toml"));
        fs::write(folder.path().join(file), rows).expect("written");
        fs::write(&path, job).expect("written");
        costs.push(Cost::new(name, move || {
            let path = path.clone();
            read(&path).unwrap_or_else(|faults| panic!("{faults}"));
            move || drop(black_box(read(&path)))
        }));
    }
    common::main(&costs);
}
