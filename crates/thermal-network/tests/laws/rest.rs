//! Where nothing flows nothing moves, and what is switched off stays off.

use proptest::prelude::*;
use thermal_network::flows::{Conditions, Draw, Flows};
use thermal_network::spec::{MapSpec, SourceSpec, TankSpec};
use thermal_network::{Contents, Scratch, State};

use crate::plants::{START_C, assemble, day, plant, without_pilots};

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    /// Without draw, pump and elements a tank changes by its loss alone.
    #[test]
    fn a_tank_left_alone_only_loses(spec in plant(), day in day()) {
        let mut spec = without_pilots(spec);
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
            let moved = [flows.heat_into_tank_j, flows.drawn_j[0], flows.delivered_j, flows.load_j, flows.backup_heat_j(),
                flows.fuel_j, flows.pump_j, flows.pump_s, flows.collector_heat_j, flows.tap_m3, flows.shortfall_s];
            prop_assert_eq!(moved, [0.0; 11]);
            prop_assert_eq!(flows.pump_starts, 0);
            // Rounding of a content near 1e8 J.
            prop_assert!((change_j + flows.tank_loss_j[0]).abs() <= 1e-13 * before.tank_j[0].abs() + 1e-11 * flows.tank_loss_j[0].abs());
        }
    }

    /// A tank as warm as its room, its water and its collector stays so, pump and draw or not.
    #[test]
    fn nothing_moves_where_all_is_alike(spec in plant(), day in day(), flow_m3_s in 0.0..2e-4) {
        let mut spec = without_pilots(spec);
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

    /// What may not run gives nothing but its pilot's warmth and buys nothing but its standby, and nothing gives more than its
    /// power; what is bought makes the heat.
    #[test]
    fn backup_keeps_to_its_hours_and_power(spec in plant(), day in day()) {
        let plant = assemble(&spec);
        let tank = &spec.tanks[0];
        let mut state = State::new(&plant, START_C);
        let mut scratch = Scratch::new(&plant);
        for conditions in &day {
            let mut flows = Flows::new();
            plant.advance(&mut state, &mut scratch, conditions, 3600, &mut flows, |_, _, _| {});
            let allowed = |i: usize| conditions.elements_allowed >> i & 1 == 1;
            let most = Most::of(tank, conditions);
            let in_tank_j = flows.element_j[0] + flows.burner_j[0] + flows.heat_pump_j[0];
            prop_assert!(in_tank_j <= (most.heat_w + most.pilots_w) * 3600.0 * (1.0 + 1e-12), "{flows:?}");
            if (0..tank.elements.len()).all(|i| !allowed(i)) {
                prop_assert!(in_tank_j <= most.pilots_w * 3600.0 * (1.0 + 1e-12));
                prop_assert_eq!(flows.heat_pump_j[0] + flows.element_j[0], 0.0);
            }
            let mut standby_j = 0.0;
            if let Some(heater) = &spec.flow_heater {
                standby_j = heater.standby_w * 3600.0;
                let most_w = if allowed(tank.elements.len()) { heater.power_w } else { 0.0 };
                prop_assert!(flows.flow_heater_j <= most_w * 3600.0 * (1.0 + 1e-12));
            } else {
                prop_assert_eq!(flows.flow_heater_j, 0.0);
            }
            // Fuel makes no more heat than it holds; the COP of a random heat pump stays below its rated 5 times the most of
            // the usual surface.
            prop_assert!(flows.burner_j[0] <= flows.fuel_j * (1.0 + 1e-12));
            prop_assert!(flows.compressor_and_flow_j >= (standby_j + flows.heat_pump_j[0] / 25.0) * (1.0 - 1e-12));
        }
    }
}

/// Most that the backup in a tank can give under some conditions.
struct Most {
    heat_w: f64,
    pilots_w: f64,
}

impl Most {
    /// Where they wait for each other, the strongest alone counts.
    fn of(tank: &TankSpec, conditions: &Conditions) -> Self {
        let mut most = Self { heat_w: 0.0, pilots_w: 0.0 };
        let room_c = conditions.surroundings_c(tank.surroundings);
        for (i, element) in tank.elements.iter().enumerate() {
            let mut power_w = element.power_w;
            match &element.source {
                SourceSpec::Electric => {}
                SourceSpec::Burner(burner) => most.pilots_w += burner.pilot_w * burner.pilot_to_water_frac,
                // The coldest water takes most heat.
                SourceSpec::HeatPump(heat_pump) => {
                    power_w *= heat_pump.power_map.at(room_c, MapSpec::WATER_C.0);
                }
            }
            if conditions.elements_allowed >> i & 1 == 1 {
                most.heat_w = if tank.interlock { most.heat_w.max(power_w) } else { most.heat_w + power_w };
            }
        }
        most
    }
}
