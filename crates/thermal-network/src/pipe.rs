//! A pipe of insulated runs in series: plug flow with exact transport, heat loss on the way and while standing.
//!
//! The content is one queue of parcels measured by heat capacity (J/K, tube wall included, so that a parcel's delay is
//! `C' L / flow`). On entering, a parcel loses what it would lose on its way through the first half of the pipe, and on
//! leaving what it would in the second; while nothing flows every parcel relaxes towards the surroundings of the run it
//! stands in. `U'` by Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, radial systems (from memory):
//! `1 / (1/(pi d_i h_i) + ln(r2/r1)/(2 pi k) + 1/(pi d_o h_o))`; the tube wall's own resistance is left out.

use std::f64::consts::PI;

use crate::film::{self, TubeFlow};
use crate::flows::Conditions;
use crate::fluid::Fluid;
use crate::relaxation::decay;
use crate::spec::{PipeRunSpec, Surroundings};

/// Outside film indoors in W/(m2 K), common practice.
pub const INDOOR_FILM_W_M2_K: f64 = 10.0;

/// Parcels a pipe can hold; older neighbours merge beyond that.
const PARCELS: usize = 64;

/// Shares of a run's content that are no share: what rounding leaves at a border between runs.
const SLIVER_FRAC: f64 = 1e-9;

/// Fluid that stays on the walls of a drained pipe as a share of its content (assumed; a pipe of no wall must hold something).
const WETTED_FRAC: f64 = 0.01;

/// A pipe ready to step: its runs along the flow.
#[derive(Clone, Debug)]
pub(crate) struct Pipe {
    runs: Vec<PipeRun>,
    /// Heat capacity of all fluid and wall in J/K; zero where there is no pipe.
    pub(crate) content_j_k: f64,
}

/// A run ready to step.
#[derive(Clone, Debug)]
pub(crate) struct PipeRun {
    /// Heat capacity of fluid and wall in J/K, and of the fluid alone.
    content_j_k: f64,
    fluid_j_k: f64,
    length_m: f64,
    /// Resistance of inner film and insulation in m K/W.
    inner_m_k_w: f64,
    /// Circumference of the outside in m.
    outside_m: f64,
    /// Given outside film; `None`: from the wind.
    outer_film_w_m2_k: Option<f64>,
    surroundings: Surroundings,
}

impl PipeRun {
    /// `flow_m3_s` is the design flow, for the inside film where none is given.
    fn new(spec: &PipeRunSpec, fluid: &Fluid, loop_c: f64, flow_m3_s: f64) -> Self {
        let bore_m2 = PI / 4.0 * spec.bore_m * spec.bore_m;
        let fluid_j_m_k = bore_m2 * fluid.density_kg_m3(loop_c) * fluid.specific_heat_j_kg_k(loop_c);
        let outer_m = spec.tube_outer_m + 2.0 * spec.insulation_m;
        let flow = TubeFlow {
            fluid: *fluid,
            mean_c: loop_c,
            diameter_m: spec.bore_m,
            mass_flow_kg_s: flow_m3_s * fluid.density_kg_m3(loop_c),
        };
        // A fluid without viscosity has no film of its own; the checks demand a given one for it.
        let inner_film = spec.inner_film_w_m2_k.or(flow.film_w_m2_k()).unwrap_or(f64::INFINITY);
        let insulation_m_k_w = if spec.insulation_m > 0.0 {
            libm::log(outer_m / spec.tube_outer_m) / (2.0 * PI * spec.insulation_w_m_k)
        } else {
            0.0
        };
        let indoors = spec.surroundings != Surroundings::Outdoor;
        Self {
            content_j_k: (fluid_j_m_k + spec.wall_capacity_j_m_k) * spec.length_m,
            fluid_j_k: fluid_j_m_k * spec.length_m,
            length_m: spec.length_m,
            inner_m_k_w: 1.0 / (PI * spec.bore_m * inner_film) + insulation_m_k_w,
            outside_m: PI * outer_m,
            outer_film_w_m2_k: spec.outer_film_w_m2_k.or(indoors.then_some(INDOOR_FILM_W_M2_K)),
            surroundings: spec.surroundings,
        }
    }

    /// A run that only holds fluid, for a loop without pipes.
    fn lossless(content_j_k: f64) -> Self {
        Self {
            content_j_k,
            fluid_j_k: content_j_k,
            length_m: 0.0,
            inner_m_k_w: 1.0,
            outside_m: 1.0,
            outer_film_w_m2_k: Some(INDOOR_FILM_W_M2_K),
            surroundings: Surroundings::TankRoom,
        }
    }

    /// A vessel of a given loss.
    fn vessel(content_j_k: f64, loss_w_k: f64, surroundings: Surroundings) -> Self {
        Self {
            length_m: loss_w_k,
            inner_m_k_w: 1.0,
            // Its loss is given as a whole: no further resistance outside.
            outside_m: f64::INFINITY,
            surroundings,
            ..Self::lossless(content_j_k)
        }
    }

    /// The same run empty.
    fn drained(&self) -> Self {
        Self { content_j_k: self.content_j_k - (1.0 - WETTED_FRAC) * self.fluid_j_k, ..self.clone() }
    }

    /// Loss of the whole run in W/K.
    fn loss_w_k(&self, wind_m_s: f64) -> f64 {
        let film = self.outer_film_w_m2_k.unwrap_or_else(|| film::wind_film_w_m2_k(wind_m_s));
        self.length_m / (self.inner_m_k_w + 1.0 / (self.outside_m * film))
    }
}

/// A pipe in its present surroundings.
#[derive(Clone, Debug, Default)]
pub(crate) struct PipeStep {
    runs: Vec<RunStep>,
    first_half: Transit,
    second_half: Transit,
}

/// A run in its present surroundings.
#[derive(Clone, Copy, Debug, Default)]
struct RunStep {
    around_c: f64,
    loss_w_k: f64,
}

/// A way through part of a pipe: the fluid at `T` becomes `keeps T + base_c`.
#[derive(Clone, Copy, Debug)]
struct Transit {
    keeps: f64,
    base_c: f64,
}

impl Default for Transit {
    fn default() -> Self {
        Self { keeps: 1.0, base_c: 0.0 }
    }
}

impl Transit {
    #[inline(always)]
    fn pass(&self, fluid_c: f64) -> f64 {
        self.keeps * fluid_c + self.base_c
    }

    /// Falls of `parcels` whose temperatures add up to `sum_k`, added up.
    fn falls_k(&self, parcels: f64, sum_k: f64) -> f64 {
        (1.0 - self.keeps) * sum_k - parcels * self.base_c
    }
}

impl PipeStep {
    /// What a parcel becomes on entering.
    #[inline(always)]
    pub(crate) fn enter(&self, fluid_c: f64) -> f64 {
        self.first_half.pass(fluid_c)
    }

    /// What a parcel becomes on leaving.
    #[inline(always)]
    pub(crate) fn leave(&self, fluid_c: f64) -> f64 {
        self.second_half.pass(fluid_c)
    }

    /// Falls of the parcels' temperature on both halves, added up, in K: as many came as left, with temperatures before either
    /// half that add up to `came_k` and `left_k`.
    pub(crate) fn lost_k(&self, parcels: f64, came_k: f64, left_k: f64) -> f64 {
        self.first_half.falls_k(parcels, came_k) + self.second_half.falls_k(parcels, left_k)
    }
}

impl Pipe {
    /// `flow_m3_s` is the design flow, for the inside film where none is given; runs without length are left out.
    pub(crate) fn new(specs: &[PipeRunSpec], fluid: &Fluid, loop_c: f64, flow_m3_s: f64) -> Self {
        let runs: Vec<PipeRun> = specs
            .iter()
            .filter(|run| run.length_m > 0.0)
            .map(|run| PipeRun::new(run, fluid, loop_c, flow_m3_s))
            .collect();
        let content_j_k = runs.iter().map(|run| run.content_j_k).sum();
        Self { runs, content_j_k }
    }

    /// The same pipe with its ends changed over.
    pub(crate) fn reversed(&self) -> Self {
        Self { runs: self.runs.iter().rev().cloned().collect(), content_j_k: self.content_j_k }
    }

    /// The same pipe empty.
    pub(crate) fn drained(&self) -> Self {
        let runs: Vec<PipeRun> = self.runs.iter().map(PipeRun::drained).collect();
        Self { content_j_k: runs.iter().map(|run| run.content_j_k).sum(), runs }
    }

    /// Puts a vessel of a given loss at the pipe's end.
    pub(crate) fn end_in_vessel(&mut self, content_j_k: f64, loss_w_k: f64, surroundings: Surroundings) {
        self.runs.push(PipeRun::vessel(content_j_k, loss_w_k, surroundings));
        self.content_j_k += content_j_k;
    }

    /// Heat capacity of each run along the flow, in J/K.
    pub(crate) fn runs_j_k(&self) -> impl DoubleEndedIterator<Item = f64> + ExactSizeIterator {
        self.runs.iter().map(|run| run.content_j_k)
    }

    /// Makes the pipe hold at least `least_j_k`, by a run that only holds fluid.
    pub(crate) fn fill_to(&mut self, least_j_k: f64) {
        if self.content_j_k < least_j_k {
            self.runs.push(PipeRun::lossless(least_j_k - self.content_j_k));
            self.content_j_k = least_j_k;
        }
    }

    /// A step's working memory.
    pub(crate) fn step(&self) -> PipeStep {
        PipeStep { runs: vec![RunStep::default(); self.runs.len()], ..PipeStep::default() }
    }

    /// Brings `step` to the present surroundings, and its losses to the wind where that has changed.
    pub(crate) fn surround(&self, step: &mut PipeStep, c: &Conditions, windy: bool) {
        for (run, now) in self.runs.iter().zip(&mut step.runs) {
            now.around_c = c.surroundings_c(run.surroundings);
            if windy {
                now.loss_w_k = run.loss_w_k(c.wind_m_s);
            }
        }
    }

    /// Prepares the ways through both halves of the pipe at a flow.
    pub(crate) fn lead_through(&self, step: &mut PipeStep, flow_w_k: f64) {
        let half_j_k = 0.5 * self.content_j_k;
        let mut before_j_k = 0.0;
        let mut halves = [(1.0, 0.0); 2];
        for (run, now) in self.runs.iter().zip(&step.runs) {
            let first = ((half_j_k - before_j_k) / run.content_j_k).clamp(0.0, 1.0);
            before_j_k += run.content_j_k;
            let keeps = [first, 1.0 - first].map(|share| decay(share * now.loss_w_k / flow_w_k));
            for ((kept, base_c), keep) in halves.iter_mut().zip(keeps) {
                *kept *= keep;
                *base_c = keep * *base_c + (1.0 - keep) * now.around_c;
            }
        }
        let transit = |(keeps, base_c)| Transit { keeps, base_c };
        step.first_half = transit(halves[0]);
        step.second_half = transit(halves[1]);
    }

    /// Standing for `seconds`: every parcel relaxes towards the surroundings of the run it stands in. Returns the heat
    /// lost in J.
    pub(crate) fn stand(&self, content: &mut PipeContent, step: &PipeStep, seconds: f64) -> f64 {
        let mut lost_j = 0.0;
        let mut parcel = 0;
        for (i, (run, now)) in self.runs.iter().zip(&step.runs).enumerate().rev() {
            let fall = 1.0 - decay(now.loss_w_k * seconds / run.content_j_k);
            let sliver_j_k = SLIVER_FRAC * run.content_j_k;
            let mut left_j_k = run.content_j_k;
            while parcel < content.len && (i == 0 || left_j_k > sliver_j_k) {
                if i > 0 && content.j_k_of(parcel) > left_j_k + sliver_j_k {
                    content.split(parcel, left_j_k);
                }
                left_j_k -= content.j_k_of(parcel);
                lost_j += content.relax(parcel, fall, now.around_c);
                parcel += 1;
            }
        }
        lost_j
    }
}

/// What a pipe holds: parcels from the outlet end to the inlet end.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct PipeContent {
    j_k: [f64; PARCELS],
    c: [f64; PARCELS],
    first: usize,
    len: usize,
}

impl PipeContent {
    pub(crate) fn new(content_j_k: f64, start_c: f64) -> Self {
        let mut content = Self { j_k: [0.0; PARCELS], c: [0.0; PARCELS], first: 0, len: 1 };
        content.j_k[0] = content_j_k;
        content.c[0] = start_c;
        content
    }

    /// Nothing yet; parcels must be let in before any is taken out.
    pub(crate) fn empty() -> Self {
        Self { len: 0, ..Self::new(0.0, 0.0) }
    }

    /// Turns the pipe round: the inlet end becomes the outlet end.
    pub(crate) fn reverse(&mut self) {
        for parcel in 0..self.len / 2 {
            let (a, b) = (self.at(parcel), self.at(self.len - 1 - parcel));
            self.j_k.swap(a, b);
            self.c.swap(a, b);
        }
    }

    /// Sets the temperature of the parcel next to leave, in degC.
    pub(crate) fn set_oldest_c(&mut self, c: f64) {
        self.c[self.first] = c;
    }

    /// Mean temperature in degC; not a number for a pipe that holds nothing.
    pub(crate) fn mean_c(&self) -> f64 {
        let held_j_k: f64 = (0..self.len).map(|parcel| self.j_k[self.at(parcel)]).sum();
        self.content_j() / held_j_k
    }

    /// Coldest and hottest parcel, in degC.
    pub(crate) fn range_c(&self) -> (f64, f64) {
        let parcels = (0..self.len).map(|parcel| self.c[self.at(parcel)]);
        parcels.fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), c| (least.min(c), most.max(c)))
    }

    /// Lets a parcel in at the inlet end.
    #[inline]
    pub(crate) fn push(&mut self, j_k: f64, c: f64) {
        if self.len == PARCELS {
            self.merge_newest();
        }
        let at = (self.first + self.len) % PARCELS;
        self.j_k[at] = j_k;
        self.c[at] = c;
        self.len += 1;
    }

    /// Takes `j_k` (its reciprocal is `per_j_k`) out at the outlet end and returns its mean temperature. There must be at
    /// least so much.
    #[inline]
    pub(crate) fn pop(&mut self, j_k: f64, per_j_k: f64) -> f64 {
        let mut wanted = j_k;
        let mut heat_j = 0.0;
        loop {
            let at = self.first % PARCELS;
            // The last parcel gives what is asked, whatever rounding left of it.
            if self.j_k[at] > wanted || self.len == 1 {
                self.j_k[at] -= wanted;
                return (heat_j + wanted * self.c[at]) * per_j_k;
            }
            heat_j += self.j_k[at] * self.c[at];
            wanted -= self.j_k[at];
            self.first = (at + 1) % PARCELS;
            self.len -= 1;
        }
    }

    /// Place of a parcel in the ring, counted from the outlet end.
    #[inline]
    fn at(&self, parcel: usize) -> usize {
        (self.first + parcel) % PARCELS
    }

    fn j_k_of(&self, parcel: usize) -> f64 {
        self.j_k[self.at(parcel)]
    }

    /// Cuts a parcel in two, the first of `j_k`; a full queue has parcels so small that none need be cut.
    fn split(&mut self, parcel: usize, j_k: f64) {
        if self.len == PARCELS {
            return;
        }
        for moved in (parcel..self.len).rev() {
            let (from, to) = (self.at(moved), self.at(moved + 1));
            self.j_k[to] = self.j_k[from];
            self.c[to] = self.c[from];
        }
        self.len += 1;
        let (first, second) = (self.at(parcel), self.at(parcel + 1));
        self.j_k[first] = j_k;
        self.j_k[second] -= j_k;
    }

    /// Takes the share `fall` of a parcel's difference to `around_c` away; returns the heat lost in J.
    fn relax(&mut self, parcel: usize, fall: f64, around_c: f64) -> f64 {
        let at = self.at(parcel);
        let fall_k = fall * (self.c[at] - around_c);
        self.c[at] -= fall_k;
        fall_k * self.j_k[at]
    }

    /// Heat content above 0 degC in J.
    pub(crate) fn content_j(&self) -> f64 {
        (0..self.len).map(|parcel| self.at(parcel)).map(|at| self.j_k[at] * self.c[at]).sum()
    }

    /// Temperature of the parcel next to leave, in degC.
    pub(crate) fn oldest_c(&self) -> f64 {
        self.c[self.first]
    }

    /// Temperature of the parcel that came in last, in degC.
    pub(crate) fn newest_c(&self) -> f64 {
        self.c[self.at(self.len - 1)]
    }

    fn merge_newest(&mut self) {
        let last = (self.first + self.len - 1) % PARCELS;
        let before = (self.first + self.len - 2) % PARCELS;
        let j_k = self.j_k[last] + self.j_k[before];
        self.c[before] = (self.j_k[last] * self.c[last] + self.j_k[before] * self.c[before]) / j_k;
        self.j_k[before] = j_k;
        self.len -= 1;
    }
}
