//! The usual suspects: faults that cost more than any dial wins. A job that has one runs without it, another one with it.

use thermal_network::fluid::Fluid;
use thermal_network::spec::{PumpDrive, PumpFlow, SourceSpec};

use super::{Part, Study, has_differences, heaters};
use crate::job::quantity::{Kind, parse};
use crate::job::{Job, Permission};

/// Share of the difference to its surroundings that a loose sensor does not see (upper end of common practice).
pub const LOOSE: f64 = 0.3;

/// How far a sensor of another type reads off, in K. Common practice has up to 5 K for poor sensors; two common kinds of 10 kohm
/// (B of 3977 and 3740 K, from memory) read 3 K apart at 70 degC and 6 K at 100 degC (computed here).
pub const WRONG_TYPE: f64 = 5.0;

/// Usual flow, and a flow that is called far too high is twice that (common practice: 0.02 to 0.03 gpm/ft2).
const USUAL_FLOW: &str = "0.025 gpm/ft2";

/// How many times a flow that is usual is raised for trial.
const FAR_TOO_HIGH: f64 = 3.0;

/// Hours of an element that waits for the sun (assumed).
const EVENING: &str = "4 pm - 8 pm";

/// A fault that costs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Suspect {
    /// Freeze circulation left on although the loop holds glycol.
    FreezeCirculation,
    /// The collector's sensor does not touch.
    LooseCollectorSensor,
    /// The tank's sensor does not touch.
    LooseTankSensor,
    /// A collector sensor of the wrong type that reads high.
    SensorReadsHigh,
    /// One that reads low.
    SensorReadsLow,
    /// Flow far too high.
    HighFlow,
    /// The element may heat at any hour.
    AlwaysOn,
}

impl Suspect {
    /// In a few words.
    pub fn name(self) -> &'static str {
        match self {
            Self::FreezeCirculation => "freeze circulation on with glycol in the loop",
            Self::LooseCollectorSensor => "collector sensor not clipped on",
            Self::LooseTankSensor => "tank sensor not clipped on",
            Self::SensorReadsHigh => "collector sensor of the wrong type, reads high",
            Self::SensorReadsLow => "collector sensor of the wrong type, reads low",
            Self::HighFlow => "flow far too high",
            Self::AlwaysOn => "backup always on",
        }
    }
}

/// Adds every suspect that this plant can have.
pub(super) fn lay_out(study: &mut Study) {
    let (draft, job) = (study.draft().clone(), study.job().clone());
    let mut add = |suspect: Suspect, in_job: bool, draft| {
        let name = if in_job { format!("without: {}", suspect.name()) } else { suspect.name().to_owned() };
        study.add(Part::Suspect { suspect, in_job }, name, draft);
    };
    if let Some(solar) = job.plant.solar_loop.as_ref().filter(|_| has_differences(&job)) {
        let controller = &solar.controller;
        let powered = !matches!(controller.duties.drive, PumpDrive::Sun { .. });
        if matches!(solar.fluid, Fluid::PropyleneGlycol { .. }) && powered {
            match controller.duties.freeze {
                Some(_) => {
                    add(
                        Suspect::FreezeCirculation,
                        true,
                        draft.clone().without("controller.freeze_protection"),
                    );
                }
                None => {
                    let on = draft.clone().with("controller.freeze_protection.on", "39 F");
                    add(Suspect::FreezeCirculation, false, on);
                }
            }
        }
        for (suspect, key, now_frac) in [
            (
                Suspect::LooseCollectorSensor,
                "controller.collector_sensor_seat_loss",
                controller.collector_sensor.seat_loss_frac,
            ),
            (Suspect::LooseTankSensor, "controller.sensor_seat_loss", controller.tank_sensor.seat_loss_frac),
        ] {
            let in_job = now_frac > 0.0;
            let seat = if in_job { "0 %".to_owned() } else { format!("{} %", 100.0 * LOOSE) };
            add(suspect, in_job, draft.clone().with(key, seat));
        }
        let key = "controller.collector_sensor_offset";
        let offset_k = controller.collector_sensor.offset_k;
        for (suspect, off_k) in
            [(Suspect::SensorReadsHigh, WRONG_TYPE), (Suspect::SensorReadsLow, -WRONG_TYPE)]
        {
            let in_job = offset_k * off_k > 0.0;
            let k = if in_job { 0.0 } else { off_k };
            add(suspect, in_job, draft.clone().with(key, format!("{k} K")));
        }
        if !draft.has("pump.curve") {
            let (per_area_m_s, unit) = match solar.pump.flow {
                PumpFlow::MassKgS(kg_s) => (kg_s / 1000.0, format!("{} kg/s", FAR_TOO_HIGH * kg_s)),
                PumpFlow::VolumeM3S(m3_s) => (m3_s, format!("{} L/min", FAR_TOO_HIGH * m3_s * 60_000.0)),
            };
            let second_m2 = solar.second_field.as_ref().map_or(0.0, |second| second.collector.area_m2);
            let usual = parse(USUAL_FLOW, &[Kind::VolumeFlowPerArea]).map_or(f64::NAN, |flow| flow.si);
            let in_job = per_area_m_s / (solar.collector.area_m2 + second_m2) > 2.0 * usual;
            let flow = if in_job { USUAL_FLOW.to_owned() } else { unit };
            add(Suspect::HighFlow, in_job, draft.clone().with("pump.flow", flow));
        }
    }
    if has_timed_heat(&job) {
        let in_job = job.element_hours.iter().all(always);
        let mut changed = draft.clone();
        for heater in heaters(&draft, &job) {
            changed = changed.with(&format!("{heater}.hours"), if in_job { EVENING } else { "always" });
            if !in_job {
                for key in ["weekdays", "dates"] {
                    changed = changed.without(&format!("{heater}.{key}"));
                }
            }
        }
        add(Suspect::AlwaysOn, in_job, changed);
    }
}

/// True if a timer restricts nothing.
fn always(hours: &Permission) -> bool {
    let every_day = hours.weekdays.iter().all(|&on| on == hours.weekdays[0]);
    hours.minutes.is_empty() && hours.days.is_empty() && every_day
}

/// True if all heat beside the sun's comes from elements or heat pumps, which a timer may switch.
pub(crate) fn has_timed_heat(job: &Job) -> bool {
    let mut sources =
        job.plant.tanks.iter().flat_map(|tank| &tank.elements).map(|element| &element.source).peekable();
    job.plant.flow_heater.is_none()
        && sources.peek().is_some()
        && sources.all(|source| !matches!(source, SourceSpec::Burner(_)))
}
