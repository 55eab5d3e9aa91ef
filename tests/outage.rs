//! Three days without power: which days, how hot, how cold, what goes on, and that the year does not notice.

use suncask::job::file::{read_text, render};
use suncask::job::{Job, STARTERS};
use suncask::picture::Units;
use suncask::record::{Chill, Column, Outage, OutageFigure, Spell, YearResult};
use suncask::report::{self, Report, WeatherFacts};
use suncask::safety::{Finding, findings};
use suncask::weather::{self, WeatherYear};
use suncask::year::{RunOptions, Setting, run};

use crate::invented;

/// Hours of an outage.
const OUTAGE_H: f64 = 72.0;

fn job(text: &str) -> Job {
    read_text("job.toml", text).unwrap_or_else(|problems| panic!("{}", render(&problems, text)))
}

/// The text of a starter job.
fn starter(kind: &str) -> &'static str {
    STARTERS.iter().find(|starter| starter.kind == kind).expect("a starter").text
}

/// The starter of one tank with water in its loop.
fn water_loop() -> String {
    starter("one-tank").replace("\"40 % propylene glycol\"", "\"water\"")
}

fn year(job: &Job, weather: &WeatherYear, outages: bool) -> YearResult {
    let options = RunOptions { outages, ..RunOptions::default() };
    run(job, &Setting::new(job, weather), &options).unwrap_or_else(|problems| panic!("{problems:?}"))
}

/// Both outages of a job: the hottest and the coldest.
fn outages(text: &str, weather: &WeatherYear) -> [Outage; 2] {
    let outages = year(&job(text), weather, true).outages;
    let pair: [Outage; 2] = outages.try_into().expect("two outages");
    assert_eq!(pair.map(|outage| outage.spell), [Spell::Hottest, Spell::Coldest]);
    pair
}

/// The invented climate, `colder_k` colder.
fn colder(colder_k: f64) -> WeatherYear {
    let mut weather = weather::demo();
    weather.air_c.iter_mut().for_each(|air_c| *air_c -= colder_k);
    weather
}

/// A year without light, with steady air.
fn dark(air_c: f64) -> WeatherYear {
    let mut weather = weather::demo();
    for light in [&mut weather.ghi_w_m2, &mut weather.dni_w_m2, &mut weather.dhi_w_m2] {
        light.fill(0.0);
    }
    weather.air_c.fill(air_c);
    weather
}

/// Sets the air of three days from `first_day` (1 to 365).
fn three_days(weather: &mut WeatherYear, first_day: usize, air_c: f64) {
    let a_day = 86_400 / weather.interval_s as usize;
    weather.air_c[(first_day - 1) * a_day..(first_day + 2) * a_day].fill(air_c);
}

#[test]
fn the_days_are_the_hottest_and_the_coldest() {
    let mut weather = dark(10.0);
    three_days(&mut weather, 200, 30.0);
    three_days(&mut weather, 100, -20.0);
    let days = outages("", &weather);
    assert_eq!(days.map(|outage| outage.first_day), [200, 100]);
    // Air goes in straight lines between the hours: at each end half an hour leads away, by 25 K or 50 K at most.
    assert!((days[0].mean_air_c - 30.0).abs() < 0.5 && (days[1].mean_air_c + 20.0).abs() < 0.5, "{days:?}");
    assert_eq!(days[0].sun_kwh_m2, 0.0);
    // A year that closes with its coldest days, so that the way back passes New Year.
    let mut weather = dark(10.0);
    three_days(&mut weather, 363, -20.0);
    let [_, coldest] = outages("", &weather);
    assert_eq!((coldest.first_day, coldest.days_to_recover.is_some()), (363, true));
}

/// What a standing collector of one mass does from 18:00 of the day before an outage on, in steps of 10 s of the energy balance
/// `C dT/dt = eta0b G - (a1 + a2 |T - Ta|) (T - Ta)`. By midnight it has forgotten where it began.
struct Standing {
    hottest_c: f64,
    coldest_c: f64,
    freezing_h: f64,
    /// Times it passes the freezing point.
    passes: u32,
}

fn standing(job: &Job, weather: &WeatherYear, first_day: u32) -> Standing {
    const STEP_S: i64 = 10;
    let setting = Setting::new(job, weather);
    let c = job.plant.solar_loop.as_ref().expect("a loop").collector;
    // Wind, sky and the fourth power play no part in this collector.
    assert_eq!([c.a3_j_m3_k, c.a4_frac, c.a6_s_m, c.a7_s_m, c.a8_w_m2_k4], [0.0; 5]);
    let plane = &setting.plane;
    let begin_s = (i64::from(first_day) - 1) * 86_400;
    let mut found = Standing { hottest_c: -300.0, coldest_c: 300.0, freezing_h: 0.0, passes: 0 };
    let mut cell_c = plane.blocks[plane.block_at(begin_s)].air_c;
    for step in -6 * 360..72 * 360 {
        let block = &plane.blocks[plane.block_at(begin_s + STEP_S * step)];
        let over_k = cell_c - block.air_c;
        let net_w_m2 = c.eta0b * block.effective_w_m2 - (c.a1_w_m2_k + c.a2_w_m2_k2 * over_k.abs()) * over_k;
        let before_c = cell_c;
        cell_c += net_w_m2 * STEP_S as f64 / c.a5_j_m2_k;
        if step >= 0 {
            found.hottest_c = found.hottest_c.max(cell_c);
            found.coldest_c = found.coldest_c.min(cell_c);
            found.freezing_h += if cell_c < 0.0 { STEP_S as f64 / 3600.0 } else { 0.0 };
            found.passes += u32::from((cell_c < 0.0) != (before_c < 0.0));
        }
    }
    found
}

#[test]
fn a_dead_collector_does_what_its_balance_says() {
    let text = water_loop();
    let weather = colder(5.0);
    let job = job(&text);
    for outage in outages(&text, &weather) {
        let expected = standing(&job, &weather, outage.first_day);
        let of = |found: f64, expected: f64, within: f64| {
            assert!((found - expected).abs() <= within, "{:?}: {found}, expected {expected}", outage.spell);
        };
        // The plant's own steps are longer and hold the loss coefficient: measured 0.02 K of 150 K.
        of(outage.hottest_collector_c, expected.hottest_c, 0.1);
        // Looked at every 10 min, in which a collector falls by 0.1 K near its lowest.
        of(outage.collector.lowest_c.expect("it is full"), expected.coldest_c, 0.1);
        // A pass is seen at the end of its 10 min.
        of(outage.collector.below_freezing_h, expected.freezing_h, f64::from(expected.passes) / 6.0);
    }
    let [hottest, coldest] = outages(&text, &weather);
    assert!(hottest.hottest_collector_c > 150.0 && hottest.collector.below_freezing_h == 0.0, "{hottest:?}");
    // A winter's nights are long, but the sun thaws it by day.
    assert!((30.0..60.0).contains(&coldest.collector.below_freezing_h), "{coldest:?}");
}

#[test]
fn fluids_freeze_where_they_do() {
    // 30 % glycol turns to slush at -13.1 degC; in steady air without light nothing is warmer than the air outdoors.
    let glycol = |percent: u32| format!("[loop]\nfluid = \"{percent} % propylene glycol\"\n");
    for (text, air_c, frozen) in [
        (glycol(30), -12.9, false),
        (glycol(30), -13.3, true),
        (glycol(40), -13.3, false),
        (water_loop(), 0.2, false),
        (water_loop(), -0.2, true),
    ] {
        for outage in outages(&text, &dark(air_c)) {
            for chill in [outage.collector, outage.supply, outage.ret] {
                let expected_h = if frozen { OUTAGE_H } else { 0.0 };
                // Rounding of 432 pieces of 10 min.
                assert!((chill.below_freezing_h - expected_h).abs() < 1e-9, "{text} {air_c}: {outage:?}");
                // All but the last of what the day before left has relaxed.
                assert!((chill.lowest_c.expect("full") - air_c).abs() < 0.1, "{text} {air_c}: {outage:?}");
            }
            assert_eq!(outage.tank.below_freezing_h, 0.0);
        }
    }
}

#[test]
fn what_drains_has_nothing_to_freeze() {
    for outage in outages(starter("drainback"), &colder(10.0)) {
        for chill in [outage.collector, outage.supply, outage.ret] {
            assert_eq!(chill, Chill::default(), "{:?}", outage.spell);
        }
        assert!(outage.hottest_collector_c > 90.0);
    }
}

#[test]
fn circulation_against_frost_stops_with_the_power() {
    let text = format!("{}\n[controller.freeze_protection]\non = \"40 F\"\noff = \"50 F\"\n", water_loop());
    let weather = dark(-10.0);
    let job = job(&text);
    let year = year(&job, &weather, true);
    assert!(year.annual[Column::FreezeHeat] > 100.0, "the year circulates");
    // From somewhere between 40 F (4.4 degC) and the hottest tank a cell falls to 0 as exp(-t a1/a5): the loss that a2 adds only
    // makes it quicker, and none is sooner there than with its coldest place at 0 already.
    let c = job.plant.solar_loop.as_ref().expect("a loop").collector;
    for outage in &year.outages {
        let from_k = outage.hottest_tank_c + 10.0;
        let latest_h = c.a5_j_m2_k / c.a1_w_m2_k / 3600.0 * (from_k / 10.0).ln() + 1.0 / 6.0;
        let frozen_h = outage.collector.below_freezing_h;
        assert!(frozen_h >= OUTAGE_H - latest_h && frozen_h < OUTAGE_H, "{frozen_h} {latest_h}");
    }
}

#[test]
fn a_pump_on_its_own_module_goes_on() {
    // At home, and with no limit in reach.
    let house = water_loop().replace("absences =", "# absences =").replace("\"160 F\"", "\"200 F\"");
    let module = house.replace("power = \"45 W\"", "drive = \"solar module\"\npower = \"45 W\"");
    let plate = module.replace(
        "[tank.coil]                        # or [tank.plate], or [tank.open_loop]\nkind = \"wrap-around\"               # or immersed\nbottom = \"2 %\"\ntop = \"50 %\"\n",
        "[tank.plate]\n",
    );
    assert!(plate != module);
    let weather = weather::demo();
    let [[dead, _], [runs, _], [stirs, _]] = [house, module, plate].map(|text| outages(&text, &weather));
    // It fills the tank up to the limit that its module feeds too, and the collector stays cooler until then.
    assert!(runs.hottest_collector_c < dead.hottest_collector_c - 20.0, "{runs:?} {dead:?}");
    assert!(runs.hottest_tank_c > dead.hottest_tank_c + 10.0, "{runs:?} {dead:?}");
    assert!(runs.cool_shower_l == 0.0 && dead.cool_shower_l > 0.2 * dead.shower_l, "{runs:?} {dead:?}");
    // Behind a plate whose tank side stands it only stirs the hot loop.
    assert!(stirs.hottest_pipe_c > Some(150.0) && dead.hottest_pipe_c < Some(50.0), "{stirs:?} {dead:?}");
    assert!(stirs.cool_shower_l > 0.2 * stirs.shower_l, "{stirs:?}");
}

#[test]
fn a_standing_pilot_keeps_the_showers_hot() {
    let pilot = starter("gas");
    let electronic = pilot.replace("pilot = \"350 Btu/h\"", "pilot = \"0 W\"");
    let weather = weather::demo();
    let [_, pilot] = outages(pilot, &weather);
    let [_, electronic] = outages(&electronic, &weather);
    assert_eq!(pilot.cool_shower_l, 0.0);
    assert!(electronic.cool_shower_l > 0.3 * electronic.shower_l, "{electronic:?}");
    // 60 US gallons a day for three days.
    assert!((pilot.shower_l / (180.0 * 3.785_411_784) - 1.0).abs() < 1e-9, "{pilot:?}");
}

/// Thermosiphon and batch need no power in summer: the outage is the year.
#[test]
fn what_needs_no_power_does_not_notice() {
    for kind in ["thermosiphon", "batch"] {
        let [hottest, _] = outages(starter(kind), &weather::demo());
        assert_eq!(hottest.days_to_recover, Some(0.0), "{kind}");
        assert_eq!(hottest.cool_shower_l > 0.0, kind == "batch", "{kind}: {hottest:?}");
    }
}

#[test]
fn the_year_does_not_notice_and_the_same_comes_out_again() {
    let weather = weather::demo();
    for starter in STARTERS.iter().filter(|starter| starter.kind != "thermosiphon") {
        let job = job(starter.text);
        let (plain, with) = (year(&job, &weather, false), year(&job, &weather, true));
        assert_eq!((&plain.annual, &plain.monthly), (&with.annual, &with.monthly), "{}", starter.kind);
        assert!(plain.outages.is_empty());
        assert_eq!(with.outages, year(&job, &weather, true).outages, "{}", starter.kind);
        for outage in &with.outages {
            // Tanks of a house turn over in a few days.
            let days = outage.days_to_recover.unwrap_or(f64::INFINITY);
            assert!(days < 7.0, "{}: {outage:?}", starter.kind);
            assert!(outage.cool_shower_l <= outage.shower_l * (1.0 + 1e-12), "{}: {outage:?}", starter.kind);
        }
    }
}

/// An outage in which nothing happens.
fn quiet() -> Outage {
    Outage {
        spell: Spell::Coldest,
        first_day: 30,
        freezing_c: -21.5,
        mean_air_c: -5.0,
        sun_kwh_m2: 9.0,
        hottest_collector_c: 60.0,
        hottest_pipe_c: None,
        hottest_tank_c: 50.0,
        collector: Chill::default(),
        supply: Chill::default(),
        ret: Chill::default(),
        tank: Chill::default(),
        shower_l: 600.0,
        cool_shower_l: 200.0,
        days_to_recover: None,
    }
}

/// What an outage raises in a mild place at sea level whose year stays cool.
fn raised(text: &str, hottest_of_year_c: f64, outage: Outage) -> Vec<Finding> {
    let mut weather = dark(20.0);
    weather.site.elevation_m = 0.0;
    let mut year = invented::year(&[]);
    for hot in [Column::HottestOutlet, Column::HottestThermostat, Column::LukewarmSpell] {
        year.annual[hot] = 0.0;
    }
    year.annual[Column::HottestCollector] = hottest_of_year_c;
    year.outages = vec![quiet(), outage];
    let list = findings(&job(text), &weather, &year);
    list.into_iter().filter(|finding| finding.key.starts_with("outage")).collect()
}

#[test]
fn frost_and_steam_of_an_outage_are_told() {
    assert_eq!(raised("", 40.0, quiet()), []);
    let chill = |lowest_c, below_freezing_h| Chill { lowest_c: Some(lowest_c), below_freezing_h };
    // 31 January to 2 February.
    let cold = Outage { first_day: 31, collector: chill(-25.0, 12.4), supply: chill(-20.0, 0.0), ..quiet() };
    let list = raised("", 40.0, cold);
    let [frost] = &list[..] else { panic!("{list:?}") };
    assert_eq!((frost.key, frost.value, frost.unit), ("outage_freeze", 12.4, "h"));
    let words = "from Jan 31 to Feb 2, the coldest three days of this year, the loop's glycol turns to slush below -7 F (-22 C) \
                 in the collectors for 12 hours, down to -13 F (-25 C).";
    assert!(frost.reading.contains(words), "{frost:?}");
    assert!(frost.meaning.starts_with("Slush does not flow"), "{frost:?}");
    // The usual 40 % does not burst a pipe above -60 F; water does, and so does a tank.
    let frozen = Outage { freezing_c: 0.0, tank: chill(-1.0, 3.0), ret: chill(-4.0, 30.0), ..quiet() };
    let list = raised("[loop]\nfluid = \"water\"\n", 40.0, frozen);
    assert!(list[0].meaning.contains("bursts collectors, pipes and tanks"), "{list:?}");
    assert!(list[0].reading.contains("in the return pipe for 30 hours") && list[0].value == 30.0, "{list:?}");
    assert!(list[0].reading.contains("water in a tank stands below freezing for 3 hours"), "{list:?}");

    // Glycol of 40 % under an assumed 15 psi at the top boils at 125.8 degC, as worked out in the tests of safety; a year that
    // reaches it by itself says so by itself.
    let hot = Outage { spell: Spell::Hottest, hottest_collector_c: 126.5, ..quiet() };
    let list = raised("", 40.0, hot);
    assert_eq!((list[0].key, list[0].value), ("outage_steam", 126.5), "{list:?}");
    assert_eq!(raised("", 126.5, hot), []);
    assert_eq!(raised("", 40.0, Outage { hottest_collector_c: 125.0, ..hot }), []);
    // A drained collector boils what is filled into it: water at sea level at 100 degC.
    let drains = starter("drainback");
    assert_eq!(raised(drains, 40.0, hot)[0].key, "outage_refill");
    assert_eq!(raised(drains, 40.0, Outage { hottest_collector_c: 99.0, ..hot }), []);
    assert_eq!(raised("[tank.open_loop]\n", 40.0, hot), [], "the house's pressure is not known");
}

#[test]
fn an_outage_stands_in_the_folder_under_its_keys() {
    let place = tempfile::tempdir().expect("folder");
    let dir = place.path().join("house");
    let mut result = invented::year(&[]);
    result.outages = vec![Outage { cool_shower_l: 3.785_411_784, hottest_tank_c: 60.0, ..quiet() }];
    let weather = weather::demo();
    let job = read_text("starter", suncask::job::starter()).expect("the starter");
    let report = Report {
        job: &job,
        notes: &[],
        safety: &[],
        rules: &[],
        weather: WeatherFacts::from(&weather),
        result: &result,
        range: None,
        days: None,
        hourly_table: false,
        units: Units::Us,
        version: "0.1.0",
        date: "1 June 2026",
    };
    report::write(&dir, &report).expect("a folder");
    let text = std::fs::read_to_string(dir.join("summary.json")).expect("a summary");
    let summary: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let outage = &summary["outages"][0];
    assert_eq!((&outage["spell"], &outage["first_day_of_year"]), (&"coldest".into(), &30.into()));
    for (figure, told) in OutageFigure::ALL.iter().zip(summary["outage_columns"].as_array().expect("columns"))
    {
        assert_eq!(told["key"], figure.key);
        assert_eq!(outage[figure.key].as_f64(), (figure.value)(&result.outages[0]), "{}", figure.key);
    }
    let page = std::fs::read_to_string(dir.join("report.html")).expect("a page");
    // 60 degC are 140 degF; 3.785411784 L are a gallon.
    for words in ["Jan 30 to Feb 1 (coldest)", "140 \u{b0}F", ">1 gal<", "over 30 days", "local code"] {
        assert!(page.contains(words), "{words}");
    }
}
