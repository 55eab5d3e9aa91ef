//! `[controller]` and `[pump]`.

use thermal_network::hydraulics::Circuit;
use thermal_network::spec::{ControllerSpec, PumpDrive, PumpFlow, PumpSpec};

use super::COMMON;
use super::backup::sensor;
use super::duties;
use super::hydraulics;
use super::kind::Word;
use super::section::Section;
use super::tank::{Tank, height};
use crate::job::Permission;
use crate::job::quantity::Kind;
use crate::job::quantity::size::{GPM_M3_S, SQUARE_FOOT_M2};
use crate::problem::{Problem, Severity};

/// The controller with its standing power.
pub(super) struct Controller {
    pub spec: ControllerSpec,
    pub power_w: f64,
    /// Hours of the pump's timer, if it has one.
    pub timer: Option<Permission>,
}

pub(super) fn controller(root: &Section<'_>, tank: &Tank, word: Word) -> Controller {
    let section = root.section("controller");
    let difference = |key, usual: (&'static str, &'static str), default, source| {
        section
            .ask(key, &[Kind::Difference])
            .possible("0 F", "90 F")
            .usual(usual.0, usual.1)
            .or(default, source)
    };
    let on_k = difference(
        "on_difference",
        ("6 F", "30 F"),
        "18 F",
        "15 to 20 F above the tank's bottom (common practice)",
    );
    let off_k = difference("off_difference", ("1 F", "12 F"), "5 F", "4 to 9 F (common practice)");
    if off_k >= on_k {
        let problem =
            Problem::new(Severity::Error, "the pump would stop at a larger difference than it starts at")
                .label("not below on_difference")
                .help(
                    "off_difference is commonly a quarter to a third of on_difference: \"18 F\" and \"5 F\"",
                );
        section.report("off_difference", problem);
    }
    let read = duties::read(root, word, off_k);
    let time =
        |key, default, source| section.ask(key, &[Kind::Duration]).possible("0 s", "1 h").or(default, source);
    let spec = ControllerSpec {
        on_k,
        off_k,
        high_limit_c: section
            .ask("high_limit", &[Kind::Level])
            .possible("70 F", "230 F")
            .usual("140 F", "185 F")
            .or("160 F", "160 to 180 F (common practice)"),
        high_limit_reset_k: difference("high_limit_reset", ("1 F", "25 F"), "5 F", COMMON),
        collector_limit_c: section
            .ask("collector_limit", &[Kind::Level])
            .possible("120 F", "500 F")
            .usual("200 F", "290 F")
            .given()
            .map(|limit| limit.si),
        collector_limit_reset_k: difference(
            "collector_limit_reset",
            ("0 F", "60 F"),
            "18 F",
            "10 to 30 K (common practice)",
        ),
        sensor_height_frac: height(
            &section,
            "sensor_height",
            tank.spec.height_m,
            ("10 %", "near the bottom (common practice)"),
        ),
        tank_sensor: sensor(&section, ["sensor_offset", "sensor_seat_loss", "sensor_lag"]),
        collector_sensor: sensor(
            &section,
            ["collector_sensor_offset", "collector_sensor_seat_loss", "collector_sensor_lag"],
        ),
        interval_s: section
            .ask("decides_every", &[Kind::Duration])
            .possible("1 s", "1 h")
            .usual("1 s", "5 min")
            .or("60 s", "controllers decide at least once a minute (common practice)")
            as u32,
        min_on_s: time("min_on", "0 s", "no minimum unless given") as u32,
        min_off_s: time("min_off", "0 s", "no minimum unless given") as u32,
        duties: read.duties,
    };
    if spec.collector_limit_c.is_none() && !section.has("collector_limit") {
        section.note("collector_limit", "none", None, Some("no collector limit unless given"));
    }
    let power = match spec.duties.drive {
        PumpDrive::Sun { .. } => ("0 W", "the module feeds the pump and nothing else"),
        PumpDrive::Timer => ("1 W", "the timer's own use (common practice)"),
        PumpDrive::Differential | PumpDrive::Proportional { .. } => ("2 W", "1 to 5 W (common practice)"),
    };
    let power_w = section
        .ask("power", &[Kind::Power])
        .possible("0 W", "100 W")
        .usual("0 W", "10 W")
        .or(power.0, power.1);
    Controller { spec, power_w, timer: read.timer }
}

/// The pump with a flow the job says, or the one it finds in `circuit` with its curve.
pub(super) fn pump(
    root: &Section<'_>,
    area_m2: f64,
    circuit: impl FnOnce(&hydraulics::Asker<'_>) -> Circuit,
) -> PumpSpec {
    let section = root.section("pump");
    let found = hydraulics::operate(&section, circuit);
    let key = if found.is_some() { "curve" } else { "flow" };
    let flow_spec = match found {
        Some(point) => PumpFlow::VolumeM3S(point.design.flow_m3_s),
        None => given_flow(&section, area_m2),
    };
    doubt_flow(&section, key, flow_spec, area_m2);
    PumpSpec {
        flow: flow_spec,
        power_w: found.map_or_else(|| constant_power(&section), |point| point.design.electric_w),
        heat_to_fluid_frac: section
            .ask("heat_to_fluid", &[Kind::Share])
            .possible("0 %", "100 %")
            .or("50 %", "wet-rotor circulators (common practice)"),
        over_temperature: found.map(|point| point.over_temperature),
    }
}

/// Electric power that is the same at any flow, in W.
pub(super) fn constant_power(section: &Section<'_>) -> f64 {
    section
        .ask("power", &[Kind::Power])
        .possible("0 W", "3 kW")
        .usual("5 W", "200 W")
        .or("45 W", "a small circulator (common practice)")
}

fn given_flow(section: &Section<'_>, area_m2: f64) -> PumpFlow {
    let flow = section
        .ask("flow", &[Kind::VolumeFlow, Kind::MassFlow, Kind::VolumeFlowPerArea, Kind::MassFlowPerArea])
        .or_any("0.025 gpm/ft2", "0.02 to 0.03 gpm per ft2 of collector (common practice)");
    match flow.kind {
        Kind::MassFlow => PumpFlow::MassKgS(flow.si),
        Kind::MassFlowPerArea => PumpFlow::MassKgS(flow.si * area_m2),
        Kind::VolumeFlowPerArea => PumpFlow::VolumeM3S(flow.si * area_m2),
        _ => PumpFlow::VolumeM3S(flow.si),
    }
}

/// Refuses no flow at all and doubts one that does not fit the field.
fn doubt_flow(section: &Section<'_>, key: &'static str, flow: PumpFlow, area_m2: f64) {
    // Water-like fluid is near enough to judge the size of a flow.
    let per_area_kg_s_m2 = match flow {
        PumpFlow::MassKgS(flow) => flow,
        PumpFlow::VolumeM3S(flow) => flow * 1000.0,
    } / area_m2;
    if per_area_kg_s_m2 <= 0.0 {
        section.report(
            key,
            Problem::new(Severity::Error, "the pump moves nothing")
                .label("no flow")
                .help("write a flow like \"1.5 gal/min\""),
        );
    } else if !(0.001..=0.1).contains(&per_area_kg_s_m2) && !per_area_kg_s_m2.is_nan() {
        let gpm_ft2 = per_area_kg_s_m2 / 1000.0 / GPM_M3_S * SQUARE_FOOT_M2;
        let problem = Problem::new(
            Severity::Warning,
            format!("the flow is {} gpm per ft2 of collector", crate::job::quantity::rounded(gpm_ft2)),
        )
        .label("for the whole field?")
        .help("usual: 0.005 to 0.075 gpm/ft2; `flow` is that of the whole field");
        section.report(key, problem);
    }
}
