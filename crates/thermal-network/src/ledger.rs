//! The first law, component by component: what came in, less what went out, is the change of content.

use crate::flows::{Flows, MAX_TANKS};
use crate::plant::Plant;
use crate::state::State;

/// Heat content of each component above 0 degC, in J.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Contents {
    /// Collector cells.
    pub collector_j: f64,
    /// Supply and return pipe.
    pub pipes_j: f64,
    /// Each tank.
    pub tank_j: [f64; MAX_TANKS],
}

impl Contents {
    /// Contents of a plant in a state.
    pub fn of(plant: &Plant, state: &State) -> Self {
        plant.contents(state)
    }

    /// Sum over all components in J.
    pub fn total_j(&self) -> f64 {
        self.collector_j + self.pipes_j + self.tank_j.iter().sum::<f64>()
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
    /// What the draw took from tanks and flow-through heater against what was delivered.
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
            - collector_change_j
            - pipes_change_j;
        let mut tank_j = [0.0; MAX_TANKS];
        let mut whole_j = loop_j;
        for (tank, misfit_j) in tank_j.iter_mut().enumerate() {
            let solar_j = if tank == 0 { flows.heat_into_tank_j } else { 0.0 };
            *misfit_j = solar_j + flows.element_j[tank] + flows.burner_j[tank] + flows.heat_pump_j[tank]
                - flows.tank_loss_j[tank]
                - flows.drawn_j[tank]
                - (after.tank_j[tank] - before.tank_j[tank]);
            whole_j += *misfit_j;
        }
        let tap_j = flows.drawn_j.iter().sum::<f64>() + flows.flow_heater_j - flows.delivered_j;
        whole_j += tap_j;
        Self { loop_j, collector_j, tank_j, tap_j, whole_j }
    }

    /// The largest of them, in J.
    pub fn largest_j(&self) -> f64 {
        [self.loop_j, self.collector_j, self.tap_j, self.whole_j]
            .iter()
            .chain(&self.tank_j)
            .fold(0.0, |most: f64, misfit_j| most.max(misfit_j.abs()))
    }
}
