//! Studies: the same rows on any number of threads and after an interruption.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use suncask::job::file::{Draft, read_text};
use suncask::job::{STARTERS, starter};
use suncask::record::Column;
use suncask::study::{Candidate, Journal, Row, Watch, run};
use suncask::weather;
use suncask::year::{Shared, Stop};

/// The starter with tanks of some sizes.
fn tanks(volumes: &[&str]) -> Vec<Candidate> {
    let draft = Draft::of_text("job.toml", starter()).expect("the starter");
    volumes
        .iter()
        .map(|&volume| Candidate {
            name: format!("{volume} tank"),
            settings: vec![("tank.volume".into(), volume.into())],
            job: draft.clone().with("tank.volume", volume).job().expect("a sound tank"),
        })
        .collect()
}

/// Stops a study after some rows.
pub(super) struct StopAfter {
    left: AtomicUsize,
    stop: Stop,
}

impl StopAfter {
    pub(super) fn rows(rows: usize) -> Self {
        Self { left: AtomicUsize::new(rows), stop: Stop::default() }
    }
}

impl Watch for StopAfter {
    fn done(&self) {
        if self.left.fetch_sub(1, Ordering::Relaxed) == 1 {
            self.stop.tell();
        }
    }

    fn stop(&self) -> Stop {
        self.stop.clone()
    }
}

fn all(candidates: &[Candidate], threads: usize) -> Vec<Option<Row>> {
    let weather = weather::demo();
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
    let shared = Shared::new(&weather);
    let outcome = pool.install(|| run(candidates, &shared, &Journal::none(), &()));
    let outcome = outcome.expect("a study");
    assert!(outcome.complete());
    outcome.rows
}

#[test]
fn rows_do_not_depend_on_threads_or_interruptions() {
    let candidates = tanks(&["60 gal", "80 gal", "100 gal", "120 gal"]);
    let rows = all(&candidates, 1);
    assert_eq!(all(&candidates, 2), rows);
    let heat = |row: &Option<Row>| row.as_ref().expect("a row").annual[Column::HeatIntoTank];
    // A larger tank stays cooler and takes more from the sun.
    assert!(
        rows.windows(2).all(|pair| heat(&pair[0]) < heat(&pair[1])),
        "{:?}",
        rows.iter().map(heat).collect::<Vec<_>>()
    );

    let place = tempfile::tempdir().expect("a folder");
    let path = place.path().join("house-size.unfinished");
    let weather = weather::demo();
    let shared = Shared::new(&weather);
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().expect("threads");
    let journal = Journal::open(&path, &weather).expect("a journal");
    let watch = StopAfter::rows(2);
    let broken = pool.install(|| run(&candidates, &shared, &journal, &watch)).expect("a study");
    assert!(!broken.complete() && broken.rows.iter().flatten().count() == 2);
    drop(journal);
    // Killed in the middle of a line.
    let text = std::fs::read_to_string(&path).expect("lines");
    let cut = text.len() - 100;
    std::fs::write(&path, &text[..cut]).expect("written");
    let journal = Journal::open(&path, &weather).expect("a journal");
    assert_eq!(journal.held(), 1);
    let again = run(&candidates, &shared, &journal, &()).expect("a study");
    assert_eq!(again.rows, rows);
    // Another house is not mistaken for one of these.
    let other = tanks(&["50 gal"]);
    let row = run(&other, &shared, &journal, &()).expect("a study").rows.remove(0);
    assert!(heat(&row) < heat(&rows[0]));
    journal.close().expect("removed");
    assert!(!path.exists());
}

/// A year of minutes kept whoever had pressed Ctrl-C waiting.
#[test]
fn a_year_that_runs_when_its_study_is_stopped_has_no_row() {
    let natural = STARTERS.iter().find(|starter| starter.kind == "thermosiphon").expect("a starter");
    let slow = natural.text.replace("[tank]\n", "[tank]\nslices = 200\n");
    let job = read_text("job.toml", &slow).expect("a sound job");
    assert_eq!(job.plant.tanks[0].slices, 200);
    let mut candidates = tanks(&["80 gal"]);
    candidates.push(Candidate { name: "slow".into(), settings: Vec::new(), job });
    let weather = weather::demo();
    let place = tempfile::tempdir().expect("a folder");
    let path = place.path().join("house-size.unfinished");
    let journal = Journal::open(&path, &weather).expect("a journal");
    let shared = Shared::new(&weather);
    let pool = rayon::ThreadPoolBuilder::new().num_threads(2).build().expect("threads");
    let begun = Instant::now();
    let outcome = pool.install(|| run(&candidates, &shared, &journal, &StopAfter::rows(1)));
    assert!(begun.elapsed() < Duration::from_secs(60), "{:?}", begun.elapsed());
    let rows = outcome.expect("a study").rows;
    assert!(rows[0].is_some() && rows[1].is_none(), "{rows:?}");
    drop(journal);
    assert_eq!(Journal::open(&path, &weather).expect("a journal").held(), 1);
}

/// It was read until memory ran out.
#[cfg(unix)]
#[test]
fn a_journal_that_never_ends_is_refused() {
    let place = tempfile::tempdir().expect("a folder");
    let path = place.path().join("house-size.unfinished");
    std::os::unix::fs::symlink("/dev/zero", &path).expect("a link");
    let told = Journal::open(&path, &weather::demo()).expect_err("no file").to_string();
    assert_eq!(told, "it is a pipe or a device, not a file");
}
