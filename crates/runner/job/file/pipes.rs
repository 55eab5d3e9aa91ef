//! `[pipes]` and `[loop]`: tube, insulation, lengths on the way to and from the roof, and the fluid in them.

use thermal_network::film::TubeFlow;
use thermal_network::fluid::Fluid;
use thermal_network::hydraulics::DESIGN_LOOP_C;
use thermal_network::spec::{ExchangerSpec, PipeRunSpec, PumpFlow, Surroundings};

use super::kind::Word;
use super::section::Section;
use super::tank::Tank;
use crate::job::quantity::words::loop_fluid;
use crate::job::quantity::{Fault, Kind, parse};
use crate::problem::{Problem, Severity};

/// Runs in the order the fluid passes them.
pub(super) struct Pipes {
    pub supply: Vec<PipeRunSpec>,
    pub ret: Vec<PipeRunSpec>,
}

/// Copper tube of ASTM B88 (sizes from memory): nominal size in in, outer and inner diameter in mm for types L and M, heat
/// capacity of the wall in J/(m K) from its metal volume, copper at 8940 kg/m3 and 385 J/(kg K).
const TUBES: [(&str, Tube, Tube); 3] = [
    ("1/2 in", tube(15.88, 13.84, 163.0), tube(15.88, 14.45, 117.0)),
    ("3/4 in", tube(22.22, 19.94, 261.0), tube(22.22, 20.60, 188.0)),
    ("1 in", tube(28.57, 26.03, 375.0), tube(28.57, 26.80, 266.0)),
];

/// A copper tube.
#[derive(Clone, Copy)]
pub(super) struct Tube {
    pub outer_m: f64,
    pub bore_m: f64,
    /// Heat capacity of the wall in J/(m K).
    pub wall_j_m_k: f64,
}

const fn tube(outer_mm: f64, bore_mm: f64, wall_j_m_k: f64) -> Tube {
    Tube { outer_m: outer_mm / 1000.0, bore_m: bore_mm / 1000.0, wall_j_m_k }
}

/// No pipes at all.
pub(super) fn none() -> Pipes {
    Pipes { supply: Vec::new(), ret: Vec::new() }
}

pub(super) fn read(root: &Section<'_>) -> Pipes {
    let section = root.section("pipes");
    let tube = copper_with_wall(
        &section,
        ("3/4 in", "for two collectors (common practice)"),
        ("M", "hard copper tube indoors (common practice)"),
    );
    let insulation_m = section
        .ask("insulation", &[Kind::Length])
        .possible("0 in", "12 in")
        .usual("3/8 in", "3 in")
        .or("3/4 in", "foam of 3/4 in on 3/4 in tube (common practice)");
    let insulation_w_m_k = section
        .ask("insulation_conductivity", &[Kind::Conductivity])
        .possible("0.01 W/mK", "1 W/mK")
        .usual("0.02 W/mK", "0.06 W/mK")
        .or("0.04 W/mK", "closed-cell foam (common practice)");
    let run = |length_m, surroundings| PipeRunSpec {
        length_m,
        surroundings,
        bore_m: tube.bore_m,
        tube_outer_m: tube.outer_m,
        insulation_m,
        insulation_w_m_k,
        wall_capacity_j_m_k: tube.wall_j_m_k,
        inner_film_w_m2_k: None,
        outer_film_w_m2_k: None,
    };
    let way = |key| {
        let way = section.section(key);
        let length = |key, default, source| {
            way.ask(key, &[Kind::Length])
                .possible("0 ft", "2000 ft")
                .usual("0 ft", "200 ft")
                .or(default, source)
        };
        [
            run(length("indoors", "25 ft", "a two-story house (common practice)"), Surroundings::TankRoom),
            run(length("attic", "0 ft", "none unless given"), Surroundings::OtherSpace),
            run(length("outdoors", "15 ft", "a two-story house (common practice)"), Surroundings::Outdoor),
        ]
    };
    let present = |run: &PipeRunSpec| run.length_m != 0.0;
    Pipes {
        supply: way("supply").into_iter().filter(present).collect(),
        ret: way("return").into_iter().rev().filter(present).collect(),
    }
}

/// The same, with its wall under the key `wall_capacity` for a tube that is not of copper.
pub(super) fn copper_with_wall(section: &Section<'_>, size: (&str, &str), kind: (&str, &str)) -> Tube {
    let mut tube = copper(section, size, kind);
    tube.wall_j_m_k = section
        .ask("wall_capacity", &[Kind::CapacityPerLength])
        .possible("0 J/mK", "100000 J/mK")
        .given()
        .map_or(tube.wall_j_m_k, |capacity| capacity.si);
    tube
}

/// Tube under the keys `tube`, `tube_type`, `bore` and `outer_diameter`; the defaults are a nominal size and a type, each with
/// its source.
pub(super) fn copper(section: &Section<'_>, size: (&str, &str), kind: (&str, &str)) -> Tube {
    let nominal = |text: &str| {
        let diameter = parse(text, &[Kind::Length])?.si;
        let same = |nominal: &str| {
            parse(nominal, &[Kind::Length]).is_ok_and(|size| (size.si - diameter).abs() < 1e-9)
        };
        TUBES.iter().find(|(nominal, ..)| same(nominal)).ok_or_else(|| {
            let help =
                "known: 1/2 in, 3/4 in, 1 in; for another tube give bore, outer_diameter and wall_capacity";
            Fault::new(format!("`{text}` is not a copper tube known here"), "nominal size", 0..text.len())
                .help(help)
        })
    };
    let type_m = section.choice("tube_type", &[("M", true), ("L", false)], kind);
    let chosen = section.words_or("tube", size, nominal, |tube| {
        let tube = if type_m { tube.2 } else { tube.1 };
        format!("copper ASTM B88, bore {} mm", tube.bore_m * 1000.0)
    });
    let chosen = chosen.map_or(TUBES[1].2, |tube| if type_m { tube.2 } else { tube.1 });
    let own =
        |key| section.ask(key, &[Kind::Length]).possible("1 mm", "500 mm").given().map(|length| length.si);
    let tube = Tube {
        bore_m: own("bore").unwrap_or(chosen.bore_m),
        outer_m: own("outer_diameter").unwrap_or(chosen.outer_m),
        wall_j_m_k: chosen.wall_j_m_k,
    };
    if tube.bore_m >= tube.outer_m {
        let problem = Problem::new(Severity::Error, "the tube's bore is not smaller than its outer diameter")
            .label("too large")
            .help("give both `bore` and `outer_diameter`");
        section.report("bore", problem);
    }
    tube
}

/// Gives the pipes of an open loop the inside film of water at the pump's flow: the fluid itself, the tank's water of constant
/// properties, knows no viscosity.
pub(super) fn open_loop_films(pipes: &mut Pipes, flow: PumpFlow) {
    let mass_flow_kg_s = match flow {
        PumpFlow::MassKgS(kg_s) => kg_s,
        PumpFlow::VolumeM3S(m3_s) => m3_s * Fluid::Water.density_kg_m3(DESIGN_LOOP_C),
    };
    for run in pipes.supply.iter_mut().chain(&mut pipes.ret) {
        let flow =
            TubeFlow { fluid: Fluid::Water, mean_c: DESIGN_LOOP_C, diameter_m: run.bore_m, mass_flow_kg_s };
        run.inner_film_w_m2_k = flow.film_w_m2_k();
    }
}

/// The loop's fluid; an open loop carries the tank's water.
pub(super) fn fluid(root: &Section<'_>, exchanger: &ExchangerSpec, tank: &Tank, word: Word) -> Fluid {
    let section = root.section("loop");
    let open = matches!(exchanger, ExchangerSpec::OpenLoop { .. });
    let default = if open {
        ("water", "an open loop carries the tank's water")
    } else if word == Word::Drainback {
        ("water", "a loop that drains needs no glycol (common practice)")
    } else {
        ("40 % propylene glycol", "40 to 50 % (common practice)")
    };
    let glycol = section.words_or("fluid", default, loop_fluid, |_| String::new()).unwrap_or(0.0);
    if open {
        if glycol > 0.0 {
            let problem =
                Problem::new(Severity::Error, "glycol in an open loop would run into the drinking water")
                    .label("an open loop carries the tank's water")
                    .help("write fluid = \"water\", or give the tank a coil or a plate exchanger");
            section.report("fluid", problem);
        }
        return Fluid::Constant {
            density_kg_m3: tank.spec.water_kg_m3,
            specific_heat_j_kg_k: tank.spec.water_j_kg_k,
        };
    }
    if glycol > 0.0 { Fluid::PropyleneGlycol { volume_frac: glycol } } else { Fluid::Water }
}
