//! Flow of a pumped loop, worked out once before a year runs: friction of tubes, fittings and devices against a pump's curve.
//!
//! Heads are in m of the fluid that flows, as pump curves are drawn. A [`Circuit`] says what head a flow needs
//! ([`friction`] and [`device`]), a [`Pump`] what head it makes ([`curve`]), and [`operating_point`] where the two meet.

pub mod curve;
pub mod device;
pub mod friction;
mod point;

pub use curve::{Curve, CurveFault};
pub use device::Device;
pub use friction::TubeRun;
pub use point::{Circuit, OperatingPoint, Power, Pump, operating_point};

/// Standard gravity in m/s2 (General Conference on Weights and Measures 1901).
pub const GRAVITY_M_S2: f64 = 9.806_65;

/// Temperature in degC at which a loop's flow is worked out: the one at which the plant takes the loop's other coefficients.
pub const DESIGN_LOOP_C: f64 = 50.0;
