//! What kind of loop it is: `kind` and `check_valve` in `[loop]`, and `[loop.drainback]`.

use thermal_network::fluid::Fluid;
use thermal_network::hydraulics::{Circuit, DESIGN_LOOP_C};
use thermal_network::spec::{
    DrainbackSpec, ExchangerSpec, LoopKind, NaturalSpec, PipeRunSpec, PumpFlow, PumpSpec, Surroundings,
};

use super::COMMON;
use super::collectors::Collectors;
use super::hydraulics;
use super::pipes::Pipes;
use super::section::Section;
use crate::job::quantity::{Kind, rounded};
use crate::problem::{Problem, Severity};

/// Fluid in a flat plate in m3 per m2 (0.5 to 1.5 L, common practice).
const FLUID_M3_M2: f64 = 1e-3;

/// What is only just enough leaves nothing to work with.
const ENOUGH: f64 = 1.05;

/// The pump stays under water if the reservoir keeps what it moves in this time, in s.
const UNDER_WATER_S: f64 = 2.0;

/// Keys of `[loop.drainback]` and of `[pump]`.
const DRAINBACK_KEYS: [&str; 5] =
    ["collector_volume", "reservoir", "reservoir_loss", "fill_time", "start_power"];
const PUMP_KEYS: [&str; 14] = [
    "flow",
    "curve",
    "power",
    "heat_to_fluid",
    "start_lift",
    "drive",
    "speed",
    "hours",
    "weekdays",
    "dates",
    "starts_at",
    "full_flow_at",
    "least_speed",
    "full_speed_difference",
];
/// Heights of natural circulation.
const RISE_KEYS: [&str; 3] = ["collector_rise", "tank_above_collectors", "check_valve_leak"];

/// What moves the fluid, and what it does at rest.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Word {
    Pumped,
    Drainback,
    Thermosiphon,
    /// The tank stands in the collector.
    Batch,
}

pub(super) fn word(root: &Section<'_>) -> Word {
    root.section("loop").choice(
        "kind",
        &[
            ("pumped", Word::Pumped),
            ("drainback", Word::Drainback),
            ("thermosiphon", Word::Thermosiphon),
            ("batch", Word::Batch),
        ],
        ("pumped", "stands full unless the job says otherwise"),
    )
}

/// What a kind needs to know of the rest.
pub(super) struct Parts<'a> {
    pub collectors: &'a Collectors,
    /// Of the collectors on both planes, in m2.
    pub area_m2: f64,
    pub pipes: &'a Pipes,
    pub exchanger: &'a ExchangerSpec,
    pub tank_m: f64,
    pub pump: &'a PumpSpec,
    pub fluid: Fluid,
    /// Height from the gauge to the top of the collectors in m.
    pub lift_m: Option<f64>,
}

pub(super) fn read(
    root: &Section<'_>,
    word: Word,
    parts: &Parts<'_>,
    circuit: impl FnOnce(&hydraulics::Asker<'_>) -> Circuit,
) -> LoopKind {
    let section = root.section("loop");
    if word == Word::Batch {
        doubt_drainback(&section);
        section.idle(&RISE_KEYS, "a batch collector has no loop", "leave it out");
        section.idle(&["check_valve"], "a batch collector has no loop", "leave it out");
        batch(root);
        return LoopKind::Batch;
    }
    if word == Word::Drainback {
        if section.has("check_valve") {
            let problem =
                Problem::new(Severity::Error, "a loop that drains has nothing that could flow back")
                    .label("not in a drainback loop")
                    .help(
                        "leave check_valve out: a valve that closes would even keep the loop from draining",
                    );
            section.report("check_valve", problem);
        }
        section.idle(&RISE_KEYS, "nothing flows back in a loop that drains", "leave it out");
        return LoopKind::Drainback(drainback(&section, parts));
    }
    doubt_drainback(&section);
    let thermosiphon = word == Word::Thermosiphon;
    let tight = ("tight", "a check valve in good order unless the job says otherwise");
    let open = ("none", "thermosiphons are mostly built without one (common practice)");
    let valve = section.choice(
        "check_valve",
        &[("tight", 0.0), ("leaks", f64::NAN), ("none", 1.0)],
        if thermosiphon { open } else { tight },
    );
    let back_frac = if valve.is_nan() {
        let leak =
            section.ask("check_valve_leak", &[Kind::Share]).possible("0 %", "100 %").usual("1 %", "50 %");
        leak.or("10 %", "share of the flow without a valve; dirt under the flap (assumed)")
    } else {
        section.idle(&["check_valve_leak"], "the valve does not leak", "write check_valve = \"leaks\" too");
        valve
    };
    if !thermosiphon && back_frac == 0.0 {
        section.idle(
            &["collector_rise", "tank_above_collectors"],
            "nothing flows by itself in this loop",
            "heights count where the check valve leaks or is missing, or with kind = \"thermosiphon\"",
        );
        return LoopKind::Filled;
    }
    if matches!(parts.exchanger, ExchangerSpec::Plate { .. }) {
        let (key, what) =
            if thermosiphon { ("kind", "drive a thermosiphon") } else { ("check_valve", "flow back") };
        let problem = Problem::new(
            Severity::Error,
            format!("nothing can {what} through a plate exchanger: its tank side stands without its pump"),
        )
        .label("with [tank.plate]")
        .help("natural circulation takes a [tank.coil] or a [tank.open_loop]");
        section.report(key, problem);
    }
    let asker = hydraulics::Asker {
        section: &section,
        key: if thermosiphon { "kind" } else { "check_valve" },
        what: "the natural flow",
    };
    let natural =
        NaturalSpec { back_frac, circuit: circuit(&asker), ..heights(&section, parts, thermosiphon) };
    if thermosiphon { LoopKind::Thermosiphon(natural) } else { LoopKind::Leaking(natural) }
}

fn doubt_drainback(section: &Section<'_>) {
    if section.section("drainback").is_given() {
        let problem = Problem::new(Severity::Error, "[loop.drainback] belongs to a loop that drains")
            .label("the loop is of another kind")
            .help("write kind = \"drainback\" in [loop], or leave the section out");
        section.report("drainback", problem);
    }
    know(&section.section("drainback"), &DRAINBACK_KEYS);
}

/// Makes keys known that the job's kind of loop does not read: one fault is enough.
fn know(section: &Section<'_>, keys: &[&'static str]) {
    for key in keys {
        section.has(key);
    }
}

/// Heights of natural circulation above the collector's inlet.
fn heights(section: &Section<'_>, parts: &Parts<'_>, thermosiphon: bool) -> NaturalSpec {
    let collector_m = section
        .ask("collector_rise", &[Kind::Length])
        .possible("0.1 ft", "60 ft")
        .usual("1 ft", "15 ft")
        .or("4 ft", "inlet to outlet of an 8 ft collector at about 30 degrees");
    let ask = section.ask("tank_above_collectors", &[Kind::Length]).possible("-500 ft", "60 ft");
    let above_m = if thermosiphon {
        ask.usual("-2 ft", "10 ft")
            .or("1 ft", "tank bottom 1 to 2 ft above the collectors' top (common practice)")
    } else if let (Some(lift_m), None) = (parts.lift_m, ask.given()) {
        let source = "from the lift of the loop: the tank's bottom at the gauge";
        let words = Kind::Length.shown(-lift_m, true);
        section.note("tank_above_collectors", words, Some((-lift_m, "m")), Some(source));
        -lift_m
    } else {
        ask.or("-15 ft", "a tank on the ground floor of a two-story house (common practice)")
    };
    let bottom_m = collector_m + above_m;
    let (low_frac, high_frac) = match *parts.exchanger {
        ExchangerSpec::Coil { bottom_frac, top_frac, .. } => (bottom_frac, top_frac),
        ExchangerSpec::Plate { draw_from_frac, return_to_frac, .. }
        | ExchangerSpec::OpenLoop { draw_from_frac, return_to_frac } => (draw_from_frac, return_to_frac),
    };
    NaturalSpec {
        circuit: Circuit { fluid: Fluid::Water, tubes: Vec::new(), devices: Vec::new() },
        collector_m,
        cold_end_m: bottom_m + low_frac * parts.tank_m,
        hot_end_m: bottom_m + high_frac * parts.tank_m,
        back_frac: 1.0,
    }
}

fn drainback(section: &Section<'_>, parts: &Parts<'_>) -> DrainbackSpec {
    if matches!(parts.exchanger, ExchangerSpec::OpenLoop { .. }) {
        let problem = Problem::new(
            Severity::Error,
            "an open loop stands under the house's water pressure and cannot drain back",
        )
        .label("with [tank.open_loop]")
        .help("a drainback loop heats the tank through a [tank.coil] or a [tank.plate]");
        section.report("kind", problem);
    }
    let section = section.section("drainback");
    let field = parts.collectors.field.arrangement;
    let first = f64::from(field.in_series * field.in_parallel);
    let count = (first * parts.area_m2 / parts.collectors.spec.area_m2).round();
    let own = section
        .ask("collector_volume", &[Kind::Volume])
        .possible("0 gal", "20 gal")
        .usual("0.1 gal", "2 gal");
    let collector_m3 = own.given().map_or_else(
        || {
            let volume_m3 = FLUID_M3_M2 * parts.area_m2;
            let words = format!("{} for all of them", volume(volume_m3));
            section.note(
                "collector_volume",
                words,
                Some((volume_m3, "m3")),
                Some("1 L per m2 (0.5 to 1.5, common practice)"),
            );
            volume_m3
        },
        |one| one.si * count,
    );
    let (collector, fluid) = (&parts.collectors.spec, parts.fluid);
    let fluid_j_k =
        collector_m3 * fluid.density_kg_m3(DESIGN_LOOP_C) * fluid.specific_heat_j_kg_k(DESIGN_LOOP_C);
    if collector.a5_j_m2_k * collector.area_m2 <= ENOUGH * fluid_j_k {
        let what = format!(
            "the collector's heat capacity a5 ({} kJ/m2K) is no more than that of its fluid ({} kJ/m2K)",
            rounded(collector.a5_j_m2_k / 1000.0),
            rounded(fluid_j_k / collector.area_m2 / 1000.0)
        );
        let problem = Problem::new(Severity::Error, what).label("nothing left of it when drained");
        let help = "a5 counts the fluid in the collector too; a flat plate holds 0.5 to 1.5 L a m2";
        section.report("collector_volume", problem.help(help));
    }
    let reservoir_m3 = section
        .ask("reservoir", &[Kind::Volume])
        .possible("0.5 gal", "500 gal")
        .usual("4 gal", "40 gal")
        .or("10 gal", "fluid in it while the loop is drained; 8 to 15 gal (common practice)");
    let held_m3 = |run: &PipeRunSpec| std::f64::consts::FRAC_PI_4 * run.bore_m * run.bore_m * run.length_m;
    let pipes_m3: f64 = parts.pipes.supply.iter().chain(&parts.pipes.ret).map(held_m3).sum();
    let lifted_m3 = collector_m3 + pipes_m3;
    let words = format!("{} in collectors and pipes", volume(lifted_m3));
    section.note("lifted", words, Some((lifted_m3, "m3")), Some("from the collectors' content and the tube"));
    let flow_m3_s = match parts.pump.flow {
        PumpFlow::MassKgS(kg_s) => kg_s / fluid.density_kg_m3(DESIGN_LOOP_C),
        PumpFlow::VolumeM3S(m3_s) => m3_s,
    };
    if reservoir_m3 <= ENOUGH * (lifted_m3 + UNDER_WATER_S * flow_m3_s) {
        let problem = Problem::new(
            Severity::Error,
            format!(
                "the reservoir ({}) cannot fill the collectors and pipes ({})",
                volume(reservoir_m3),
                volume(lifted_m3)
            ),
        )
        .label("too small")
        .help("it must fill them with the pump still under water: a larger reservoir or thinner tube");
        section.report("reservoir", problem);
    }
    let fill =
        section.ask("fill_time", &[Kind::Duration]).possible("0 s", "1 h").usual("5 s", "10 min").given();
    let fill_s = fill.map_or_else(
        || {
            let fill_s = lifted_m3 / flow_m3_s;
            let source = "what is lifted at the pump's flow";
            section.note("fill_time", format!("{} s", rounded(fill_s)), Some((fill_s, "s")), Some(source));
            fill_s
        },
        |fill| fill.si,
    );
    let fill_w = section
        .ask("start_power", &[Kind::Power])
        .possible("0 W", "3 kW")
        .usual("10 W", "400 W")
        .given()
        .map_or(parts.pump.power_w, |power| power.si);
    if !section.has("start_power") {
        let words = format!("{} W", rounded(fill_w));
        section.note("start_power", words, Some((fill_w, "W")), Some("that of the running pump"));
    }
    DrainbackSpec {
        collector_m3,
        reservoir_m3,
        reservoir_w_k: section
            .ask("reservoir_loss", &[Kind::Conductance])
            .possible("0 W/K", "50 W/K")
            .usual("0.2 W/K", "5 W/K")
            .or("1 W/K", "10 gal in 1 in of foam, with its fittings (computed here)"),
        surroundings: Surroundings::TankRoom,
        fill_s: fill_s.ceil() as u32,
        fill_w,
    }
}

fn volume(volume_m3: f64) -> String {
    format!("{} ({})", Kind::Volume.shown(volume_m3, true), Kind::Volume.shown(volume_m3, false))
}

/// What a tank in its collector does not have.
fn batch(root: &Section<'_>) {
    let tank = root.section("tank");
    for (section, key, what) in [
        (&tank, "coil", "exchanger"),
        (&tank, "plate", "exchanger"),
        (&tank, "open_loop", "exchanger"),
        (root, "pipes", "pipes of a loop"),
    ] {
        if section.has(key) {
            let problem = Problem::new(Severity::Error, format!("a batch collector has no {what}"))
                .label("the tank is the collector")
                .help("leave the section out");
            section.report(key, problem);
        }
    }
    if !tank.has("stands_in") {
        let problem = Problem::new(Severity::Error, "a batch collector stands on the roof")
            .label("in a room?")
            .help("write stands_in = \"outdoors\" in [tank]; its insulation is that of its back and sides");
        root.report("tank", problem);
    }
}

/// A thermosiphon or a batch collector has neither pump nor controller: says so where the job describes one. The flow given back
/// stands for the usual one, for the films in its pipes.
pub(super) fn no_pump(root: &Section<'_>, word: Word, area_m2: f64) -> PumpSpec {
    let kind = if word == Word::Batch { "batch collector" } else { "thermosiphon" };
    for (key, what) in [("pump", "pump"), ("controller", "controller")] {
        know(&root.section("pump"), &PUMP_KEYS);
        if root.section(key).is_given() {
            let problem = Problem::new(Severity::Error, format!("a {kind} has no {what}"))
                .label("nothing to control")
                .help(format!("leave [{key}] out, or write kind = \"pumped\" in [loop]"));
            root.report(key, problem);
        }
    }
    if word == Word::Thermosiphon {
        root.section("loop").note("film_flow", "0.005 kg/s per m2", None, Some(COMMON));
    }
    PumpSpec {
        flow: PumpFlow::MassKgS(0.005 * area_m2),
        power_w: 0.0,
        heat_to_fluid_frac: 0.0,
        over_temperature: None,
    }
}
