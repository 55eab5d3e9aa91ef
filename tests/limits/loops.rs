//! Kinds of loop and duties of a controller against closed forms, or a second formulation of the same balance.

use thermal_network::flows::{Conditions, FieldSun, Flows};
use thermal_network::fluid::Fluid;
use thermal_network::hydraulics::{Circuit, GRAVITY_M_S2, TubeRun};
use thermal_network::spec::{
    CollectorSpec, DrainbackSpec, DumpSpec, Duties, FreezeSpec, LoopKind, LoopSpec, NaturalSpec,
    NightCoolingSpec, PipeRunSpec, PumpDrive, SecondFieldSpec, Surroundings,
};
use thermal_network::{Contents, Plant, Scratch, State};

use super::plants::{
    FLOW_W_K, HUGE_M3, OPEN_LOOP, advance, lossless, plant, solar_loop, steady_source, still, sun,
};

/// Heat capacity of the fluid of these plants in J/(m3 K).
const FLUID_J_M3_K: f64 = 1030.0 * 3700.0;

/// 1 m2 that takes up 0.7 of the sun and loses nothing.
fn lossless_collector(cells: usize) -> CollectorSpec {
    CollectorSpec { area_m2: 1.0, eta0b: 0.7, a5_j_m2_k: 8000.0, cells, ..CollectorSpec::default() }
}

/// A loop that drains; 1 L of fluid in the collector, 20 L in all.
fn drainback(collector: CollectorSpec) -> LoopSpec {
    let kind = LoopKind::Drainback(DrainbackSpec {
        collector_m3: 1e-3,
        reservoir_m3: 20e-3,
        reservoir_w_k: 1.5,
        surroundings: Surroundings::TankRoom,
        fill_s: 90,
        fill_w: 120.0,
    });
    LoopSpec { kind, ..solar_loop(false, collector, OPEN_LOOP) }
}

#[test]
fn a_drained_loop_stands_dry_and_its_reservoir_cools() {
    let losing = CollectorSpec { eta0b: 0.0, a1_w_m2_k: 4.0, ..lossless_collector(3) };
    let plant = plant(lossless(0.3, 1), Some(drainback(losing)));
    let mut state = State::new(&plant, 60.0);
    let reservoir_j_k = Contents::of(&plant, &state).pipes_j / 60.0;
    assert!((reservoir_j_k / (20e-3 * FLUID_J_M3_K) - 1.0).abs() < 1e-12);
    advance(&plant, &mut state, &still(20.0), 900);
    // Both relax exponentially; the scheme of a standing pipe is good to 5e-6 of the fall.
    let fallen_c = |time_constant_s: f64| 20.0 + 40.0 * (-900.0 / time_constant_s).exp();
    let dry_j_m2_k = 8000.0 - 1e-3 * FLUID_J_M3_K;
    assert!((state.collector_outlet_c(&plant) - fallen_c(dry_j_m2_k / 4.0)).abs() < 1e-3);
    let reservoir_c = Contents::of(&plant, &state).pipes_j / reservoir_j_k;
    assert!((reservoir_c - fallen_c(reservoir_j_k / 1.5)).abs() < 1e-3, "{reservoir_c}");
}

#[test]
fn filling_takes_its_time_and_mixes_fluid_into_the_hot_collector() {
    let mut solar = drainback(lossless_collector(3));
    (solar.controller.on_k, solar.controller.off_k) = (30.0, 1.0);
    let plant = plant(lossless(HUGE_M3, 1), Some(solar));
    let mut state = State::new(&plant, 20.0);
    let bright = sun(800.0, 20.0);
    let mut waited_s = 0;
    while !state.pump_on() {
        advance(&plant, &mut state, &bright, 60);
        waited_s += 60;
        assert!(waited_s < 3600, "the pump never starts");
    }
    // The decision that starts it is taken, and acted on, in the minute just past: 60 s of the fill are over.
    let (mut filled_c, mut flows) = (f64::NAN, Flows::new());
    plant.advance(&mut state, &mut Scratch::new(&plant), &bright, 30, &mut flows, |_, state, _| {
        filled_c = state.collector_outlet_c(&plant);
    });
    let dry_j_m2_k = 8000.0 - 1e-3 * FLUID_J_M3_K;
    let dry_c = 20.0 + 0.7 * 800.0 * f64::from(waited_s + 30) / dry_j_m2_k;
    // The reservoir stands in a room as warm as itself.
    let mixed_c = (dry_j_m2_k * dry_c + 1e-3 * FLUID_J_M3_K * 20.0) / 8000.0;
    assert!((filled_c - mixed_c).abs() < 1e-9, "{filled_c} {mixed_c}");
    assert_eq!((flows.refills, flows.heat_into_tank_j), (1, 0.0));
    assert!((flows.pump_j - 120.0 * 30.0).abs() < 1e-9);
    // Running, then dark: it drains, and no heat is lost on the way (`advance` holds the balance).
    let mut dark = advance(&plant, &mut state, &bright, 1800);
    assert!(dark.heat_into_tank_j > 0.0 && dark.refills == 0, "{dark:?}");
    dark = advance(&plant, &mut state, &still(20.0), 7200);
    assert!(!state.pump_on() && dark.refills == 0);
}

#[test]
fn a_hot_collector_is_not_refilled() {
    let mut solar = drainback(lossless_collector(1));
    (solar.controller.on_k, solar.controller.off_k) = (30.0, 1.0);
    solar.controller.duties.start_below_c = Some(45.0);
    // Decided so seldom that the collector passes from 20 to 50 C and beyond 45 C between two decisions.
    solar.controller.interval_s = 1200;
    let plant = plant(lossless(HUGE_M3, 1), Some(solar));
    let mut state = State::new(&plant, 20.0);
    let flows = advance(&plant, &mut state, &sun(800.0, 20.0), 7200);
    assert_eq!((flows.pump_s, flows.refills), (0.0, 0));
    assert!(flows.stagnation_s > 0.0, "held in the sun above 120 C");
}

/// A loop of laminar water without pump: 12 m of tube of 12 mm, collector 1 m high, tank 0.5 to 1.5 m above its outlet.
fn natural(back_frac: f64) -> NaturalSpec {
    let tube = TubeRun { length_m: 12.0, fittings_m: 0.0, bore_m: 0.012, roughness_m: 1.5e-6, coil_m: None };
    NaturalSpec {
        circuit: Circuit { fluid: Fluid::Water, tubes: vec![tube], devices: Vec::new() },
        collector_m: 1.0,
        cold_end_m: 1.5,
        hot_end_m: 2.5,
        back_frac,
    }
}

fn siphon(kind: LoopKind, collector: CollectorSpec) -> Plant {
    // 3 m each way in a room, without loss worth naming while it flows.
    let run = PipeRunSpec {
        length_m: 3.0,
        surroundings: Surroundings::TankRoom,
        bore_m: 0.012,
        tube_outer_m: 0.013,
        insulation_m: 0.02,
        insulation_w_m_k: 1e-5,
        wall_capacity_j_m_k: 100.0,
        inner_film_w_m2_k: None,
        outer_film_w_m2_k: None,
    };
    let (supply, ret) = (vec![run], vec![run]);
    let solar =
        LoopSpec { fluid: Fluid::Water, kind, supply, ret, ..solar_loop(false, collector, OPEN_LOOP) };
    plant(lossless(HUGE_M3, 1), Some(solar))
}

#[test]
fn a_thermosiphon_flows_as_friction_and_buoyancy_agree() {
    let (tank_c, cells) = (30.0, 4);
    let plant = siphon(LoopKind::Thermosiphon(natural(0.0)), lossless_collector(cells));
    for sun_w_m2 in [150.0, 400.0, 900.0] {
        let mut state = State::new(&plant, tank_c);
        advance(&plant, &mut state, &sun(sun_w_m2, 20.0), 6 * 3600);
        let steady = advance(&plant, &mut state, &sun(sun_w_m2, 20.0), 3600);
        let heat_w = 0.7 * sun_w_m2;
        assert!((steady.heat_into_tank_j / (heat_w * 3600.0) - 1.0).abs() < 1e-3, "{steady:?}");
        assert_eq!((steady.pump_s, steady.pump_j), (0.0, 0.0));
        // Second formulation: Hagen and Poiseuille against the columns' weights, by bisection over the flow.
        let rho = |c: f64| Fluid::Water.density_kg_m3(c);
        let rise_k =
            |flow_m3_s: f64, c: f64| heat_w / (flow_m3_s * rho(c) * Fluid::Water.specific_heat_j_kg_k(c));
        let surplus_m = |flow_m3_s: f64| {
            let rise_k = rise_k(flow_m3_s, tank_c);
            // Mixed cells: the mean of N equal steps up to the outlet.
            let mean_k = rise_k * (cells as f64 + 1.0) / (2.0 * cells as f64);
            let return_c = tank_c + rise_k;
            let loop_c = 0.25 * (2.0 * tank_c + mean_k + tank_c + return_c);
            let head_m = (rho(tank_c) * 2.5 - rho(tank_c + mean_k) - rho(return_c) * 1.5) / rho(loop_c);
            let mu = Fluid::Water.viscosity_pa_s(loop_c).unwrap();
            let friction_m = 128.0 * mu * 12.0 * flow_m3_s
                / (std::f64::consts::PI * rho(loop_c) * GRAVITY_M_S2 * 0.012_f64.powi(4));
            head_m - friction_m
        };
        let (mut less, mut more) = (1e-7, 1e-3);
        for _ in 0..60 {
            let middle = 0.5 * (less + more);
            if surplus_m(middle) > 0.0 { less = middle } else { more = middle }
        }
        let found_k = state.collector_outlet_c(&plant) - tank_c;
        // The friction table interpolates viscosity over 20 K (1 %); the plant takes density and heat at the loop's mean.
        assert!(
            (found_k / rise_k(less, tank_c) - 1.0).abs() < 0.02,
            "{sun_w_m2}: {found_k} {}",
            rise_k(less, tank_c)
        );
    }
}

#[test]
fn a_missing_check_valve_lets_the_tank_cool_at_night() {
    let losing = CollectorSpec { eta0b: 0.0, a1_w_m2_k: 4.0, ..lossless_collector(4) };
    // The collector 3 m above the tank, as on a roof.
    let below = |back_frac| NaturalSpec { cold_end_m: -3.5, hot_end_m: -2.5, ..natural(back_frac) };
    let night = |kind| {
        let plant = siphon(kind, losing);
        let mut state = State::new(&plant, 60.0);
        advance(&plant, &mut state, &still(0.0), 4 * 3600);
        let steady = advance(&plant, &mut state, &still(0.0), 3600);
        (steady, state.collector_c(&plant).to_vec())
    };
    let (open, cells_c) = night(LoopKind::Leaking(below(1.0)));
    // What leaves the tank is what the collector loses; the loop holds next to nothing.
    assert!(
        open.back_flow_j > 0.0 && (open.back_flow_j / open.collector_loss_j - 1.0).abs() < 1e-3,
        "{open:?}"
    );
    assert_eq!(open.heat_into_tank_j, -open.back_flow_j);
    // It comes in at the outlet: the last cell is the warmest.
    assert!(cells_c.windows(2).all(|pair| pair[0] < pair[1]), "{cells_c:?}");
    let (leaky, _) = night(LoopKind::Leaking(below(0.1)));
    assert!(leaky.back_flow_j > 0.0 && leaky.back_flow_j < 0.8 * open.back_flow_j, "{leaky:?}");
    // Tight, or a tank above the collector: nothing moves.
    for kind in [LoopKind::Filled, LoopKind::Leaking(below(0.0)), LoopKind::Thermosiphon(natural(1.0))] {
        let (still, _) = night(kind);
        assert_eq!((still.back_flow_j, still.heat_into_tank_j), (0.0, 0.0));
    }
}

/// A collector at 80 C over a tank at 40 C, and what an hour of it makes; neither moves by more than 1 mK in it (2e-5 of 40 K).
fn hour(duties: Duties, off_k: f64, conditions: &Conditions) -> Flows {
    let mut solar = solar_loop(true, steady_source(), OPEN_LOOP);
    (solar.controller.on_k, solar.controller.off_k) = (10.0, off_k);
    solar.controller.duties = duties;
    let plant = plant(lossless(HUGE_M3, 1), Some(solar));
    let mut state = State::new(&plant, 80.0);
    state.set_tank_c(&plant, 0, &[40.0]);
    // What stood in the loop has gone round, and the first decisions are taken.
    let mut scratch = Scratch::new(&plant);
    plant.advance(&mut state, &mut scratch, conditions, 600, &mut Flows::new(), |_, _, _| {});
    advance(&plant, &mut state, conditions, 3600)
}

#[test]
fn a_proportional_pump_slows_with_the_difference() {
    for (full_k, share) in [(20.0, 1.0), (72.0, 0.7), (500.0, 0.4)] {
        // 0.3 + 0.7 (40 - 4)/(full - 4): 1, 0.67 and 0.351, up to the next twentieth.
        let drive = PumpDrive::Proportional { least_frac: 0.3, full_k };
        let flows = hour(Duties { drive, ..Duties::default() }, 4.0, &still(20.0));
        let heat_w = share * FLOW_W_K * 40.0;
        assert!((flows.heat_into_tank_j / (heat_w * 3600.0) - 1.0).abs() < 2e-5, "{full_k}: {flows:?}");
        // 45 W by the cube of the speed, a tenth at least.
        let power_w = 45.0 * f64::max(share * share * share, 0.1);
        assert!((flows.pump_j / (power_w * 3600.0) - 1.0).abs() < 1e-9);
    }
}

#[test]
fn a_module_drives_the_pump_with_the_sun_and_a_timer_by_the_clock() {
    let module = PumpDrive::Sun { start_w_m2: 200.0, full_w_m2: 700.0 };
    let duties = |drive| Duties { drive, ..Duties::default() };
    for (sun_w_m2, share) in [(100.0, 0.0), (200.0, 0.0), (450.0, 0.5), (1000.0, 1.0)] {
        let flows = hour(duties(module), 4.0, &sun(sun_w_m2, 20.0));
        let heat_j = share * FLOW_W_K * 40.0 * 3600.0;
        assert!((flows.heat_into_tank_j - heat_j).abs() <= 2e-5 * heat_j, "{sun_w_m2}: {flows:?}");
        assert_eq!(flows.pump_j, 0.0, "nothing is bought");
    }
    let on = hour(duties(PumpDrive::Timer), 4.0, &Conditions { timer_on: true, ..still(20.0) });
    let off = hour(duties(PumpDrive::Timer), 4.0, &still(20.0));
    assert_eq!((on.pump_s, off.pump_s), (3600.0, 0.0));
}

#[test]
fn a_dump_takes_what_its_conductance_and_the_flow_allow() {
    let dump = DumpSpec { on_c: 75.0, reset_k: 5.0, ua_w_k: 200.0, surroundings: Surroundings::Outdoor };
    let flows = hour(Duties { dump: Some(dump), ..Duties::default() }, 4.0, &still(20.0));
    // One side isothermal: C (1 - exp(-UA/C)) (80 - 20).
    let heat_w = FLOW_W_K * (1.0 - (-200.0 / FLOW_W_K).exp()) * 60.0;
    assert!((flows.dump_j / (heat_w * 3600.0) - 1.0).abs() < 2e-5, "{} {heat_w}", flows.dump_j / 3600.0);
    assert_eq!(flows.heat_into_tank_j, 0.0);
}

#[test]
fn circulation_keeps_the_collector_from_freezing_at_the_tanks_cost() {
    let losing = CollectorSpec { eta0b: 0.0, a1_w_m2_k: 4.0, area_m2: 4.0, ..lossless_collector(6) };
    let mut solar = solar_loop(false, losing, OPEN_LOOP);
    let plant_of = |solar: LoopSpec| plant(lossless(HUGE_M3, 1), Some(solar));
    let coldest = |plant: &Plant| {
        let mut state = State::new(plant, 40.0);
        let (mut flows, mut coldest_c) = (Flows::new(), f64::INFINITY);
        plant.advance(
            &mut state,
            &mut Scratch::new(plant),
            &still(-10.0),
            12 * 3600,
            &mut flows,
            |_, state, _| {
                coldest_c = coldest_c.min(state.collector_outlet_c(plant));
            },
        );
        (flows, coldest_c)
    };
    let (idle, bare_c) = coldest(&plant_of(solar.clone()));
    assert!(bare_c < -9.0 && idle.freeze_j == 0.0);
    solar.controller.duties.freeze = Some(FreezeSpec { on_c: 4.0, off_c: 8.0 });
    let (kept, kept_c) = coldest(&plant_of(solar));
    // A decision a minute: 14 K over the air fall by 0.4 K in it (time constant 2000 s).
    assert!(kept_c > 4.0 - 0.45, "{kept_c}");
    assert_eq!(kept.freeze_j, -kept.heat_into_tank_j);
    assert!(kept.freeze_j > 0.0 && kept.pump_s > 0.0);
    // In the long run the tank pays what the collector loses, give or take what it holds: 32 kJ/K, 40 K at most.
    assert!((kept.freeze_j - kept.collector_loss_j).abs() < 32e3 * 45.0, "{kept:?}");
}

#[test]
fn an_overheated_tank_is_cooled_by_night_to_its_mark() {
    let losing = CollectorSpec { eta0b: 0.0, a1_w_m2_k: 4.0, area_m2: 4.0, ..lossless_collector(6) };
    let mut solar = solar_loop(false, losing, OPEN_LOOP);
    (solar.controller.on_k, solar.controller.off_k) = (8.0, 3.0);
    solar.controller.duties.night_cooling = Some(NightCoolingSpec { on_c: 70.0, off_c: 60.0 });
    let plant = plant(lossless(0.2, 1), Some(solar));
    let night = |start_c: f64| {
        let mut state = State::new(&plant, start_c);
        let flows = advance(&plant, &mut state, &still(20.0), 24 * 3600);
        (flows, state.tank_c(&plant, 0)[0])
    };
    let (idle, idle_c) = night(69.0);
    assert_eq!((idle.night_cooling_j, idle_c), (0.0, 69.0));
    let (cooled, cooled_c) = night(75.0);
    // A minute takes 0.2 m3 by 0.05 K at most: 16 W/K over 40 K.
    assert!(cooled_c <= 60.0 && cooled_c > 59.9, "{cooled_c}");
    assert!((cooled.night_cooling_j / (0.2 * 990.0 * 4186.0 * (75.0 - cooled_c)) - 1.0).abs() < 1e-9);
}

/// Two like fields under like sun are one field of both areas, whatever moves the loop.
#[test]
fn two_planes_alike_are_one_field() {
    let below = NaturalSpec { cold_end_m: -3.5, hot_end_m: -2.5, ..natural(1.0) };
    let half = CollectorSpec { area_m2: 2.0, a1_w_m2_k: 4.0, a2_w_m2_k2: 0.01, ..lossless_collector(6) };
    let whole = CollectorSpec { area_m2: 4.0, ..half };
    for kind in [
        LoopKind::Filled,
        drainback(whole).kind,
        LoopKind::Leaking(below),
        LoopKind::Thermosiphon(natural(1.0)),
    ] {
        let mut one = LoopSpec { kind, ..solar_loop(false, whole, OPEN_LOOP) };
        (one.controller.on_k, one.controller.off_k) = (8.0, 3.0);
        let second_field = Some(SecondFieldSpec { collector: half, flow_frac: 0.5 });
        let two = LoopSpec { collector: half, second_field, ..one.clone() };
        let bright = sun(700.0, 10.0);
        let second_field = FieldSun { effective_w_m2: 700.0, plane_w_m2: 700.0, net_sky_w_m2: 0.0 };
        let day = |solar: LoopSpec| {
            let plant = plant(lossless(0.2, 5), Some(solar));
            let mut state = State::new(&plant, 20.0);
            let mut flows = advance(&plant, &mut state, &Conditions { second_field, ..bright }, 4 * 3600);
            flows.add(&advance(&plant, &mut state, &still(10.0), 4 * 3600));
            flows
        };
        let name = format!("{:?}", one.kind);
        let (one, two) = (day(one), day(two));
        assert_eq!(
            (one.pump_s, one.pump_starts, one.refills),
            (two.pump_s, two.pump_starts, two.refills),
            "{name}"
        );
        for (a, b) in [
            (one.absorbed_j, two.absorbed_j),
            (one.collector_heat_j, two.collector_heat_j),
            (one.collector_loss_j, two.collector_loss_j),
            (one.heat_into_tank_j, two.heat_into_tank_j),
            (one.back_flow_j, two.back_flow_j),
        ] {
            // Rounding, but for the dark, in which the first field takes longer steps.
            assert!((a - b).abs() <= 1e-4 * a.abs().max(1.0), "{name} {one:?} {two:?}");
        }
    }
}

#[test]
fn unlike_planes_mix_their_shares_of_the_flow_and_the_warmer_one_starts_the_pump() {
    let cold = CollectorSpec { a5_j_m2_k: 1e11, ..lossless_collector(1) };
    // Sun on the second plane alone: it warms by 0.7 x 800 / 8000 = 0.07 K/s, and starts the pump 10 K over the tank.
    let warm = lossless_collector(1);
    let second_field = Some(SecondFieldSpec { collector: warm, flow_frac: 0.25 });
    let mut solar = LoopSpec { second_field, ..solar_loop(false, cold, OPEN_LOOP) };
    (solar.controller.on_k, solar.controller.off_k) = (10.0, 2.0);
    let plant = plant(lossless(HUGE_M3, 1), Some(solar));
    let mut state = State::new(&plant, 20.0);
    let second_field = FieldSun { effective_w_m2: 800.0, plane_w_m2: 800.0, net_sky_w_m2: 0.0 };
    let morning = Conditions { second_field, ..still(20.0) };
    advance(&plant, &mut state, &morning, 180);
    // 10 K are reached after 143 s; the next decision comes at 180 s.
    assert!(!state.pump_on());
    advance(&plant, &mut state, &morning, 60);
    assert!(state.pump_on());
    advance(&plant, &mut state, &morning, 3600);
    let flows = advance(&plant, &mut state, &morning, 3600);
    // Steady: all that the warm field takes up comes out, mixed with water that the cold one leaves as it is.
    assert!((flows.heat_into_tank_j / (0.7 * 800.0 * 3600.0) - 1.0).abs() < 1e-4, "{flows:?}");
}

#[test]
fn a_batch_collector_warms_and_cools_as_one_mass() {
    let glass = CollectorSpec { a1_w_m2_k: 5.0, area_m2: 2.5, ..lossless_collector(6) };
    let solar = LoopSpec { kind: LoopKind::Batch, ..solar_loop(false, glass, OPEN_LOOP) };
    let plant = plant(lossless(0.15, 1), Some(solar));
    let mut state = State::new(&plant, 20.0);
    let flows = advance(&plant, &mut state, &sun(800.0, 20.0), 6 * 3600);
    let time_constant_s: f64 = 0.15 * 990.0 * 4186.0 / (5.0 * 2.5);
    // Towards 0.7 x 800/5 = 112 K over the air.
    let warm_c = 20.0 + 112.0 * (1.0 - f64::exp(-6.0 * 3600.0 / time_constant_s));
    let found_c = state.tank_c(&plant, 0)[0];
    // Closed form against closed form, but for a series of the exponential good to 1e-6.
    assert!((found_c - warm_c).abs() < 1e-4, "{found_c} {warm_c}");
    assert!((flows.heat_into_tank_j / (0.15 * 990.0 * 4186.0 * (found_c - 20.0)) - 1.0).abs() < 1e-9);
    advance(&plant, &mut state, &still(5.0), 10 * 3600);
    let night_c = 5.0 + (found_c - 5.0) * f64::exp(-36_000.0 / time_constant_s);
    assert!((state.tank_c(&plant, 0)[0] - night_c).abs() < 1e-4);
}
