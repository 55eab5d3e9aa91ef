//! What drawn jobs found, each as small as it can be.

use suncask::job::file::read_text;
use suncask::problem::Severity;
use suncask::record::Column;
use suncask::year::{RunOptions, Setting, run};

use super::{Drawn, climates, run_drawn};

/// Runs two days of a job in an invented climate, 0 to 2.
fn keeps_the_laws(text: &str, climate: usize, first_day: u32) {
    let drawn = Drawn { text: text.to_owned(), log: None, climate, first_day };
    match run_drawn(&drawn) {
        Ok(ran) => assert!(ran, "refused:\n{text}"),
        Err(fault) => panic!("{fault}\n{text}"),
    }
}

/// Asserts that a job is refused at a line with such a message.
fn refused(text: &str, line: usize, message: &str) {
    let problems = read_text("job.toml", text).expect_err("a fault");
    let found = problems.iter().find(|problem| {
        problem.severity == Severity::Error
            && problem.message.contains(message)
            && problem.place.as_ref().is_some_and(|place| place.line == line)
    });
    assert!(found.is_some(), "{problems:?}");
}

/// Without a time constant the standing collector took no step at all in the dark, and what it radiated was lost.
#[test]
fn a_collector_that_loses_nothing_still_radiates() {
    let rating = "[collectors.rating]\na1 = \"0 W/m2K\"\na2 = \"0 W/m2K2\"\na4 = 0.9\n";
    keeps_the_laws(rating, 1, 1);
    keeps_the_laws(&format!("{rating}[roof.second_plane]\n"), 1, 1);
    // A wind term takes all of the loss on a calm night.
    keeps_the_laws(
        "[collectors.rating]\na1 = \"2 W/m2K\"\na2 = \"0 W/m2K2\"\na3 = \"4 J/m3K\"\na4 = 0.5\n",
        1,
        182,
    );
}

/// The lower of two elements counted as missing what the upper one had given but not yet spread: both went past their set points.
#[test]
fn two_elements_at_once_do_not_heat_past_their_thermostats() {
    keeps_the_laws(
        "[tank]\ninterlock = \"none\"\nvolume = \"40 gal\"\n[tank.coil]\ntop = \"20 %\"\n\
         [[backup]]\nheight = \"30 %\"\nthermostat_height = \"50 %\"\n[[backup]]\nheight = \"20 %\"\n\
         thermostat_height = \"25 %\"\n",
        2,
        1,
    );
}

/// Steps of a second were too long for conduction between slices of less than a millimetre: it went back and forth.
#[test]
fn thin_slices_conduct_without_overshoot() {
    keeps_the_laws(
        "[tank]\nvolume = \"20 gal\"\nheight = \"3 in\"\nslices = 200\nconduction = \"3 W/mK\"\n",
        0,
        40,
    );
}

/// A year in which next to nothing comes in was called an error of the program: its misfit was relative to nothing.
#[test]
fn a_year_without_heat_closes_too() {
    let text = "[roof]\nsnow_cover = 1\n[loop]\nkind = \"batch\"\n[tank]\nstands_in = \"outdoors\"\n[backup]\nkind = \"none\"\n";
    let job = read_text("job.toml", text).expect("a sound job");
    let (weather, _) = &climates()[0];
    let year = run(&job, &Setting::new(&job, weather), &RunOptions::default()).expect("a year");
    assert!(year.annual[Column::BalanceResidual] < 1e-9, "{}", year.annual[Column::BalanceResidual]);
    assert_eq!(year.annual[Column::BackupHeat], 0.0);
}

/// The sun heats all of a batch collector: an element in it, or the usual one of a job that says nothing of backup, was refused
/// for a height that nobody wrote.
#[test]
fn a_batch_collector_may_have_an_element() {
    let batch = "[loop]\nkind = \"batch\"\n[tank]\nstands_in = \"outdoors\"\n";
    keeps_the_laws(batch, 1, 200);
    keeps_the_laws(&format!("{batch}[backup]\nheight = \"20 %\"\nthermostat_height = \"30 %\"\n"), 1, 200);
}

/// A sensor that is not there was too high.
#[test]
fn a_thermosiphon_has_no_sensor_to_be_too_high() {
    keeps_the_laws("[loop]\nkind = \"thermosiphon\"\n[tank.open_loop]\nreturn_to = \"9 %\"\n", 1, 200);
}

/// Each of these was read and then could not be built, or ended in a panic: no line, no caret.
#[test]
fn what_cannot_be_built_is_told_where_it_stands() {
    refused(
        "[tank]\nslices = 4\n[tank.open_loop]\ndraw_from = \"5 %\"\nreturn_to = \"20 %\"\n",
        5,
        "the slice of the tank",
    );
    refused(
        "[collectors.rating]\nintercept = 0.7\nslope = \"-1 W/m2K\"\nsecond_order = \"-0.5 W/m2K2\"\n",
        4,
        "would gain heat where it should lose it",
    );
    refused("[collectors.rating]\ncells = 100\n", 2, "`cells` cannot be 100");
    refused("[controller]\nsensor_seat_loss = \"100 %\"\n", 2, "`sensor_seat_loss` cannot be 100 %");
    let drainback = "[loop]\nkind = \"drainback\"\n[loop.drainback]\n";
    refused(&format!("{drainback}collector_volume = \"3 gal\"\n"), 4, "no more than that of its fluid");
    refused(
        &format!("{drainback}reservoir = \"5.5 gal\"\n[pump]\nflow = \"60 gal/min\"\n"),
        4,
        "cannot fill",
    );
    refused(&"[[backup]]\n".repeat(33), 1, "33 heaters and timers");
    let gas = "[backup_tank]\nkind = \"gas heater\"\nef = 0.53\npilot = \"0 W\"\npower = \"1 kW\"\n";
    refused(gas, 5, "cannot have this label");
    refused("[tank]\nvolume = \"80 gal\"\ndiameter = \"30 ft\"\n", 3, "would be");
}

/// A limit in another unit was beyond the limit, by a rounding.
#[test]
fn a_limit_in_another_unit_is_the_limit() {
    keeps_the_laws(
        "[tank]\nheight = \"360 in\"\n[tank.coil]\nkind = \"immersed\"\ntube_length = \"90 ft\"\ncoil_diameter = \"7 in\"\n",
        0,
        1,
    );
}

/// Keys that need another key were called unknown where that one makes them useless.
#[test]
fn a_key_that_changes_nothing_is_known() {
    for text in [
        "[backup_tank]\nkind = \"heat pump heater\"\nelement_power = \"0 W\"\nelement_height = \"60 %\"\n",
        "[loop]\ncheck_valve = \"tight\"\ncollector_rise = \"4 ft\"\n",
    ] {
        let job = read_text("job.toml", text).expect("a sound job");
        assert!(job.notes.iter().any(|note| note.message.contains("changes nothing")), "{:?}", job.notes);
    }
}

/// A step of a second, in which the tank conducted for minutes, was carried on through the step of minutes that followed: the coil
/// froze the tank's bottom with water of 80 F.
#[test]
fn a_short_step_of_a_run_is_not_carried_far() {
    let text = [
        "[roof]",
        r#"azimuth = "north""#,
        "[calendar]",
        r#"start_temperature = "107.4 F""#,
        "[collectors]",
        r#"size = "one 4x8 ft""#,
        "[collectors.rating]",
        r#"gross_area = "31.9 ft2""#,
        "intercept = 0.01",
        r#"slope = "-2.923 W/m2K""#,
        r#"a5 = "200 kJ/m2K""#,
        "[loop]",
        r#"fluid = "water""#,
        "[tank.coil]",
        r#"bottom = "0 %""#,
        r#"top = "5 %""#,
        r#"tube_length = "20 ft""#,
        "[pump]",
        r#"flow = "0.01 gpm/ft2""#,
        "[controller]",
        r#"sensor_height = "5 %""#,
        r#"decides_every = "1 s""#,
        "[[backup]]",
        r#"kind = "flow-through heater""#,
        r#"fuel = "gas""#,
        r#"power = "6 kW""#,
        r#"minimum_fire = "0 kW""#,
        "[cold_water]",
        r#"mean = "40 F""#,
    ];
    keeps_the_laws(&text.join("\n"), 0, 1);
}

/// Cold water warmer than the tank, let in at the bottom until the lowest slice was as warm as it, stayed below cooler slices.
#[test]
fn warm_water_let_in_below_rises() {
    keeps_the_laws(
        "[calendar]\nstart_temperature = \"60 F\"\n[roof]\nsnow_cover = 1\n[tank]\nslices = 52\n[backup]\nkind = \"none\"\n\
         [cold_water]\ntemperature = \"85 F\"\n[hot_water]\n[[hot_water.draw]]\ntime = \"2 am\"\nvolume = \"700 gal\"\nflow = \"30 gpm\"\n",
        0,
        1,
    );
}

/// A collector that answers within seconds kept the loss of minutes before, and fell below where the night sky holds it.
#[test]
fn a_collector_that_answers_at_once_keeps_no_old_loss() {
    let text = r#"name = "Drawn"
[weather]
[roof]
tilt = "6/12"
azimuth = "south"
[calendar]
[collectors]
size = "one 4x8 ft"
arrangement = "parallel"
[collectors.rating]
coefficients_on = "gross"
gross_area = "31.9 ft2"
aperture_area = "29.8 ft2"
eta0_hem = 0.5
a1 = "0.5 W/m2K"
a2 = "0.4778 W/m2K2"
a5 = "0.5 kJ/m2K"
a4 = 0.8318
[collectors.rating.angle]
[tank]
[loop]
fluid = "water"
[tank.coil]
bottom = "0 %"
top = "40.4 %"
[pipes]
[pump]
flow = "0.001 gpm/ft2"
[controller]
sensor_height = "7.6 %"
[controller.freeze_protection]
off = "45.83 F"
on = "40.43 F"
[controller.heat_dump]
ua = "82.72 W/K"
[roof.second_plane]
tilt = "6/12"
azimuth = "south"
[[backup]]
kind = "flow-through heater"
fuel = "gas"
power = "20.12 kW"
efficiency = "76.66 %"
minimum_fire = "0.05112 kW"
inlet_limit = "131.9 F"
hours = "always"
weekdays = "every day"
[cold_water]
mean = "57.75 F"
coldest_day = "Feb 4"
[heater_without_sun]
fuel = "gas"
set_temperature = "131.9 F"
[hot_water]
pattern = "EU XXS"
mixing_valve = "no"
usable_temperature = "99.5 F"
month_factors = [0.7862, 0.8366, 1.199, 0.8457, 1.036, 0.91, 10, 0.898, 1.254, 1.278, 1.001, 0.8576]
absences = ["Dec 20 - Jan 3; July 4"]
guests = ["Dec 20 - Jan 3: 3 people", "Jun - Sep: 1.5 times"]"#;
    keeps_the_laws(text, 0, 271);
}

/// A little tank behind much glass passed the temperature at which gain and loss balance: its loss was held through the step.
#[test]
fn a_batch_tank_does_not_pass_its_balance() {
    keeps_the_laws(
        "[collectors]\nsize = \"20 4x10 ft\"\n[collectors.rating]\na1 = \"0.5 W/m2K\"\na2 = \"0.006 W/m2K2\"\n[loop]\nkind = \"batch\"\n\
         [tank]\nvolume = \"2 gal\"\nstands_in = \"outdoors\"\n[backup]\nkind = \"none\"\n[hot_water]\ndaily = \"0 gal\"\n",
        0,
        243,
    );
}

/// A front of cold water that had passed the coil's slices was carried on as if it would pass again: the loop was cooled by water at
/// -1 degC that was never there.
#[test]
fn a_cold_front_does_not_pass_twice() {
    let text = [
        "[tank.coil]",
        r#"kind = "immersed""#,
        r#"ua = "3000 W/K""#,
        "[pump]",
        r#"drive = "timer""#,
        r#"hours = "always""#,
        "[cold_water]",
        r#"temperature = "45 F""#,
        "[hot_water]",
        "[[hot_water.draw]]",
        r#"time = "midnight""#,
        r#"duration = "3000 s""#,
        r#"flow = "40 gpm""#,
    ];
    keeps_the_laws(&text.join("\n"), 1, 248);
}

/// The loop's water was foreseen as cold as a draw makes one slice; that draw stirs many, and what came back to the tank was warmer
/// than anything in the house.
#[test]
fn a_stirred_tank_is_foreseen_stirred() {
    let text = [
        "[tank]",
        r#"inlet_mixing = "by draw rate""#,
        "[tank.open_loop]",
        r#"return_to = "75 %""#,
        "[controller]",
        r#"on_difference = "4.835 F""#,
        r#"off_difference = "2.796 F""#,
        r#"collector_sensor_offset = "6.757 F""#,
        "[[backup]]",
        r#"kind = "flow-through heater""#,
        "[[hot_water.draw]]",
        r#"time = "midnight""#,
        r#"volume = "22.96 gal""#,
    ];
    keeps_the_laws(&text.join("\n"), 0, 68);
}

/// Water that leaks back warm at night comes down from a slice that a draw cools from below meanwhile: it was foreseen without the draw,
/// taken to be warmer than it was, and came back to the tank colder than anything in the house.
#[test]
fn water_that_leaks_back_is_foreseen_with_the_draw() {
    let text = [
        "[loop]",
        r#"check_valve = "leaks""#,
        r#"tank_above_collectors = "-321.7 ft""#,
        "[tank.open_loop]",
        r#"return_to = "23 %""#,
        "[pipes]",
        r#"outer_diameter = "500 mm""#,
        r#"bore = "39.61 mm""#,
        "[[backup]]",
        "[[backup]]",
        r#"height = "22.2 %""#,
        r#"thermostat_height = "23 %""#,
        "[hot_water]",
        "people = 7",
        "hours = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0.6, 0.4, 0, 0, 0, 0]",
    ];
    keeps_the_laws(&text.join("\n"), 2, 193);
}

/// What a cold loop took out of the coil's slices waited in part until a draw had filled them with cold water, which then was colder
/// than anything in the house.
#[test]
fn a_cold_loop_takes_nothing_from_what_a_draw_lets_in() {
    let text = [
        "[roof]",
        "[collectors]",
        "[collectors.rating]",
        "[loop]",
        "[tank.coil]",
        "[pump]",
        r#"drive = "timer""#,
        r#"hours = "noon - midnight""#,
        "[controller]",
        "[[backup]]",
        "[cold_water]",
        r#"mean = "52.19 F""#,
        "[[hot_water.draw]]",
        r#"time = "midnight""#,
        r#"volume = "25.38 gal""#,
        "[[hot_water.draw]]",
        r#"time = "6:30 am""#,
        r#"duration = "299.3 s""#,
        r#"flow = "3.25 gpm""#,
        "[[hot_water.draw]]",
        r#"time = "18:45""#,
        r#"volume = "1516 gal""#,
        r#"duration = "93.94 s""#,
    ];
    keeps_the_laws(&text.join("\n"), 0, 183);
}
