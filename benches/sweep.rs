//! Cost of a study: years of the one-tank starter a second and core, on one and two threads, as studies run them.
//!
//! `cargo bench --bench sweep` prints rates; `sweep --once` and `--none` are for counting the instructions of one year more, as
//! with `year` (see DEVELOPERS.md).

use std::hint::black_box;
use std::time::Instant;

use rustix::time::{ClockId, clock_gettime};
use suncask::job::file::Draft;
use suncask::job::starter;
use suncask::study::{Candidate, Journal, run};
use suncask::weather;
use suncask::year::Shared;

/// CPU time of all threads in s.
fn cpu_s() -> f64 {
    let spent = clock_gettime(ClockId::ProcessCPUTime);
    spent.tv_sec as f64 + spent.tv_nsec as f64 * 1e-9
}

/// The starter with its on- and off-difference turned.
fn candidates() -> Vec<Candidate> {
    let draft = Draft::of_text("starter", starter()).expect("the starter");
    let mut list = Vec::new();
    for on in 0..12 {
        for off in 0..10 {
            let (on, off) = (format!("{} F", 10 + on), format!("{} F", 0.5 * f64::from(off) + 2.0));
            let turned = draft.clone().with("controller.on_difference", on.clone());
            let job = turned.with("controller.off_difference", off.clone()).job().expect("a sound job");
            let settings = vec![("on".into(), on.clone()), ("off".into(), off.clone())];
            list.push(Candidate { name: format!("{on} / {off}"), settings, job });
        }
    }
    list
}

fn main() {
    let weather = weather::demo();
    let shared = Shared::new(&weather);
    let candidates = candidates();
    let study = |some: &[Candidate]| {
        black_box(run(some, &shared, &Journal::none(), &()).expect("a study"));
    };
    let pool = |threads| rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
    // What the candidates share is laid out here.
    pool(1).install(|| study(&candidates[..1]));
    match std::env::args().find(|argument| argument == "--once" || argument == "--none").as_deref() {
        Some("--once") => pool(1).install(|| study(&candidates[1..2])),
        Some(_) => {}
        None => {
            for threads in [1, 2] {
                let (wall, cpu) = (Instant::now(), cpu_s());
                pool(threads).install(|| study(&candidates));
                let (wall_s, spent_s) = (wall.elapsed().as_secs_f64(), cpu_s() - cpu);
                let years = candidates.len() as f64;
                println!(
                    "{threads} threads: {:5.1} years a second; {:5.1} a second of CPU",
                    years / wall_s,
                    years / spent_s
                );
            }
        }
    }
}
