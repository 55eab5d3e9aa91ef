//! Plants of every kind of loop, with every duty of a controller.

use proptest::prelude::*;
use thermal_network::fluid::Fluid;
use thermal_network::hydraulics::friction::DRAWN_TUBE_ROUGHNESS_M;
use thermal_network::hydraulics::{Circuit, TubeRun};
use thermal_network::spec::{
    CoilInlet, CollectorSpec, DrainbackSpec, DumpSpec, Duties, ExchangerSpec, FreezeSpec, LoopKind, LoopSpec,
    NaturalSpec, NightCoolingSpec, PlantSpec, PumpDrive, SecondFieldSpec, Surroundings,
};

use crate::plants::layout;

/// A plant whose loop is of any kind and whose controller has any duties.
pub(crate) fn any_plant() -> impl Strategy<Value = PlantSpec> {
    let second = proptest::option::weighted(0.3, (0.3..3.0, 0.1..0.9));
    (layout(), kind(), duties(), second).prop_map(|(mut spec, kind, duties, second)| {
        let solar = spec.solar_loop.as_mut().expect("a loop");
        solar.controller.duties = duties;
        if let (Some((area_frac, flow_frac)), false) = (second, matches!(kind, Draft::Batch)) {
            let collector = CollectorSpec { area_m2: area_frac * solar.collector.area_m2, ..solar.collector };
            solar.second_field = Some(SecondFieldSpec { collector, flow_frac });
        }
        match kind {
            Draft::Filled => {}
            Draft::Batch => {
                solar.kind = LoopKind::Batch;
                solar.controller.duties = Duties::default();
                (solar.supply, solar.ret) = (Vec::new(), Vec::new());
            }
            Draft::Drainback(drainback) => drains(solar, drainback),
            Draft::Natural { leaks, natural } => flows_by_itself(solar, leaks, natural),
        }
        spec
    })
}

/// A loop that drains, with what its pipes and its collector need.
fn drains(solar: &mut LoopSpec, mut drainback: DrainbackSpec) {
    let runs = solar.supply.iter().chain(&solar.ret);
    let pipes_m3: f64 =
        runs.map(|run| std::f64::consts::FRAC_PI_4 * run.bore_m * run.bore_m * run.length_m).sum();
    // A collector of 1 to 20 kJ/(m2 K) holds less than half of that as fluid.
    drainback.collector_m3 *= solar.collector.area_m2 * solar.collector.a5_j_m2_k * 1e-7;
    drainback.reservoir_m3 += pipes_m3 + drainback.collector_m3;
    solar.controller.duties.freeze = None;
    solar.kind = LoopKind::Drainback(drainback);
}

/// A loop in which buoyancy may move the fluid.
fn flows_by_itself(solar: &mut LoopSpec, leaks: bool, mut natural: NaturalSpec) {
    natural.circuit.fluid = solar.fluid;
    if matches!(solar.exchanger, ExchangerSpec::Plate { .. }) {
        solar.exchanger = ExchangerSpec::Coil {
            bottom_frac: 0.0,
            top_frac: 0.7,
            ua_w_k: 300.0,
            inlet: CoilInlet::Top,
            tube: None,
        };
    }
    if leaks {
        solar.kind = LoopKind::Leaking(natural);
    } else {
        solar.controller.duties = Duties::default();
        solar.kind = LoopKind::Thermosiphon(natural);
    }
}

#[derive(Clone, Debug)]
enum Draft {
    Filled,
    Batch,
    Drainback(DrainbackSpec),
    Natural { leaks: bool, natural: NaturalSpec },
}

fn kind() -> impl Strategy<Value = Draft> {
    // The fluid in the collector is a share of what its heat capacity allows; the reservoir what is left while running.
    let drainback = (0.0..1.0, 0.002..0.1, 0.0..5.0, 0..600_u32, 0.0..300.0).prop_map(
        |(collector_m3, reservoir_m3, reservoir_w_k, fill_s, fill_w)| {
            Draft::Drainback(DrainbackSpec {
                collector_m3,
                reservoir_m3,
                reservoir_w_k,
                surroundings: Surroundings::TankRoom,
                fill_s,
                fill_w,
            })
        },
    );
    let back = prop_oneof![Just(0.0), Just(1.0), 0.001..1.0];
    let natural = (any::<bool>(), 1.0..40.0, 0.008..0.03, 0.3..3.0, -8.0..3.0, 0.0..2.0, back).prop_map(
        |(leaks, length_m, bore_m, collector_m, cold_end_m, apart_m, back_frac)| Draft::Natural {
            leaks,
            natural: NaturalSpec {
                circuit: Circuit {
                    fluid: Fluid::Water,
                    tubes: vec![TubeRun {
                        length_m,
                        fittings_m: 0.0,
                        bore_m,
                        roughness_m: DRAWN_TUBE_ROUGHNESS_M,
                        coil_m: None,
                    }],
                    devices: Vec::new(),
                },
                collector_m,
                cold_end_m,
                hot_end_m: cold_end_m + apart_m,
                back_frac,
            },
        },
    );
    prop_oneof![2 => Just(Draft::Filled), 1 => Just(Draft::Batch), 2 => drainback, 2 => natural]
}

fn duties() -> impl Strategy<Value = Duties> {
    let drive = prop_oneof![
        3 => Just(PumpDrive::Differential),
        2 => (0.1..=1.0, 3.0..20.0).prop_map(|(least_frac, full_k)| PumpDrive::Proportional { least_frac, full_k }),
        1 => Just(PumpDrive::Timer),
        1 => (0.0..400.0, 20.0..700.0).prop_map(|(start_w_m2, more)| PumpDrive::Sun {
            start_w_m2,
            full_w_m2: start_w_m2 + more
        }),
    ];
    let start = prop_oneof![Just(None), (60.0..110.0).prop_map(Some)];
    let freeze = prop_oneof![
        Just(None),
        (0.0..6.0, 0.5..5.0).prop_map(|(on_c, band_k)| Some(FreezeSpec { on_c, off_c: on_c + band_k }))
    ];
    let cooling = prop_oneof![
        Just(None),
        (45.0..80.0, 1.0..20.0)
            .prop_map(|(on_c, band_k)| Some(NightCoolingSpec { on_c, off_c: on_c - band_k }))
    ];
    let dump = prop_oneof![
        Just(None),
        (60.0..110.0, 0.0..15.0, 0.0..500.0).prop_map(|(on_c, reset_k, ua_w_k)| Some(DumpSpec {
            on_c,
            reset_k,
            ua_w_k,
            surroundings: Surroundings::Outdoor
        }))
    ];
    (drive, start, freeze, cooling, dump).prop_map(|(drive, start_below_c, freeze, night_cooling, dump)| {
        // A module has no current by night.
        if matches!(drive, PumpDrive::Sun { .. }) {
            return Duties { drive, start_below_c, ..Duties::default() };
        }
        Duties { drive, start_below_c, freeze, night_cooling, dump }
    })
}
