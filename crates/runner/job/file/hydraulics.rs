//! What the pump works against, where the job gives its curve: `[pump]` with `[pipes]`, the collectors' sheet and the exchanger.
//!
//! The flow of the year is the one at [`DESIGN_LOOP_C`]; what cold and hot fluid do to it is written down beside it.

use thermal_network::fluid::Fluid;
use thermal_network::hydraulics::friction::{DRAWN_TUBE_ROUGHNESS_M, Fitting};
use thermal_network::hydraulics::{
    Circuit, Curve, CurveFault, DESIGN_LOOP_C, Device, OperatingPoint, Power, Pump, TubeRun, operating_point,
};
use thermal_network::spec::{ExchangerSpec, PipeRunSpec, PumpOverTemperature};

use super::control::constant_power;
use super::exchanger::Exchanger;
use super::pipes::Pipes;
use super::section::Section;
use crate::job::quantity::{Kind, Quantity, rounded};
use crate::problem::{Problem, Severity};
use crate::rating::test_flow::Arrangement;

/// Fluid on a cool morning and at the end of a hot day, in degC: between these the loop's flow is shown.
const COLD_C: f64 = 10.0;
const HOT_C: f64 = 80.0;

/// A device that the whole flow passes.
const ALONE: Arrangement = Arrangement { in_series: 1, in_parallel: 1 };

/// Fittings of one way that can be counted.
const FITTINGS: [(&str, Fitting); 6] = [
    ("elbows", Fitting::Elbow),
    ("elbows_45", Fitting::Elbow45),
    ("tees_through", Fitting::TeeThrough),
    ("tees_branch", Fitting::TeeBranch),
    ("valves", Fitting::Valve),
    ("check_valves", Fitting::CheckValve),
];

/// Who asks what a loop resists: where faults are reported, and what would come out too high.
pub(super) struct Asker<'a> {
    pub section: &'a Section<'a>,
    pub key: &'static str,
    pub what: &'static str,
}

/// The parts of a loop that resist.
pub(super) struct Loop<'a> {
    pub fluid: Fluid,
    pub pipes: &'a Pipes,
    pub exchanger: &'a Exchanger,
    pub arrangement: Arrangement,
}

impl Loop<'_> {
    /// Everything the fluid passes.
    pub(super) fn read(&self, root: &Section<'_>, asker: &Asker<'_>) -> Circuit {
        let pipes = root.section("pipes");
        let ways = [way(&pipes, "supply", &self.pipes.supply), way(&pipes, "return", &self.pipes.ret)];
        let mut tubes = with_fittings(&pipes, ways.into_iter().flatten().collect());
        let mut devices = Vec::new();
        devices.extend(device(&sheet(root), self.arrangement));
        let (section, what) = exchanger_section(root, &self.exchanger.spec);
        match (&self.exchanger.tube, section) {
            (Some(tube), Some(section)) if !section.has("pressure_drop") => {
                tubes.push(tube.run());
                let source = "friction in the coil's own tube (Mishra and Gupta 1979)";
                section.note("pressure_drop", "from its tube", None, Some(source));
            }
            (_, Some(section)) => {
                if !section.has("pressure_drop") {
                    let problem = Problem::new(
                        Severity::Warning,
                        format!("{} comes out too high: what {what} resists is not known", asker.what),
                    )
                    .label("found without it")
                    .help("add its pressure_drop = [[\"1.5 gpm\", \"0.8 psi\"]], or a coil's tube_length");
                    asker.section.report(asker.key, problem);
                }
                devices.extend(device(&section, ALONE));
            }
            (_, None) => {}
        }
        if tubes.is_empty() && devices.is_empty() {
            let message = format!("nothing is known that resists {}", asker.what);
            let problem = Problem::new(Severity::Error, message).label("against what?").help(format!(
                "give lengths in [pipes.supply] or a pressure_drop in [collectors.rating] or {what}"
            ));
            asker.section.report(asker.key, problem);
        }
        Circuit { fluid: self.fluid, tubes, devices }
    }

    /// Doubts keys that only matter to a pump curve where there is none.
    pub(super) fn doubt_unused(&self, root: &Section<'_>, natural: bool) {
        let pump = root.section("pump");
        if pump.has("curve") || natural {
            return;
        }
        let pipes = root.section("pipes");
        let doubt = |section: &Section<'_>, key: &'static str| {
            let help = "give the pump's curve = [[\"0 gpm\", \"18 ft\"], ...] in place of its flow";
            section.idle(&[key], "the pump has no curve", help);
        };
        for way in ["supply", "return"] {
            let way = pipes.section(way);
            for (key, _) in FITTINGS {
                doubt(&way, key);
            }
        }
        doubt(&pipes, "fittings_allowance");
        doubt(&sheet(root), "pressure_drop");
        doubt(&pump, "start_lift");
        if let (Some(section), _) = exchanger_section(root, &self.exchanger.spec) {
            doubt(&section, "pressure_drop");
        }
    }
}

/// Where the exchanger on the loop's side is described, and how that section is called; none in an open loop.
fn exchanger_section<'r>(
    root: &Section<'r>,
    exchanger: &ExchangerSpec,
) -> (Option<Section<'r>>, &'static str) {
    let tank = root.section("tank");
    match exchanger {
        ExchangerSpec::Coil { .. } => (Some(tank.section("coil")), "[tank.coil]"),
        ExchangerSpec::Plate { .. } => (Some(tank.section("plate")), "[tank.plate]"),
        ExchangerSpec::OpenLoop { .. } => (None, "[pipes.return]"),
    }
}

/// One way of the loop as a single run of tube, with its fittings if they are counted.
fn way(pipes: &Section<'_>, key: &'static str, runs: &[PipeRunSpec]) -> Option<(TubeRun, bool)> {
    let section = pipes.section(key);
    let count = |(key, fitting): (&'static str, Fitting)| {
        let count = section.ask(key, &[Kind::Count]).possible("0", "200").usual("0", "60").given()?;
        Some(count.si * fitting.diameters())
    };
    let counted: Vec<f64> = FITTINGS.into_iter().filter_map(count).collect();
    let bore_m = runs.first()?.bore_m;
    let fittings_m = counted.iter().sum::<f64>() * bore_m;
    if !counted.is_empty() {
        let words = format!("resist as much as {} of the tube", length(fittings_m));
        let source = "30 bores for an elbow and so on (Crane, Technical Paper 410)";
        section.note("fittings", words, Some((fittings_m, "m")), Some(source));
    }
    let length_m = runs.iter().map(|run| run.length_m).sum();
    let run = TubeRun { length_m, fittings_m, bore_m, roughness_m: DRAWN_TUBE_ROUGHNESS_M, coil_m: None };
    Some((run, !counted.is_empty()))
}

/// The ways with an allowance for fittings where none are counted.
fn with_fittings(pipes: &Section<'_>, ways: Vec<(TubeRun, bool)>) -> Vec<TubeRun> {
    if ways.iter().all(|&(_, counted)| counted) {
        return ways.into_iter().map(|(run, _)| run).collect();
    }
    let allowance = pipes
        .ask("fittings_allowance", &[Kind::Share])
        .possible("0 %", "500 %")
        .usual("20 %", "100 %")
        .or("45 %", "where none are counted: 30 to 60 % of the straight length (common practice)");
    let add = |(run, counted): (TubeRun, bool)| match counted {
        true => run,
        false => TubeRun { fittings_m: allowance * run.length_m, ..run },
    };
    ways.into_iter().map(add).collect()
}

/// A flow and a pressure drop, or head, of water.
fn points(section: &Section<'_>, key: &'static str) -> Option<Vec<(f64, f64)>> {
    let pairs = section.pairs(key, [&[Kind::VolumeFlow], &[Kind::Length, Kind::Pressure]])?;
    let head_m = |drop: Quantity| match drop.kind {
        Kind::Pressure => Device::head_of_drop_m(drop.si),
        _ => drop.si,
    };
    Some(pairs.into_iter().map(|[flow, drop]| (flow.si, head_m(drop))).collect())
}

/// Rating sheet of a collector.
fn sheet<'r>(root: &Section<'r>) -> Section<'r> {
    root.section("collectors").section("rating")
}

/// What devices of a kind resist, from the points of the sheet of one; without them they are left out, and said to be.
fn device(section: &Section<'_>, arrangement: Arrangement) -> Option<Device> {
    if !section.has("pressure_drop") {
        let source = "not given: the flow found is then somewhat high";
        section.note("pressure_drop", "left out", None, Some(source));
        return None;
    }
    let (row, rows) = (f64::from(arrangement.in_series), f64::from(arrangement.in_parallel));
    let all = |(flow, head): (f64, f64)| (flow * rows, head * row);
    let points: Vec<(f64, f64)> = points(section, "pressure_drop")?.into_iter().map(all).collect();
    Device::new(&points).map_err(|fault| refuse(section, "pressure_drop", &fault)).ok()
}

fn refuse(section: &Section<'_>, key: &'static str, fault: &CurveFault) {
    let problem = Problem::new(Severity::Error, format!("`{key}`, {fault}")).label("does not make a curve");
    section.report(key, problem);
}

/// The pump at work against `circuit`, if the job gives its curve; not-a-number if it gives a faulty one.
pub(super) fn operate(
    section: &Section<'_>,
    circuit: impl FnOnce(&Asker<'_>) -> Circuit,
) -> Option<Operation> {
    if !section.has("curve") {
        return None;
    }
    if section.has("flow") {
        let problem = Problem::new(Severity::Error, "`flow` and `curve` say the same thing twice")
            .label("which one?")
            .help("keep one of them: the flow follows from the curve and what the loop resists");
        section.report("flow", problem);
    }
    let faulty = Operation {
        design: OperatingPoint { flow_m3_s: f64::NAN, head_m: f64::NAN, electric_w: f64::NAN },
        over_temperature: PumpOverTemperature {
            flow_frac: [f64::NAN; PumpOverTemperature::LEVELS],
            power_frac: [f64::NAN; PumpOverTemperature::LEVELS],
        },
    };
    let circuit = circuit(&Asker { section, key: "curve", what: "the pump's flow" });
    Some(pump(section).and_then(|pump| settle(section, &circuit, &pump)).unwrap_or(faulty))
}

fn pump(section: &Section<'_>) -> Option<Pump> {
    let head = points(section, "curve");
    let power = if section.is_list("power") {
        let pairs = section.pairs("power", [&[Kind::VolumeFlow], &[Kind::Power]])?;
        let points: Vec<(f64, f64)> = pairs.into_iter().map(|[flow, power]| (flow.si, power.si)).collect();
        Power::OverFlow(Curve::new(&points).map_err(|fault| refuse(section, "power", &fault)).ok()?)
    } else {
        Power::Constant(constant_power(section))
    };
    Pump::new(&head?, power).map_err(|fault| refuse(section, "curve", &fault)).ok()
}

/// A pump at work: with fluid at the design temperature, and how it follows the fluid.
#[derive(Clone, Copy)]
pub(super) struct Operation {
    pub design: OperatingPoint,
    pub over_temperature: PumpOverTemperature,
}

fn settle(section: &Section<'_>, circuit: &Circuit, pump: &Pump) -> Option<Operation> {
    let lift = section.ask("start_lift", &[Kind::Length]).possible("0 ft", "200 ft").usual("0 ft", "45 ft");
    if let Some(lift) = lift.given() {
        match operating_point(circuit, pump, COLD_C, lift.si) {
            Some(start) => section.note(
                "flow_at_start",
                format!("{} while the loop fills, fluid at {}", flow(start.flow_m3_s), level(COLD_C)),
                Some((start.flow_m3_s, "m3/s")),
                Some("pump curve against lift and friction"),
            ),
            None if lift.si.is_nan() => {}
            None => {
                let most = pump.head_m(0.0);
                let problem = Problem::new(
                    Severity::Error,
                    format!("the pump lifts to {} at most and cannot fill the loop", length(most)),
                )
                .label("too high for this pump")
                .help("a drainback pump needs more head than the height it fills, with a margin");
                section.report("start_lift", problem);
            }
        }
    }
    let at = |t_c| operating_point(circuit, pump, t_c, 0.0);
    let (cold, design, hot) = (at(COLD_C)?, at(DESIGN_LOOP_C)?, at(HOT_C)?);
    let source = "pump curve against the loop's friction";
    let beside = |of: fn(&OperatingPoint) -> String| {
        format!(
            "{} with fluid at {}; {} at {}, {} at {}",
            of(&design),
            level(DESIGN_LOOP_C),
            of(&cold),
            level(COLD_C),
            of(&hot),
            level(HOT_C)
        )
    };
    let head = |point: &OperatingPoint| length(point.head_m);
    let power = |point: &OperatingPoint| format!("{} W", rounded(point.electric_w));
    let note = |key, words, value, unit| section.note(key, words, Some((value, unit)), Some(source));
    note("flow", beside(|point| flow(point.flow_m3_s)), design.flow_m3_s, "m3/s");
    note("head", beside(head), design.head_m, "m");
    note("electric_power", beside(power), design.electric_w, "W");
    // Where the pump moves nothing, the fluid being too thick, a trickle stands for it.
    const TRICKLE_FRAC: f64 = 1e-3;
    let factor = |of: fn(&OperatingPoint) -> f64| {
        PumpOverTemperature::LEVELS_C.map(|t_c| at(t_c).map_or(0.0, |point| of(&point)) / of(&design))
    };
    let over_temperature = PumpOverTemperature {
        flow_frac: factor(|point| point.flow_m3_s).map(|frac| frac.max(TRICKLE_FRAC)),
        power_frac: if design.electric_w > 0.0 {
            factor(|point| point.electric_w)
        } else {
            [1.0; PumpOverTemperature::LEVELS]
        },
    };
    Some(Operation { design, over_temperature })
}

fn flow(flow_m3_s: f64) -> String {
    format!("{} ({})", Kind::VolumeFlow.shown(flow_m3_s, true), Kind::VolumeFlow.shown(flow_m3_s, false))
}

fn length(length_m: f64) -> String {
    format!("{} ({})", Kind::Length.shown(length_m, true), Kind::Length.shown(length_m, false))
}

fn level(level_c: f64) -> String {
    format!("{} ({})", Kind::Level.shown(level_c, true), Kind::Level.shown(level_c, false))
}
