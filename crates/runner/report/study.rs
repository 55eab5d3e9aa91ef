//! The folder of a study: `study.json` and `study.csv` for machines, a page and pictures for people.

use std::fs;
use std::io::{self, Write};
use std::path::Path;

use serde::Serialize;
use serde::ser::{SerializeMap, Serializer};

use super::data::{Definition, SCHEMA_VERSION, Values, definitions, number};
use super::sheet::Sheet;
use super::{PdfError, Picture, WeatherFacts, WriteError, folder, pdf, save_pictures};
use crate::money::{ESTIMATE, MoneyFigure};
use crate::picture::Units;
use crate::record::{Column, Morning, MorningFigure};
use crate::study::Row;

/// Everything a study's folder is made from.
#[derive(Debug)]
pub struct StudyReport<'a> {
    /// `compare`, `tune` or `size`.
    pub kind: &'static str,
    /// Name of the job or jobs.
    pub name: &'a str,
    /// Finished rows, in the order of the candidates.
    pub rows: &'a [Row],
    /// How many candidates the study has.
    pub candidates: usize,
    /// Where the weather came from.
    pub weather: &'a WeatherFacts,
    /// What the study found, each a key with a text or a number.
    pub findings: serde_json::Value,
    /// Pictures as (name of the file, SVG).
    pub pictures: Vec<(&'static str, String)>,
    /// The page, given the pictures.
    pub page: String,
    /// Version of this program.
    pub version: &'a str,
    /// Date of the study.
    pub date: &'a str,
}

#[derive(Serialize)]
struct Study<'a> {
    schema_version: u32,
    suncask_version: &'a str,
    date: &'a str,
    study: &'a str,
    name: &'a str,
    /// False: the study was broken off; run it again to go on.
    complete: bool,
    candidates: usize,
    weather: &'a WeatherFacts,
    findings: &'a serde_json::Value,
    rows: Vec<RowFacts<'a>>,
    columns: Vec<Definition>,
    dullest_week_columns: Vec<Definition>,
    money_columns: Vec<Definition>,
}

#[derive(Serialize)]
struct RowFacts<'a> {
    name: &'a str,
    settings: Settings<'a>,
    annual: Values<'a>,
    monthly: Vec<Values<'a>>,
    dullest_week: &'a Morning,
    money: Option<Sums<'a>>,
}

impl<'a> RowFacts<'a> {
    fn of(row: &'a Row) -> Self {
        Self {
            name: &row.name,
            settings: Settings(&row.settings),
            annual: Values(&row.annual),
            monthly: row.monthly.iter().map(Values).collect(),
            dullest_week: &row.morning,
            money: row.money.as_deref().map(Sums),
        }
    }
}

struct Settings<'a>(&'a [(String, String)]);

impl Serialize for Settings<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.0.len()))?;
        for (what, how) in self.0 {
            map.serialize_entry(what, how)?;
        }
        map.end()
    }
}

/// Figures of money under their keys; `null` where one has no meaning.
struct Sums<'a>(&'a [Option<f64>]);

impl Serialize for Sums<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.0.len()))?;
        for (figure, value) in MoneyFigure::ALL.iter().zip(self.0) {
            map.serialize_entry(figure.key, &value.map(|value| number(figure.key, value)))?;
        }
        map.end()
    }
}

/// The page of a study that was broken off before it could say more than `sentence`.
pub fn unfinished_page(name: &str, sentence: &str) -> String {
    let foot = maud::html! { (ESTIMATE) "." };
    Sheet { name, about: "Unfinished study", foot }.page(&maud::html! { p { (sentence) } }, &[])
}

/// Writes the folder of a study, replacing an older one of ours; with `pdf`, the reader's units, its page is printed to `report.pdf` too, and why it
/// could not be is returned beside the results that stand.
///
/// # Errors
/// If `dir` is something else than an older result or an empty folder, or the disk refuses.
///
/// # Panics
/// If a value of a row is not a finite number.
pub fn write(
    dir: &Path,
    report: StudyReport<'_>,
    pdf: Option<Units>,
) -> Result<Result<(), PdfError>, WriteError> {
    folder::replace(dir, |fresh| {
        fs::write(fresh.join("study.json"), json(&report))?;
        csv(&fresh.join("study.csv"), report.rows)?;
        fs::write(fresh.join("report.html"), &report.page)?;
        let pictures = report.pictures.into_iter().map(|(name, svg)| Picture { name, svg });
        save_pictures(fresh, &pictures.collect::<Vec<_>>())?;
        Ok(pdf.map_or(Ok(()), |units| pdf::print(fresh, units.into())))
    })
}

fn json(report: &StudyReport<'_>) -> String {
    let money_columns = MoneyFigure::ALL.iter().map(|figure| {
        let MoneyFigure { key, unit, label, definition, .. } = *figure;
        Definition { key, unit, label, definition }
    });
    let morning_columns = MorningFigure::ALL.iter().map(|figure| {
        let MorningFigure { key, unit, label, definition, .. } = *figure;
        Definition { key, unit, label, definition }
    });
    let study = Study {
        schema_version: SCHEMA_VERSION,
        suncask_version: report.version,
        date: report.date,
        study: report.kind,
        name: report.name,
        complete: report.rows.len() == report.candidates,
        candidates: report.candidates,
        weather: report.weather,
        findings: &report.findings,
        rows: report.rows.iter().map(RowFacts::of).collect(),
        columns: definitions(),
        dullest_week_columns: morning_columns.collect(),
        money_columns: money_columns.collect(),
    };
    serde_json::to_string_pretty(&study).expect("plain values under text keys") + "\n"
}

/// One row a candidate: its name and settings, every column of its year, then `dullest_week.` and `money.` figures (these are
/// empty without prices).
fn csv(path: &Path, rows: &[Row]) -> io::Result<()> {
    let mut file = csv::Writer::from_path(path)?;
    let settings = rows.first().map_or(&[][..], |row| &row.settings);
    file.write_field("name")?;
    for (what, _) in settings {
        file.write_field(what)?;
    }
    for column in Column::ALL {
        file.write_field(column.info().key)?;
    }
    for figure in &MorningFigure::ALL {
        file.write_field(format!("dullest_week.{}", figure.key))?;
    }
    for figure in &MoneyFigure::ALL {
        file.write_field(format!("money.{}", figure.key))?;
    }
    file.write_record(None::<&[u8]>)?;
    for row in rows {
        file.write_field(&row.name)?;
        for (_, how) in &row.settings {
            file.write_field(how)?;
        }
        for column in Column::ALL.iter().copied() {
            file.write_field(number(column.info().key, row.annual[column]).to_string())?;
        }
        for figure in &MorningFigure::ALL {
            file.write_field(number(figure.key, (figure.value)(&row.morning)).to_string())?;
        }
        for (i, figure) in MoneyFigure::ALL.iter().enumerate() {
            let value = row.money.as_ref().and_then(|figures| figures[i]);
            file.write_field(value.map_or(String::new(), |value| number(figure.key, value).to_string()))?;
        }
        file.write_record(None::<&[u8]>)?;
    }
    file.into_inner().map_err(|e| e.into_error())?.flush()
}
