//! The pump keeps to its controller: intervals, minimum times, limits, and no start slept through.

use proptest::prelude::*;
use thermal_network::flows::{Conditions, Flows};
use thermal_network::spec::{Numerics, PlantSpec, SensorSpec};
use thermal_network::{Scratch, State};

use crate::plants::{START_C, assemble, day, plant};

/// What long and short steps may make of a standing collector and of a sensor above which cold water sinks, in K.
const START_MARGIN_K: f64 = 1.0;

/// Moments in s at which the pump changed, the first change being a start.
fn changes(spec: &PlantSpec, day: &[Conditions]) -> Vec<u32> {
    let plant = assemble(spec);
    let mut state = State::new(&plant, START_C);
    let mut scratch = Scratch::new(&plant);
    let mut changes = Vec::new();
    for (hour, conditions) in day.iter().enumerate() {
        let mut before_s = 0;
        let mut told_s = 0.0;
        plant.advance(&mut state, &mut scratch, conditions, 3600, &mut Flows::new(), |at_s, _, flows| {
            // A step in which the pump ran is one in which its time went on.
            let ran = flows.pump_s > told_s;
            if ran != (changes.len() % 2 == 1) {
                changes.push(hour as u32 * 3600 + before_s);
            }
            told_s = flows.pump_s;
            before_s = at_s;
        });
    }
    changes
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    /// Decisions fall on whole intervals; without limits the pump runs and rests as long as it must.
    #[test]
    fn minimum_times_and_intervals_are_kept(mut spec in plant(), day in day()) {
        let controller = &mut spec.solar_loop.as_mut().expect("a loop").controller;
        controller.high_limit_c = 1e6;
        controller.collector_limit_c = None;
        let (interval_s, min_on_s, min_off_s) = (controller.interval_s, controller.min_on_s, controller.min_off_s);
        let changes = changes(&spec, &day);
        for (i, pair) in changes.windows(2).enumerate() {
            prop_assert_eq!(pair[0] % interval_s, 0);
            let least_s = if i % 2 == 0 { min_on_s } else { min_off_s };
            prop_assert!(pair[1] - pair[0] >= least_s, "change {i}: {pair:?}, at least {least_s} s");
        }
    }

    /// With prompt sensors the pump never runs through an interval that began at or above a limit, and rests until the
    /// reading has left the reset band.
    #[test]
    fn limits_hold_the_pump(mut spec in plant(), day in day()) {
        let controller = &mut spec.solar_loop.as_mut().expect("a loop").controller;
        controller.tank_sensor = SensorSpec::default();
        controller.collector_sensor = SensorSpec::default();
        let controller = *controller;
        let plant = assemble(&spec);
        let mut state = State::new(&plant, START_C);
        let mut scratch = Scratch::new(&plant);
        let (mut tank_held, mut collector_held) = (false, false);
        for conditions in &day {
            // Span by span of one interval: every decision is taken on what the span before left behind.
            for _ in 0..3600 / controller.interval_s {
                let tank_c = state.tank_c(&plant, 0)[plant.sensor_slice()];
                let outlet_c = state.collector_outlet_c(&plant);
                let least_c = controller.high_limit_c - controller.high_limit_reset_k;
                tank_held = tank_c >= controller.high_limit_c || tank_held && tank_c > least_c;
                collector_held = controller.collector_limit_c.is_some_and(|limit_c| {
                    outlet_c >= limit_c || collector_held && outlet_c > limit_c - controller.collector_limit_reset_k
                });
                let mut flows = Flows::new();
                plant.advance(&mut state, &mut scratch, conditions, controller.interval_s, &mut flows, |_, _, _| {});
                let ran = flows.pump_s > 0.0;
                prop_assert!(!(ran && (tank_held || collector_held)), "tank {tank_c}, outlet {outlet_c}");
            }
        }
    }

    /// Long steps at rest sleep through no start: the first start comes between those that steps of one interval find with
    /// a slightly smaller and a slightly larger difference, give or take an interval and a tank step.
    #[test]
    fn no_start_is_slept_through(mut spec in plant(), day in day()) {
        for element in &mut spec.tanks[0].elements {
            element.power_w = 0.0;
        }
        spec.numerics = Numerics::default();
        // A limit just reached, or just not, is no matter of sleep.
        let limits = &mut spec.solar_loop.as_mut().expect("a loop").controller;
        (limits.high_limit_c, limits.collector_limit_c) = (1e6, None);
        let controller = spec.solar_loop.as_ref().expect("a loop").controller;
        let first_start_s = |quiet_step_s: u32, on_k: f64| {
            let mut spec = spec.clone();
            spec.numerics.quiet_step_s = quiet_step_s;
            let controller = &mut spec.solar_loop.as_mut().expect("a loop").controller;
            // Only the first start counts, not when it ends.
            (controller.on_k, controller.off_k) = (on_k, on_k - 1.0);
            changes(&spec, &day).first().copied().unwrap_or(u32::MAX)
        };
        let found_s = first_start_s(spec.numerics.quiet_step_s, controller.on_k);
        let fine_s = controller.interval_s.min(60);
        let spared_s = controller.interval_s + spec.numerics.tank_step_s;
        let earliest_s = first_start_s(fine_s, controller.on_k - START_MARGIN_K).saturating_sub(spared_s);
        let latest_s = first_start_s(fine_s, controller.on_k + START_MARGIN_K).saturating_add(spared_s);
        prop_assert!((earliest_s..=latest_s).contains(&found_s), "{found_s} not in {earliest_s} to {latest_s}");
    }
}
