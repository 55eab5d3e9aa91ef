//! Built-in weather, so that the program can show a year before the user has a file.

use super::{WeatherYear, read_text};

/// The temperate sample of `weather-samples/`: an invented climate, made from monthly means.
const TEMPERATE: &str = include_str!("../../../weather-samples/temperate.csv");

/// A year of built-in weather; invented and marked as made.
///
/// # Panics
/// Never: the text is compiled in, and a test reads it.
pub fn demo() -> WeatherYear {
    read_text("built-in demo weather", TEMPERATE).expect("the compiled-in sample is readable")
}
