//! Components of a solar water heating plant and one step of it: numbers in, numbers out.
//!
//! A [`spec::PlantSpec`] says what is there; [`Plant::assemble`] checks it and prepares the coefficients; [`Plant::advance`]
//! carries a [`State`] through a span of steady [`flows::Conditions`] and adds what crossed between the components to
//! [`flows::Flows`]. Nothing here knows a sun, a file or a calendar; nothing fails or allocates once a plant is assembled.

mod assemble;
mod backup;
mod collector;
mod controller;
mod exchanger;
pub mod film;
pub mod flows;
pub mod fluid;
pub mod hydraulics;
mod ledger;
mod loop_kind;
pub mod phase;
mod pipe;
mod plant;
mod plumbing;
mod relaxation;
mod sensor;
mod solar_loop;
pub mod spec;
mod state;
mod tank;
mod valve;

pub use assemble::Fault;
pub use exchanger::circulation::{counterflow_effectiveness, counterflow_ua_w_k};
pub use exchanger::coil_ua;
pub use ledger::{Contents, Misfit};
pub use pipe::INDOOR_FILM_W_M2_K;
pub use plant::Plant;
pub use solar_loop::STAGNATION_C;
pub use state::{Scratch, State};
pub use tank::slice_at;
pub use valve::hot_share;
