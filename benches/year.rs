//! Cost of one year of reference case A1: CPU time of each part, and a mode for counting instructions.
//!
//! `cargo bench --bench year` prints medians. `year --once` runs the year loop a single time after everything is laid out;
//! `year --none` stops before it: the difference of two callgrind counts is the loop's instructions (see DEVELOPERS.md).

#[allow(dead_code, reason = "the bench needs the job, not the rows")]
#[path = "../tests/reference/case.rs"]
mod case;

use std::hint::black_box;
use std::path::Path;

use rustix::time::{ClockId, clock_gettime};
use suncask::draws::clock::YEAR_S;
use suncask::record::{Period, Tally};
use suncask::weather;
use suncask::weather::sun_year::SunYear;
use suncask::year::{Setting, drive};
use thermal_network::Plant;

const REPEATS: usize = 41;

/// CPU time of this thread in ms.
fn cpu_ms() -> f64 {
    let spent = clock_gettime(ClockId::ThreadCPUTime);
    spent.tv_sec as f64 * 1e3 + spent.tv_nsec as f64 / 1e6
}

/// Prints the CPU time, and the least time by the clock on the wall, which does not tell less than the CPU was busy.
fn report(what: &str, mut run: impl FnMut()) {
    let mut least_wall_ms = f64::INFINITY;
    let mut spent: Vec<f64> = (0..REPEATS)
        .map(|_| {
            let (start, clock) = (cpu_ms(), std::time::Instant::now());
            run();
            least_wall_ms = least_wall_ms.min(clock.elapsed().as_secs_f64() * 1e3);
            cpu_ms() - start
        })
        .collect();
    spent.sort_by(f64::total_cmp);
    let (median, least) = (spent[REPEATS / 2], spent[0]);
    println!(
        "{what:34} CPU: median {median:6.1} ms, least {least:6.1} ms; wall: least {least_wall_ms:6.1} ms ({REPEATS} runs)"
    );
}

fn main() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let text =
        std::fs::read_to_string(root.join("tests/data/annual/A1-one-tank-wrap.json")).expect("case file");
    let (case, _) = case::read(&text).expect("case");
    let file = root.join("tests/data/weather/tmy3_723170_greensboro_nc.csv");
    let weather = weather::read(&file).expect("weather file");
    let job = case::job(&case).expect("job");
    let setting = Setting::new(&job, &weather);
    let plant = Plant::assemble(&job.plant).expect("plant");
    let year = || {
        let mut tally = Tally::new(Period::Month);
        black_box(drive(&setting, &plant, job.warm_up_days, job.start_c, &mut tally));
        tally
    };
    let mode = std::env::args().find(|argument| argument == "--once" || argument == "--none");
    match mode.as_deref() {
        Some("--once") => drop(black_box(year())),
        Some(_) => {}
        None => {
            report("weather file read and checked", || drop(black_box(weather::read(&file))));
            report("sun of a year", || drop(black_box(SunYear::new(&weather))));
            report("sun, plane, draws, rooms of a year", || drop(black_box(Setting::new(&job, &weather))));
            report("year of case A1 (14 + 365 days)", || drop(black_box(year())));
            let steps = year().steps();
            println!("tank steps {}, loop substeps {} in {} s of the year", steps.0, steps.1, YEAR_S);
        }
    }
}
