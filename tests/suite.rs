//! Integration tests, one module for each theme.

mod job_file;
mod invented;
mod pictures;
mod results_folder;
mod sun_reference;
mod water_use;
mod weather;
mod weather_make;
