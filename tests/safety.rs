//! Safety findings: each is raised by its reading and not without it.

use suncask::job::Job;
use suncask::job::file::read_text;
use suncask::record::{Column, YearResult};
use suncask::safety::{Finding, findings};
use suncask::weather::{self, WeatherYear};
use suncask::year::{RunOptions, Setting, run};

use crate::invented;

fn job(text: &str) -> Job {
    read_text("job.toml", text).unwrap_or_else(|problems| panic!("{problems:?}"))
}

/// A place at sea level with the same air all year.
fn air(air_c: f64) -> WeatherYear {
    let mut weather = weather::demo();
    weather.air_c.fill(air_c);
    weather.site.elevation_m = 0.0;
    weather
}

/// A year in which one column reads so, and nothing else is hot.
fn year(column: Column, value: f64) -> YearResult {
    let mut year = invented::year(&[]);
    for hot in [Column::HottestOutlet, Column::HottestThermostat, Column::HottestCollector] {
        year.annual[hot] = 40.0;
    }
    year.annual[column] = value;
    year
}

/// Keys raised by a job in a mild place.
fn raised(text: &str, column: Column, value: f64) -> Vec<&'static str> {
    findings(&job(text), &air(20.0), &year(column, value)).iter().map(|finding| finding.key).collect()
}

fn only<'a>(list: &'a [Finding], key: &str) -> &'a Finding {
    list.iter().find(|finding| finding.key == key).unwrap_or_else(|| panic!("no {key} in {list:?}"))
}

#[test]
fn hot_water_scalds_with_and_without_a_valve() {
    let valve = "[hot_water]\nmixing_valve = true\n";
    // 120 F are 48.9 degC, 140 F are 60 degC.
    for (text, outlet_c, keys) in [
        ("", 48.8, &[][..]),
        ("", 49.0, &["scald_without_valve"]),
        (valve, 59.9, &[]),
        (valve, 60.1, &["scald_with_valve"]),
    ] {
        assert_eq!(raised(text, Column::HottestOutlet, outlet_c), keys, "{text} {outlet_c}");
    }
    let list = findings(&job(""), &air(20.0), &year(Column::HottestOutlet, 80.0));
    let scald = only(&list, "scald_without_valve");
    assert_eq!((scald.value, scald.unit), (80.0, "C"));
    assert!(scald.reading.contains("176 F (80 C)") && scald.reading.contains("120 F (49 C)"), "{scald:?}");
}

#[test]
fn a_cut_out_may_trip_and_bacteria_may_grow() {
    // 165 F are 73.9 degC.
    assert_eq!(raised("", Column::HottestThermostat, 73.8), [""; 0]);
    assert_eq!(raised("", Column::HottestThermostat, 74.0), ["backup_cut_out"]);
    assert_eq!(raised("", Column::LukewarmSpell, 24.0), [""; 0]);
    assert_eq!(raised("", Column::LukewarmSpell, 25.0), ["lukewarm_spell"]);
    let behind = year(Column::Tank2LukewarmSpell, 30.0);
    let list = findings(&job("[backup_tank]\nuef = 0.92\n"), &air(20.0), &behind);
    let spell = only(&list, "lukewarm_spell");
    assert!(spell.value == 30.0 && spell.reading.contains("coldest layer of the second tank"), "{spell:?}");
}

#[test]
fn a_tank_below_freezing_is_told() {
    assert_eq!(raised("", Column::ColdestTank, 0.1), [""; 0]);
    assert_eq!(raised("", Column::ColdestTank, -0.1), ["tank_freeze"]);
    // A batch collector without frost protection through a winter far below zero.
    let batch = suncask::job::STARTERS.iter().find(|starter| starter.kind == "batch").expect("a starter");
    let (job, frost) = (job(batch.text), air(-20.0));
    let setting = Setting::new(&job, &frost);
    let year = run(&job, &setting, &RunOptions { outages: true, ..RunOptions::default() }).expect("a year");
    let list = findings(&job, &frost, &year);
    assert!(only(&list, "tank_freeze").value < -1.0, "{list:?}");
    let outage = only(&list, "outage_freeze");
    assert_eq!(outage.hazard, "Freeze in the coldest days");
    assert!(outage.reading.starts_with("From "), "{}", outage.reading);
}

#[test]
fn water_outdoors_is_told_from_cold_air_and_from_the_record_low() {
    let water = "[loop]\nfluid = \"water\"\n";
    let warm = year(Column::HottestOutlet, 40.0);
    let list = |text: &str, air_c: f64| findings(&job(text), &air(air_c), &warm);
    // 42 F are 5.6 degC; a file that never falls below 17 degC is assumed to miss a low of 5.9 degC.
    assert_eq!(list(water, 17.0), []);
    let cold = list(water, 5.0);
    let finding = only(&cold, "water_outdoors");
    assert_eq!((finding.value, finding.unit), (8760.0, "h"));
    assert!(finding.reading.contains("8760 hours") && finding.reading.contains("assumed"), "{finding:?}");
    assert!(finding.meaning.contains("count for nothing in a power failure"), "{finding:?}");
    // A place that has seen 20 F raises it in the mildest typical year, and tank water outdoors counts as water.
    for text in [water, "[tank.open_loop]\n"] {
        let list = list(&format!("{text}[site]\nrecord_low = \"20 F\"\n"), 17.0);
        let finding = only(&list, "water_outdoors");
        assert!(finding.reading.contains("record low of the site is 20 F (-7 C)"), "{finding:?}");
    }
    assert_eq!(list("", 5.0), [], "glycol");
}

#[test]
fn glycol_is_held_against_the_record_low() {
    let warm = year(Column::HottestOutlet, 40.0);
    let keys = |text: &str, air_c: f64| -> Vec<&'static str> {
        findings(&job(text), &air(air_c), &warm).iter().map(|finding| finding.key).collect()
    };
    // 30 %: slush below -13.1 degC (8.4 F), bursts below -28.9 degC (-20 F); 40 %: -21.5 degC (-6.7 F), no burst above -60 F.
    let thirty = "[loop]\nfluid = \"30 % propylene glycol\"\n[site]\n";
    assert_eq!(keys(&format!("{thirty}record_low = \"9 F\"\n"), 20.0), [""; 0]);
    assert_eq!(keys(&format!("{thirty}record_low = \"0 F\"\n"), 20.0), ["glycol_slush"]);
    assert_eq!(keys(&format!("{thirty}record_low = \"-21 F\"\n"), 20.0), ["glycol_burst", "glycol_slush"]);
    assert_eq!(keys("[site]\nrecord_low = \"-30 F\"\n", 20.0), ["glycol_slush"]);
    // Without a record low: the file's -3 degC less 11.1 K is below -13.1, its -1 degC less that is not.
    let thirty = "[loop]\nfluid = \"30 % propylene glycol\"\n";
    assert_eq!(keys(thirty, -3.0), ["glycol_slush"]);
    assert_eq!(keys(thirty, -1.0), [""; 0]);
    let list = findings(&job(thirty), &air(-3.0), &warm);
    assert!(only(&list, "glycol_slush").reading.contains("assumed to be 7 F (-14 C)"), "{list:?}");
}

#[test]
fn a_tank_hotter_than_its_relief_valve_is_told() {
    // 210 F are 98.9 degC, whatever the loop.
    for text in ["", "[tank.open_loop]\n"] {
        assert_eq!(raised(text, Column::HottestTank, 98.8), [""; 0], "{text}");
        assert_eq!(raised(text, Column::HottestTank, 99.0), ["tank_relief"], "{text}");
    }
}

#[test]
fn a_hot_collector_boils_its_fluid_and_ages_glycol() {
    let water = "[loop]\nfluid = \"water\"\nfill_pressure = \"20 psi\"\nlift = \"23.1 ft\"\nrelief_pressure = \"50 psi\"\n";
    // Of 20 psi at the gauge 23.1 ft of water leave 10 psi at the top, 24.7 psi in all: saturated steam tables give 239.4 F,
    // 115.2 degC; of 50 psi 54.7 psi, 286.5 F, 141.4 degC.
    assert_eq!(raised(water, Column::HottestCollector, 114.9), [""; 0]);
    assert_eq!(raised(water, Column::HottestCollector, 115.5), ["steam"]);
    assert_eq!(raised(water, Column::HottestCollector, 141.1), ["steam"]);
    assert_eq!(raised(water, Column::HottestCollector, 141.7), ["steam", "relief"]);
    // 250 F are 121.1 degC. Glycol under an assumed 15 psi at the top: 29.7 psi over its share of water of 0.859, 34.6 psi,
    // 258.5 F, 125.8 degC.
    assert_eq!(raised("", Column::HottestCollector, 121.0), [""; 0]);
    assert_eq!(raised("", Column::HottestCollector, 121.2), ["glycol_ageing"]);
    assert_eq!(raised("", Column::HottestCollector, 126.5), ["steam", "glycol_ageing"]);
    let list = findings(&job(""), &air(20.0), &year(Column::HottestCollector, 126.5));
    assert!(only(&list, "steam").reading.contains("an assumed 15 psi"), "{list:?}");
    // High up the air weighs less: at 10,000 ft, 3,048 m, 10.1 psi of air and 10 psi make water boil at 228.3 F, 109.0 degC.
    let mut high = air(20.0);
    high.site.elevation_m = 3048.0;
    let list = findings(&job(water), &high, &year(Column::HottestCollector, 130.0));
    assert!((only(&list, "steam").level - 109.0).abs() < 0.2, "{list:?}");
    // An open loop stands under the house's pressure, which the job does not say.
    assert_eq!(raised("[tank.open_loop]\n", Column::HottestCollector, 200.0), [""; 0]);
}

#[test]
fn a_run_finds_the_readings() {
    let starter = job(suncask::job::starter());
    let weather = weather::demo();
    let options = RunOptions { hourly: true, ..RunOptions::default() };
    let year = run(&starter, &Setting::new(&starter, &weather), &options).expect("a year");
    let [outlet_c, thermostat_c, hottest_c] =
        [Column::HottestOutlet, Column::HottestThermostat, Column::HottestTank]
            .map(|column| year.annual[column]);
    // The outlet is the top slice, the hottest at rest; within a span it may have been hotter than at the span's end.
    assert!(outlet_c <= hottest_c && outlet_c > hottest_c - 1.0, "{outlet_c} {hottest_c}");
    // The thermostat sits lower, and the element keeps its slice at 130 F (54.4 degC) or more.
    assert!(thermostat_c <= outlet_c && thermostat_c > 54.4, "{thermostat_c} {outlet_c}");
    let hourly = year.hourly.iter().map(|hour| hour[Column::HottestOutlet]).fold(0.0, f64::max);
    assert_eq!(hourly, outlet_c);
    let list = findings(&starter, &weather, &year);
    assert_eq!(only(&list, "scald_with_valve").value, outlet_c);
}
