//! L4 and L5: the collector by itself.

use thermal_network::State;
use thermal_network::flows::Conditions;
use thermal_network::spec::CollectorSpec;

use super::plants::{HUGE_M3, OPEN_LOOP, advance, collector, lossless, plant, solar_loop, still, sun};
use super::{answer, check};

/// Steady outlet with water at 40 degC entering, air at 15 degC and 800 W/m2.
fn outlet_c(spec: CollectorSpec) -> f64 {
    let plant = plant(lossless(HUGE_M3, 2), Some(solar_loop(true, spec, OPEN_LOOP)));
    let mut state = State::new(&plant, 40.0);
    advance(&plant, &mut state, &sun(800.0, 15.0), 7200);
    state.collector_outlet_c(&plant)
}

/// Outlet of endlessly many cells, by extrapolation: the errors of 16, 32 and 64 cells halve, then quarter.
fn endless_c(spec: CollectorSpec) -> f64 {
    let [a, b, c] = [16, 32, 64].map(|cells| outlet_c(CollectorSpec { cells, ..spec }));
    let (ab, bc) = (2.0 * b - a, 2.0 * c - b);
    (4.0 * bc - ab) / 3.0
}

#[test]
fn limits_of_a_collector_in_flow() {
    let linear = |cells| CollectorSpec { a2_w_m2_k2: 0.0, ..collector(cells) };
    check(
        "L4",
        &[
            answer("outlet, linear loss, 1 mixed", outlet_c(linear(1))),
            answer("outlet, linear loss, 6 mixed", outlet_c(linear(6))),
            answer("outlet, linear loss, 24 mixed", outlet_c(linear(24))),
            answer("outlet, linear loss, infinitely many", endless_c(linear(1))),
            answer("outlet, a1 3.8 and a2 0.013, 6 mixed", outlet_c(collector(6))),
            answer("outlet, a1 and a2, infinitely many", endless_c(collector(1))),
        ],
        // A cell's loss at the mean of its inlet and outlet is another model.
        &["outlet, linear loss, 6 cells with Tm"],
    );
}

#[test]
fn limits_of_a_collector_that_stands() {
    let plant = plant(lossless(0.3, 1), Some(solar_loop(false, collector(6), OPEN_LOOP)));
    let mut state = State::new(&plant, 30.0);
    advance(&plant, &mut state, &sun(1000.0, 30.0), 86_400);
    let mut answers = vec![answer("stagnation temperature", state.collector_outlet_c(&plant))];
    for seconds in [600, 1800, 3600] {
        let mut state = State::new(&plant, 20.0);
        advance(&plant, &mut state, &sun(800.0, 20.0), seconds);
        let words = format!("collector without flow from 20 C, 800 W/m2, Ta 20 C, after {seconds} s");
        answers.push(answer(words, state.collector_outlet_c(&plant)));
    }
    check("L5", &answers, &[]);
}

/// A collector whose loss grows with the square of the difference, left alone under a clear sky that takes 30 W/m2: by hand
/// `C d' = -g + a2 d^2` below the air, so `d = -sqrt(g/a2) tanh(t sqrt(g a2)/C)`, and it never passes `-sqrt(g/a2)`.
#[test]
fn a_collector_that_the_night_sky_cools() {
    let spec = CollectorSpec {
        a1_w_m2_k: 0.0,
        a2_w_m2_k2: 0.3,
        a4_frac: 1.0,
        a5_j_m2_k: 4000.0,
        area_m2: 1.0,
        cells: 3,
        ..CollectorSpec::default()
    };
    let (sky_w_m2, least_k) = (30.0, -10.0);
    let plant = plant(lossless(HUGE_M3, 2), Some(solar_loop(false, spec, OPEN_LOOP)));
    let night = Conditions { net_sky_w_m2: -sky_w_m2, ..still(5.0) };
    let mut state = State::new(&plant, 5.0);
    for hour in 1..=6 {
        advance(&plant, &mut state, &night, 3600);
        let by_hand_k = least_k * (3600.0 * f64::from(hour) * (sky_w_m2 * 0.3_f64).sqrt() / 4000.0).tanh();
        let below_k = state.collector_outlet_c(&plant) - 5.0;
        // Steps of 1 K and less, of second order.
        assert!(
            (below_k - by_hand_k).abs() < 0.1 && below_k > least_k - 1e-9,
            "{hour} h: {below_k} {by_hand_k}"
        );
    }
}
