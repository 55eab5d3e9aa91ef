//! What no proposal may break: warm water at the taps, a thermostat that is not too low, a tank that is not too hot.

use toml::Value;

use super::{has_pump, heaters};
use crate::job::Job;
use crate::job::file::Draft;
use crate::job::quantity::{Kind, parse};
use crate::record::Column;
use crate::study::Row;

/// How many more minutes a year showers may run cool than they do now, in min (assumed: less is chance of the draws).
pub const SLACK_MIN: f64 = 10.0;

/// Rounding of a setting between units, in K.
const ROUNDING_K: f64 = 1e-6;

/// A floor that is broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Floor {
    /// A thermostat below the job's floor.
    Thermostat,
    /// A high limit above what tank, liner and coil bear.
    HighLimit,
    /// Showers run cool longer than now.
    Comfort,
}

/// Lowest setting of what heats the water besides the sun, in degC.
fn lowest_set_c(job: &Job) -> f64 {
    let elements = job.plant.tanks.iter().flat_map(|tank| &tank.elements).map(|element| element.set_c);
    elements.chain(job.plant.flow_heater.map(|heater| heater.set_c)).fold(f64::INFINITY, f64::min)
}

/// The high limit, where a pump obeys one, in degC.
fn limit_c(job: &Job) -> Option<f64> {
    let solar = job.plant.solar_loop.as_ref().filter(|_| has_pump(job))?;
    Some(solar.controller.high_limit_c)
}

/// The floor that a job breaks by its settings.
pub(super) fn broken(job: &Job) -> Option<Floor> {
    if lowest_set_c(job) < job.tune.thermostat_floor_c - ROUNDING_K {
        return Some(Floor::Thermostat);
    }
    let cap_c = job.tune.limit_cap_c().0;
    limit_c(job).is_some_and(|limit_c| limit_c > cap_c + ROUNDING_K).then_some(Floor::HighLimit)
}

/// True if showers run cool longer than `now` allows.
pub(super) fn too_cool(row: &Row, now: &Row) -> bool {
    row.annual[Column::CoolShowerMinutes] > now.annual[Column::CoolShowerMinutes] + SLACK_MIN
}

/// The job with thermostats raised to their floor and the limit lowered to its cap; `None` if it keeps both.
pub(super) fn raised(draft: &Draft, job: &Job) -> Option<Draft> {
    broken(job)?;
    let mut raised = draft.clone();
    let floor_c = job.tune.thermostat_floor_c;
    if lowest_set_c(job) < floor_c - ROUNDING_K {
        for heater in heaters(draft, job) {
            raised = with_each_raised(raised, heater, floor_c);
        }
    }
    let cap_c = job.tune.limit_cap_c().0;
    if limit_c(job).is_some_and(|limit_c| limit_c > cap_c + ROUNDING_K) {
        raised = raised.with("controller.high_limit", format!("{cap_c} C"));
    }
    Some(raised)
}

/// What a heater is set to that does not say it.
const DEFAULT: &str = "130 F";

/// Raises the settings of a section, or of each section of a list, that lie below the floor.
fn with_each_raised(draft: Draft, section: &str, floor_c: f64) -> Draft {
    let key = format!("{section}.set_temperature");
    let low = |text: &str| parse(text, &[Kind::Level]).is_ok_and(|level| level.si < floor_c);
    let floor = format!("{floor_c} C");
    let (first, rest) = match section.split_once('.') {
        Some((first, rest)) => (first, Some(rest)),
        None => (section, None),
    };
    let Some(mut whole) = draft.get(first).cloned() else { return draft.with(&key, floor) };
    let items = match rest {
        None => Some(&mut whole),
        Some(rest) => whole.get_mut(rest),
    };
    let raise = |item: &mut Value| {
        let Some(table) = item.as_table_mut() else { return };
        match table.get("set_temperature").and_then(Value::as_str) {
            Some(text) if !low(text) => {}
            Some(_) => drop(table.insert("set_temperature".into(), floor.clone().into())),
            None if low(DEFAULT) => drop(table.insert("set_temperature".into(), floor.clone().into())),
            None => drop(table.insert("set_temperature".into(), DEFAULT.into())),
        }
    };
    match items {
        Some(Value::Array(items)) => items.iter_mut().for_each(raise),
        Some(item) => raise(item),
        None => {}
    }
    draft.with(first, whole)
}
