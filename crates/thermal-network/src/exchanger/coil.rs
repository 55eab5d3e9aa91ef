//! Coil in the tank or wrapped round it.
//!
//! Over slice j the fluid goes `Tin -> Tj + (Tin - Tj) exp(-UAj/C)`: one side isothermal, `eps = 1 - exp(-NTU)` (Kays &
//! London, Compact Heat Exchangers, from memory). The slices warm while heat comes in. In a steady run their warming in the
//! step before tells where they will stand half-way through this one (second order); in the first step of a run each takes
//! the mean of its own relaxation, `e = e0 (1 - exp(-y))/y` with `y = C e0 h / C_slice`.

use super::ua_table::UaTable;
use super::{Affine, Stream};
use crate::relaxation::mean_share;
use crate::spec::{CoilInlet, CoilTubeSpec};
use crate::tank::Tank;

/// Most a slice may relax towards the fluid in a step whose warming is foreseen: what the extrapolation amplifies stays
/// well damped.
const LONGEST_WARMING: f64 = 0.4;

/// A coil ready to step.
#[derive(Clone, Debug)]
pub(crate) struct Coil {
    /// Lowest slice it touches.
    first: usize,
    /// Conductance over each slice, from the lowest up, of a coil made of tube at its design point.
    ua_w_k: Vec<f64>,
    most_ua_w_k: f64,
    inlet: CoilInlet,
    /// Fluid that enters below heats the lowest slices most: they overturn all the time, and nothing can be foreseen.
    pub(crate) overturns: bool,
    /// How the conductance follows flow and temperatures, where the coil's tube is known.
    pub(crate) table: Option<Box<UaTable>>,
}

/// A coil at a flow and step length, with the last map made. Slices from the lowest up.
#[derive(Clone, Debug, Default)]
pub(crate) struct CoilStep {
    flow: CoilFlow,
    step_s: f64,
    relaxing: bool,
    /// Effectiveness over each slice, as if the tank stood still.
    frozen: Vec<f64>,
    /// Share of the difference given up over each slice.
    share: Vec<f64>,
    /// Fall of the fluid over each slice: `per_inlet T_in + base_c`.
    per_inlet: Vec<f64>,
    base_c: Vec<f64>,
    slope: f64,
    brought_c: f64,
}

/// What passes a coil.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct CoilFlow {
    /// Capacity flow in W/K.
    pub(crate) flow_w_k: f64,
    /// Conductance as a share of that at the design point.
    pub(crate) ua_frac: f64,
}

/// Heat of a step that a coil has still to give.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CoilDue {
    /// Mean temperature at its inlet.
    pub(crate) inlet_c: f64,
    /// Time of the step for which it has not given any.
    pub(crate) seconds: f64,
}

/// How the tank's slices warm, for telling where they will stand half-way through a step.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Warming<'a> {
    /// The coil's slices before the last step, from the lowest up.
    pub(crate) before_c: &'a [f64],
    /// Share of what they have warmed since by which they will be warmer in the middle of the step.
    pub(crate) ahead_frac: f64,
    /// None of them becomes colder than this.
    pub(crate) least_c: f64,
}

impl Coil {
    pub(crate) fn new(bottom_frac: f64, top_frac: f64, ua_w_k: f64, inlet: CoilInlet, tank: &Tank) -> Self {
        let n = tank.slices as f64;
        let parts: Vec<(usize, f64)> = (0..tank.slices)
            .filter_map(|j| {
                let overlap = ((j as f64 + 1.0) / n).min(top_frac) - (j as f64 / n).max(bottom_frac);
                // Rounding slivers are not slices of the coil.
                (overlap > 1e-9).then(|| (j, ua_w_k * overlap / (top_frac - bottom_frac)))
            })
            .collect();
        let ua_w_k: Vec<f64> = parts.iter().map(|&(_, ua_w_k)| ua_w_k).collect();
        let most_ua_w_k = ua_w_k.iter().fold(0.0_f64, |most, &ua_w_k| most.max(ua_w_k));
        let overturns = inlet == CoilInlet::Bottom;
        Self { first: parts[0].0, ua_w_k, most_ua_w_k, inlet, overturns, table: None }
    }

    /// The same coil made of a tube.
    pub(crate) fn of_tube(self, tube: &CoilTubeSpec, stream: &Stream<'_>) -> Self {
        let design_w_k: f64 = self.ua_w_k.iter().sum();
        Self { table: Some(Box::new(UaTable::new(tube, stream, design_w_k))), ..self }
    }

    /// The same coil with its ends changed over.
    pub(crate) fn turned(&self) -> Self {
        let inlet = match self.inlet {
            CoilInlet::Top => CoilInlet::Bottom,
            CoilInlet::Bottom => CoilInlet::Top,
        };
        Self { inlet, overturns: inlet == CoilInlet::Bottom, ..self.clone() }
    }

    /// Slices it touches.
    pub(crate) fn slices(&self) -> std::ops::Range<usize> {
        self.first..self.first + self.ua_w_k.len()
    }

    /// Longest step over which the warming of the step before may be carried on, in s.
    pub(crate) fn longest_step_s(&self, slice_j_k: f64, CoilFlow { flow_w_k, ua_frac }: CoilFlow) -> f64 {
        LONGEST_WARMING * slice_j_k / (self.most_ua_w_k * ua_frac).min(flow_w_k).max(f64::MIN_POSITIVE)
    }

    /// The loop's map for a step from the tank as it is, with the warming of its slices where that is known.
    pub(crate) fn map(
        &self,
        step: &mut CoilStep,
        slice_j_k: f64,
        flow: CoilFlow,
        step_s: f64,
        slices_c: &[f64],
        warming: Option<Warming<'_>>,
    ) -> Affine {
        self.set_flow(step, slice_j_k, flow, step_s, warming.is_none());
        let walls_c = &slices_c[self.slices()];
        match warming {
            Some(Warming { before_c, ahead_frac, least_c }) => {
                step.base_c.iter_mut().zip(walls_c.iter().zip(before_c)).for_each(
                    |(base_c, (wall_c, before_c))| {
                        *base_c = (wall_c + ahead_frac * (wall_c - before_c)).max(least_c)
                    },
                )
            }
            None => step.base_c.copy_from_slice(walls_c),
        }
        let mut brought_c = 0.0;
        // What leaves a slice waits for what came in with one multiplication only.
        let mut pass = |share: &f64, base_c: &mut f64| {
            let (came_c, wall_c) = (brought_c, *base_c);
            brought_c = (1.0 - share) * came_c + share * wall_c;
            *base_c = share * (came_c - wall_c);
        };
        let slices = step.share.iter().zip(&mut step.base_c);
        match self.inlet {
            CoilInlet::Top => slices.rev().for_each(|(share, base_c)| pass(share, base_c)),
            CoilInlet::Bottom => slices.for_each(|(share, base_c)| pass(share, base_c)),
        }
        step.brought_c = brought_c;
        Affine { slope: step.slope, base_c: brought_c }
    }

    /// Brings `step` to this flow and step length.
    fn set_flow(&self, step: &mut CoilStep, slice_j_k: f64, flow: CoilFlow, step_s: f64, relaxing: bool) {
        let same_flow = step.flow == flow;
        if same_flow && step.relaxing == relaxing && (!relaxing || step.step_s == step_s) {
            return;
        }
        let CoilFlow { flow_w_k, ua_frac } = flow;
        let slices = self.ua_w_k.len();
        if !same_flow {
            step.flow = flow;
            step.frozen.clear();
            // Most slices have the same share of the coil.
            let mut last = (f64::NAN, 0.0);
            step.frozen.extend(self.ua_w_k.iter().map(|&ua_w_k| {
                if ua_w_k != last.0 {
                    last = (ua_w_k, 1.0 - libm::exp(-ua_w_k * ua_frac / flow_w_k));
                }
                last.1
            }));
            step.base_c.resize(slices, 0.0);
            step.per_inlet.resize(slices, 0.0);
        }
        step.step_s = step_s;
        step.relaxing = relaxing;
        step.share.clear();
        let mut last = (f64::NAN, 0.0);
        step.share.extend(step.frozen.iter().map(|&frozen| {
            if frozen != last.0 {
                let relaxed = if relaxing { mean_share(flow_w_k * frozen * step_s / slice_j_k) } else { 1.0 };
                last = (frozen, frozen * relaxed);
            }
            last.1
        }));
        let mut reach = 1.0;
        for k in 0..slices {
            let i = match self.inlet {
                CoilInlet::Top => slices - 1 - k,
                CoilInlet::Bottom => k,
            };
            step.per_inlet[i] = step.share[i] * reach;
            reach -= step.per_inlet[i];
        }
        step.slope = reach;
    }

    /// Puts the heat of `step_s` with a mean inlet temperature into the slices; returns it in J.
    #[inline]
    pub(crate) fn give(
        &self,
        step: &CoilStep,
        slices_c: &mut [f64],
        slice_j_k: f64,
        inlet_c: f64,
        step_s: f64,
    ) -> f64 {
        let flow_j_k = step.flow.flow_w_k * step_s;
        let per_capacity = flow_j_k / slice_j_k;
        let slices_c = &mut slices_c[self.slices()];
        let (per_inlet_k, base_k) = (per_capacity * inlet_c, per_capacity);
        for ((slice_c, per_inlet), base_c) in slices_c.iter_mut().zip(&step.per_inlet).zip(&step.base_c) {
            *slice_c += per_inlet * per_inlet_k + base_c * base_k;
        }
        flow_j_k * (inlet_c - (step.slope * inlet_c + step.brought_c))
    }

    /// Warming of slice `j` in K after `step_s` with a mean inlet temperature, as long as nothing else happens to it.
    pub(crate) fn foreseen_k(
        &self,
        step: &CoilStep,
        j: usize,
        slice_j_k: f64,
        inlet_c: f64,
        step_s: f64,
    ) -> f64 {
        let i = j.wrapping_sub(self.first);
        let (Some(per_inlet), Some(base_c)) = (step.per_inlet.get(i), step.base_c.get(i)) else {
            return 0.0;
        };
        step.flow.flow_w_k * step_s / slice_j_k * (per_inlet * inlet_c + base_c)
    }
}
