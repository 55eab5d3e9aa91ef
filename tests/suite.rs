//! Integration tests, one module for each theme.

mod allocation;
mod cli;
mod heaters;
mod hydraulics;
mod invented;
mod job_file;
mod job_words;
mod layouts;
mod limits;
mod loop_kinds;
mod measured;
mod money;
mod outage;
mod pictures;
mod random_jobs;
mod rating;
mod reference;
mod results_folder;
mod safety;
mod starters;
mod study;
mod sun_reference;
mod water_use;
mod weather;
mod weather_make;
mod year_accounts;
