//! L10, L11, L12: draws through the slices, the mixing valve, cold water and load.

use suncask::draws::{AirClimate, cold_water_by_day};
use suncask::job::ColdWater;
use suncask::record::Column;
use thermal_network::flows::{Conditions, Draw, Flows};
use thermal_network::{State, hot_share};

use super::plants::{FINE, HUGE_M3, advance, lossless, plant, plant_with, still};
use super::{answer, check};

/// Outlet after some store volumes in steps of their default length, or fine ones.
fn outlet_c(slices: usize, volumes: f64, fine: bool) -> f64 {
    let tank = lossless(0.3, slices);
    let plant = if fine { plant_with(tank, None, FINE) } else { plant(tank, None) };
    let mut state = State::new(&plant, 60.0);
    // Wanted hotter than the tank, so that all the flow comes from it.
    let draw = Draw { flow_m3_s: 0.3 / 3600.0, use_c: 99.0, comfort: false, usable_c: 40.0 };
    advance(&plant, &mut state, &Conditions { draw, ..still(0.0) }, (volumes * 3600.0) as u32);
    state.tank_c(&plant, 0)[slices - 1]
}

#[test]
fn limits_of_a_draw_through_the_slices() {
    let mut answers = Vec::new();
    for slices in [10, 30] {
        for volumes in ["0.5", "0.8", "1.0", "1.2"] {
            let words = format!(
                "{slices} slices, no loss, no conduction, start 60, cold 15 C: outlet after {volumes} store volumes"
            );
            answers.push(answer(words, outlet_c(slices, volumes.parse().expect("number"), false)));
        }
    }
    answers.push(answer("30 slices, 1.0 volume, against the kernel", outlet_c(30, 1.0, true)));
    check("L10", &answers, &[]);
}

/// A second of 10 L/min at 48.8889 degC from a tank at `hot_c`, cold water at 16 degC.
fn drawn(hot_c: f64) -> Flows {
    let plant = plant(lossless(HUGE_M3, 1), None);
    let mut state = State::new(&plant, hot_c);
    let draw = Draw { flow_m3_s: 0.010 / 60.0, use_c: 48.8889, comfort: false, usable_c: 40.0 };
    advance(&plant, &mut state, &Conditions { draw, cold_water_c: 16.0, ..still(0.0) }, 1)
}

#[test]
fn limits_of_a_mixing_valve() {
    check(
        "L11",
        &[
            answer("hot flow for 10 L/min", 10.0 * hot_share(48.8889, 60.0, 16.0)),
            answer("power delivered by that draw", drawn(60.0).delivered_j),
            answer("hot flow with the store at 45 C", 10.0 * hot_share(48.8889, 45.0, 16.0)),
            answer("shortfall power then", drawn(45.0).shortfall_j),
        ],
        &[],
    );
}

#[test]
fn limits_of_cold_water_and_load() {
    let cosine = ColdWater::Cosine { mean_c: 16.0, amplitude_k: 5.5, coldest_day: 35.0 };
    let weather = suncask::weather::read(&crate::reference::weather()).expect("weather");
    let cold_c = cold_water_by_day(&cosine, &AirClimate::of(&weather));
    let year = crate::reference::one_tank_year();
    let mut answers: Vec<_> = [1, 35, 100, 217]
        .iter()
        .map(|day| answer(format!("mains temperature, day {day}"), cold_c[day - 1]))
        .collect();
    answers.push(answer("load of a year", year[Column::Load]));
    answers.push(answer("baseline purchased", year[Column::BaselinePurchased]));
    check("L12", &answers, &[]);
}
