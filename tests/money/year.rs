//! Whole years in money: what the summary says is what the hourly file says.

use std::fs;

use suncask::job::file::read_text;
use suncask::job::{Job, STARTERS, starter};
use suncask::money::Account;
use suncask::picture::{DrawnPlant, Units};
use suncask::record::{Column, YearResult};
use suncask::report::{self, Report, WeatherFacts};
use suncask::weather;
use suncask::year::{RunOptions, Setting, run};

use super::close;

fn job(text: &str) -> Job {
    read_text("job.toml", text).unwrap_or_else(|problems| panic!("{problems:?}"))
}

fn year(job: &Job) -> YearResult {
    let options = RunOptions { hourly: true, ..RunOptions::default() };
    run(job, &Setting::new(job, &weather::demo()), &options).expect("a year")
}

fn account(result: &YearResult) -> &Account {
    result.money.as_ref().expect("money")
}

/// Energy sums of a year agree to the rounding of their terms.
fn same_kwh(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-6 * (1.0 + expected.abs()), "{found} against {expected}");
}

#[test]
fn the_summary_is_what_the_hours_come_to() {
    let incentive = "[[money.incentive]]\nname = \"invented rebate\"\namount = \"$500\"\nreceived = 1\nverified_on = \"2026-05-01\"\n";
    let job = job(&format!("{}\n{incentive}", starter()));
    let result = year(&job);
    let place = tempfile::tempdir().expect("folder");
    let dir = place.path().join("house");
    let report = Report {
        name: "Invented house",
        echo: &job.echo,
        notes: &[],
        safety: &[],
        plant: &DrawnPlant::of(&job),
        weather: WeatherFacts::from(&weather::demo()),
        result: &result,
        range: None,
        days: None,
        hourly_table: true,
        units: Units::Us,
        version: "0.1.0",
        date: "1 June 2026",
    };
    report::write(&dir, &report).expect("a folder");
    let text = fs::read_to_string(dir.join("summary.json")).expect("a summary");
    let summary: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let money = &summary["money"];

    // The starter's prices: 31 cents on weekdays from 5 to 9 pm by the clock, else 17. 1 January is a Monday, and the clock
    // is ahead from 11 March (day 70) to 3 November (day 307).
    let mut hours = csv::Reader::from_path(dir.join("hourly.csv")).expect("hours");
    let heads = hours.headers().expect("heads").clone();
    let place = |key: &str| heads.iter().position(|head| head == key).expect(key);
    let (saved_at, hour_at) = (place("equal_service_saved_kwh"), place("hour"));
    let (mut saved, mut saved_kwh) = (0.0, 0.0);
    for (i, row) in hours.records().map(|row| row.expect("a row")).enumerate() {
        let (day, hour) = (i / 24, row[hour_at].parse::<usize>().expect("an hour"));
        let ahead = usize::from((70..=307).contains(&(day + 1)));
        let peak = day % 7 < 5 && (17..21).contains(&(hour + ahead));
        let kwh = row[saved_at].parse::<f64>().expect("a number");
        saved += kwh * if peak { 0.31 } else { 0.17 };
        saved_kwh += kwh;
    }
    let figure = |key: &str| money[key].as_f64().unwrap_or_else(|| panic!("{key}: {}", money[key]));
    same_kwh(figure("saved"), saved);
    same_kwh(figure("electricity_saved_kwh"), saved_kwh);
    same_kwh(figure("electricity_saved_kwh"), result.annual[Column::EqualServiceSaved]);
    close(figure("bill_without_sun") - figure("bill_with_sun"), figure("saved"));
    let months = |key: &str| -> f64 {
        money["facts"]["monthly"][key]
            .as_array()
            .expect(key)
            .iter()
            .map(|month| month.as_f64().expect("a sum"))
            .sum()
    };
    close(months("electricity_without_sun"), figure("bill_without_sun"));
    // 12 a month; 7000 at the start, 70 a year, 500 in year 10 and received in year 1.
    assert_eq!(figure("fixed_fees"), 144.0);
    close(figure("balance_at_end"), 20.0 * (figure("saved") - 70.0) - 7000.0);
    assert_eq!(money["facts"]["incentives"][0]["told"], "verify before use");
    assert_eq!(money["cash_flow"].as_array().expect("years").len(), 21);
    assert_eq!(money["cash_flow"][1]["incentives"], 500);
    for defined in ["money_columns", "cash_columns"] {
        for column in summary[defined].as_array().expect(defined) {
            let key = column["key"].as_str().expect("a key");
            let holder = if defined == "cash_columns" { &money["cash_flow"][0] } else { money };
            assert!(holder.get(key).is_some(), "{key}");
        }
    }
    let page = fs::read_to_string(dir.join("report.html")).expect("a page");
    for words in [
        "In money",
        "not tax advice",
        "invented rebate: $500 in year 1; last verified 2026-05-01; verify before use",
        "823 lb/MWh",
        "Money over the years",
    ] {
        assert!(page.contains(words), "{words}");
    }
    assert!(dir.join("pictures/cash.png").exists());
    let told = report::money_table(account(&result));
    assert!(told.lines().all(|line| line.chars().count() <= 80) && told.contains("Simple payback"), "{told}");
    let notes = report::money_notes(account(&result), &job.echo);
    assert!(notes[0].contains("verify before use") && notes[2].ends_with("not tax advice"), "{notes:?}");
}

/// Electricity at 20 cents and fuel at 5 cents a kWh.
const PRICES: &str = "[electricity]\nprice = \"$0.20/kWh\"\n[fuel]\nprice = \"5 cents/kWh\"\n";

#[test]
fn fuel_and_electricity_each_at_their_price() {
    let gas = STARTERS.iter().find(|starter| starter.kind == "gas").expect("a starter").text;
    let by_label = "[heater_without_sun]\nfuel = \"gas\"\n";
    for text in [gas, by_label] {
        let result = year(&job(&format!("{text}\n{PRICES}")));
        let (annual, account) = (&result.annual, account(&result));
        let own_kwh = annual[Column::BackupElectric] + annual[Column::Pump] + annual[Column::Control];
        // The heater without sun buys fuel only: what the plant has of electricity is no saving.
        same_kwh(account.electricity.saved_kwh, -own_kwh);
        same_kwh(account.fuel.saved_kwh, annual[Column::EqualServiceSaved] + own_kwh);
        same_kwh(account.saving(), 0.05 * account.fuel.saved_kwh - 0.20 * own_kwh);
        assert!(account.fuel.saved_kwh > 1000.0 && account.outlook.is_none());
        // EIA's 53.07 kg per million Btu and 823 lb per MWh.
        let kg = |fuel_kwh: f64, electric_kwh: f64| {
            fuel_kwh * 53.07 / 293.071_070_172_222_2 + electric_kwh * 0.373_306_520_51
        };
        same_kwh(account.co2_kg[0] - account.co2_kg[1], kg(account.fuel.saved_kwh, -own_kwh));
    }
}

#[test]
fn a_heater_held_at_its_set_point_by_the_hour() {
    let result = year(&job(&format!("[heater_without_sun]\nkind = \"held at set point\"\n{PRICES}")));
    same_kwh(account(&result).electricity.saved_kwh, result.annual[Column::EqualServiceSaved]);
    assert_eq!(account(&result).fuel.saved_kwh, 0.0);
}

#[test]
fn money_does_not_touch_the_year() {
    let priced = job(starter());
    let mut plain = priced.clone();
    plain.money = None;
    let (priced, plain) = (year(&priced), year(&plain));
    assert!(priced.money.is_some() && plain.money.is_none());
    for column in Column::ALL {
        assert_eq!(priced.annual[*column].to_bits(), plain.annual[*column].to_bits(), "{column:?}");
    }
}

/// A house that always feeds in more than any heater takes earns the export price for all it saves.
#[test]
fn a_house_with_much_of_its_own() {
    let folder = tempfile::tempdir().expect("folder");
    let rows = "0.30,0.06,-50\n".repeat(8760);
    fs::write(folder.path().join("prices.csv"), format!("import $/kWh,export $/kWh,house kWh\n{rows}"))
        .expect("prices");
    let path = folder.path().join("job.toml");
    fs::write(&path, "[electricity]\nhourly = \"prices.csv\"\n").expect("job");
    let job = suncask::job::file::read(&path).expect("sound");
    let result = year(&job);
    same_kwh(account(&result).saving(), 0.06 * result.annual[Column::EqualServiceSaved]);
}
