//! Natural circulation: the flow at which friction takes the head that buoyancy makes.
//!
//! Round the loop `head = (1/rho) sum rho_i dz_i` with one mean density for each of supply pipe, collector, return pipe and the
//! tank or coil between their ends. Friction follows the fluid's mean temperature; it is tabulated once. Fluid without inertia:
//! flow is renewed every step, and agrees with the head that its own first half leaves behind.
//!
//! Backwards the same loop is walked as its mirror: collector and pipes turned end to end.

use std::ops::Range;

use crate::collector::{Collector, Drive};
use crate::fluid::Fluid;
use crate::hydraulics::Circuit;
use crate::solar_loop::{LoopRun, LoopSpan, RETURN, SUPPLY, SolarLoop};
use crate::spec::{ExchangerSpec, LoopKind, LoopSpec, NaturalSpec};
use crate::state::State;
use crate::tank::{Tank, mean_c, slice_at};

/// Longest step of natural circulation, in s: temperatures drive the flow.
pub(crate) const NATURAL_STEP_S: u32 = 60;

/// A smaller capacity flow counts as none, in W/K.
const LEAST_W_K: f64 = 0.5;

/// Temperatures of the friction table: the first and the distance of the others, in degC and K.
const FIRST_C: f64 = -20.0;
const APART_K: f64 = 20.0;
const TEMPERATURES: usize = 8;

/// Heads of the friction table in m: the least, and eight in every decade.
const LEAST_HEAD_M: f64 = 1e-6;
const PER_DECADE: f64 = 8.0;
const HEADS: usize = 57;

/// Halvings that find the share of a flow that agrees with its own effect.
const AGREEMENT_HALVINGS: usize = 12;

/// Halvings that find a flow.
const HALVINGS: usize = 30;

/// A loop that buoyancy moves.
#[derive(Clone, Debug)]
pub(crate) struct Natural {
    /// Logarithm of the flow in m3/s at each head of each temperature.
    ln_flow: Vec<f64>,
    collector_m: f64,
    cold_end_m: f64,
    hot_end_m: f64,
    back_frac: f64,
    /// It runs forward by itself: there is no pump.
    pub(crate) drives: bool,
    /// What buoyancy works on; a fluid of constant properties is taken as water.
    dense: Fluid,
    fluid: Fluid,
    /// Slices between the ends in the tank.
    slices: (usize, usize),
    /// The loop turned end to end.
    pub(crate) mirror: SolarLoop,
}

impl Natural {
    /// `filled` is the same loop as if it were pumped.
    pub(crate) fn new(spec: &NaturalSpec, loop_spec: &LoopSpec, tank: &Tank, filled: &SolarLoop) -> Self {
        let (low_frac, high_frac) = match loop_spec.exchanger {
            ExchangerSpec::Coil { bottom_frac, top_frac, .. } => (bottom_frac, top_frac),
            ExchangerSpec::OpenLoop { draw_from_frac, return_to_frac }
            | ExchangerSpec::Plate { draw_from_frac, return_to_frac, .. } => {
                (draw_from_frac.min(return_to_frac), draw_from_frac.max(return_to_frac))
            }
        };
        Self {
            ln_flow: friction_table(&spec.circuit),
            collector_m: spec.collector_m,
            cold_end_m: spec.cold_end_m,
            hot_end_m: spec.hot_end_m,
            back_frac: spec.back_frac,
            drives: matches!(loop_spec.kind, LoopKind::Thermosiphon(_)),
            dense: match loop_spec.fluid {
                Fluid::Constant { .. } => Fluid::Water,
                fluid => fluid,
            },
            fluid: loop_spec.fluid,
            slices: (slice_at(low_frac, tank.slices), slice_at(high_frac, tank.slices)),
            mirror: filled.turned(),
        }
    }

    /// Head in m that drives the fluid forward at these mean temperatures, and the mean of all, in degC.
    fn head(&self, legs: &Legs, moved_c: [f64; 3]) -> (f64, f64) {
        let [supply_c, collector_c, return_c] = moved_c;
        let rho = |t_c| self.dense.density_kg_m3(t_c);
        let column = rho(supply_c) * self.cold_end_m
            - rho(collector_c) * self.collector_m
            - rho(return_c) * (self.hot_end_m - self.collector_m)
            + rho(legs.tank_c) * (self.hot_end_m - self.cold_end_m);
        let mean_c = 0.25 * (legs.tank_c + collector_c + supply_c + return_c);
        (column / rho(mean_c), mean_c)
    }

    /// Capacity flow in W/K that a head drives, backwards if it is negative.
    pub(crate) fn flow_w_k(&self, head_m: f64, mean_c: f64) -> f64 {
        let open = if head_m < 0.0 { -self.back_frac } else { 1.0 };
        let at = (libm::log10((head_m.abs() / LEAST_HEAD_M).max(1.0)) * PER_DECADE).min((HEADS - 1) as f64);
        let warm = ((mean_c - FIRST_C) / APART_K).clamp(0.0, (TEMPERATURES - 1) as f64);
        let (i, j) = ((at as usize).min(HEADS - 2), (warm as usize).min(TEMPERATURES - 2));
        let (di, dj) = (at - i as f64, warm - j as f64);
        let row = |j: usize| {
            let row = &self.ln_flow[j * HEADS..(j + 1) * HEADS];
            row[i] + di * (row[i + 1] - row[i])
        };
        // Heads below the table's first: laminar, in proportion.
        let least = (head_m.abs() / LEAST_HEAD_M).min(1.0);
        let flow_m3_s = least * libm::exp(row(j) + dj * (row(j + 1) - row(j)));
        let flow_w_k =
            open * flow_m3_s * self.fluid.density_kg_m3(mean_c) * self.fluid.specific_heat_j_kg_k(mean_c);
        if flow_w_k.abs() < LEAST_W_K { 0.0 } else { flow_w_k }
    }

    /// The flow of the next step of `seconds`: that which agrees with the head in the middle of the step, when half of what it
    /// moves has moved. Without this foresight a loop at rest would swing about its balance with every step.
    pub(crate) fn next_w_k(&self, legs: &Legs, seconds: f64) -> f64 {
        let (head_m, mean_c) = self.head(legs, legs.mean_c);
        let at_once_w_k = self.flow_w_k(head_m, mean_c);
        if at_once_w_k == 0.0 {
            return 0.0;
        }
        let entering_c = if at_once_w_k > 0.0 { legs.forward_c } else { legs.backward_c };
        let (mut less, mut more) = (0.0, 1.0);
        for _ in 0..AGREEMENT_HALVINGS {
            let share = 0.5 * (less + more);
            let moved_j_k = 0.5 * seconds * (share * at_once_w_k).abs();
            let moved_c = std::array::from_fn(|leg| {
                let passed = (moved_j_k / legs.content_j_k[leg].max(f64::MIN_POSITIVE)).min(1.0);
                legs.mean_c[leg]
                    + 0.5 * seconds * legs.standing_k_s[leg]
                    + passed * (entering_c[leg][0] - entering_c[leg][1])
            });
            let (head_m, mean_c) = self.head(legs, moved_c);
            let agrees = self.flow_w_k(head_m, mean_c) / at_once_w_k;
            if agrees > share { less = share } else { more = share }
        }
        let flow_w_k = more * at_once_w_k;
        if flow_w_k.abs() < LEAST_W_K { 0.0 } else { flow_w_k }
    }

    /// What the loop holds now.
    pub(crate) fn legs(
        &self,
        span: &LoopSpan<'_>,
        state: &State,
        (fields_c, slices_c): ([&[f64]; 2], &[f64]),
    ) -> Legs {
        let LoopSpan { solar, drive, .. } = span;
        let tank_c = mean_c(&slices_c[self.slices.0..=self.slices.1]);
        let (cold_end_c, hot_end_c) = (slices_c[self.slices.0], slices_c[self.slices.1]);
        // Two fields side by side are one leg: each counts by its share of the flow.
        let field = |collector: &Collector, cells_c: &[f64], drive: &Drive| Field {
            first_c: cells_c[0],
            last_c: cells_c[cells_c.len() - 1],
            mean_c: mean_c(cells_c),
            standing_k_s: collector.standing_k_s(drive, mean_c(cells_c)),
            content_j_k: collector.cell_j_k() * cells_c.len() as f64,
        };
        let first = field(&solar.collector, fields_c[0], drive);
        let collectors = match solar.second.as_deref() {
            None => first,
            Some(second) => {
                first.beside(&field(&second.collector, fields_c[1], &drive.second()), second.flow_frac)
            }
        };
        let Field { first_c, last_c, .. } = collectors;
        // A leg without pipe is as warm as its two ends.
        let pipe = |way: usize, ends_c: [f64; 2]| {
            let pipe = &state.pipes[way];
            if solar.pipes[way].content_j_k > 0.0 {
                (pipe.mean_c(), [pipe.newest_c(), pipe.oldest_c()])
            } else {
                (0.5 * (ends_c[0] + ends_c[1]), ends_c)
            }
        };
        let (supply_c, supply_ends_c) = pipe(SUPPLY, [cold_end_c, first_c]);
        let (return_c, return_ends_c) = pipe(RETURN, [last_c, hot_end_c]);
        Legs {
            tank_c,
            mean_c: [supply_c, collectors.mean_c, return_c],
            standing_k_s: [0.0, collectors.standing_k_s, 0.0],
            content_j_k: [
                solar.pipes[SUPPLY].content_j_k,
                collectors.content_j_k,
                solar.pipes[RETURN].content_j_k,
            ],
            forward_c: [
                [cold_end_c, supply_ends_c[1]],
                [supply_ends_c[1], last_c],
                [last_c, return_ends_c[1]],
            ],
            backward_c: [
                [first_c, supply_ends_c[0]],
                [return_ends_c[0], first_c],
                [hot_end_c, return_ends_c[0]],
            ],
        }
    }
}

/// Collectors as buoyancy sees them.
struct Field {
    first_c: f64,
    last_c: f64,
    mean_c: f64,
    standing_k_s: f64,
    content_j_k: f64,
}

impl Field {
    /// The same with another field at its side that takes a share of the flow.
    fn beside(&self, other: &Self, flow_frac: f64) -> Self {
        let mix = |own: f64, other: f64| own + flow_frac * (other - own);
        Self {
            first_c: mix(self.first_c, other.first_c),
            last_c: mix(self.last_c, other.last_c),
            mean_c: mix(self.mean_c, other.mean_c),
            standing_k_s: mix(self.standing_k_s, other.standing_k_s),
            content_j_k: self.content_j_k + other.content_j_k,
        }
    }
}

/// Supply pipe, collector and return pipe as buoyancy sees them, and the tank beside them.
pub(crate) struct Legs {
    /// Between the ends in the tank.
    tank_c: f64,
    mean_c: [f64; 3],
    /// Change without flow, by sun and loss, in K/s; that of pipes is slow.
    standing_k_s: [f64; 3],
    content_j_k: [f64; 3],
    /// What enters and what leaves each leg when the loop runs forwards, and backwards.
    forward_c: [[f64; 2]; 3],
    backward_c: [[f64; 2]; 3],
}

/// Logarithm of the flow in m3/s that each head drives, temperature by temperature.
fn friction_table(circuit: &Circuit) -> Vec<f64> {
    let mut table = Vec::with_capacity(TEMPERATURES * HEADS);
    for j in 0..TEMPERATURES {
        let t_c = FIRST_C + APART_K * j as f64;
        for i in 0..HEADS {
            let head_m = LEAST_HEAD_M * libm::pow(10.0, i as f64 / PER_DECADE);
            // Bracketed in the logarithm: a drop a minute to a river.
            let (mut less, mut more) = (libm::log(1e-12), 0.0);
            for _ in 0..HALVINGS {
                let middle: f64 = 0.5 * (less + more);
                if circuit.head_m(t_c, libm::exp(middle)) < head_m { less = middle } else { more = middle }
            }
            table.push(0.5 * (less + more));
        }
    }
    table
}

/// Turns collector fields and pipes of a state end to end; turning twice changes nothing.
pub(crate) fn turn(state: &mut State, fields: &[Range<usize>; 2]) {
    for field in fields {
        state.nodes_c[field.clone()].reverse();
    }
    state.pipes.swap(SUPPLY, RETURN);
    state.pipes.iter_mut().for_each(crate::pipe::PipeContent::reverse);
}

/// Working memory of the mirrored loop, where there is one.
pub(crate) fn mirror_run(solar: Option<&SolarLoop>) -> LoopRun {
    LoopRun::new(solar.and_then(SolarLoop::mirror))
}
