//! Backup heat: what warms the water when the sun does not.
//!
//! [`element`] holds the thermostat and what every heater in a tank has in common; [`burner`] and [`heat_pump`] what they
//! have of their own, and [`source_step`] their step; [`flow_through`] is the heater behind the last tank.

pub(crate) mod burner;
pub(crate) mod element;
pub(crate) mod flow_through;
pub(crate) mod heat_pump;
pub(crate) mod source_step;
