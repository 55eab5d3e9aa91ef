//! On against off difference, one line of steps for each further dial, and the best pairs again with a sensor that reads wrong.

use super::{Part, Study, has_differences, has_pump, heaters, judge, set_all};
use crate::job::Job;
use crate::job::file::Draft;
use crate::job::tune::{Step, Tune};
use crate::study::Row;

/// A dial besides the two differences.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dial {
    /// High limit of the tank.
    HighLimit,
    /// Flow of the loop.
    Flow,
    /// Thermostat of the backup; all elements alike.
    Thermostat,
}

impl Dial {
    /// Every dial, in the order of tables.
    pub const ALL: [Self; 3] = [Self::HighLimit, Self::Flow, Self::Thermostat];

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Self::HighLimit => "high limit",
            Self::Flow => "flow",
            Self::Thermostat => "thermostat",
        }
    }

    /// Keys of the job file that it turns; none where the plant has no such dial.
    pub(super) fn keys(self, draft: &Draft, job: &Job) -> Vec<String> {
        match self {
            Self::HighLimit if has_pump(job) => vec!["controller.high_limit".into()],
            Self::Flow if has_pump(job) && !draft.has("pump.curve") => vec!["pump.flow".into()],
            Self::Thermostat => {
                heaters(draft, job).iter().map(|heater| format!("{heater}.set_temperature")).collect()
            }
            Self::HighLimit | Self::Flow => Vec::new(),
        }
    }

    /// The steps a job offers.
    pub fn steps(self, tune: &Tune) -> &[Step] {
        match self {
            Self::HighLimit => &tune.high_limits,
            Self::Flow => &tune.flows,
            Self::Thermostat => &tune.thermostats,
        }
    }
}

/// Adds all pairs with off below on, then the steps of the further dials at the job's differences.
pub(super) fn lay_out(study: &mut Study) {
    let (draft, job) = (study.draft().clone(), study.job().clone());
    let tune = &job.tune;
    if has_differences(&job) {
        for (i, on) in tune.on_differences.iter().enumerate() {
            for (j, off) in tune.off_differences.iter().enumerate().filter(|(_, off)| off.si < on.si) {
                let name = format!("on {}, off {}", on.written, off.written);
                let pair = draft
                    .clone()
                    .with("controller.on_difference", on.written.clone())
                    .with("controller.off_difference", off.written.clone());
                study.add(Part::Pair { on: i, off: j }, name, pair);
            }
        }
    }
    for dial in Dial::ALL {
        let keys = dial.keys(&draft, &job);
        for (at, step) in dial.steps(tune).iter().enumerate().filter(|_| !keys.is_empty()) {
            let changed = set_all(draft.clone(), &keys, &step.written);
            study.add(Part::Step { dial, at }, format!("{} {}", dial.name(), step.written), changed);
        }
    }
}

/// Adds the job's own pair, and the best pair of each off difference among those that are as good as the best, with the
/// collector's sensor reading high and low.
pub(super) fn misread(study: &mut Study, rows: &[Row]) {
    let job = study.job();
    let error_k = job.tune.sensor_error_k;
    let controller = job.plant.solar_loop.as_ref().map(|solar| solar.controller);
    let Some(controller) = controller.filter(|_| has_differences(job) && error_k > 0.0) else { return };
    let worth = judge::Worth::of(rows);
    let Some(best) = judge::best_pair(study, rows) else { return };
    let flat = judge::flat(study, rows, best, judge::threshold(study, rows));
    let mut tried = vec![study.start];
    for off in 0..job.tune.off_differences.len() {
        let of_off = |&&i: &&usize| matches!(study.trials[i].part, Part::Pair { off: at, .. } if at == off);
        tried
            .extend(flat.iter().filter(of_off).copied().max_by(|&a, &b| worth.at(a).total_cmp(&worth.at(b))));
    }
    for of in tried {
        for high in [true, false] {
            let sign = if high { 1.0 } else { -1.0 };
            let offset_k = controller.collector_sensor.offset_k + sign * error_k;
            let trial = &study.trials[of];
            let name =
                format!("{}, sensor reads {}", trial.candidate.name, if high { "high" } else { "low" });
            let draft =
                trial.draft.clone().with("controller.collector_sensor_offset", format!("{offset_k} K"));
            study.add(Part::Misread { of, high }, name, draft);
        }
    }
}
