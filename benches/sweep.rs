//! Cost of a study: years of the one-tank starter a second and core, on one and two threads, as studies run them.
//!
//! `cargo bench --bench sweep` runs 1,000 years on each; `-- 120` as many as it says.

mod common;
#[path = "common/starter_study.rs"]
mod starter_study;

use std::cell::LazyCell;
use std::time::Instant;

use suncask::weather;
use suncask::year::Shared;

use common::{Cost, cpu_ms};
use starter_study::{candidates, study};

/// Years of a study unless the command line says otherwise.
const YEARS: usize = 1000;

fn main() {
    let weather = LazyCell::new(weather::demo);
    let one_more = Cost::new("year of the starter in a study", || {
        let (shared, two) = (Shared::new(&weather), candidates(2));
        // What the candidates share is laid out here.
        study(&two[..1], &shared, 1);
        move || study(&two[1..], &shared, 1)
    });
    let years = match common::words().first().map(|word| word.parse()) {
        None => YEARS,
        Some(Ok(years)) => years,
        Some(Err(_)) => return common::main(&[one_more]),
    };
    let (shared, candidates) = (Shared::new(&weather), candidates(years));
    study(&candidates[..1], &shared, 1);
    for threads in [1, 2] {
        let (wall, cpu) = (Instant::now(), cpu_ms());
        study(&candidates, &shared, threads);
        let (wall_s, spent_s) = (wall.elapsed().as_secs_f64(), (cpu_ms() - cpu) / 1e3);
        let [rate, core_rate] = [wall_s, spent_s].map(|seconds| years as f64 / seconds);
        println!(
            "{years} years on {threads} threads in {wall_s:.1} s: {rate:.1} a second; {core_rate:.1} a second of CPU"
        );
    }
}
