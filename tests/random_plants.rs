//! Laws that hold for every plant in every weather: random one-tank plants through random hours.

use proptest::prelude::*;
use thermal_network::flows::{Conditions, Draw, Flows};
use thermal_network::fluid::Fluid;
use thermal_network::spec::{
    CoilInlet, CollectorSpec, ControllerSpec, ElementSpec, ExchangerSpec, LoopSpec, Numerics, PipeRunSpec,
    PlantSpec, PlateRating, PumpFlow, PumpSpec, SensorSpec, Surroundings, TankSpec,
};
use thermal_network::{Contents, Misfit, Plant, Scratch, State};

const WATER: Fluid = Fluid::Constant { density_kg_m3: 990.0, specific_heat_j_kg_k: 4186.0 };

fn exchanger() -> impl Strategy<Value = ExchangerSpec> {
    let heights = || (0.0..0.4, 0.5..1.0);
    prop_oneof![
        (heights(), 0.0..900.0, any::<bool>()).prop_map(|((bottom_frac, top_frac), ua_w_k, from_top)| {
            let inlet = if from_top { CoilInlet::Top } else { CoilInlet::Bottom };
            ExchangerSpec::Coil { bottom_frac, top_frac, ua_w_k, inlet }
        }),
        (heights(), 50.0..2000.0, 0.01..0.2).prop_map(|((low, high), ua_w_k, tank_flow_kg_s)| {
            ExchangerSpec::Plate {
                rating: PlateRating::UaWK(ua_w_k),
                tank_flow_kg_s,
                tank_pump_w: 20.0,
                draw_from_frac: low,
                return_to_frac: high,
            }
        }),
        heights().prop_map(|(draw_from_frac, return_to_frac)| ExchangerSpec::OpenLoop {
            draw_from_frac,
            return_to_frac
        }),
    ]
}

fn solar_loop() -> impl Strategy<Value = LoopSpec> {
    let collector = (1.0..15.0, 0.4..0.85, 0.5..8.0, 0.0..0.05, 2000.0..20_000.0, 1_usize..13);
    let hydraulics = (0.01..0.3, 0.0..20.0, exchanger());
    let control = (4.0..15.0, 0.1..3.9, 50.0..98.0, 0.0..0.6, 1_u32..400);
    (collector, hydraulics, control).prop_map(|(collector, hydraulics, control)| {
        let (area_m2, eta0b, a1_w_m2_k, a2_w_m2_k2, a5_j_m2_k, cells) = collector;
        let (flow_kg_s, length_m, exchanger) = hydraulics;
        let (on_k, off_k, high_limit_c, sensor_height_frac, interval_s) = control;
        let run = |surroundings| PipeRunSpec {
            length_m,
            surroundings,
            bore_m: 0.0169,
            tube_outer_m: 0.019,
            insulation_m: 0.013,
            insulation_w_m_k: 0.04,
            wall_capacity_j_m_k: 340.0,
            inner_film_w_m2_k: Some(1500.0),
            outer_film_w_m2_k: None,
        };
        LoopSpec {
            collector: CollectorSpec {
                area_m2,
                eta0b,
                a1_w_m2_k,
                a2_w_m2_k2,
                a5_j_m2_k,
                cells,
                ..CollectorSpec::default()
            },
            fluid: WATER,
            pump: PumpSpec { flow: PumpFlow::MassKgS(flow_kg_s), power_w: 40.0, heat_to_fluid_frac: 0.3 },
            supply: vec![run(Surroundings::TankRoom), run(Surroundings::Outdoor)],
            ret: vec![run(Surroundings::Outdoor), run(Surroundings::TankRoom)],
            exchanger,
            controller: ControllerSpec {
                on_k,
                off_k,
                high_limit_c,
                high_limit_reset_k: 3.0,
                collector_limit_c: None,
                collector_limit_reset_k: 0.0,
                sensor_height_frac,
                tank_sensor: SensorSpec::default(),
                collector_sensor: SensorSpec::default(),
                interval_s,
                min_on_s: 0,
                min_off_s: 0,
            },
        }
    })
}

fn tank() -> impl Strategy<Value = TankSpec> {
    let body = (0.08..1.0, 0.8..2.2, 1_usize..41, 0.0..2.0, 0.0..2.0, 0.0..1.5);
    let element = (0.0..6000.0, 0.0..1.0, 0.0..1.0, 40.0..70.0, 1.0..8.0);
    (body, element).prop_map(|(body, element)| {
        let (volume_m3, height_m, slices, skin_w_m2_k, fittings_even_w_k, conduction_w_m_k) = body;
        let (power_w, height_frac, thermostat_frac, set_c, band_k) = element;
        TankSpec {
            volume_m3,
            height_m,
            slices,
            water_kg_m3: 990.0,
            water_j_kg_k: 4186.0,
            side_w_m2_k: skin_w_m2_k,
            top_w_m2_k: skin_w_m2_k,
            bottom_w_m2_k: skin_w_m2_k,
            fittings_even_w_k,
            fittings: Vec::new(),
            conduction_w_m_k,
            surroundings: Surroundings::TankRoom,
            cold_inlet_frac: 0.0,
            hot_outlet_frac: 1.0,
            elements: vec![ElementSpec {
                power_w,
                height_frac,
                thermostat_frac,
                set_c,
                band_k,
                sensor: SensorSpec::default(),
            }],
            interlock: false,
        }
    })
}

fn hour() -> impl Strategy<Value = Conditions> {
    let sky = (prop_oneof![Just(0.0), 0.0..1100.0], -25.0..40.0, 0.0..12.0);
    let house = (5.0..30.0, 2.0..28.0, prop_oneof![Just(0.0), 0.0..4e-4], any::<bool>());
    (sky, house).prop_map(|((plane_w_m2, air_c, wind_m_s), (room_c, cold_water_c, flow_m3_s, allowed))| {
        Conditions {
            effective_w_m2: 0.93 * plane_w_m2,
            plane_w_m2,
            air_c,
            wind_m_s,
            net_sky_w_m2: 0.0,
            tank_room_c: room_c,
            second_tank_room_c: room_c,
            other_space_c: room_c,
            cold_water_c,
            draw: Draw { flow_m3_s, use_c: 48.0, comfort: true, usable_c: 40.5 },
            elements_allowed: u32::from(allowed),
        }
    })
}

/// All that crossed, none of it set off against another, in J.
fn turnover_j(flows: &Flows) -> f64 {
    [flows.absorbed_j, flows.pump_heat_j, flows.collector_loss_j, flows.supply_loss_j, flows.return_loss_j]
        .into_iter()
        .chain([flows.heat_into_tank_j, flows.tank_loss_j[0], flows.element_j[0], flows.drawn_j[0]])
        .map(f64::abs)
        .sum()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_plants_keep_heat_order_and_numbers(
        tank in tank(), solar_loop in solar_loop(), hours in prop::collection::vec(hour(), 1..49)
    ) {
        let spec = PlantSpec { solar_loop: Some(solar_loop), tanks: vec![tank], numerics: Numerics::default() };
        let plant = Plant::assemble(&spec).expect("a sound plant");
        let mut state = State::new(&plant, 30.0);
        let mut scratch = Scratch::new(&plant);
        let start = Contents::of(&plant, &state);
        let mut flows = Flows::new();
        for conditions in &hours {
            plant.advance(&mut state, &mut scratch, conditions, 3600, &mut flows, |_, _, _| {});
            let slices_c = state.tank_c(&plant, 0);
            prop_assert!(slices_c.iter().chain(state.collector_c(&plant)).all(|c| c.is_finite()));
            // Pooled slices get the mean of the pool, each with rounding of its own.
            prop_assert!(slices_c.windows(2).all(|pair| pair[0] <= pair[1] + 1e-9), "{slices_c:?}");
        }
        let misfit = Misfit::of(&start, &Contents::of(&plant, &state), &flows);
        // Contents are sums above 0 degC: where next to nothing crosses, their rounding is what is left.
        let size_j = turnover_j(&flows) + 1e-3 * start.total_j();
        prop_assert!(misfit.largest_j() < 1e-9 * size_j, "{misfit:?} of {size_j} J");
        prop_assert!(turnover_j(&flows).is_finite() && flows.delivered_j.is_finite());
    }
}
