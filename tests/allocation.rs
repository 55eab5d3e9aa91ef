//! The year loop allocates nothing once it has begun.

use suncask::job::Job;
use suncask::job::file::read_text;
use suncask::record::{Period, Tally};
use suncask::weather::WeatherYear;
use suncask::year::{Recorder, Setting, Span, drive};
use thermal_network::Plant;

use crate::layouts::{EVERY_PART, two_tanks};
use crate::loop_kinds::STARTERS;
use crate::reference::{case, case_of, weather};

/// Hears everything and keeps nothing.
struct Deaf;

impl Recorder for Deaf {
    fn span(&mut self, _span: &Span<'_>) {}

    fn wants_steps(&self, _day: u32) -> bool {
        true
    }
}

/// State and working memory of a plant: some vectors, however long the year.
const MOST_TO_BEGIN: u64 = 60;

/// Asserts that a longer warm-up allocates no more.
fn allocates_nothing(name: &str, job: &Job, weather: &WeatherYear) {
    let setting = Setting::new(job, weather);
    let plant = Plant::assemble(&job.plant).expect("plant");
    let counted = |warm_up_days: u32| {
        let mut recorder = (Tally::new(Period::Month), Deaf);
        allocation_counter::measure(|| {
            drive(&setting, &plant, warm_up_days, job.start_c, &mut recorder);
        })
        .count_total
    };
    let (year, longer) = (counted(0), counted(200));
    assert!(year > 0 && year < MOST_TO_BEGIN, "{name}: {year}");
    assert_eq!(year, longer, "{name}: 200 days more allocate");
}

#[test]
fn a_year_allocates_nothing_on_its_way() {
    let weather = suncask::weather::read(&weather()).expect("weather");
    for name in ["A1-one-tank-wrap", "A2-two-tank-wrap", "A3-external-plate", "A4-open-loop"] {
        let mut job = case::job(&case_of(name)).expect("job");
        if job.plant.tanks.len() == 2 {
            let every_part = format!("{}{}", two_tanks(), EVERY_PART);
            let layout = read_text("job.toml", &every_part).expect("a job");
            job.plant.plumbing = layout.plant.plumbing;
            job.plumbing_hours = layout.plumbing_hours;
        }
        allocates_nothing(name, &job, &weather);
    }
}

#[test]
fn nor_does_a_loop_of_another_kind() {
    let weather = suncask::weather::demo();
    let leaks = "[loop]\ncheck_valve = \"leaks\"\n[pump]\nspeed = \"proportional\"\n[controller.heat_dump]\n";
    let tube = format!("{leaks}[tank.coil]\ntube_length = \"100 ft\"\n");
    for text in STARTERS.into_iter().chain([leaks, &tube]) {
        let job = read_text("job.toml", text).expect("a sound job");
        allocates_nothing(&job.name, &job, &weather);
    }
}
