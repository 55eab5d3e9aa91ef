//! Logged draws: what is read, what is refused, and how a short log stands for a year.

use std::fs;
use std::path::Path;

use proptest::prelude::*;
use suncask::job::file::{Faults, read};
use suncask::job::{DatedEvent, Job, Pattern, Purpose};

const GALLON_M3: f64 = 0.003_785_411_784;

/// Reads a job beside a log.
fn with_log(folder: &Path, log: &str, more: &str) -> Result<Job, Faults> {
    fs::write(folder.join("draws.csv"), log).expect("the log");
    let job = folder.join("house.toml");
    fs::write(&job, format!("[hot_water]\nfile = \"draws.csv\"\n{more}\n")).expect("the job");
    read(&job)
}

fn draws(log: &str, more: &str) -> (Vec<DatedEvent>, Vec<String>) {
    let folder = tempfile::tempdir().expect("folder");
    let job = with_log(folder.path(), log, more).unwrap_or_else(|faults| panic!("{faults}"));
    let notes = job.notes.iter().map(ToString::to_string).collect();
    match job.water_use.pattern {
        Pattern::Dated(draws) => (draws, notes),
        other => panic!("{other:?}"),
    }
}

/// All that is wrong with a log, without the folder.
fn faults(log: &str) -> String {
    let folder = tempfile::tempdir().expect("folder");
    let told = with_log(folder.path(), log, "").expect_err("a fault").to_string();
    told.replace(&format!("{}/", folder.path().display()), "")
}

#[test]
fn a_log_is_read_as_people_keep_it() {
    let log = "\u{feff}Time;Volume (gal);duration_s;temperature F;for;pressure psi;note\r\n\
        2026-03-06 18:30;20;5 min;105;bath;55\r\n\
        \r\n\
        3/5/2026 6:30:15 am;12.5;360;;Shower;55\r\n\
        2024-02-29 07:00;1;30;105;sink;55\r\n\
        2026-03-05 07:00;0;30;105;sink;55\r\n\
        2026-03-05T24:00;2 L;;105;sink;\r\n";
    let (draws, notes) = draws(log, "temperature = \"110 F\"");
    let seen: Vec<_> =
        draws.iter().map(|d| (d.day, d.event.start_s, d.event.duration_s, d.event.purpose)).collect();
    // 5 March is day 64. 24:00 is the next day's midnight; 2 L at the sink's 1 gal/min take 31.7 s.
    let wanted =
        [(64, 23_415, 360, Purpose::Shower), (65, 0, 32, Purpose::Sink), (65, 66_600, 300, Purpose::Bath)];
    assert_eq!(seen, wanted);
    // Two roundings.
    assert!((draws[0].event.volume_m3() / (12.5 * GALLON_M3) - 1.0).abs() < 1e-14);
    assert!((draws[1].event.volume_m3() / 0.002 - 1.0).abs() < 1e-14);
    assert!((draws[0].event.use_c - 78.0 / 1.8).abs() < 1e-12, "the section's temperature stands in");
    assert!((draws[2].event.use_c - 73.0 / 1.8).abs() < 1e-12);
    assert!(notes.iter().any(|note| note.contains("not read: pressure, note")), "{notes:?}");
    assert!(notes.iter().any(|note| note.contains("1 rows of February 29")), "{notes:?}");
    assert!(
        notes.iter().any(|note| note.contains("Mar 5 - Mar 6 only") && note.contains("repeat")),
        "{notes:?}"
    );
}

#[test]
fn other_columns_say_when() {
    for log in [
        "day,time,volume gal,flow gpm\n64,6:30 am,12,2\n",
        "date,time,duration min,flow gal/min\nMar 5,06:30,6,2\n",
        "second,volume L,duration s\n5466600,45.424941408,360\n",
    ] {
        let (draws, _) = draws(log, "");
        let event = &draws[0].event;
        // Day 64 begins 63 x 86,400 s after the year; 12 gal at 2 gal/min take 6 min.
        assert_eq!((draws[0].day, event.start_s, event.duration_s), (64, 23_400, 360), "{log}");
        assert!((event.volume_m3() / (12.0 * GALLON_M3) - 1.0).abs() < 1e-12, "{log}");
    }
}

#[test]
fn a_short_log_repeats_in_whole_weeks() {
    // Ten days from 29 December on: a shower each day, a bath on the first and the ninth.
    let mut log = "time,volume gal,for\n".to_owned();
    for day in ["12-29", "12-30", "12-31", "01-01", "01-02", "01-03", "01-04", "01-05", "01-06", "01-07"] {
        log += &format!("{day} 07:00,12,shower\n");
    }
    log += "12-29 20:00,25,bath\n01-06 20:00,25,bath\n";
    let (draws, notes) = draws(&log, "repeat = \"yes\"");
    let days = |purpose: Purpose| -> Vec<u32> {
        draws.iter().filter(|dated| dated.event.purpose == purpose).map(|dated| dated.day).collect()
    };
    assert_eq!(days(Purpose::Shower), (1..=365).collect::<Vec<u32>>());
    // Whole weeks from 29 December, day 363: the first seven days stand for the year, so baths come every seventh day.
    let baths = days(Purpose::Bath);
    assert_eq!((baths[0], baths[1], baths.last()), (5, 12, Some(&363)));
    assert!(
        notes.iter().any(|note| note.contains("7 days of the log, Dec 29 - Jan 4, stand for the whole year")),
        "{notes:?}"
    );
}

#[test]
fn every_fault_of_a_log_names_its_line_and_a_remedy() {
    for (log, told) in [
        ("", "the file of draws is empty (the first line names the columns"),
        ("time,volume gal\n", "draws.csv:1:1: the file holds no draws"),
        ("when,volume gal\n", "no column says when"),
        ("time,flow gpm\n", "no column says how much"),
        ("time,volum gal\n", "the column `volum` is not known (did you mean `volume`?)"),
        ("time,volume gal,volume L\n", "two columns of `volume`"),
        ("time,volume\n03-05 06:30,12\n", "draws.csv:2:1: volume:"),
        ("time,volume gal\n06:30,12\n", "`06:30` is not a date and a time"),
        ("time,volume gal\n13/3/2026 06:30,12\n", "the month before the day"),
        ("time,volume gal\n03-05 26:30,12\n", "`26:30` is not a time of day"),
        ("time,volume gal\n03-05 06:30,-1\n", "draws.csv:2:1:"),
        ("time,volume gal\n03-05 06:30,1e9\n", "possible: 0 gal to 2000 gal"),
        ("time,volume gal\n03-05 06:30,\n", "does not say how much was drawn"),
        ("time,volume gal,for\n03-05 06:30,1,shwer\n", "did you mean \"shower\"?"),
        ("day,time,volume gal\n366,06:30,1\n", "`366` is no day of the year"),
        ("second,volume gal\n31536000,1\n", "no second of the year"),
        ("time,volume gal\r\n03-05 06:30,12\r\n03-05 06:30,x\r\n", "draws.csv:3:1:"),
        ("PK\u{3}\u{4}", "not text"),
    ] {
        let found = faults(log);
        assert!(found.contains(told), "{log:?}: {found}");
    }
    // Many faults are not all told one by one.
    let found = faults(&format!("time,volume gal\n{}", "03-05 06:30,x\n".repeat(50)));
    assert_eq!(found.lines().count(), 9, "{found}");
    assert!(found.contains("42 more rows from here on"), "{found}");
    let folder = tempfile::tempdir().expect("folder");
    fs::write(folder.path().join("house.toml"), "[hot_water]\nfile = \"none.csv\"\n").expect("the job");
    let told = read(&folder.path().join("house.toml")).expect_err("no log").to_string();
    assert!(told.contains("none.csv") && told.contains("job file's folder"), "{told}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Whatever stands in a log, it is read or refused.
    #[test]
    fn no_log_breaks_the_reader(rows in "([0-9/:. apm-]{0,20}[,;][0-9.e -]{0,9}[,;\"]?(sink|[ -~]{0,6})\n){0,6}") {
        let folder = tempfile::tempdir().expect("folder");
        let log = format!("time,volume gal,for\n{rows}");
        if let Ok(job) = with_log(folder.path(), &log, "repeat = \"yes\"") {
            let Pattern::Dated(draws) = job.water_use.pattern else { panic!("a log") };
            prop_assert!(draws.iter().all(|d| (1..=365).contains(&d.day) && d.event.start_s < 86_400));
        }
    }
}
