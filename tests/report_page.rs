//! `report.html`: the customer's sheet first, the same numbers as in the files, books that close, pictures in words.

use std::fs;

use resvg::usvg::roxmltree::Document;
use serde_json::Value;
use suncask::job::{self, Job, STARTERS, check};
use suncask::picture::Units;
use suncask::record::{Column, Week, YearResult};
use suncask::report::{self, Report, WeatherFacts, days};
use suncask::weather;
use suncask::year::{RunOptions, Setting, run};

use crate::results_folder::with_report;
use crate::{invented, results_folder};

/// A house run through the built-in climate: its folder's page and summary.
struct House {
    result: YearResult,
    page: String,
    summary: Value,
    months: Vec<csv::StringRecord>,
    heads: csv::StringRecord,
}

fn starter(kind: &str) -> Job {
    let starter = STARTERS.iter().find(|starter| starter.kind == kind).expect("a starter");
    job::file::read_text(kind, starter.text).expect("a sound job")
}

fn house(job: &Job, units: Units) -> House {
    let weather = weather::demo();
    let setting = Setting::new(job, &weather);
    let chosen = days::choose(&setting.plane.daily_j_m2());
    let mut trace_days = chosen.all().to_vec();
    trace_days.sort_unstable();
    let options = RunOptions { hourly: true, trace_days, ..RunOptions::default() };
    let result = run(job, &setting, &options).expect("a year");
    let place = tempfile::tempdir().expect("a folder");
    let dir = place.path().join("house");
    let report = Report {
        job,
        notes: &[],
        safety: &[],
        rules: &check::findings(job, None),
        weather: WeatherFacts::from(&weather),
        result: &result,
        range: None,
        days: Some(chosen),
        hourly_table: false,
        units,
        version: "0.1.0",
        date: "1 June 2026",
    };
    report::write(&dir, &report).expect("a folder");
    let text = |name: &str| fs::read_to_string(dir.join(name)).expect(name);
    let summary = serde_json::from_str(&text("summary.json")).expect("JSON");
    let mut months = csv::Reader::from_path(dir.join("monthly.csv")).expect("months");
    let heads = months.headers().expect("heads").clone();
    let months = months.records().map(|row| row.expect("a row")).collect();
    House { page: text("report.html"), summary, months, heads, result }
}

/// The first sheet of a page.
fn first(page: &str) -> &str {
    let (_, first) = page.split_once("<section class=\"first\"").expect("a first sheet");
    first.split_once("class=\"foot\"").map(|(_, foot)| foot.find("</section>").expect("its end")).map_or(
        first,
        |end| {
            let foot = first.find("class=\"foot\"").expect("the foot") + "class=\"foot\"".len();
            &first[..foot + end]
        },
    )
}

/// Text without its tags.
fn plain(html: &str) -> String {
    let mut text = String::new();
    let mut inside = false;
    for c in html.chars() {
        match c {
            '<' => inside = true,
            '>' => {
                inside = false;
                text.push(' ');
            }
            c if !inside => text.push(c),
            _ => {}
        }
    }
    text.split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
        .replace(" .", ".")
        .replace(" ,", ",")
        .replace(" ;", ";")
}

/// A table of a page by its label or caption: its rows as texts, heads first.
fn table(page: &str, named: &str) -> Vec<Vec<String>> {
    let at = page.find(named).unwrap_or_else(|| panic!("{named}"));
    // A caption stands inside its table, a label before it.
    let start = page[..at].rfind("<table").filter(|start| !page[*start..at].contains("</table>"));
    let start = start.unwrap_or_else(|| at + page[at..].find("<table").expect("a table"));
    let body = page[start..].split_once("</table>").expect("its end").0;
    let cells = |row: &str| {
        let cells = row.split("<t").skip(1).filter(|cell| cell.starts_with('h') || cell.starts_with('d'));
        cells.map(|cell| plain(cell.split_once('>').expect("a cell").1)).collect::<Vec<_>>()
    };
    body.split("<tr").skip(1).map(cells).collect()
}

/// A number as pages write it, by a way of its own: commas, a minus sign, so many decimals.
fn written(value: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", value.abs());
    let (whole, rest) =
        text.split_once('.').map_or((text.as_str(), String::new()), |(w, r)| (w, format!(".{r}")));
    let mut parts: Vec<&str> =
        whole.as_bytes().rchunks(3).map(|part| std::str::from_utf8(part).expect("digits")).collect();
    parts.reverse();
    let zero = text.bytes().all(|b| !b.is_ascii_digit() || b == b'0');
    format!("{}{}{rest}", if value < 0.0 && !zero { "\u{2212}" } else { "" }, parts.join(","))
}

#[test]
fn the_first_sheet_answers_in_order() {
    let result = invented::year(&results_folder::DAYS.all());
    let place = tempfile::tempdir().expect("a folder");
    let dir = place.path().join("house");
    with_report(&result, false, |report| report::write(&dir, report).expect("a folder"));
    let page = fs::read_to_string(dir.join("report.html")).expect("a page");
    let order = [
        "<h1",
        "What the sun does for this house in a year",
        "less energy bought a year",
        "<svg",
        "The worst week for sun",
        "The hottest week",
        "What we assumed",
        "Two readings that prove it works",
        "Keep in mind",
        "confirm with local code and a licensed professional",
        "Estimate, not a guarantee; not tax advice.",
        "1 June 2026",
        "suncask 0.1.0",
    ];
    let sheet = first(&page);
    let mut at = 0;
    for words in order {
        let found = sheet[at..].find(words).unwrap_or_else(|| panic!("{words} is missing or out of place"));
        at += found;
    }
    // No price is ever assumed: without one there is no sum.
    assert!(sheet.contains("No prices were given") && !sheet.contains('$'));
    // The contractor's pages follow, in their order.
    let order = [
        "Energy month by month",
        "Where every kilowatt-hour went",
        "Tank and collector",
        "Limits met",
        "Pump and control",
        "What was assumed",
        "What the job says",
        "Rules of thumb beside the results",
        "Doubts about the weather file",
        "Safety",
        "What the numbers mean",
    ];
    let heads = page
        .match_indices("<h2 id=")
        .map(|(at, _)| &page[at..at + page[at..].find("</h2>").expect("an end")]);
    let heads: Vec<&str> = heads.collect();
    let places = order.map(|head| heads.iter().position(|h| h.ends_with(&format!(">{head}"))).expect(head));
    assert!(places.is_sorted(), "{heads:?}");
}

/// What the page says of energy, against the files.
fn energy_agrees(house: &House) {
    let annual = |key: &str| house.summary["annual"][key].as_f64().expect("a number");
    let labels: Vec<(&str, &str)> = Column::ALL.iter().map(|c| (c.info().label, c.info().key)).collect();
    let rows = table(&house.page, "aria-label=\"Energy month by month\"");
    assert_eq!(rows.len(), 1 + 12 + 1);
    for (place, label) in rows[0].iter().enumerate().skip(1) {
        let key = labels.iter().find(|(of, _)| of == label).expect(label).1;
        let column = house.heads.iter().position(|head| head == key).expect(key);
        for (month, row) in house.months.iter().enumerate() {
            let csv: f64 = row[column].parse().expect("a number");
            assert_eq!(rows[1 + month][place], written(csv, 0), "{key} of month {}", month + 1);
        }
        assert_eq!(rows[13][place], written(annual(key), 0), "{key} of the year");
    }

    let sheet = plain(first(&house.page));
    let kwh = |key: &str| format!("{} kWh", written(annual(key), 0));
    for words in [
        format!("{} less energy bought a year", kwh("equal_service_saved_kwh")),
        format!("brings {} of heat", kwh("heat_into_tank_kwh")),
        format!("the backup adds {}", kwh("backup_heat_kwh")),
        format!("of the {} that the heater without sun would buy", kwh("baseline_purchased_kwh")),
    ] {
        assert!(sheet.contains(&words), "{words}: {sheet}");
    }
}

#[test]
fn the_page_has_the_numbers_of_the_files() {
    let job = starter("one-tank");
    let house = house(&job, Units::Us);
    energy_agrees(&house);
    // A house whose showers are short: what is saved at equal service is less than what is saved.
    energy_agrees(&self::house(&starter("thermosiphon"), Units::Us));

    let sheet = plain(first(&house.page));
    let money = |key: &str| written(house.summary["money"][key].as_f64().expect(key), 0);
    for words in [
        format!("${} saved in the first year", money("saved")),
        format!("${} without sun, ${} with it", money("bill_without_sun"), money("bill_with_sun")),
        format!("fixed fees of ${}", money("fixed_fees")),
        format!("Paid at the start: ${}", money("paid_at_start")),
    ] {
        assert!(sheet.contains(&words), "{words}: {sheet}");
    }

    let [dull, hot] = [0, 1].map(|i| house.summary["weeks"][i].clone());
    assert_eq!((&dull["week"], &hot["week"]), (&"dullest".into(), &"hottest".into()));
    let of = |week: &Value, key: &str| written(week[key].as_f64().expect(key), 0);
    // 0 degC is 32 degF, and a kelvin 1.8 degF.
    let level = |c: f64| format!("{} \u{b0}F", written(1.8 * c + 32.0, 0));
    let reached = |key: &str| level(hot[key].as_f64().expect(key));
    for words in [
        format!("the sun gave {} kWh of heat", of(&dull, "heat_into_tank_kwh")),
        format!("the backup {} kWh, for {} kWh", of(&dull, "backup_heat_kwh"), of(&dull, "load_kwh")),
        format!(
            "The tank reached {} and the collector {}",
            reached("hottest_tank_c"),
            reached("hottest_collector_c")
        ),
        format!("For {} hours the sun shone", of(&hot, "stagnation_hours")),
    ] {
        assert!(sheet.contains(&words), "{words}: {sheet}");
    }
    let clear = |key: &str| level(house.summary["clear_day"][key].as_f64().expect(key));
    for words in [
        format!(
            "the collector reads about {} and the tank sensor about {}",
            clear("collector_c"),
            clear("tank_sensor_c")
        ),
        format!("from about {} to about {}", clear("morning_tank_c"), clear("afternoon_tank_c")),
    ] {
        assert!(sheet.contains(&words), "{words}: {sheet}");
    }
    // Weeks are sums of the hours.
    for (week, facts) in Week::of_hours(&house.result.hourly).iter().zip([&dull, &hot]) {
        let first = 24 * (facts["first_day_of_year"].as_u64().expect("a day") as usize - 1);
        let sum: f64 =
            house.result.hourly[first..first + 168].iter().map(|hour| hour[Column::HeatIntoTank]).sum();
        assert!(
            (week.accounts[Column::HeatIntoTank] - sum).abs() < 1e-9 * sum.max(1.0),
            "{}",
            week.kind.key()
        );
    }
    // Rules stand in the file as on the page.
    let rules = house.summary["rules_of_thumb"].as_array().expect("rules");
    assert!(rules.len() > 15);
    for rule in rules {
        let found = rule["found"].as_str().expect("words");
        assert!(house.page.contains(&found.replace('&', "&amp;")), "{found}");
    }
}

#[test]
fn the_books_close_for_every_kind_of_plant() {
    for kind in ["one-tank", "gas", "flow-through", "heat-pump", "drainback", "thermosiphon", "recirculation"]
    {
        let house = house(&starter(kind), Units::Si);
        let rows = table(&house.page, "Heat in the year; shares of what came in");
        let of = |name: &str| {
            let row = rows.iter().find(|row| row[0] == name).unwrap_or_else(|| panic!("{kind}: {name}"));
            row[1].replace(',', "").replace('\u{2212}', "-").parse::<f64>().expect("a number")
        };
        assert_eq!(of("Left over"), 0.0, "{kind}");
        // Printed to a tenth.
        let sum = of("Went out") + of("Change of heat in store");
        assert!((of("Came in") - sum).abs() < 0.11 && of("Came in") > 1000.0, "{kind}: {rows:?}");
        let (came, went) =
            (rows.iter().position(|r| r[0] == "Came in"), rows.iter().position(|r| r[0] == "Went out"));
        let (came, went) = (came.expect("a sum"), went.expect("a sum"));
        let lines: f64 = rows[came + 1..went].iter().map(|row| of(&row[0])).sum();
        assert!((lines - of("Went out")).abs() < 0.1 * (went - came) as f64, "{kind}: {lines}");
    }
}

#[test]
fn how_cool_the_coolest_shower_came() {
    // Nothing heats this water but the sun: many a shower is short.
    let job = starter("batch");
    let house = house(&job, Units::Us);
    // 105 F, as the starter asks.
    let asked_c = (105.0 - 32.0) / 1.8;
    let mut short = 0;
    for (i, hour) in house.result.hourly.iter().enumerate() {
        let (below_k, cold_c) = (hour[Column::CoolestShower], hour[Column::ColdWater]);
        // On a frosty roof the water is colder than what comes in; no draw is colder than the tank's coldest layer of this hour
        // and the one before.
        let before = &house.result.hourly[i.saturating_sub(1)];
        let coldest_c = cold_c.min(hour[Column::ColdestTank]).min(before[Column::ColdestTank]);
        assert!(below_k <= asked_c - coldest_c + 0.5, "hour {i}: {below_k} {coldest_c}");
        if hour[Column::Load] > 0.0 {
            // The coolest piece of an hour is not warmer than the hour's mean; the cold water of an hour hardly moves.
            let mean_k = hour[Column::Shortfall] / hour[Column::Load] * (asked_c - cold_c);
            assert!(below_k >= mean_k - 1e-3, "hour {i}: {below_k} {mean_k}");
            assert_eq!(below_k > 0.0, hour[Column::Shortfall] > 0.0, "hour {i}");
            short += usize::from(below_k > 1.0);
        }
    }
    assert!(short > 100, "{short}");
    let most = house.result.hourly.iter().map(|hour| hour[Column::CoolestShower]).fold(0.0, f64::max);
    assert_eq!(house.result.annual[Column::CoolestShower], most);
}

#[test]
fn every_picture_on_a_page_is_told_in_words_with_figures() {
    let house = house(&starter("one-tank"), Units::Us);
    let pictures: Vec<&str> = house.page.split("<svg").skip(1).collect();
    assert!(pictures.len() >= 5);
    for picture in pictures {
        let svg = format!("<svg{}</svg>", picture.split_once("</svg>").expect("an end").0);
        let xml = Document::parse(&svg).expect("well-formed");
        let root = xml.root_element();
        let words = |name: &str| {
            let node = root.children().find(|node| node.has_tag_name(("http://www.w3.org/2000/svg", name)));
            node.and_then(|node| node.text()).unwrap_or_default().to_owned()
        };
        assert_eq!(root.attribute("role"), Some("img"));
        assert!(words("title").len() > 10, "{}", words("title"));
        let figures =
            words("desc").split(|c: char| !c.is_ascii_digit()).filter(|part| !part.is_empty()).count();
        assert!(figures >= 2, "{}", words("desc"));
    }
    // Nothing is fetched from anywhere, and nothing needs a script.
    let links = house.page.matches("http").count();
    assert_eq!(links, house.page.matches("xmlns=\"http://www.w3.org/2000/svg\"").count());
    assert!(
        !house.page.contains("<script") && !house.page.contains("@import") && !house.page.contains("url(")
    );
}

#[test]
fn si_readers_find_their_units() {
    let page = house(&starter("one-tank"), Units::Si).page;
    let sheet = plain(first(&page));
    assert!(sheet.contains("\u{b0}C") && sheet.contains("227 L of hot water a day"), "{sheet}");
    assert!(!sheet.contains("\u{b0}F"), "{sheet}");
}
