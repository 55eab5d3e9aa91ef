//! What heats a tank at a height, with its thermostat: electric element, burner or heat pump.

use super::burner::Burner;
use super::heat_pump::HeatPump;
use crate::sensor::Sensor;
use crate::spec::{ElementSpec, SourceSpec};
use crate::tank::slice_at;

/// An element ready to step.
#[derive(Clone, Debug)]
pub(crate) struct Element {
    pub(crate) source: Source,
    pub(crate) power_w: f64,
    pub(crate) slice: usize,
    pub(crate) thermostat_slice: usize,
    set_c: f64,
    on_c: f64,
    pub(crate) sensor: Sensor,
}

/// Where an element's heat comes from.
#[derive(Clone, Debug)]
pub(crate) enum Source {
    Electric,
    Burner(Burner),
    HeatPump(HeatPump),
}

/// What an element remembers.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub(crate) struct ElementState {
    /// The thermostat calls for heat.
    pub(crate) calls: bool,
    /// What the thermostat reads, in degC.
    pub(crate) reading_c: f64,
}

impl Element {
    pub(crate) fn new(spec: &ElementSpec, slices: usize) -> Self {
        let slice = slice_at(spec.height_frac, slices);
        Self {
            source: match &spec.source {
                SourceSpec::Electric => Source::Electric,
                SourceSpec::Burner(burner) => Source::Burner(Burner::new(burner)),
                SourceSpec::HeatPump(heat_pump) => Source::HeatPump(HeatPump::new(heat_pump, slice, slices)),
            },
            power_w: spec.power_w,
            slice,
            thermostat_slice: slice_at(spec.thermostat_frac, slices),
            set_c: spec.set_c,
            on_c: spec.set_c - spec.band_k,
            sensor: Sensor::new(&spec.sensor),
        }
    }

    /// The thermostat's decision from what it reads.
    pub(crate) fn decide(&self, state: &mut ElementState) {
        if state.reading_c <= self.on_c {
            state.calls = true;
        } else if state.reading_c >= self.set_c {
            state.calls = false;
        }
    }

    /// Share of a step for which the thermostat has called, that read above its limit at the beginning and calls at the end.
    pub(crate) fn called_for(&self, before: &ElementState, after: &ElementState) -> f64 {
        let fall_k = before.reading_c - after.reading_c;
        if fall_k > 0.0 { ((self.on_c - after.reading_c) / fall_k).clamp(0.0, 1.0) } else { 0.0 }
    }

    /// True temperature at or below which the thermostat would call, lag aside.
    pub(crate) fn calls_below_c(&self, room_c: f64) -> f64 {
        self.sensor.true_c(self.on_c, room_c)
    }

    /// True if all it buys is heat.
    #[inline]
    pub(crate) fn is_electric(&self) -> bool {
        matches!(self.source, Source::Electric)
    }

    /// Loss of each of `slices` by a flue while this is off, in W/K.
    pub(crate) fn flue_slice_w_k(&self, slices: usize) -> f64 {
        if let Source::Burner(burner) = &self.source { burner.flue_slice_w_k(slices) } else { 0.0 }
    }

    /// Heats with up to `most_j`; returns the heat put in, in J. The slices must be settled afterwards.
    ///
    /// Warm water rises from the element and mixes the slices above that are cooler, so the thermostat's slice reaches the
    /// set point when every slice from the element up has been filled to it: that heat is the most the element gives, and
    /// the thermostat opens then. No search for the moment is needed.
    pub(crate) fn heat(
        &self,
        state: &mut ElementState,
        slices_c: &mut [f64],
        slice_j_k: f64,
        room_c: f64,
        most_j: f64,
    ) -> f64 {
        let mut heat_j = most_j;
        if self.thermostat_slice >= self.slice && !self.sensor.lags() {
            let off_c = self.sensor.true_c(self.set_c, room_c);
            let missing_k: f64 = slices_c[self.slice..].iter().map(|&c| (off_c - c).max(0.0)).sum();
            if missing_k * slice_j_k <= most_j {
                heat_j = missing_k * slice_j_k;
                state.calls = false;
            }
        }
        slices_c[self.slice] += heat_j / slice_j_k;
        heat_j
    }
}
