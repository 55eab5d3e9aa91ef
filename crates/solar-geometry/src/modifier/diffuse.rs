//! Means of a modifier over the sky and the ground that a tilted plane sees.

use super::AngleModifier;
use crate::surface::ProjectedAngles;
use core::f64::consts::{FRAC_PI_2, PI};
use libm::{acos, atan, cos, sin, sincos, tan};

/// Incidence angle at which glass treats beam as it treats isotropic sky light, rad: M. Brandemuehl and W. Beckman,
/// Solar Energy 24 (1980) 511-513.
pub fn equivalent_sky_angle_rad(tilt_rad: f64) -> f64 {
    let tilt_deg = tilt_rad.to_degrees();
    (59.7 + tilt_deg * (-0.1388 + tilt_deg * 0.001497)).to_radians()
}

/// Incidence angle at which glass treats beam as it treats light from flat ground, rad (the same paper).
pub fn equivalent_ground_angle_rad(tilt_rad: f64) -> f64 {
    let tilt_deg = tilt_rad.to_degrees();
    (90.0 + tilt_deg * (-0.5788 + tilt_deg * 0.002693)).to_radians()
}

/// Which of the two the mean is taken over.
#[derive(Clone, Copy, PartialEq)]
enum Seen {
    Sky,
    Ground,
}

/// Rings of incidence on each side of the first one that the horizon cuts.
const RINGS: u32 = 1000;
/// Rings and steps along a ring for a modifier that changes along it.
const BIAXIAL_RINGS: u32 = 200;
const BIAXIAL_STEPS: u32 = 90;

impl AngleModifier {
    /// Mean over the part of an even sky (flat horizon) that a plane of this tilt sees, weighted with the cosine of
    /// incidence; within 1e-5 of the integral.
    ///
    /// Costs some thousand evaluations (a biaxial one some ten thousand): meant to be done once, not per step.
    pub fn sky_mean(&self, tilt_rad: f64) -> f64 {
        self.mean(tilt_rad, Seen::Sky)
    }

    /// The same over flat, evenly bright ground; zero for a horizontal plane, which sees none.
    pub fn ground_mean(&self, tilt_rad: f64) -> f64 {
        self.mean(tilt_rad, Seen::Ground)
    }

    fn mean(&self, tilt_rad: f64, seen: Seen) -> f64 {
        let (rings, steps) = match self {
            Self::Biaxial { .. } => (BIAXIAL_RINGS, BIAXIAL_STEPS),
            _ => (RINGS, 1),
        };
        // Rings around the normal lie whole in the sky up to the first one that touches the horizon (or, for a plane
        // facing down, whole in the ground).
        let touch_rad = (FRAC_PI_2 - tilt_rad).abs();
        let (mut weighted, mut weight) = (0.0, 0.0);
        let mut add = |incidence_rad: f64, width_rad: f64| {
            let (sine, cosine) = sincos(incidence_rad);
            let [from_rad, until_rad] = arc(tilt_rad, incidence_rad, seen);
            let ring_weight = (until_rad - from_rad) * sine * cosine * width_rad;
            if ring_weight > 0.0 {
                weighted += ring_weight * self.ring_mean(incidence_rad, [from_rad, until_rad], steps);
                weight += ring_weight;
            }
        };
        let step = 1.0 / f64::from(rings);
        for ring in 0..rings {
            let u = step * (f64::from(ring) + 0.5);
            add(touch_rad * u, touch_rad * step);
            // The seen arc starts like a square root past the touch: squared steps there.
            let rest_rad = FRAC_PI_2 - touch_rad;
            add(touch_rad + rest_rad * u * u, rest_rad * 2.0 * u * step);
        }
        if weight > 0.0 { weighted / weight } else { 0.0 }
    }

    /// Mean of the modifier along a part of a ring of constant incidence.
    fn ring_mean(&self, incidence_rad: f64, [from_rad, until_rad]: [f64; 2], steps: u32) -> f64 {
        if steps == 1 {
            return self.at(incidence_rad);
        }
        let width_rad = (until_rad - from_rad) / f64::from(steps);
        let slope = tan(incidence_rad);
        let sum: f64 = (0..steps)
            .map(|step| {
                let (across, along) = sincos(from_rad + width_rad * (f64::from(step) + 0.5));
                self.at_projected(&ProjectedAngles {
                    longitudinal_rad: atan(slope * along.abs()),
                    transversal_rad: atan(slope * across.abs()),
                })
            })
            .sum();
        sum / f64::from(steps)
    }
}

/// The part of a half ring of constant incidence, measured from the up-slope direction, that lies in the sky or on
/// the ground, rad.
fn arc(tilt_rad: f64, incidence_rad: f64, seen: Seen) -> [f64; 2] {
    // Height above the horizon: cos(tilt) cos(incidence) + sin(tilt) sin(incidence) cos(place on the ring).
    let across = sin(tilt_rad) * sin(incidence_rad);
    let level = -cos(tilt_rad) * cos(incidence_rad);
    let horizon_rad = if across.abs() > level.abs() {
        acos(level / across)
    } else if level < 0.0 {
        PI
    } else {
        0.0
    };
    match seen {
        Seen::Sky => [0.0, horizon_rad],
        Seen::Ground => [horizon_rad, PI],
    }
}
