//! Where nothing flows nothing moves, and what is switched off stays off.

use proptest::prelude::*;
use thermal_network::flows::{Conditions, Draw, Flows};
use thermal_network::spec::TankSpec;
use thermal_network::{Contents, Scratch, State};

use crate::plants::{START_C, assemble, day, plant};

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    /// Without draw, pump and elements a tank changes by its loss alone.
    #[test]
    fn a_tank_left_alone_only_loses(mut spec in plant(), day in day()) {
        if let Some(solar) = &mut spec.solar_loop {
            solar.controller.on_k = 1e6;
        }
        let plant = assemble(&spec);
        let mut state = State::new(&plant, START_C);
        let mut scratch = Scratch::new(&plant);
        for conditions in &day {
            let alone = Conditions { draw: Draw::default(), elements_allowed: 0, ..*conditions };
            let before = Contents::of(&plant, &state);
            let mut flows = Flows::new();
            plant.advance(&mut state, &mut scratch, &alone, 3600, &mut flows, |_, _, _| {});
            let change_j = Contents::of(&plant, &state).tank_j[0] - before.tank_j[0];
            let moved = [flows.heat_into_tank_j, flows.drawn_j[0], flows.delivered_j, flows.load_j, flows.element_j[0],
                flows.pump_j, flows.pump_s, flows.collector_heat_j, flows.tap_m3, flows.shortfall_s];
            prop_assert_eq!(moved, [0.0; 10]);
            prop_assert_eq!(flows.pump_starts, 0);
            // Rounding of a content near 1e8 J.
            prop_assert!((change_j + flows.tank_loss_j[0]).abs() <= 1e-13 * before.tank_j[0].abs() + 1e-11 * flows.tank_loss_j[0].abs());
        }
    }

    /// A tank as warm as its room, its water and its collector stays so, pump and draw or not.
    #[test]
    fn nothing_moves_where_all_is_alike(mut spec in plant(), day in day(), flow_m3_s in 0.0..2e-4) {
        if let Some(solar) = &mut spec.solar_loop {
            solar.controller.on_k = -10.0;
            solar.controller.off_k = -20.0;
            solar.pump.heat_to_fluid_frac = 0.0;
        }
        let plant = assemble(&spec);
        let mut state = State::new(&plant, START_C);
        let alike = Conditions {
            effective_w_m2: 0.0,
            plane_w_m2: 0.0,
            net_sky_w_m2: 0.0,
            air_c: START_C,
            tank_room_c: START_C,
            other_space_c: START_C,
            cold_water_c: START_C,
            draw: Draw { flow_m3_s, use_c: 50.0, comfort: true, usable_c: 40.5 },
            elements_allowed: 0,
            ..day[0]
        };
        let mut flows = Flows::new();
        plant.advance(&mut state, &mut Scratch::new(&plant), &alike, 86_400, &mut flows, |_, _, _| {});
        for c in state.tank_c(&plant, 0).iter().chain(state.collector_c(&plant)) {
            prop_assert!((c - START_C).abs() < 1e-9, "{c}");
        }
        // A day's flow of up to 1e5 W/K times rounding of 40 degC.
        prop_assert!(flows.heat_into_tank_j.abs() < 1.0 && flows.delivered_j.abs() < 1.0, "{flows:?}");
    }

    /// An element that may not run gives nothing, and no element gives more than its power.
    #[test]
    fn elements_keep_to_their_hours_and_power(spec in plant(), day in day()) {
        let plant = assemble(&spec);
        let elements = &spec.tanks[0].elements;
        let mut state = State::new(&plant, START_C);
        let mut scratch = Scratch::new(&plant);
        for conditions in &day {
            let mut flows = Flows::new();
            plant.advance(&mut state, &mut scratch, conditions, 3600, &mut flows, |_, _, _| {});
            prop_assert!(flows.element_j[0] <= most_w(&spec.tanks[0], conditions.elements_allowed) * 3600.0 * (1.0 + 1e-12));
            if elements.iter().enumerate().all(|(i, _)| conditions.elements_allowed >> i & 1 == 0) {
                prop_assert_eq!(flows.element_j[0], 0.0);
            }
        }
    }
}

/// Most power of the elements that may run: all of them, or the strongest where they wait for each other.
fn most_w(tank: &TankSpec, allowed: u32) -> f64 {
    let powers_w = tank
        .elements
        .iter()
        .enumerate()
        .filter(|(i, _)| allowed >> i & 1 == 1)
        .map(|(_, element)| element.power_w);
    if tank.interlock { powers_w.fold(0.0, f64::max) } else { powers_w.sum() }
}
