//! What the people and the place ask of the plant through the year: draws at the tap, incoming cold water, hours in which
//! elements may run, and the temperature of the rooms.
//!
//! People live by the clock, sun and weather by local standard time. Everything here is laid out once, before the year
//! runs, in seconds of local standard time after 1 January 00:00; [`clock`] holds the one rule that leads from the one to
//! the other.

mod chance;
pub mod clock;
pub mod cold;
pub mod permission;
pub mod rooms;
pub mod schedule;
pub mod summary;
pub mod taps;

pub use chance::by_chance;
pub use cold::{AirClimate, cold_water_by_day};
pub use permission::PermissionYear;
pub use rooms::RoomYear;
pub use schedule::{DrawYear, Segment};
pub use summary::UseSummary;
pub use taps::{Tap, taps};

/// A year of hourly weather, invented, with the given air temperature in each hour and no sun.
#[cfg(test)]
fn weather_for_tests(air_c: impl Fn(u32) -> f64) -> crate::weather::WeatherYear {
    let none = || vec![0.0; 8760];
    crate::weather::WeatherYear {
        site: crate::weather::Site {
            name: "nowhere".to_owned(),
            latitude_deg: 40.0,
            longitude_deg: -100.0,
            elevation_m: 0.0,
            utc_offset_h: -7.0,
        },
        layout: crate::weather::Layout::Plain,
        source: "test".to_owned(),
        made: true,
        interval_s: 3600,
        first_start_s: 0.0,
        ghi_w_m2: none(),
        dni_w_m2: none(),
        dhi_w_m2: none(),
        air_c: (0..8760).map(air_c).collect(),
        wind_m_s: none(),
        dew_point_c: Vec::new(),
        warnings: Vec::new(),
    }
}
