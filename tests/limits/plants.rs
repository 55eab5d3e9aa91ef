//! Plants that leave a single component something to do.

use thermal_network::flows::{Conditions, Draw, FieldSun, Flows, Orders};
use thermal_network::fluid::Fluid;
use thermal_network::spec::{
    CollectorSpec, ControllerSpec, Duties, ExchangerSpec, LoopKind, LoopSpec, Numerics, PlantSpec,
    PlumbingSpec, PumpFlow, PumpSpec, SensorSpec, Surroundings, TankSpec,
};
use thermal_network::{Contents, Misfit, Plant, Scratch, State};

/// Capacity flow of the loop of the reference cases in W/K: 0.07 kg/s of 3700 J/(kg K).
pub(super) const FLOW_W_K: f64 = 259.0;

/// A volume that no heat of a test changes, in m3.
pub(super) const HUGE_M3: f64 = 3e4;

/// The tank of the reference cases without its element.
pub(super) fn tank(slices: usize) -> TankSpec {
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

pub(super) fn lossless(volume_m3: f64, slices: usize) -> TankSpec {
    TankSpec {
        volume_m3,
        side_w_m2_k: 0.0,
        top_w_m2_k: 0.0,
        bottom_w_m2_k: 0.0,
        fittings_even_w_k: 0.0,
        conduction_w_m_k: 0.0,
        ..tank(slices)
    }
}

/// Tank water goes round through the collector.
pub(super) const OPEN_LOOP: ExchangerSpec =
    ExchangerSpec::OpenLoop { draw_from_frac: 0.0, return_to_frac: 1.0 };

/// The collector of the reference cases.
pub(super) fn collector(cells: usize) -> CollectorSpec {
    CollectorSpec {
        area_m2: 5.95,
        eta0b: 0.72,
        a1_w_m2_k: 3.8,
        a2_w_m2_k2: 0.013,
        a5_j_m2_k: 8000.0,
        cells,
        ..CollectorSpec::default()
    }
}

/// A collector so heavy that its fluid always leaves it as warm as it is.
pub(super) fn steady_source() -> CollectorSpec {
    CollectorSpec { area_m2: 1.0, a5_j_m2_k: 1e11, cells: 1, ..CollectorSpec::default() }
}

/// A loop without pipes whose pump runs always or never.
pub(super) fn solar_loop(runs: bool, collector: CollectorSpec, exchanger: ExchangerSpec) -> LoopSpec {
    let on_k = if runs { -1e3 } else { 1e3 };
    LoopSpec {
        collector,
        fluid: Fluid::Constant { density_kg_m3: 1030.0, specific_heat_j_kg_k: 3700.0 },
        pump: PumpSpec {
            flow: PumpFlow::MassKgS(0.07),
            power_w: 45.0,
            heat_to_fluid_frac: 0.0,
            over_temperature: None,
        },
        supply: Vec::new(),
        ret: Vec::new(),
        exchanger,
        controller: ControllerSpec {
            on_k,
            off_k: on_k - 1e3,
            high_limit_c: 1e6,
            high_limit_reset_k: 0.0,
            collector_limit_c: None,
            collector_limit_reset_k: 0.0,
            sensor_height_frac: 0.1,
            tank_sensor: SensorSpec::default(),
            collector_sensor: SensorSpec::default(),
            interval_s: 60,
            min_on_s: 0,
            min_off_s: 0,
            duties: Duties::default(),
        },
        kind: LoopKind::Filled,
        second_field: None,
    }
}

pub(super) fn plant(tank: TankSpec, solar_loop: Option<LoopSpec>) -> Plant {
    plant_with(tank, solar_loop, Numerics::default())
}

/// Steps of a second and less: the answer of the equations rather than of the scheme.
pub(super) const FINE: Numerics = Numerics { loop_step_s: 1.0, tank_step_s: 1, quiet_step_s: 1 };

pub(super) fn plant_with(tank: TankSpec, solar_loop: Option<LoopSpec>, numerics: Numerics) -> Plant {
    Plant::assemble(&PlantSpec {
        solar_loop,
        tanks: vec![tank],
        plumbing: PlumbingSpec::default(),
        flow_heater: None,
        numerics,
    })
    .expect("a sound plant")
}

/// Rooms at 20 degC, no sun, no draw.
pub(super) fn still(air_c: f64) -> Conditions {
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
        orders: Orders::default(),
        timer_on: false,
        second_field: FieldSun::default(),
    }
}

pub(super) fn sun(w_m2: f64, air_c: f64) -> Conditions {
    Conditions { effective_w_m2: w_m2, plane_w_m2: w_m2, ..still(air_c) }
}

/// Advances and checks that the first law closed on the way, to rounding of the heat content.
pub(super) fn advance(plant: &Plant, state: &mut State, conditions: &Conditions, seconds: u32) -> Flows {
    let before = Contents::of(plant, state);
    let mut flows = Flows::new();
    plant.advance(state, &mut Scratch::new(plant), conditions, seconds, &mut flows, |_, _, _| {});
    let misfit = Misfit::of(&before, &Contents::of(plant, state), &flows);
    assert!(misfit.largest_j() <= 1e-11 * before.total_j().abs().max(1e6), "{misfit:?}");
    flows
}
