//! Single components against closed-form answers, through the public interface of `thermal-network`.
//!
//! Expected values and tolerances come from `tests/data/annual/limits.csv`, found by the words of their row.

use std::path::Path;

use approx::assert_abs_diff_eq;
use solar_geometry::sky::{SkyInput, SkyModel, beam_on_plane_w_m2, ground_reflected_w_m2};
use solar_geometry::surface::{Plane, cos_incidence};
use suncask::draws::cold::{AirClimate, cold_water_by_day};
use suncask::job::ColdWater;
use suncask::record::Column;
use thermal_network::flows::{Conditions, Draw, Flows};
use thermal_network::fluid::Fluid;
use thermal_network::spec::{
    CoilInlet, CollectorSpec, ControllerSpec, ElementSpec, ExchangerSpec, LoopSpec, Numerics, PipeRunSpec,
    PlantSpec, PumpFlow, PumpSpec, SensorSpec, Surroundings, TankSpec,
};
use thermal_network::{Contents, Misfit, Plant, Scratch, State, counterflow_effectiveness, hot_share};

/// Value of the row of a test whose quantity holds all the words and ends with the last of them, or just holds them where
/// no row ends so.
fn limit(test: &str, words: &[&str]) -> f64 {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/annual/limits.csv");
    let mut reader = csv::Reader::from_path(path).expect("limits");
    let rows: Vec<csv::StringRecord> = reader.records().map(|row| row.expect("row")).collect();
    let mut found: Vec<&csv::StringRecord> =
        rows.iter().filter(|row| &row[0] == test && words.iter().all(|word| row[1].contains(word))).collect();
    // "day 1" is also the beginning of "day 100".
    if found.iter().any(|row| words.last().is_some_and(|word| row[1].ends_with(word))) {
        found.retain(|row| words.last().is_some_and(|word| row[1].ends_with(word)));
    }
    assert_eq!(found.len(), 1, "{test} {words:?}");
    found[0][2].parse().expect("value")
}

/// The tank of the reference cases without its element.
fn tank(slices: usize) -> TankSpec {
    TankSpec {
        volume_m3: 0.3,
        height_m: 1.45,
        slices,
        water_kg_m3: 990.0,
        water_j_kg_k: 4186.0,
        side_w_m2_k: 0.55,
        top_w_m2_k: 0.6,
        bottom_w_m2_k: 0.6,
        fittings_even_w_k: 0.6,
        fittings: Vec::new(),
        conduction_w_m_k: 0.9,
        surroundings: Surroundings::TankRoom,
        cold_inlet_frac: 0.0,
        hot_outlet_frac: 1.0,
        elements: Vec::new(),
        interlock: false,
    }
}

fn lossless(slices: usize) -> TankSpec {
    TankSpec {
        side_w_m2_k: 0.0,
        top_w_m2_k: 0.0,
        bottom_w_m2_k: 0.0,
        fittings_even_w_k: 0.0,
        conduction_w_m_k: 0.0,
        ..tank(slices)
    }
}

/// A loop whose pump starts at `on_k`, with the collector of the reference cases.
fn solar_loop(on_k: f64) -> LoopSpec {
    LoopSpec {
        collector: CollectorSpec {
            area_m2: 5.95,
            eta0b: 0.72,
            a1_w_m2_k: 3.8,
            a2_w_m2_k2: 0.013,
            a5_j_m2_k: 8000.0,
            ..CollectorSpec::default()
        },
        fluid: Fluid::Constant { density_kg_m3: 1030.0, specific_heat_j_kg_k: 3700.0 },
        pump: PumpSpec { flow: PumpFlow::MassKgS(0.07), power_w: 45.0, heat_to_fluid_frac: 0.0 },
        supply: Vec::new(),
        ret: Vec::new(),
        exchanger: ExchangerSpec::Coil {
            bottom_frac: 0.02,
            top_frac: 0.5,
            ua_w_k: 420.0,
            inlet: CoilInlet::Top,
        },
        controller: ControllerSpec {
            on_k,
            off_k: on_k - 5.0,
            high_limit_c: 95.0,
            high_limit_reset_k: 3.0,
            collector_limit_c: None,
            collector_limit_reset_k: 0.0,
            sensor_height_frac: 0.1,
            tank_sensor: SensorSpec::default(),
            collector_sensor: SensorSpec::default(),
            interval_s: 60,
            min_on_s: 0,
            min_off_s: 0,
        },
    }
}

fn plant(tank: TankSpec, solar_loop: Option<LoopSpec>) -> Plant {
    let spec = PlantSpec { solar_loop, tanks: vec![tank], numerics: Numerics::default() };
    Plant::assemble(&spec).expect("a sound plant")
}

fn still(air_c: f64) -> Conditions {
    Conditions {
        effective_w_m2: 0.0,
        plane_w_m2: 0.0,
        air_c,
        wind_m_s: 3.0,
        net_sky_w_m2: 0.0,
        tank_room_c: 20.0,
        second_tank_room_c: 20.0,
        other_space_c: 20.0,
        cold_water_c: 15.0,
        draw: Draw::default(),
        elements_allowed: u32::MAX,
    }
}

/// Advances and checks that the first law closed on the way, to rounding of the heat content.
fn advance(plant: &Plant, state: &mut State, conditions: &Conditions, seconds: u32) -> Flows {
    let before = Contents::of(plant, state);
    let mut flows = Flows::new();
    plant.advance(state, &mut Scratch::new(plant), conditions, seconds, &mut flows, |_, _, _| {});
    let misfit = Misfit::of(&before, &Contents::of(plant, state), &flows);
    assert!(misfit.largest_j() <= 1e-11 * before.total_j().abs().max(1e6), "{misfit:?}");
    flows
}

fn mean_c(slices_c: &[f64]) -> f64 {
    slices_c.iter().sum::<f64>() / slices_c.len() as f64
}

#[test]
fn limits_a_tank_cools() {
    for (slices, hours, words, tolerance_k) in [
        (1, 24, ["one-slice", "after 24 h"], 0.01),
        (1, 168, ["one-slice", "after 168 h"], 0.01),
        (30, 24, ["mean", "after 24 h"], 0.05),
        (30, 168, ["mean", "after 168 h"], 0.05),
    ] {
        let plant = plant(tank(slices), None);
        let mut state = State::new(&plant, 60.0);
        advance(&plant, &mut state, &still(0.0), hours * 3600);
        assert_abs_diff_eq!(mean_c(state.tank_c(&plant, 0)), limit("L3", &words), epsilon = tolerance_k);
        if slices > 1 {
            let after = format!("after {hours} h");
            let slices_c = state.tank_c(&plant, 0);
            assert_abs_diff_eq!(slices_c[0], limit("L3", &["bottom slice", &after]), epsilon = 0.1);
            assert_abs_diff_eq!(slices_c[slices - 1], limit("L3", &["top slice", &after]), epsilon = 0.1);
        }
    }
}

#[test]
fn limits_a_standing_collector_warms_and_stagnates() {
    let plant = plant(tank(30), Some(solar_loop(1000.0)));
    for seconds in [600, 1800, 3600] {
        let mut state = State::new(&plant, 20.0);
        let sun = Conditions { effective_w_m2: 800.0, plane_w_m2: 800.0, ..still(20.0) };
        advance(&plant, &mut state, &sun, seconds);
        let expected_c = limit("L5", &[&format!("after {seconds} s")]);
        assert_abs_diff_eq!(state.collector_outlet_c(&plant), expected_c, epsilon = 0.02);
    }
    let mut state = State::new(&plant, 30.0);
    let sun = Conditions { effective_w_m2: 1000.0, plane_w_m2: 1000.0, ..still(30.0) };
    advance(&plant, &mut state, &sun, 86_400);
    assert_abs_diff_eq!(state.collector_outlet_c(&plant), limit("L5", &["stagnation"]), epsilon = 0.05);
}

#[test]
fn limits_a_plate_exchanger() {
    let effectiveness = counterflow_effectiveness(900.0, 259.0, 251.16);
    assert_abs_diff_eq!(effectiveness, limit("L7", &["plate effectiveness"]), epsilon = 1e-6);
    // Equal flows: N/(1 + N).
    assert_abs_diff_eq!(counterflow_effectiveness(518.0, 259.0, 259.0), 2.0 / 3.0, epsilon = 1e-9);
}

#[test]
fn limits_a_heater_warms_a_tank() {
    let heater = ElementSpec {
        power_w: 1500.0,
        height_frac: 0.0,
        thermostat_frac: 0.0,
        set_c: 200.0,
        band_k: 1.0,
        sensor: SensorSpec::default(),
    };
    let plant = plant(TankSpec { elements: vec![heater], ..tank(1) }, None);
    for hours in [4, 12] {
        let mut state = State::new(&plant, 20.0);
        // The thermostat first reads at the end of a step: let one second pass.
        advance(&plant, &mut state, &still(0.0), 1);
        advance(&plant, &mut state, &still(0.0), hours * 3600);
        let expected_c = limit("L8", &["heater 1500 W", &format!("after {hours} h")]);
        assert_abs_diff_eq!(state.tank_c(&plant, 0)[0], expected_c, epsilon = 0.01);
    }
}

#[test]
fn limits_a_draw_passes_the_slices() {
    for slices in [10, 30] {
        for volumes in ["0.5", "0.8", "1.0", "1.2"] {
            let plant = plant(lossless(slices), None);
            let mut state = State::new(&plant, 60.0);
            // Far above the tank's own temperature, so that all the flow comes from the tank.
            let draw = Draw { flow_m3_s: 0.3 / 3600.0, use_c: 99.0, comfort: false, usable_c: 40.0 };
            let share: f64 = volumes.parse().expect("number");
            let conditions = Conditions { draw, ..still(0.0) };
            advance(&plant, &mut state, &conditions, (share * 3600.0) as u32);
            let words = [&format!("{slices} slices, no loss")[..], &format!("after {volumes} store volumes")];
            let outlet_c = state.tank_c(&plant, 0)[slices - 1];
            assert_abs_diff_eq!(outlet_c, limit("L10", &words), epsilon = 0.05);
        }
    }
}

#[test]
fn limits_a_mixing_valve() {
    let hot_l_min = 10.0 * hot_share(48.8889, 60.0, 16.0);
    assert_abs_diff_eq!(hot_l_min, limit("L11", &["hot flow for 10 L/min"]), epsilon = 1e-6);
    assert_abs_diff_eq!(10.0 * hot_share(48.8889, 45.0, 16.0), 10.0, epsilon = 0.0);
    // One second leaves even the cooler tank at its temperature to 1e-4 K: parts in a million of the power.
    for (start_c, missing_w) in [(60.0, 0.0), (45.0, limit("L11", &["shortfall power"]))] {
        let plant = plant(lossless(30), None);
        let draw = Draw { flow_m3_s: 0.01 / 60.0, use_c: 48.8889, comfort: false, usable_c: 40.0 };
        let conditions = Conditions { draw, cold_water_c: 16.0, ..still(0.0) };
        let flows = advance(&plant, &mut State::new(&plant, start_c), &conditions, 1);
        let wanted_w = limit("L11", &["power delivered"]);
        assert_abs_diff_eq!(flows.load_j, wanted_w, epsilon = 0.01);
        assert_abs_diff_eq!(flows.delivered_j, wanted_w - missing_w, epsilon = 0.1);
        assert_abs_diff_eq!(flows.shortfall_j, missing_w, epsilon = 0.1);
    }
}

/// Twelve metres of the reference cases' pipe, in the room.
fn pipe() -> PipeRunSpec {
    PipeRunSpec {
        length_m: 12.0,
        surroundings: Surroundings::TankRoom,
        bore_m: 0.0169,
        tube_outer_m: 0.019_05,
        insulation_m: 0.019,
        insulation_w_m_k: 0.04,
        wall_capacity_j_m_k: 340.0,
        inner_film_w_m2_k: Some(1500.0),
        outer_film_w_m2_k: Some(10.0),
    }
}

/// A tank too large to change, whose water runs through the collector at 259 W/K.
fn endless(collector: CollectorSpec, supply: Vec<PipeRunSpec>) -> Plant {
    let water = Fluid::Constant { density_kg_m3: 990.0, specific_heat_j_kg_k: 4186.0 };
    let pump = PumpSpec { flow: PumpFlow::MassKgS(259.0 / 4186.0), power_w: 45.0, heat_to_fluid_frac: 0.0 };
    let exchanger = ExchangerSpec::OpenLoop { draw_from_frac: 0.0, return_to_frac: 1.0 };
    let solar_loop = LoopSpec { collector, fluid: water, pump, supply, exchanger, ..solar_loop(6.0) };
    plant(TankSpec { volume_m3: 1e5, ..lossless(1) }, Some(solar_loop))
}

#[test]
fn limits_a_collector_warms_its_flow() {
    for (cells, a2_w_m2_k2, words) in [
        (1, 0.0, "linear loss, 1 mixed"),
        (6, 0.0, "linear loss, 6 mixed"),
        (24, 0.0, "linear loss, 24 mixed"),
        (6, 0.013, "a2 0.013, 6 mixed"),
    ] {
        let plant = endless(CollectorSpec { cells, a2_w_m2_k2, ..solar_loop(6.0).collector }, Vec::new());
        let mut state = State::new(&plant, 40.0);
        let sun = Conditions { effective_w_m2: 800.0, plane_w_m2: 800.0, ..still(15.0) };
        advance(&plant, &mut state, &sun, 2 * 3600);
        assert!(state.pump_on());
        assert_abs_diff_eq!(state.collector_outlet_c(&plant), limit("L4", &[words]), epsilon = 0.01);
    }
}

#[test]
fn limits_a_pipe_loses_heat() {
    let running = endless(solar_loop(6.0).collector, vec![pipe()]);
    let mut state = State::new(&running, 60.0);
    let sun = Conditions { effective_w_m2: 1000.0, plane_w_m2: 1000.0, ..still(30.0) };
    advance(&running, &mut state, &sun, 2 * 3600);
    let flows = advance(&running, &mut state, &sun, 3600);
    assert_abs_diff_eq!(flows.pump_s, 3600.0, epsilon = 1e-6);
    let loss_w = flows.supply_loss_j / 3600.0;
    assert_abs_diff_eq!(60.0 - loss_w / 259.0, limit("L6", &["steady outlet"]), epsilon = 0.005);
    // The same 0.005 K as heat.
    assert_abs_diff_eq!(loss_w, limit("L6", &["heat lost"]), epsilon = 0.005 * 259.0);

    let resting = plant(tank(30), Some(LoopSpec { supply: vec![pipe()], ..solar_loop(1000.0) }));
    let mut state = State::new(&resting, 60.0);
    let warm_j = Contents::of(&resting, &state).pipes_j;
    advance(&resting, &mut state, &still(20.0), 3600);
    let left_c = 60.0 * Contents::of(&resting, &state).pipes_j / warm_j;
    // The row has no tolerance; an exponential should come out to well below a hundredth.
    assert_abs_diff_eq!(left_c, limit("L6", &["standing", "after 1 h"]), epsilon = 0.01);
}

#[test]
fn limits_warm_water_rises() {
    for (set, slices_c) in [
        ("set 1:", [20.0, 30.0, 60.0, 50.0, 40.0, 70.0]),
        ("set 2:", [40.0, 60.0, 50.0, 30.0, 45.0, 70.0]),
        ("set 3:", [70.0, 60.0, 50.0, 40.0, 30.0, 20.0]),
        ("set 4:", [20.0, 50.0, 30.0, 45.0, 25.0, 60.0]),
    ] {
        let plant = plant(lossless(6), None);
        let mut state = State::new(&plant, 20.0);
        state.set_tank_c(&plant, 0, &slices_c);
        advance(&plant, &mut state, &still(20.0), 1);
        for (i, &found_c) in state.tank_c(&plant, 0).iter().enumerate() {
            let expected_c = limit("L9", &[set, &format!("slice {}", i + 1)]);
            assert_abs_diff_eq!(found_c, expected_c, epsilon = 1e-9);
        }
    }
}

#[test]
fn limits_cold_water_and_load_of_a_year() {
    let water = ColdWater::Cosine { mean_c: 16.0, amplitude_k: 5.5, coldest_day: 35.0 };
    let air = AirClimate { mean_c: 15.0, monthly_swing_k: 20.0, southern: false };
    let days_c = cold_water_by_day(&water, &air);
    for day in [1, 35, 100, 217] {
        let words = format!("mains temperature, day {day}");
        let row_c = limit("L12", &[&words]);
        assert_abs_diff_eq!(days_c[day - 1], row_c, epsilon = 0.05);
    }
    let year = crate::reference::one_tank_year();
    let load_kwh = limit("L12", &["load of a year"]);
    assert_abs_diff_eq!(year[Column::Load], load_kwh, epsilon = 0.001 * load_kwh);
    let baseline_kwh = limit("L12", &["baseline purchased"]);
    assert_abs_diff_eq!(year[Column::BaselinePurchased], baseline_kwh, epsilon = 0.001 * baseline_kwh);
}

#[test]
fn limits_light_on_a_plane() {
    let plane = Plane::from_deg(35.0, 190.0);
    for (place, zenith_deg, azimuth_deg, dni_w_m2, dhi_w_m2, normal_w_m2) in [
        ("zenith 30", 30.0_f64, 200.0_f64, 800.0, 120.0, 1340.0),
        ("zenith 75", 75.0, 120.0, 300.0, 60.0, 1390.0),
    ] {
        let zenith_rad = zenith_deg.to_radians();
        let cosine = cos_incidence(zenith_rad, azimuth_deg.to_radians(), &plane);
        let beam_w_m2 = beam_on_plane_w_m2(dni_w_m2, cosine);
        assert_abs_diff_eq!(beam_w_m2, limit("L13", &[place, "beam on plane"]), epsilon = 0.01);
        let input = SkyInput {
            dni_w_m2,
            dhi_w_m2,
            extraterrestrial_normal_w_m2: normal_w_m2,
            zenith_rad,
            cos_incidence: cosine,
            tilt_rad: plane.tilt_rad,
        };
        for (model, name) in [
            (SkyModel::Isotropic, "isotropic"),
            (SkyModel::HayDavies, "haydavies"),
            (SkyModel::Perez1990, "perez"),
        ] {
            let sky_w_m2 = model.diffuse(&input).total_w_m2();
            assert_abs_diff_eq!(sky_w_m2, limit("L13", &[place, name]), epsilon = 0.02);
        }
        let ghi_w_m2 = dni_w_m2 * zenith_rad.cos() + dhi_w_m2;
        let ground_w_m2 = ground_reflected_w_m2(ghi_w_m2, 0.2, plane.tilt_rad);
        // No tolerance in the row: that of its neighbour.
        assert_abs_diff_eq!(ground_w_m2, limit("L13", &[place, "ground"]), epsilon = 0.01);
    }
}

#[test]
fn nothing_flows_where_nothing_drives() {
    let plant = plant(tank(30), Some(solar_loop(8.0)));
    let mut state = State::new(&plant, 20.0);
    let before = state.clone();
    let flows = advance(&plant, &mut state, &still(20.0), 86_400);
    assert_eq!(flows.pump_starts, 0);
    assert_eq!((flows.heat_into_tank_j, flows.delivered_j), (0.0, 0.0));
    assert_eq!(state.tank_c(&plant, 0), before.tank_c(&plant, 0));
}

#[test]
fn a_sunny_day_keeps_the_slices_in_order() {
    let plant = plant(tank(30), Some(solar_loop(8.0)));
    let mut state = State::new(&plant, 20.0);
    let sun = Conditions { effective_w_m2: 700.0, plane_w_m2: 800.0, ..still(15.0) };
    let mut flows = Flows::new();
    let mut steps = 0;
    plant.advance(&mut state, &mut Scratch::new(&plant), &sun, 6 * 3600, &mut flows, |_, state, _| {
        assert!(state.tank_c(&plant, 0).is_sorted());
        steps += 1;
    });
    assert!(steps > 50 && flows.heat_into_tank_j > 3e7, "{steps} {}", flows.heat_into_tank_j);
}
