//! Every picture is whole: well-formed, titled, small, and the same as PNG.

mod apart;
mod studies;

use std::path::Path;

use resvg::tiny_skia::Pixmap;
use resvg::usvg::roxmltree::Document;
use suncask::draws::{UseSummary, taps};
use suncask::job::file;
use suncask::money::tariff::Tariff;
use suncask::money::{Compared, Currency, Dated, Electricity, Money, Plan, Purchase, account};
use suncask::picture::{self, SavedBar, ShownDay, Units, WeatherMonths};
use suncask::record::{Accounts, Column, YearResult};
use suncask::report::days;

use crate::{invented, plant_drawing};

/// How a picture uses its fills.
#[derive(Clone, Copy, PartialEq)]
enum Fills {
    /// Each stands for a thing of its own.
    Things,
    /// Steps of a scale, light for much.
    Scale,
}

/// Checks what holds for every picture, and leaves it with its PNG in the target folder for people to look at.
fn check(name: &str, svg: &str, most_bytes: usize) {
    check_fills(name, svg, most_bytes, Fills::Things);
}

fn check_fills(name: &str, svg: &str, most_bytes: usize, fills: Fills) {
    let xml = Document::parse(svg).expect("well-formed XML");
    let root = xml.root_element();
    assert_eq!(root.attribute("role"), Some("img"));
    let words: Vec<_> = root.children().filter(|n| n.is_element()).take(2).collect();
    assert_eq!((words[0].tag_name().name(), words[1].tag_name().name()), ("title", "desc"));
    assert!(words.iter().all(|w| w.text().is_some_and(|t| t.len() > 10)));
    told(name, words[1].text().unwrap_or_default());
    let texts = plant_drawing::faults(svg, &plant_drawing::options());
    assert_eq!(texts, [""; 0], "{name}");
    match fills {
        Fills::Things => apart::things(name, &xml),
        Fills::Scale => apart::scale(name, &xml),
    }
    assert!(svg.len() < most_bytes, "{name} has {} bytes", svg.len());

    let bytes = picture::png(svg, 2.0);
    let pixels = Pixmap::decode_png(&bytes).expect("a PNG");
    let side = |name: &str| root.attribute(name).unwrap().parse::<u32>().unwrap();
    assert_eq!((pixels.width(), pixels.height()), (2 * side("width"), 2 * side("height")));
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("pictures");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join(format!("{name}.svg")), svg).unwrap();
    std::fs::write(folder.join(format!("{name}.png")), bytes).unwrap();
}

/// The words in place of the picture name at least two of its figures.
fn told(name: &str, description: &str) {
    let figures = description
        .split(|c: char| !(c.is_ascii_digit() || c == ',' || c == '.'))
        .filter(|word| word.contains(|c: char| c.is_ascii_digit()))
        .count();
    assert!(figures >= 2, "{name} is told without figures: {description}");
}

/// Every function that draws a picture is called by this test.
#[test]
fn no_picture_is_forgotten() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let tests = ["tests/pictures.rs", "tests/pictures/studies.rs"]
        .map(|file| std::fs::read_to_string(root.join(file)).expect("a test"))
        .concat();
    let pictures = root.join("crates/runner/picture");
    let folders = [pictures.clone(), pictures.join("plant")];
    let files = folders.iter().flat_map(|folder| std::fs::read_dir(folder).expect("sources"));
    let mut found = 0;
    for path in files.map(|entry| entry.expect("a file").path()) {
        if path.extension().is_none_or(|ending| ending != "rs") || path.ends_with("units.rs") {
            continue;
        }
        let text = std::fs::read_to_string(&path).expect("a source");
        for (at, _) in text.match_indices("\npub fn ") {
            let head = text[at + 8..].split('{').next().unwrap_or_default();
            if head.contains("-> String") {
                let name = head.split('(').next().unwrap_or_default();
                found += 1;
                assert!(tests.contains(&format!("picture::{name}(")), "{name} is not looked at");
            }
        }
    }
    assert!(found >= 15, "{found} pictures found");
}

#[test]
fn month_bars() {
    let svg = picture::month_bars("Invented house <1>", &invented::year(&[]));
    check("months", &svg, 40_000);
    assert!(svg.contains("Invented house &lt;1&gt;"));
    check("months_low", &picture::low_month_bars("Invented house", &invented::year(&[])), 40_000);
    // A name as no printer ever saw it, and a plant that does nothing at all.
    let still = YearResult {
        annual: Accounts::default(),
        monthly: vec![Accounts::default(); 12],
        hourly: Vec::new(),
        traces: Vec::new(),
        outages: Vec::new(),
        money: None,
        morning: None,
    };
    let name = format!("\u{1}\u{ffff}\"&' {}", "long ".repeat(60));
    check("odd", &picture::month_bars(&name, &still), 40_000);
    check("odd_heat", &picture::heat_path(&name, &still), 40_000);
}

#[test]
fn water_use() {
    for (name, water, single) in [
        ("use", "pattern = \"random draws\"\n", true),
        ("use_even", "", false),
        ("use_none", "daily = \"0 gal\"\n", false),
    ] {
        let job = file::read_text("job", &format!("[hot_water]\n{water}")).expect("a sound job");
        let taps = taps(&job.water_use, &job.calendar);
        let seen = UseSummary::of(&taps, &job.calendar, &[12.0; 365], 4.1e6);
        let svg = picture::water_use("Invented house", &seen, single, Units::Si);
        check(name, &svg, 120_000);
        assert_eq!(svg.contains("Shower"), single, "{name}");
    }
}

/// Widths read off the bands of the flow add up, and stand for their energy.
#[test]
fn heat_path() {
    let mut turned = invented::year(&[]);
    // A gas heater with recirculation whose loop took more out of the tank than it brought.
    turned.annual[Column::FlueLoss] = 120.0;
    turned.annual[Column::BetweenLoss] = 80.0;
    turned.annual[Column::RecirculationLoss] = 610.0;
    let mut backwards = turned.clone();
    backwards.annual[Column::HeatIntoTank] = -90.0;
    for (name, year) in [("heat", invented::year(&[])), ("heat_gas", turned), ("heat_back", backwards)] {
        let svg = picture::heat_path("Invented house", &year);
        check(name, &svg, 20_000);
        let xml = Document::parse(&svg).expect("XML");
        let bands: Vec<(String, f64, f64)> = xml
            .descendants()
            .filter_map(|node| {
                let key = node.attribute("data-band")?.to_owned();
                let kwh = node.attribute("data-kwh")?.parse().expect("energy");
                Some((key, kwh, mouth(node.attribute("d")?)))
            })
            .collect();
        let width = |key: &str| bands.iter().find(|band| band.0 == key).map_or(0.0, |band| band.2);
        let energy = |key: &str| bands.iter().find(|band| band.0 == key).map_or(0.0, |band| band.1);
        // One scale for all, to the hundredth of a point that the file keeps.
        let scale = width("sun") / energy("sun");
        for (key, kwh, width) in &bands {
            assert!((width - kwh * scale).abs() < 0.03, "{name} {key}: {width} for {kwh} kWh");
        }
        let year = &year.annual;
        assert!((energy("sun") - year[Column::Sun]).abs() < 0.06);
        assert!((energy("backup") - year[Column::BackupHeat]).abs() < 0.06);
        assert!((energy("delivered") - year[Column::Delivered]).abs() < 0.06);
        // What joins the flow and what leaves it, by the side at which its mouth lies.
        let into = ["backup", "taken-back"];
        let changes = ["loop-change", "store-change"];
        let sum = |keys: &[&str]| keys.iter().map(|key| width(key)).sum::<f64>();
        let outside = sum(&["not-taken-up", "collector-loss", "pipe-loss"]);
        let inside = sum(&["tank-loss", "flue-loss", "between-loss", "recirculation-loss", "given-back"]);
        let change = |total: f64, key: &str| {
            // A change joins or leaves; below half a kWh it is left out.
            let left = total.abs() - width(key);
            assert!(left.abs() < 0.1 + 0.5 * scale, "{name}: {key} is {} for {total}", width(key));
        };
        change(width("sun") + width(into[1]) - outside - width("into-tank"), changes[0]);
        change(width("into-tank") + width(into[0]) - inside - width("delivered"), changes[1]);
    }
}

/// Width of a band where it begins: the distance of the first two points of its path.
fn mouth(path: &str) -> f64 {
    let numbers: Vec<f64> = path
        .split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))
        .filter(|word| !word.is_empty())
        .take(4)
        .map(|word| word.parse().expect("a number"))
        .collect();
    (numbers[2] - numbers[0]).hypot(numbers[3] - numbers[1])
}

#[test]
fn day_curves() {
    let days = days::choose(&invented::daily_plane_kwh_m2());
    let year = invented::year(&days.all());
    let named = ["Clear day", "Mixed day", "Dull day"].into_iter().zip(&year.traces);
    let shown: Vec<_> = named.map(|(sky, trace)| ShownDay { sky, date: (3, 29), trace }).collect();
    check("days", &picture::day_curves("Invented house", &shown, Units::Us), 250_000);
    check("days_si", &picture::day_curves("Invented house", &shown, Units::Si), 250_000);
}

#[test]
fn day_by_hour_maps() {
    let year = invented::year(&[]);
    check_fills("tank", &picture::tank_map("Invented house", &year.hourly, Units::Us), 400_000, Fills::Scale);
    let ghi: Vec<f64> = year.hourly.iter().map(|h| 1000.0 * h[Column::Ghi]).collect();
    let sun = picture::sun_map("Inventown", true, &ghi, Units::Us);
    check_fills("sun_map", &sun, 400_000, Fills::Scale);
    assert!(sun.contains("Made weather"));
    // A tank that never changes still has a scale.
    check_fills(
        "steady",
        &picture::tank_map("Steady", &vec![Accounts::default(); 8760], Units::Si),
        20_000,
        Fills::Scale,
    );
    // The worst case for the size: no two neighbors alike.
    let noise: Vec<f64> = (0..8760).map(|i| f64::from(i * 7919 % 997)).collect();
    check_fills("noise", &picture::sun_map("Noise", false, &noise, Units::Si), 400_000, Fills::Scale);
}

/// Plants of long names, one that loses, and two that do not differ.
#[test]
fn plants_side_by_side() {
    let bar = |name: &str, saved_kwh, best| SavedBar {
        name: name.to_owned(),
        saved_kwh,
        note: ", $1,234".to_owned(),
        best,
    };
    let long = "a solar tank of a very large volume before a heater of the usual kind <& more>";
    let bars = [bar("one", 2500.0, true), bar(long, -320.0, false), bar("none", 0.0, false)];
    check("plants", &picture::compared_plants("Invented house", &bars), 20_000);
    let months: Vec<f64> = (0..12).map(|month| f64::from(month * 37 % 200) - 30.0).collect();
    check("plants_months", &picture::compared_months(["one", long], [&months, &[0.0; 12]]), 40_000);
    let parts = [("Sun with the backup off", 120.0), ("Standby of the second tank", -310.0), ("Pumps", 0.2)];
    for (name, saved) in [("difference", [110.2, 300.0]), ("difference_broken", [2310.2, 2500.0])] {
        let apart = picture::difference_parts(["one", long], saved, &parts);
        check(name, &apart, 20_000);
        assert!(apart.contains("Standby") && !apart.contains("Pumps"));
        assert!(apart.contains("Sun with the backup off +120 kWh"), "{apart}");
    }
    check("no_difference", &picture::difference_parts(["one", "two"], [5.0, 5.0], &[("Pumps", 0.0)]), 20_000);
    check(
        "no_saving",
        &picture::difference_parts(["one", "two"], [-20.0, -80.0], &[("Pumps", 60.0)]),
        20_000,
    );
}

/// An invented plan whose lines end close together, over few years and over many.
#[test]
fn cash_flow() {
    let currency = Currency::named("€").expect("a currency");
    for (name, years) in [("cash", 20), ("cash_long", 45)] {
        let plan = Plan {
            installed_cost: 6400.0,
            upkeep_per_year: 60.0,
            upkeep_growth_frac: 0.0,
            years,
            discount_frac: 0.001,
            replacements: vec![Dated { what: "pump".into(), amount: 700.0, year: 12 }],
            incentives: Vec::new(),
            tank_avoided: None,
        };
        let electricity = Electricity {
            tariff: Tariff::Flat(0.18),
            fixed_fee_per_year: 0.0,
            growth_frac: 0.0,
            co2_kg_kwh: 0.3,
        };
        let money = Money { currency, electricity, fuel: None, burns_without_sun: false, plan: Some(plan) };
        let side = |electricity_kwh| Purchase { electricity_kwh, fuel_kwh: &[] };
        let (without, with) = ([0.35; 8760], [0.08; 8760]);
        let year = Compared { without: side(&without), with: side(&with), solar_heat_kwh: 2000.0 };
        let outlook = account(&money, &year).outlook.expect("a plan");
        let svg = picture::cash_flow("Invented house", currency, &outlook);
        check(name, &svg, 60_000);
        assert!(svg.contains("€") && svg.contains("not tax advice"));
    }
}

#[test]
fn weather_months() {
    let year = invented::year(&[]);
    let month = |column: Column| std::array::from_fn(|m| year.monthly[m][column]);
    let weather = WeatherMonths {
        name: "Inventown",
        made: true,
        ghi_kwh_m2: month(Column::Ghi),
        dhi_kwh_m2: month(Column::Dhi),
        air_c: month(Column::Air),
    };
    let svg = picture::weather_months(&weather, Units::Us);
    check("weather", &svg, 40_000);
    assert!(svg.contains("Made weather"));
}
