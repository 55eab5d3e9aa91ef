//! What joins the tanks to each other and to the house: the pipe between them, bypass, transfer pump, recirculation loop, and
//! mixing at the cold inlets. A plant without any of it has none of this.

mod checks;
mod pipe;
pub(crate) mod slug;

use pipe::WaterPipe;
use slug::Slugs;

use crate::flows::{Conditions, MAX_TANKS, PlumbingFlows};
use crate::spec::{BypassSpec, PlantSpec, PlumbingSpec, WaterPumpSpec};
use crate::tank::ports::InletMixing;
use crate::tank::{Tank, slice_at};

/// Pipe work ready to step.
#[derive(Clone, Debug)]
pub(crate) struct Plumbing {
    between: Option<WaterPipe>,
    bypass: Option<BypassSpec>,
    pub(crate) transfer: Option<Transfer>,
    pub(crate) recirculation: Option<Recirculation>,
    pub(crate) inlet_mixing: [Option<InletMixing>; MAX_TANKS],
}

/// What the pipe work remembers.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct PlumbingState {
    between: Slugs,
    pub(crate) line: Slugs,
    /// The second tank is bypassed.
    pub(crate) bypassed: bool,
    /// The bypass is open by its own thermostat.
    open: bool,
    pub(crate) transfer_on: bool,
}

/// A pump for water ready to run.
#[derive(Clone, Copy, Debug)]
pub(crate) struct WaterPump {
    /// Capacity flow in W/K.
    pub(crate) flow_w_k: f64,
    pub(crate) power_w: f64,
    /// Warming of the water by the pump in K.
    pub(crate) rise_k: f64,
}

/// A transfer pump ready to run; slices are of the first tank and of the second.
#[derive(Clone, Debug)]
pub(crate) struct Transfer {
    pub(crate) pump: WaterPump,
    on_k: f64,
    off_k: f64,
    limit_c: f64,
    pub(crate) take: usize,
    pub(crate) give: usize,
    pub(crate) back_from: usize,
    pub(crate) back_to: usize,
}

/// A recirculation loop ready to run.
#[derive(Clone, Debug)]
pub(crate) struct Recirculation {
    pipe: WaterPipe,
    pub(crate) pump: WaterPump,
    pub(crate) return_tank: usize,
    pub(crate) return_slice: usize,
}

impl WaterPump {
    fn new(spec: &WaterPumpSpec, water_j_m3_k: f64) -> Self {
        let flow_w_k = spec.flow_m3_s * water_j_m3_k;
        Self { flow_w_k, power_w: spec.power_w, rise_k: spec.power_w * spec.heat_to_water_frac / flow_w_k }
    }
}

impl Plumbing {
    /// The pipe work of a sound plant; `None` where there is none.
    pub(crate) fn new(spec: &PlantSpec, tanks: &[Tank]) -> Option<Self> {
        if spec.plumbing == PlumbingSpec::default() {
            return None;
        }
        let plumbing = &spec.plumbing;
        let last = tanks.len() - 1;
        let transfer = plumbing.transfer.as_ref().map(|transfer| Transfer {
            pump: WaterPump::new(&transfer.pump, tanks[0].water_j_m3_k),
            on_k: transfer.on_k,
            off_k: transfer.off_k,
            limit_c: transfer.limit_c,
            take: slice_at(transfer.take_frac, tanks[0].slices),
            give: slice_at(transfer.give_frac, tanks[last].slices),
            back_from: slice_at(transfer.back_from_frac, tanks[last].slices),
            back_to: slice_at(transfer.back_to_frac, tanks[0].slices),
        });
        let recirculation = plumbing.recirculation.as_ref().map(|line| Recirculation {
            pipe: WaterPipe::new(&line.pipe, tanks[last].water_j_m3_k),
            pump: WaterPump::new(&line.pump, tanks[last].water_j_m3_k),
            return_tank: line.return_tank,
            return_slice: slice_at(line.return_frac, tanks[line.return_tank].slices),
        });
        let mut inlet_mixing = [None; MAX_TANKS];
        for (i, tank) in tanks.iter().enumerate() {
            let slice_m = spec.tanks[i].height_m / tank.slices as f64;
            inlet_mixing[i] = plumbing.inlet_mixing[i]
                .map(|mixing| InletMixing::new(mixing.bore_m, slice_m, tank.cold_slice));
        }
        Some(Self {
            between: plumbing.between.as_ref().map(|pipe| WaterPipe::new(pipe, tanks[0].water_j_m3_k)),
            bypass: plumbing.bypass,
            transfer,
            recirculation,
            inlet_mixing,
        })
    }

    /// Turns the bypass as people and its own thermostat have it; `outlet_c` is the first tank's outlet.
    pub(crate) fn turn_bypass(&self, state: &mut PlumbingState, outlet_c: f64, c: &Conditions) {
        if let Some(bypass) = &self.bypass {
            let edge_c = if state.open { bypass.opens_c - bypass.band_k } else { bypass.opens_c };
            state.open = outlet_c >= edge_c;
            state.bypassed = state.open || c.orders.bypassed;
        }
    }

    /// True if a long step of a draw would miss something: a bypass that turns by itself, what the pipe between the tanks
    /// loses, or mixing.
    pub(crate) fn minds_draws(&self) -> bool {
        self.bypass.is_some_and(|bypass| bypass.opens_c.is_finite())
            || self.between.is_some()
            || self.inlet_mixing.iter().any(Option::is_some)
    }

    /// True if a draw or a pump stirs the first tank.
    pub(crate) fn stirs_first(&self, state: &PlumbingState, c: &Conditions) -> bool {
        let recirculates =
            c.orders.recirculates && self.recirculation.as_ref().is_some_and(|line| line.return_tank == 0);
        state.transfer_on || recirculates || (c.draw.flow_m3_s > 0.0 && self.inlet_mixing[0].is_some())
    }

    /// Passes `j_k` from the first tank on towards the second; returns what arrives there in degC.
    pub(crate) fn pass_between(
        &self,
        state: &mut PlumbingState,
        j_k: f64,
        outlet_c: f64,
        flows: &mut PlumbingFlows,
    ) -> f64 {
        // What rounding leaves of a draw moves nothing.
        if self.between.is_none() || j_k <= 0.0 {
            return outlet_c;
        }
        let arriving_c = state.between.pass(j_k, outlet_c);
        flows.between_gain_j += j_k * (outlet_c - arriving_c);
        arriving_c
    }

    /// Lets what stands in the pipes cool for `seconds`.
    pub(crate) fn cool(
        &self,
        state: &mut PlumbingState,
        seconds: f64,
        c: &Conditions,
        flows: &mut PlumbingFlows,
    ) {
        if let Some(pipe) = &self.between {
            flows.between_loss_j += pipe.cool(&mut state.between, seconds, c);
        }
        if let Some(line) = &self.recirculation {
            flows.recirculation_loss_j += line.pipe.cool(&mut state.line, seconds, c);
        }
    }
}

impl Transfer {
    /// Decides from the first tank's water and the second's.
    pub(crate) fn decide(&self, on: bool, first_c: f64, second_c: f64) -> bool {
        let difference_k = first_c - second_c;
        second_c < self.limit_c && if on { difference_k > self.off_k } else { difference_k >= self.on_k }
    }
}

impl PlumbingState {
    /// All pipes at `start_c`, pump and bypass at rest.
    pub(crate) fn new(plumbing: Option<&Plumbing>, start_c: f64) -> Self {
        let between = plumbing.and_then(|plumbing| plumbing.between.as_ref());
        let line = plumbing.and_then(|plumbing| plumbing.recirculation.as_ref());
        Self {
            between: Slugs::new(between.map_or(0.0, |pipe| pipe.content_j_k), start_c),
            line: Slugs::new(line.map_or(0.0, |line| line.pipe.content_j_k), start_c),
            bypassed: false,
            open: false,
            transfer_on: false,
        }
    }

    /// Heat content above 0 degC in J.
    pub(crate) fn content_j(&self) -> f64 {
        self.between.content_j() + self.line.content_j()
    }
}
