//! `suncask weather make`.

use std::path::{Path, PathBuf};

use clap::ValueEnum;

use super::super::{Failure, out};
use super::numbers;
use crate::picture::grouped;
use crate::weather::make::{MakeSpec, make_year};
use crate::weather::{self, Layout, summary, write};

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Name of the place.
    #[arg(long)]
    name: String,
    /// Latitude in degrees, north positive.
    #[arg(long, allow_hyphen_values = true)]
    latitude: f64,
    /// Longitude in degrees, east positive.
    #[arg(long, allow_hyphen_values = true)]
    longitude: f64,
    /// Height above sea level in m.
    #[arg(long, default_value_t = 0.0, allow_hyphen_values = true)]
    elevation: f64,
    /// Local standard time minus UTC in hours; by default that of the longitude.
    #[arg(long, allow_hyphen_values = true)]
    utc_offset: Option<f64>,
    /// Twelve monthly means of global horizontal irradiation in kWh/m2 a day, January first.
    #[arg(long, value_name = "12 NUMBERS", allow_hyphen_values = true)]
    sun: String,
    /// Twelve monthly means of air temperature in degC.
    #[arg(long, value_name = "12 NUMBERS", allow_hyphen_values = true)]
    air: String,
    /// Twelve monthly means of wind in m/s; without it 3 m/s all year.
    #[arg(long, value_name = "12 NUMBERS", allow_hyphen_values = true)]
    wind: Option<String>,
    /// Number that decides the order of days; the same number makes the same year.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Layout of the file.
    #[arg(long, value_enum, default_value_t = MadeLayout::Plain)]
    layout: MadeLayout,
    /// File to write; one that is there is only replaced if it is a made year too.
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum MadeLayout {
    /// Our own plain CSV.
    Plain,
    /// TMY3.
    Tmy3,
    /// NSRDB.
    Nsrdb,
    /// PVGIS typical year.
    Pvgis,
}

impl From<MadeLayout> for Layout {
    fn from(layout: MadeLayout) -> Self {
        match layout {
            MadeLayout::Plain => Self::Plain,
            MadeLayout::Tmy3 => Self::Tmy3,
            MadeLayout::Nsrdb => Self::Nsrdb,
            MadeLayout::Pvgis => Self::PvgisTmy,
        }
    }
}

pub(super) fn make(arguments: &Arguments) -> Result<(), Failure> {
    let spec = MakeSpec {
        name: arguments.name.clone(),
        latitude_deg: arguments.latitude,
        longitude_deg: arguments.longitude,
        elevation_m: arguments.elevation,
        utc_offset_h: arguments.utc_offset,
        ghi_kwh_m2_day: twelve("sun", &arguments.sun)?,
        air_c: twelve("air", &arguments.air)?,
        wind_m_s: arguments.wind.as_deref().map(|wind| twelve("wind", wind)).transpose()?,
        seed: arguments.seed,
    };
    let year = make_year(&spec)?;
    let text = write::text(&year, arguments.layout.into())?;
    let shown = arguments.out.display();
    if !may_be_replaced(&arguments.out) {
        return Err(Failure::input(format_args!(
            "{shown} is there already and is not a made year, so it is not replaced; name another file"
        )));
    }
    out::save(&arguments.out, text.as_bytes())?;
    let sums = summary::summarise(&year).annual;
    out::print(&format!(
        "{shown}: {} kWh/m\u{b2} a year on level ground, mean air {:.1} \u{b0}C ({:.1} \u{b0}F). A made year, not a measured one.",
        grouped(sums.ghi_kwh_m2, 0),
        sums.air_mean_c,
        sums.air_mean_c * 1.8 + 32.0
    ))
}

/// A measured year, or anything else that may be somebody's own, stays.
fn may_be_replaced(path: &Path) -> bool {
    std::fs::symlink_metadata(path).is_err() || weather::read(path).is_ok_and(|year| year.made)
}

fn twelve(key: &str, text: &str) -> Result<[f64; 12], Failure> {
    numbers(text).ok_or_else(|| {
        Failure::usage(format_args!("--{key} \"{text}\": expected twelve numbers with commas, January first"))
    })
}
