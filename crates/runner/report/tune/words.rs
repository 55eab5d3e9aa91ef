//! What a study of tuning says, in sentences.

use super::Told;
use crate::job::quantity::Kind;
use crate::job::quantity::when;
use crate::job::tune::{Matters, difference};
use crate::picture::{Units, grouped, kwh, money};
use crate::record::Column;
use crate::study::draws::BY_CHANCE;
use crate::study::tune::{Floor, Part, SLACK_MIN, Suspect, Tried};

/// Days of the year.
const DAYS: f64 = 365.0;

/// Hours of the element in the habit of the units.
pub(super) fn hours(text: &str, units: Units) -> String {
    let spans = when::hours(text).unwrap_or_default();
    if spans.is_empty() {
        return "always".to_owned();
    }
    let span = |&(from, to): &(u32, u32)| format!("{} - {}", units.clock(60 * from), units.clock(60 * to));
    spans.iter().map(span).collect::<Vec<_>>().join(", ")
}

impl Told<'_> {
    fn us(&self) -> bool {
        self.units == Units::Us
    }

    fn difference(&self, k: f64) -> String {
        difference(k, self.us())
    }

    fn level(&self, c: f64) -> String {
        Kind::Level.shown(c, self.us())
    }

    /// A sum of worth a year.
    pub(super) fn amount(&self, worth: f64) -> String {
        match self.currency.filter(|_| self.findings.worth.in_money) {
            Some(currency) => money(currency, worth, if worth.abs() < 10.0 { 2 } else { 0 }),
            None if worth.abs() < 10.0 => format!("{} kWh", grouped(worth, 1)),
            None => kwh(worth),
        }
    }

    /// The same as a share of what is saved now.
    fn with_share(&self, worth: f64) -> String {
        let now = self.findings.worth.at(self.study.start);
        let share = if now.abs() > 0.0 { 100.0 * worth / now.abs() } else { 0.0 };
        format!("{} ({} %)", self.amount(worth), grouped(share, 1))
    }

    /// What a trial is, in the reader's units.
    pub(super) fn label(&self, trial: usize) -> String {
        let tune = &self.study.job().tune;
        match &self.study.trials[trial].part {
            Part::AsItIs => "the job as it is".to_owned(),
            Part::Start => "the job within the floors".to_owned(),
            Part::Suspect { suspect, in_job: true } => format!("without: {}", suspect.name()),
            Part::Suspect { suspect, in_job: false } => suspect.name().to_owned(),
            Part::Pair { on, off } => format!(
                "on {}, off {}",
                tune.on_differences[*on].shown(self.us()),
                tune.off_differences[*off].shown(self.us())
            ),
            Part::Step { dial, at } => format!("{} {}", dial.name(), dial.steps(tune)[*at].shown(self.us())),
            Part::Hours(text) => format!("element {}", hours(text, self.units)),
            Part::Misread { of, high } => {
                format!("{}, sensor reads {}", self.label(*of), if *high { "high" } else { "low" })
            }
            Part::Together(trials) => {
                trials.iter().map(|&trial| self.label(trial)).collect::<Vec<_>>().join("; ")
            }
        }
    }

    /// Pump starts a day.
    pub(super) fn starts_a_day(&self, trial: usize) -> f64 {
        self.rows[trial].annual[Column::PumpStarts] / DAYS
    }

    /// The floor that a trial breaks, in words; empty if none.
    pub(super) fn breaks(&self, trial: usize) -> String {
        let tune = &self.study.job().tune;
        match self.findings.broken(self.study, self.rows, trial) {
            None => String::new(),
            Some(Floor::Thermostat) => {
                format!("thermostat below {}", self.level(tune.thermostat_floor_c))
            }
            Some(Floor::HighLimit) => format!("limit above {}", self.level(tune.limit_cap_c().0)),
            Some(Floor::Comfort) => "showers run cool".to_owned(),
        }
    }

    /// On and off difference of the start.
    fn now(&self) -> String {
        let controller = self.study.job().plant.solar_loop.as_ref().map(|solar| &solar.controller);
        controller.map_or(String::new(), |controller| {
            format!("on {}, off {}", self.difference(controller.on_k), self.difference(controller.off_k))
        })
    }

    /// The sentence: what to set, or that it hardly matters.
    pub(super) fn sentence(&self) -> String {
        let (findings, study) = (self.findings, self.study);
        if study.trials[study.start].floor.is_some() {
            return format!("No setting is proposed: {}.", self.breaks(study.start));
        }
        let mut told = Vec::new();
        if study.start > 0 {
            told.push(
                "The job breaks a floor as it is; all that follows starts from it with thermostat and limit moved to \
                 their floors."
                    .to_owned(),
            );
        }
        if findings.proposal == study.start {
            let why = match &findings.pairs {
                Some(pairs) => format!("{}; leave it", self.hardly(pairs.best.trial, pairs.best.gain)),
                None => format!("no change that was tried and may be proposed wins {} a year", self.counts()),
            };
            told.push(format!("It hardly matters here: {why}."));
        } else {
            told.push(self.proposed(findings.proposal));
        }
        told.extend(self.flat());
        told.join(" ")
    }

    /// The least gain that counts.
    fn counts(&self) -> String {
        match self.study.job().tune.matters_above {
            Matters::Share(share) => {
                format!("{} ({} %)", self.amount(self.findings.threshold), grouped(100.0 * share, 1))
            }
            Matters::Kwh(least) => kwh(least),
        }
    }

    fn hardly(&self, best: usize, gain: f64) -> String {
        format!(
            "the best of {} pairs, {}, saves {} a year more than the present {}, and a gain below {} does not count",
            self.pairs().count(),
            self.label(best),
            self.with_share(gain),
            self.now(),
            self.counts()
        )
    }

    fn proposed(&self, trial: usize) -> String {
        let start = self.study.start;
        let gain = self.findings.worth.at(trial) - self.findings.worth.at(start);
        let mut told = format!(
            "Set: {}. It saves {} a year more than now{}",
            self.label(trial),
            self.with_share(gain),
            self.because(trial)
        );
        let starts = [trial, start].map(|trial| grouped(self.starts_a_day(trial), 1));
        let cool = [trial, start].map(|trial| grouped(self.rows[trial].annual[Column::CoolShowerMinutes], 0));
        for (what, [then, now]) in [("pump starts a day", starts), ("cool-shower minutes a year", cool)] {
            if then != now {
                told.push_str(&format!("; {then} {what} in place of {now}"));
            }
        }
        told.push('.');
        if let Some(pairs) = self.findings.pairs.as_ref().filter(|pairs| !pairs.chosen.matters) {
            told.push_str(&format!(
                " The two differences hardly matter here: {}.",
                self.hardly(pairs.best.trial, pairs.best.gain)
            ));
        }
        told
    }

    /// Why a trial saves more than the start.
    fn because(&self, trial: usize) -> String {
        let (now, then) = (&self.rows[self.study.start].annual, &self.rows[trial].annual);
        let less = |column: Column| now[column] - then[column];
        let worth = &self.findings.worth;
        let gain = worth.at(trial) - worth.at(self.study.start);
        let saved_kwh = now[Column::EqualServiceSaved];
        let by_energy = -less(Column::EqualServiceSaved) * worth.at(self.study.start) / saved_kwh.max(1.0);
        if worth.in_money && by_energy < 0.5 * gain {
            return ", because what is bought is bought in cheaper hours".to_owned();
        }
        let heat = -less(Column::HeatIntoTank);
        let (loss, pump) = (less(Column::TankLoss), less(Column::Pump));
        let parts = [
            (heat, format!(", because {} more comes from the sun", kwh(heat))),
            (loss, format!(", because the tank loses {} less", kwh(loss))),
            (pump, format!(", because the pump takes {} less", kwh(pump))),
        ];
        let most = parts.into_iter().max_by(|a, b| a.0.total_cmp(&b.0)).filter(|part| part.0 >= 1.0);
        most.map(|part| part.1).unwrap_or_default()
    }

    /// How wide the choice is around the best pair, and how it stands wrong sensors.
    fn flat(&self) -> Option<String> {
        let (pairs, study) = (self.findings.pairs.as_ref()?, self.study);
        let all = self.pairs().count();
        let fewest = pairs
            .flat
            .iter()
            .copied()
            .min_by(|&a, &b| self.starts_a_day(a).total_cmp(&self.starts_a_day(b)))?;
        let error = self.difference(study.job().tune.sensor_error_k);
        let mut told = match pairs.flat.len() {
            1 => "No other pair is as good.".to_owned(),
            some if some == all => format!("All {all} pairs are as good."),
            some => format!("{some} of the {all} pairs are as good."),
        };
        if pairs.flat.len() > 1 {
            told.push_str(&format!(
                " Of these, {} starts the pump least, {} times a day.",
                self.label(fewest),
                grouped(self.starts_a_day(fewest), 1)
            ));
        }
        let least = |trial: usize| pairs.worst.iter().find(|(of, _)| *of == trial).map(|&(_, least)| least);
        let now = least(study.start)
            .map(|now| format!("the present {} still saves {} a year", self.now(), self.amount(now)));
        let set = least(pairs.chosen.trial)
            .filter(|_| pairs.chosen.matters)
            .map(|set| format!("{} still saves {} a year", self.label(pairs.chosen.trial), self.amount(set)));
        let both: Vec<String> = set.into_iter().chain(now).collect();
        if !both.is_empty() {
            told.push_str(&format!(" With a sensor that reads {error} off either way, {}.", both.join(", ")));
        }
        Some(told)
    }

    /// Trials of on and off differences.
    pub(super) fn pairs(&self) -> impl Iterator<Item = usize> {
        let of = |(i, trial): (usize, &crate::study::tune::Trial)| {
            matches!(trial.part, Part::Pair { .. }).then_some(i)
        };
        self.study.trials.iter().enumerate().filter_map(of)
    }

    /// Whether one of the usual suspects moves more than every dial.
    pub(super) fn first(&self) -> String {
        let best = self.amount(self.findings.best_gain);
        match self.findings.outweighs() {
            Some(dearest) => {
                let act = match (dearest.suspect, dearest.in_job) {
                    (Suspect::FreezeCirculation, true) => {
                        "The job has it. Find out why, and test the fluid before it is switched off: frost protection is no \
                         dial, and no change of it is proposed here."
                    }
                    (_, true) => "The job has it: mend that first.",
                    (_, false) => "The job does not have it; look on site before any dial is turned.",
                };
                format!(
                    "First, before any dial: {} costs {} a year, more than the {best} of the best change of dials. {act}",
                    dearest.suspect.name(),
                    self.amount(dearest.costs)
                )
            }
            None => format!(
                "None of the usual suspects outweighs the dials, whose best change wins {best} a year."
            ),
        }
    }

    /// What one suspect costs.
    pub(super) fn suspected(&self, index: usize) -> (String, String, &'static str) {
        let one = &self.findings.suspects[index];
        let here = match (one.in_job, one.keeps_comfort) {
            (true, true) => "in the job",
            (true, false) => "in the job; without it showers run cool",
            (false, _) => "not in the job",
        };
        (one.suspect.name().to_owned(), self.amount(one.costs), here)
    }

    /// The best of each dial besides the differences.
    pub(super) fn dials(&self) -> Vec<String> {
        let line = |what: &str, tried: &Tried| {
            let gain = self.with_share(tried.gain);
            let verdict = match (tried.matters, tried.gain > 0.0) {
                (true, _) => "",
                (false, true) => ": it hardly matters here",
                (false, false) => ": leave it as now",
            };
            let label = self.label(tried.trial);
            let how = label.strip_prefix("element ").or(label.strip_prefix(what)).unwrap_or(&label).trim();
            format!("Best {what}: {how}, {gain} a year against now{verdict}.")
        };
        let dials = self.findings.dials.iter().map(|(dial, tried)| line(dial.name(), tried));
        dials.chain(self.findings.hours.iter().map(|tried| line("hours of the element", tried))).collect()
    }

    /// What no proposal breaks, and what the study assumes.
    pub(super) fn floors(&self) -> Vec<String> {
        let tune = &self.study.job().tune;
        let (cap_c, cap) = tune.limit_cap_c();
        let mut told = vec![
            format!(
                "Floors: no thermostat below {}, no high limit above {} ({cap}), no more than {SLACK_MIN} minutes a year of \
                 cool showers beyond those of the job as it is. What breaks one is shown and marked, and never proposed.",
                self.level(tune.thermostat_floor_c),
                self.level(cap_c)
            ),
            "Frost protection, relief and mixing valve are never proposed for change. Hours between 77 and 113 \u{b0}F (25 and \
             45 \u{b0}C) stand beside every candidate; they are counted, not judged."
                .to_owned(),
            format!(
                "A gain counts from {} a year on. The sensor is off by {} either way. Other flows at the pump power of the \
                 job. Thermostat and hours: all elements alike.",
                self.amount(self.findings.threshold),
                self.difference(tune.sensor_error_k)
            ),
        ];
        if self.study.single_draws {
            told.push(BY_CHANCE.to_owned());
        }
        told.extend(self.study.impossible.iter().map(|why| format!("Not possible in this job: {why}.")));
        told
    }
}
