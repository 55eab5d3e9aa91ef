//! What each fuzz target does with its bytes. A target panics where a reader breaks its word: what it takes is whole and can be
//! used, what it refuses has a reason, and every place it names is in the text.
//!
//! The test suite feeds the kept corpus to the same functions.

use std::cell::RefCell;
use std::path::{Component, Path, PathBuf};
use std::sync::OnceLock;

use suncask::job::file::{hourly_prices, read, read_text, render};
use suncask::job::quantity::{self, Kind, parse, when, words};
use suncask::job::{Job, Pattern, starter};
use suncask::money::tariff::Hourly;
use suncask::page::Given;
use suncask::page::trial::Trial;
use suncask::problem::{Problem, Severity};
use suncask::weather::{WeatherYear, read_bytes};
use thermal_network::Plant;

/// Reads bytes and holds the reader to its word.
pub(crate) type Target = fn(&[u8]);

/// The targets by name; a target's corpus lies in the folder of its name.
pub(crate) const TARGETS: [(&str, Target); 11] = [
    ("weather-tmy3", weather),
    ("weather-nsrdb", weather),
    ("weather-pvgis", weather),
    ("weather-plain", weather),
    ("weather-year", edited_year),
    ("job", job),
    ("bills", bills),
    ("draws", draws),
    ("prices", prices),
    ("quantity", quantities),
    ("page", page),
];

/// The target of that name.
pub(crate) fn named(name: &str) -> Option<Target> {
    TARGETS.iter().find(|(known, _)| *known == name).map(|&(_, target)| target)
}

fn told(problems: &[Problem]) {
    assert!(problems.iter().any(|p| p.severity == Severity::Error), "refused without a reason: {problems:?}");
    for problem in problems {
        assert!(!problem.message.is_empty(), "{problem:?}");
        assert!(problem.place.as_ref().is_none_or(|place| place.line > 0 && place.column > 0), "{problem:?}");
    }
}

fn weather(bytes: &[u8]) {
    match read_bytes("year.csv", bytes) {
        Ok(year) => whole(&year),
        Err(problems) => told(&problems),
    }
}

/// Lines of an invented year in the plain layout, whole and sound; rows begin behind [`HEAD`] lines.
fn sound_year() -> &'static [String] {
    static YEAR: OnceLock<Vec<String>> = OnceLock::new();
    YEAR.get_or_init(|| {
        let head = "suncask weather 1\nsite: Mildmeadow\nlatitude: 39\nlongitude: -93.5\nelevation: 230\nutc offset: -6\n\
            stamp: end\ntime, ghi W/m2, dni W/m2, dhi W/m2, air degC, wind m/s, dew point degC";
        // `01/01/2001,01:00,...` becomes `01-01 01:00,...`.
        let rows = include_str!("../../weather-samples/temperate.csv").lines().skip(2);
        let rows = rows.map(|row| format!("{}-{} {}", &row[..2], &row[3..5], &row[11..]));
        head.lines().map(str::to_owned).chain(rows).collect()
    })
}

/// Lines above the rows of [`sound_year`].
const HEAD: usize = 8;

/// What an edit may write into a field.
const FIELDS: [&str; 24] = [
    "",
    "nan",
    "inf",
    "-inf",
    "-9900",
    "9999",
    "0",
    "-0",
    "-1",
    "-29",
    "1",
    "1e3",
    "1419",
    "1899",
    "-74",
    "59",
    "1e308",
    "1,5",
    "x",
    "\"",
    "01-01 00:00",
    "02-29 12:00",
    "12-31 24:00",
    "90",
];

/// What an edit may write in place of a line.
const LINES: [&str; 16] = [
    "latitude: 90 deg",
    "latitude: -90 deg",
    "latitude: 0",
    "longitude: 180",
    "longitude: -179.9",
    "utc offset: 14 h",
    "utc offset: -12 h",
    "utc offset: 0.5 h",
    "elevation: 20000 ft",
    "stamp: middle",
    "stamp: end",
    "made: x",
    "time, ghi W/m2, air degC",
    "time, dni W/m2, dhi W/m2, air degF, humidity %",
    "time, ghi Wh/m2, air degC, wind mph, dew point degF",
    "",
];

/// A whole year with edits, of six bytes each: what to do, the line (two bytes), the field, what to write (two bytes).
fn edited_year(bytes: &[u8]) {
    let mut lines = sound_year().to_vec();
    for edit in bytes.chunks_exact(6).take(64) {
        let at = usize::from(u16::from_le_bytes([edit[1], edit[2]])) % lines.len();
        let value = usize::from(u16::from_le_bytes([edit[4], edit[5]]));
        match edit[0] % 8 {
            0 => drop(lines.remove(at)),
            1 => {
                let again = lines[at].clone();
                lines.insert(at, again);
            }
            2 => {
                let other = value % lines.len();
                lines.swap(at, other);
            }
            3 => LINES[value % LINES.len()].clone_into(&mut lines[value / 16 % HEAD]),
            what => {
                let text =
                    if what == 4 { format!("{value}.5") } else { FIELDS[value % FIELDS.len()].to_owned() };
                // One row, or a day of rows, or a column.
                let many = [1, 24, 24 * 40, 8760][usize::from(edit[3] / 16 % 4)];
                for line in lines.iter_mut().skip(at.max(HEAD)).take(many) {
                    let mut fields: Vec<&str> = line.split(',').collect();
                    let field = usize::from(edit[3] % 16) % fields.len();
                    fields[field] = &text;
                    *line = fields.join(",");
                }
            }
        }
        if lines.len() <= HEAD {
            break;
        }
    }
    weather(lines.join("\n").as_bytes());
}

/// A year that was taken has all its values.
fn whole(year: &WeatherYear) {
    let columns =
        [&year.ghi_w_m2, &year.dni_w_m2, &year.dhi_w_m2, &year.air_c, &year.wind_m_s, &year.dew_point_c];
    let records = 31_536_000 / year.interval_s as usize;
    for (index, column) in columns.into_iter().enumerate() {
        assert!(column.len() == records || (index == 5 && column.is_empty()), "column {index}");
        assert!(column.iter().all(|value| value.is_finite()), "column {index}");
    }
    let site = &year.site;
    let place = [site.latitude_deg, site.longitude_deg, site.elevation_m, site.utc_offset_h];
    assert!(place.iter().all(|value| value.is_finite()), "{site:?}");
}

fn job(bytes: &[u8]) {
    text_of_job(&String::from_utf8_lossy(bytes));
}

fn text_of_job(text: &str) -> Option<Job> {
    match read_text("house.toml", text) {
        Ok(job) => {
            sound(&job, text);
            Some(job)
        }
        Err(problems) => {
            told(&problems);
            within(&problems, text);
            None
        }
    }
}

/// A job that was taken can be built.
fn sound(job: &Job, text: &str) {
    within(&job.notes, text);
    for spec in [Some(job.plant.clone()), job.plant_without_sun()].into_iter().flatten() {
        let plant = Plant::assemble(&spec);
        assert!(plant.is_ok(), "read, but cannot be built: {:?}\n{text}", plant.err());
    }
    assert!(job.echo.iter().all(|echo| echo.si.is_none_or(f64::is_finite)), "{:?}", job.echo);
}

/// What is told of a text points into it, and can be shown.
fn within(problems: &[Problem], text: &str) {
    for span in problems.iter().filter_map(|problem| problem.place.as_ref()?.span.clone()) {
        assert!(text.get(span.clone()).is_some(), "{span:?} of {text:?}");
    }
    // Each is shown by itself; a few are enough, for the time it takes.
    let few = &problems[..problems.len().min(3)];
    assert_eq!(render(few, text).is_empty(), few.is_empty());
}

fn bills(bytes: &[u8]) {
    let text = format!("[bills]\n{}", String::from_utf8_lossy(bytes));
    if let Some(bills) = text_of_job(&text).and_then(|job| job.bills) {
        assert!(bills.water_kwh.iter().all(|month| month.is_finite()), "{bills:?}");
        assert!(bills.months.iter().all(|&month| month < 12), "{bills:?}");
    }
}

thread_local! {
    /// Where files that a job names are written; in memory where there is such a folder.
    static FOLDER: RefCell<Option<tempfile::TempDir>> = const { RefCell::new(None) };
}

/// Reads a job that names a file of such bytes.
fn with_file(job: &str, file: &str, bytes: &[u8], take: impl Fn(&Job)) {
    FOLDER.with_borrow_mut(|folder| {
        let folder = folder.get_or_insert_with(|| {
            let memory = Path::new("/dev/shm");
            let made = if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() };
            made.expect("a folder")
        });
        std::fs::write(folder.path().join(file), bytes).expect("a file");
        let path = folder.path().join("house.toml");
        std::fs::write(&path, job).expect("a job");
        match read(&path) {
            Ok(job) => take(&job),
            Err(faults) => {
                told(&faults.problems);
                within(&faults.problems, &faults.text);
            }
        }
    });
}

fn draws(bytes: &[u8]) {
    let repeat = if bytes.first().is_some_and(|byte| byte % 2 == 0) { "yes" } else { "no" };
    let job = format!("[hot_water]\nfile = \"draws.csv\"\nrepeat = \"{repeat}\"\n");
    with_file(&job, "draws.csv", bytes, |job| {
        let Pattern::Dated(draws) = &job.water_use.pattern else { panic!("{:?}", job.water_use.pattern) };
        assert!(!draws.is_empty());
        for dated in draws {
            let event = &dated.event;
            assert!((1..=365).contains(&dated.day) && event.start_s < 86_400, "{dated:?}");
            assert!(event.duration_s > 0 && event.volume_m3() > 0.0 && event.volume_m3() < 10.0, "{dated:?}");
            assert!(event.use_c > 5.0 && event.use_c < 100.0, "{dated:?}");
        }
    });
}

fn prices(bytes: &[u8]) {
    priced(bytes);
    // A year of rows, and a whole job around them, cost a hundred times as much.
    if bytes.len().is_multiple_of(32) {
        let mut lines = bytes.split(|byte| *byte == b'\n');
        let head = lines.next().unwrap_or_default();
        let rows = lines.clone().next().map(|_| lines.cycle().take(8760));
        let year = std::iter::once(head).chain(rows.into_iter().flatten());
        priced(&year.collect::<Vec<_>>().join(&b'\n'));
        with_file("[electricity]\nhourly = \"prices.csv\"\n", "prices.csv", bytes, |job| {
            assert!(job.money.is_some(), "prices without money");
        });
    }
}

fn priced(bytes: &[u8]) {
    match hourly_prices("prices.csv", bytes, |unit| assert!(unit.si.is_finite(), "{unit:?}")) {
        Ok(Hourly { import, export, house_kwh }) => {
            for column in [import, export, house_kwh] {
                assert!(column.len() == 8760 && column.iter().all(|value| value.is_finite()));
            }
        }
        Err(problems) => told(&problems),
    }
}

/// The body of a request to the page of the one-tank starter.
fn page(bytes: &[u8]) {
    static HOUSE: OnceLock<Trial> = OnceLock::new();
    let house = HOUSE.get_or_init(|| {
        let given = Given { folder: PathBuf::new(), file: Some("house.toml".into()), text: starter().into() };
        Trial::new(given, &suncask::weather::demo()).expect("the starter")
    });
    match house.asked(bytes) {
        Ok(wanted) => {
            sound(&wanted.job, &wanted.text);
            // What would be written lies in the folder itself.
            if let Some(file) = wanted.file {
                let parts: Vec<Component<'_>> = Path::new(&file).components().collect();
                assert!(matches!(parts[..], [Component::Normal(_)]) && file.ends_with(".toml"), "{file:?}");
                assert!(!file.chars().any(char::is_control), "{file:?}");
            }
        }
        Err(why) => assert!(!why.is_empty()),
    }
}

fn quantities(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let text = text.as_ref();
    let inside = |fault: quantity::Fault| {
        assert!(text.get(fault.range.clone()).is_some(), "{:?} of {text:?}", fault.range);
        assert!(!fault.message.is_empty() && !fault.label.is_empty());
    };
    for kind in Kind::ALL {
        match parse(text, &[kind]) {
            Ok(found) => {
                assert!(found.si.is_finite() && found.kind == kind, "{text:?}: {found:?}");
                // A reader sees it in both habits.
                assert!(!kind.shown(found.si, true).is_empty() && !kind.shown(found.si, false).is_empty());
            }
            Err(fault) => inside(fault),
        }
    }
    let all = [Kind::Length, Kind::Share, Kind::Difference, Kind::Money];
    parse(text, &all).map_or_else(inside, |found| assert!(all.contains(&found.kind)));
    quantity::scaled(text, 1.5);
    when::time_of_day(text).map_or_else(inside, |minutes| assert!(minutes <= 1440));
    when::hours(text).map_or_else(inside, |spans| {
        assert!(spans.iter().all(|&(from, until)| from <= 1440 && until <= 1440));
    });
    when::date(text).map_or_else(inside, |day| assert!((1..=365).contains(&day)));
    words::panels(text).map_or_else(inside, |panels| {
        assert!(
            panels.count >= 1.0 && panels.nominal_m2.is_finite() && panels.nominal_m2 > 0.0,
            "{panels:?}"
        );
    });
    words::one_panel(text);
    words::direction(text).map_or_else(inside, |(deg, _)| assert!(deg.is_finite()));
}
