//! `suncask weather`: look at a file, find the nearest, make a year.

use std::path::{Path, PathBuf};

use clap::{Subcommand, ValueEnum};

use super::{Failure, ShownUnits, out};
use crate::picture::{self, Units, WeatherMonths, grouped};
use crate::weather::make::{MakeSpec, make_year};
use crate::weather::near::{self, Here};
use crate::weather::{self, Layout, WeatherYear, calendar, summary, write};

#[derive(Debug, clap::Args)]
#[command(args_conflicts_with_subcommands = true, subcommand_negates_reqs = true)]
pub(super) struct Arguments {
    #[command(subcommand)]
    command: Option<Command>,
    /// Weather file to look at (one called like a subcommand: write ./near).
    #[arg(required = true)]
    file: Option<PathBuf>,
    /// Sums on a plane instead: tilt and azimuth in degrees, azimuth clockwise from north (35,180 faces south).
    #[arg(long, value_name = "TILT,AZIMUTH", requires = "json", allow_hyphen_values = true)]
    plane: Option<String>,
    /// Print the sums on the plane as JSON.
    #[arg(long, requires = "plane")]
    json: bool,
    /// Share of light the ground reflects.
    #[arg(long, default_value_t = 0.2)]
    albedo: f64,
    /// Folder for the pictures; by default the current one.
    #[arg(long)]
    out: Option<PathBuf>,
    /// Units shown.
    #[arg(long, value_enum, default_value_t)]
    units: ShownUnits,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Find the stored weather file nearest to a place.
    Near {
        /// Name of a stored site, or LATITUDE,LONGITUDE in degrees (north and east positive).
        #[arg(allow_hyphen_values = true)]
        place: String,
        /// Folder with weather files.
        #[arg(long = "in")]
        folder: PathBuf,
    },
    /// Make a typical-like year from twelve monthly means.
    Make(MakeArguments),
}

#[derive(Debug, clap::Args)]
struct MakeArguments {
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
    #[arg(long)]
    sun: String,
    /// Twelve monthly means of air temperature in degC.
    #[arg(long, allow_hyphen_values = true)]
    air: String,
    /// Twelve monthly means of wind in m/s.
    #[arg(long)]
    wind: Option<String>,
    /// Number that decides the order of days; the same number makes the same year.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Layout of the file.
    #[arg(long, value_enum, default_value_t = MadeLayout::Plain)]
    layout: MadeLayout,
    /// File to write.
    #[arg(long)]
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
    /// PVGIS.
    Pvgis,
}

pub(super) fn weather(arguments: &Arguments) -> Result<(), Failure> {
    match (&arguments.command, &arguments.file) {
        (Some(Command::Near { place, folder }), _) => nearest(place, folder),
        (Some(Command::Make(make)), _) => made(make),
        (None, Some(file)) => {
            let year = weather::read(file).map_err(|problems| Failure::Input(out::lines(&problems)))?;
            match &arguments.plane {
                Some(plane) => on_plane(&year, plane, arguments.albedo),
                None => look(&year, file, arguments),
            }
        }
        (None, None) => Err(Failure::Usage("name a weather file".into())),
    }
}

fn on_plane(year: &WeatherYear, plane: &str, albedo: f64) -> Result<(), Failure> {
    let numbers: Vec<f64> = plane.split(',').filter_map(|word| word.trim().parse().ok()).collect();
    let [tilt_deg, azimuth_deg] = numbers[..] else {
        return Err(Failure::Usage(format!(
            "--plane {plane}: expected TILT,AZIMUTH in degrees, for example 35,180"
        )));
    };
    if !(0.0..=90.0).contains(&tilt_deg) || !azimuth_deg.is_finite() || !(0.0..=1.0).contains(&albedo) {
        return Err(Failure::Usage(
            "the tilt must lie between 0 and 90 degrees, the albedo between 0 and 1".into(),
        ));
    }
    let sums = summary::on_plane(year, tilt_deg, azimuth_deg, albedo);
    out::print(&serde_json::to_string_pretty(&sums).map_err(Failure::of)?)
}

fn look(year: &WeatherYear, file: &Path, arguments: &Arguments) -> Result<(), Failure> {
    let units: Units = arguments.units.into();
    let sums = summary::summarise(year);
    let site = &year.site;
    let last = year.ghi_w_m2.len();
    let mut text = format!(
        "{}\n{}: latitude {:.3} deg north, longitude {:.3} deg east, {:.0} m above sea level, UTC{:+} h\n\
         Layout {}, {last} records of {} min, a year of 365 days.{}\n\n",
        file.display(),
        site.name,
        site.latitude_deg,
        site.longitude_deg,
        site.elevation_m,
        site.utc_offset_h,
        match year.layout {
            Layout::Tmy3 => "TMY3",
            Layout::Nsrdb => "NSRDB",
            Layout::PvgisTmy => "PVGIS typical year",
            Layout::Plain => "plain CSV",
        },
        year.interval_s / 60,
        if year.made { " Made from monthly means, not measured." } else { "" },
    );
    text.push_str(&format!(
        "{:10} {:>10} {:>10} {:>10} {:>8} {:>8} {:>8} {:>7}\n{:10} {:>10} {:>10} {:>10} {:>8} {:>8} {:>8} {:>7}\n",
        "", "global", "direct", "diffuse", "air", "lowest", "highest", "wind", "", "kWh/m2", "kWh/m2", "kWh/m2",
        units.level_sign(), units.level_sign(), units.level_sign(), "m/s",
    ));
    let rows = calendar::MONTH_NAMES.iter().copied().zip(&sums.monthly).chain([("Year", &sums.annual)]);
    for (name, row) in rows {
        text.push_str(&format!(
            "{name:10} {:>10} {:>10} {:>10} {:>8.1} {:>8.1} {:>8.1} {:>7.1}\n",
            grouped(row.ghi_kwh_m2, 1),
            grouped(row.dni_kwh_m2, 1),
            grouped(row.dhi_kwh_m2, 1),
            units.level(row.air_mean_c),
            units.level(row.air_min_c),
            units.level(row.air_max_c),
            row.wind_mean_m_s,
        ));
    }
    if !year.warnings.is_empty() {
        text.push_str(&format!("\n{}\n", out::lines(&year.warnings)));
    }
    let stem = file.file_stem().map_or("weather".into(), |stem| stem.to_string_lossy());
    let folder = arguments.out.clone().unwrap_or_default();
    let month = |of: fn(&summary::Climate) -> f64| std::array::from_fn(|i| of(&sums.monthly[i]));
    let months = picture::weather_months(
        &WeatherMonths {
            name: &site.name,
            made: year.made,
            ghi_kwh_m2: month(|m| m.ghi_kwh_m2),
            dhi_kwh_m2: month(|m| m.dhi_kwh_m2),
            air_c: month(|m| m.air_mean_c),
        },
        units,
    );
    let map = picture::sun_map(&site.name, &hourly_ghi(year), units);
    if !folder.as_os_str().is_empty() {
        std::fs::create_dir_all(&folder)
            .map_err(|error| Failure::Input(format!("{}: {error}", folder.display())))?;
    }
    for (what, svg) in [("months", months), ("map", map)] {
        let path = folder.join(format!("{stem}-{what}"));
        let save = |ending: &str, bytes: &[u8]| {
            let path = PathBuf::from(format!("{}.{ending}", path.display()));
            std::fs::write(&path, bytes)
                .map_err(|error| Failure::Input(format!("cannot write {}: {error}", path.display())))
        };
        save("svg", svg.as_bytes())?;
        save("png", &picture::png(&svg, 2.0))?;
        text.push_str(&format!("\nPicture: {}.svg and .png", path.display()));
    }
    out::print(&text)
}

/// Mean global irradiance of each hour of the year.
fn hourly_ghi(year: &WeatherYear) -> Vec<f64> {
    let mut sums = vec![(0.0, 0.0); weather::HOURS_PER_YEAR];
    for (i, ghi_w_m2) in year.ghi_w_m2.iter().enumerate() {
        let middle_s = year.first_start_s + (i as f64 + 0.5) * f64::from(year.interval_s);
        let hour = ((middle_s / 3600.0).floor() as i64).rem_euclid(weather::HOURS_PER_YEAR as i64) as usize;
        sums[hour].0 += ghi_w_m2;
        sums[hour].1 += 1.0;
    }
    sums.iter().map(|&(sum, count): &(f64, f64)| if count > 0.0 { sum / count } else { 0.0 }).collect()
}

fn nearest(place: &str, folder: &Path) -> Result<(), Failure> {
    let problems = |problems: Vec<crate::problem::Problem>| Failure::Input(out::lines(&problems));
    let stored = near::stored(folder).map_err(problems)?;
    let numbers: Vec<f64> = place.split(',').filter_map(|word| word.trim().parse().ok()).collect();
    let here = match numbers[..] {
        [latitude_deg, longitude_deg] if latitude_deg.abs() <= 90.0 && longitude_deg.abs() <= 180.0 => {
            Here { latitude_deg, longitude_deg, elevation_m: None }
        }
        [_, _] => return Err(Failure::Usage(format!("{place}: latitude to 90, longitude to 180 degrees"))),
        _ => match near::by_name(&stored, place).first() {
            Some(found) => Here::from(&found.site),
            None => {
                return Err(Failure::Input(format!(
                    "no stored site is called \"{place}\" in {}; give LATITUDE,LONGITUDE, for example 39.7,-105.2",
                    folder.display()
                )));
            }
        },
    };
    let found = near::nearest(&stored, here, 5);
    if found.is_empty() {
        return Err(Failure::Input(format!("no readable weather file in {}", folder.display())));
    }
    let mut text = String::new();
    for (rank, nearby) in found.iter().enumerate() {
        let sun = nearby.ghi_kwh_m2.map_or("not readable".into(), |ghi| {
            format!("{} kWh/m2 a year on level ground", grouped(ghi, 0))
        });
        let height = nearby.height_difference_m.map_or_else(
            || format!("{:.0} m above sea level", nearby.stored.site.elevation_m),
            |m| format!("{m:+.0} m ({:+.0} ft) in height", m / 0.3048),
        );
        text.push_str(&format!(
            "{}. {}: {} at {:.0} mi ({:.0} km), {height}, {sun}\n",
            rank + 1,
            nearby.stored.path.display(),
            nearby.stored.site.name,
            nearby.distance_km / 1.609_344,
            nearby.distance_km,
        ));
    }
    out::print(&text)
}

fn twelve(key: &str, text: &str) -> Result<[f64; 12], Failure> {
    let words: Vec<&str> = text.split(',').map(str::trim).collect();
    let numbers: Vec<f64> =
        words.iter().filter_map(|word| word.parse().ok()).filter(|n: &f64| n.is_finite()).collect();
    match <[f64; 12]>::try_from(numbers) {
        Ok(numbers) if words.len() == 12 => Ok(numbers),
        _ => Err(Failure::Usage(format!(
            "--{key} \"{text}\": expected twelve numbers with commas, January first"
        ))),
    }
}

fn made(arguments: &MakeArguments) -> Result<(), Failure> {
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
    let problems = |problems: Vec<crate::problem::Problem>| Failure::Input(out::lines(&problems));
    let year = make_year(&spec).map_err(problems)?;
    let layout = match arguments.layout {
        MadeLayout::Plain => Layout::Plain,
        MadeLayout::Tmy3 => Layout::Tmy3,
        MadeLayout::Nsrdb => Layout::Nsrdb,
        MadeLayout::Pvgis => Layout::PvgisTmy,
    };
    let text = write::text(&year, layout).map_err(problems)?;
    let shown = arguments.out.display();
    std::fs::write(&arguments.out, text)
        .map_err(|error| Failure::Input(format!("cannot write {shown}: {error}")))?;
    let sums = summary::summarise(&year).annual;
    out::print(&format!(
        "{shown} made: {} kWh/m2 a year on level ground, mean air {:.1} degC. A made year, not a measured one.",
        grouped(sums.ghi_kwh_m2, 0),
        sums.air_mean_c
    ))
}
