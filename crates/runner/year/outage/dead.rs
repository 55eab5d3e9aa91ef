//! A plant without power: what stands still, and what goes on.
//!
//! | dead | goes on |
//! |---|---|
//! | loop pump and its controller, timer, freeze circulation, night cooling, heat dump | draining, natural circulation, a check valve that leaks |
//! | transfer pump, recirculation pump, the pump on the tank's side of a plate exchanger | a loop pump on its own photovoltaic module, with the limits its module feeds |
//! | elements, heat pumps, flow-through heaters (gas ones need power to light) | |
//! | burners with electronic ignition | burners with a standing pilot, whose valve lives on the pilot's heat |
//! | | draws at the mains' pressure, a bypass that stands or turns by itself |

use thermal_network::flows::{Flows, Orders};
use thermal_network::spec::{
    CoilInlet, ControllerSpec, Duties, ExchangerSpec, LoopSpec, PlantSpec, PlumbingSpec, PumpDrive,
    SourceSpec,
};
use thermal_network::{Fault, Plant, Scratch, State};

use super::days::ThreeDays;
use super::{Cursor, LOOK_S, OUTAGE, Watch};
use crate::record::Outage;

/// A difference that no collector reaches, in K.
const NEVER_K: f64 = 1e6;

/// The plant and those of its heaters that need no power.
pub(super) struct Dead {
    plant: Plant,
    /// Bits of the heaters that go on.
    goes_on: u32,
}

impl Dead {
    pub(super) fn new(spec: &PlantSpec) -> Result<Self, Vec<Fault>> {
        let plant = Plant::assemble(&PlantSpec {
            solar_loop: spec.solar_loop.as_ref().map(without_power),
            plumbing: PlumbingSpec { transfer: None, ..spec.plumbing },
            ..spec.clone()
        })?;
        let heaters = spec.tanks.iter().flat_map(|tank| &tank.elements);
        let goes_on = heaters.enumerate().fold(0, |bits, (bit, heater)| match heater.source {
            SourceSpec::Burner(burner) if burner.pilot_w > 0.0 => bits | 1 << bit,
            SourceSpec::Burner(_) | SourceSpec::Electric | SourceSpec::HeatPump(_) => bits,
        });
        Ok(Self { plant, goes_on })
    }

    /// Carries the state of the plant of `spec` through the three days that begin at `cursor`.
    pub(super) fn run(
        &self,
        spec: &PlantSpec,
        cursor: &mut Cursor<'_>,
        state: &mut State,
        days: &ThreeDays,
    ) -> Outage {
        let plant = &self.plant;
        let mut scratch = Scratch::new(plant);
        let mut watch = Watch::new(spec, plant, days);
        state.lose_power();
        let back_s = cursor.now_s + OUTAGE;
        while cursor.now_s < back_s {
            let (_, mut conditions, span_s) = cursor.next_span();
            conditions.elements_allowed &= self.goes_on;
            conditions.orders = Orders { recirculates: false, ..conditions.orders };
            conditions.timer_on = false;
            let mut left_s = span_s;
            while left_s > 0 {
                let piece_s = left_s.min(LOOK_S);
                let mut flows = Flows::new();
                plant.advance(state, &mut scratch, &conditions, piece_s, &mut flows, |_, _, _| {});
                watch.look(&conditions, &flows, state);
                left_s -= piece_s;
            }
        }
        watch.outage
    }
}

/// The same loop with nothing that needs power. Its state is laid out alike.
fn without_power(solar: &LoopSpec) -> LoopSpec {
    let exchanger = match solar.exchanger {
        // Tank water stands still on its side of the plate: nothing passes.
        ExchangerSpec::Plate { .. } => ExchangerSpec::Coil {
            bottom_frac: 0.0,
            top_frac: 1.0,
            ua_w_k: 0.0,
            inlet: CoilInlet::Top,
            tube: None,
        },
        exchanger @ (ExchangerSpec::Coil { .. } | ExchangerSpec::OpenLoop { .. }) => exchanger,
    };
    let controller = match solar.controller.duties.drive {
        PumpDrive::Sun { .. } => solar.controller,
        PumpDrive::Differential | PumpDrive::Proportional { .. } | PumpDrive::Timer => {
            ControllerSpec { on_k: NEVER_K, duties: Duties::default(), ..solar.controller }
        }
    };
    LoopSpec { exchanger, controller, ..solar.clone() }
}
