//! Jobs drawn from all that a job file can say, run for two days: each is refused with its reasons, or it runs, and then the
//! laws of `watch` hold at every step.
//!
//! `PROPTEST_CASES` draws another number of jobs.

mod circuit;
mod found;
mod house;
mod tanks;
mod watch;
mod words;

use std::cell::Cell;
use std::sync::OnceLock;

use proptest::prelude::*;
use proptest::test_runner::{RngSeed, TestCaseResult, TestRunner};
use suncask::draws::PermissionYear;
use suncask::job::Job;
use suncask::job::file::read;
use suncask::problem::{Problem, Severity};
use suncask::record::{Column, Period, Tally};
use suncask::weather::WeatherYear;
use suncask::weather::sun_year::SunYear;
use suncask::year::{Setting, drive_days};
use thermal_network::Plant;
use thermal_network::spec::PlantSpec;

use watch::Watch;
use words::{Text, all, amount, just, may};

/// Days that a drawn job runs.
const DAYS: u32 = 2;

/// Largest residual of the balance, relative to all inputs.
const LARGEST_RESIDUAL: f64 = 1e-9;

/// Most of the drawn jobs that may be refused: more would say that the drawing does not know the job file.
const MOST_REFUSED: f64 = 0.15;

/// A job as drawn.
#[derive(Clone, Debug)]
struct Drawn {
    text: String,
    /// A file of draws beside it.
    log: Option<String>,
    climate: usize,
    first_day: u32,
}

/// The invented climates with their sun.
fn climates() -> &'static [(WeatherYear, SunYear)] {
    static CLIMATES: OnceLock<Vec<(WeatherYear, SunYear)>> = OnceLock::new();
    CLIMATES.get_or_init(|| {
        let texts = [
            include_str!("../weather-samples/temperate.csv"),
            include_str!("../weather-samples/hot-and-dry.csv"),
            include_str!("../weather-samples/cold-and-cloudy.csv"),
        ];
        let read = |text| suncask::weather::read_text("sample", text).expect("a sample");
        texts
            .map(read)
            .map(|weather| (SunYear::new(&weather), weather))
            .map(|(sun, weather)| (weather, sun))
            .into()
    })
}

/// Heights in percent, in order: bottom of the coil, sensor, entry of the sun's heat, element, thermostat.
fn heights() -> impl Strategy<Value = [f64; 5]> {
    let height = || prop_oneof![8 => 0.0..100.0, 1 => Just(0.0), 1 => Just(100.0)];
    [height(), height(), height(), height(), height()].prop_map(|mut heights| {
        heights.sort_by(f64::total_cmp);
        let mut tenths = heights.map(|height| (height * 10.0).round() / 10.0);
        // A coil has some height.
        tenths[0] = tenths[0].min(95.0);
        for i in 1..tenths.len() {
            tenths[i] = tenths[i].max(tenths[0] + 5.0);
        }
        tenths
    })
}

/// Jobs around a loop.
fn jobs(circuit: Text, a5: Text, batch: bool) -> impl Strategy<Value = Drawn> {
    let parts = all(vec![
        just("name = \"Drawn\"\n"),
        house::house(),
        house::collectors(a5),
        tanks::tank(batch),
        circuit,
        tanks::backup(),
        tanks::second_tank(),
        tanks::recirculation(),
        house::cold_water(),
        tanks::heater_without_sun(),
    ]);
    let logged =
        (may(just("repeat = \"yes\"\n")), house::year(), house::log()).prop_map(|(repeat, year, log)| {
            (format!("[hot_water]\nfile = \"draws.csv\"\n{repeat}{year}"), Some(log))
        });
    let water = prop_oneof![7 => house::hot_water().prop_map(|text| (text, None)), 1 => logged];
    let returns = proptest::sample::select(
        &["", "returns_to = \"solar tank\"\n", "returns_to = \"backup tank\"\n"][..],
    );
    (parts, water, heights(), returns, 0..3_usize, 1..=365_u32).prop_map(
        |(parts, (water, log), heights, returns, climate, first_day)| {
            let mut text = parts + &water;
            if text.contains("solar module") {
                let (duties, end) = (text.find("@duties@"), text.find("@end@"));
                text.replace_range(duties.expect("a mark")..end.expect("a mark"), "");
            }
            text = text.replace("@duties@", "").replace("@end@", "");
            let two = text.contains("[backup_tank]");
            text = text.replace("@returns@", if two { returns } else { "" });
            for (mark, height) in
                ["@bottom@", "@sensor@", "@entry@", "@element@", "@thermostat@"].into_iter().zip(heights)
            {
                text = text.replace(mark, &height.to_string());
            }
            Drawn { text, log, climate, first_day }
        },
    )
}

/// Reads a drawn job.
fn read_drawn(drawn: &Drawn) -> Result<Job, Vec<Problem>> {
    match &drawn.log {
        None => suncask::job::file::read_text("drawn.toml", &drawn.text),
        Some(log) => {
            let folder = tempfile::tempdir().expect("a folder");
            std::fs::write(folder.path().join("draws.csv"), log).expect("a log");
            let job = folder.path().join("drawn.toml");
            std::fs::write(&job, &drawn.text).expect("a job");
            read(&job).map_err(|faults| faults.problems)
        }
    }
}

/// True if the job ran, false if it was refused with its reasons.
fn run_drawn(drawn: &Drawn) -> Result<bool, TestCaseError> {
    let job = match read_drawn(drawn) {
        Ok(job) => job,
        Err(problems) => {
            let errors: Vec<&Problem> =
                problems.iter().filter(|problem| problem.severity == Severity::Error).collect();
            prop_assert!(!errors.is_empty(), "refused without a reason");
            for error in errors {
                prop_assert!(!error.message.is_empty() && error.place.is_some(), "{error:?}");
            }
            return Ok(false);
        }
    };
    let (weather, sun) = &climates()[drawn.climate];
    let mut setting = Setting::under(sun, &job, weather);
    run_plant(drawn, &job, &job.plant, &setting)?;
    if let Some(spec) = job.plant_without_sun() {
        setting.permissions = PermissionYear::build(&[], &job.calendar);
        run_plant(drawn, &job, &spec, &setting)?;
    }
    Ok(true)
}

fn run_plant(drawn: &Drawn, job: &Job, spec: &PlantSpec, setting: &Setting) -> TestCaseResult {
    let plant = Plant::assemble(spec);
    prop_assert!(plant.is_ok(), "read, but cannot be built: {:?}", plant.err());
    let plant = plant.expect("just looked at");
    let mut recorder = (Watch::new(spec, job.start_c), Tally::new(Period::Month));
    let days = drawn.first_day..drawn.first_day + DAYS;
    drive_days(setting, &plant, days, job.start_c, &mut recorder);
    let (watch, tally) = recorder;
    prop_assert!(watch.fault.is_none(), "{}", watch.fault.unwrap_or_default());
    prop_assert_eq!(watch.flows.duration_s, f64::from(DAYS * 86_400));
    let months = tally.accounts(1.0, 0.0);
    let sum = |column: Column| months.iter().map(|month| month[column]).sum::<f64>();
    let residual = sum(Column::BalanceResidual) / tally.inputs_j().max(1.0);
    prop_assert!(residual <= LARGEST_RESIDUAL, "residual {residual} of {} J", tally.inputs_j());
    Ok(())
}

/// Dice of `.ci/run`.
const USUAL_DICE: u64 = 20_260_101;

/// Draws so many jobs and runs them.
fn all_run(cases: u32, jobs: impl Strategy<Value = Drawn>) {
    let by_hand = std::env::var("PROPTEST_CASES").ok().and_then(|cases| cases.parse().ok());
    let usual = ProptestConfig::default();
    let config = ProptestConfig {
        cases: by_hand.unwrap_or(cases),
        failure_persistence: None,
        // The same jobs each time, as in `.ci/run`; a number of cases by hand draws new ones.
        rng_seed: match (by_hand, usual.rng_seed) {
            (None, RngSeed::Random) => RngSeed::Fixed(USUAL_DICE),
            (_, seed) => seed,
        },
        ..usual
    };
    let (mut drawn, mut ran) = (Cell::new(0.0), Cell::new(0.0));
    let outcome = TestRunner::new(config).run(&jobs, |job| {
        let runs = run_drawn(&job)?;
        drawn.set(drawn.get() + 1.0);
        ran.set(ran.get() + f64::from(u8::from(runs)));
        Ok(())
    });
    if let Err(proptest::test_runner::TestError::Fail(reason, job)) = &outcome {
        panic!(
            "{reason}\nclimate {} day {}\n{}\n{}",
            job.climate,
            job.first_day,
            job.text,
            job.log.as_deref().unwrap_or("")
        );
    }
    outcome.expect("no job was left out");
    let refused = 1.0 - *ran.get_mut() / *drawn.get_mut();
    println!("{} jobs drawn, {:.1} % refused", drawn.get_mut(), 100.0 * refused);
    assert!(refused <= MOST_REFUSED, "{:.1} % of the jobs are refused", 100.0 * refused);
}

/// Shows so many drawn jobs of each kind of loop that can be read.
pub(crate) fn each_drawn(cases: u32, mut then: impl FnMut(&Job, &str)) {
    let usual = amount(12.0, 12.0..20.0, 200.0, "kJ/m2K");
    let kinds = [
        jobs(circuit::pumped(), usual_a5(), false).boxed(),
        jobs(circuit::drainback(), usual, false).boxed(),
        jobs(circuit::thermosiphon(), usual_a5(), false).boxed(),
        jobs(circuit::batch(), usual_a5(), true).boxed(),
    ];
    let config = ProptestConfig { rng_seed: RngSeed::Fixed(USUAL_DICE), ..ProptestConfig::default() };
    let mut runner = TestRunner::new(config);
    for kind in &kinds {
        for _ in 0..cases {
            let drawn = kind.new_tree(&mut runner).expect("a job").current();
            if let Ok(job) = read_drawn(&drawn) {
                then(&job, &drawn.text);
            }
        }
    }
}

fn usual_a5() -> Text {
    amount(0.5, 4.0..20.0, 200.0, "kJ/m2K")
}

#[test]
fn pumped_loops_keep_the_laws() {
    all_run(1080, jobs(circuit::pumped(), usual_a5(), false));
}

#[test]
fn loops_that_drain_keep_the_laws() {
    all_run(470, jobs(circuit::drainback(), amount(12.0, 12.0..20.0, 200.0, "kJ/m2K"), false));
}

#[test]
fn loops_that_flow_by_themselves_keep_the_laws() {
    all_run(420, jobs(circuit::thermosiphon(), usual_a5(), false));
}

#[test]
fn tanks_behind_glass_keep_the_laws() {
    all_run(230, jobs(circuit::batch(), usual_a5(), true));
}
