//! `suncask check`.

use std::fmt::Write as _;
use std::path::PathBuf;

use super::{Failure, ShownUnits, collectors, input, out};
use crate::job::check::Standing;
use crate::job::{Echo, Job, check};
use crate::picture::{DrawnPlant, plant_drawing};
use crate::weather::WeatherYear;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The job file.
    job: PathBuf,
    /// Draw what is connected to what, at which heights: FILE ends in .svg or .png.
    #[arg(long, value_name = "FILE")]
    picture: Option<PathBuf>,
    /// Units of the drawing.
    #[arg(long, value_enum, default_value_t)]
    units: ShownUnits,
}

pub(super) fn check(arguments: &Arguments) -> Result<(), Failure> {
    // What was typed wrong is told before anything is read.
    let picture = arguments.picture.as_ref();
    let picture = picture.map(|path| out::PictureKind::of(path).map(|kind| (path, kind))).transpose()?;
    let job = input::job(&arguments.job)?;
    // A weather file that cannot be used is told at the end; the rest of the job is worth seeing.
    let weather = input::weather(&job, &arguments.job);
    let mut text = text(&job, weather.as_ref().ok());
    if let Some((path, kind)) = picture {
        out::picture(path, kind, &plant_drawing(&DrawnPlant::of(&job), arguments.units.into()))?;
        let _ = writeln!(text, "\nPicture: {}", path.display());
    }
    out::print(&text)?;
    weather.map(drop)
}

fn text(job: &Job, weather: Option<&WeatherYear>) -> String {
    let mut text = format!("{}\n\nWhat you wrote, as it was understood:\n", job.name);
    let (written, assumed): (Vec<&Echo>, Vec<&Echo>) =
        job.echo.iter().partition(|echo| echo.default_source.is_none());
    text.push_str(&echoes(&written));
    text.push_str("\nWhat is assumed because you wrote nothing (write the key to change it):\n");
    text.push_str(&echoes(&assumed));
    let local = weather.map(|year| {
        let _ = writeln!(text, "\n{}", input::weather_line(year));
        check::Local::of(year)
    });
    text.push_str("\nBeside rules of thumb (near: up to a fifth beyond the rule; never a verdict):\n");
    for finding in check::findings(job, local) {
        let mark = match finding.standing {
            Standing::Within => "in line",
            Standing::Near => "near   ",
            Standing::Off => "look at",
        };
        let (what, found, rule, source) = (finding.what, finding.found, finding.rule, finding.source);
        let _ = writeln!(text, "  {mark}  {what}: {found}; rule: {rule} ({source})");
        if !finding.comment.is_empty() {
            let _ = writeln!(text, "           {}", finding.comment);
        }
    }
    text.push_str(&collectors::text(job));
    let doubts: Vec<_> =
        job.notes.iter().chain(weather.map_or(&[][..], |year| &year.warnings)).cloned().collect();
    if !doubts.is_empty() {
        let _ = writeln!(text, "\n{}", out::lines(&doubts));
    }
    text
}

/// Keys with their values in one column, and the source of each default.
pub(super) fn echoes(echoes: &[&Echo]) -> String {
    let width = echoes.iter().map(|echo| echo.key.len()).max().unwrap_or(0);
    let line = |echo: &&Echo| {
        let source = echo.default_source.as_ref().map_or(String::new(), |source| format!("   [{source}]"));
        format!("  {:width$}  {}{source}\n", echo.key, echo.written)
    };
    echoes.iter().map(line).collect()
}
