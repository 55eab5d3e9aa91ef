//! The numbers on the page are those of `summary.json`, of the tables and of the report.

use std::path::Path;
use std::process::Command;

use serde_json::{Value, json};

use super::{Page, folder, year};

fn run(folder: &Path, job: &str) -> Value {
    let done = Command::new(env!("CARGO_BIN_EXE_suncask")).args(["run", job]).current_dir(folder).output();
    let done = done.expect("the command");
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    summary(&folder.join(job.replace(".toml", "-results")))
}

fn summary(results: &Path) -> Value {
    let text = std::fs::read_to_string(results.join("summary.json")).expect("a summary");
    serde_json::from_str(&text).expect("JSON")
}

/// The sum of a column of `monthly.csv`.
fn of_months(results: &Path, key: &str) -> f64 {
    let mut reader = csv::Reader::from_path(results.join("monthly.csv")).expect("a table");
    let column = reader.headers().expect("a head").iter().position(|head| head == key).expect("the column");
    reader.records().map(|row| row.expect("a row")[column].parse::<f64>().expect("a number")).sum()
}

#[test]
fn page_files_and_report_have_the_same_numbers() {
    for (kind, other_layout, moved) in [
        ("one-tank", false, json!({})),
        (
            "one-tank",
            false,
            json!({ "collectors": "3", "tank": "120 gal", "people": "5", "timer": "5 am - 8 am", "electricity": "$0.2/kWh" }),
        ),
        ("one-tank", true, json!({ "tilt": "40 deg" })),
        ("two-tank", true, json!({ "thermostat": "55 C", "away": "Jul 1 - Jul 31" })),
        ("gas", false, json!({ "habits": "evenings", "azimuth": "90 deg" })),
    ] {
        let folder = folder(kind);
        let page = Page::of(folder.path(), &["house.toml"]);
        let (_, answer) = page.ask("/year", &year(other_layout, &moved));
        assert!(answer["figures"].is_array(), "{kind}, {moved}: {answer}");
        let variant = json!({ "other_layout": other_layout, "moved": moved });
        let keep = json!({ "file": "moved.toml", "variant": variant, "units": "us" });
        assert_eq!(page.ask("/save", &keep).1["name"], "moved.toml", "{kind}");
        // What `suncask run` makes of the saved file, to the bit.
        let whole = run(folder.path(), "moved.toml");
        let annual = whole["annual"].as_object().expect("columns");
        let shown = answer["annual"].as_object().expect("columns");
        assert_eq!(annual.len(), shown.len());
        for (key, value) in annual {
            assert_eq!(value.as_f64(), shown[key].as_f64(), "{kind}: {key}");
        }
        for figure in answer["figures"].as_array().expect("figures") {
            let key = figure["key"].as_str().expect("a key");
            let file = whole["annual"].get(key).unwrap_or(&whole["money"][key]);
            assert_eq!(figure["value"].as_f64(), file.as_f64(), "{kind}: {key}");
        }
        let figure = |key: &str| {
            let figures = answer["figures"].as_array().expect("figures");
            figures.iter().find(|figure| figure["key"] == key).unwrap_or_else(|| panic!("{key}")).clone()
        };
        let results = folder.path().join("moved-results");
        for key in ["saved_kwh", "heat_into_tank_kwh", "load_kwh", "pump_starts"] {
            let (months, page) = (of_months(&results, key), figure(key)["value"].as_f64().expect("a number"));
            // Twelve numbers added up in another order.
            assert!((months - page).abs() <= 1e-9 * page.abs(), "{kind}: {key}: {months} {page}");
        }
        let report = std::fs::read_to_string(results.join("report.html")).expect("a report");
        for key in ["saved_kwh", "heat_into_tank_kwh", "load_kwh", "backup_purchased_kwh"] {
            let shown = figure(key)["shown"].as_str().expect("text").to_owned();
            assert!(report.contains(&shown), "{kind}: {key}: {shown}");
        }
        // The report that the page writes is that of `suncask run`.
        std::fs::remove_dir_all(&results).expect("removed");
        let (_, told) = page.ask("/report", &keep);
        assert_eq!(told["name"], "moved-results/report.html", "{told}");
        assert_eq!(summary(&results), whole, "{kind}");
        let hazards: Vec<&Value> =
            answer["cautions"].as_array().expect("a list").iter().map(|caution| &caution["hazard"]).collect();
        let told: Vec<&Value> =
            whole["safety"].as_array().expect("a list").iter().map(|finding| &finding["hazard"]).collect();
        assert_eq!(hazards, told, "{kind}");
    }
}

#[test]
fn pictures_carry_their_figures_in_words_and_the_day_is_whole() {
    let folder = folder("two-tank");
    let page = Page::of(folder.path(), &["house.toml"]);
    let mut asked = year(false, &json!({}));
    for (units, sign) in [("us", "\u{b0}F"), ("si", "\u{b0}C")] {
        asked["units"] = json!(units);
        let (_, answer) = page.ask("/year", &asked);
        let pictures = answer["pictures"].as_array().expect("pictures");
        assert!(pictures.len() >= 3);
        for picture in pictures {
            let svg = picture["svg"].as_str().expect("an SVG");
            let words =
                svg.split_once("<desc>").and_then(|(_, rest)| rest.split_once("</desc>")).expect("words").0;
            assert!(svg.contains("role=\"img\"") && svg.contains("<title>"), "{}", picture["key"]);
            assert!(words.len() > 60 && words.contains(|c: char| c.is_ascii_digit()), "{words}");
        }
        let day = &answer["day"];
        assert_eq!((day["number"].as_u64(), day["sign"].as_str()), (Some(100), Some(sign)));
        let points = day["minutes"].as_array().expect("points").len();
        assert!((200..=1440).contains(&points), "{points}");
        let slices = |tank: usize| day["tanks"][tank].as_array().expect("slices").clone();
        assert!(
            day["tanks"].as_array().expect("tanks").len() == 2 && slices(0).len() > 5 && slices(1).len() > 5
        );
        for line in slices(0).iter().chain(&slices(1)).chain([
            &day["collector"],
            &day["supply"],
            &day["return"],
            &day["pump"],
        ]) {
            let line = line.as_array().expect("a line");
            assert!(line.len() == points && line.iter().all(Value::is_number));
        }
        assert_eq!(day["minutes"][points - 1].as_f64(), Some(1440.0));
    }
}
