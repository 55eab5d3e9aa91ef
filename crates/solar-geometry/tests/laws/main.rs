//! Laws that hold for any place, time and sky.

mod irradiance;
mod obstacles;
mod optics;
mod sun;
mod sunrise;
mod time;
