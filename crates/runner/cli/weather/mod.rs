//! `suncask weather`: look at a file, find the nearest one, make a year.

mod look;
mod make;
mod near;

use std::path::PathBuf;

use clap::Subcommand;

use super::{Failure, ShownUnits};
use crate::weather;

#[derive(Debug, clap::Args)]
#[command(args_conflicts_with_subcommands = true, subcommand_negates_reqs = true)]
pub(super) struct Arguments {
    #[command(subcommand)]
    command: Option<Command>,
    #[command(flatten)]
    look: Option<Look>,
}

/// Looking at one file.
#[derive(Debug, clap::Args)]
struct Look {
    /// Weather file to look at (one called like a subcommand: write ./near).
    file: PathBuf,
    /// Sums on a plane instead: tilt and azimuth in degrees, azimuth clockwise from north (35,180 faces south).
    #[arg(long, value_name = "TILT,AZIMUTH", requires = "json", allow_hyphen_values = true)]
    plane: Option<String>,
    /// Print the sums on the plane as JSON.
    #[arg(long, requires = "plane")]
    json: bool,
    /// Share of light the ground reflects, for the sums on a plane.
    #[arg(long, default_value_t = 0.2, requires = "plane", allow_hyphen_values = true)]
    albedo: f64,
    /// Folder for the pictures; by default the current one.
    #[arg(long, value_name = "DIR", conflicts_with = "plane")]
    out: Option<PathBuf>,
    /// Units shown.
    #[arg(long, value_enum, default_value_t, conflicts_with = "plane")]
    units: ShownUnits,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Find the stored weather files nearest to a place.
    Near(near::Arguments),
    /// Make a typical-like year from twelve monthly means.
    Make(make::Arguments),
}

pub(super) fn weather(arguments: &Arguments) -> Result<(), Failure> {
    match (&arguments.command, &arguments.look) {
        (Some(Command::Near(near)), _) => near::near(near),
        (Some(Command::Make(make)), _) => make::make(make),
        (None, Some(look)) => {
            let year = weather::read(&look.file)?;
            match &look.plane {
                Some(plane) => look::on_plane(&year, plane, look.albedo),
                None => look::look(&year, look),
            }
        }
        (None, None) => Err(Failure::usage("name a weather file")),
    }
}

/// So many numbers with commas between them, and nothing else.
fn numbers<const COUNT: usize>(text: &str) -> Option<[f64; COUNT]> {
    let words = text.split(',').map(|word| word.trim().parse().ok().filter(|n: &f64| n.is_finite()));
    let numbers: Option<Vec<f64>> = words.collect();
    numbers?.try_into().ok()
}
