//! Tank water that leaves the tank to be warmed: in an external plate exchanger, or in the collector itself (open loop).

use super::Affine;
use crate::collector::mean_share;
use crate::spec::{ExchangerSpec, PlateRating};
use crate::tank::{Tank, slice_at};

/// A circulated exchanger ready to step.
#[derive(Clone, Debug)]
pub(crate) struct Circulated {
    pub(crate) from: usize,
    pub(crate) to: usize,
    pub(crate) pump_w: f64,
    plate: Option<Plate>,
}

#[derive(Clone, Copy, Debug)]
struct Plate {
    rating: PlateRating,
    tank_flow_w_k: f64,
}

/// What passes the slices in a step, in slice volumes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Passing {
    /// Circulated.
    pub(crate) moved: f64,
    /// Drawn.
    pub(crate) drawn: f64,
    /// Slice at which cold water enters.
    pub(crate) cold_slice: usize,
    /// Its temperature in degC.
    pub(crate) cold_c: f64,
}

/// Effectiveness of a counterflow exchanger on the smaller of two capacity flows (Kays & London, Compact Heat Exchangers,
/// from memory): `(1 - e^(-N(1-c)))/(1 - c e^(-N(1-c)))`, `N/(1+N)` for equal flows.
pub fn counterflow_effectiveness(ua_w_k: f64, flow_w_k: f64, other_flow_w_k: f64) -> f64 {
    let smaller = flow_w_k.min(other_flow_w_k);
    let ratio = smaller / flow_w_k.max(other_flow_w_k);
    let ntu = ua_w_k / smaller;
    // The general form loses its digits near equal flows.
    if 1.0 - ratio < 1e-6 {
        return ntu / (1.0 + ntu);
    }
    let e = libm::exp(-ntu * (1.0 - ratio));
    (1.0 - e) / (1.0 - ratio * e)
}

impl Circulated {
    /// `spec` is a plate or an open loop.
    pub(crate) fn new(spec: &ExchangerSpec, tank: &Tank) -> Self {
        match *spec {
            ExchangerSpec::Plate { rating, tank_flow_kg_s, tank_pump_w, draw_from_frac, return_to_frac } => {
                Self {
                    from: slice_at(draw_from_frac, tank.slices),
                    to: slice_at(return_to_frac, tank.slices),
                    pump_w: tank_pump_w,
                    plate: Some(Plate { rating, tank_flow_w_k: tank_flow_kg_s * tank.water_j_kg_k }),
                }
            }
            ExchangerSpec::OpenLoop { draw_from_frac, return_to_frac }
            | ExchangerSpec::Coil { bottom_frac: draw_from_frac, top_frac: return_to_frac, .. } => Self {
                from: slice_at(draw_from_frac, tank.slices),
                to: slice_at(return_to_frac, tank.slices),
                pump_w: 0.0,
                plate: None,
            },
        }
    }

    /// Capacity flow of the tank's water in W/K when the loop's is `flow_w_k`.
    pub(crate) fn tank_flow_w_k(&self, flow_w_k: f64) -> f64 {
        self.plate.map_or(flow_w_k, |plate| plate.tank_flow_w_k)
    }

    /// Mean temperature of the water taken over a step: the slice relaxes towards what flows into it.
    pub(crate) fn taken_c(&self, slices_c: &[f64], passing: &Passing) -> f64 {
        let own_c = slices_c[self.from];
        if self.from == self.to {
            return own_c;
        }
        let beside_c = slices_c[if self.to > self.from { self.from + 1 } else { self.from - 1 }];
        // Where cold water enters at the very slice, it takes the place of what would come from beside.
        let cold = if self.from == passing.cold_slice { passing.drawn } else { 0.0 };
        let beside = (passing.moved - cold).max(0.0);
        let entering_c = (beside * beside_c + cold * passing.cold_c) / (beside + cold);
        own_c + (1.0 - mean_share(beside + cold)) * (entering_c - own_c)
    }

    /// The loop's map for tank water taken at `taken_c`.
    pub(crate) fn map(&self, flow_w_k: f64, taken_c: f64) -> Affine {
        let Some(plate) = self.plate else {
            return Affine { slope: 0.0, base_c: taken_c };
        };
        let effectiveness = match plate.rating {
            PlateRating::UaWK(ua_w_k) => counterflow_effectiveness(ua_w_k, flow_w_k, plate.tank_flow_w_k),
            PlateRating::EffectivenessFrac(frac) => frac,
        };
        let share = effectiveness * flow_w_k.min(plate.tank_flow_w_k) / flow_w_k;
        Affine { slope: 1.0 - share, base_c: share * taken_c }
    }
}
