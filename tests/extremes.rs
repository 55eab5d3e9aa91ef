//! Plants at the ends of what a job may say, through whole years of an invented climate: the books close, every figure is a
//! number, and what must be nothing is nothing.

use suncask::job::file::{Draft, read_text};
use suncask::job::{Job, starter};
use suncask::problem::Severity;
use suncask::record::{Accounts, Column, YearResult};
use suncask::weather::{self, WeatherYear};
use suncask::year::{RunOptions, Setting, run};

/// Largest misfit of a component's balance, relative to the year's inputs: 8,760 closings of a rounding of 1e-16 each.
const LARGEST_RESIDUAL: f64 = 1e-12;

/// The one-tank starter with some of its keys set anew.
fn job(keys: &[(&str, &str)]) -> Job {
    let mut draft =
        Draft::of_text("house.toml", starter()).expect("the starter").without("electricity").without("money");
    for &(key, value) in keys {
        draft = draft.with(key, value);
    }
    draft.job().unwrap_or_else(|problems| panic!("{keys:?}: {problems:#?}"))
}

fn year(job: &Job) -> YearResult {
    year_in(job, &weather::demo())
}

/// The year of a job, with the laws that hold for any.
fn year_in(job: &Job, weather: &WeatherYear) -> YearResult {
    let result =
        run(job, &Setting::new(job, weather), &RunOptions::default()).expect("the plant can be built");
    for accounts in result.monthly.iter().chain([&result.annual]) {
        for &column in Column::ALL {
            assert!(accounts[column].is_finite(), "{}: {}", column.info().key, accounts[column]);
        }
        assert!(
            accounts[Column::BalanceResidual] < LARGEST_RESIDUAL,
            "{}",
            accounts[Column::BalanceResidual]
        );
        let [load, delivered, short] =
            [Column::Load, Column::Delivered, Column::Shortfall].map(|c| accounts[c]);
        assert!(load >= 0.0 && short >= 0.0, "load {load}, shortfall {short}");
        // The mixing valve foresees the outlet's cooling to some parts in ten thousand.
        assert!((load - delivered - short).abs() <= 1e-3 * load, "{load} {delivered} {short}");
    }
    let share = job.plant.solar_loop.as_ref().map_or(0.0, |solar| solar.pump.heat_to_fluid_frac);
    let [into, out] = in_and_out(&result.annual, share);
    assert!((into - out).abs() <= 1e-9 * into.max(1.0), "in {into}, out {out}");
    result
}

/// What came into the plant, a share of its pump's work among it, and what left it or stayed, in kWh.
fn in_and_out(year: &Accounts, pump_share: f64) -> [f64; 2] {
    let sum = |columns: &[Column]| columns.iter().map(|&column| year[column]).sum::<f64>();
    let out = [
        Column::CollectorLoss,
        Column::SupplyLoss,
        Column::ReturnLoss,
        Column::TankLoss,
        Column::Delivered,
        Column::StoredChange,
    ];
    [sum(&[Column::Absorbed, Column::BackupHeat]) + pump_share * year[Column::Pump], sum(&out)]
}

/// The first error of a job that must be refused.
#[track_caller]
fn refused(text: &str) -> String {
    let problems = read_text("house.toml", text).expect_err(text);
    let error = problems.iter().find(|problem| problem.severity == Severity::Error).expect("an error");
    assert!(error.place.is_some(), "{error:?}");
    error.to_string()
}

#[test]
fn a_loop_whose_pump_never_runs_brings_nothing() {
    let never = job(&[("pump.drive", "timer"), ("pump.hours", "never")]);
    let year = year(&never).annual;
    for column in
        [Column::PumpHours, Column::PumpStarts, Column::CollectorHeat, Column::HeatIntoTank, Column::Pump]
    {
        assert_eq!(year[column], 0.0, "{column:?}");
    }
    // All the sun is lost again by the collectors, but for what their own heat capacity has more at the end.
    assert!((year[Column::Absorbed] - year[Column::CollectorLoss]).abs() < 0.01 * year[Column::Absorbed]);
    assert!(year[Column::SolarFraction] < 0.0 + 1e-9, "{}", year[Column::SolarFraction]);
}

#[test]
fn without_sun_nothing_is_absorbed() {
    let mut dark = weather::demo();
    for light in [&mut dark.ghi_w_m2, &mut dark.dni_w_m2, &mut dark.dhi_w_m2] {
        light.fill(0.0);
    }
    let year = year_in(&job(&[]), &dark).annual;
    for column in
        [Column::Ghi, Column::Sun, Column::SunBeam, Column::SunSky, Column::SunGround, Column::Absorbed]
    {
        assert_eq!(year[column], 0.0, "{column:?}");
    }
    assert_eq!(year[Column::Stagnation], 0.0);
    // Warm air may give a little to water from the ground through the collectors; the rest is bought.
    assert!(year[Column::HeatIntoTank] < 0.03 * year[Column::Load], "{}", year[Column::HeatIntoTank]);
    assert!(year[Column::BackupHeat] > 0.97 * year[Column::Load]);
}

#[test]
fn a_house_that_draws_nothing_only_stands() {
    for use_of in [[("hot_water.daily", "0 gal")], [("hot_water.absences", "Jan 1 - Dec 31")]] {
        let year = year(&job(&use_of)).annual;
        for column in
            [Column::Load, Column::Delivered, Column::Shortfall, Column::ShortfallMinutes, Column::TapVolume]
        {
            assert_eq!(year[column], 0.0, "{column:?}");
        }
        // What stands loses what sun and element give it.
        let given = year[Column::HeatIntoTank] + year[Column::BackupHeat];
        assert!((given - year[Column::TankLoss]).abs() < 0.02 * given, "{given} {}", year[Column::TankLoss]);
        assert!(year[Column::HeatIntoTank] > 0.0 && year[Column::TankLoss] > 0.0);
    }
}

#[test]
fn water_that_comes_warmer_than_wanted_needs_no_heat() {
    // 110 F from the ground, 100 F at the tap and the thermostat.
    let keys = [
        ("cold_water.temperature", "110 F"),
        ("hot_water.temperature", "100 F"),
        ("backup.set_temperature", "100 F"),
    ];
    let year = year(&job(&keys)).annual;
    assert_eq!(year[Column::Load], 0.0);
    assert_eq!(year[Column::Shortfall], 0.0);
    assert_eq!(year[Column::CoolShowerMinutes], 0.0);
    // The house draws every day but for two weeks: water of 110 F follows, and nothing lets the element come on.
    assert!(year[Column::BackupHeat] < 20.0, "{}", year[Column::BackupHeat]);
}

#[test]
fn a_draw_may_empty_the_tank_in_a_minute() {
    let text = format!(
        "{}[[hot_water.draw]]\ntime = \"6:30 am\"\nvolume = \"80 gal\"\nduration = \"1 min\"\ntemperature = \"130 F\"\n",
        "[tank]\nvolume = \"80 gal\"\n[backup]\nset_temperature = \"130 F\"\npower = \"1000 W\"\n"
    );
    let job = read_text("house.toml", &text).expect("a job");
    let year = year(&job).annual;
    // 80 gal of 3.785 411 784 L on each of 365 days, at the tap.
    let drawn_l = 365.0 * 80.0 * 3.785_411_784;
    assert!((year[Column::TapVolume] / drawn_l - 1.0).abs() < 1e-9, "{}", year[Column::TapVolume]);
    // A kilowatt heats the tank from ground to set point in some fifteen hours: most days' last gallons come short.
    assert!(year[Column::Shortfall] > 0.0 && year[Column::Shortfall] < 0.5 * year[Column::Load]);
    let coldest = year[Column::ColdestTank];
    assert!(coldest > 0.0 && coldest < 20.0, "{coldest}");
}

#[test]
fn a_huge_tank_is_slow_and_closes() {
    let year = year(&job(&[("tank.volume", "5000 gal"), ("tank.height", "12 ft")])).annual;
    // Two collectors cannot bring 19 m3 to the limit.
    assert_eq!(year[Column::AboveLimit], 0.0);
    assert!(year[Column::HottestTank] < 70.0, "{}", year[Column::HottestTank]);
    assert_eq!(year[Column::Shortfall], 0.0);
    let told = refused("[tank]\nvolume = \"5001 gal\"\n");
    assert!(told.contains("house.toml:2:10") && told.contains("5000 gal"), "{told}");
}

#[test]
fn one_slice_and_two_hundred_frame_the_usual_tank() {
    let solar = |slices: &str| year(&job(&[("tank.slices", slices)])).annual;
    let [one, usual, many] = ["1", "30", "200"].map(solar);
    // The better layered, the colder the bottom that the sun heats, and the less is bought.
    let heat = |year: &Accounts| year[Column::HeatIntoTank];
    assert!(heat(&one) < heat(&usual), "{} {}", heat(&one), heat(&usual));
    assert!((heat(&many) / heat(&usual) - 1.0).abs() < 0.03, "{} {}", heat(&many), heat(&usual));
    assert!(one[Column::BackupHeat] > usual[Column::BackupHeat]);
    for text in ["[tank]\nslices = 0\n", "[tank]\nslices = 201\n", "[tank]\nslices = 1.5\n"] {
        let told = refused(text);
        assert!(told.starts_with("house.toml:2:10"), "{told}");
    }
}

#[test]
fn controllers_that_decide_every_second_or_every_hour() {
    let every = |time: &str| year(&job(&[("controller.decides_every", time)])).annual;
    let [second, minute, hour] = ["1 s", "60 s", "1 h"].map(every);
    // Decisions within the minute change little; one an hour misses starts and stops, and starts 24 times a day at most.
    let heat = |year: &Accounts| year[Column::HeatIntoTank];
    assert!((heat(&second) / heat(&minute) - 1.0).abs() < 0.01, "{} {}", heat(&second), heat(&minute));
    assert!(heat(&hour) < heat(&minute) && heat(&hour) > 0.5 * heat(&minute), "{}", heat(&hour));
    assert!(hour[Column::PumpStarts] <= 365.0 * 12.0 && hour[Column::PumpStarts] >= 100.0);
    for text in ["[controller]\ndecides_every = \"0.5 s\"\n", "[controller]\ndecides_every = \"61 min\"\n"] {
        let told = refused(text);
        assert!(
            told.starts_with("house.toml:2:17") && told.contains("1 s") && told.contains("1 h"),
            "{told}"
        );
    }
}

#[test]
fn a_house_without_collectors_is_told_so() {
    for size in ["0 4x8 ft", "two 0x8 ft", "4x0/0 ft", "1/0 4x8 ft", "no collectors"] {
        let told = refused(&format!("[collectors]\nsize = \"{size}\"\n"));
        assert!(told.starts_with("house.toml:2:") && told.contains(size.trim()), "{told}");
    }
    // The smallest that collectors come in, and little flow for it.
    let keys = [
        ("collectors.size", "one 3x3 ft"),
        ("collectors.rating.gross_area", "8.9 ft2"),
        ("collectors.rating.aperture_area", "8 ft2"),
        ("pump.flow", "0.2 gal/min"),
    ];
    let year = year(&job(&keys)).annual;
    // At most its peak efficiency, 0.74, of the sun.
    let heat = year[Column::HeatIntoTank];
    assert!(
        heat > 0.3 * year[Column::Sun] && heat < 0.74 * year[Column::Sun],
        "{heat} {}",
        year[Column::Sun]
    );
}

#[test]
fn years_at_the_poles_and_the_date_line_close() {
    for (latitude, longitude, offset) in
        [(90.0, 0.0, 0.0), (-90.0, 0.0, 12.0), (-18.0, 179.9, 12.0), (1.9, -157.4, 14.0)]
    {
        let mut weather = weather::demo();
        weather.site.latitude_deg = latitude;
        weather.site.longitude_deg = longitude;
        weather.site.utc_offset_h = offset;
        let year = year_in(&job(&[]), &weather).annual;
        assert!(year[Column::Sun] >= 0.0 && year[Column::Absorbed] >= 0.0, "{latitude}");
    }
}
