//! L2, L3, L8 (element), L9: the tank by itself.

use std::f64::consts::PI;

use thermal_network::flows::{Conditions, Flows};
use thermal_network::spec::{CoilInlet, ElementSpec, ExchangerSpec, SensorSpec, SourceSpec, TankSpec};
use thermal_network::{Contents, Scratch, State};

use super::plants::{FINE, advance, lossless, plant, plant_with, solar_loop, steady_source, still, tank};
use super::{answer, check};

const SLICES: usize = 30;

/// Specific heat of water so sluggish that a second shows the first term of any scheme, and no less than rounding leaves of
/// a change from about 1 degC.
const SLUGGISH_J_KG_K: f64 = 4186.0 * 1e2;

/// As much, where the change is from 0 degC.
const MOST_SLUGGISH_J_KG_K: f64 = 4186.0 * 1e4;

/// Loss of each slice in W/K, from what a second takes of some 1 K above the room, a little more above than below so that
/// the slices do not mix.
fn losses_w_k(spec: TankSpec) -> Vec<f64> {
    let spec = TankSpec { water_j_kg_k: SLUGGISH_J_KG_K, ..spec };
    let slice_j_k = spec.volume_m3 / spec.slices as f64 * spec.water_kg_m3 * spec.water_j_kg_k;
    let plant = plant_with(spec, None, FINE);
    let mut state = State::new(&plant, 1.0);
    let before_c: Vec<f64> = (0..SLICES).map(|j| 1.0 + 1e-3 * j as f64).collect();
    state.set_tank_c(&plant, 0, &before_c);
    advance(&plant, &mut state, &Conditions { tank_room_c: 0.0, ..still(0.0) }, 1);
    let after_c = state.tank_c(&plant, 0);
    before_c.iter().zip(after_c).map(|(before, after)| (before - after) * slice_j_k / before).collect()
}

/// Conductance between neighbours in W/K, from what a second takes out of a top slice 1 K warmer than the others.
fn conductance_w_k() -> f64 {
    let spec =
        TankSpec { conduction_w_m_k: 0.9, water_j_kg_k: MOST_SLUGGISH_J_KG_K, ..lossless(0.3, SLICES) };
    let slice_j_k = 0.3 / SLICES as f64 * 990.0 * MOST_SLUGGISH_J_KG_K;
    let plant = plant_with(spec, None, FINE);
    let mut state = State::new(&plant, 0.0);
    let mut slices_c = [0.0; SLICES];
    slices_c[SLICES - 1] = 1.0;
    state.set_tank_c(&plant, 0, &slices_c);
    advance(&plant, &mut state, &still(0.0), 1);
    state.tank_c(&plant, 0)[SLICES - 2] * slice_j_k
}

#[test]
fn limits_of_a_tank_itself() {
    let even = TankSpec { conduction_w_m_k: 0.0, ..tank(SLICES) };
    let each_w_k = losses_w_k(even.clone());
    let side_w_k: f64 =
        losses_w_k(TankSpec { top_w_m2_k: 0.0, bottom_w_m2_k: 0.0, fittings_even_w_k: 0.0, ..even })
            .iter()
            .sum();
    let plant = plant(tank(SLICES), None);
    let state = State::new(&plant, 60.0);
    let content_j = Contents::of(&plant, &state).tank_j[0];
    check(
        "L2",
        &[
            answer("mass of one of 30 slices", content_j / 60.0 / 4186.0 / SLICES as f64),
            answer("shell diameter", side_w_k / (PI * 1.45 * 0.55)),
            answer("UA of the whole store", each_w_k.iter().sum()),
            answer("UA of a middle slice", each_w_k[SLICES / 2]),
            answer("UA of the top slice", each_w_k[SLICES - 1]),
            answer("conductance between neighbouring slices", conductance_w_k()),
        ],
        &[],
    );
}

#[test]
fn limits_of_a_tank_that_cools() {
    let mut answers = Vec::new();
    for hours in [24, 168] {
        for slices in [1, SLICES] {
            let plant = plant(tank(slices), None);
            let mut state = State::new(&plant, 60.0);
            advance(&plant, &mut state, &still(0.0), hours * 3600);
            let slices_c = state.tank_c(&plant, 0);
            let mean_c = slices_c.iter().sum::<f64>() / slices as f64;
            if slices == 1 {
                answers.push(answer(format!("one-slice store, 60 C, room 20 C, after {hours} h"), mean_c));
            } else {
                answers.push(answer(format!("30-slice store, mean after {hours} h"), mean_c));
                answers.push(answer(format!("30-slice store, bottom slice after {hours} h"), slices_c[0]));
                answers
                    .push(answer(format!("30-slice store, top slice after {hours} h"), slices_c[SLICES - 1]));
            }
        }
    }
    check("L3", &answers, &[]);
}

#[test]
fn limits_of_a_tank_that_is_heated() {
    let heater = ElementSpec {
        source: SourceSpec::Electric,
        power_w: 1500.0,
        height_frac: 0.0,
        thermostat_frac: 0.0,
        set_c: 200.0,
        band_k: 1.0,
        sensor: SensorSpec::default(),
    };
    let heated = plant(TankSpec { elements: vec![heater], ..tank(1) }, None);
    let coil = ExchangerSpec::Coil {
        bottom_frac: 0.02,
        top_frac: 0.5,
        ua_w_k: 420.0,
        inlet: CoilInlet::Top,
        tube: None,
    };
    let solar = plant(lossless(0.3, 1), Some(solar_loop(true, steady_source(), coil)));
    let mut answers = Vec::new();
    for hours in [4, 12] {
        let mut state = State::new(&heated, 20.0);
        // The thermostat first reads at the end of a step: let one second pass.
        advance(&heated, &mut state, &still(0.0), 1);
        advance(&heated, &mut state, &still(0.0), hours * 3600);
        let words = format!("one slice, heater 1500 W, room and start 20 C, after {hours} h");
        answers.push(answer(words, state.tank_c(&heated, 0)[0]));
    }
    for hours in [1, 4] {
        let mut state = State::new(&solar, 60.0);
        state.set_tank_c(&solar, 0, &[20.0]);
        // The heavy collector's content swamps the balance; its own rounding is not what is tested here.
        let mut flows = Flows::new();
        let mut scratch = Scratch::new(&solar);
        solar.advance(&mut state, &mut scratch, &still(0.0), hours * 3600, &mut flows, |_, _, _| {});
        let words = format!("one slice, no loss, coil inlet 60 C constant, start 20 C, after {hours} h");
        answers.push(answer(words, state.tank_c(&solar, 0)[0]));
    }
    check("L8", &answers, &[]);
}

#[test]
fn limits_of_slices_that_mix() {
    let sets = [
        [20.0, 30.0, 60.0, 50.0, 40.0, 70.0],
        [40.0, 60.0, 50.0, 30.0, 45.0, 70.0],
        [70.0, 60.0, 50.0, 40.0, 30.0, 20.0],
        [20.0, 50.0, 30.0, 45.0, 25.0, 60.0],
    ];
    let plant = plant(lossless(0.3, 6), None);
    let mut answers = Vec::new();
    for (i, set) in sets.iter().enumerate() {
        let mut state = State::new(&plant, 20.0);
        state.set_tank_c(&plant, 0, set);
        advance(&plant, &mut state, &still(0.0), 1);
        for (j, &c) in state.tank_c(&plant, 0).iter().enumerate() {
            let set: Vec<String> = set.iter().map(|c| format!("{c:.0}")).collect();
            let words = format!("set {}: slices bottom to top [{}], slice {}", i + 1, set.join(", "), j + 1);
            answers.push(answer(words, c));
        }
    }
    check("L9", &answers, &[]);
}
