//! suncask: hour-by-hour annual simulation of solar water heating.

pub mod cli;
pub mod draws;
pub mod job;
pub mod picture;
pub mod problem;
pub mod record;
pub mod report;
pub mod weather;
pub mod year;
