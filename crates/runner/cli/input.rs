//! From the name of a job file to a job and its weather, ready to run.

use std::path::Path;

use thermal_network::Plant;
use thermal_network::spec::PlantSpec;

use super::Failure;
use crate::job::file::Draft;
use crate::job::{Job, file};
use crate::weather::{self, WeatherYear};

/// Reads a job file; faults come back with carets.
pub(super) fn job(path: &Path) -> Result<Job, Failure> {
    let job = file::read(path)
        .map_err(|faults| Failure { text: file::render(&faults.problems, &faults.text), code: 1 })?;
    buildable(&job)?;
    Ok(job)
}

/// The same file as keys that a study sets anew.
pub(super) fn draft(path: &Path) -> Result<Draft, Failure> {
    Draft::read(path)
        .map_err(|faults| Failure { text: file::render(&faults.problems, &faults.text), code: 1 })
}

/// Tells what would keep the plant or the heater without sun from being built.
fn buildable(job: &Job) -> Result<(), Failure> {
    let built = |what: &str, spec: &PlantSpec| {
        Plant::assemble(spec).map(drop).map_err(|faults| {
            let faults: Vec<String> = faults.iter().map(ToString::to_string).collect();
            Failure::input(format_args!("{what} cannot be built: {}", faults.join("; ")))
        })
    };
    built("the plant", &job.plant)?;
    if let Some(spec) = job.plant_without_sun() {
        built("the heater without sun", &spec)?;
    }
    Ok(())
}

/// The weather that the job of a file names, or the built-in invented year. What is wrong with it comes back with the line of
/// the job that names it.
pub(super) fn weather(job: &Job, file: &Path) -> Result<WeatherYear, Failure> {
    let Some(path) = &job.weather else { return Ok(weather::demo()) };
    weather::read(path).map_err(|problems| {
        let mut failure = Failure::from(problems);
        if let Some(place) = file::place_of(file, ["weather", "file"]) {
            let named =
                format!("\n{}:{}:{}: named here as the job's weather", place.file, place.line, place.column);
            failure.text.push_str(&named);
        }
        failure
    })
}

/// One line on where a year's weather comes from.
pub(super) fn weather_line(weather: &WeatherYear) -> String {
    let made = if weather.made { "; made from monthly means, not measured" } else { "" };
    format!("Weather: {}, from {}{made}", weather.site.called(), weather.source)
}
