//! What the people and the place ask of the plant through the year: draws at the tap, incoming cold water, hours in which
//! elements may run, and the temperature of the rooms.
//!
//! People live by the clock, sun and weather by local standard time. Everything here is laid out once, before the year
//! runs, in seconds of local standard time after 1 January 00:00; [`clock`] holds the one rule that leads from the one to
//! the other.

pub mod clock;
pub mod schedule;

pub use schedule::{DrawYear, Segment};
