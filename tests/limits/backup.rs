//! Burner, heat pump and flow-through heater against closed forms.

use thermal_network::flows::{Conditions, Draw, Flows};
use thermal_network::spec::{
    BurnerSpec, ElementSpec, Energy, FlowHeaterSpec, HeatPumpSpec, MapSpec, Numerics, PlantSpec,
    PlumbingSpec, SensorSpec, SourceSpec, TankSpec,
};
use thermal_network::{Plant, State};

use super::plants::{HUGE_M3, advance, lossless, plant, still};

const WATER_J_M3_K: f64 = 990.0 * 4186.0;

/// Rounding of some hundred steps.
const ROUNDING: f64 = 1e-10;

fn close(found: f64, expected: f64, relative: f64) {
    assert!((found - expected).abs() <= relative * expected.abs(), "{found}, expected {expected}");
}

/// Heats from the bottom slice, never off before 200 degC.
fn heater(source: SourceSpec, power_w: f64) -> ElementSpec {
    ElementSpec {
        source,
        power_w,
        height_frac: 0.0,
        thermostat_frac: 0.0,
        set_c: 200.0,
        band_k: 1.0,
        sensor: SensorSpec::default(),
    }
}

const BURNER: BurnerSpec =
    BurnerSpec { efficiency_frac: 0.8, pilot_w: 120.0, pilot_to_water_frac: 0.4, flue_w_k: 3.0 };

fn tank(slices: usize, source: SourceSpec, power_w: f64) -> TankSpec {
    TankSpec { elements: vec![heater(source, power_w)], ..lossless(0.15, slices) }
}

#[test]
fn a_flue_cools_like_steady_surroundings() {
    for slices in [1, 30] {
        let burner = BurnerSpec { pilot_w: 0.0, ..BURNER };
        let plant = plant(tank(slices, SourceSpec::Burner(burner), 9000.0), None);
        let mut state = State::new(&plant, 60.0);
        let off = Conditions { elements_allowed: 0, ..still(0.0) };
        let flows = advance(&plant, &mut state, &off, 36 * 3600);
        // 40 K exp(-UA t/C), whatever the step.
        let left_k = 40.0 * (-3.0 * 36.0 * 3600.0 / (0.15 * WATER_J_M3_K)).exp();
        for slice_c in state.tank_c(&plant, 0) {
            close(slice_c - 20.0, left_k, ROUNDING);
        }
        close(flows.flue_j, (40.0 - left_k) * 0.15 * WATER_J_M3_K, ROUNDING);
        assert_eq!(flows.tank_loss_j[0], flows.flue_j);
        assert_eq!(flows.fuel_j, 0.0);
    }
}

#[test]
fn a_pilot_holds_what_flue_and_pilot_agree_on() {
    let plant = plant(tank(1, SourceSpec::Burner(BURNER), 9000.0), None);
    let mut state = State::new(&plant, 20.0);
    let off = Conditions { elements_allowed: 0, ..still(0.0) };
    advance(&plant, &mut state, &off, 100 * 86_400);
    let flows = advance(&plant, &mut state, &off, 86_400);
    // 120 W x 0.4 / 3 W/K above the room; pilot and flue take turns within an hour, which shows as 4e-3 of it.
    close(state.tank_c(&plant, 0)[0] - 20.0, 16.0, 1e-2);
    close(flows.flue_j, 48.0 * 86_400.0, 1e-6);
    close(flows.fuel_j, 120.0 * 86_400.0, ROUNDING);
}

#[test]
fn a_firing_burner_has_no_flue_loss() {
    let plant = plant(tank(1, SourceSpec::Burner(BURNER), 9000.0), None);
    let mut state = State::new(&plant, 20.0);
    // The thermostat first reads at the end of a step: let one second pass.
    advance(&plant, &mut state, &still(0.0), 1);
    let before_c = state.tank_c(&plant, 0)[0];
    let flows = advance(&plant, &mut state, &still(0.0), 1800);
    assert_eq!(flows.flue_j, 0.0);
    close(flows.burner_j[0], (9000.0 + 48.0) * 1800.0, ROUNDING);
    close(flows.fuel_j, (9000.0 / 0.8 + 120.0) * 1800.0, ROUNDING);
    close(state.tank_c(&plant, 0)[0] - before_c, 9048.0 * 1800.0 / (0.15 * WATER_J_M3_K), 1e-9);
}

const LEVEL: MapSpec =
    MapSpec { air_per_k: 0.0, air_per_k2: 0.0, water_per_k: 0.0, water_per_k2: 0.0, both_per_k2: 0.0 };

fn heat_pump(power_map: MapSpec, cop_map: MapSpec) -> SourceSpec {
    SourceSpec::HeatPump(HeatPumpSpec {
        condenser_top_frac: 1.0,
        cop: 3.0,
        power_map,
        cop_map,
        air_c: (5.0, 45.0),
    })
}

/// From 20 degC through four hours; returns start and end of the running time and its flows.
fn pumped(source: SourceSpec) -> (f64, f64, Flows) {
    let plant = plant(tank(1, source, 1500.0), None);
    let mut state = State::new(&plant, 20.0);
    advance(&plant, &mut state, &still(0.0), 1);
    let before_c = state.tank_c(&plant, 0)[0];
    let flows = advance(&plant, &mut state, &still(0.0), 4 * 3600);
    (before_c, state.tank_c(&plant, 0)[0], flows)
}

/// Power and COP are taken in the middle of steps of two minutes, some 0.3 K: (2 % of it)^2/24 over the COP's fall, squared too,
/// is 4e-6.
const MIDDLE: f64 = 1e-5;

#[test]
fn a_heat_pump_whose_power_falls_with_the_water() {
    let fall = MapSpec { water_per_k: -0.01, ..LEVEL };
    let (before_c, after_c, flows) = pumped(heat_pump(fall, LEVEL));
    // C dT/dt = P (1 - 0.01 (T - T0)) has the solution of a decay towards T0 + 100 K.
    let end_c = MapSpec::RATING_WATER_C + 100.0;
    let decay = (-0.01 * 1500.0 * 4.0 * 3600.0 / (0.15 * WATER_J_M3_K)).exp();
    close(end_c - after_c, (end_c - before_c) * decay, MIDDLE);
    close(flows.compressor_and_flow_j, flows.heat_pump_j[0] / 3.0, ROUNDING);
}

#[test]
fn a_heat_pump_whose_cop_falls_with_the_water() {
    let fall = MapSpec { water_per_k: -0.02, ..LEVEL };
    let (before_c, after_c, flows) = pumped(heat_pump(LEVEL, fall));
    // Electricity: C/(3 x 0.02) ln of the ratio of COPs at both ends.
    let cop = |water_c: f64| 1.0 - 0.02 * (water_c - MapSpec::RATING_WATER_C);
    let expected_j = 0.15 * WATER_J_M3_K / 0.06 * (cop(before_c) / cop(after_c)).ln();
    close(flows.compressor_and_flow_j, expected_j, MIDDLE);
    close(flows.heat_pump_j[0], 1500.0 * 4.0 * 3600.0, ROUNDING);
}

#[test]
fn a_heat_pump_rests_in_cold_air_and_its_element_does_not_wait() {
    let spec = TankSpec {
        elements: vec![heater(heat_pump(LEVEL, LEVEL), 1500.0), heater(SourceSpec::Electric, 2000.0)],
        interlock: true,
        ..lossless(0.15, 1)
    };
    let plant = plant(spec, None);
    for (room_c, heat_pump_w, element_w) in [(20.0, 1500.0, 0.0), (4.0, 0.0, 2000.0), (46.0, 0.0, 2000.0)] {
        let mut state = State::new(&plant, 20.0);
        let conditions = Conditions { tank_room_c: room_c, ..still(0.0) };
        advance(&plant, &mut state, &conditions, 1);
        let flows = advance(&plant, &mut state, &conditions, 3600);
        assert_eq!([flows.heat_pump_j[0], flows.element_j[0]], [heat_pump_w * 3600.0, element_w * 3600.0]);
    }
}

const FLOW_THROUGH: FlowHeaterSpec = FlowHeaterSpec {
    energy: Energy::Fuel,
    power_w: 20e3,
    least_w: 4e3,
    efficiency_frac: 0.8,
    set_c: 50.0,
    inlet_limit_c: Some(45.0),
    standby_w: 6.0,
};

/// Ten minutes of draw at 45 degC from a huge tank of some temperature, cold water at 10 degC.
fn drawn(heater: FlowHeaterSpec, tank_c: f64, flow_m3_s: f64) -> Flows {
    let spec = PlantSpec {
        solar_loop: None,
        tanks: vec![lossless(HUGE_M3, 1)],
        plumbing: PlumbingSpec::default(),
        flow_heater: Some(heater),
        numerics: Numerics::default(),
    };
    let plant = Plant::assemble(&spec).expect("a sound plant");
    let draw = Draw { flow_m3_s, use_c: 45.0, comfort: true, usable_c: 40.5 };
    let conditions = Conditions { cold_water_c: 10.0, draw, ..still(0.0) };
    advance(&plant, &mut State::new(&plant, tank_c), &conditions, 600)
}

#[test]
fn a_flow_through_heater_adds_what_is_missing() {
    let flow_m3_s = 1e-4;
    let tap_j_k = flow_m3_s * WATER_J_M3_K * 600.0;
    let load_j = tap_j_k * 35.0;
    // The valve mixes water of 50 degC: 35/40 of the flow passes, from 30 to 50 degC. The huge tank cools by nothing.
    let flows = drawn(FLOW_THROUGH, 30.0, flow_m3_s);
    close(flows.flow_heater_j, 35.0 / 40.0 * tap_j_k * 20.0, 1e-6);
    close(flows.fuel_j, flows.flow_heater_j / 0.8, ROUNDING);
    close(flows.compressor_and_flow_j, 6.0 * 600.0, ROUNDING);
    close(flows.delivered_j, load_j, 1e-6);
    assert!(
        flows.shortfall_j.abs() < 1e-6 * load_j && flows.shortfall_s == 0.0 && flows.cool_shower_s == 0.0
    );
    // Electric, it buys no fuel.
    let electric = drawn(FlowHeaterSpec { energy: Energy::Electricity, ..FLOW_THROUGH }, 30.0, flow_m3_s);
    assert_eq!(electric.fuel_j, 0.0);
    close(electric.compressor_and_flow_j, flows.flow_heater_j / 0.8 + 3600.0, ROUNDING);
}

#[test]
fn a_weak_flow_through_heater_gives_all_it_has() {
    let flow_m3_s = 2e-4;
    let tap_w_k = flow_m3_s * WATER_J_M3_K;
    // 829 W/K, water of 30 degC: 80 degC at half the flow would take 20.7 kW. A little more flow takes all 20 kW and is cooler.
    let flows = drawn(FlowHeaterSpec { set_c: 80.0, ..FLOW_THROUGH }, 30.0, flow_m3_s);
    close(flows.flow_heater_j, 20e3 * 600.0, 1e-6);
    close(flows.delivered_j, tap_w_k * 35.0 * 600.0, 1e-6);
    close(flows.drawn_j[0], flows.delivered_j - flows.flow_heater_j, 1e-6);
    // At 15 degC all of it passes and comes 5.9 K too cool.
    let flows = drawn(FLOW_THROUGH, 15.0, flow_m3_s);
    // A small difference of large numbers, while even the huge tank cools a little.
    close(flows.shortfall_j, (tap_w_k * 30.0 - 20e3) * 600.0, 1e-5);
    close(flows.shortfall_s, 600.0, ROUNDING);
}

#[test]
fn a_flow_through_heater_that_does_not_light() {
    let flow_m3_s = 1e-4;
    // 46 degC: above its limit of 45, though below its set point. The tank alone serves, mixed with cold water.
    let hot = drawn(FLOW_THROUGH, 46.0, flow_m3_s);
    assert_eq!((hot.flow_heater_j, hot.fuel_j), (0.0, 0.0));
    close(hot.delivered_j, flow_m3_s * WATER_J_M3_K * 35.0 * 600.0, 1e-6);
    // 44 degC: 35/40 x 414 W/K x 6 K are 2.2 kW, less than its smallest fire; 1 K is missing at the tap.
    let small = drawn(FLOW_THROUGH, 44.0, flow_m3_s);
    assert_eq!(small.flow_heater_j, 0.0);
    close(small.shortfall_j, flow_m3_s * WATER_J_M3_K * 600.0, 1e-4);
    close(small.shortfall_s, 600.0, ROUNDING);
    // With a smaller smallest fire it lights.
    let lit = drawn(FlowHeaterSpec { least_w: 1e3, ..FLOW_THROUGH }, 44.0, flow_m3_s);
    assert!(lit.flow_heater_j > 0.0 && lit.shortfall_s == 0.0);
}
