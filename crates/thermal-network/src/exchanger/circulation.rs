//! Tank water that leaves the tank to be warmed: in an external plate exchanger, or in the collector itself (open loop).

use super::Affine;
use crate::relaxation::mean_share;
use crate::spec::{ExchangerSpec, PlateRating};
use crate::tank::{Tank, mean_c, slice_at};

/// A circulated exchanger ready to step.
#[derive(Clone, Debug)]
pub(crate) struct Circulated {
    pub(crate) from: usize,
    pub(crate) to: usize,
    pub(crate) pump_w: f64,
    plate: Option<Plate>,
}

/// Films follow the flow to this power: chevron plates have 0.6 to 0.8 (Shah and Sekulic, Fundamentals of Heat Exchanger
/// Design, 2003, from memory).
const FILM_POWER: f64 = 0.7;

/// Transfer units of plates rated at an effectiveness no exchanger of their flows can have.
const MOST_UNITS: f64 = 1e6;

/// At the full flow both films are taken to resist alike, and the metal not at all (assumed). The tank's flow is constant, so
/// only the film on the loop's side changes; that cold glycol makes it worse is left out.
#[derive(Clone, Copy, Debug)]
struct Plate {
    /// Conductance of the clean plates at the full flow.
    rated_w_k: f64,
    /// Resistance of scale relative to that of the clean plates.
    scale_frac: f64,
    full_w_k: f64,
    tank_flow_w_k: f64,
}

impl Plate {
    fn ua_w_k(&self, flow_w_k: f64) -> f64 {
        let loop_film = libm::pow(self.full_w_k / flow_w_k, FILM_POWER);
        self.rated_w_k / (0.5 * (loop_film + 1.0) + self.scale_frac)
    }
}

/// Plates at a flow.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct PlateStep {
    flow_w_k: f64,
    /// Share of the difference to the tank's water that the loop's fluid gives up.
    share: f64,
}

/// What passes the slices in a step, in slice volumes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Passing {
    /// Circulated.
    pub(crate) moved: f64,
    /// Drawn.
    pub(crate) drawn: f64,
    /// How many of the lowest slices the draw keeps mixed.
    pub(crate) stirred: usize,
    /// Slices at which cold water enters and hot water leaves.
    pub(crate) cold_slice: usize,
    pub(crate) hot_slice: usize,
    /// Temperature of the cold water in degC.
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

/// Conductance in W/K at which a counterflow exchanger has this effectiveness: [`counterflow_effectiveness`] solved for it.
/// Above what its flows allow it counts as very large.
pub fn counterflow_ua_w_k(effectiveness_frac: f64, flow_w_k: f64, other_flow_w_k: f64) -> f64 {
    let smaller = flow_w_k.min(other_flow_w_k);
    let ratio = smaller / flow_w_k.max(other_flow_w_k);
    let missing = 1.0 - effectiveness_frac;
    let ntu = if 1.0 - ratio < 1e-6 {
        effectiveness_frac / missing
    } else {
        libm::log((1.0 - ratio * effectiveness_frac) / missing) / (1.0 - ratio)
    };
    smaller * ntu.min(MOST_UNITS)
}

impl Circulated {
    /// `spec` is a plate or an open loop; `full_w_k` the loop's capacity flow at full speed.
    pub(crate) fn new(spec: &ExchangerSpec, tank: &Tank, full_w_k: f64) -> Self {
        match *spec {
            ExchangerSpec::Plate {
                rating,
                scale_k_w,
                tank_flow_kg_s,
                tank_pump_w,
                draw_from_frac,
                return_to_frac,
            } => {
                let tank_flow_w_k = tank_flow_kg_s * tank.water_j_kg_k;
                let rated_w_k = match rating {
                    PlateRating::UaWK(ua_w_k) => ua_w_k,
                    PlateRating::EffectivenessFrac(frac) => counterflow_ua_w_k(frac, full_w_k, tank_flow_w_k),
                };
                let scale_frac = scale_k_w * rated_w_k;
                Self {
                    from: slice_at(draw_from_frac, tank.slices),
                    to: slice_at(return_to_frac, tank.slices),
                    pump_w: tank_pump_w,
                    plate: Some(Plate { rated_w_k, scale_frac, full_w_k, tank_flow_w_k }),
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

    /// Tank water through the loop the other way, without pump and plates.
    pub(crate) fn turned(&self) -> Self {
        Self { from: self.to, to: self.from, pump_w: 0.0, plate: None }
    }

    /// Capacity flow of the tank's water in W/K when the loop's is `flow_w_k`.
    pub(crate) fn tank_flow_w_k(&self, flow_w_k: f64) -> f64 {
        self.plate.map_or(flow_w_k, |plate| plate.tank_flow_w_k)
    }

    /// Mean temperature of the water taken over a step: the slice relaxes towards what flows into it, and so do all together
    /// that the draw keeps mixed.
    pub(crate) fn taken_c(&self, slices_c: &[f64], passing: &Passing) -> f64 {
        let own_c = slices_c[self.from];
        if self.from == self.to {
            return own_c;
        }
        let Passing { moved, drawn, stirred, cold_slice, hot_slice, cold_c } = *passing;
        // Up past the slice, against a stream that goes round to above it, beside one that comes up to it.
        let against = |drawn: f64| (moved - drawn).max(0.0);
        let (own_c, slices, [beside, beside_c], [drawn, drawn_c]) = if self.from < stirred {
            let mixed_c = mean_c(&slices_c[..stirred]);
            let beside_c = if self.to < stirred { mixed_c } else { slices_c[stirred] };
            (mixed_c, stirred as f64, [against(drawn), beside_c], [drawn, cold_c])
        } else {
            let below_c = slices_c[self.from.saturating_sub(1)];
            let enters = (cold_slice..=hot_slice).contains(&self.from);
            let drawn = if enters { drawn } else { 0.0 };
            let drawn_c = if self.from == cold_slice { cold_c } else { below_c };
            let beside = if self.to < self.from {
                [moved, below_c]
            } else {
                let passes = if self.from < hot_slice { drawn } else { 0.0 };
                [against(passes), slices_c[self.from + 1]]
            };
            (own_c, 1.0, beside, [drawn, drawn_c])
        };
        let entering_c = (beside * beside_c + drawn * drawn_c) / (beside + drawn);
        own_c + (1.0 - mean_share((beside + drawn) / slices)) * (entering_c - own_c)
    }

    /// The loop's map for tank water taken at `taken_c`.
    pub(crate) fn map(&self, step: &mut PlateStep, flow_w_k: f64, taken_c: f64) -> Affine {
        let Some(plate) = &self.plate else {
            return Affine { slope: 0.0, base_c: taken_c };
        };
        if step.flow_w_k != flow_w_k {
            let tank_flow_w_k = plate.tank_flow_w_k;
            let effectiveness = counterflow_effectiveness(plate.ua_w_k(flow_w_k), flow_w_k, tank_flow_w_k);
            let share = effectiveness * flow_w_k.min(tank_flow_w_k) / flow_w_k;
            *step = PlateStep { flow_w_k, share };
        }
        Affine { slope: 1.0 - step.share, base_c: step.share * taken_c }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stirred_zone_is_taken_as_one() {
        let open = Circulated { from: 0, to: 7, pump_w: 0.0, plate: None };
        let slices_c = [30.0, 40.0, 50.0, 50.0, 60.0, 60.0, 60.0, 60.0];
        let mut passing =
            Passing { moved: 0.5, drawn: 0.2, stirred: 0, cold_slice: 0, hot_slice: 7, cold_c: 10.0 };
        // By hand: of half a slice 0.2 come in at 10 degC and 0.3 at 40, mean 28. The mean over the step of `e^(-x)` up to 0.5 is
        // (1 - e^-0.5)/0.5 = 0.786939, and 30 + 0.213061 (28 - 30) = 29.573877.
        approx::assert_abs_diff_eq!(open.taken_c(&slices_c, &passing), 29.573_877, epsilon = 1e-6);
        // Four slices of 42.5 degC on the mean take 0.2 at 10 and 0.3 at 60, mean 40: an eighth of their water. The mean of
        // `e^(-x)` up to 0.125 is 0.940025, and 42.5 + 0.059975 (40 - 42.5) = 42.350062.
        passing.stirred = 4;
        approx::assert_abs_diff_eq!(open.taken_c(&slices_c, &passing), 42.350_062, epsilon = 1e-6);
        // Water that comes back into the zone is not counted: 0.2 at 10 and 0.3 at 42.5, mean 29.5, and 42.5 + 0.059975 (29.5 - 42.5)
        // = 41.720322.
        let low = Circulated { to: 2, ..open };
        approx::assert_abs_diff_eq!(low.taken_c(&slices_c, &passing), 41.720_322, epsilon = 1e-6);
    }

    #[test]
    fn a_draw_past_the_slice_is_taken_too() {
        let slices_c = [20.0, 30.0, 40.0, 50.0];
        let passing =
            Passing { moved: 0.3, drawn: 0.2, stirred: 0, cold_slice: 0, hot_slice: 3, cold_c: 10.0 };
        // By hand: both come up from below at 30 degC, half a slice, and 40 + 0.213061 (30 - 40) = 37.869387.
        let backwards = Circulated { from: 2, to: 0, pump_w: 0.0, plate: None };
        approx::assert_abs_diff_eq!(backwards.taken_c(&slices_c, &passing), 37.869_387, epsilon = 1e-6);
        // Against the stream the draw brings 0.2 at 20 degC and leaves 0.1 of it at 40, mean 26.6667. The mean of `e^(-x)` up to 0.3 is
        // 0.863939, and 30 + 0.136061 (26.6667 - 30) = 29.546464.
        let forwards = Circulated { from: 1, to: 3, ..backwards };
        approx::assert_abs_diff_eq!(forwards.taken_c(&slices_c, &passing), 29.546_464, epsilon = 1e-6);
        // Drawn at the slice itself nothing goes on against the stream: 0.2 at 20 degC and 0.3 at 40, mean 32.
        let outlet = Passing { hot_slice: 1, ..passing };
        approx::assert_abs_diff_eq!(forwards.taken_c(&slices_c, &outlet), 30.426_123, epsilon = 1e-6);
    }
}
