//! The first law, component by component: what came in, less what went out, is the change of content.

use crate::flows::{Flows, MAX_TANKS};
use crate::plant::Plant;
use crate::state::State;

/// Heat content of each component above 0 degC, in J.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Contents {
    /// Collector cells; of a drainback loop without their fluid.
    pub collector_j: f64,
    /// Supply and return pipe, with what a drainback loop holds in reservoir and collector.
    pub pipes_j: f64,
    /// Each tank.
    pub tank_j: [f64; MAX_TANKS],
    /// Pipe between the tanks and recirculation loop.
    pub plumbing_j: f64,
}

impl Contents {
    /// Contents of a plant in a state.
    pub fn of(plant: &Plant, state: &State) -> Self {
        plant.contents(state)
    }

    /// Sum over all components in J.
    pub fn total_j(&self) -> f64 {
        self.collector_j + self.pipes_j + self.tank_j.iter().sum::<f64>() + self.plumbing_j
    }
}

/// How far each balance of a span is from closing, in J.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Misfit {
    /// Collector, pipes and exchanger together with what they pass on to the tank.
    pub loop_j: f64,
    /// Collector by itself.
    pub collector_j: f64,
    /// Each tank.
    pub tank_j: [f64; MAX_TANKS],
    /// Pipe between the tanks and recirculation loop.
    pub plumbing_j: f64,
    /// What water took from tanks, pumps and flow-through heater against what it left in pipes and at the tap.
    pub tap_j: f64,
    /// The whole plant.
    pub whole_j: f64,
}

impl Misfit {
    /// Misfit of a span from the contents at its ends and the flows between.
    pub fn of(before: &Contents, after: &Contents, flows: &Flows) -> Self {
        let collector_change_j = after.collector_j - before.collector_j;
        let pipes_change_j = after.pipes_j - before.pipes_j;
        let collector_j =
            flows.absorbed_j - flows.collector_loss_j - flows.collector_heat_j - collector_change_j;
        let loop_j = flows.absorbed_j + flows.pump_heat_j
            - flows.collector_loss_j
            - flows.supply_loss_j
            - flows.return_loss_j
            - flows.heat_into_tank_j
            - flows.dump_j
            - collector_change_j
            - pipes_change_j;
        let mut tank_j = [0.0; MAX_TANKS];
        let mut whole_j = loop_j;
        for (tank, misfit_j) in tank_j.iter_mut().enumerate() {
            let solar_j = if tank == 0 { flows.heat_into_tank_j } else { 0.0 };
            *misfit_j = solar_j + flows.element_j[tank] + flows.burner_j[tank] + flows.heat_pump_j[tank]
                - flows.tank_loss_j[tank]
                - flows.drawn_j[tank]
                - flows.plumbing.circulated_j[tank]
                - (after.tank_j[tank] - before.tank_j[tank]);
            whole_j += *misfit_j;
        }
        let pipes = &flows.plumbing;
        let plumbing_j = pipes.between_gain_j + pipes.recirculation_gain_j
            - pipes.between_loss_j
            - pipes.recirculation_loss_j
            - (after.plumbing_j - before.plumbing_j);
        let left_tanks_j = flows.drawn_j.iter().chain(&pipes.circulated_j).sum::<f64>();
        let tap_j = left_tanks_j + pipes.pump_heat_j + flows.flow_heater_j
            - pipes.between_gain_j
            - pipes.recirculation_gain_j
            - flows.delivered_j;
        whole_j += plumbing_j + tap_j;
        Self { loop_j, collector_j, tank_j, plumbing_j, tap_j, whole_j }
    }

    /// The largest of them, in J.
    pub fn largest_j(&self) -> f64 {
        [self.loop_j, self.collector_j, self.plumbing_j, self.tap_j, self.whole_j]
            .iter()
            .chain(&self.tank_j)
            .fold(0.0, |most: f64, misfit_j| most.max(misfit_j.abs()))
    }
}
