//! Kinds of loop and duties of a controller in job files: what is understood, refused, found and accounted for.

use suncask::job::Job;
use suncask::job::check;
use suncask::job::file::{read_text, render};
use suncask::problem::Severity;
use suncask::record::{Accounts, Column};
use suncask::safety;
use suncask::weather::{self, WeatherYear};
use suncask::year::{RunOptions, Setting, run};
use thermal_network::spec::{LoopKind, PumpDrive};

use crate::invented;

const DRAINBACK: &str = include_str!("../crates/runner/jobs/drainback.toml");
const THERMOSIPHON: &str = include_str!("../crates/runner/jobs/thermosiphon.toml");

fn job(text: &str) -> Job {
    read_text("job.toml", text).unwrap_or_else(|problems| panic!("{}", render(&problems, text)))
}

/// Errors of a text, as their messages.
fn refused(text: &str) -> Vec<String> {
    let problems = read_text("job.toml", text).err().unwrap_or_default();
    let errors = problems.into_iter().filter(|problem| problem.severity == Severity::Error);
    errors.map(|problem| problem.message).collect()
}

fn year_in(text: &str, weather: &WeatherYear) -> Accounts {
    let job = job(text);
    let setting = Setting::new(&job, weather);
    run(&job, &setting, &RunOptions::default()).unwrap_or_else(|problems| panic!("{problems:?}")).annual
}

fn year(text: &str) -> Accounts {
    year_in(text, &weather::demo())
}

/// Weather as cold as `air_c` all year.
fn air(air_c: f64) -> WeatherYear {
    let mut weather = weather::demo();
    weather.air_c.fill(air_c);
    weather
}

/// The starter of each kind is read without a word, runs, closes and heats water.
#[test]
fn starters_of_each_kind_run() {
    for text in STARTERS {
        let job = job(text);
        assert!(job.notes.is_empty(), "{}", render(&job.notes, text));
        let year = year(text);
        assert!(year[Column::BalanceResidual] < 1e-9);
        let served = year[Column::HeatIntoTank] / year[Column::Load];
        assert!((0.4..1.6).contains(&served), "{}: {served}", job.name);
        let local = check::Local { latitude_deg: 36.0, coldest_air_c: 8.0 };
        assert!(check::findings(&job, Some(local)).len() > 5);
    }
}

const EAST_WEST: &str = include_str!("../crates/runner/jobs/east-west.toml");

const BATCH: &str = include_str!("../crates/runner/jobs/batch.toml");

/// A starter job of each kind.
pub(crate) const STARTERS: [&str; 4] = [DRAINBACK, THERMOSIPHON, EAST_WEST, BATCH];

#[test]
fn what_a_drainback_job_says() {
    let job = job(DRAINBACK);
    let solar = job.plant.solar_loop.as_ref().expect("a loop");
    let LoopKind::Drainback(spec) = &solar.kind else { panic!("{:?}", solar.kind) };
    // Two collectors of 0.8 gal; 10 gal; 56 ft of 20.6 mm bore.
    let gallon_m3 = 0.003_785_411_784;
    assert!((spec.collector_m3 / (1.6 * gallon_m3) - 1.0).abs() < 1e-12);
    assert!((spec.reservoir_m3 / (10.0 * gallon_m3) - 1.0).abs() < 1e-12);
    let lifted_m3 = 1.6 * gallon_m3 + std::f64::consts::FRAC_PI_4 * 0.0206 * 0.0206 * 56.0 * 0.3048;
    // At 1.6 gpm.
    assert_eq!(spec.fill_s, (lifted_m3 / (1.6 * gallon_m3 / 60.0)).ceil() as u32);
    // 200 F.
    assert!((solar.controller.duties.start_below_c.unwrap() - 93.333_333).abs() < 1e-5);
    let year = year(DRAINBACK);
    assert!(year[Column::Refills] > 300.0 && year[Column::Refills] <= year[Column::PumpStarts]);
}

#[test]
fn impossible_combinations_are_refused() {
    let plate = "[tank.plate]\n";
    for (text, message) in [
        ("[loop]\nkind = \"drainback\"\n[tank.open_loop]\n", "cannot drain back"),
        ("[loop]\nkind = \"drainback\"\ncheck_valve = \"tight\"\n", "nothing that could flow back"),
        ("[loop]\nkind = \"drainback\"\n[loop.drainback]\nreservoir = \"3 gal\"\n", "cannot fill"),
        ("[loop.drainback]\nreservoir = \"10 gal\"\n", "belongs to a loop that drains"),
        ("[loop]\nkind = \"drainback\"\n[controller.freeze_protection]\n", "empty in the cold"),
        ("[loop]\nkind = \"thermosiphon\"\n[pump]\npower = \"45 W\"\n", "has no pump"),
        ("[loop]\nkind = \"thermosiphon\"\n[controller]\npower = \"2 W\"\n", "has no controller"),
        (
            "[loop]\nkind = \"batch\"\n[tank]\nstands_in = \"outdoors\"\n[roof.second_plane]\ncollectors = 1\n",
            "a batch collector has no second plane",
        ),
        ("[loop]\nkind = \"batch\"\n[backup]\nkind = \"none\"\n", "stands on the roof"),
        (
            "[loop]\nkind = \"batch\"\n[tank]\nstands_in = \"outdoors\"\n[tank.coil]\n[backup]\nkind = \"none\"\n",
            "has no exchanger",
        ),
        ("[pump]\ndrive = \"timer\"\nspeed = \"proportional\"\n", "only a controller"),
        ("[pump]\ndrive = \"solar module\"\n[controller.night_cooling]\n", "no current"),
        ("[pump]\ndrive = \"solar module\"\nstarts_at = \"80 %\"\n", "before it starts"),
        ("[controller.freeze_protection]\non = \"45 F\"\noff = \"40 F\"\n", "stop at or below"),
        ("[controller.night_cooling]\non = \"150 F\"\noff = \"160 F\"\n", "stop at or above"),
    ] {
        let found = refused(text);
        assert!(found.len() == 1 && found[0].contains(message), "{text}: {found:?}");
    }
    for text in ["[loop]\nkind = \"thermosiphon\"\n", "[loop]\ncheck_valve = \"none\"\n"] {
        let found = refused(&format!("{text}{plate}"));
        assert!(found.iter().any(|found| found.contains("plate exchanger")), "{text}: {found:?}");
    }
}

#[test]
fn a_thermosiphon_assumes_nothing_of_a_controller() {
    for text in [THERMOSIPHON, BATCH] {
        let job = job(text);
        assert!(job.echo.iter().all(|echo| !echo.key.starts_with("controller.")));
        assert_eq!(job.control_w, 0.0);
    }
}

/// A bad check valve costs the customer: more leaves the tank the wider it stands open.
#[test]
fn back_flow_shows_in_the_year() {
    let with = |valve: &str| year(&format!("[loop]\n{valve}\n[hot_water]\npeople = 3\n"));
    let (tight, leaks, none) = (with(""), with("check_valve = \"leaks\""), with("check_valve = \"none\""));
    assert_eq!(tight[Column::BackFlow], 0.0);
    assert!(leaks[Column::BackFlow] > 20.0, "{}", leaks[Column::BackFlow]);
    assert!(none[Column::BackFlow] > leaks[Column::BackFlow]);
    assert!(tight[Column::Saved] > leaks[Column::Saved] && leaks[Column::Saved] > none[Column::Saved]);
}

#[test]
fn duties_show_in_the_year() {
    let cold = air(-4.0);
    let water = "[loop]\nfluid = \"water\"\n";
    let frost = year_in(&format!("{water}[controller.freeze_protection]\n"), &cold);
    assert!(frost[Column::FreezeHeat] > 100.0, "{}", frost[Column::FreezeHeat]);
    assert!(frost[Column::PumpHours] > year_in(water, &cold)[Column::PumpHours]);
    // Away in summer: the tank overheats, and is cooled, or its loop's heat dumped.
    let away = "[hot_water]\npeople = 2\nabsences = [\"Jun 1 - Aug 31\"]\n";
    let hot = year(away);
    let cooled = year(&format!("{away}[controller.night_cooling]\non = \"155 F\"\noff = \"130 F\"\n"));
    assert!(cooled[Column::NightCooling] > 50.0, "{}", cooled[Column::NightCooling]);
    assert!(cooled[Column::Stagnation] < hot[Column::Stagnation]);
    let dumped = year(&format!("{away}[controller.heat_dump]\non = \"190 F\"\nua = \"120 W/K\"\n"));
    assert!(dumped[Column::DumpHeat] > 50.0, "{}", dumped[Column::DumpHeat]);
    assert!(dumped[Column::HottestCollector] < hot[Column::HottestCollector] - 40.0);
}

#[test]
fn other_drives_run_the_year() {
    let people = "[hot_water]\npeople = 4\n";
    let usual = year(people);
    let slow = year(&format!("{people}[pump]\nspeed = \"proportional\"\n"));
    let timer = year(&format!("{people}[pump]\ndrive = \"timer\"\nhours = \"10 am - 2 pm\"\n"));
    let module = year(&format!("{people}[pump]\ndrive = \"solar module\"\n"));
    // A slow pump runs longer on less.
    assert!(slow[Column::PumpHours] > usual[Column::PumpHours] && slow[Column::Pump] < usual[Column::Pump]);
    // Four hours of every day, but for the tank's high limit.
    assert!((timer[Column::PumpHours] - 4.0 * 365.0).abs() < 200.0, "{}", timer[Column::PumpHours]);
    assert!(timer[Column::Saved] < usual[Column::Saved]);
    assert_eq!(module[Column::Pump], 0.0);
    let heat = module[Column::HeatIntoTank] / usual[Column::HeatIntoTank];
    assert!((0.85..1.02).contains(&heat), "{heat}");
    let drive = job("[pump]\ndrive = \"solar module\"\n").plant.solar_loop.unwrap().controller.duties.drive;
    assert_eq!(drive, PumpDrive::Sun { start_w_m2: 150.0, full_w_m2: 700.0 });
}

/// The timer of the loop's pump is not that of a flow-through heater behind the tank.
#[test]
fn a_flow_through_heater_does_not_wait_for_the_pumps_timer() {
    let heater = "[hot_water]\npattern = \"US medium\"\n[backup]\nkind = \"flow-through heater\"\n";
    let usual = year(heater);
    let timer = year(&format!("{heater}[pump]\ndrive = \"timer\"\nhours = \"10 am - 2 pm\"\n"));
    // Less sun leaves it more to do, at all hours: it does most of what is missing.
    let more = |column: Column| timer[column] - usual[column];
    assert!(more(Column::HeatIntoTank) < 0.0, "{}", more(Column::HeatIntoTank));
    assert!(more(Column::FlowHeaterHeat) > 0.0, "{}", more(Column::FlowHeaterHeat));
    assert!(more(Column::FlowHeaterHeat) > more(Column::Shortfall), "{}", more(Column::Shortfall));
}

#[test]
fn drainback_and_circulation_are_held_against_the_cold() {
    let warm = invented::year(&[]);
    let list = |text: &str| safety::findings(&job(text), &air(-4.0), &warm);
    let water = "[loop]\nfluid = \"water\"\n";
    let found = list(&format!("{water}kind = \"drainback\"\n"));
    let slope = found.iter().find(|finding| finding.key == "drainback_slope").expect("the slope");
    assert!(slope.meaning.contains("only if every pipe and collector slopes to drain"), "{slope:?}");
    assert!(found.iter().all(|finding| finding.key != "water_outdoors"));
    let found = list(&format!("{water}[controller.freeze_protection]\n"));
    let frost = found.iter().find(|finding| finding.key == "water_outdoors").expect("the frost");
    assert!(frost.meaning.contains("no protection without power"), "{frost:?}");
}

/// Two planes that look the same way are one field; east and west together stand between the two alone.
#[test]
fn two_planes_see_their_own_sun() {
    let one =
        "[roof]\nazimuth = \"south\"\n[collectors]\nsize = \"four 4x8 ft\"\n[tank]\nvolume = \"120 gal\"\n";
    let two = "[roof]\nazimuth = \"south\"\n[roof.second_plane]\nazimuth = \"south\"\ncollectors = 2\n[collectors]\nsize = \"two 4x8 ft\"\n[tank]\nvolume = \"120 gal\"\n";
    let (one, two) = (year(one), year(two));
    assert!((one[Column::Sun] / two[Column::Sun] - 1.0).abs() < 1e-12);
    // The second field counts with the first; steps of the dark differ a little.
    assert!((one[Column::HeatIntoTank] / two[Column::HeatIntoTank] - 1.0).abs() < 1e-3);
    let facing =
        |first: &str, second: &str| year(&EAST_WEST.replace("\"east\"", first).replace("\"west\"", second));
    let both = facing("\"E\"", "\"W\"");
    let (east, west) = (facing("\"E\"", "\"E\""), facing("\"W\"", "\"W\""));
    // Each plane's sun is half of what both would get there.
    let mean = 0.5 * (east[Column::Sun] + west[Column::Sun]);
    assert!((both[Column::Sun] / mean - 1.0).abs() < 1e-12);
    // A longer day, in which the flow always passes a plane without sun too: a little less heat than both on the worse side.
    assert!(both[Column::PumpHours] > 1.1 * f64::max(east[Column::PumpHours], west[Column::PumpHours]));
    let share = both[Column::HeatIntoTank] / f64::min(east[Column::HeatIntoTank], west[Column::HeatIntoTank]);
    assert!((0.95..1.05).contains(&share), "{share}");
}

#[test]
fn a_batch_collector_keeps_through_mild_nights_and_is_told_to_freeze_its_pipes() {
    let year = year(BATCH);
    assert!(year[Column::CollectorLoss] > 0.3 * year[Column::Absorbed], "nights behind glass cost");
    assert_eq!((year[Column::Pump], year[Column::Control], year[Column::PumpStarts]), (0.0, 0.0, 0.0));
    let found = safety::findings(&job(BATCH), &air(-4.0), &invented::year(&[]));
    assert!(found.iter().any(|finding| finding.key == "batch_pipes"), "{found:?}");
}
