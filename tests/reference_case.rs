//! Runs a reference case on a weather file and prints `month,quantity,value`.
//!
//! `cargo run --release --example reference_case -- CASE.json WEATHER`

#[path = "reference/case.rs"]
mod case;

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

use suncask::year::RunOptions;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [case_file, weather_file] = arguments.as_slice() else {
        eprintln!("usage: reference_case CASE.json WEATHER");
        return ExitCode::from(2);
    };
    match print(Path::new(case_file), Path::new(weather_file)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("{message}");
            ExitCode::FAILURE
        }
    }
}

fn print(case_file: &Path, weather_file: &Path) -> Result<(), String> {
    let text =
        std::fs::read_to_string(case_file).map_err(|error| format!("{}: {error}", case_file.display()))?;
    let (case, unknown) = case::read(&text).map_err(|error| format!("{}: {error}", case_file.display()))?;
    for key in unknown {
        eprintln!("{}: \"{key}\" is not known and was left out", case_file.display());
    }
    let result = case::run_case(&case, weather_file, &RunOptions::default())?;
    let mut out = std::io::stdout().lock();
    let written = writeln!(out, "month,quantity,value").and_then(|()| {
        case::rows(&case, &result)
            .iter()
            .try_for_each(|(month, quantity, value)| writeln!(out, "{month},{quantity},{value}"))
    });
    written.map_err(|error| error.to_string())
}
