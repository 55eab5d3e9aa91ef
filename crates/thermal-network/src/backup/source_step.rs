//! A step of what heats a tank other than by an element: burner with pilot and flue, or heat pump.

use super::element::{Element, ElementState, Source};
use crate::flows::Flows;

/// The tank around the source, and the step.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SourceStep {
    pub(crate) slice_j_k: f64,
    pub(crate) room_c: f64,
    pub(crate) seconds: f64,
}

/// What a source gave and bought in a step, in J.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Given {
    burner_j: f64,
    heat_pump_j: f64,
    flue_j: f64,
    fuel_j: f64,
    electric_j: f64,
    /// Its thermostat calls and it may and can run: those below it wait.
    pub(crate) claims: bool,
}

impl Element {
    /// A step of a burner or a heat pump. `called`: its thermostat called and it may run; `waits`: for another one.
    #[inline(never)]
    pub(crate) fn give(
        &self,
        memory: &mut ElementState,
        slices_c: &mut [f64],
        step: &SourceStep,
        called: bool,
        waits: bool,
    ) -> Given {
        let SourceStep { slice_j_k, room_c, seconds } = *step;
        match &self.source {
            Source::Electric => Given::default(),
            Source::HeatPump(heat_pump) => {
                let claims = called && heat_pump.runs_in(room_c);
                if !claims || waits {
                    return Given { claims, ..Given::default() };
                }
                let working = heat_pump.working(self.power_w, slices_c, slice_j_k, room_c, seconds);
                let heat_pump_j = self.heat(memory, slices_c, slice_j_k, room_c, working.heat_w * seconds);
                Given { heat_pump_j, electric_j: heat_pump_j / working.cop, claims, ..Given::default() }
            }
            Source::Burner(burner) => {
                let pilot_j = burner.pilot(&mut slices_c[self.slice], slice_j_k, seconds);
                let most_j = self.power_w * seconds;
                let runs = called && !waits && most_j > 0.0;
                let heat_j = if runs { self.heat(memory, slices_c, slice_j_k, room_c, most_j) } else { 0.0 };
                let off_s = if runs { seconds * (1.0 - heat_j / most_j) } else { seconds };
                Given {
                    burner_j: heat_j + pilot_j,
                    flue_j: burner.flue(slices_c, slice_j_k, room_c, off_s),
                    fuel_j: burner.fuel_j(heat_j) + burner.pilot_w * seconds,
                    claims: called,
                    ..Given::default()
                }
            }
        }
    }
}

impl Given {
    /// Adds it to the accounts of a tank.
    pub(crate) fn book(&self, tank: usize, flows: &mut Flows) {
        flows.burner_j[tank] += self.burner_j;
        flows.heat_pump_j[tank] += self.heat_pump_j;
        flows.tank_loss_j[tank] += self.flue_j;
        flows.flue_j += self.flue_j;
        flows.fuel_j += self.fuel_j;
        flows.compressor_and_flow_j += self.electric_j;
    }
}
