//! `suncask compare`.

use std::path::{Path, PathBuf};

use super::study::{Draws, Running, Shown};
use super::{Failure, input, out};
use crate::job::Job;
use crate::job::file::Draft;
use crate::report::compare::CompareReport;
use crate::report::study::{StudyReport, unfinished_page};
use crate::report::{self, WeatherFacts};
use crate::study::Row;
use crate::study::compare::{Comparison, Derived, Layout, Missing, Side, candidates, derived, differences};
use crate::study::draws::{BY_CHANCE, by_chance};
use crate::weather::WeatherYear;
use crate::year::Shared;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Job files to set side by side; one alone with --layouts.
    #[arg(required = true)]
    jobs: Vec<PathBuf>,
    /// Derive the plants from one job and its [stock]: one tank of each size with an element, the solar tank before the
    /// present heater, and before a new one.
    #[arg(long)]
    layouts: bool,
    /// How water is drawn where a job spreads it over the hours.
    #[arg(long, value_enum, default_value_t)]
    draws: Draws,
    #[command(flatten)]
    shown: Shown,
}

/// A job file with its own weather.
struct Read {
    draft: Draft,
    job: Job,
    weather: WeatherYear,
    by_chance: bool,
}

/// The plants to run, and what to know of them.
struct House {
    layouts: Vec<Layout>,
    missing: Vec<Missing>,
    remarks: Vec<String>,
}

pub(super) fn compare(arguments: &Arguments) -> Result<(), Failure> {
    let paths = &arguments.jobs;
    match (arguments.layouts, paths.len()) {
        (true, 2..) => {
            return Err(Failure::usage("--layouts derives its plants from one job file: name one"));
        }
        (false, 1) => {
            return Err(Failure::usage(
                "one job file has nothing to be compared with\nhelp: name a second one, or add --layouts",
            ));
        }
        _ => {}
    }
    let read: Vec<Read> =
        paths.iter().map(|path| read(path, arguments.draws)).collect::<Result<_, Failure>>()?;
    let Some(first) = read.first() else { return Err(Failure::usage("name a job file")) };
    let mut house = if arguments.layouts { of_stock(first) } else { of_files(paths, &read) };
    if kinds_differ(&house.layouts) {
        house.remarks.push(KINDS.to_owned());
    }
    if read.iter().any(|read| read.by_chance) {
        house.remarks.push(BY_CHANCE.to_owned());
    }
    if house.layouts.len() < 2 {
        let add: Vec<String> = house.missing.iter().map(|m| format!("{}: {}", m.what, m.add)).collect();
        let message = "the job gives fewer than two layouts";
        return Err(Failure::input(format_args!("{message}\nhelp: {}", add.join("\nhelp: "))));
    }
    study(&house, first, arguments)
}

/// Said of a study that was broken off before there was anything to compare.
const BROKEN_OFF: &str =
    "Broken off before every plant had its year; the years that are done are in study.csv.";

/// Said where kWh of unlike energy meet.
const KINDS: &str = "The plants buy different kinds of energy, and a kWh of gas is counted like one of electricity; with \
     [electricity] and [fuel] prices they are ranked by money.";

fn kinds_differ(layouts: &[Layout]) -> bool {
    let burns = |layout: &Layout| layout.fuel().contains("gas");
    let priced = layouts.iter().all(|layout| layout.job.money.is_some());
    !priced && layouts.iter().any(burns) && !layouts.iter().all(burns)
}

fn read(path: &Path, draws: Draws) -> Result<Read, Failure> {
    let job = input::job(path)?;
    let weather = input::weather(&job, path)?;
    let draft = input::draft(path)?;
    let changed = (draws == Draws::Single).then(|| by_chance(&draft, &job)).flatten();
    Ok(match changed {
        Some(draft) => Read { job: draft.job()?, draft, weather, by_chance: true },
        None => Read { draft, job, weather, by_chance: false },
    })
}

fn of_stock(read: &Read) -> House {
    let Derived { layouts, missing, assumed } = derived(&read.draft, &read.job);
    House { layouts, missing, remarks: assumed }
}

fn of_files(paths: &[PathBuf], read: &[Read]) -> House {
    let stem = |path: &PathBuf| path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let mut layouts: Vec<Layout> = Vec::new();
    for (path, read) in paths.iter().zip(read) {
        let stem = stem(path);
        let same = layouts
            .iter()
            .filter(|layout| layout.name == stem || layout.name.starts_with(&format!("{stem} (")))
            .count();
        let name = if same == 0 { stem } else { format!("{stem} ({})", same + 1) };
        layouts.push(Layout::of_job(name, read.job.clone()));
    }
    let side = |i: usize| Side { name: &layouts[i].name, job: &layouts[i].job, weather: &read[i].weather };
    let remarks = (1..layouts.len()).flat_map(|i| differences(&side(0), &side(i))).collect();
    House { layouts, missing: Vec::new(), remarks }
}

fn study(house: &House, first: &Read, arguments: &Arguments) -> Result<(), Failure> {
    let shared = Shared::new(&first.weather);
    let folder = arguments.shown.folder(&arguments.jobs[0], "compare");
    let years = candidates(&house.layouts);
    let running = Running::begin(&shared, (&folder, &arguments.shown), years.len())?;
    let rows = running.rows(&years)?;
    let plants = house.layouts.len();
    let mut done: Vec<Row> = rows.iter().flatten().cloned().collect();
    let mut planned = years.len();
    let mut comparison = None;
    if done.len() == planned {
        let (own, off) = done.split_at(plants);
        let mut found = Comparison::of(&house.layouts, own, off, arguments.layouts);
        let trials = found.trials(&house.layouts);
        running.expect_more(trials.len());
        planned += trials.len();
        let tried: Vec<Row> = running.rows(&trials)?.into_iter().flatten().collect();
        if tried.len() == trials.len() {
            found.flipped(&done[..plants], &tried);
        }
        done.extend(tried);
        comparison = Some(found);
    }
    let (date, weather) = (report::today(), WeatherFacts::from(&first.weather));
    let version = env!("CARGO_PKG_VERSION");
    let name = first.job.name.as_str();
    let report = comparison.as_ref().map(|comparison| CompareReport {
        name,
        layouts: &house.layouts,
        own: &done[..plants],
        comparison,
        missing: &house.missing,
        remarks: &house.remarks,
        weather: &weather,
        units: arguments.shown.units.into(),
        version,
        date: &date,
    });
    let pictures = report.as_ref().map_or_else(Vec::new, CompareReport::pictures);
    let page =
        report.as_ref().map_or_else(|| unfinished_page(name, BROKEN_OFF), |report| report.page(&pictures));
    let text = report.as_ref().map_or(BROKEN_OFF.to_owned(), |report| text(report, house, first, &folder));
    running.finish(
        StudyReport {
            kind: "compare",
            name,
            rows: &done,
            candidates: planned,
            weather: &weather,
            findings: report.as_ref().map_or(serde_json::Value::Null, CompareReport::findings),
            pictures,
            page,
            version,
            date: &date,
        },
        &text,
    )
}

fn text(report: &CompareReport<'_>, house: &House, first: &Read, folder: &Path) -> String {
    let mut text = format!("{}\n{}\n\n", first.job.name, input::weather_line(&first.weather));
    for sentence in [report.verdict()].into_iter().chain(report.further()) {
        text.push_str(&format!("{}\n", out::bullet(&sentence)));
    }
    text.push_str(&format!("\n{}\n", report.text()));
    let missing = house.missing.iter().map(|m| format!("not known: {}; {}", m.what, m.add));
    let remarks: Vec<String> = house.remarks.iter().cloned().chain(missing).collect();
    if !remarks.is_empty() {
        text.push_str("\nTo know\n");
    }
    for remark in remarks {
        text.push_str(&format!("{}\n", out::bullet(&remark)));
    }
    text.push_str(&format!(
        "\nAn estimate, not a guarantee. What each line means: suncask columns, and the page.\n\
         Report:   {}\nPictures: {}\nRows:     {}",
        folder.join("report.html").display(),
        folder.join("pictures").display(),
        folder.join("study.json").display(),
    ));
    text
}
