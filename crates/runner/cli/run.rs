//! `suncask run`.

use std::path::PathBuf;

use super::{Failure, ShownUnits, beside, job, out};
use crate::job as jobs;
use crate::problem::Problem;
use crate::report::{self, Report, WeatherFacts, days};
use crate::weather;
use crate::weather::plane::PlaneYear;
use crate::year::{self, RunOptions, Setting};

const DAY_S: i64 = 86_400;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The job file; without it the built-in demo runs (an invented house in an invented climate).
    job: Option<PathBuf>,
    /// Folder for the results; by default named after the job, beside it.
    #[arg(long)]
    out: Option<PathBuf>,
    /// Write hourly.csv too.
    #[arg(long)]
    hourly: bool,
    /// Units of tables, pictures and page.
    #[arg(long, value_enum, default_value_t)]
    units: ShownUnits,
}

pub(super) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let (job, weather, folder) = match &arguments.job {
        Some(path) => {
            let job = job::read(path)?;
            let weather = job::weather_of(&job)?;
            let stem = path.file_stem().map_or("job".into(), |stem| stem.to_string_lossy());
            let folder = beside(path, &format!("{stem}-results"));
            (job, weather, folder)
        }
        None => {
            let job = jobs::file::read_text("starter job", jobs::starter())
                .map_err(|problems| Failure::Internal(out::lines(&problems)))?;
            (job, weather::demo(), PathBuf::from("suncask-demo-results"))
        }
    };
    let folder = arguments.out.clone().unwrap_or(folder);
    let setting = Setting::new(&job, &weather);
    let chosen = days::choose(&daily_sums(&setting.plane));
    let mut trace_days = chosen.all().to_vec();
    trace_days.sort_unstable();
    let options = RunOptions { hourly: true, trace_days };
    let result = year::run(&job, &setting, &options).map_err(|problems| {
        let text = out::lines(&problems);
        if text.contains("error of the program") { Failure::Internal(text) } else { Failure::Input(text) }
    })?;
    let notes: Vec<Problem> = job.notes.iter().chain(&setting.plane.notes).cloned().collect();
    let date = chrono::DateTime::from_timestamp(now_s(), 0)
        .map_or_else(String::new, |now| now.format("%Y-%m-%d").to_string());
    let units = arguments.units.into();
    let facts = WeatherFacts::from(&weather);
    let report = Report {
        name: &job.name,
        echo: &job.echo,
        notes: &notes,
        weather: facts,
        result: &result,
        days: Some(chosen),
        hourly_table: arguments.hourly,
        units,
        version: env!("CARGO_PKG_VERSION"),
        date: &date,
    };
    report::write(&folder, &report).map_err(Failure::of)?;
    let made = if weather.made { " This weather is made from monthly means, not measured." } else { "" };
    let mut text = format!("{}\nWeather: {} ({}).{made}\n\n", job.name, weather.site.name, weather.source);
    text.push_str(&report::annual_table(&result, units));
    text.push_str("\n\n");
    text.push_str(&report::monthly_table(&result, units));
    let doubts: Vec<Problem> = notes.iter().chain(&weather.warnings).cloned().collect();
    if !doubts.is_empty() {
        text.push_str(&format!("\n\n{}", out::lines(&doubts)));
    }
    text.push_str(&format!(
        "\n\nAn estimate, not a guarantee. Report: {}; pictures and tables in {}.",
        folder.join("report.html").display(),
        folder.display()
    ));
    out::print(&text)
}

/// Irradiation on the plane of each day, in any one unit.
fn daily_sums(plane: &PlaneYear) -> Vec<f64> {
    let mut sums = vec![0.0; 365];
    for (i, block) in plane.blocks.iter().enumerate() {
        let middle_s = plane.offset_s + i as i64 * i64::from(plane.block_s) + i64::from(plane.block_s) / 2;
        let day = middle_s.div_euclid(DAY_S).rem_euclid(365) as usize;
        sums[day] += block.beam_w_m2 + block.sky_w_m2 + block.ground_w_m2;
    }
    sums
}

fn now_s() -> i64 {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    since.map_or(0, |time| time.as_secs() as i64)
}
