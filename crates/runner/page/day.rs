//! A day of a variant, every few minutes, for the page to scrub through. Temperatures are in the reader's units.

use serde::Serialize;
use thermal_network::spec::LoopKind;

use crate::job::Job;
use crate::picture::Units;
use crate::record::{DayTrace, Inside, TracePoint};
use crate::study::tune::has_pump;

/// Temperatures of one place over the day; nothing where there is no such place.
type Line = Vec<Option<f64>>;

/// A day, one entry a point in each list.
#[derive(Debug, Serialize)]
pub(super) struct Day {
    /// Day of the year, 1 to 365.
    pub number: u32,
    /// Sign of the temperatures.
    sign: &'static str,
    /// Minutes after midnight, standard time.
    minutes: Vec<f64>,
    plane_w_m2: Vec<f64>,
    pump: Vec<f64>,
    backup_w: Vec<f64>,
    heat_into_tank_w: Vec<f64>,
    /// At the taps, in gal/min or L/min.
    tap: Vec<f64>,
    tap_unit: &'static str,
    air: Line,
    collector: Line,
    second_collector: Line,
    supply: Line,
    #[serde(rename = "return")]
    return_pipe: Line,
    sensor: Line,
    /// Tank by tank, slice by slice from the bottom.
    tanks: Vec<Vec<Line>>,
}

/// A trace of a job in a reader's units.
pub(super) fn day(trace: &DayTrace, job: &Job, units: Units) -> Day {
    let level = |level_c: f64| level_c.is_finite().then(|| tenth(units.level(level_c)));
    let points =
        |value: fn(&TracePoint) -> f64| trace.points.iter().map(|point| tenth(value(point))).collect();
    let levels =
        |value: fn(&TracePoint) -> f64| trace.points.iter().map(|point| level(value(point))).collect();
    let inside =
        |value: &dyn Fn(&Inside) -> f64| trace.inside.iter().map(|inside| level(value(inside))).collect();
    let last = |cells: &[f64]| cells.last().copied().unwrap_or(f64::NAN);
    let first = trace.inside.first();
    let tanks = first.map_or(0, |inside| inside.tanks_c.len());
    let slices = |tank: usize| first.map_or(0, |inside| inside.tanks_c[tank].len());
    // A tank on the roof has no loop, and where nothing pumps there is no sensor.
    let solar = job.plant.solar_loop.as_ref();
    let loop_there = solar.is_some_and(|solar| solar.kind != LoopKind::Batch);
    let pumped = has_pump(job);
    let pipe = |pipe: usize| -> Line {
        if loop_there { inside(&|inside: &Inside| inside.pipes_c[pipe]) } else { Vec::new() }
    };
    let (tap_unit, tap_l) = match units {
        Units::Us => ("gal/min", 1000.0 * units.volume().1),
        Units::Si => ("L/min", 1.0),
    };
    Day {
        number: trace.day,
        sign: units.level_sign(),
        minutes: points(|point| point.minute),
        plane_w_m2: points(|point| point.plane_w_m2),
        pump: match pumped {
            true => trace.points.iter().map(|point| (100.0 * point.pump_frac).round() / 100.0).collect(),
            false => Vec::new(),
        },
        backup_w: points(|point| point.backup_w),
        heat_into_tank_w: points(|point| point.heat_into_tank_w),
        tap: trace.points.iter().map(|point| (100.0 * point.tap_l_min / tap_l).round() / 100.0).collect(),
        tap_unit,
        air: levels(|point| point.air_c),
        collector: levels(|point| point.collector_c),
        second_collector: inside(&|inside: &Inside| last(&inside.second_collector_c)),
        supply: pipe(0),
        return_pipe: pipe(1),
        sensor: if pumped { levels(|point| point.tank_sensor_c) } else { Vec::new() },
        tanks: (0..tanks)
            .map(|tank| {
                (0..slices(tank))
                    .map(|slice| inside(&|inside: &Inside| inside.tanks_c[tank][slice]))
                    .collect()
            })
            .collect(),
    }
}

fn tenth(value: f64) -> f64 {
    (10.0 * value).round() / 10.0
}
