//! Random plants and random hours: one tank or two, any pipe work, any exchanger, any controller, any backup, any weather and
//! any use of hot water.

use proptest::collection::vec;
use proptest::prelude::*;
use thermal_network::coil_ua::{CoilTube, Mount};
use thermal_network::flows::{Conditions, Draw, FieldSun, Orders};
use thermal_network::fluid::Fluid;
use thermal_network::spec::{
    Around, BurnerSpec, BypassSpec, CoilInlet, CoilTubeSpec, CollectorSpec, ControllerSpec, Duties,
    ElementSpec, Energy, ExchangerSpec, FittingSpec, FlowHeaterSpec, HeatPumpSpec, InletMixingSpec, LoopKind,
    LoopSpec, MapSpec, Numerics, PipeRunSpec, PlantSpec, PlateRating, PlumbingSpec, PumpFlow,
    PumpOverTemperature, PumpSpec, RecirculationSpec, SensorSpec, SourceSpec, Surroundings, TankSpec,
    TransferSpec, WaterPipeSpec, WaterPumpSpec,
};
use thermal_network::{Plant, slice_at};

/// Temperature everything starts at, in degC.
pub(crate) const START_C: f64 = 40.0;

/// Assembles a plant that is sound by construction.
pub(crate) fn assemble(spec: &PlantSpec) -> Plant {
    Plant::assemble(spec).expect("a sound plant")
}

/// A plant of the one-tank kinds.
pub(crate) fn plant() -> impl Strategy<Value = PlantSpec> {
    (solar_loop(), tank(), flow_heater(), numerics()).prop_map(
        |(mut solar_loop, mut tank, flow_heater, numerics)| {
            match &mut solar_loop.exchanger {
                ExchangerSpec::Coil { .. } => {}
                ExchangerSpec::Plate { draw_from_frac, return_to_frac, .. }
                | ExchangerSpec::OpenLoop { draw_from_frac, return_to_frac } => {
                    let most = (tank.volume_m3 * tank.water_kg_m3 / LEAST_CIRCULATED_KG) as usize;
                    tank.slices = tank.slices.min(most);
                    // Water that returns to the slice it was taken from goes round that slice alone; nobody pipes a tank so.
                    if slice_at(*draw_from_frac, tank.slices) == slice_at(*return_to_frac, tank.slices) {
                        (*draw_from_frac, *return_to_frac) = (0.0, 1.0);
                    }
                }
            }
            PlantSpec {
                solar_loop: Some(solar_loop),
                tanks: vec![tank],
                plumbing: PlumbingSpec::default(),
                flow_heater,
                numerics,
            }
        },
    )
}

/// A plant of one tank or two with pipe work of any kind; some have none.
pub(crate) fn layout() -> impl Strategy<Value = PlantSpec> {
    (plant(), proptest::option::weighted(0.8, tank()), plumbing()).prop_map(
        |(mut spec, second, mut plumbing)| {
            if let Some(second) = second {
                spec.tanks.push(TankSpec { surroundings: Surroundings::SecondTankRoom, ..second });
            } else {
                plumbing = PlumbingSpec {
                    recirculation: plumbing
                        .recirculation
                        .map(|line| RecirculationSpec { return_tank: 0, ..line }),
                    inlet_mixing: [plumbing.inlet_mixing[0], None],
                    ..PlumbingSpec::default()
                };
            }
            PlantSpec { plumbing, ..spec }
        },
    )
}

fn plumbing() -> impl Strategy<Value = PlumbingSpec> {
    let bypass = (prop_oneof![Just(f64::INFINITY), 40.0..80.0], 0.0..10.0)
        .prop_map(|(opens_c, band_k)| BypassSpec { opens_c, band_k });
    let limit_c = prop_oneof![Just(f64::INFINITY), 45.0..80.0];
    let transfer = (water_pump(), 2.0..10.0, 0.0..1.9, limit_c, [0.0..=1.0, 0.0..=1.0, 0.0..=1.0, 0.0..=1.0])
        .prop_map(|(pump, on_k, off_k, limit_c, heights)| TransferSpec {
            pump,
            on_k,
            off_k,
            limit_c,
            take_frac: heights[0],
            give_frac: heights[1],
            back_from_frac: heights[2],
            back_to_frac: heights[3],
        });
    let recirculation = (water_pipe(), water_pump(), 0..2_usize, 0.0..=1.0).prop_map(
        |(pipe, pump, return_tank, return_frac)| RecirculationSpec { pipe, pump, return_tank, return_frac },
    );
    let mixing = || proptest::option::of((0.008..0.03).prop_map(|bore_m| InletMixingSpec { bore_m }));
    (
        proptest::option::of(water_pipe()),
        proptest::option::of(bypass),
        proptest::option::of(transfer),
        proptest::option::of(recirculation),
        [mixing(), mixing()],
    )
        .prop_map(|(between, bypass, transfer, recirculation, inlet_mixing)| PlumbingSpec {
            between,
            bypass,
            transfer,
            recirculation,
            inlet_mixing,
        })
}

fn water_pump() -> impl Strategy<Value = WaterPumpSpec> {
    (1e-5..2e-4, 0.0..100.0, 0.0..=1.0).prop_map(|(flow_m3_s, power_w, heat_to_water_frac)| WaterPumpSpec {
        flow_m3_s,
        power_w,
        heat_to_water_frac,
    })
}

fn water_pipe() -> impl Strategy<Value = WaterPipeSpec> {
    let around = prop_oneof![surroundings().prop_map(Around::Space), (5.0..35.0).prop_map(Around::Steady)];
    // A loop of less than this goes round so often that the rounding of its passes shows.
    (pipe_run(), 2.0..60.0, around).prop_map(|(run, length_m, around)| WaterPipeSpec {
        length_m,
        around,
        bore_m: run.bore_m,
        tube_outer_m: run.tube_outer_m,
        insulation_m: run.insulation_m,
        insulation_w_m_k: run.insulation_w_m_k,
        wall_capacity_j_m_k: run.wall_capacity_j_m_k,
        outer_film_w_m2_k: run.outer_film_w_m2_k,
    })
}

/// Least mass of a slice through which tank water circulates: what the strongest pump moves in the 30 s for which the water
/// taken is foreseen.
const LEAST_CIRCULATED_KG: f64 = 6.5;

fn numerics() -> impl Strategy<Value = Numerics> {
    prop_oneof![
        3 => Just(Numerics::default()),
        1 => (5.0..60.0, 20..600_u32, 60..3600_u32)
            .prop_map(|(loop_step_s, tank_step_s, quiet_step_s)| Numerics { loop_step_s, tank_step_s, quiet_step_s }),
    ]
}

fn solar_loop() -> impl Strategy<Value = LoopSpec> {
    let factors = || prop::array::uniform7(0.05..2.0);
    let follows = (factors(), factors())
        .prop_map(|(flow_frac, power_frac)| PumpOverTemperature { flow_frac, power_frac });
    let pump = (flow(), 0.0..150.0, 0.0..=1.0, proptest::option::weighted(0.2, follows)).prop_map(
        |(flow, power_w, heat_to_fluid_frac, over_temperature)| PumpSpec {
            flow,
            power_w,
            heat_to_fluid_frac,
            over_temperature,
        },
    );
    let pipes = || vec(pipe_run(), 0..3);
    (collector(), fluid(), pump, pipes(), pipes(), exchanger(), controller()).prop_map(
        |(collector, fluid, pump, supply, ret, mut exchanger, controller)| {
            // A tube's films need a fluid whose viscosity is known.
            if let (ExchangerSpec::Coil { tube, .. }, Fluid::Constant { .. }) = (&mut exchanger, fluid) {
                *tube = None;
            }
            LoopSpec {
                collector,
                fluid,
                pump,
                supply,
                ret,
                exchanger,
                controller,
                kind: LoopKind::Filled,
                second_field: None,
            }
        },
    )
}

fn collector() -> impl Strategy<Value = CollectorSpec> {
    let losses = (0.5..8.0, 0.0..0.03, 0.0..0.05, 0.0..0.9, 0.0..0.01, 0.0..1e-8);
    (1.0..12.0, 0.5..0.85, losses, 1000.0..20_000.0, 1..12_usize).prop_map(
        |(area_m2, eta0b, (a1, a2, a3, a4, a6, a8), a5_j_m2_k, cells)| CollectorSpec {
            area_m2,
            eta0b,
            a1_w_m2_k: a1,
            a2_w_m2_k2: a2,
            a3_j_m3_k: a3,
            a4_frac: a4,
            a5_j_m2_k,
            a6_s_m: a6,
            a7_s_m: 0.0,
            a8_w_m2_k4: a8,
            cells,
        },
    )
}

fn fluid() -> impl Strategy<Value = Fluid> {
    prop_oneof![
        (950.0..1080.0, 3200.0..4200.0).prop_map(|(density_kg_m3, specific_heat_j_kg_k)| Fluid::Constant {
            density_kg_m3,
            specific_heat_j_kg_k
        }),
        Just(Fluid::Water),
        (0.2..0.5).prop_map(|volume_frac| Fluid::PropyleneGlycol { volume_frac }),
    ]
}

fn flow() -> impl Strategy<Value = PumpFlow> {
    prop_oneof![(0.01..0.2).prop_map(PumpFlow::MassKgS), (1e-5..2e-4).prop_map(PumpFlow::VolumeM3S),]
}

fn surroundings() -> impl Strategy<Value = Surroundings> {
    prop_oneof![Just(Surroundings::Outdoor), Just(Surroundings::TankRoom), Just(Surroundings::OtherSpace)]
}

/// A run of tube, now and then of no length.
fn pipe_run() -> impl Strategy<Value = PipeRunSpec> {
    let length_m = prop_oneof![1 => Just(0.0), 4 => 0.05..40.0];
    let insulation_m = prop_oneof![Just(0.0), 0.005..0.05];
    let outer_film = prop_oneof![Just(None), (2.0..40.0).prop_map(Some)];
    (length_m, surroundings(), 0.008..0.03, 0.001..0.003, insulation_m, 0.0..800.0, 200.0..3000.0, outer_film)
        .prop_map(|(length_m, surroundings, bore_m, wall_m, insulation_m, wall_j_m_k, inner, outer)| {
            PipeRunSpec {
                length_m,
                surroundings,
                bore_m,
                tube_outer_m: bore_m + wall_m,
                insulation_m,
                insulation_w_m_k: 0.04,
                wall_capacity_j_m_k: wall_j_m_k,
                inner_film_w_m2_k: Some(inner),
                outer_film_w_m2_k: outer,
            }
        })
}

fn coil_tube() -> impl Strategy<Value = CoilTubeSpec> {
    let wrapped = (2.0..100.0, 0.3..1.0, 0.1..1.5).prop_map(|(bond_w_m_k, tank_m, covered_m)| {
        Mount::Wrapped { bond_w_m_k, tank_m, covered_m, wall_m: 0.0025, wall_w_m_k: 50.0 }
    });
    let mount = prop_oneof![Just(Mount::Immersed), wrapped];
    (1.0..60.0, 0.008..0.03, 0.2..1.0, mount, 0.0..6e-4).prop_map(
        |(length_m, bore_m, coil_m, mount, scale_m2_k_w)| CoilTubeSpec {
            tube: CoilTube { length_m, bore_m, outer_m: bore_m + 0.002, metal_w_m_k: 385.0, coil_m },
            mount,
            scale_m2_k_w,
        },
    )
}

fn exchanger() -> impl Strategy<Value = ExchangerSpec> {
    let inlet = prop_oneof![Just(CoilInlet::Top), Just(CoilInlet::Bottom)];
    let rating = prop_oneof![
        (10.0..2000.0).prop_map(PlateRating::UaWK),
        (0.0..=1.0).prop_map(PlateRating::EffectivenessFrac)
    ];
    let height = || 0.0..=1.0;
    prop_oneof![
        (0.0..0.6, 0.05..0.4, 10.0..2000.0, inlet, proptest::option::of(coil_tube())).prop_map(
            |(bottom_frac, span, ua_w_k, inlet, tube)| {
                ExchangerSpec::Coil { bottom_frac, top_frac: bottom_frac + span, ua_w_k, inlet, tube }
            }
        ),
        (rating, 0.0..0.002, 0.01..0.2, 0.0..60.0, height(), height()).prop_map(
            |(rating, scale_k_w, tank_flow_kg_s, tank_pump_w, draw_from_frac, return_to_frac)| {
                ExchangerSpec::Plate {
                    rating,
                    scale_k_w,
                    tank_flow_kg_s,
                    tank_pump_w,
                    draw_from_frac,
                    return_to_frac,
                }
            }
        ),
        (height(), height()).prop_map(|(draw_from_frac, return_to_frac)| ExchangerSpec::OpenLoop {
            draw_from_frac,
            return_to_frac
        }),
    ]
}

fn sensor() -> impl Strategy<Value = SensorSpec> {
    prop_oneof![
        2 => Just(SensorSpec::default()),
        1 => (-3.0..3.0, 0.0..0.3, prop_oneof![Just(0.0), 5.0..300.0])
            .prop_map(|(offset_k, seat_loss_frac, lag_s)| SensorSpec { offset_k, seat_loss_frac, lag_s }),
    ]
}

fn controller() -> impl Strategy<Value = ControllerSpec> {
    let limit = prop_oneof![Just(None), (80.0..140.0).prop_map(Some)];
    let pause_s = || prop_oneof![Just(0), 1..1200_u32];
    let times = (prop_oneof![Just(60), Just(10), 1..400_u32], pause_s(), pause_s());
    (2.0..15.0, 0.5..1.9, 55.0..95.0, 0.0..8.0, limit, 0.0..15.0, 0.0..=1.0, sensor(), sensor(), times)
        .prop_map(
            |(on_k, off_k, high_c, high_k, limit, limit_k, sensor_height_frac, tank, collector, times)| {
                ControllerSpec {
                    on_k,
                    off_k,
                    high_limit_c: high_c,
                    high_limit_reset_k: high_k,
                    collector_limit_c: limit,
                    collector_limit_reset_k: limit_k,
                    sensor_height_frac,
                    tank_sensor: tank,
                    collector_sensor: collector,
                    interval_s: times.0,
                    min_on_s: times.1,
                    min_off_s: times.2,
                    duties: Duties::default(),
                }
            },
        )
}

/// An element, a burner or a heat pump, its thermostat not below it. A heat pump is too weak to warm the water beside a thin
/// condenser past its map within a step.
fn element() -> impl Strategy<Value = ElementSpec> {
    (source(), 0.0..6000.0, 0.0..=1.0, 0.0..=1.0, 40.0..65.0, 0.5..10.0, sensor()).prop_map(
        |(mut source, power_w, height_frac, above_frac, set_c, band_k, sensor)| {
            if let SourceSpec::HeatPump(heat_pump) = &mut source {
                heat_pump.condenser_top_frac = heat_pump.condenser_top_frac.max(height_frac);
            }
            ElementSpec {
                source,
                power_w,
                height_frac,
                thermostat_frac: height_frac + above_frac * (1.0 - height_frac),
                set_c,
                band_k,
                sensor,
            }
        },
    )
}

fn source() -> impl Strategy<Value = SourceSpec> {
    let burner = (0.5..=1.0, prop_oneof![Just(0.0), 50.0..200.0], 0.0..=1.0, 0.0..5.0).prop_map(
        |(efficiency_frac, pilot_w, pilot_to_water_frac, flue_w_k)| BurnerSpec {
            efficiency_frac,
            pilot_w,
            pilot_to_water_frac,
            flue_w_k,
        },
    );
    let heat_pump =
        (0.0..=1.0, 1.5..5.0, -5.0..10.0, 25.0..50.0).prop_map(|(condenser_top_frac, cop, low_c, high_c)| {
            HeatPumpSpec {
                condenser_top_frac,
                cop,
                power_map: MapSpec::USUAL_POWER,
                cop_map: MapSpec::USUAL_COP,
                air_c: (low_c, high_c),
            }
        });
    prop_oneof![
        2 => Just(SourceSpec::Electric),
        1 => burner.prop_map(SourceSpec::Burner),
        1 => heat_pump.prop_map(SourceSpec::HeatPump),
    ]
}

/// The same plant with electronic ignition: a pilot burns whatever a thermostat or a timer says.
pub(crate) fn without_pilots(mut spec: PlantSpec) -> PlantSpec {
    for element in spec.tanks.iter_mut().flat_map(|tank| &mut tank.elements) {
        if let SourceSpec::Burner(burner) = &mut element.source {
            burner.pilot_w = 0.0;
        }
    }
    spec
}

/// None in half of all plants, weak and strong ones in the others.
fn flow_heater() -> impl Strategy<Value = Option<FlowHeaterSpec>> {
    let energy = prop_oneof![Just(Energy::Electricity), Just(Energy::Fuel)];
    let limit = prop_oneof![Just(None), (40.0..70.0).prop_map(Some)];
    let heater =
        (energy, 0.0..40e3, prop_oneof![Just(0.0), 0.0..6000.0], 0.5..=1.0, 35.0..70.0, limit, 0.0..20.0)
            .prop_map(|(energy, power_w, least_w, efficiency_frac, set_c, inlet_limit_c, standby_w)| {
                FlowHeaterSpec { energy, power_w, least_w, efficiency_frac, set_c, inlet_limit_c, standby_w }
            });
    prop_oneof![Just(None), heater.prop_map(Some)]
}

fn tank() -> impl Strategy<Value = TankSpec> {
    let shape = (0.05..1.0, 0.4..2.5, 1..=60_usize);
    let losses = (0.0..3.0, 0.0..3.0, 0.0..3.0, 0.0..3.0, 0.0..3.0);
    let fittings = vec(
        (0.0..=1.0, 0.0..2.0).prop_map(|(height_frac, loss_w_k)| FittingSpec { height_frac, loss_w_k }),
        0..3,
    );
    let ports = (0.0..=1.0, 0.0..=1.0);
    (shape, losses, fittings, surroundings(), ports, vec(element(), 0..=3), any::<bool>()).prop_map(
        |((volume_m3, height_m, slices), losses, fittings, surroundings, ports, elements, interlock)| {
            TankSpec {
                volume_m3,
                height_m,
                slices,
                water_kg_m3: 990.0,
                water_j_kg_k: 4186.0,
                side_w_m2_k: losses.0,
                top_w_m2_k: losses.1,
                bottom_w_m2_k: losses.2,
                fittings_even_w_k: losses.3,
                fittings,
                conduction_w_m_k: losses.4,
                surroundings,
                cold_inlet_frac: f64::min(ports.0, ports.1),
                hot_outlet_frac: f64::max(ports.0, ports.1),
                elements,
                interlock,
            }
        },
    )
}

/// A day of hours: strong sun, haze and night; no draw, modest ones, and ones that empty the tank; cold water now and then
/// warmer than the tap or the tank.
pub(crate) fn day() -> impl Strategy<Value = Vec<Conditions>> {
    vec(hour(), 24)
}

fn hour() -> impl Strategy<Value = Conditions> {
    let sun_w_m2 = prop_oneof![2 => Just(0.0), 1 => 0.0..300.0, 2 => 300.0..1200.0];
    let flow_m3_s = prop_oneof![3 => Just(0.0), 2 => 1e-6..5e-5, 1 => 5e-5..5e-4];
    let cold_water_c = prop_oneof![5 => 2.0..25.0, 1 => 25.0..65.0];
    let draw = (flow_m3_s, 30.0..60.0, any::<bool>());
    (
        sun_w_m2,
        0.7..1.0,
        -30.0..45.0,
        0.0..12.0,
        -120.0..0.0,
        (5.0..35.0, -10.0..60.0, 5.0..35.0),
        cold_water_c,
        draw,
        (any::<u32>(), any::<bool>(), any::<bool>(), any::<bool>()),
    )
        .prop_map(
            |(sun_w_m2, seen_frac, air_c, wind_m_s, net_sky_w_m2, rooms, cold_water_c, draw, allowed)| {
                Conditions {
                    effective_w_m2: sun_w_m2 * seen_frac,
                    plane_w_m2: sun_w_m2,
                    air_c,
                    wind_m_s,
                    net_sky_w_m2,
                    tank_room_c: rooms.0,
                    second_tank_room_c: rooms.2,
                    other_space_c: rooms.1,
                    cold_water_c,
                    draw: Draw { flow_m3_s: draw.0, use_c: draw.1, comfort: draw.2, usable_c: 40.5 },
                    elements_allowed: allowed.0,
                    orders: Orders { bypassed: allowed.1, recirculates: allowed.2 },
                    timer_on: allowed.3,
                    second_field: FieldSun {
                        effective_w_m2: 0.6 * sun_w_m2,
                        plane_w_m2: 0.7 * sun_w_m2,
                        net_sky_w_m2,
                    },
                }
            },
        )
}
