//! What the rows say: the best settings and how flat it is around them, which change matters, what outweighs them all.

use super::floors::{Floor, too_cool};
use super::{Dial, Part, Study, Suspect};
use crate::job::tune::Matters;
use crate::record::Column;
use crate::study::Row;

/// The yearly saving of each row at equal service: in money where every row has it, else in kWh.
#[derive(Clone, Debug, PartialEq)]
pub struct Worth {
    /// True: in the currency of the job.
    pub in_money: bool,
    values: Vec<f64>,
}

impl Worth {
    pub(super) fn of(rows: &[Row]) -> Self {
        let money: Option<Vec<f64>> = rows.iter().map(|row| row.money("saved")).collect();
        let in_money = money.is_some();
        let energy = || rows.iter().map(|row| row.annual[Column::EqualServiceSaved]).collect();
        Self { in_money, values: money.unwrap_or_else(energy) }
    }

    /// That of a trial by its position.
    pub fn at(&self, trial: usize) -> f64 {
        self.values[trial]
    }
}

/// A trial of a dial beside where changes start from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tried {
    /// Position of the trial.
    pub trial: usize,
    /// What it wins a year.
    pub gain: f64,
    /// True if that is no less than the threshold.
    pub matters: bool,
}

/// What the map of on and off differences says.
#[derive(Clone, Debug, PartialEq)]
pub struct Pairs {
    /// The pair that saves most with sensors that read true.
    pub best: Tried,
    /// Pairs that lose less than the threshold against it, itself among them.
    pub flat: Vec<usize>,
    /// The pair, or the start, that keeps most when the sensor reads wrong either way.
    pub chosen: Tried,
    /// Trials that ran with a sensor reading wrong, each with the least it saves.
    pub worst: Vec<(usize, f64)>,
}

/// One of the usual suspects.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Suspected {
    /// Position of its trial.
    pub trial: usize,
    /// Which.
    pub suspect: Suspect,
    /// True if the job has it.
    pub in_job: bool,
    /// What the fault takes a year; negative where it helps.
    pub costs: f64,
    /// False: without it showers run cool, so that it is no mere fault.
    pub keeps_comfort: bool,
}

/// What a study of tuning found. Sums are in the unit of `worth`.
#[derive(Clone, Debug, PartialEq)]
pub struct Findings {
    /// The saving of each trial.
    pub worth: Worth,
    /// Least gain a year that matters.
    pub threshold: f64,
    /// Suspects, the dearest first.
    pub suspects: Vec<Suspected>,
    /// On and off differences; `None` where none may be proposed.
    pub pairs: Option<Pairs>,
    /// The best step of each further dial.
    pub dials: Vec<(Dial, Tried)>,
    /// The best hours of the element.
    pub hours: Option<Tried>,
    /// What is proposed: a trial, or the start if nothing matters.
    pub proposal: usize,
    /// The largest gain of any change of dials that may be proposed, 0 at least.
    pub best_gain: f64,
}

impl Findings {
    /// The floor that a trial breaks.
    pub fn broken(&self, study: &Study, rows: &[Row], trial: usize) -> Option<Floor> {
        broken(study, rows, trial)
    }

    /// The dearest suspect, if it moves more than every change of dials and matters.
    pub fn outweighs(&self) -> Option<&Suspected> {
        let dearest = self.suspects.iter().find(|one| one.keeps_comfort)?;
        (dearest.costs > self.best_gain && dearest.costs >= self.threshold).then_some(dearest)
    }
}

/// The floor that a trial breaks by its settings or by its year.
fn broken(study: &Study, rows: &[Row], trial: usize) -> Option<Floor> {
    let by_year = || too_cool(&rows[trial], &rows[0]).then_some(Floor::Comfort);
    study.trials[trial].floor.or_else(by_year)
}

/// True if a trial may be proposed.
fn admissible(study: &Study, rows: &[Row], trial: usize) -> bool {
    broken(study, rows, trial).is_none()
}

/// Least gain that matters, in the unit of worth.
pub(super) fn threshold(study: &Study, rows: &[Row]) -> f64 {
    let (worth, start) = (Worth::of(rows), study.start);
    let saved = worth.at(start).abs();
    match study.job().tune.matters_above {
        Matters::Share(share) => share * saved,
        Matters::Kwh(kwh) if worth.in_money => {
            let saved_kwh = rows[start].annual[Column::EqualServiceSaved].abs();
            kwh * saved / saved_kwh.max(1.0)
        }
        Matters::Kwh(kwh) => kwh,
    }
}

/// The trial that is worth most among those that fit and may be proposed.
fn best(study: &Study, rows: &[Row], fits: impl Fn(&Part) -> bool) -> Option<usize> {
    let worth = Worth::of(rows);
    let all = (0..rows.len()).filter(|&i| fits(&study.trials[i].part) && admissible(study, rows, i));
    all.max_by(|&a, &b| worth.at(a).total_cmp(&worth.at(b)))
}

pub(super) fn best_pair(study: &Study, rows: &[Row]) -> Option<usize> {
    best(study, rows, |part| matches!(part, Part::Pair { .. }))
}

/// Pairs that may be proposed and lose less than the threshold against the best.
pub(super) fn flat(study: &Study, rows: &[Row], best: usize, threshold: f64) -> Vec<usize> {
    let worth = Worth::of(rows);
    let near = |&i: &usize| {
        matches!(study.trials[i].part, Part::Pair { .. })
            && worth.at(best) - worth.at(i) <= threshold
            && admissible(study, rows, i)
    };
    (0..rows.len()).filter(near).collect()
}

fn tried(study: &Study, rows: &[Row], trial: usize) -> Tried {
    let worth = Worth::of(rows);
    let gain = worth.at(trial) - worth.at(study.start);
    Tried { trial, gain, matters: trial != study.start && gain >= threshold(study, rows) }
}

fn pairs(study: &Study, rows: &[Row]) -> Option<Pairs> {
    let (worth, threshold) = (Worth::of(rows), threshold(study, rows));
    let best = best_pair(study, rows)?;
    let mut worst: Vec<(usize, f64)> = Vec::new();
    for (i, trial) in study.trials.iter().enumerate() {
        let Part::Misread { of, .. } = trial.part else { continue };
        match worst.iter_mut().find(|(known, _)| *known == of) {
            Some((_, least)) => *least = least.min(worth.at(i)),
            None => worst.push((of, worth.at(i).min(worth.at(of)))),
        }
    }
    let most = worst.iter().map(|&(_, least)| least).fold(f64::NEG_INFINITY, f64::max);
    // What differs by a tenth of what matters is chance of the draws; there, fewer starts spare pump and relay.
    let near = worst.iter().filter(|&&(_, least)| most - least <= 0.1 * threshold).map(|&(trial, _)| trial);
    let starts = |&trial: &usize| rows[trial].annual[Column::PumpStarts];
    let chosen = near.min_by(|a, b| starts(a).total_cmp(&starts(b))).unwrap_or(best);
    let mut chosen = tried(study, rows, chosen);
    let least = |trial: usize| worst.iter().find(|(known, _)| *known == trial).map(|&(_, least)| least);
    if let (Some(chosen_least), Some(start_least)) = (least(chosen.trial), least(study.start)) {
        chosen.matters |= chosen.trial != study.start && chosen_least - start_least >= threshold;
    }
    Some(Pairs { best: tried(study, rows, best), flat: flat(study, rows, best, threshold), chosen, worst })
}

fn dials(study: &Study, rows: &[Row]) -> Vec<(Dial, Tried)> {
    let of = |dial: Dial| {
        let fits = |part: &Part| matches!(part, Part::Step { dial: found, .. } if *found == dial);
        best(study, rows, fits).map(|trial| (dial, tried(study, rows, trial)))
    };
    Dial::ALL.into_iter().filter_map(of).collect()
}

fn hours(study: &Study, rows: &[Row]) -> Option<Tried> {
    best(study, rows, |part| matches!(part, Part::Hours(_))).map(|trial| tried(study, rows, trial))
}

/// Trials of every change that matters, one a dial.
fn changes(study: &Study, rows: &[Row]) -> Vec<usize> {
    let pair = pairs(study, rows).map(|pairs| pairs.chosen);
    let dials = dials(study, rows).into_iter().map(|(_, tried)| tried);
    let all = pair.into_iter().chain(dials).chain(hours(study, rows));
    all.filter(|tried| tried.matters).map(|tried| tried.trial).collect()
}

/// Adds the trial of all changes that matter at once, if there is more than one.
pub(super) fn together(study: &mut Study, rows: &[Row]) {
    let changes = changes(study, rows);
    if changes.len() < 2 {
        return;
    }
    let mut draft = study.draft().clone();
    let mut names = Vec::new();
    for &trial in &changes {
        names.push(study.trials[trial].candidate.name.clone());
        draft = study.change_of(trial, draft);
    }
    study.add(Part::Together(changes), names.join("; "), draft);
}

pub(super) fn findings(study: &Study, rows: &[Row]) -> Findings {
    let worth = Worth::of(rows);
    let gain = |trial: usize| worth.at(trial) - worth.at(study.start);
    let mut suspects: Vec<Suspected> = study
        .trials
        .iter()
        .enumerate()
        .filter_map(|(trial, one)| match one.part {
            Part::Suspect { suspect, in_job } => {
                let costs = if in_job { gain(trial) } else { -gain(trial) };
                let keeps_comfort = !in_job || !too_cool(&rows[trial], &rows[0]);
                Some(Suspected { trial, suspect, in_job, costs, keeps_comfort })
            }
            _ => None,
        })
        .collect();
    suspects.sort_by(|a, b| b.costs.total_cmp(&a.costs));
    let is_dial = |part: &Part| {
        matches!(part, Part::Pair { .. } | Part::Step { .. } | Part::Hours(_) | Part::Together(_))
    };
    let best_gain = best(study, rows, is_dial).map_or(0.0, |trial| gain(trial).max(0.0));
    let together = best(study, rows, |part| matches!(part, Part::Together(_)));
    let proposed = changes(study, rows).into_iter().chain(together);
    let proposal = proposed.max_by(|&a, &b| worth.at(a).total_cmp(&worth.at(b))).unwrap_or(study.start);
    Findings {
        threshold: threshold(study, rows),
        suspects,
        pairs: pairs(study, rows),
        dials: dials(study, rows),
        hours: hours(study, rows),
        proposal,
        best_gain,
        worth,
    }
}
