//! What changes while a plant runs: its state, and working memory that is no state.

use crate::backup::element::ElementState;
use crate::controller::{ControllerState, Pace};
use crate::exchanger::coil::CoilDue;
use crate::flows::Conditions;
use crate::loop_kind::Kind;
use crate::loop_kind::natural::mirror_run;
use crate::pipe::PipeContent;
use crate::plant::Plant;
use crate::plumbing::PlumbingState;
use crate::solar_loop::LoopRun;
use crate::tank::circulation::{Circulation, Passage};

/// A step of a steady run is at most so many times as long as the one before it, whose warming is carried on: what little of it was
/// not the coil's would be blown up.
const MOST_LONGER: f64 = 5.0;

/// Most a coil's heat is expected to change from one step of a steady run to the next, as a share.
const MOST_CHANGE: f64 = 0.2;

/// State of a plant. Cloning it is how studies branch.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    /// Collector cells along the flow, then the slices of each tank from the bottom, in degC.
    pub(crate) nodes_c: Vec<f64>,
    /// Supply and return pipe.
    pub(crate) pipes: [PipeContent; 2],
    pub(crate) controller: ControllerState,
    /// Elements through all tanks.
    pub(crate) elements: Vec<ElementState>,
    /// Slices of the first tank before the last step of a run, kept up where a coil touches them, in degC.
    pub(crate) coil_before_c: Vec<f64>,
    /// Heat through the coil in that step in W, its length in s, and the relative change of the heat a second.
    pub(crate) coil_heat_w: f64,
    pub(crate) coil_heat_s: f64,
    pub(crate) coil_trend_s: f64,
    /// Flow of the draw in that step if the pump ran through it with a coil: the next step warms alike while it is the same.
    pub(crate) warming_draw_m3_s: Option<f64>,
    /// Capacity flow the loop would have at its present temperature, in W/K.
    pub(crate) flow_w_k: f64,
    /// Water in the pipes between tanks and taps, and their valves.
    pub(crate) plumbing: PlumbingState,
    /// A drainback loop stands empty.
    pub(crate) drained: bool,
    /// Time for which its pump has been filling it, in s.
    pub(crate) filled_s: u32,
}

/// Working memory of a step; holds nothing that a result depends on.
#[derive(Clone, Debug, Default)]
pub struct Scratch {
    pub(crate) loop_run: LoopRun,
    /// The same for a loop that runs backwards.
    pub(crate) mirror_run: LoopRun,
    /// Stream between loop and tank in the present step.
    pub(crate) circulation: Option<Circulation>,
    /// Heat from a coil that waits for the draw of the present step.
    pub(crate) coil_due: Option<CoilDue>,
    /// Time for which loss and conduction are done already, in s; none between spans.
    pub(crate) stood_ahead_s: u32,
    /// The loop ran in the present step.
    pub(crate) ran: bool,
    /// How the readings changed in the last step of a run, within a span.
    pub(crate) pace: Option<Pace>,
    /// Time since the controller's sensors were read, in s.
    pub(crate) unread_s: f64,
    /// Mean temperature of the first tank at the end of the step before, within a span.
    pub(crate) mean_c: f64,
    pub(crate) passage: Passage,
}

impl State {
    /// Every node of `plant` at `start_c`, pump off, thermostats not calling.
    pub fn new(plant: &Plant, start_c: f64) -> Self {
        Self {
            nodes_c: vec![start_c; plant.nodes()],
            pipes: plant.pipe_contents_j_k().map(|content_j_k| PipeContent::new(content_j_k, start_c)),
            controller: ControllerState::new(start_c),
            elements: vec![ElementState { calls: false, reading_c: start_c }; plant.elements()],
            coil_before_c: vec![start_c; plant.tank_nodes(0).len()],
            coil_heat_w: 0.0,
            coil_heat_s: 0.0,
            coil_trend_s: 0.0,
            warming_draw_m3_s: None,
            flow_w_k: 0.0,
            plumbing: PlumbingState::new(plant.plumbing(), start_c),
            drained: plant.solar.as_ref().is_some_and(|solar| matches!(solar.kind, Kind::Drainback(_))),
            filled_s: 0,
        }
    }

    /// True if a step under `c` will warm the first tank as the last one did.
    pub(crate) fn warms_alike(&self, c: &Conditions) -> bool {
        self.warming_draw_m3_s == Some(c.draw.flow_m3_s)
    }

    /// Remembers the heat through the coil in a step under `c`, and how it changed since the step before.
    pub(crate) fn remember_coil(&mut self, c: &Conditions, heat_w: f64, seconds: f64) {
        self.coil_trend_s = if self.warms_alike(c) && heat_w > 0.0 {
            2.0 * (heat_w - self.coil_heat_w) / (heat_w * (seconds + self.coil_heat_s))
        } else {
            0.0
        };
        self.coil_heat_w = heat_w;
        self.coil_heat_s = seconds;
    }

    /// Longest step for which the warming of the last one tells enough, in s.
    pub(crate) fn longest_alike_s(&self) -> f64 {
        MOST_LONGER * self.coil_heat_s
    }

    /// Factor from the warming in the middle of the last step to that in the first half of the next, of `seconds`.
    pub(crate) fn warming_goes_on(&self, seconds: f64) -> f64 {
        let change = self.coil_trend_s * (0.5 * self.coil_heat_s + 0.25 * seconds);
        1.0 + change.clamp(-MOST_CHANGE, MOST_CHANGE)
    }

    /// True while the loop pump runs.
    pub fn pump_on(&self) -> bool {
        self.controller.pump_on
    }

    /// Temperatures of the slices of a tank from the bottom, in degC.
    pub fn tank_c(&self, plant: &Plant, tank: usize) -> &[f64] {
        &self.nodes_c[plant.tank_nodes(tank)]
    }

    /// Sets the slices of a tank, from the bottom, in degC; for tests and studies.
    pub fn set_tank_c(&mut self, plant: &Plant, tank: usize, slices_c: &[f64]) {
        self.nodes_c[plant.tank_nodes(tank)].copy_from_slice(slices_c);
    }

    /// Temperatures of the collector's cells along the flow, in degC; empty without a loop.
    pub fn collector_c(&self, plant: &Plant) -> &[f64] {
        &self.nodes_c[plant.collector_nodes()]
    }

    /// Temperatures of the cells of a second field along the flow, in degC; empty where there is none.
    pub fn second_collector_c(&self, plant: &Plant) -> &[f64] {
        &self.nodes_c[plant.second_nodes()]
    }

    /// Coldest and hottest temperature in the supply pipe and in the return pipe, in degC. In a drained loop these are its
    /// walls, and at the end of the return pipe its reservoir; a pipe that is not there has no meaning here.
    pub fn pipes_c(&self) -> [(f64, f64); 2] {
        self.pipes.each_ref().map(PipeContent::range_c)
    }

    /// True while a drainback loop stands empty.
    pub fn drained(&self) -> bool {
        self.drained
    }

    /// What a power failure does at once: loop pump and transfer pump stop, and the controller forgets what it held. It decides
    /// anew at the beginning of the next step.
    pub fn lose_power(&mut self) {
        let [collector_reading_c, tank_reading_c] = self.controller.readings_c();
        let begun = ControllerState::new(tank_reading_c);
        self.controller = ControllerState { collector_reading_c, since_change_s: 0, ..begun };
        self.plumbing.transfer_on = false;
        self.warming_draw_m3_s = None;
    }

    /// Temperature at the collector's outlet end in degC; NaN without a loop.
    pub fn collector_outlet_c(&self, plant: &Plant) -> f64 {
        self.collector_c(plant).last().copied().unwrap_or(f64::NAN)
    }
}

impl Scratch {
    /// Working memory for `plant`.
    pub fn new(plant: &Plant) -> Self {
        let most = plant.most_slices();
        Self {
            passage: Passage::new(most),
            loop_run: LoopRun::new(plant.solar.as_ref()),
            mirror_run: mirror_run(plant.solar.as_ref()),
            ..Self::default()
        }
    }
}
