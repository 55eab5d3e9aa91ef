//! A run of insulated tube: plug flow with exact transport, heat loss on the way and while standing.
//!
//! The content is a queue of parcels measured by heat capacity (J/K, tube wall included, so that a parcel's delay is
//! `C' L / flow`). A parcel loses half its transit loss on entering and half on leaving; while nothing flows every parcel
//! relaxes towards the surroundings. `U'` by Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, radial systems
//! (from memory): `1 / (1/(pi d_i h_i) + ln(r2/r1)/(2 pi k) + 1/(pi d_o h_o))`; the tube wall's own resistance is left out.

use std::f64::consts::PI;

use crate::collector::decay;
use crate::film::{self, TubeFlow};
use crate::fluid::Fluid;
use crate::spec::{PipeRunSpec, Surroundings};

/// Outside film indoors in W/(m2 K), common practice.
pub const INDOOR_FILM_W_M2_K: f64 = 10.0;

/// Parcels a run can hold; older neighbours merge beyond that.
const PARCELS: usize = 64;

/// A run ready to step.
#[derive(Clone, Debug)]
pub(crate) struct PipeRun {
    /// Heat capacity of fluid and wall in J/K.
    pub(crate) content_j_k: f64,
    length_m: f64,
    /// Resistance of inner film and insulation in m K/W.
    inner_m_k_w: f64,
    /// Circumference of the outside in m.
    outside_m: f64,
    /// Given outside film; `None`: from the wind.
    outer_film_w_m2_k: Option<f64>,
    pub(crate) surroundings: Surroundings,
}

impl PipeRun {
    /// `flow_m3_s` is the design flow, for the inside film where none is given.
    pub(crate) fn new(spec: &PipeRunSpec, fluid: &Fluid, loop_c: f64, flow_m3_s: f64) -> Self {
        let bore_m2 = PI / 4.0 * spec.bore_m * spec.bore_m;
        let content_j_m_k = bore_m2 * fluid.density_kg_m3(loop_c) * fluid.specific_heat_j_kg_k(loop_c)
            + spec.wall_capacity_j_m_k;
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
            content_j_k: content_j_m_k * spec.length_m,
            length_m: spec.length_m,
            inner_m_k_w: 1.0 / (PI * spec.bore_m * inner_film) + insulation_m_k_w,
            outside_m: PI * outer_m,
            outer_film_w_m2_k: spec.outer_film_w_m2_k.or(indoors.then_some(INDOOR_FILM_W_M2_K)),
            surroundings: spec.surroundings,
        }
    }

    /// A run that only holds fluid, for a loop without pipes.
    pub(crate) fn lossless(content_j_k: f64) -> Self {
        Self {
            content_j_k,
            length_m: 0.0,
            inner_m_k_w: 1.0,
            outside_m: 1.0,
            outer_film_w_m2_k: Some(INDOOR_FILM_W_M2_K),
            surroundings: Surroundings::TankRoom,
        }
    }

    /// Loss of the whole run in W/K.
    pub(crate) fn loss_w_k(&self, wind_m_s: f64) -> f64 {
        let film = self.outer_film_w_m2_k.unwrap_or_else(|| film::wind_film_w_m2_k(wind_m_s));
        self.length_m / (self.inner_m_k_w + 1.0 / (self.outside_m * film))
    }

    /// True if the loss changes with the wind.
    pub(crate) fn feels_wind(&self) -> bool {
        self.outer_film_w_m2_k.is_none()
    }
}

/// What a run holds: parcels from the outlet end to the inlet end.
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

    /// Takes `j_k` out at the outlet end and returns its mean temperature. There must be at least so much.
    #[inline]
    pub(crate) fn pop(&mut self, j_k: f64) -> f64 {
        let mut wanted = j_k;
        let mut heat_j = 0.0;
        loop {
            let at = self.first;
            // The last parcel gives what is asked, whatever rounding left of it.
            if self.j_k[at] > wanted || self.len == 1 {
                self.j_k[at] -= wanted;
                return (heat_j + wanted * self.c[at]) / j_k;
            }
            heat_j += self.j_k[at] * self.c[at];
            wanted -= self.j_k[at];
            self.first = (at + 1) % PARCELS;
            self.len -= 1;
        }
    }

    /// Standing: every parcel keeps the share `keep` of its difference to the surroundings. Returns the heat lost in J.
    pub(crate) fn stand(&mut self, keep: f64, surroundings_c: f64) -> f64 {
        let mut lost_j = 0.0;
        for i in 0..self.len {
            let at = (self.first + i) % PARCELS;
            let fall_k = (1.0 - keep) * (self.c[at] - surroundings_c);
            self.c[at] -= fall_k;
            lost_j += fall_k * self.j_k[at];
        }
        lost_j
    }

    /// Heat content above 0 degC in J.
    pub(crate) fn content_j(&self) -> f64 {
        (0..self.len).map(|i| (self.first + i) % PARCELS).map(|at| self.j_k[at] * self.c[at]).sum()
    }

    /// Temperature of the parcel next to leave, in degC.
    pub(crate) fn oldest_c(&self) -> f64 {
        self.c[self.first]
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

/// Share of a difference kept through half a transit at this flow.
pub(crate) fn keep_half_transit(loss_w_k: f64, flow_w_k: f64) -> f64 {
    decay(0.5 * loss_w_k / flow_w_k)
}

/// Share of a difference kept while standing for `step_s`.
pub(crate) fn keep_standing(loss_w_k: f64, content_j_k: f64, step_s: f64) -> f64 {
    decay(loss_w_k * step_s / content_j_k)
}
