//! The folder of results: a summary and tables for machines, a page and pictures for people.

mod cautions;
pub mod compare;
mod customer;
mod data;
pub mod days;
mod folder;
mod ledger;
mod money;
mod outage;
mod page;
mod pdf;
mod plant;
mod range;
mod rules;
mod sheet;
pub mod size;
pub mod study;
mod table;
pub mod tune;
mod weeks;
mod year;

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use serde::Serialize;

pub use data::SCHEMA_VERSION;
use days::Days;
pub(crate) use money::shown as shown_sum;
pub use money::{money_notes, money_table};
pub use pdf::PdfError;
pub use range::range_text;
pub(crate) use table::value as shown_value;
pub use table::{annual_table, monthly_table};
pub use year::ToldYear;

use crate::job::Job;
use crate::job::check;
use crate::money::{CashColumn, MoneyFigure};
use crate::picture::{self, DrawnPlant, Units};
use crate::problem::Problem;
use crate::record::{
    Column, DayTrace, MorningFigure, OutageFigure, ReadingFigure, Readings, Week, WeekKind, YearResult,
};
use crate::safety::Finding;
use crate::study::range::Range;
use crate::weather::{Layout, Site, WeatherYear};

/// Pixels to a point in PNG pictures: sharp on paper at the width of a letter page.
const PNG_SCALE: f32 = 2.0;

/// Everything a results folder is made from.
#[derive(Clone, Debug)]
pub struct Report<'a> {
    /// The job.
    pub job: &'a Job,
    /// Doubts about the job that did not stop the run.
    pub notes: &'a [Problem],
    /// Hazards that the year raised.
    pub safety: &'a [Finding],
    /// Rules of thumb beside what the job gives.
    pub rules: &'a [check::Finding],
    /// Where the weather came from.
    pub weather: WeatherFacts,
    /// The year.
    pub result: &'a YearResult,
    /// The saving as a range, where it was asked for.
    pub range: Option<&'a Range>,
    /// Which traced days are the clear, the mixed and the dull one; `None`: no picture of days.
    pub days: Option<Days>,
    /// True: `hourly.csv` is written, if the result has hours.
    pub hourly_table: bool,
    /// Units of page and pictures; files for machines are always in the units of the columns.
    pub units: Units,
    /// Version of this program.
    pub version: &'a str,
    /// Date of the run as the page shows it.
    pub date: &'a str,
}

impl<'a> Report<'a> {
    /// Name of the job.
    fn name(&self) -> &'a str {
        &self.job.name
    }
}

/// Date of today, in UTC, which needs no time-zone database.
pub fn today() -> String {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    let now = chrono::DateTime::from_timestamp(since.as_secs() as i64, 0).unwrap_or_default();
    now.format("%Y-%m-%d").to_string()
}

/// What page and summary both tell of a year.
struct Told {
    weeks: Vec<Week>,
    /// What can be read off the plant on the clear day, if it was traced.
    clear_day: Option<Readings>,
    /// Rules of thumb beside what the year came to.
    rules: Vec<check::Finding>,
}

impl Told {
    fn of(report: &Report<'_>) -> Self {
        let result = report.result;
        let clear = report.days.and_then(|days| result.traces.iter().find(|trace| trace.day == days.clear));
        Self {
            weeks: Week::of_hours(&result.hourly),
            clear_day: clear.and_then(DayTrace::readings),
            rules: rules::findings(report.job, result),
        }
    }
}

/// What a result says about its weather.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WeatherFacts {
    /// Where.
    pub site: Site,
    /// Layout of the file.
    pub layout: Layout,
    /// File name, or the name of built-in data.
    pub source: String,
    /// True if the year was made from monthly means.
    pub made: bool,
    /// Doubts found by the self-check.
    pub warnings: Vec<Problem>,
}

impl From<&WeatherYear> for WeatherFacts {
    fn from(year: &WeatherYear) -> Self {
        Self {
            site: year.site.clone(),
            layout: year.layout,
            source: year.source.clone(),
            made: year.made,
            warnings: year.warnings.clone(),
        }
    }
}

/// Why a results folder could not be written. Nothing half-written is left behind.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// What stands there is not an older result.
    #[error(
        "{} is not replaced because {found}; only an older result of suncask is. Name another folder or move it away.",
        dir.display()
    )]
    NotOurs {
        /// Folder asked for.
        dir: PathBuf,
        /// What was found there, as the end of a sentence.
        found: String,
    },
    /// The disk refused.
    #[error("the results could not be written to {}: {source}", dir.display())]
    Disk {
        /// Folder asked for.
        dir: PathBuf,
        /// What the system says.
        source: io::Error,
    },
}

/// A picture of the result: name of its file without ending, and its SVG.
pub(crate) struct Picture {
    name: &'static str,
    svg: String,
}

/// Puts pictures as SVG and PNG in the folder `pictures` of `dir`.
fn save_pictures(dir: &Path, pictures: &[Picture]) -> io::Result<()> {
    let folder = dir.join("pictures");
    fs::create_dir(&folder)?;
    for picture in pictures {
        fs::write(folder.join(picture.name).with_extension("svg"), &picture.svg)?;
        let png = picture::png(&picture.svg, PNG_SCALE);
        fs::write(folder.join(picture.name).with_extension("png"), png)?;
    }
    Ok(())
}

/// Writes the results folder `dir`, replacing an older one of ours.
///
/// # Errors
///
/// If `dir` is something else than an older result or an empty folder, or the disk refuses.
///
/// # Panics
///
/// If a value of the result is not a finite number.
pub fn write(dir: &Path, report: &Report<'_>) -> Result<(), WriteError> {
    folder::replace(dir, |fresh| fill(fresh, report))
}

/// The same with the page printed to `report.pdf` too; why that could not be is returned beside the results, which stand.
///
/// # Errors
///
/// As of [`write()`].
///
/// # Panics
///
/// As of [`write()`].
pub fn write_and_print(dir: &Path, report: &Report<'_>) -> Result<Result<(), PdfError>, WriteError> {
    folder::replace(dir, |fresh| {
        fill(fresh, report)?;
        Ok(pdf::print(fresh, report.units.into()))
    })
}

fn fill(fresh: &Path, report: &Report<'_>) -> io::Result<()> {
    let (pictures, told) = (pictures(report), Told::of(report));
    fs::write(fresh.join("summary.json"), data::summary(report, &told))?;
    data::monthly(&fresh.join("monthly.csv"), &report.result.monthly)?;
    if report.hourly_table && !report.result.hourly.is_empty() {
        data::hourly(&fresh.join("hourly.csv"), &report.result.hourly)?;
    }
    fs::write(fresh.join("report.html"), page::html(report, &told, &pictures))?;
    save_pictures(fresh, &pictures)
}

fn pictures(report: &Report<'_>) -> Vec<Picture> {
    let (name, result, units) = (report.name(), report.result, report.units);
    let mut pictures = vec![
        Picture { name: "plant", svg: picture::plant_drawing(&DrawnPlant::of(report.job), units) },
        Picture { name: "months", svg: picture::month_bars(name, result) },
        Picture { name: "heat", svg: picture::heat_path(name, result) },
    ];
    let shown = report.days.map(|days| days.shown(&result.traces)).unwrap_or_default();
    if !shown.is_empty() {
        pictures.push(Picture { name: "days", svg: picture::day_curves(name, &shown, units) });
    }
    if !result.hourly.is_empty() {
        pictures.push(Picture { name: "tank", svg: picture::tank_map(name, &result.hourly, units) });
    }
    if let Some(account) = &result.money
        && let Some(outlook) = &account.outlook
    {
        pictures.push(Picture { name: "cash", svg: picture::cash_flow(name, account.currency, outlook) });
    }
    pictures
}

/// Every column and every figure of an outage and of money with key, unit, label and definition, as text for a terminal.
pub fn columns_text() -> String {
    let columns = Column::ALL.iter().map(|c| c.info()).map(|c| [c.key, c.unit, c.label, c.definition]);
    let figures = OutageFigure::ALL.iter().map(|f| [f.key, f.unit, f.label, f.definition]);
    let money = MoneyFigure::ALL.iter().map(|f| [f.key, f.unit, f.label, f.definition]);
    let cash = CashColumn::ALL.iter().map(|c| [c.key, "currency", c.label, c.definition]);
    let weeks = WeekKind::ALL.iter().map(|week| [week.key(), "-", week.label(), week.definition()]);
    let readings = ReadingFigure::ALL.iter().map(|f| [f.key, f.unit, f.label, f.definition]);
    let mornings = MorningFigure::ALL.iter().map(|f| [f.key, f.unit, f.label, f.definition]);
    format!(
        "{}\nWeeks in summary.json, each with every column above\n{}\nOf the clear day in summary.json\n{}\n\
         Of each outage in summary.json\n{}\nOf the dullest week in study.json\n{}\nOf money in summary.json and study.json\n{}\n\
         Of each year of its cash flow\n{}",
        definitions_text(columns.collect()),
        definitions_text(weeks.collect()),
        definitions_text(readings.collect()),
        definitions_text(figures.collect()),
        definitions_text(mornings.collect()),
        definitions_text(money.collect()),
        definitions_text(cash.collect())
    )
}

/// One line each: key, unit, label and definition.
fn definitions_text(rows: Vec<[&str; 4]>) -> String {
    let width = |cell: usize| rows.iter().map(|row| row[cell].len()).max().unwrap_or(0);
    let (key_width, unit_width) = (width(0), width(1));
    let line = |[key, unit, label, definition]: &[&str; 4]| {
        format!("{key:key_width$}  {unit:unit_width$}  {label}: {definition}\n")
    };
    rows.iter().map(line).collect()
}
