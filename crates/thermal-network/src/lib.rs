//! Components of a solar water heating plant and one step of it.

pub mod film;
pub mod flows;
pub mod fluid;
pub mod spec;
