//! Heater behind the last tank: it warms the drawn water on its way to the tap.

use crate::spec::{Energy, FlowHeaterSpec};
use crate::valve;

/// What the valve and the heater know of a draw.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Wanted {
    /// Capacity flow at the tap in W/K.
    pub(crate) tap_w_k: f64,
    /// Temperature at the tap in degC.
    pub(crate) use_c: f64,
    /// Cold water at the mixing valve in degC.
    pub(crate) cold_c: f64,
}

/// A flow-through heater ready to step.
#[derive(Clone, Copy, Debug)]
pub(crate) struct FlowHeater {
    spec: FlowHeaterSpec,
    bit: usize,
}

impl FlowHeater {
    /// `bit`: its place in the word of permissions.
    pub(crate) fn new(spec: &FlowHeaterSpec, bit: usize) -> Self {
        Self { spec: *spec, bit }
    }

    pub(crate) fn standby_w(&self) -> f64 {
        self.spec.standby_w
    }

    /// Heat into a flow of `hot_w_k` that comes at `inlet_c` once it is lit, in W: up to the set point and the power.
    pub(crate) fn heat_w(&self, hot_w_k: f64, inlet_c: f64) -> f64 {
        (hot_w_k * (self.spec.set_c - inlet_c)).clamp(0.0, self.spec.power_w)
    }

    /// Share of the tap's flow that must come from the tank, which gives `inlet_c`, and whether the heater lights. `allowed`:
    /// the word of permissions.
    #[inline(never)]
    pub(crate) fn answer(&self, wanted: &Wanted, inlet_c: f64, allowed: u32) -> (f64, bool) {
        if self.lights(wanted, inlet_c, allowed) {
            (self.share(wanted, inlet_c), true)
        } else {
            (valve::hot_share(wanted.use_c, inlet_c, wanted.cold_c), false)
        }
    }

    /// True if it lights at the flow that the mixing valve will let through.
    fn lights(&self, wanted: &Wanted, inlet_c: f64, allowed: u32) -> bool {
        self.fires(self.at_set(wanted) * wanted.tap_w_k, inlet_c, allowed)
    }

    /// True if it lights for a flow of `hot_w_k` that comes at `inlet_c`: where it may, the water comes no hotter than its
    /// limit, and enough is missing for the least fire.
    pub(crate) fn fires(&self, hot_w_k: f64, inlet_c: f64, allowed: u32) -> bool {
        let s = &self.spec;
        let heat_w = self.heat_w(hot_w_k, inlet_c);
        allowed >> self.bit & 1 == 1
            && s.inlet_limit_c.is_none_or(|limit_c| inlet_c <= limit_c)
            && heat_w > 0.0
            && heat_w >= s.least_w
    }

    /// Share of the tap's flow that comes through the lit heater, the mixing valve being behind it and the tank giving
    /// `inlet_c`.
    ///
    /// Strong enough, the heater gives its set point and the valve mixes with that. Too weak for it, it gives all its power,
    /// and the share `s` follows from the heat wanted: `s W (T_inlet - T_cold) + P = W (T_use - T_cold)`.
    fn share(&self, wanted: &Wanted, inlet_c: f64) -> f64 {
        let Wanted { tap_w_k, use_c, cold_c } = *wanted;
        let at_set = self.at_set(wanted);
        if at_set * tap_w_k * (self.spec.set_c - inlet_c) <= self.spec.power_w {
            return at_set;
        }
        let from_tank_k = (use_c - cold_c) - self.spec.power_w / tap_w_k;
        let needed = from_tank_k / (inlet_c - cold_c);
        if inlet_c > cold_c && needed < 1.0 { needed } else { 1.0 }
    }

    /// Share of the tap's flow if all of it that is hot has the set point.
    fn at_set(&self, wanted: &Wanted) -> f64 {
        valve::hot_share(wanted.use_c, self.spec.set_c, wanted.cold_c)
    }

    /// Fuel and electricity for some heat, in J.
    pub(crate) fn bought_j(&self, heat_j: f64) -> (f64, f64) {
        let bought_j = heat_j / self.spec.efficiency_frac;
        match self.spec.energy {
            Energy::Fuel => (bought_j, 0.0),
            Energy::Electricity => (0.0, bought_j),
        }
    }
}
