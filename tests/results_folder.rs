//! The results folder: whole or not at all, ours or refused, and the same numbers in every file.

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use serde_json::Value;
use suncask::job::{self, Echo};
use suncask::money::{CashColumn, MoneyFigure};
use suncask::picture::Units;
use suncask::problem::{Problem, Severity};
use suncask::record::{Column, MorningFigure, OutageFigure, ReadingFigure, WeekKind, YearResult};
use suncask::report::{self, Report, WeatherFacts, WriteError, days::Days};
use suncask::safety::Finding;
use suncask::weather::{Layout, Site};

use crate::invented;

/// Days traced in the invented year.
pub(crate) const DAYS: Days = Days { clear: 88, mixed: 93, dull: 80 };

fn echo() -> Vec<Echo> {
    let quantity = |key: &str, written: &str, si, unit: &str, source: Option<&str>| Echo {
        key: key.to_owned(),
        written: written.to_owned(),
        si: Some(si),
        unit: unit.to_owned(),
        default_source: source.map(str::to_owned),
    };
    vec![
        quantity("controller.on_difference", "18 F (10 K) difference", 10.0, "K", None),
        quantity("tank.high_limit", "180 F (82.2 degC)", 82.2, "degC", Some("common practice")),
    ]
}

pub(crate) fn with_report<T>(result: &YearResult, made: bool, then: impl FnOnce(&mut Report<'_>) -> T) -> T {
    let mut job = job::file::read_text("starter", job::starter()).expect("the starter");
    job.name = "Invented house".to_owned();
    job.echo = echo();
    let notes = [Problem::new(Severity::Note, "The pump moves 30 gallons a minute <much>.")];
    let site = Site {
        name: "Inventown".to_owned(),
        latitude_deg: 40.0,
        longitude_deg: -105.0,
        elevation_m: 1600.0,
        utc_offset_h: -7.0,
    };
    let warnings = vec![Problem::new(Severity::Warning, "March seems 30 minutes late.")];
    let source = "invented.csv".to_owned();
    let safety = [Finding {
        key: "steam",
        hazard: "Steam",
        reading: "The collector reaches 340 F (171 C).".to_owned(),
        value: 171.0,
        level: 125.0,
        unit: "C",
        meaning: "Fluid flashes to steam.".to_owned(),
        caution: "Cover collectors before service".to_owned(),
    }];
    then(&mut Report {
        job: &job,
        notes: &notes,
        safety: &safety,
        rules: &[],
        weather: WeatherFacts { site, layout: Layout::Plain, source, made, warnings },
        result,
        range: None,
        days: Some(DAYS),
        hourly_table: false,
        units: Units::Us,
        version: "0.1.0",
        date: "1 June 2026",
    })
}

fn names(dir: &Path) -> Vec<String> {
    let entries = fs::read_dir(dir).unwrap();
    let mut names: Vec<_> = entries.map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

fn json(dir: &Path) -> Value {
    serde_json::from_str(&fs::read_to_string(dir.join("summary.json")).unwrap()).unwrap()
}

/// Equal but for the last digit, which the JSON reader of this test rounds in its own way.
fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 4.0 * f64::EPSILON * b.abs()
}

#[test]
fn all_files_are_there_and_agree() {
    let place = tempfile::tempdir().unwrap();
    let dir = place.path().join("deep").join("house");
    let result = invented::year(&DAYS.all());
    with_report(&result, false, |report| {
        report.hourly_table = true;
        report::write(&dir, report).unwrap();
    });
    assert_eq!(names(&dir), ["hourly.csv", "monthly.csv", "pictures", "report.html", "summary.json"]);
    assert_eq!(names(&place.path().join("deep")), ["house"]);

    let summary = json(&dir);
    assert_eq!(summary["schema_version"], report::SCHEMA_VERSION);
    assert_eq!(summary["defaults"][0]["key"], "tank.high_limit");
    assert_eq!(summary["defaults"][0]["source"], "common practice");
    assert_eq!(summary["job"]["quantities"][0]["si"], 10.0);
    assert_eq!(summary["weather"]["layout"], "plain");
    assert_eq!(summary["weather"]["made"], false);
    assert_eq!(summary["safety"][0]["key"], "steam");
    assert_eq!(summary["safety"][0]["level"], 125.0);
    assert_eq!(summary["weather"]["warnings"][0]["message"], "March seems 30 minutes late.");
    for column in Column::ALL {
        let read = summary["annual"][column.info().key].as_f64().unwrap();
        assert!(same(read, result.annual[*column]), "{column:?}");
    }

    let mut months = csv::Reader::from_path(dir.join("monthly.csv")).unwrap();
    let keys = months.headers().unwrap().clone();
    assert_eq!(keys.iter().skip(1).collect::<Vec<_>>(), Column::ALL.map_keys());
    let rows: Vec<_> = months.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 12);
    let text = fs::read_to_string(dir.join("summary.json")).unwrap();
    for (row, month) in rows.iter().zip(summary["monthly"].as_array().unwrap()) {
        for (key, value) in keys.iter().zip(row).skip(1) {
            let number: f64 = value.parse().unwrap();
            assert!(same(month[key].as_f64().unwrap(), number), "{key}");
            assert!(text.contains(&format!("\"{key}\": {value}")), "{key} is not written alike");
        }
    }

    let mut hours = csv::Reader::from_path(dir.join("hourly.csv")).unwrap();
    let rows: Vec<_> = hours.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 8760);
    // 1 March begins with hour 59 x 24.
    assert_eq!(rows[59 * 24].iter().take(3).collect::<Vec<_>>(), ["3", "1", "0"]);
    assert_eq!(rows[8759].iter().take(3).collect::<Vec<_>>(), ["12", "31", "23"]);
}

/// Keys of columns, for comparing with headers.
trait Keys {
    fn map_keys(&self) -> Vec<&'static str>;
}

impl Keys for [Column] {
    fn map_keys(&self) -> Vec<&'static str> {
        self.iter().map(|c| c.info().key).collect()
    }
}

#[test]
fn only_an_older_result_is_replaced() {
    let place = tempfile::tempdir().unwrap();
    let dir = place.path().join("house");
    let result = invented::year(&[]);
    with_report(&result, false, |report| {
        report.days = None;
        report.hourly_table = true;
        report::write(&dir, report).unwrap();
        report.hourly_table = false;
        report.version = "0.2.0";
        report::write(&dir, report).unwrap();
        assert_eq!(json(&dir)["suncask_version"], "0.2.0");
        assert!(!dir.join("hourly.csv").exists(), "the older table is gone with the older result");

        fs::write(dir.join("contract.txt"), "signed").unwrap();
        let refused = report::write(&dir, report).unwrap_err();
        assert!(matches!(refused, WriteError::NotOurs { .. }));
        assert!(refused.to_string().contains("contract.txt"), "{refused}");
        assert_eq!(fs::read_to_string(dir.join("contract.txt")).unwrap(), "signed");
    });
}

#[test]
fn a_result_that_is_not_a_number_leaves_the_older_one() {
    let place = tempfile::tempdir().unwrap();
    let dir = place.path().join("house");
    let mut result = invented::year(&[]);
    with_report(&result, false, |report| report::write(&dir, report).unwrap());
    let older = fs::read(dir.join("summary.json")).unwrap();
    result.annual[Column::Saved] = f64::NAN;
    let outcome =
        catch_unwind(AssertUnwindSafe(|| with_report(&result, false, |report| report::write(&dir, report))));
    assert!(outcome.is_err());
    assert_eq!(fs::read(dir.join("summary.json")).unwrap(), older);
    assert_eq!(names(place.path()), ["house"]);
}

#[test]
fn the_page_says_what_it_must() {
    // Left in the target folder for people to look at.
    let dir = Path::new(env!("CARGO_TARGET_TMPDIR")).join("results");
    let result = invented::year(&DAYS.all());
    with_report(&result, true, |report| report::write(&dir, report).unwrap());
    let page = fs::read_to_string(dir.join("report.html")).unwrap();
    for words in [
        "Invented house",
        "Made weather",
        "estimate, not a guarantee",
        "1 June 2026",
        "suncask 0.1.0",
        "tank.high_limit",
        "common practice",
        "March seems 30 minutes late.",
        "30 gallons a minute &lt;much&gt;.",
        "confirm with local code and a licensed professional",
        "Legionella",
        "What this year raised",
        "The collector reaches 340 F (171 C). Fluid flashes to steam. Cover collectors before service; confirm with local code",
        Column::SavingsFraction.info().definition,
    ] {
        assert!(page.contains(words), "{words}");
    }
    assert!(
        !page.contains("http://")
            || page.matches("http://").count() == page.matches("xmlns=\"http://").count()
    );
    with_report(&result, false, |report| report::write(&dir, report).unwrap());
    assert!(!fs::read_to_string(dir.join("report.html")).unwrap().contains("Made weather"));
}

#[test]
fn the_table_of_columns_names_every_key() {
    let text = report::columns_text();
    // A line for each, and before each further table its own line behind an empty one.
    let money = MoneyFigure::ALL.len() + CashColumn::ALL.len();
    let mornings = MorningFigure::ALL.len();
    let days = WeekKind::ALL.len() + ReadingFigure::ALL.len();
    assert_eq!(
        text.lines().count(),
        Column::COUNT + OutageFigure::ALL.len() + mornings + money + days + 6 * 2
    );
    assert!(WeekKind::ALL.iter().all(|w| text.contains(w.key()) && text.contains(w.definition())));
    assert!(ReadingFigure::ALL.iter().all(|f| text.contains(f.key) && text.contains(f.definition)));
    assert!(MorningFigure::ALL.iter().all(|f| text.contains(f.key) && text.contains(f.definition)));
    assert!(MoneyFigure::ALL.iter().all(|f| text.contains(f.key) && text.contains(f.definition)));
    assert!(CashColumn::ALL.iter().all(|c| text.contains(c.key) && text.contains(c.definition)));
    assert!(Column::ALL.iter().all(|c| text.contains(c.info().key) && text.contains(c.info().definition)));
    assert!(OutageFigure::ALL.iter().all(|f| text.contains(f.key) && text.contains(f.definition)));
}

#[test]
fn tables_fit_a_terminal_and_follow_the_units() {
    let result = invented::year(&[]);
    let mut hot = result.clone();
    // 60 degC is 140 degF by definition of the scales.
    hot.annual[Column::HottestTank] = 60.0;
    for (units, level) in [(Units::Us, "140 °F"), (Units::Si, "60 °C")] {
        let annual = report::annual_table(&hot, units);
        let line = annual.lines().find(|l| l.contains("Hottest tank")).unwrap();
        assert_eq!(line.split_whitespace().skip(2).collect::<Vec<_>>().join(" "), level);
        let monthly = report::monthly_table(&hot, units);
        // 80 letters are the width of a plain terminal.
        assert!(annual.lines().chain(monthly.lines()).all(|l| l.chars().count() <= 80));
        assert!(monthly.lines().any(|l| l.trim_start().starts_with("Dec")));
    }
}
