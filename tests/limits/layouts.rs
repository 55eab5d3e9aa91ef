//! What joins two tanks to each other and to the house, part by part, against closed forms.

use std::f64::consts::PI;

use thermal_network::flows::{Conditions, Draw, Flows, Orders};
use thermal_network::spec::{
    Around, BypassSpec, Energy, FlowHeaterSpec, InletMixingSpec, Numerics, PlantSpec, PlumbingSpec,
    RecirculationSpec, Surroundings, TankSpec, TransferSpec, WaterPipeSpec, WaterPumpSpec,
};
use thermal_network::{Plant, State};

use super::plants::{HUGE_M3, advance, lossless, still};

/// Heat capacity of the tests' water in J/(m3 K).
const WATER_J_M3_K: f64 = 990.0 * 4186.0;

fn plant(tanks: Vec<TankSpec>, plumbing: PlumbingSpec) -> Plant {
    let numerics = Numerics::default();
    Plant::assemble(&PlantSpec { solar_loop: None, tanks, plumbing, flow_heater: None, numerics })
        .expect("a sound plant")
}

/// 3/4 in tube with 1/2 in of foam in a room of 20 degC.
fn pipe(length_m: f64) -> WaterPipeSpec {
    WaterPipeSpec {
        length_m,
        around: Around::Space(Surroundings::TankRoom),
        bore_m: 0.0206,
        tube_outer_m: 0.02222,
        insulation_m: 0.0127,
        insulation_w_m_k: 0.04,
        wall_capacity_j_m_k: 188.0,
        outer_film_w_m2_k: None,
    }
}

/// Loss of that pipe in W/(m K), by hand: insulation ln(47.62/22.22)/(2 pi 0.04), film 10 W/(m2 K) on 47.62 mm.
fn loss_w_m_k() -> f64 {
    let insulation_m_k_w = (0.04762_f64 / 0.02222).ln() / (2.0 * PI * 0.04);
    1.0 / (insulation_m_k_w + 1.0 / (PI * 0.04762 * 10.0))
}

/// Content of that pipe in J/(m K): water and wall.
fn content_j_m_k() -> f64 {
    PI / 4.0 * 0.0206 * 0.0206 * WATER_J_M3_K + 188.0
}

fn pump(flow_m3_s: f64) -> WaterPumpSpec {
    WaterPumpSpec { flow_m3_s, power_w: 30.0, heat_to_water_frac: 0.0 }
}

/// All hot water the tanks have: wanted hotter than they are.
fn draw(flow_m3_s: f64) -> Conditions {
    let draw = Draw { flow_m3_s, use_c: 90.0, comfort: false, usable_c: 40.5 };
    Conditions { draw, ..still(20.0) }
}

fn between(length_m: f64) -> PlumbingSpec {
    PlumbingSpec { between: Some(pipe(length_m)), ..PlumbingSpec::default() }
}

#[test]
fn the_slug_between_the_tanks_has_cooled_when_it_is_drawn() {
    let length_m = 6.0;
    // Tanks that hold their temperature whatever passes: first at 60, second at 40 degC.
    let plant = plant(vec![lossless(HUGE_M3, 10), lossless(HUGE_M3, 10)], between(length_m));
    let mut state = State::new(&plant, 60.0);
    state.set_tank_c(&plant, 1, &[40.0; 10]);
    // Two hours at rest: what stands in the pipe relaxes towards the room with C'/U'.
    let rest = advance(&plant, &mut state, &still(20.0), 7200);
    let kept = (-loss_w_m_k() / content_j_m_k() * 7200.0).exp();
    let content_j_k = content_j_m_k() * length_m;
    let lost_j = content_j_k * 40.0 * (1.0 - kept);
    assert!((rest.plumbing.between_loss_j / lost_j - 1.0).abs() < 1e-12, "{rest:?}");
    // A short draw of half the pipe's content brings that cooled slug to the second tank; in its 10 s the pipe loses on, which
    // is 0.2 % of the content's difference.
    let flow_m3_s = 0.5 * content_j_k / WATER_J_M3_K / 10.0;
    let first = advance(&plant, &mut state, &draw(flow_m3_s), 10);
    let slug_c = 20.0 + 40.0 * kept;
    let arrived_c = 60.0 - first.plumbing.between_gain_j / (0.5 * content_j_k);
    assert!((arrived_c - slug_c).abs() < 0.002 * 40.0, "{arrived_c} {slug_c}");
    // As much again brings the rest; then water of the first tank arrives.
    advance(&plant, &mut state, &draw(flow_m3_s), 10);
    let third = advance(&plant, &mut state, &draw(flow_m3_s), 10);
    let arrived_c = 60.0 - third.plumbing.between_gain_j / (0.5 * content_j_k);
    assert!((arrived_c - 60.0).abs() < 0.005 * 40.0, "{arrived_c}");
}

#[test]
fn water_running_through_the_pipe_between_loses_what_its_way_takes() {
    let length_m = 30.0;
    let plant = plant(vec![lossless(HUGE_M3, 10), lossless(HUGE_M3, 10)], between(length_m));
    let mut state = State::new(&plant, 60.0);
    let flow_m3_s = 2e-5;
    let flow_w_k = flow_m3_s * WATER_J_M3_K;
    advance(&plant, &mut state, &draw(flow_m3_s), 7200);
    let steady = advance(&plant, &mut state, &draw(flow_m3_s), 3600);
    // Plug flow: T falls by exp(-U' L/(m cp)) towards the room.
    let loss_w = flow_w_k * 40.0 * (1.0 - (-loss_w_m_k() * length_m / flow_w_k).exp());
    let found_w = steady.plumbing.between_loss_j / 3600.0;
    // The pipe's 7,000 s of C'/U' against steps of some minutes, second order.
    assert!((found_w / loss_w - 1.0).abs() < 2e-3, "{found_w} {loss_w}");
}

/// A loop that comes back half-way up the last tank.
fn loop_of(length_m: f64, flow_m3_s: f64, return_tank: usize) -> PlumbingSpec {
    let recirculation = Some(RecirculationSpec {
        pipe: pipe(length_m),
        pump: pump(flow_m3_s),
        return_tank,
        return_frac: 0.5,
    });
    PlumbingSpec { recirculation, ..PlumbingSpec::default() }
}

fn running() -> Conditions {
    Conditions { orders: Orders { recirculates: true, bypassed: false }, ..still(20.0) }
}

#[test]
fn a_recirculation_loop_at_steady_temperature() {
    let (length_m, flow_m3_s) = (40.0, 6e-5);
    let plant = plant(vec![lossless(HUGE_M3, 10)], loop_of(length_m, flow_m3_s, 0));
    let mut state = State::new(&plant, 60.0);
    advance(&plant, &mut state, &running(), 3600);
    let hour = advance(&plant, &mut state, &running(), 3600);
    let flow_w_k = flow_m3_s * WATER_J_M3_K;
    let loss_w = flow_w_k * 40.0 * (1.0 - (-loss_w_m_k() * length_m / flow_w_k).exp());
    // Steps of a minute against a way round of 220 s: what cools is a mean over slugs, good to some 1e-4.
    assert!((hour.plumbing.recirculation_loss_j / 3600.0 / loss_w - 1.0).abs() < 1e-3, "{hour:?} {loss_w}");
    // What the tank gives is what the loop loses, to what its content changes within the minute.
    assert!((hour.plumbing.circulated_j[0] / 3600.0 / loss_w - 1.0).abs() < 2e-3, "{hour:?} {loss_w}");
    assert_eq!(hour.plumbing.recirculation_pump_j, 30.0 * 3600.0);
    // Standing, its content relaxes.
    let before = advance(&plant, &mut state, &still(20.0), 1).plumbing.recirculation_loss_j;
    let later = advance(&plant, &mut state, &still(20.0), 7200);
    let after = advance(&plant, &mut state, &still(20.0), 1).plumbing.recirculation_loss_j;
    let kept = (-loss_w_m_k() / content_j_m_k() * 7201.0).exp();
    assert!((after / before / kept - 1.0).abs() < 1e-9, "{before} {after} {kept}");
    assert_eq!((later.plumbing.recirculation_pump_j, later.plumbing.circulated_j[0]), (0.0, 0.0));
}

#[test]
fn a_flow_through_heater_warms_the_loop() {
    let heated = |least_w| {
        let plant = Plant::assemble(&PlantSpec {
            solar_loop: None,
            tanks: vec![lossless(0.005, 1)],
            plumbing: loop_of(40.0, 6e-5, 0),
            flow_heater: Some(FlowHeaterSpec {
                energy: Energy::Fuel,
                power_w: 24_000.0,
                least_w,
                efficiency_frac: 0.8,
                set_c: 50.0,
                inlet_limit_c: None,
                standby_w: 0.0,
            }),
            numerics: Numerics::default(),
        })
        .expect("a sound plant");
        let mut state = State::new(&plant, 20.0);
        advance(&plant, &mut state, &running(), 86_400);
        advance(&plant, &mut state, &running(), 86_400)
    };
    let flow_w_k = 6e-5 * WATER_J_M3_K;
    let loss_w = |above_k: f64| flow_w_k * above_k * (1.0 - (-loss_w_m_k() * 40.0 / flow_w_k).exp());
    // Sent out at the set point, 30 K above the room, all the time.
    let day = heated(0.0);
    assert!((day.flow_heater_j / 86_400.0 / loss_w(30.0) - 1.0).abs() < 1e-3, "{day:?}");
    assert!((day.fuel_j * 0.8 / day.flow_heater_j - 1.0).abs() < 1e-12, "{day:?}");
    // A heater whose least fire lifts the flow by 10 K waits until the loop comes back at 40 degC: in between.
    let day = heated(10.0 * flow_w_k);
    let mean_w = day.flow_heater_j / 86_400.0;
    assert!((loss_w(20.0)..loss_w(30.0)).contains(&mean_w), "{mean_w} W");
}

#[test]
fn a_loop_back_to_the_first_tank_passes_both() {
    let plant = plant(
        vec![lossless(0.3, 10), lossless(0.2, 10)],
        PlumbingSpec { between: Some(pipe(2.0)), ..loop_of(40.0, 6e-5, 0) },
    );
    let mut state = State::new(&plant, 30.0);
    state.set_tank_c(&plant, 1, &[60.0; 10]);
    let day = advance(&plant, &mut state, &running(), 86_400);
    // What the heater gave warmed the first tank and the pipes.
    assert!(day.plumbing.circulated_j[0] < 0.0 && day.plumbing.circulated_j[1] > 0.0, "{day:?}");
    // After 26 turnovers both tanks differ by less than the pipes cool the water.
    let apart_k = state.tank_c(&plant, 1)[0] - state.tank_c(&plant, 0)[9];
    assert!(apart_k.abs() < 1.0, "{apart_k}");
    // With the second tank cut off, a loop that comes back to it stands still; its pump goes on.
    let cut = PlumbingSpec {
        bypass: Some(BypassSpec { opens_c: f64::INFINITY, band_k: 0.0 }),
        ..loop_of(40.0, 6e-5, 1)
    };
    let plant = self::plant(vec![lossless(0.3, 10), lossless(0.2, 10)], cut);
    let mut state = State::new(&plant, 60.0);
    let turned = Conditions { orders: Orders { recirculates: true, bypassed: true }, ..still(20.0) };
    let hour = advance(&plant, &mut state, &turned, 3600);
    assert_eq!(hour.plumbing.circulated_j, [0.0; 2]);
    assert_eq!(hour.plumbing.recirculation_pump_j, 30.0 * 3600.0);
}

#[test]
fn a_bypass_sends_the_first_tanks_water_to_the_house() {
    let by_hand = BypassSpec { opens_c: f64::INFINITY, band_k: 0.0 };
    let by_itself = BypassSpec { opens_c: 55.0, band_k: 5.0 };
    let hand = Conditions { orders: Orders { recirculates: false, bypassed: true }, ..draw(1e-4) };
    let flow_w_k = 1e-4 * WATER_J_M3_K;
    for (bypass, conditions, first_c, house_c) in [
        (by_hand, hand, 50.0, 50.0),
        (by_hand, draw(1e-4), 50.0, 70.0),
        (by_itself, draw(1e-4), 50.0, 70.0),
        (by_itself, draw(1e-4), 56.0, 56.0),
    ] {
        let plumbing = PlumbingSpec { bypass: Some(bypass), ..PlumbingSpec::default() };
        let plant = plant(vec![lossless(HUGE_M3, 10), lossless(HUGE_M3, 10)], plumbing);
        let mut state = State::new(&plant, first_c);
        state.set_tank_c(&plant, 1, &[70.0; 10]);
        let flows = advance(&plant, &mut state, &conditions, 600);
        // Cold water at 15 degC.
        let delivered_c = 15.0 + flows.delivered_j / (flow_w_k * 600.0);
        assert!((delivered_c - house_c).abs() < 1e-6, "{bypass:?}: {delivered_c} {house_c}");
        assert_eq!(flows.drawn_j[1] == 0.0, house_c == first_c);
    }
}

#[test]
fn a_bypass_that_turns_by_itself_keeps_its_band() {
    let plumbing =
        PlumbingSpec { bypass: Some(BypassSpec { opens_c: 55.0, band_k: 5.0 }), ..PlumbingSpec::default() };
    // One slice each: 56 degC falls through 50 degC as 15 degC comes in, exp(-V/V0) = 35/41.
    let plant = plant(vec![lossless(0.3, 1), lossless(HUGE_M3, 1)], plumbing);
    let mut state = State::new(&plant, 56.0);
    state.set_tank_c(&plant, 1, &[70.0]);
    let volume_m3 = 0.3 * (41.0_f64 / 35.0).ln();
    let hour = advance(&plant, &mut state, &draw(2.0 * volume_m3 / 3600.0), 3600);
    let past_m3 = hour.drawn_j[1] / WATER_J_M3_K;
    // After the valve has turned the second tank gives all it adds to the first's water, some 20 K and more: half the draw.
    let mean_k = past_m3 / volume_m3;
    assert!((20.0..27.0).contains(&mean_k), "{mean_k}");
}

fn transfer(limit_c: f64) -> PlumbingSpec {
    let transfer = Some(TransferSpec {
        pump: pump(1e-4),
        on_k: 6.0,
        off_k: 0.05,
        limit_c,
        take_frac: 1.0,
        give_frac: 0.5,
        back_from_frac: 0.0,
        back_to_frac: 0.0,
    });
    PlumbingSpec { transfer, ..PlumbingSpec::default() }
}

#[test]
fn a_transfer_pump_brings_two_tanks_to_one_temperature() {
    // Fully mixed tanks.
    let plant = plant(vec![lossless(0.3, 1), lossless(0.2, 1)], transfer(f64::INFINITY));
    let mut state = State::new(&plant, 60.0);
    state.set_tank_c(&plant, 1, &[30.0]);
    let day = advance(&plant, &mut state, &still(20.0), 86_400);
    // Energy conserved: (0.3 x 60 + 0.2 x 30)/0.5 = 48 degC in the mean, and what moved is 0.2 m3 x 18 K. The pump stops
    // 0.05 K early, of which the second tank lacks 0.03 K.
    let moved = day.plumbing.transferred_j / (0.2 * WATER_J_M3_K * 18.0);
    assert!((moved - 1.0).abs() < 0.002, "{moved}");
    for c in state.tank_c(&plant, 0).iter().chain(state.tank_c(&plant, 1)) {
        assert!((c - 48.0).abs() < 0.04, "{c}");
    }
    // The difference falls by exp(-q (1/V1 + 1/V2) t) from 30 to 0.05 K; the pump stops at the end of a step of a minute, and
    // the passes within it are good to some parts in a thousand.
    let running_s = (30.0_f64 / 0.05).ln() / (1e-4 * (1.0 / 0.3 + 1.0 / 0.2));
    let ran_s = day.plumbing.transfer_pump_j / 30.0;
    assert!((ran_s - running_s).abs() < 60.0 + 0.005 * running_s, "{ran_s} {running_s}");
}

#[test]
fn a_transfer_pump_rests_below_its_difference_and_at_its_limit() {
    for (second_c, limit_c) in [(55.0, f64::INFINITY), (45.0, 44.0)] {
        let plant = plant(vec![lossless(0.3, 15), lossless(0.2, 10)], transfer(limit_c));
        let mut state = State::new(&plant, 60.0);
        state.set_tank_c(&plant, 1, &[second_c; 10]);
        let hours = advance(&plant, &mut state, &still(20.0), 7200);
        assert_eq!(hours.plumbing, Flows::new().plumbing);
    }
}

#[test]
fn a_draw_stirs_no_slice_or_all_of_them() {
    let outlets_c = [None, Some(0.2), Some(0.001)].map(|bore_m| {
        let mixing = bore_m.map(|bore_m| InletMixingSpec { bore_m });
        let plumbing = PlumbingSpec { inlet_mixing: [mixing, None], ..PlumbingSpec::default() };
        let plant = plant(vec![lossless(0.3, 20)], plumbing);
        let mut state = State::new(&plant, 60.0);
        // Half the tank in half an hour.
        advance(&plant, &mut state, &draw(0.15 / 1800.0), 1800);
        state.tank_c(&plant, 0).to_vec()
    });
    // A port of 20 cm lets a draw creep in: as good as none. A jet through 1 mm mixes all of the tank, which then cools like a
    // single slice: 15 + 45 exp(-1/2).
    for (creeping_c, still_c) in outlets_c[1].iter().zip(&outlets_c[0]) {
        // Water within 0.5 K of the incoming is so little lighter that even a creeping flow lifts itself by a slice.
        assert!((creeping_c - still_c).abs() < 0.5, "{creeping_c} {still_c}");
    }
    let mixed_c = 15.0 + 45.0 * (-0.5_f64).exp();
    for c in &outlets_c[2] {
        // The pass lets the outlet go before its water mixes: half a pass of a fortieth of the tank.
        assert!((c - mixed_c).abs() < 0.5, "{c} {mixed_c}");
    }
}

#[test]
fn pipe_work_that_cannot_be_is_refused() {
    let faults = |tanks: usize, plumbing: PlumbingSpec| {
        let spec = PlantSpec {
            solar_loop: None,
            tanks: vec![lossless(0.3, 10); tanks],
            plumbing,
            flow_heater: None,
            numerics: Numerics::default(),
        };
        Plant::assemble(&spec).err().unwrap_or_default().iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    assert_eq!(faults(1, between(3.0)), ["pipe between the tanks: needs two tanks"]);
    assert_eq!(faults(2, between(0.0)), ["pipe between the tanks: length must be above zero, is 0"]);
    assert_eq!(faults(1, transfer(60.0)), ["transfer pump: needs two tanks"]);
    assert_eq!(
        faults(1, loop_of(40.0, 0.0, 1)),
        [
            "recirculation loop: flow of the pump must be above zero, is 0",
            "recirculation loop: comes back to tank 2, which is not there"
        ]
    );
    let mixing = InletMixingSpec { bore_m: 0.02 };
    let plumbing = PlumbingSpec { inlet_mixing: [None, Some(mixing)], ..PlumbingSpec::default() };
    assert_eq!(faults(1, plumbing), ["inlet of tank 2: its tank is not there"]);
}
