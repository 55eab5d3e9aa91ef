//! How cost grows: case A1 with more slices, longer tank steps, rarer decisions and more days; studies of the starter with more years
//! and on more threads.
//!
//! `cargo bench --bench growth` prints a table; `-- benches/cost.svg` draws it too, beside it as PNG in the folder for
//! temporary files. Times are medians of CPU time: let the machine be calm.

#[path = "common/annual.rs"]
mod annual;
#[path = "common/clock.rs"]
mod clock;
#[path = "growth/picture.rs"]
mod picture;
#[path = "common/starter_study.rs"]
mod starter_study;

use std::hint::black_box;
use std::time::Instant;

use suncask::job::Job;
use suncask::record::{Period, Tally};
use suncask::weather::{self, WeatherYear};
use suncask::year::{Setting, Shared, drive, drive_days};
use thermal_network::Plant;

use clock::cpu_ms;
use picture::Growth;
use starter_study::{candidates, study};

const RUNS: usize = 7;

/// Median of the CPU time that `run` takes, in ms.
fn median_ms(mut run: impl FnMut()) -> f64 {
    run();
    let mut spent_ms: Vec<f64> = (0..RUNS)
        .map(|_| {
            let start_ms = cpu_ms();
            run();
            cpu_ms() - start_ms
        })
        .collect();
    spent_ms.sort_by(f64::total_cmp);
    spent_ms[RUNS / 2]
}

/// The year of a job in ms.
fn year_ms(job: &Job, setting: &Setting) -> f64 {
    let plant = Plant::assemble(&job.plant).expect("a plant");
    median_ms(|| {
        let mut tally = Tally::new(Period::Month);
        black_box(drive(setting, &plant, job.warm_up_days, job.start_c, &mut tally));
        black_box(tally);
    })
}

/// A year of case A1 with something turned to each value.
fn turned(weather: &WeatherYear, values: &[u32], turn: impl Fn(&mut Job, u32)) -> Vec<(f64, f64)> {
    let job = annual::one_tank();
    let setting = Setting::new(&job, weather);
    let point = |&value: &u32| {
        let mut job = job.clone();
        turn(&mut job, value);
        (f64::from(value), year_ms(&job, &setting))
    };
    values.iter().map(point).collect()
}

fn days(weather: &WeatherYear) -> Vec<(f64, f64)> {
    let job = annual::one_tank();
    let setting = Setting::new(&job, weather);
    let plant = Plant::assemble(&job.plant).expect("a plant");
    let point = |days: u32| {
        let ms = median_ms(|| {
            let mut tally = Tally::new(Period::Month);
            black_box(drive_days(&setting, &plant, 1..days + 1, job.start_c, &mut tally));
        });
        (f64::from(days), ms)
    };
    [5, 15, 45, 120, 365].map(point).to_vec()
}

/// CPU time in s of studies of so many years, on one thread.
fn years(shared: &Shared<'_>) -> Vec<(f64, f64)> {
    let all = candidates(300);
    let cpu_s = |run: &dyn Fn()| {
        let start_ms = cpu_ms();
        run();
        (cpu_ms() - start_ms) / 1e3
    };
    [1, 3, 10, 30, 100, 300].map(|count| (count as f64, cpu_s(&|| study(&all[..count], shared, 1)))).to_vec()
}

/// Years a second on so many threads.
fn threads(shared: &Shared<'_>) -> Vec<(f64, f64)> {
    let all = candidates(200);
    [1, 2, 4]
        .map(|threads| (threads as f64, all.len() as f64 / wall_s(|| study(&all, shared, threads))))
        .to_vec()
}

fn wall_s(run: impl FnOnce()) -> f64 {
    let clock = Instant::now();
    run();
    clock.elapsed().as_secs_f64()
}

fn main() {
    let weather = &annual::weather();
    let demo = weather::demo();
    let shared = Shared::new(&demo);
    // What all years of a study share is laid out here.
    study(&candidates(1), &shared, 1);
    let growths = [
        Growth {
            what: "slices of the tank",
            cost: "ms a year",
            grows: 1.0,
            points: turned(weather, &[1, 2, 5, 10, 20, 50, 100, 200], |job, slices| {
                job.plant.tanks[0].slices = slices as usize;
            }),
        },
        Growth {
            what: "longest tank step, s",
            cost: "ms a year",
            grows: -1.0,
            points: turned(weather, &[30, 60, 120, 240, 450, 900], |job, step_s| {
                job.plant.numerics.tank_step_s = step_s;
            }),
        },
        Growth {
            what: "time between decisions, s",
            cost: "ms a year",
            grows: -1.0,
            points: turned(weather, &[1, 3, 10, 30, 60, 120, 300], |job, interval_s| {
                let solar = job.plant.solar_loop.as_mut().expect("a loop");
                solar.controller.interval_s = interval_s;
            }),
        },
        Growth { what: "days of a run", cost: "ms", grows: 1.0, points: days(weather) },
        Growth { what: "years of a study", cost: "s on one thread", grows: 1.0, points: years(&shared) },
        Growth { what: "threads", cost: "years a second", grows: 1.0, points: threads(&shared) },
    ];
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    print!("{}", picture::table(&growths));
    println!("\n{cores} cores; the first four of case A1; all by CPU time but the last.");
    let svg = picture::drawn(&growths, cores);
    // cargo adds a word of its own.
    if let Some(path) = std::env::args().skip(1).find(|word| word != "--bench") {
        std::fs::write(&path, &svg).expect("written");
        let png = std::env::temp_dir().join("cost.png");
        std::fs::write(&png, suncask::picture::png(&svg, 2.0)).expect("written");
        println!("{path} and {}", png.display());
    }
}
