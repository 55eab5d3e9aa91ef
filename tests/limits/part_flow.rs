//! Exchangers at part flow: a collector at 60 degC that nothing cools, and pumps that slow down.

use thermal_network::coil_ua::{CoilTube, CoilUa, DesignPoint, Mount};
use thermal_network::flows::{Conditions, Flows};
use thermal_network::fluid::Fluid;
use thermal_network::spec::{
    CoilInlet, CoilTubeSpec, Duties, ExchangerSpec, LoopSpec, Numerics, PlantSpec, PlateRating, PlumbingSpec,
    PumpDrive,
};
use thermal_network::{Plant, Scratch, State, counterflow_effectiveness, counterflow_ua_w_k};

use super::plants::{FLOW_W_K, HUGE_M3, lossless, plant, solar_loop, steady_source, sun};

const SOURCE_C: f64 = 60.0;

/// A module that gives half the flow at 450 W/m2 and all of it at 700.
const MODULE: PumpDrive = PumpDrive::Sun { start_w_m2: 200.0, full_w_m2: 700.0 };
const HALF_W_M2: f64 = 450.0;
const FULL_W_M2: f64 = 700.0;

/// Invented.
const TUBE: CoilTubeSpec = CoilTubeSpec {
    tube: CoilTube { length_m: 15.0, bore_m: 0.0138, outer_m: 0.0159, metal_w_m_k: 385.0, coil_m: 0.4 },
    mount: Mount::Immersed,
    scale_m2_k_w: 0.0,
};
const GLYCOL: Fluid = Fluid::PropyleneGlycol { volume_frac: 0.4 };

/// A coil through the whole tank; the design conductance is not that of its tube, and must not matter.
const COIL: ExchangerSpec = ExchangerSpec::Coil {
    bottom_frac: 0.0,
    top_frac: 1.0,
    ua_w_k: 100.0,
    inlet: CoilInlet::Top,
    tube: Some(TUBE),
};

fn plate(rating: PlateRating, scale_k_w: f64) -> ExchangerSpec {
    ExchangerSpec::Plate {
        rating,
        scale_k_w,
        tank_flow_kg_s: 0.06,
        tank_pump_w: 0.0,
        draw_from_frac: 0.0,
        return_to_frac: 0.5,
    }
}

fn moved_by(drive: PumpDrive, fluid: Fluid, exchanger: ExchangerSpec) -> LoopSpec {
    let mut solar = solar_loop(true, steady_source(), exchanger);
    solar.fluid = fluid;
    (solar.controller.on_k, solar.controller.off_k) = (5.0, 2.0);
    solar.controller.duties = Duties { drive, ..Duties::default() };
    solar
}

/// Steady heat in W into a tank at `tank_c`.
fn heat_w(solar: LoopSpec, slices: usize, tank_c: f64, conditions: &Conditions) -> f64 {
    let plant: Plant = plant(lossless(HUGE_M3, slices), Some(solar));
    let mut state = State::new(&plant, SOURCE_C);
    state.set_tank_c(&plant, 0, &vec![tank_c; slices]);
    let mut scratch = Scratch::new(&plant);
    // The first decisions are taken, and what stood in the loop has gone round.
    plant.advance(&mut state, &mut scratch, conditions, 900, &mut Flows::new(), |_, _, _| {});
    let mut flows = Flows::new();
    plant.advance(&mut state, &mut scratch, conditions, 60, &mut flows, |_, _, _| {});
    flows.heat_into_tank_j / 60.0
}

#[test]
fn a_plate_at_half_its_flow_by_hand() {
    let fluid = solar_loop(true, steady_source(), COIL).fluid;
    let at = |rating, scale_k_w, w_m2| {
        heat_w(moved_by(MODULE, fluid, plate(rating, scale_k_w)), 30, 30.0, &sun(w_m2, 20.0))
    };
    // Rated 900 W/K at 259 W/K against 251.16. At 129.5 the loop's film resists 2^0.7 = 1.62450 times as much: 900/1.312252 = 685.84 W/K,
    // NTU 5.29609, ratio 0.515608, e^(-2.565386) = 0.076889; effectiveness (1 - 0.076889)/(1 - 0.039645) = 0.961219;
    // 0.961219 x 129.5 x 30 K. The tank warms by less than 1 mK.
    let half_w = at(PlateRating::UaWK(900.0), 0.0, HALF_W_M2);
    assert!((half_w / 3734.3 - 1.0).abs() < 5e-5, "{half_w}");
    // Scale of 0.0002 K/W: 1/(1/685.84 + 0.0002) = 603.10 W/K; NTU 4.65714, e^(-2.255878) = 0.104782, 0.895218/0.945973 = 0.946346.
    let scaled_w = at(PlateRating::UaWK(900.0), 0.0002, HALF_W_M2);
    assert!((scaled_w / 3676.6 - 1.0).abs() < 5e-5, "{scaled_w}");
    // The same plates rated by what they do at the full flow.
    let rated = counterflow_effectiveness(900.0, FLOW_W_K, 251.16);
    let by_effectiveness = PlateRating::EffectivenessFrac(rated);
    assert!((at(by_effectiveness, 0.0, HALF_W_M2) / half_w - 1.0).abs() < 1e-9);
    let full_w = at(by_effectiveness, 0.0, FULL_W_M2);
    assert!((full_w / (rated * 251.16 * 30.0) - 1.0).abs() < 5e-5, "{full_w}");
}

#[test]
fn a_rated_effectiveness_and_its_conductance_are_each_others_inverse() {
    for (flow_w_k, other_w_k) in [(259.0, 251.16), (100.0, 400.0), (400.0, 100.0), (250.0, 250.0)] {
        for ua_w_k in [0.0, 20.0, 300.0, 900.0] {
            let effectiveness = counterflow_effectiveness(ua_w_k, flow_w_k, other_w_k);
            let back_w_k = counterflow_ua_w_k(effectiveness, flow_w_k, other_w_k);
            // An effectiveness of 0.999 leaves three digits less of the conductance.
            assert!((back_w_k - ua_w_k).abs() <= 1e-10 * ua_w_k, "{ua_w_k}: {back_w_k}");
        }
        // No exchanger is ideal, but a job may say so.
        let ideal_w_k = counterflow_ua_w_k(1.0, flow_w_k, other_w_k);
        assert!((counterflow_effectiveness(ideal_w_k, flow_w_k, other_w_k) - 1.0).abs() < 2e-6);
    }
}

/// Heat in W of the tube at a capacity flow, from the correlations themselves: its conductance at the mean of both ends.
fn exact_w(fluid: Fluid, mass_flow_kg_s: f64, tank_c: f64) -> f64 {
    let mut out_c = tank_c;
    for _ in 0..40 {
        let loop_c = 0.5 * (SOURCE_C + out_c);
        let flow_m3_s = mass_flow_kg_s / fluid.density_kg_m3(loop_c);
        let point = DesignPoint { fluid, flow_m3_s, loop_c, tank_c, scale_m2_k_w: 0.0 };
        let ua_w_k = CoilUa::of(&TUBE.tube, &TUBE.mount, &point).expect("a known fluid").ua_w_k;
        // The loop's heat capacity is taken where its fluid leaves the coil.
        let flow_w_k = mass_flow_kg_s * fluid.specific_heat_j_kg_k(out_c);
        out_c = tank_c + (SOURCE_C - tank_c) * (-ua_w_k / flow_w_k).exp();
    }
    mass_flow_kg_s * fluid.specific_heat_j_kg_k(out_c) * (SOURCE_C - out_c)
}

#[test]
fn a_coil_of_tube_follows_flow_fluid_and_tank() {
    for fluid in [GLYCOL, Fluid::Water] {
        for tank_c in [15.0, 40.0, 55.0] {
            let [half_w, full_w] = [(0.035, HALF_W_M2), (0.07, FULL_W_M2)].map(|(kg_s, w_m2)| {
                let found_w = heat_w(moved_by(MODULE, fluid, COIL), 10, tank_c, &sun(w_m2, 20.0));
                let exact_w = exact_w(fluid, kg_s, tank_c);
                // 0.5 % of the table in the conductance, 0.1 % of the flow's renewal; turbulence begins elsewhere.
                assert!((found_w / exact_w - 1.0).abs() < 6e-3, "{fluid:?} {tank_c}: {found_w} {exact_w}");
                found_w
            });
            assert!(half_w < full_w);
        }
    }
    let of = |fluid| heat_w(moved_by(MODULE, fluid, COIL), 10, 15.0, &sun(FULL_W_M2, 20.0));
    // Glycol's film is the worse one: 707 against 1360 W/(m2 K) in the first rows of the worked table.
    assert!(of(GLYCOL) < 0.95 * of(Fluid::Water));
}

#[test]
fn tubes_that_cannot_be_are_refused() {
    let faults = |fluid, tube: CoilTubeSpec, ua_w_k| {
        let exchanger = match COIL {
            ExchangerSpec::Coil { bottom_frac, top_frac, inlet, .. } => {
                ExchangerSpec::Coil { bottom_frac, top_frac, ua_w_k, inlet, tube: Some(tube) }
            }
            other => other,
        };
        let spec = PlantSpec {
            solar_loop: Some(moved_by(MODULE, fluid, exchanger)),
            tanks: vec![lossless(0.3, 10)],
            plumbing: PlumbingSpec::default(),
            flow_heater: None,
            numerics: Numerics::default(),
        };
        let faults = Plant::assemble(&spec).err().unwrap_or_default();
        faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
    };
    assert_eq!(faults(GLYCOL, TUBE, 300.0), "");
    let unknown = Fluid::Constant { density_kg_m3: 1030.0, specific_heat_j_kg_k: 3700.0 };
    assert_eq!(
        faults(unknown, TUBE, 300.0),
        "exchanger: a coil of tube needs a fluid whose viscosity is known"
    );
    assert_eq!(faults(GLYCOL, TUBE, 0.0), "exchanger: UA of a coil of tube must be above zero, is 0");
    let tight = CoilTubeSpec { tube: CoilTube { coil_m: 0.01, ..TUBE.tube }, ..TUBE };
    assert!(faults(GLYCOL, tight, 300.0).contains("do not fit into each other"));
    let loose =
        Mount::Wrapped { bond_w_m_k: 0.0, tank_m: 0.5, covered_m: 0.6, wall_m: 0.0025, wall_w_m_k: 50.0 };
    let loose = CoilTubeSpec { mount: loose, ..TUBE };
    assert_eq!(faults(GLYCOL, loose, 300.0), "exchanger: bond must be above zero, is 0");
}

#[test]
fn half_a_day_of_a_proportional_pump_in_two_formulations() {
    const VOLUME_M3: f64 = 0.3;
    const LEAST: f64 = 0.2;
    const FULL_K: f64 = 40.0;
    let drive = PumpDrive::Proportional { least_frac: LEAST, full_k: FULL_K };
    let plant = plant(lossless(VOLUME_M3, 1), Some(moved_by(drive, GLYCOL, COIL)));
    let mut state = State::new(&plant, SOURCE_C);
    state.set_tank_c(&plant, 0, &[12.0]);
    let mut scratch = Scratch::new(&plant);
    // The first decision knows nothing of a cold tank yet.
    plant.advance(&mut state, &mut scratch, &sun(0.0, 20.0), 60, &mut Flows::new(), |_, _, _| {});
    let mut tank_c: f64 = 12.0;
    let mut on = true;
    for hour in 0..12 {
        plant.advance(&mut state, &mut scratch, &sun(0.0, 20.0), 3600, &mut Flows::new(), |_, _, _| {});
        // A decision a minute, the speed in twentieths; the heat a minute by the correlations.
        for _ in 0..60 {
            let difference_k = SOURCE_C - tank_c;
            on &= difference_k > 2.0;
            if on {
                let share = ((difference_k - 2.0) / (FULL_K - 2.0)).clamp(0.0, 1.0);
                let speed = ((LEAST + (1.0 - LEAST) * share) * 20.0).ceil() / 20.0;
                // Midpoints of the minute.
                let rise_k = |tank_c, seconds| {
                    exact_w(GLYCOL, 0.07 * speed, tank_c) * seconds / (VOLUME_M3 * 990.0 * 4186.0)
                };
                tank_c += rise_k(tank_c + rise_k(tank_c, 30.0), 60.0);
            }
        }
        let found_c = state.tank_c(&plant, 0)[0];
        // 0.6 % of the heat as above, of 20 K an hour at most; the later hours forget it.
        assert!((found_c - tank_c).abs() < 0.1, "hour {hour}: {found_c} {tank_c}");
    }
    // At the slowest speed and the least difference the pump has stopped.
    assert!(!on && tank_c > SOURCE_C - 2.1, "{tank_c}");
}
