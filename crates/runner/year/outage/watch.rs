//! What is looked for in a plant without power: how hot it becomes, and where its fluid may freeze.

use thermal_network::flows::{Conditions, Flows};
use thermal_network::spec::{LoopKind, PlantSpec};
use thermal_network::{Plant, State};

use super::days::ThreeDays;
use crate::record::{Chill, Outage};

/// Freezing point of tank water in degC.
const WATER_FREEZES_C: f64 = 0.0;

/// Watches a plant piece by piece.
pub(super) struct Watch<'a> {
    plant: &'a Plant,
    tanks: usize,
    /// The collector is the first tank.
    batch: bool,
    /// Supply and return pipe are there.
    pipes: [bool; 2],
    /// What was seen so far.
    pub(super) outage: Outage,
}

impl<'a> Watch<'a> {
    pub(super) fn new(spec: &PlantSpec, plant: &'a Plant, days: &ThreeDays) -> Self {
        let solar = spec.solar_loop.as_ref();
        let there = |runs: &[thermal_network::spec::PipeRunSpec]| runs.iter().any(|run| run.length_m > 0.0);
        let outage = Outage {
            spell: days.spell,
            first_day: days.first_day,
            // A fluid of constant properties does not say what it is, and is taken as water.
            freezing_c: solar.and_then(|solar| solar.fluid.freezing_c()).unwrap_or(WATER_FREEZES_C),
            mean_air_c: days.mean_air_c,
            sun_kwh_m2: days.sun_kwh_m2,
            hottest_collector_c: f64::NEG_INFINITY,
            hottest_pipe_c: None,
            hottest_tank_c: f64::NEG_INFINITY,
            collector: Chill::default(),
            supply: Chill::default(),
            ret: Chill::default(),
            tank: Chill::default(),
            shower_l: 0.0,
            cool_shower_l: 0.0,
            days_to_recover: None,
        };
        Self {
            plant,
            tanks: spec.tanks.len(),
            batch: solar.is_some_and(|solar| solar.kind == LoopKind::Batch),
            pipes: solar.map_or([false; 2], |solar| [there(&solar.supply), there(&solar.ret)]),
            outage,
        }
    }

    /// Looks at the end of a piece.
    pub(super) fn look(&mut self, conditions: &Conditions, flows: &Flows, state: &State) {
        let hours = flows.duration_s / 3600.0;
        let outage = &mut self.outage;
        outage.cool_shower_l += flows.cool_shower_m3 * 1000.0;
        if conditions.draw.comfort {
            outage.shower_l += flows.tap_m3 * 1000.0;
        }
        outage.hottest_collector_c = outage.hottest_collector_c.max(flows.hottest_collector_c);
        for tank in 0..self.tanks {
            let slices_c = state.tank_c(self.plant, tank);
            outage.hottest_tank_c = slices_c.iter().copied().fold(outage.hottest_tank_c, f64::max);
        }
        let tanks_c =
            (usize::from(self.batch)..self.tanks).map(|tank| lowest(state.tank_c(self.plant, tank)));
        if let Some(lowest_c) = tanks_c.reduce(f64::min) {
            outage.tank.add(lowest_c, WATER_FREEZES_C, hours);
        }
        let pipes_c = state.pipes_c();
        for ((_, hottest_c), _) in pipes_c.iter().zip(self.pipes).filter(|(_, there)| *there) {
            let before_c = outage.hottest_pipe_c.unwrap_or(f64::NEG_INFINITY);
            outage.hottest_pipe_c = Some(before_c.max(*hottest_c));
        }
        if state.drained() {
            return;
        }
        let collectors_c = if self.batch {
            lowest(state.tank_c(self.plant, 0))
        } else {
            lowest(state.collector_c(self.plant)).min(lowest(state.second_collector_c(self.plant)))
        };
        outage.collector.add(collectors_c, outage.freezing_c, hours);
        for ((chill, (coldest_c, _)), there) in
            [&mut outage.supply, &mut outage.ret].into_iter().zip(pipes_c).zip(self.pipes)
        {
            if there {
                chill.add(coldest_c, outage.freezing_c, hours);
            }
        }
    }
}

fn lowest(temperatures_c: &[f64]) -> f64 {
    temperatures_c.iter().copied().fold(f64::INFINITY, f64::min)
}
