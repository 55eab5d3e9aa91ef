//! Integration tests, one module for each theme.

mod invented;
mod job_file;
mod pictures;
mod reference;
mod results_folder;
mod sun_reference;
mod water_use;
mod weather;
mod weather_make;
