//! Pictures: numbers from [`record`](crate::record) in, an SVG out; PNG is made from the SVG.
//!
//! Nothing here computes physics. Each picture is self-contained, needs no font file, and carries a title and a
//! description with its key figures for those who cannot see it.

mod canvas;
mod cash;
mod compare;
mod dark;
mod days;
mod dial;
mod heat;
mod map;
mod months;
pub mod plant;
mod raster;
mod size;
mod style;
mod tune;
mod units;
mod water_use;
mod weather;

pub use cash::cash_flow;
pub use compare::{SavedBar, compared_months, compared_plants, difference_parts};
pub(crate) use dark::dark_rules;
pub use days::{ShownDay, day_curves};
pub use dial::{HoursDial, hours_dial};
pub use heat::heat_path;
pub use map::{sun_map, tank_map};
pub use months::{low_month_bars, month_bars};
pub use plant::{DrawnPlant, plant_drawing};
pub use raster::png;
pub use size::{SizeBox, SizeGrid, size_grid};
pub(crate) use style::MONTHS;
pub use tune::{OnOff, OnOffCell, on_off_map, on_off_maps};
pub use units::{Units, before_sum, grouped, kwh, money, percent};
pub use water_use::water_use;
pub use weather::{WeatherMonths, weather_months};
