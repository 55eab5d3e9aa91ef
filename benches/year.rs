//! Cost of one year of a reference case: A1 with one tank, A2 with two, the warm-up of 14 days included.

#[path = "common/annual.rs"]
mod annual;
mod common;

use std::cell::LazyCell;
use std::hint::black_box;

use suncask::job::Job;
use suncask::record::{Period, Tally};
use suncask::weather::WeatherYear;
use suncask::year::{Setting, drive};
use thermal_network::Plant;

use common::Cost;

/// A year, ready to run.
fn ready(job: Job, weather: &WeatherYear) -> impl FnMut() -> Tally {
    let setting = Setting::new(&job, weather);
    let plant = Plant::assemble(&job.plant).expect("a plant");
    move || {
        let mut tally = Tally::new(Period::Month);
        black_box(drive(&setting, &plant, job.warm_up_days, job.start_c, &mut tally));
        tally
    }
}

fn main() {
    let weather = LazyCell::new(annual::weather);
    let cases = [("A1", annual::one_tank as fn() -> Job), ("A2", || annual::job("A2-two-tank-wrap.json"))];
    let mut costs = Vec::new();
    for (name, job) in cases {
        let weather = &weather;
        costs.push(Cost::new(format!("year of case {name}"), move || {
            let mut year = ready(job(), weather);
            move || drop(black_box(year()))
        }));
        costs.push(Cost::new(format!("sun, plane, draws, rooms of case {name}"), move || {
            let (job, weather) = (job(), LazyCell::force(weather));
            move || drop(black_box(Setting::new(&job, weather)))
        }));
    }
    common::main(&costs);
    if common::words().is_empty() {
        for (name, job) in cases {
            let (tank_steps, loop_steps) = ready(job(), &weather)().steps();
            println!("case {name}: {tank_steps} tank steps, {loop_steps} loop substeps in the year");
        }
    }
}
