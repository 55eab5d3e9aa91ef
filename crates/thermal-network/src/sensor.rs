//! What a temperature sensor makes of what it is fixed to.

use crate::spec::SensorSpec;

/// `reading = T - s (T - T_surroundings) + offset`, then a first-order lag.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Sensor {
    offset_k: f64,
    seat_loss_frac: f64,
    lag_s: f64,
}

impl Sensor {
    pub(crate) fn new(spec: &SensorSpec) -> Self {
        Self { offset_k: spec.offset_k, seat_loss_frac: spec.seat_loss_frac, lag_s: spec.lag_s }
    }

    /// Reading without lag.
    #[inline]
    pub(crate) fn instant_c(&self, true_c: f64, surroundings_c: f64) -> f64 {
        true_c - self.seat_loss_frac * (true_c - surroundings_c) + self.offset_k
    }

    /// The true temperature behind a reading without lag.
    pub(crate) fn true_c(&self, reading_c: f64, surroundings_c: f64) -> f64 {
        (reading_c - self.offset_k - self.seat_loss_frac * surroundings_c) / (1.0 - self.seat_loss_frac)
    }

    /// True if the reading comes late.
    pub(crate) fn lags(&self) -> bool {
        self.lag_s > 0.0
    }

    /// Reading `step_s` later than `reading_c`, the thing measured being at `true_c`.
    #[inline]
    pub(crate) fn follow_c(&self, reading_c: f64, true_c: f64, surroundings_c: f64, step_s: f64) -> f64 {
        let instant_c = self.instant_c(true_c, surroundings_c);
        if self.lags() {
            instant_c + (reading_c - instant_c) * libm::exp(-step_s / self.lag_s)
        } else {
            instant_c
        }
    }
}
