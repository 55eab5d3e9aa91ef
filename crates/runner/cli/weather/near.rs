//! `suncask weather near`.

use std::fmt::Write as _;
use std::path::PathBuf;

use super::super::{Failure, ShownUnits, out};
use super::{look::height, numbers};
use crate::picture::{Units, grouped};
use crate::weather::near::{self, Here, Nearby, Stored};

const MILE_KM: f64 = 1.609_344;

/// Files shown.
const SHOWN: usize = 5;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Name of a stored site, or LATITUDE,LONGITUDE in degrees (north and east positive).
    #[arg(allow_hyphen_values = true)]
    place: String,
    /// Folder with weather files.
    #[arg(long = "in", value_name = "FOLDER")]
    folder: PathBuf,
    /// Units shown.
    #[arg(long, value_enum, default_value_t)]
    units: ShownUnits,
}

pub(super) fn near(arguments: &Arguments) -> Result<(), Failure> {
    let stored = near::stored(&arguments.folder)?;
    if stored.is_empty() {
        let folder = arguments.folder.display();
        return Err(Failure::input(format_args!("no readable weather file in {folder}")));
    }
    let (seen_from, here) = locate(&stored, arguments)?;
    let mut text = format!("Nearest to {seen_from}:\n");
    for (i, nearby) in near::nearest(&stored, here, SHOWN).iter().enumerate() {
        let _ = write!(text, "{}. {}", i + 1, line(nearby, arguments.units.into()));
    }
    out::print(&text)
}

/// The place asked for, in words and as coordinates.
fn locate(stored: &[Stored], arguments: &Arguments) -> Result<(String, Here), Failure> {
    let place = &arguments.place;
    if let Some([latitude_deg, longitude_deg]) = numbers(place) {
        if latitude_deg.abs() > 90.0 || longitude_deg.abs() > 180.0 {
            let limits = "the latitude lies between -90 and 90 degrees, the longitude between -180 and 180";
            return Err(Failure::usage(format_args!("{place}: {limits}")));
        }
        return Ok((place.clone(), Here { latitude_deg, longitude_deg, elevation_m: None }));
    }
    let [found, others @ ..] = &near::by_name(stored, place)[..] else {
        return Err(Failure::input(format_args!(
            "no stored site is called \"{place}\" in {}; give LATITUDE,LONGITUDE, for example 39.7,-105.2",
            arguments.folder.display()
        )));
    };
    let more = match others.len() {
        0 => String::new(),
        count => format!(" (first of {} sites with that name)", count + 1),
    };
    Ok((format!("{}{more}", found.site.called()), Here::from(&found.site)))
}

fn line(nearby: &Nearby, units: Units) -> String {
    let distance = match units {
        Units::Us => format!("{} mi", grouped(nearby.distance_km / MILE_KM, 0)),
        Units::Si => format!("{} km", grouped(nearby.distance_km, 0)),
    };
    let level = match nearby.height_difference_m {
        Some(above_m) if above_m < 0.0 => format!("{} lower", height(-above_m, units)),
        Some(above_m) => format!("{} higher", height(above_m, units)),
        None => format!("{} above sea level", height(nearby.stored.site.elevation_m, units)),
    };
    let sun = match (nearby.ghi_kwh_m2, &nearby.problems[..]) {
        (Some(ghi), []) => format!("{} kWh/m\u{b2} a year on level ground", grouped(ghi, 0)),
        (Some(ghi), doubts) => format!(
            "{} kWh/m\u{b2} a year on level ground, {} to note (see suncask weather FILE)",
            grouped(ghi, 0),
            if doubts.len() == 1 { "1 point".into() } else { format!("{} points", doubts.len()) }
        ),
        (None, [first, ..]) => format!("cannot be used: {}", first.message),
        (None, []) => "cannot be used".into(),
    };
    let site = nearby.stored.site.called();
    format!("{site}: {distance} away, {level}, {sun}\n   {}\n", nearby.stored.path.display())
}
