//! Kinds of collector loop, and what a pump is run for besides collecting heat.

use super::{CollectorSpec, Surroundings};
use crate::hydraulics::Circuit;

/// What a loop does when its pump does not run, and what moves it.
#[derive(Clone, Debug, PartialEq, Default)]
pub enum LoopKind {
    /// Pumped; stands full behind a tight check valve.
    #[default]
    Filled,
    /// Pumped; stands full, and its check valve leaks or is missing: a warm tank drives the fluid backwards at night.
    Leaking(NaturalSpec),
    /// Pumped; runs empty into a reservoir whenever the pump stops.
    Drainback(DrainbackSpec),
    /// Moved by buoyancy alone; the pump and its controller are not there.
    Thermosiphon(NaturalSpec),
    /// The first tank stands in the collector: sun and loss of the collector act on its slices, its own `a5` counts for
    /// nothing. There is no pump, no pipe and no exchanger.
    Batch,
}

/// A loop that drains by gravity. All pipes and the whole collector run empty; what they held stands in the reservoir, at the
/// end of the return pipe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrainbackSpec {
    /// Fluid in the collector field while it runs, in m3.
    pub collector_m3: f64,
    /// Fluid in the reservoir while the loop is drained, in m3.
    pub reservoir_m3: f64,
    /// Standing loss of the reservoir in W/K.
    pub reservoir_w_k: f64,
    /// What the reservoir loses heat to.
    pub surroundings: Surroundings,
    /// Time from the pump's start until the loop is full and flows, in s.
    pub fill_s: u32,
    /// Electric power of the pump while it lifts the fluid, in W. Its heat is left out.
    pub fill_w: f64,
}

/// A field of collectors on a plane of its own; the controller goes by the warmer of the two outlets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SecondFieldSpec {
    /// Its coefficients, on its own area.
    pub collector: CollectorSpec,
    /// Share of the loop's flow that passes it, above 0 and below 1.
    pub flow_frac: f64,
}

/// Natural circulation. Heights are in m above the collector's inlet, negative below it.
#[derive(Clone, Debug, PartialEq)]
pub struct NaturalSpec {
    /// What the fluid passes, for its friction.
    pub circuit: Circuit,
    /// Height of the collector's outlet.
    pub collector_m: f64,
    /// Height at which the fluid leaves tank or coil for the collector.
    pub cold_end_m: f64,
    /// Height at which it comes back.
    pub hot_end_m: f64,
    /// Flow that the check valve lets back, as a share of what would flow without one: 0 tight, 1 no valve.
    pub back_frac: f64,
}

/// What decides when the pump runs to collect heat, and how fast.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub enum PumpDrive {
    /// The controller's differences, at full speed.
    #[default]
    Differential,
    /// The controller's differences; the flow rises with the difference, from a least share at the off-difference to all of it
    /// at `full_k`, in steps of a twentieth. Electric power goes with the cube of the speed, from a tenth up.
    Proportional {
        /// Slowest flow as a share of the full one.
        least_frac: f64,
        /// Difference of full speed in K.
        full_k: f64,
    },
    /// [`crate::flows::Conditions::timer_on`], whatever the temperatures.
    Timer,
    /// A photovoltaic module on the plane of the collector: no flow up to `start_w_m2`, then in proportion up to `full_w_m2`.
    /// The pump's power comes from the module and is not bought.
    Sun {
        /// Irradiance at which the pump begins to turn, in W/m2.
        start_w_m2: f64,
        /// Irradiance of full flow, in W/m2.
        full_w_m2: f64,
    },
}

/// What else the controller does; nothing by default.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Duties {
    /// What drives the pump.
    pub drive: PumpDrive,
    /// A resting pump does not start from this collector reading on, in degC: hot collectors are not refilled.
    pub start_below_c: Option<f64>,
    /// Circulation against frost.
    pub freeze: Option<FreezeSpec>,
    /// Cooling of an overheated tank by night.
    pub night_cooling: Option<NightCoolingSpec>,
    /// Heat dump.
    pub dump: Option<DumpSpec>,
}

/// Circulation of warm tank heat through a cold collector.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FreezeSpec {
    /// The pump starts at or below this collector reading, in degC.
    pub on_c: f64,
    /// It stops at or above this one, in degC.
    pub off_c: f64,
}

/// Circulation that sheds heat of the tank through a collector colder than it: from the controller's on-difference turned round
/// until the collector is no colder any more.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NightCoolingSpec {
    /// It begins at or above this tank reading, in degC.
    pub on_c: f64,
    /// It ends at or below this one, in degC.
    pub off_c: f64,
}

/// A radiator that takes the loop's heat in place of the tank, behind a valve, while the collector is too hot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DumpSpec {
    /// The valve turns to the radiator, and the pump runs, at or above this collector reading, in degC; limits do not stop it.
    pub on_c: f64,
    /// It turns back this far below, in K.
    pub reset_k: f64,
    /// Conductance of the radiator to its surroundings in W/K.
    pub ua_w_k: f64,
    /// What takes the heat.
    pub surroundings: Surroundings,
}
