//! No temperature leaves the range of what acts on the plant, and warm water stays on top.

use proptest::prelude::*;
use thermal_network::flows::{Conditions, FieldSun, Flows};
use thermal_network::spec::{Around, CollectorSpec, ElementSpec, PlantSpec, SensorSpec};
use thermal_network::{Contents, Scratch, State};

use crate::kinds::any_plant;
use crate::plants::{START_C, assemble, day, without_pilots};

/// Rounding of some thousand steps, in K.
const ROUNDING_K: f64 = 1e-9;

/// Coldest and hottest that anything can get, in degC.
struct Range {
    low_c: f64,
    high_c: f64,
}

impl Range {
    fn of(spec: &PlantSpec, day: &[Conditions]) -> Self {
        let mut range = Self { low_c: START_C, high_c: START_C };
        for conditions in day {
            for c in [
                conditions.air_c,
                conditions.tank_room_c,
                conditions.second_tank_room_c,
                conditions.other_space_c,
            ] {
                range.include(c);
            }
            for pipe in
                spec.plumbing.between.iter().chain(spec.plumbing.recirculation.iter().map(|line| &line.pipe))
            {
                if let Around::Steady(around_c) = pipe.around {
                    range.include(around_c);
                }
            }
            if conditions.draw.flow_m3_s > 0.0 {
                range.include(conditions.cold_water_c);
            }
            if let Some(solar) = &spec.solar_loop {
                range.include(stagnation_c(&solar.collector, conditions));
                if let Some(second) = &solar.second_field {
                    let FieldSun { effective_w_m2, plane_w_m2, net_sky_w_m2 } = conditions.second_field;
                    let there = Conditions { effective_w_m2, plane_w_m2, net_sky_w_m2, ..*conditions };
                    range.include(stagnation_c(&second.collector, &there));
                }
            }
            // A recirculation loop passes the flow-through heater and comes back to a tank.
            if let (Some(heater), Some(_)) = (&spec.flow_heater, &spec.plumbing.recirculation) {
                range.include(heater.set_c);
            }
            for element in spec.tanks.iter().flat_map(|tank| &tank.elements) {
                range.include(off_c(element, conditions.tank_room_c));
                range.include(off_c(element, conditions.second_tank_room_c));
                range.include(off_c(element, conditions.air_c));
                range.include(off_c(element, conditions.other_space_c));
            }
        }
        range
    }

    fn include(&mut self, c: f64) {
        self.low_c = self.low_c.min(c);
        self.high_c = self.high_c.max(c);
    }

    fn holds(&self, c: f64) -> bool {
        (self.low_c - ROUNDING_K..=self.high_c + ROUNDING_K).contains(&c)
    }
}

/// Where a standing collector ends up: the difference at which the loss of 1 m2 takes all that comes in, by bisection.
fn stagnation_c(collector: &CollectorSpec, conditions: &Conditions) -> f64 {
    let wind = conditions.wind_m_s - 3.0;
    let gain_w_m2 = collector.eta0b * conditions.effective_w_m2
        - collector.a6_s_m * wind * conditions.plane_w_m2
        + collector.a4_frac * conditions.net_sky_w_m2;
    let linear = (collector.a1_w_m2_k + collector.a3_j_m3_k * wind).max(0.0);
    let loss = |d: f64| d * (linear + collector.a2_w_m2_k2 * d + collector.a8_w_m2_k4 * d * d * d);
    let (mut less, mut more) = (0.0, 1e6);
    for _ in 0..100 {
        let middle = 0.5 * (less + more);
        if loss(middle) < gain_w_m2.abs() { less = middle } else { more = middle }
    }
    conditions.air_c + more * gain_w_m2.signum()
}

/// True temperature at which a thermostat opens.
fn off_c(element: &ElementSpec, room_c: f64) -> f64 {
    let sensor = element.sensor;
    (element.set_c - sensor.offset_k - sensor.seat_loss_frac * room_c) / (1.0 - sensor.seat_loss_frac)
}

/// The plant without what may rightly go beyond: heat of the pump and of pilots, and thermostats that see the heat too late.
fn prompt(mut spec: PlantSpec) -> PlantSpec {
    if let Some(solar) = &mut spec.solar_loop {
        solar.pump.heat_to_fluid_frac = 0.0;
    }
    let plumbing = &mut spec.plumbing;
    let pumps = plumbing.transfer.iter_mut().map(|transfer| &mut transfer.pump);
    for pump in pumps.chain(plumbing.recirculation.iter_mut().map(|line| &mut line.pump)) {
        pump.heat_to_water_frac = 0.0;
    }
    for element in spec.tanks.iter_mut().flat_map(|tank| &mut tank.elements) {
        element.sensor = SensorSpec { lag_s: 0.0, ..element.sensor };
    }
    spec
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn no_temperature_leaves_the_range_of_its_inputs(spec in any_plant(), day in day()) {
        let spec = without_pilots(prompt(spec));
        let plant = assemble(&spec);
        let range = Range::of(&spec, &day);
        let mut state = State::new(&plant, START_C);
        let mut scratch = Scratch::new(&plant);
        let contents = Contents::of(&plant, &state);
        let (pipes_j_k, plumbing_j_k) = (contents.pipes_j / START_C, contents.plumbing_j / START_C);
        for (hour, conditions) in day.iter().enumerate() {
            let mut outside = None;
            plant.advance(&mut state, &mut scratch, conditions, 3600, &mut Flows::new(), |at_s, state, _| {
                let contents = Contents::of(&plant, state);
                let pipes_c = contents.pipes_j / pipes_j_k;
                let plumbing_c = if plumbing_j_k > 0.0 { contents.plumbing_j / plumbing_j_k } else { START_C };
                let tanks_c = (0..plant.tanks()).flat_map(|tank| state.tank_c(&plant, tank));
                for c in tanks_c.chain(state.collector_c(&plant)).chain([&pipes_c, &plumbing_c]) {
                    if !range.holds(*c) {
                        outside.get_or_insert((at_s, *c));
                    }
                }
            });
            prop_assert!(
                outside.is_none(),
                "hour {hour}: {outside:?} outside {} to {}", range.low_c, range.high_c
            );
        }
    }

    #[test]
    fn slices_are_in_order_after_every_step(spec in any_plant(), day in day()) {
        let plant = assemble(&spec);
        let mut state = State::new(&plant, START_C);
        let mut scratch = Scratch::new(&plant);
        for conditions in &day {
            let mut inverted_k: f64 = 0.0;
            plant.advance(&mut state, &mut scratch, conditions, 3600, &mut Flows::new(), |_, state, _| {
                let pairs = (0..plant.tanks()).flat_map(|tank| state.tank_c(&plant, tank).windows(2));
                for pair in pairs {
                    inverted_k = inverted_k.max(pair[0] - pair[1]);
                }
            });
            prop_assert!(inverted_k <= ROUNDING_K, "{inverted_k} K");
        }
    }
}
