//! Sun position, sky and incidence: pure functions, no files, no allocation per time step.
//!
//! Angles are in radians unless a name says degrees; azimuths run clockwise from true north; hour angles are zero at
//! solar noon and positive in the afternoon; tilt is zero for a plane that faces the zenith.

mod angle;
pub mod clear;
pub mod horizon;
pub mod modifier;
pub mod monthly;
pub mod sky;
pub mod split;
pub mod sun;
pub mod surface;
pub mod time;
