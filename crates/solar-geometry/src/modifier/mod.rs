//! Incidence angle modifiers: how much less (or more) a collector takes of slanting light, and their means over the
//! sky and the ground.

mod diffuse;
mod glass;
mod table;

pub use diffuse::{equivalent_ground_angle_rad, equivalent_sky_angle_rad};
pub use glass::{CoverMethod, GlassCover, surface_reflectance};
pub use table::{AngleTable, TableError};

use crate::surface::{Direction, Plane, ProjectedAngles, longitudinal_transversal_rad};
use core::f64::consts::{FRAC_1_SQRT_2, FRAC_PI_2, FRAC_PI_3};
use libm::{acos, atan, cos, tan};

/// Factor on the absorbed beam against the angle of incidence: 1 at normal incidence, 0 from 90 deg on.
#[derive(Debug, Clone, PartialEq)]
pub enum AngleModifier {
    /// 1 at all angles below 90 deg.
    None,
    /// `1 - b0 (1/cos - 1)`, not below zero (A. Souka and H. Safwat, Solar Energy 10 (1966) 170-174).
    OneParameter {
        /// Coefficient, commonly 0.05 to 0.2.
        b0: f64,
        /// From 60 deg on a straight line to zero at 90 deg, instead of the formula.
        straight_tail: bool,
    },
    /// `1 - b0 (1/cos - 1) - b1 (1/cos - 1)^2`, not below zero.
    ///
    /// Sets that turn the curve up towards 90 deg (negative b1) are fitted to about 60 deg; past that angle they
    /// continue as a straight line to zero at 90 deg.
    TwoParameter {
        /// Coefficient of the first power.
        b0: f64,
        /// Coefficient of the second power.
        b1: f64,
    },
    /// Straight lines between values of a table over the incidence angle.
    Table(AngleTable),
    /// Product of a longitudinal and a transversal table (ISO 9806:2017), for collectors with unlike axes.
    Biaxial {
        /// Over the angle along the slope.
        longitudinal: AngleTable,
        /// Over the angle across the slope.
        transversal: AngleTable,
    },
    /// Transmittance of smooth glass covers over its value at normal incidence.
    Glass(GlassCover),
}

/// Angle up to which the coefficients b0 and b1 are fitted in practice, rad.
const FITTED_TO_RAD: f64 = FRAC_PI_3;

impl AngleModifier {
    /// The modifier for the beam of a sun in a given direction on a plane.
    pub fn beam(&self, sun: &Direction, plane: &Plane) -> f64 {
        match self {
            Self::Biaxial { .. } => self.at_projected(&longitudinal_transversal_rad(sun, plane)),
            _ => self.at_cosine(sun.dot(&plane.normal())),
        }
    }

    /// The modifier at an incidence angle (its sign does not matter), rad.
    ///
    /// A biaxial modifier is taken halfway between its axes, where both projected angles are equal.
    pub fn at(&self, incidence_rad: f64) -> f64 {
        let incidence_rad = incidence_rad.abs();
        if incidence_rad >= FRAC_PI_2 {
            return 0.0;
        }
        match self {
            Self::Table(table) => table.at(incidence_rad),
            Self::Biaxial { .. } => {
                let each_rad = atan(tan(incidence_rad) * FRAC_1_SQRT_2);
                self.at_projected(&ProjectedAngles { longitudinal_rad: each_rad, transversal_rad: each_rad })
            }
            _ => self.at_cosine(cos(incidence_rad)),
        }
    }

    /// The modifier at the cosine of an incidence angle, as [`AngleModifier::at`].
    pub fn at_cosine(&self, cos_incidence: f64) -> f64 {
        if cos_incidence <= 0.0 {
            return 0.0;
        }
        match self {
            Self::None => 1.0,
            Self::OneParameter { b0, straight_tail } => slant(cos_incidence, [*b0, 0.0], *straight_tail),
            Self::TwoParameter { b0, b1 } => slant(cos_incidence, [*b0, *b1], false),
            Self::Glass(cover) => cover.modifier(cos_incidence),
            Self::Table(_) | Self::Biaxial { .. } => self.at(acos(cos_incidence.min(1.0))),
        }
    }

    /// The modifier at a pair of longitudinal and transversal angles.
    pub fn at_projected(&self, angles: &ProjectedAngles) -> f64 {
        let (longitudinal_rad, transversal_rad) =
            (angles.longitudinal_rad.abs(), angles.transversal_rad.abs());
        if longitudinal_rad >= FRAC_PI_2 || transversal_rad >= FRAC_PI_2 {
            return 0.0;
        }
        match self {
            Self::Biaxial { longitudinal, transversal } => {
                longitudinal.at(longitudinal_rad) * transversal.at(transversal_rad)
            }
            _ => {
                let (along, across) = (tan(longitudinal_rad), tan(transversal_rad));
                self.at_cosine(1.0 / (1.0 + along * along + across * across).sqrt())
            }
        }
    }
}

/// The polynomial in `1/cos - 1`, with a straight tail where asked for or where the formula rises towards 90 deg.
fn slant(cos_incidence: f64, [b0, b1]: [f64; 2], straight_tail: bool) -> f64 {
    let formula = |cosine: f64| {
        let s = 1.0 / cosine - 1.0;
        (1.0 - s * (b0 + b1 * s)).max(0.0)
    };
    let rises = b1 < 0.0 || (b1 == 0.0 && b0 < 0.0);
    // cos 60 deg = 0.5
    if (straight_tail || rises) && cos_incidence < 0.5 {
        let left_frac = (FRAC_PI_2 - acos(cos_incidence)) / (FRAC_PI_2 - FITTED_TO_RAD);
        return formula(0.5) * left_frac;
    }
    formula(cos_incidence)
}
