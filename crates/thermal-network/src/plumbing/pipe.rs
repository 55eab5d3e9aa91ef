//! A pipe that holds drinking water: one run in one surrounding, whose water cools by the time it stays.

use std::f64::consts::PI;

use super::slug::Slugs;
use crate::film;
use crate::flows::Conditions;
use crate::pipe::INDOOR_FILM_W_M2_K;
use crate::spec::{Around, Surroundings, WaterPipeSpec};

/// A water pipe ready to step.
///
/// `U'` as for the collector loop's pipes, without the inside film: still water inside a pipe passes heat thirty times more
/// easily (some 300 W/(m2 K), common practice) than air outside takes it.
#[derive(Clone, Debug)]
pub(crate) struct WaterPipe {
    /// Heat capacity of water and wall in J/K.
    pub(crate) content_j_k: f64,
    length_m: f64,
    insulation_m_k_w: f64,
    /// Circumference of the outside in m.
    outside_m: f64,
    /// Given outside film; `None`: from the wind.
    outer_film_w_m2_k: Option<f64>,
    around: Around,
}

impl WaterPipe {
    pub(crate) fn new(spec: &WaterPipeSpec, water_j_m3_k: f64) -> Self {
        let outer_m = spec.tube_outer_m + 2.0 * spec.insulation_m;
        let insulation_m_k_w = if spec.insulation_m > 0.0 {
            libm::log(outer_m / spec.tube_outer_m) / (2.0 * PI * spec.insulation_w_m_k)
        } else {
            0.0
        };
        let indoors = spec.around != Around::Space(Surroundings::Outdoor);
        let bore_m2 = PI / 4.0 * spec.bore_m * spec.bore_m;
        Self {
            content_j_k: (bore_m2 * water_j_m3_k + spec.wall_capacity_j_m_k) * spec.length_m,
            length_m: spec.length_m,
            insulation_m_k_w,
            outside_m: PI * outer_m,
            outer_film_w_m2_k: spec.outer_film_w_m2_k.or(indoors.then_some(INDOOR_FILM_W_M2_K)),
            around: spec.around,
        }
    }

    /// Lets what the pipe holds cool for `seconds`; returns the heat lost in J.
    pub(crate) fn cool(&self, slugs: &mut Slugs, seconds: f64, c: &Conditions) -> f64 {
        let film = self.outer_film_w_m2_k.unwrap_or_else(|| film::wind_film_w_m2_k(c.wind_m_s));
        let loss_w_k = self.length_m / (self.insulation_m_k_w + 1.0 / (self.outside_m * film));
        let around_c = match self.around {
            Around::Space(space) => c.surroundings_c(space),
            Around::Steady(around_c) => around_c,
        };
        slugs.relax(-libm::expm1(-loss_w_k * seconds / self.content_j_k), around_c)
    }
}
