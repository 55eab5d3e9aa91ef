//! Tuning: its rows are years of the job alone, what it proposes is confirmed by brute force, and floors hold.

use std::convert::Infallible;

use suncask::job::file::{Draft, read_text};
use suncask::job::starter;
use suncask::picture::Units;
use suncask::record::Column;
use suncask::report::WeatherFacts;
use suncask::report::tune::Told;
use suncask::study::tune::{Dial, Done, Findings, Floor, Part, Study, Suspect};
use suncask::study::{Candidate, Journal, Row, run};
use suncask::weather;
use suncask::year::{self, RunOptions, Setting, Shared};

/// A study that came to its end.
struct Tuned {
    study: Study,
    rows: Vec<Row>,
    findings: Findings,
}

fn draft(text: &str) -> Draft {
    Draft::of_text("job.toml", text).expect("TOML")
}

fn list(items: &[&str]) -> toml::Value {
    toml::Value::Array(items.iter().map(|&item| item.into()).collect())
}

/// The starter with a small grid, and nothing that takes years beside it.
fn small(on: &[&str], off: &[&str]) -> Draft {
    draft(starter())
        .with("tune.on_differences", list(on))
        .with("tune.off_differences", list(off))
        // No element, no schedule: a flow-through heater takes its place.
        .without("backup")
        .with("backup.kind", "flow-through heater")
        .with("backup.fuel", "electric")
}

fn tuned(draft: &Draft) -> Tuned {
    let weather = weather::demo();
    let shared = Shared::new(&weather);
    let mut study = Study::new(draft, false).expect("a sound job");
    let years = |candidates: &[Candidate]| {
        let outcome = run(candidates, &shared, &Journal::none(), &()).expect("years");
        Ok::<Vec<Option<Row>>, Infallible>(outcome.rows)
    };
    let Ok(Done { rows, findings }) = study.run(years);
    let rows: Vec<Row> = rows.into_iter().flatten().collect();
    assert_eq!(rows.len(), study.trials.len());
    Tuned { study, rows, findings: findings.expect("a whole study") }
}

impl Tuned {
    fn told<T>(&self, tell: impl FnOnce(&Told<'_>) -> T) -> T {
        let weather = weather::demo();
        tell(&Told {
            study: &self.study,
            rows: &self.rows,
            findings: &self.findings,
            units: Units::Us,
            currency: self.study.job().money.as_ref().map(|money| money.currency),
            weather: &WeatherFacts::from(&weather),
            version: "0",
            date: "2026-01-01",
        })
    }

    fn sentence(&self) -> String {
        self.told(|told| told.after().remove(0))
    }

    fn pair(&self, trial: usize) -> Option<[f64; 2]> {
        let tune = &self.study.job().tune;
        match self.study.trials[trial].part {
            Part::Pair { on, off } => Some([tune.on_differences[on].si, tune.off_differences[off].si]),
            _ => None,
        }
    }

    fn broken(&self, trial: usize) -> Option<Floor> {
        self.findings.broken(&self.study, &self.rows, trial)
    }
}

#[test]
fn rows_are_years_of_the_job_alone() {
    let base = small(&["12 F", "20 F"], &["4 F", "8 F"]);
    let done = tuned(&base);
    let weather = weather::demo();
    let mut seen = 0;
    for (on, off) in [("12 F", "4 F"), ("12 F", "8 F"), ("20 F", "4 F"), ("20 F", "8 F")] {
        let name = format!("on {on}, off {off}");
        let trial = done.rows.iter().position(|row| row.name == name).expect("a pair");
        let text = base.clone().with("controller.on_difference", on).with("controller.off_difference", off);
        let job = text.job().expect("sound");
        let year = year::run(&job, &Setting::new(&job, &weather), &RunOptions::default()).expect("a year");
        assert_eq!(year.annual, done.rows[trial].annual, "{name}");
        seen += 1;
    }
    assert_eq!(done.study.trials.iter().filter(|t| matches!(t.part, Part::Pair { .. })).count(), seen);
    // The job itself and the pairs tried with a wrong sensor, high and low.
    let misread: Vec<_> =
        done.study.trials.iter().filter(|t| matches!(t.part, Part::Misread { .. })).collect();
    assert!(misread.len() >= 4 && misread.len().is_multiple_of(2), "{}", misread.len());
    let offset_k = |trial: &suncask::study::tune::Trial| {
        trial.candidate.job.plant.solar_loop.as_ref().expect("a loop").controller.collector_sensor.offset_k
    };
    // 3 F either way.
    assert!(
        (offset_k(misread[0]) - 3.0 / 1.8).abs() < 1e-12 && (offset_k(misread[1]) + 3.0 / 1.8).abs() < 1e-12
    );
    let pages = done.told(|told| {
        let pictures = told.pictures();
        assert!(pictures.iter().map(|(name, _)| *name).eq(["map", "maps"]), "no element, no dial");
        told.page(&pictures)
    });
    assert!(pages.contains("Estimate, not a guarantee") && pages.contains("starts/day"));
}

/// The flow of this job is low and its coil small, so that the differences move something.
fn touchy(on: &[&str], off: &[&str]) -> Draft {
    small(on, off).with("pump.flow", "0.6 gal/min").with("tune.sensor_error", "0 F")
}

#[test]
fn the_best_of_a_coarse_grid_is_confirmed_on_a_finer_one() {
    let coarse = tuned(&touchy(&["8 F", "24 F", "40 F"], &["2 F", "7 F"]));
    let pairs = coarse.findings.pairs.as_ref().expect("pairs");
    let best = coarse.pair(pairs.best.trial).expect("a pair");
    let fine = tuned(&touchy(
        &["8 F", "12 F", "16 F", "20 F", "24 F", "32 F", "40 F"],
        &["2 F", "3 F", "5 F", "7 F"],
    ));
    let fine_pairs = fine.findings.pairs.as_ref().expect("pairs");
    let finest = fine.pair(fine_pairs.best.trial).expect("a pair");
    // Years of the same pair are the same in both, and what the finer grid adds does not matter.
    let worth = coarse.findings.worth.at(pairs.best.trial);
    let more = fine.findings.worth.at(fine_pairs.best.trial) - worth;
    assert!((-1e-9..fine.findings.threshold).contains(&more), "{more}: {best:?} {finest:?}");
    // Within one step of the coarse grid, 16 F and 5 F.
    assert!((best[0] - finest[0]).abs() <= 16.0 / 1.8 && (best[1] - finest[1]).abs() <= 5.0 / 1.8);
    // Between the worst pair and the best there is more than the threshold: the map is no plain.
    let worst = (0..coarse.rows.len())
        .filter(|&i| coarse.pair(i).is_some())
        .map(|i| coarse.findings.worth.at(i))
        .fold(f64::INFINITY, f64::min);
    assert!(worth - worst > coarse.findings.threshold, "{worst} to {worth}");
    assert!(
        !pairs.flat.contains(&coarse.rows.iter().position(|row| row.name == "on 40 F, off 7 F").expect("it"))
    );
}

/// Duffie and Beckman, Solar Engineering of Thermal Processes, section 10.4 (from memory, derived again in our notes): the pump
/// keeps running in steady sun only if on/off is at least eps C_min/(A F'R U_L).
#[test]
fn starts_rise_where_the_ratio_is_violated() {
    let starts = |flow: &str, off: &str| {
        let job = draft(starter())
            .with("pump.flow", flow)
            .with("controller.off_difference", off)
            .job()
            .expect("a sound job");
        let weather = weather::demo();
        let year = year::run(&job, &Setting::new(&job, &weather), &RunOptions::default()).expect("a year");
        year.annual[Column::PumpStarts] / 365.0
    };
    // 64 ft2 with F'R U_L of some 4 W/(m2 K) lose 24 W/K. 0.25 gal/min of glycol carries 0.0158 L/s x 3.75 kJ/(L K) = 59 W/K,
    // nearly all of which a coil of 420 W/K hands over: on/off must be 2.5 at least. At 1.6 gal/min it is 378 W/K with an
    // effectiveness of 1 - exp(-420/378) = 0.67: on/off must be 10.6.
    let (kept, violated) = (starts("0.25 gal/min", "3 F"), starts("0.25 gal/min", "14 F"));
    // 18/3 = 6 keeps it, 18/14 = 1.3 does not.
    assert!(kept < 3.0 && violated > 3.0 * kept, "{kept} {violated}");
    // The same differences, kept at a low flow, are violated at a high one.
    let high = starts("1.6 gal/min", "5 F");
    let low = starts("0.25 gal/min", "5 F");
    assert!(high > 1.5 * low, "{low} {high}");
}

#[test]
fn floors_are_never_broken_by_a_proposal() {
    let base = draft(starter())
        .without("electricity")
        .without("money")
        .with("tune.on_differences", list(&["16 F"]))
        .with("tune.off_differences", list(&["4 F"]))
        .with("tune.sensor_error", "0 F")
        .with("tune.thermostats", list(&["110 F", "120 F", "130 F"]))
        .with("tune.high_limits", list(&["160 F", "175 F", "185 F"]))
        .with("tune.liner_rating", "170 F")
        .with("tune.element_hours", list(&["never"]));
    let done = tuned(&base);
    let of = |dial: Dial, at: usize| {
        let step = Part::Step { dial, at };
        done.study.trials.iter().position(|trial| trial.part == step).expect("a step")
    };
    assert_eq!(done.broken(of(Dial::Thermostat, 0)), Some(Floor::Thermostat));
    assert_eq!(done.broken(of(Dial::HighLimit, 1)), Some(Floor::HighLimit), "the liner bears 170 F");
    assert_eq!(done.broken(of(Dial::HighLimit, 2)), Some(Floor::HighLimit));
    // They would save more than anything that may be proposed of their dial.
    for (dial, tried) in &done.findings.dials {
        assert_eq!(done.broken(tried.trial), None, "{dial:?}");
    }
    let best = |dial: Dial| done.findings.dials.iter().find(|(found, _)| *found == dial).expect("a best").1;
    assert!(
        done.findings.worth.at(of(Dial::Thermostat, 0))
            > done.findings.worth.at(best(Dial::Thermostat).trial)
    );
    assert!(best(Dial::Thermostat).trial != of(Dial::Thermostat, 0));
    let never = done.study.trials.iter().position(|t| t.part == Part::Hours("never".into())).expect("never");
    assert_eq!(done.broken(never), Some(Floor::Comfort));
    assert_eq!(done.broken(done.findings.proposal), None);
    let proposed = &done.study.trials[done.findings.proposal].candidate.job;
    assert!(proposed.plant.tanks[0].elements[0].set_c > 48.8);
    // Frost protection, relief and mixing valve stand as they were in all but the trial of freeze circulation.
    let now = done.study.job();
    for trial in &done.study.trials {
        let (job, suspect) = (&trial.candidate.job, matches!(trial.part, Part::Suspect { .. }));
        let freeze = |job: &suncask::job::Job| {
            job.plant.solar_loop.as_ref().map(|solar| solar.controller.duties.freeze)
        };
        assert!(
            job.protection == now.protection && (suspect || freeze(job) == freeze(now)),
            "{:?}",
            trial.part
        );
    }
    let page = done.told(|told| told.page(&told.pictures()));
    assert!(page.contains("thermostat below 120 F") && page.contains("limit above 170 F"), "{page}");
    // Whatever the ratings, nothing above 180 F.
    let cap = |text: &str| read_text("job.toml", text).expect("sound").tune.limit_cap_c().0 * 1.8 + 32.0;
    assert!((cap("[tune]\ntank_rating = \"210 F\"\n") - 180.0).abs() < 1e-9);
    assert!((cap("[tune]\ntank_rating = \"210 F\"\ncoil_rating = \"165 F\"\n") - 165.0).abs() < 1e-9);
}

#[test]
fn a_job_below_the_floors_is_lifted_first() {
    let base = small(&["16 F"], &["4 F"])
        .with("backup.set_temperature", "112 F")
        .with("controller.high_limit", "190 F")
        .with("tune.sensor_error", "0 F");
    let done = tuned(&base);
    assert_eq!((done.study.start, done.broken(0)), (1, Some(Floor::Thermostat)));
    let job = done.study.job();
    let heater = job.plant.flow_heater.expect("a heater");
    let limit_c = job.plant.solar_loop.as_ref().expect("a loop").controller.high_limit_c;
    assert!((heater.set_c * 1.8 + 32.0 - 120.0).abs() < 1e-9 && (limit_c * 1.8 + 32.0 - 180.0).abs() < 1e-9);
    assert_eq!(done.broken(done.findings.proposal), None);
    assert!(done.sentence().starts_with("The job breaks a floor as it is"), "{}", done.sentence());
    // Elements of a list keep what is high enough.
    let two = draft(
        "[[backup]]\nset_temperature = \"125 F\"\n[[backup]]\nheight = \"20 %\"\nset_temperature = \"110 F\"\n\
         [[backup]]\nheight = \"40 %\"\n[tune]\non_differences = [\"16 F\"]\noff_differences = [\"4 F\"]\n",
    );
    let study = Study::new(&two, false).expect("a study");
    let set: Vec<f64> =
        study.job().plant.tanks[0].elements.iter().map(|element| element.set_c * 1.8 + 32.0).collect();
    let wanted = [125.0, 130.0, 120.0];
    assert!(set.iter().zip(wanted).all(|(set, wanted)| (set - wanted).abs() < 1e-9), "{set:?}");
}

#[test]
fn it_is_told_when_it_hardly_matters() {
    // Two pairs beside the job's own: next to nothing between them.
    let plain = tuned(&small(&["16 F"], &["4 F", "5 F"]));
    assert_eq!(plain.findings.proposal, plain.study.start);
    assert!(
        plain.sentence().starts_with("It hardly matters here: the best of 2 pairs"),
        "{}",
        plain.sentence()
    );
    // The job has a difference at which hardly any sun is taken.
    let far = small(&["16 F"], &["4 F"])
        .with("controller.on_difference", "80 F")
        .with("controller.off_difference", "40 F");
    let far = tuned(&far);
    assert_eq!(far.pair(far.findings.proposal), Some([16.0 / 1.8, 4.0 / 1.8]));
    let sentence = far.sentence();
    assert!(
        sentence.starts_with("Set: on 16 F, off 4 F. It saves $") && !sentence.contains("hardly"),
        "{sentence}"
    );
    assert!(sentence.contains("more comes from the sun"), "{sentence}");
    // The same gain does not count where the job says so.
    let kwh = tuned(&small(&["16 F"], &["4 F", "5 F"]).with("tune.matters_above", "0.001 kWh"));
    assert!(kwh.findings.threshold < 0.001 && kwh.findings.threshold > 0.0);
}

#[test]
fn the_usual_suspects_are_told() {
    let frost = small(&["16 F"], &["4 F"]).with("controller.freeze_protection.on", "39 F");
    let done = tuned(&frost);
    let found =
        done.findings.suspects.iter().find(|one| one.suspect == Suspect::FreezeCirculation).expect("it");
    assert!(found.in_job && found.costs > done.findings.best_gain && found.costs > done.findings.threshold);
    let cost = done.findings.worth.at(found.trial) - done.findings.worth.at(done.study.start);
    assert_eq!(found.costs, cost);
    let told = done.told(|told| told.before().join("\n"));
    assert!(
        told.contains("freeze circulation on with glycol in the loop") && told.contains("(in the job)"),
        "{told}"
    );
    // It is told and never proposed.
    assert!(!matches!(done.study.trials[done.findings.proposal].part, Part::Suspect { .. }));
    // A flow far too high and a loose sensor of the job itself are tried without; water in the loop has no such freeze fault.
    let faulty = frost
        .with("pump.flow", "5 gal/min")
        .with("controller.sensor_seat_loss", "20 %")
        .with("loop.fluid", "water");
    let study = Study::new(&faulty, false).expect("a study");
    let suspects: Vec<_> = study
        .trials
        .iter()
        .filter_map(|trial| match trial.part {
            Part::Suspect { suspect, in_job } => Some((suspect, in_job)),
            _ => None,
        })
        .collect();
    assert!(
        suspects.contains(&(Suspect::HighFlow, true)) && suspects.contains(&(Suspect::LooseTankSensor, true))
    );
    assert!(!suspects.iter().any(|(suspect, _)| *suspect == Suspect::FreezeCirculation), "{suspects:?}");
}

#[test]
fn the_element_keeps_out_of_dear_hours() {
    let base = draft(starter())
        .with("tune.on_differences", list(&["16 F"]))
        .with("tune.off_differences", list(&["4 F"]))
        .with("tune.sensor_error", "0 F");
    let done = tuned(&base);
    let best = done.findings.hours.expect("hours");
    let Part::Hours(hours) = &done.study.trials[best.trial].part else { panic!("hours") };
    // 5 pm to 9 pm is dear on weekdays in the starter.
    assert!(best.gain > 0.0 && !hours.contains("always"), "{hours}");
    let tried = done.study.trials.iter().filter(|trial| matches!(trial.part, Part::Hours(_))).count();
    assert!((15..=30).contains(&tried), "{tried}");
    assert!(done.rows.iter().any(|row| row.name == "element 9 pm - 5 pm"), "all but the dearest hours");
    let dial = done.told(|told| told.pictures().pop().expect("a picture"));
    assert!(dial.0 == "dial" && dial.1.contains("price, darker is dearer"));
}

#[test]
fn faults_of_the_section_are_told() {
    let fault = |text: &str| {
        let problems = read_text("job.toml", text).expect_err("a fault");
        problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
    };
    for (text, told) in [
        ("[tune]\non_differences = [\"8 gal\"]\n", "a temperature difference"),
        ("[tune]\non_differences = [\"4 F\"]\noff_differences = [\"6 F\"]\n", "no off difference is smaller"),
        ("[tune]\nthermostat_floor = \"100 F\"\n", "cannot be 100 F"),
        ("[tune]\nhigh_limits = [\"500 F\"]\n", "a step cannot be 500 F"),
        ("[tune]\nelement_hours = [\"soon\"]\n", "not a span of hours"),
        (
            "[tune]\nthermostats = [\"121 F\",\"122 F\",\"123 F\",\"124 F\",\"125 F\",\"126 F\",\"127 F\",\"128 F\",\"129 F\",\"130 F\",\"131 F\",\"132 F\",\"133 F\"]\n",
            "at most 12",
        ),
        ("[tune]\nthermostat = \"121 F\"\n", "did you mean `thermostats`"),
    ] {
        assert!(fault(text).contains(told), "{text}: {}", fault(text));
    }
    // A plant without a controller has neither pairs nor a map.
    let starter = suncask::job::STARTERS.iter().find(|starter| starter.kind == "thermosiphon").expect("it");
    let study = Study::new(&draft(starter.text), false).expect("a study");
    assert!(!study.trials.iter().any(|trial| matches!(trial.part, Part::Pair { .. })));
}
