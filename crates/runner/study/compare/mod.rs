//! Two plants or more for the same house, side by side, and why they differ.
//!
//! ```text
//! job files, or layouts derived from one -> years with and without backup -> ledger of the difference
//!                                        -> years beside the two best     -> what flips the verdict
//! ```

mod differences;
mod existing;
mod flips;
mod layouts;
mod ledger;
mod verdict;

pub use differences::{Side, differences};
pub use flips::{Axis, Crossing, Flip, crossings};
pub use layouts::{Derived, Missing, derived, other_layout, stock_cost};
pub use ledger::{PARTS, Part, Year};
pub use verdict::{Comparison, Difference, Measure};

use super::Candidate;
use crate::job::{Job, Permission, Room};
use thermal_network::spec::{Energy, SourceSpec, TankSpec};

/// Jacket round a tank of which only the water's size is known: 2 in of foam (common practice).
const JACKET_M: f64 = 0.05;

/// A plant for the house, with what a customer asks of it besides its energy.
#[derive(Clone, Debug)]
pub struct Layout {
    /// What it is called in tables.
    pub name: String,
    /// The house with it.
    pub job: Job,
    /// Where the backup sits.
    pub shape: Shape,
    /// Installed cost in the currency of the job; `None` where a price is missing.
    pub installed_cost: Option<f64>,
    /// True if the heater the customer has now goes, so that it need not be replaced some day.
    pub present_heater_goes: Option<bool>,
    /// Floor under its tanks in m2; none under what stands outdoors.
    pub floor_m2: f64,
}

/// Where the backup of a plant sits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// In the tank the sun heats.
    OneTank,
    /// In a second tank behind it.
    TwoTanks,
    /// In a flow-through heater behind it.
    FlowThrough,
}

impl Shape {
    /// That of a job.
    pub fn of(job: &Job) -> Self {
        match (job.plant.tanks.len(), &job.plant.flow_heater) {
            (2.., _) => Self::TwoTanks,
            (_, Some(_)) => Self::FlowThrough,
            (_, None) => Self::OneTank,
        }
    }

    /// In words, as a subject.
    pub fn words(self) -> &'static str {
        match self {
            Self::OneTank => "one tank",
            Self::TwoTanks => "two tanks",
            Self::FlowThrough => "a flow-through heater behind the tank",
        }
    }
}

impl Layout {
    /// That of a job file, whose costs are those it says.
    pub fn of_job(name: String, job: Job) -> Self {
        let plan = job.money.as_ref().and_then(|money| money.plan.as_ref());
        Self {
            name,
            shape: Shape::of(&job),
            installed_cost: plan.map(|plan| plan.installed_cost),
            present_heater_goes: plan.map(|plan| plan.tank_avoided.is_some()),
            floor_m2: floor_m2(&job),
            job,
        }
    }

    /// What the backup buys.
    pub fn fuel(&self) -> &'static str {
        let plant = &self.job.plant;
        let flow = plant.flow_heater.map(|flow| flow.energy);
        let sources = || plant.tanks.iter().flat_map(|tank| &tank.elements).map(|element| element.source);
        let burns =
            flow == Some(Energy::Fuel) || sources().any(|source| matches!(source, SourceSpec::Burner(_)));
        let heat_pump = sources().any(|source| matches!(source, SourceSpec::HeatPump(_)));
        let electric = flow == Some(Energy::Electricity) || sources().any(|s| s == SourceSpec::Electric);
        match (burns, heat_pump, electric) {
            (true, _, true) => "gas or oil, and electricity",
            (true, _, false) => "gas or oil",
            (false, true, _) => "electricity (heat pump)",
            (false, false, true) => "electricity",
            (false, false, false) => "none",
        }
    }
}

/// Floor under the tanks of a job, each a square as wide as the tank with its jacket.
fn floor_m2(job: &Job) -> f64 {
    let rooms = [job.rooms.tank, job.rooms.second_tank];
    let stands = job.plant.tanks.iter().zip(rooms).filter(|(_, room)| *room != Room::Outdoors);
    stands.map(|(tank, _)| tank_floor_m2(tank)).sum()
}

fn tank_floor_m2(tank: &TankSpec) -> f64 {
    let across_m = libm::sqrt(4.0 * tank.volume_m3 / (std::f64::consts::PI * tank.height_m));
    (across_m + 2.0 * JACKET_M) * (across_m + 2.0 * JACKET_M)
}

/// What sets a year apart from the others of the study.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Variant {
    /// The layout as it is.
    AsItIs,
    /// Its backup never heats.
    BackupOff,
    /// A value of an axis.
    At(Axis, f64),
}

/// A year of the study: what sets it apart stands in settings that all years have.
fn candidate(layout: &Layout, variant: Variant, job: Job) -> Candidate {
    const AS_IT_IS: &str = "as it is";
    let of = |axis: Axis| match variant {
        Variant::At(own, value) if own == axis => axis.words(value),
        _ => AS_IT_IS.to_string(),
    };
    let backup = if variant == Variant::BackupOff { "off" } else { AS_IT_IS };
    let mut settings =
        vec![("layout".to_string(), layout.name.clone()), ("backup".to_string(), backup.to_string())];
    settings.extend(Axis::ALL.into_iter().map(|axis| (axis.name().to_string(), of(axis))));
    let name = match variant {
        Variant::AsItIs => layout.name.clone(),
        Variant::BackupOff => format!("{}, backup off", layout.name),
        Variant::At(axis, value) => format!("{}, {} {}", layout.name, axis.name(), axis.words(value)),
    };
    Candidate { name, settings, job }
}

/// The years of the layouts: all as they are, then all with the backup off.
pub fn candidates(layouts: &[Layout]) -> Vec<Candidate> {
    let own = layouts.iter().map(|layout| candidate(layout, Variant::AsItIs, layout.job.clone()));
    let off = layouts.iter().map(|layout| candidate(layout, Variant::BackupOff, backup_off(&layout.job)));
    own.chain(off).collect()
}

/// The same house with a backup that never heats: what the sun brings when nothing is in its way.
fn backup_off(job: &Job) -> Job {
    let mut job = job.clone();
    let elements: usize = job.plant.tanks.iter().map(|tank| tank.elements.len()).sum();
    job.element_hours = vec![Permission::never(); elements + usize::from(job.plant.flow_heater.is_some())];
    for element in job.plant.tanks.iter_mut().flat_map(|tank| &mut tank.elements) {
        if let SourceSpec::Burner(burner) = &mut element.source {
            burner.pilot_w = 0.0;
        }
    }
    job
}
