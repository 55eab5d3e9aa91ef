//! What flips the verdict: the two best plants again over loss and thermostat of the backup and over the use.

use super::{Layout, Variant, candidate};
use crate::job::Job;
use crate::job::quantity::{Kind, rounded};
use crate::study::Candidate;
use thermal_network::spec::{SourceSpec, TankSpec};

/// What is varied, in both plants at once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    /// Loss of the second tank, as a multiple; where neither plant has one, of the tank with the backup.
    BackupTankLoss,
    /// Set temperature of all backup in degC.
    Thermostat,
    /// Hot water of every day, as a multiple.
    DailyUse,
}

impl Axis {
    /// Every axis.
    pub const ALL: [Self; 3] = [Self::BackupTankLoss, Self::Thermostat, Self::DailyUse];

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Self::BackupTankLoss => "backup tank loss",
            Self::Thermostat => "thermostat",
            Self::DailyUse => "daily use",
        }
    }

    /// Key in files; its end names the unit.
    pub fn key(self) -> &'static str {
        match self {
            Self::BackupTankLoss => "backup_tank_loss_factor",
            Self::Thermostat => "thermostat_c",
            Self::DailyUse => "daily_use_factor",
        }
    }

    /// Values to try. Heaters of today lose about half of what a plain one does, old ones twice as much; thermostats are set
    /// from 110 to 150 F; families use half to double (common practice).
    pub fn values(self) -> [f64; 5] {
        match self {
            Self::BackupTankLoss => [0.4, 0.7, 1.0, 1.5, 2.5],
            Self::Thermostat => [110.0, 120.0, 130.0, 140.0, 150.0].map(|f| (f - 32.0) / 1.8),
            Self::DailyUse => [0.5, 0.75, 1.0, 1.5, 2.0],
        }
    }

    /// A value in words that need no unit elsewhere.
    pub fn words(self, value: f64) -> String {
        match self {
            Self::Thermostat => Kind::Level.shown(value, true),
            _ => format!("x {}", rounded(value)),
        }
    }

    /// The house at a value; `None` if the value is that of the house as it is.
    fn apply(self, job: &Job, value: f64, second_only: bool) -> Option<Job> {
        let mut changed = job.clone();
        match self {
            Self::BackupTankLoss => {
                let tanks = &mut changed.plant.tanks;
                if value == 1.0 || second_only && tanks.len() == 1 {
                    return None;
                }
                scale_loss(tanks.last_mut()?, value);
            }
            Self::Thermostat => {
                let elements = changed.plant.tanks.iter_mut().flat_map(|tank| &mut tank.elements);
                let flow = changed.plant.flow_heater.as_mut().map(|flow| &mut flow.set_c);
                elements.map(|element| &mut element.set_c).chain(flow).for_each(|set_c| *set_c = value);
                if changed.plant == job.plant {
                    return None;
                }
            }
            Self::DailyUse => {
                if value == 1.0 {
                    return None;
                }
                changed.water_use.month_factor = changed.water_use.month_factor.map(|month| month * value);
            }
        }
        Some(changed)
    }
}

/// Everything a tank loses, its flue included, times a factor.
fn scale_loss(tank: &mut TankSpec, factor: f64) {
    let shell = [&mut tank.side_w_m2_k, &mut tank.top_w_m2_k, &mut tank.bottom_w_m2_k];
    let fittings = tank.fittings.iter_mut().map(|fitting| &mut fitting.loss_w_k);
    let flues = tank.elements.iter_mut().filter_map(|element| match &mut element.source {
        SourceSpec::Burner(burner) => Some(&mut burner.flue_w_k),
        _ => None,
    });
    for loss in shell.into_iter().chain([&mut tank.fittings_even_w_k]).chain(fittings).chain(flues) {
        *loss *= factor;
    }
}

/// Loss of the tank whose loss is varied, in W/K, its flue included.
pub(super) fn backup_loss_w_k(job: &Job) -> Option<f64> {
    let tank = job.plant.tanks.last()?;
    let end_m2 = tank.volume_m3 / tank.height_m;
    let side_m2 = libm::sqrt(4.0 * std::f64::consts::PI * end_m2) * tank.height_m;
    let fittings: f64 = tank.fittings.iter().map(|fitting| fitting.loss_w_k).sum();
    let flue = tank.elements.iter().map(|element| match element.source {
        SourceSpec::Burner(burner) => burner.flue_w_k,
        _ => 0.0,
    });
    let shell = tank.side_w_m2_k * side_m2 + (tank.top_w_m2_k + tank.bottom_w_m2_k) * end_m2;
    Some(shell + tank.fittings_even_w_k + fittings + flue.sum::<f64>())
}

/// A year of one of the two plants on an axis.
#[derive(Clone, Debug)]
pub(super) struct Trial {
    pub axis: Axis,
    pub value: f64,
    /// For each plant, where its year stands among the candidates; `None`: as it is.
    pub years: [Option<usize>; 2],
}

/// The trials of two plants, and the years they need.
pub(super) fn trials(pair: [&Layout; 2]) -> (Vec<Trial>, Vec<Candidate>) {
    let second_only = pair.iter().any(|layout| layout.job.plant.tanks.len() > 1);
    let (mut trials, mut candidates) = (Vec::new(), Vec::new());
    for axis in Axis::ALL {
        for value in axis.values() {
            let years = pair.map(|layout| {
                let job = axis.apply(&layout.job, value, second_only)?;
                candidates.push(candidate(layout, Variant::At(axis, value), job));
                Some(candidates.len() - 1)
            });
            trials.push(Trial { axis, value, years });
        }
    }
    (trials, candidates)
}

/// Where a difference changes its sign.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crossing {
    /// Value of the axis.
    pub at: f64,
    /// True if the difference is positive above it.
    pub positive_above: bool,
}

/// Zeros of a difference between its points, by straight lines. Points are in rising order of their first number.
pub fn crossings(points: &[(f64, f64)]) -> Vec<Crossing> {
    let between = |pair: &[(f64, f64)]| {
        let [(low, below), (high, above)] = [pair[0], pair[1]];
        let (below_wins, above_wins) = (below >= 0.0, above >= 0.0);
        (below_wins != above_wins).then(|| Crossing {
            at: low + (high - low) * below / (below - above),
            positive_above: above_wins,
        })
    };
    points.windows(2).filter_map(between).collect()
}

/// An axis with how much more the better plant saves at each value.
#[derive(Clone, Debug, PartialEq)]
pub struct Flip {
    /// What is varied.
    pub axis: Axis,
    /// Values in rising order, each with the difference there.
    pub points: Vec<(f64, f64)>,
    /// Where the verdict changes.
    pub crossings: Vec<Crossing>,
}

impl Flip {
    pub(super) fn of(axis: Axis, points: Vec<(f64, f64)>) -> Self {
        let crossings = crossings(&points);
        Self { axis, points, crossings }
    }
}
