//! `suncask use`.

use std::fmt::Write as _;
use std::path::PathBuf;

use super::{Failure, ShownUnits, check, input, out};
use crate::draws::summary::Peak;
use crate::draws::{AirClimate, UseSummary, cold_water_by_day, taps};
use crate::job::quantity::size::GALLON_M3;
use crate::job::quantity::when;
use crate::job::{Echo, Job, Pattern};
use crate::picture::{self, Units, grouped};
use crate::problem::Problem;
use crate::weather::{WeatherYear, calendar};

const JOULE_PER_KWH: f64 = 3.6e6;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The job file.
    job: PathBuf,
    /// Folder for the picture; by default the current one.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Units of the picture and of temperatures; volumes are shown in both.
    #[arg(long, value_enum, default_value_t)]
    units: ShownUnits,
}

pub(super) fn water_use(arguments: &Arguments) -> Result<(), Failure> {
    let job = input::job(&arguments.job)?;
    let weather = input::weather(&job, &arguments.job)?;
    let units = arguments.units.into();
    let seen = summary(&job, &weather);
    let single_draws = !matches!(job.water_use.pattern, Pattern::Hourly { .. });
    let mut text = text(&job, &weather, &seen, single_draws, units);
    let stem = arguments.job.file_stem().unwrap_or_default().to_string_lossy();
    let svg = picture::water_use(&job.name, &seen, single_draws, units);
    text.push_str(&out::pictures(arguments.out.as_deref(), &stem, &[("use", svg)])?);
    out::print(&text)
}

/// The year's use, with the heat of water as the tank behind the taps counts it.
fn summary(job: &Job, weather: &WeatherYear) -> UseSummary {
    let cold_c = cold_water_by_day(&job.cold_water, &AirClimate::of(weather));
    let water_j_m3_k = job.plant.tanks.last().map_or(0.0, |tank| tank.water_kg_m3 * tank.water_j_kg_k);
    UseSummary::of(&taps(&job.water_use, &job.calendar), &job.calendar, &cold_c, water_j_m3_k)
}

fn text(job: &Job, weather: &WeatherYear, seen: &UseSummary, single_draws: bool, units: Units) -> String {
    let said: Vec<&Echo> = job
        .echo
        .iter()
        .filter(|echo| echo.key.starts_with("hot_water.") && !echo.key.starts_with("hot_water.draw."))
        .collect();
    let mut text = format!("{}\n{}\n\n", job.name, input::weather_line(weather));
    text.push_str(&check::echoes(&said));
    let _ = write!(text, "\n{}\n{}", by_month(seen, single_draws), by_hour(seen, units));
    if single_draws {
        let _ = write!(text, "\n{}", by_purpose(seen));
    }
    let _ = write!(text, "\n{}", busiest(seen, units));
    let doubts: Vec<Problem> = job.notes.iter().chain(&weather.warnings).cloned().collect();
    if !doubts.is_empty() {
        let _ = writeln!(text, "\n{}", out::lines(&doubts));
    }
    text
}

/// A line of a table: its name and numbers in columns.
fn row(name: &str, cells: &[String]) -> String {
    let cells: String = cells.iter().map(|cell| format!("{cell:>12}")).collect();
    format!("{name:12}{cells}\n")
}

fn head(name: &str, cells: &[&str]) -> String {
    row(name, &cells.iter().map(|cell| (*cell).to_owned()).collect::<Vec<_>>())
}

fn gallons(volume_m3: f64) -> String {
    grouped(volume_m3 / GALLON_M3, 1)
}

fn liters(volume_m3: f64) -> String {
    grouped(volume_m3 * 1000.0, 1)
}

fn by_month(seen: &UseSummary, single_draws: bool) -> String {
    let mut text = if single_draws {
        head("By month", &["draws/day", "gal/day", "L/day", "heat, kWh"])
    } else {
        head("By month", &["gal/day", "L/day", "heat, kWh"])
    };
    let months = calendar::MONTH_NAMES.iter().copied().zip(&seen.monthly);
    for (name, amount) in months.chain([("Year", &seen.annual)]) {
        let days = f64::from(amount.days);
        let daily_m3 = amount.volume_m3 / days;
        let mut cells = vec![gallons(daily_m3), liters(daily_m3), grouped(amount.heat_j / JOULE_PER_KWH, 0)];
        if single_draws {
            cells.insert(0, grouped(f64::from(amount.draws) / days, 1));
        }
        text.push_str(&row(name, &cells));
    }
    text.push_str("At the tap, as mixed; heat: from the incoming cold water to the tap.\n");
    text
}

fn by_hour(seen: &UseSummary, units: Units) -> String {
    let mut text = head("By hour", &["weekday gal", "L", "weekend gal", "L"]);
    for (hour, (weekday, weekend)) in (0..).zip(seen.weekday_m3.iter().zip(&seen.weekend_m3)) {
        let cells = [gallons(*weekday), liters(*weekday), gallons(*weekend), liters(*weekend)];
        text.push_str(&row(&units.clock(hour * 3600), &cells));
    }
    text.push_str("In the hour that begins then, by the clock, on an average day of the year.\n");
    text
}

fn by_purpose(seen: &UseSummary) -> String {
    let mut text = head("By purpose", &["draws/day", "gal each", "L each", "gal/day", "L/day", "share"]);
    for (purpose, amount) in &seen.purposes {
        let days = f64::from(amount.days);
        let (each_m3, daily_m3) = (amount.volume_m3 / f64::from(amount.draws), amount.volume_m3 / days);
        let cells = [
            grouped(f64::from(amount.draws) / days, 2),
            gallons(each_m3),
            liters(each_m3),
            gallons(daily_m3),
            liters(daily_m3),
            picture::percent(amount.volume_m3 / seen.annual.volume_m3),
        ];
        text.push_str(&row(purpose.word(), &cells));
    }
    text
}

fn busiest(seen: &UseSummary, units: Units) -> String {
    let told = |what: &str, peak: &Peak| {
        let when = format!("{} from {}", when::date_words(peak.day), units.clock(peak.clock_s));
        format!("{what}: {} gal ({} L), {when}\n", gallons(peak.volume_m3), liters(peak.volume_m3))
    };
    if seen.annual.draws == 0 {
        return "No hot water is drawn.\n".to_owned();
    }
    let level = format!("{} {}", grouped(units.level(seen.mean_use_c), 1), units.level_sign());
    told("Most in ten minutes", &seen.ten_minutes)
        + &told("Most in an hour", &seen.hour)
        + &format!(
            "Heat of the year: {} to bring {} gal ({} L) to {level}, the average at the taps\n",
            picture::kwh(seen.annual.heat_j / JOULE_PER_KWH),
            grouped(seen.annual.volume_m3 / GALLON_M3, 0),
            grouped(seen.annual.volume_m3 * 1000.0, 0),
        )
}
