//! Years of houses like those that were measured in the field, beside what was measured there.
//!
//! The rows are facts of published studies; what a study does not state is a usual value of the trade, written out in the job.
//! Weather is made from monthly means of the typical year of a station near by, not that of the measured years. So a figure is
//! expected within a band, and the band says why it is so wide: these are checks of plausibility, not of accuracy.
//!
//! Not used, because they state too little to build a house from:
//!
//! | study | what is missing |
//! |---|---|
//! | Energy Saving Trust, UK and Ireland (2011), 88 systems: 0.39 in the middle, about 0.60 well installed | sizes and use; the timing of boilers made most of the difference |
//! | Pollard and Zhao, New Zealand, BRANZ SR188 (2008), 39 systems: 0.38, 1260 kWh; best quarter 0.43, 2060 kWh | sizes and use; heat pumps among them |
//! | Jones and Mowris, San Diego, programme mean 2793 kWh | sizes, use, kind of system |
//! | Sacramento utility programme (1992) | an expectation, nothing measured |
//! | Colon and Parker (2010), Cocoa, Florida, side by side | results: only the set-up was found |
//! | Fanney and Klein (1983), six systems in Gaithersburg | sizes, use and results: only the abstract was found |
//! | Balke, Healy and Ullah (2016) | a model, not a measurement |

use suncask::job::file::read_text;
use suncask::record::{Accounts, Column};
use suncask::weather::WeatherYear;
use suncask::weather::make::{MakeSpec, make_year};
use suncask::year::{RunOptions, Setting, run};

/// A year of weather from the monthly means of a station: sun on level ground in kWh/m2 and day, air in degC, wind in m/s.
fn made(name: &str, place: [f64; 4], means: [[f64; 12]; 3]) -> WeatherYear {
    let [latitude_deg, longitude_deg, elevation_m, utc_offset_h] = place;
    let [ghi_kwh_m2_day, air_c, wind_m_s] = means;
    make_year(&MakeSpec {
        name: name.to_owned(),
        latitude_deg,
        longitude_deg,
        elevation_m,
        utc_offset_h: Some(utc_offset_h),
        ghi_kwh_m2_day,
        air_c,
        wind_m_s: Some(wind_m_s),
        seed: 1,
    })
    .expect("a year")
}

/// Monthly means of the typical year TMY3 724030, Washington Dulles (National Renewable Energy Laboratory, open data; its
/// published statistics), 35 km from Gaithersburg.
fn dulles() -> WeatherYear {
    made(
        "like Washington Dulles",
        [38.97, -77.47, 82.0, -5.0],
        [
            [1.925, 2.970, 4.043, 5.094, 5.631, 6.087, 5.934, 5.176, 4.336, 3.270, 2.266, 1.908],
            [0.6, 1.6, 7.7, 12.5, 18.2, 22.5, 24.5, 23.0, 20.1, 11.9, 7.8, 1.0],
            [3.4, 3.9, 4.5, 3.6, 2.8, 2.7, 3.1, 2.4, 2.9, 3.1, 2.8, 4.1],
        ],
    )
}

/// The same of TMY3 722050, Orlando, in the middle of Florida.
fn orlando() -> WeatherYear {
    made(
        "like Orlando",
        [28.42, -81.32, 29.0, -5.0],
        [
            [2.832, 3.531, 4.668, 6.040, 6.294, 5.675, 5.481, 4.913, 4.534, 3.870, 3.337, 2.862],
            [14.6, 17.4, 18.8, 21.6, 24.6, 26.5, 26.9, 26.2, 26.1, 23.1, 20.1, 16.4],
            [3.7, 4.3, 4.3, 4.0, 3.8, 3.6, 3.6, 2.8, 3.2, 3.8, 3.6, 3.2],
        ],
    )
}

/// The same of TMY2 94846, Chicago, 200 km from Madison and a little milder.
fn chicago() -> WeatherYear {
    made(
        "like Chicago",
        [41.77, -87.75, 190.0, -6.0],
        [
            [1.764, 2.594, 3.550, 4.801, 5.976, 6.294, 6.377, 5.161, 4.193, 3.037, 1.829, 1.403],
            [-4.6, -2.2, 1.6, 8.4, 15.3, 21.1, 23.5, 21.8, 18.1, 11.7, 4.2, -2.6],
            [4.9, 5.2, 5.4, 5.6, 3.8, 4.9, 3.5, 3.8, 3.4, 5.2, 4.6, 5.3],
        ],
    )
}

/// The year of a house.
fn year(weather: &WeatherYear, text: &str) -> Accounts {
    let job = read_text("house.toml", text).unwrap_or_else(|problems| panic!("{problems:?}"));
    let result = run(&job, &Setting::new(&job, weather), &RunOptions::default());
    result.unwrap_or_else(|problems| panic!("{problems:?}")).annual
}

/// Prints a figure beside the measured one and asserts that it lies in its band.
fn within(what: &str, found: f64, measured: &str, band: [f64; 2]) {
    println!("{what}: {found:.2}, measured {measured}, band {} to {}", band[0], band[1]);
    assert!((band[0]..=band[1]).contains(&found), "{what}: {found}, measured {measured}, band {band:?}");
}

/// Aldrich and Vijayakumar, Building America: Hadley from 2004 and Madison from 2005. Stated: indirect, 64 ft2 of flat plates, 80
/// gal in the basement, 60 to 80 gal a day, a family of four. Not stated: the kind of backup.
///
/// Measured 2670 to 3210 kWh collected a year and over 0.60, near 0.90 in summer. The bands reach a tenth beyond what was
/// collected, for the station and the years, and from 0.55 on to what a better year would give.
#[test]
fn an_indirect_pair_in_the_northern_states() {
    let annual = year(
        &chicago(),
        "[collectors]\nsize = \"two 4x8 ft\"\n[roof]\ntilt = \"40 deg\"\n[loop]\nfluid = \"40 % propylene glycol\"\n\
         [tank]\nvolume = \"80 gal\"\nstands_in = \"basement\"\n[tank.coil]\ntop = \"60 %\"\n\
         [backup_tank]\nvolume = \"50 gal\"\nef = 0.92\nstands_in = \"basement\"\nset_temperature = \"125 F\"\n\
         [hot_water]\npeople = 4\ndaily = \"70 gal\"\ntemperature = \"120 F\"\n",
    );
    within("heat into the tank, kWh", annual[Column::HeatIntoTank], "2670 to 3210", [2400.0, 3530.0]);
    let solar = 1.0 - annual[Column::BackupHeat] / (annual[Column::Delivered] + annual[Column::Tank2Loss]);
    within("share of load and standby", solar, "over 0.60", [0.55, 0.75]);
}

/// First year of the net-zero house of the National Institute of Standards and Technology, Gaithersburg (2015). Stated: indirect,
/// 80 gal before a heat pump water heater of 50 gal, a virtual family of four. Not stated: the collectors and the gallons.
///
/// Measured 0.54 of the energy for the load. What the collectors were is bracketed: the measured share lies between what one usual
/// collector gives and what two give, a tenth of it to either side for the one year.
#[test]
fn a_solar_tank_before_a_heat_pump_in_maryland() {
    let with = |many: &str| {
        let house = "[tank]\nvolume = \"80 gal\"\nstands_in = \"basement\"\n[tank.coil]\ntop = \"60 %\"\n\
            [backup_tank]\nkind = \"heat pump heater\"\nvolume = \"50 gal\"\nstands_in = \"basement\"\n\
            set_temperature = \"120 F\"\n[hot_water]\npeople = 4\ntemperature = \"115 F\"\n";
        let annual = year(&dulles(), &format!("[collectors]\nsize = \"{many} 4x8 ft\"\n{house}"));
        let need_kwh = annual[Column::Delivered] + annual[Column::Tank2Loss];
        1.0 - annual[Column::BackupHeat] / need_kwh
    };
    let (one, two) = (with("one"), with("two"));
    println!("one collector {one:.2}, measured 0.54, two collectors {two:.2}");
    assert!(0.9 * one < 0.54 && 0.54 < 1.1 * two, "{one} {two}");
    // A second one must be worth something, but not as much again.
    assert!(two < 1.8 * one, "{one} {two}");
}

/// Solar Weatherization Assistance Program, Florida (Home Energy 1999), mean of 32 houses. Stated: low-cost direct systems on the
/// house's own electric tank, some 63 gal a day at 119 F, 0.73 of the electricity in the water before. Of these 3100 kWh 837 were
/// lost: 3.6 W/K at 26 K above a garage, which both heaters here are given. Not stated: collectors of 2 to 3 m2 and tanks of 40
/// to 50 gal are the project's guess.
///
/// Measured 3100 kWh before, 1500 after, 1600 saved, 0.53. Without sun the year depends on use and standby alone: a tenth for the
/// cold water. With it the houses differed by far more than their mean shows: a third.
#[test]
fn a_low_cost_collector_on_the_houses_own_tank_in_florida() {
    let annual = year(
        &orlando(),
        "[collectors]\nsize = \"one 4x8 ft\"\n[collectors.rating]\ncoefficients_on = \"gross\"\neta0b = 0.70\na1 = \"5 W/m2K\"\n\
         [roof]\ntilt = \"20 deg\"\n[loop]\nfluid = \"water\"\n[controller.freeze_protection]\n\
         [tank]\nvolume = \"50 gal\"\ntotal_loss = \"3.6 W/K\"\nfittings_loss = \"0 W/K\"\nstands_in = \"garage\"\n[tank.open_loop]\nreturn_to = \"40 %\"\n\
         [backup]\nset_temperature = \"122 F\"\n[hot_water]\npeople = 4\ndaily = \"63 gal\"\ntemperature = \"119 F\"\n\
         [heater_without_sun]\nvolume = \"50 gal\"\ntotal_loss = \"3.6 W/K\"\nfittings_loss = \"0 W/K\"\nset_temperature = \"122 F\"\n",
    );
    within("bought before, kWh", annual[Column::BaselinePurchased], "3100", [2790.0, 3410.0]);
    within("saved, kWh", annual[Column::Saved], "1600", [1070.0, 2130.0]);
    within("savings fraction", annual[Column::SavingsFraction], "0.53", [0.35, 0.71]);
}
