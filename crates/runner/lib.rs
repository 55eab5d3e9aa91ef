//! suncask: hour-by-hour annual simulation of solar water heating.
//!
//! A year in a few lines:
//!
//! ```
//! use suncask::record::Column;
//! use suncask::year::{RunOptions, Setting, run};
//! use suncask::{job, weather};
//!
//! let job = job::file::read_text("starter", job::starter()).expect("the starter job is sound");
//! let weather = weather::demo();
//! let setting = Setting::new(&job, &weather);
//! let year = run(&job, &setting, &RunOptions::default()).expect("the plant can be built");
//! println!("the sun saves {:.0} kWh", year.annual[Column::Saved]);
//! assert!(year.annual[Column::SavingsFraction] > 0.5);
//! ```

mod chance;
pub mod cli;
pub mod draws;
pub mod job;
pub mod money;
pub mod page;
pub mod picture;
pub mod problem;
pub mod rating;
pub mod record;
pub mod report;
pub mod safety;
pub mod study;
pub mod weather;
mod whole_file;
pub mod year;

/// Holds the example of the README to its word.
#[cfg(doctest)]
#[doc = include_str!("../../README.md")]
struct Readme;
