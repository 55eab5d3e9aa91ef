//! Integration tests, one module for each theme.

mod sun_reference;
mod weather;
mod weather_make;
