//! Integration tests, one module for each theme.
mod weather;
mod weather_make;
