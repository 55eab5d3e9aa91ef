//! Mixing at the tap: hot water from the tank and cold water make what is wanted.

use crate::flows::Draw;

/// Share of the tap flow that comes from the tank, `(T_use - T_cold)/(T_hot - T_cold)`; all of it where the tank is too
/// cool, none where cold water is warm enough by itself.
#[inline]
pub fn hot_share(use_c: f64, hot_c: f64, cold_c: f64) -> f64 {
    if use_c <= cold_c {
        0.0
    } else if hot_c <= use_c {
        1.0
    } else {
        (use_c - cold_c) / (hot_c - cold_c)
    }
}

/// Heat of the wanted water above the incoming cold, per second, in W.
pub(crate) fn load_w(draw: &Draw, cold_c: f64, water_j_m3_k: f64) -> f64 {
    draw.flow_m3_s * water_j_m3_k * (draw.use_c - cold_c).max(0.0)
}
