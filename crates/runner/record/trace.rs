//! Traces of chosen days, step by step.

use thermal_network::flows::{Conditions, Flows};
use thermal_network::{Plant, State};

use super::{DayTrace, Inside, TracePoint};
use crate::draws::clock::DAY_S;
use crate::year::{Recorder, Span};

/// Keeps the steps of chosen days, joined to points at least so far apart.
#[derive(Clone, Debug)]
pub struct DayTracer {
    days: Vec<u32>,
    spacing_s: u32,
    traces: Vec<DayTrace>,
    /// Flows of the span that were already told.
    told: Flows,
    told_at_s: u32,
    open: Flows,
    open_backup_j: f64,
    open_s: f64,
    plane_j_m2: f64,
}

impl DayTracer {
    /// Traces `days` (1 to 365, rising) with points at least `spacing_s` apart.
    pub fn new(days: &[u32], spacing_s: u32) -> Self {
        Self {
            days: days.to_vec(),
            spacing_s,
            traces: Vec::new(),
            told: Flows::new(),
            told_at_s: 0,
            open: Flows::new(),
            open_backup_j: 0.0,
            open_s: 0.0,
            plane_j_m2: 0.0,
        }
    }

    /// The traces, in the order of the year.
    pub fn into_traces(self) -> Vec<DayTrace> {
        self.traces
    }
}

impl Inside {
    fn of(plant: &Plant, state: &State) -> Self {
        Self {
            tanks_c: (0..plant.tanks()).map(|tank| state.tank_c(plant, tank).to_vec()).collect(),
            collector_c: state.collector_c(plant).to_vec(),
            second_collector_c: state.second_collector_c(plant).to_vec(),
            pipes_c: state.pipes_c().map(|(coldest_c, hottest_c)| 0.5 * (coldest_c + hottest_c)),
        }
    }
}

impl Recorder for DayTracer {
    fn span(&mut self, span: &Span<'_>) {
        self.told = Flows::new();
        self.told_at_s = span.start_s + span.duration_s;
    }

    fn wants_steps(&self, day: u32) -> bool {
        self.days.contains(&day)
    }

    fn step(&mut self, end_s: u32, conditions: &Conditions, flows: &Flows, plant: &Plant, state: &State) {
        let seconds = f64::from(end_s - self.told_at_s);
        let day = (end_s - 1) / DAY_S + 1;
        let of = |now: f64, before: f64| now - before;
        self.open.heat_into_tank_j += of(flows.heat_into_tank_j, self.told.heat_into_tank_j);
        self.open.pump_s += of(flows.pump_s, self.told.pump_s);
        self.open.tap_m3 += of(flows.tap_m3, self.told.tap_m3);
        self.open_backup_j += of(flows.backup_heat_j(), self.told.backup_heat_j());
        self.plane_j_m2 += conditions.plane_w_m2 * seconds;
        self.open_s += seconds;
        self.told = *flows;
        self.told_at_s = end_s;
        if self.open_s < f64::from(self.spacing_s) && !end_s.is_multiple_of(DAY_S) {
            return;
        }
        if self.traces.last().is_none_or(|trace| trace.day != day) {
            self.traces.push(DayTrace { day, points: Vec::new(), inside: Vec::new() });
        }
        let slices_c = state.tank_c(plant, 0);
        let point = TracePoint {
            minute: f64::from(end_s - (day - 1) * DAY_S) / 60.0,
            plane_w_m2: self.plane_j_m2 / self.open_s,
            air_c: conditions.air_c,
            pump_frac: self.open.pump_s / self.open_s,
            collector_c: state.collector_outlet_c(plant),
            tank_top_c: slices_c[slices_c.len() - 1],
            tank_middle_c: slices_c[slices_c.len() / 2],
            tank_bottom_c: slices_c[0],
            tank_mean_c: slices_c.iter().sum::<f64>() / slices_c.len() as f64,
            second_top_c: match plant.tanks() {
                1 => f64::NAN,
                _ => state.tank_c(plant, 1).last().copied().unwrap_or(f64::NAN),
            },
            tank_sensor_c: slices_c[plant.sensor_slice()],
            heat_into_tank_w: self.open.heat_into_tank_j / self.open_s,
            tap_l_min: self.open.tap_m3 * 60_000.0 / self.open_s,
            backup_w: self.open_backup_j / self.open_s,
        };
        if let Some(trace) = self.traces.last_mut() {
            trace.points.push(point);
            trace.inside.push(Inside::of(plant, state));
        }
        self.open = Flows::new();
        self.open_backup_j = 0.0;
        self.open_s = 0.0;
        self.plane_j_m2 = 0.0;
    }
}
