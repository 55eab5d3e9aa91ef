//! A coil described by its tube, in `[tank.coil]`: conductance from length, bond, films and scale in place of `ua`. The plant
//! follows it through the year; what is written down is its value at the design point.

use std::f64::consts::PI;

use thermal_network::coil_ua::{CoilTube, CoilUa, DesignPoint, Mount};
use thermal_network::fluid::Fluid;
use thermal_network::hydraulics::TubeRun;
use thermal_network::hydraulics::friction::DRAWN_TUBE_ROUGHNESS_M;
use thermal_network::spec::{CoilTubeSpec, ExchangerSpec, PumpFlow, PumpSpec, TankSpec};

use super::exchanger::Exchanger;
use super::pipes::copper;
use super::scale;
use super::section::Section;
use crate::job::quantity::{Kind, rounded};
use crate::problem::{Problem, Severity};

/// Conductivity of copper in W/(m K) (handbooks).
const COPPER_W_M_K: f64 = 385.0;

/// Keys that describe a tube and need its length.
const DEPENDENT: [&str; 12] = [
    "tube",
    "tube_type",
    "bore",
    "outer_diameter",
    "coil_diameter",
    "bond",
    "wall_thickness",
    "wall_conductivity",
    "design_loop_temperature",
    "design_tank_temperature",
    scale::KEYS[0],
    scale::KEYS[1],
];

/// Where a coil sits.
pub(super) struct Place<'a> {
    pub tank: &'a TankSpec,
    /// Share of the tank's height it covers.
    pub covered_frac: f64,
    pub immersed: bool,
}

/// A coil's tube, waiting for the loop's flow.
pub(super) struct TubeCoil {
    pub spec: CoilTubeSpec,
    loop_c: f64,
    tank_c: f64,
}

impl TubeCoil {
    /// The tube as friction sees it.
    pub(super) fn run(&self) -> TubeRun {
        TubeRun {
            length_m: self.spec.tube.length_m,
            fittings_m: 0.0,
            bore_m: self.spec.tube.bore_m,
            roughness_m: DRAWN_TUBE_ROUGHNESS_M,
            coil_m: Some(self.spec.tube.coil_m),
        }
    }
}

/// The tube, if the job gives its length.
pub(super) fn read(section: &Section<'_>, place: &Place<'_>) -> Option<TubeCoil> {
    let ask =
        section.ask("tube_length", &[Kind::Length]).possible("3 ft", "1000 ft").usual("20 ft", "300 ft");
    let Some(length) = ask.given() else {
        for key in DEPENDENT.into_iter().filter(|key| section.has(key)) {
            let problem = Problem::new(Severity::Error, format!("`{key}` needs the coil's tube_length"))
                .label("how long is the tube?")
                .help("give tube_length, or leave this out and keep `ua`");
            section.report(key, problem);
        }
        return None;
    };
    if section.has("ua") {
        let problem = Problem::new(Severity::Error, "`ua` and `tube_length` say the same thing twice")
            .label("which one?")
            .help("keep one of them: the conductance follows from the tube");
        section.report("ua", problem);
    }
    let size = copper(
        section,
        ("1/2 in", "tube that can be bent to a coil (common practice)"),
        ("L", "soft tube that bends (common practice)"),
    );
    let tank_m = libm::sqrt(4.0 * place.tank.volume_m3 / (PI * place.tank.height_m));
    let (coil_m, mount) = if place.immersed {
        let ask = section.ask("coil_diameter", &[Kind::Length]).possible("3 in", "10 ft");
        let coil_m = ask.given().map_or_else(
            || {
                let coil_m = 0.7 * tank_m;
                let source = "seven tenths of the tank's diameter (common practice)";
                section.note(
                    "coil_diameter",
                    format!("{} m", rounded(coil_m)),
                    Some((coil_m, "m")),
                    Some(source),
                );
                coil_m
            },
            |given| given.si,
        );
        (coil_m, Mount::Immersed)
    } else {
        let mount = Mount::Wrapped {
            bond_w_m_k: section
                .ask("bond", &[Kind::Conductivity])
                .possible("0.1 W/mK", "1000 W/mK")
                .usual("2 W/mK", "100 W/mK")
                .or(
                    "20 W/mK",
                    "pressed on with heat-transfer paste; soldered it is above 30 (common practice)",
                ),
            tank_m,
            covered_m: place.covered_frac * place.tank.height_m,
            wall_m: section
                .ask("wall_thickness", &[Kind::Length])
                .possible("0.3 mm", "1 in")
                .or("2.5 mm", "a steel tank (common practice)"),
            wall_w_m_k: section
                .ask("wall_conductivity", &[Kind::Conductivity])
                .possible("0.1 W/mK", "400 W/mK")
                .or("50 W/mK", "steel; stainless has 15 (handbooks)"),
        };
        (tank_m, mount)
    };
    if size.outer_m >= coil_m {
        let problem =
            Problem::new(Severity::Error, "the coil is narrower than its own tube").label("too small");
        section.report("coil_diameter", problem);
    }
    let level = |key, default, source| {
        section.ask(key, &[Kind::Level]).possible("33 F", "230 F").usual("60 F", "200 F").or(default, source)
    };
    let (loop_c, tank_c) = (
        level("design_loop_temperature", "122 F", "middle of a sunny day (common practice)"),
        level("design_tank_temperature", "104 F", "10 to 20 F below the loop (common practice)"),
    );
    let scale_m2_k_w = scale::read(section, &[]);
    let tube = CoilTube {
        length_m: length.si,
        bore_m: size.bore_m,
        outer_m: size.outer_m,
        metal_w_m_k: COPPER_W_M_K,
        coil_m,
    };
    Some(TubeCoil { spec: CoilTubeSpec { tube, mount, scale_m2_k_w }, loop_c, tank_c })
}

/// The exchanger with the conductance its tube has at the loop's flow.
pub(super) fn settle(
    root: &Section<'_>,
    exchanger: Exchanger,
    fluid: Fluid,
    pump: &PumpSpec,
) -> ExchangerSpec {
    let Exchanger { mut spec, tube: Some(coil) } = exchanger else { return exchanger.spec };
    let ExchangerSpec::Coil { ua_w_k, .. } = &mut spec else { return spec };
    let CoilTubeSpec { tube, mount, scale_m2_k_w } = coil.spec;
    let flow_m3_s = match pump.flow {
        PumpFlow::VolumeM3S(flow) => flow,
        PumpFlow::MassKgS(flow) => flow / fluid.density_kg_m3(coil.loop_c),
    };
    let point = DesignPoint { fluid, flow_m3_s, loop_c: coil.loop_c, tank_c: coil.tank_c, scale_m2_k_w };
    let at = |point| CoilUa::of(&tube, &mount, &point).map_or(f64::NAN, |found| found.ua_w_k);
    *ua_w_k = at(point);
    let words = format!(
        "{} W/K at {} ({}), loop at {}, tank at {}; {} W/K at half the flow, {} W/K without scale; in the year it follows flow \
         and temperatures",
        rounded(*ua_w_k),
        Kind::VolumeFlow.shown(flow_m3_s, true),
        Kind::VolumeFlow.shown(flow_m3_s, false),
        Kind::Level.shown(coil.loop_c, true),
        Kind::Level.shown(coil.tank_c, true),
        rounded(at(DesignPoint { flow_m3_s: 0.5 * flow_m3_s, ..point })),
        rounded(at(DesignPoint { scale_m2_k_w: 0.0, ..point })),
    );
    let source = "its tube: Schmidt 1967, Gnielinski 1976, Churchill and Chu 1975; scale after TEMA";
    root.section("tank").section("coil").note("ua", words, Some((*ua_w_k, "W/K")), Some(source));
    spec
}
