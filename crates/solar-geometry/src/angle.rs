//! Angles brought into one turn.

use core::f64::consts::{PI, TAU};

/// The same angle in 0 (included) to 2 pi (excluded), rad.
pub(crate) fn wrap_positive_rad(angle_rad: f64) -> f64 {
    let turned = angle_rad - TAU * (angle_rad / TAU).floor();
    // A tiny negative angle rounds up to a whole turn.
    if turned < TAU { turned } else { 0.0 }
}

/// The same angle in -pi (included) to pi (excluded), rad.
pub(crate) fn wrap_symmetric_rad(angle_rad: f64) -> f64 {
    wrap_positive_rad(angle_rad + PI) - PI
}
