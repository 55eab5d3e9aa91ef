//! Studies of the one-tank starter.

use std::hint::black_box;

use suncask::job::file::Draft;
use suncask::job::starter;
use suncask::study::{Candidate, Journal, run};
use suncask::year::Shared;

/// Off-differences tried with each on-difference.
const OFFS: usize = 40;

/// The starter with its on- and off-difference turned: each of `count` another plant.
pub(crate) fn candidates(count: usize) -> Vec<Candidate> {
    let draft = Draft::of_text("starter", starter()).expect("the starter");
    let candidate = |number: usize| {
        let on = format!("{} F", 10.0 + 0.5 * (number / OFFS) as f64);
        let off = format!("{} F", 2.0 + 0.15 * (number % OFFS) as f64);
        let turned = draft.clone().with("controller.on_difference", on.clone());
        let job = turned.with("controller.off_difference", off.clone()).job().expect("a sound job");
        let settings = vec![("on".into(), on.clone()), ("off".into(), off.clone())];
        Candidate { name: format!("{on} / {off}"), settings, job }
    };
    (0..count).map(candidate).collect()
}

/// Runs them on so many threads.
pub(crate) fn study(candidates: &[Candidate], shared: &Shared<'_>, threads: usize) {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
    pool.install(|| black_box(run(candidates, shared, &Journal::none(), &()).expect("a study")));
}
