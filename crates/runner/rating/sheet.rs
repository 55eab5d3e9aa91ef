//! Daily output of a collector as a rating sheet prints it: three skies by five temperature categories.
//!
//! From memory: the skies give 2000, 1500 and 1000 Btu/ft2 a day on the collector; in categories A to E the inlet stays
//! 5 K below, or 5, 20, 50 and 80 K above the air; the flow is 0.02 kg/(s m2) of water. The hourly course behind the printed
//! values is not at hand. Used here: half a sine wave of ten hours, the sun crossing the collector's normal at noon and moving
//! 15 degrees an hour across it (day and night equal, tilt as latitude), beam shares and sky long-wave of the blue, hazy and
//! grey sky of ISO 9806:2017 (850/1000, 440/690, 0; -100, -50, 0 W/m2; from memory), wind 3 m/s. Hours of loss count
//! zero. Categories A and B hardly depend on the course, D and E on dull days do.

use std::f64::consts::PI;

use solar_geometry::modifier::AngleModifier;
use solar_geometry::surface::ProjectedAngles;
use thermal_network::spec::CollectorSpec;

use crate::job::quantity::size::{BTU_J, SQUARE_FOOT_M2};

const BTU_FT2_J_M2: f64 = BTU_J / SQUARE_FOOT_M2;

/// Flow of the test as heat capacity per area, in W/(m2 K): 0.02 kg/(s m2) of water.
pub const USUAL_FLOW_W_M2_K: f64 = 0.02 * 4186.0;

/// A standard sky.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sky {
    /// As the sheet calls it.
    pub name: &'static str,
    /// Light on the collector's plane on that day in J/m2.
    pub day_j_m2: f64,
    beam_frac: f64,
    net_sky_w_m2: f64,
}

/// The skies, brightest first.
pub const SKIES: [Sky; 3] = [
    Sky { name: "clear", day_j_m2: 2000.0 * BTU_FT2_J_M2, beam_frac: 850.0 / 1000.0, net_sky_w_m2: -100.0 },
    Sky {
        name: "mildly cloudy",
        day_j_m2: 1500.0 * BTU_FT2_J_M2,
        beam_frac: 440.0 / 690.0,
        net_sky_w_m2: -50.0,
    },
    Sky { name: "cloudy", day_j_m2: 1000.0 * BTU_FT2_J_M2, beam_frac: 0.0, net_sky_w_m2: 0.0 },
];

/// Categories by name and inlet above air in K.
pub const CATEGORIES: [(&str, f64); 5] = [("A", -5.0), ("B", 5.0), ("C", 20.0), ("D", 50.0), ("E", 80.0)];

/// One value a sky and category.
pub type Days<T> = [[T; 5]; 3];

/// A collector as its sheet describes it.
#[derive(Clone, Copy, Debug)]
pub struct Rated<'a> {
    /// Coefficients; the output is that of its whole area.
    pub spec: &'a CollectorSpec,
    /// Modifier of the beam.
    pub modifier: &'a AngleModifier,
    /// Modifier of diffuse light; `None`: the beam modifier's mean over an even sky.
    pub diffuse_modifier: Option<f64>,
    /// Flow of the test as heat capacity per area in W/(m2 K).
    pub flow_w_m2_k: f64,
}

const SUN_HOURS: f64 = 10.0;
const SUN_DEG_PER_HOUR: f64 = 15.0;
/// Steps of five minutes: the sum over the half wave is within 1e-4 of the integral before scaling, exact after.
const STEPS: u32 = 120;

impl Rated<'_> {
    /// Heat of each day in J.
    pub fn days_j(&self) -> Days<f64> {
        let diffuse = self.diffuse_modifier.unwrap_or_else(|| self.modifier.sky_mean(0.0));
        let moments: Vec<(f64, f64)> = (0..STEPS)
            .map(|step| {
                let hour = SUN_HOURS * ((f64::from(step) + 0.5) / f64::from(STEPS) - 0.5);
                let course = libm::cos(PI * hour / SUN_HOURS);
                let transversal_rad = (SUN_DEG_PER_HOUR * hour).to_radians();
                let beam =
                    self.modifier.at_projected(&ProjectedAngles { longitudinal_rad: 0.0, transversal_rad });
                (course, beam)
            })
            .collect();
        let course_sum: f64 = moments.iter().map(|(course, _)| course).sum();
        let step_s = SUN_HOURS * 3600.0 / f64::from(STEPS);
        SKIES.map(|sky| {
            CATEGORIES.map(|(_, inlet_k)| {
                let heat_w_m2: f64 = moments
                    .iter()
                    .map(|(course, beam)| {
                        let sun_w_m2 = sky.day_j_m2 * course / (course_sum * step_s);
                        let counts = sky.beam_frac * beam + (1.0 - sky.beam_frac) * diffuse;
                        let taken_w_m2 =
                            self.spec.eta0b * sun_w_m2 * counts + self.spec.a4_frac * sky.net_sky_w_m2;
                        self.steady_w_m2(taken_w_m2, inlet_k).max(0.0)
                    })
                    .sum();
                heat_w_m2 * step_s * self.spec.area_m2
            })
        })
    }

    /// Steady heat in W/m2 at the reference wind, with the inlet above the air by `inlet_k`.
    fn steady_w_m2(&self, taken_w_m2: f64, inlet_k: f64) -> f64 {
        let s = self.spec;
        let mut heat_w_m2 = taken_w_m2;
        // The mean moves by loss/(2 flow) of its error each time, a tenth at most: sixteen digits in as many rounds.
        for _ in 0..16 {
            let mean_k = inlet_k + heat_w_m2 / (2.0 * self.flow_w_m2_k);
            let d = mean_k.abs();
            heat_w_m2 = taken_w_m2 - (s.a1_w_m2_k + d * (s.a2_w_m2_k2 + s.a8_w_m2_k4 * d * d)) * mean_k;
        }
        heat_w_m2
    }
}

/// Share of the printed value, and of the day's sun on the collector, by which the worked-out value may be off before it is
/// worth a look: the unknown course of the day is worth no more than the one or the other.
const TOLERANCE: (f64, f64) = (0.10, 0.04);

/// True if printed and worked-out output of a day agree: within 10 % of the printed one or 4 % of the day's sun.
pub fn agrees(printed_j: f64, worked_j: f64, sun_j: f64) -> bool {
    (printed_j - worked_j).abs() <= (TOLERANCE.0 * printed_j).max(TOLERANCE.1 * sun_j)
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLATE: CollectorSpec = CollectorSpec {
        area_m2: 3.0,
        eta0b: 0.75,
        a1_w_m2_k: 4.0,
        a2_w_m2_k2: 0.0,
        a3_j_m3_k: 0.0,
        a4_frac: 0.0,
        a5_j_m2_k: 8000.0,
        a6_s_m: 0.0,
        a7_s_m: 0.0,
        a8_w_m2_k4: 0.0,
        cells: 6,
    };

    fn days(spec: &CollectorSpec) -> Days<f64> {
        let flow_w_m2_k = USUAL_FLOW_W_M2_K;
        Rated { spec, modifier: &AngleModifier::None, diffuse_modifier: Some(1.0), flow_w_m2_k }.days_j()
    }

    #[test]
    fn straight_line_without_cut_is_the_closed_form() {
        // Category A never stops while the sun shines: FR(ta) H - FRUL (Ti - Ta) 10 h.
        let scale = 1.0 / (1.0 + 4.0 / (2.0 * USUAL_FLOW_W_M2_K));
        for (sky, day) in SKIES.iter().zip(days(&PLATE)) {
            let closed_j = 3.0 * scale * (0.75 * sky.day_j_m2 + 4.0 * 5.0 * 36_000.0);
            // Rounding of 120 sums.
            assert!((day[0] / closed_j - 1.0).abs() < 1e-12, "{}: {} {closed_j}", sky.name, day[0]);
        }
    }

    #[test]
    fn half_wave_with_cut_is_the_closed_form() {
        // Category D: heat flows while peak cos(x) > u; integral 2 [peak sin(x0) - u x0] of half a wave, x0 = acos(u/peak).
        let scale = 1.0 / (1.0 + 4.0 / (2.0 * USUAL_FLOW_W_M2_K));
        for (sky, day) in SKIES.iter().zip(days(&PLATE)) {
            let peak = 0.75 * sky.day_j_m2 * PI / (2.0 * 36_000.0);
            let needed = 4.0 * 50.0;
            let until = libm::acos(needed / peak);
            let closed_j = 3.0 * scale * (36_000.0 / PI) * 2.0 * (peak * libm::sin(until) - needed * until);
            // Five-minute steps across the kink.
            assert!((day[3] / closed_j - 1.0).abs() < 2e-3, "{}: {} {closed_j}", sky.name, day[3]);
        }
    }

    #[test]
    fn a_typing_error_shows() {
        let right = days(&PLATE);
        let all_agree = |spec: &CollectorSpec| {
            let found = days(spec);
            (0..3).all(|sky| {
                (0..5).all(|category| {
                    let sun_j = SKIES[sky].day_j_m2 * 3.0;
                    agrees(right[sky][category], found[sky][category], sun_j)
                })
            })
        };
        assert!(all_agree(&PLATE));
        // Slope in Btu/(h ft2 F) typed as W/(m2 K), area of two for one, digits of the intercept swapped.
        assert!(!all_agree(&CollectorSpec { a1_w_m2_k: 4.0 / 5.678, ..PLATE }));
        assert!(!all_agree(&CollectorSpec { area_m2: 6.0, ..PLATE }));
        assert!(!all_agree(&CollectorSpec { eta0b: 0.57, ..PLATE }));
    }

    #[test]
    fn upright_tubes_gain_in_the_morning() {
        use solar_geometry::modifier::AngleTable;
        let flat = AngleTable::from_deg(&[(0.0, 1.0), (89.0, 1.0)]).expect("a table");
        let rising = AngleTable::from_deg(&[(0.0, 1.0), (60.0, 1.4), (90.0, 0.0)]).expect("a table");
        let of = |longitudinal: &AngleTable, transversal: &AngleTable| {
            let modifier = AngleModifier::Biaxial {
                longitudinal: longitudinal.clone(),
                transversal: transversal.clone(),
            };
            let rated = Rated {
                spec: &PLATE,
                modifier: &modifier,
                diffuse_modifier: Some(1.0),
                flow_w_m2_k: USUAL_FLOW_W_M2_K,
            };
            rated.days_j()[0][0]
        };
        let plain = of(&flat, &flat);
        assert!(of(&flat, &rising) > 1.05 * plain);
        // The sun crosses; the angle along the tubes stays zero.
        assert!((of(&rising, &flat) / plain - 1.0).abs() < 1e-12);
    }
}
