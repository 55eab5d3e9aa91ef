//! How the sun's heat enters the tank: `[tank.coil]`, `[tank.plate]` or `[tank.open_loop]`.
//!
//! A coil or plate has a `ua`; a coil may be described by its tube instead, and its UA then waits for the loop's flow.

use thermal_network::slice_at;
use thermal_network::spec::{CoilInlet, ExchangerSpec, PlateRating};

use super::coil_tube::{self, TubeCoil};
use super::scale;
use super::section::Section;
use super::tank::{Tank, WATER, height};
use crate::job::quantity::{Kind, rounded};
use crate::problem::{Problem, Severity};

/// Conductance per collector area that keeps the exchanger from mattering, in W/K per m2 (common practice: 40 to 60).
const UA_PER_AREA_W_K_M2: f64 = 50.0;

/// What the echo says of a conductance.
const CONSTANT: &str = "the same at any flow and temperature";
const AT_FULL_FLOW: &str = "clean plates at full flow; less at part flow";

/// The exchanger, with its coil's tube where that is what the job says.
pub(super) struct Exchanger {
    pub spec: ExchangerSpec,
    pub tube: Option<TubeCoil>,
}

/// For a tank that is the collector: its water as a whole.
pub(super) fn none() -> Exchanger {
    Exchanger { spec: ExchangerSpec::OpenLoop { draw_from_frac: 0.0, return_to_frac: 1.0 }, tube: None }
}

pub(super) fn read(root: &Section<'_>, tank: &Tank, area_m2: f64) -> Exchanger {
    let section = root.section("tank");
    let (coil, plate, open) =
        (section.section("coil"), section.section("plate"), section.section("open_loop"));
    if [&coil, &plate, &open].iter().filter(|way| way.is_given()).count() > 1 {
        let problem =
            Problem::new(Severity::Error, "the tank has more than one way for the sun's heat to enter")
                .label("which one?")
                .help("keep one of [tank.coil], [tank.plate] and [tank.open_loop]");
        section.report(if open.is_given() { "open_loop" } else { "plate" }, problem);
    }
    if plate.is_given() {
        return Exchanger { spec: plate_exchanger(&plate, tank, area_m2), tube: None };
    }
    if open.is_given() {
        let (draw_from_frac, return_to_frac) = connections(&open, tank);
        return Exchanger { spec: ExchangerSpec::OpenLoop { draw_from_frac, return_to_frac }, tube: None };
    }
    coil_exchanger(&coil, tank, area_m2)
}

fn ua(section: &Section<'_>, area_m2: f64, remark: &'static str) -> f64 {
    let ask = section
        .ask("ua", &[Kind::Conductance])
        .possible("1 W/K", "20000 W/K")
        .usual("100 W/K", "2000 W/K")
        .remark(remark);
    ask.given().map_or_else(
        || {
            let ua = UA_PER_AREA_W_K_M2 * area_m2;
            let words =
                format!("{} W/K, {UA_PER_AREA_W_K_M2} W/K per m2 of collector, {remark}", rounded(ua));
            section.note(
                "ua",
                words,
                Some((ua, "W/K")),
                Some("sizing rule 40 to 60 W/K per m2 of collector (common practice)"),
            );
            ua
        },
        |ua| ua.si,
    )
}

fn coil_exchanger(section: &Section<'_>, tank: &Tank, area_m2: f64) -> Exchanger {
    let tank_m = tank.spec.height_m;
    // The kinds step alike; they differ in the UA that a tube makes.
    let immersed = section.choice(
        "kind",
        &[("wrap-around", false), ("immersed", true)],
        ("wrap-around", "single-tank solar heaters in the US are mostly of this kind (common practice)"),
    );
    let bottom_frac =
        height(section, "bottom", tank_m, ("2 %", "starts just above the bottom (common practice)"));
    let top_frac =
        height(section, "top", tank_m, ("50 %", "the lower half, below the element (common practice)"));
    if bottom_frac >= top_frac {
        let problem = Problem::new(Severity::Error, "the coil's bottom is not below its top")
            .label("upside down?")
            .help("heights count from the tank's bottom");
        section.report("bottom", problem);
    }
    let covered_frac = top_frac - bottom_frac;
    let tube = coil_tube::read(section, &coil_tube::Place { tank: &tank.spec, covered_frac, immersed });
    let spec = ExchangerSpec::Coil {
        bottom_frac,
        top_frac,
        // A tube's conductance is worked out once the flow is known.
        ua_w_k: if tube.is_some() { f64::NAN } else { ua(section, area_m2, CONSTANT) },
        inlet: section.choice(
            "inlet",
            &[("top", CoilInlet::Top), ("bottom", CoilInlet::Bottom)],
            ("top", "hot fluid enters above and leaves below (common practice)"),
        ),
        tube: tube.as_ref().map(|tube| tube.spec),
    };
    Exchanger { spec, tube }
}

fn plate_exchanger(section: &Section<'_>, tank: &Tank, area_m2: f64) -> ExchangerSpec {
    let effectiveness =
        section.ask("effectiveness", &[Kind::Share]).possible("1 %", "100 %").usual("30 %", "95 %");
    let effectiveness = effectiveness.remark(AT_FULL_FLOW).given();
    let rating = match effectiveness {
        Some(share) => {
            if section.has("ua") {
                let problem =
                    Problem::new(Severity::Error, "`ua` and `effectiveness` say the same thing twice")
                        .label("which one?")
                        .help("keep one of them");
                section.report("effectiveness", problem);
            }
            PlateRating::EffectivenessFrac(share.si)
        }
        None => PlateRating::UaWK(ua(section, area_m2, AT_FULL_FLOW)),
    };
    let flow = section
        .ask("tank_flow", &[Kind::VolumeFlow, Kind::MassFlow])
        .or_any("1.5 gal/min", "about the loop's own flow");
    let (draw_from_frac, return_to_frac) = connections(section, tank);
    ExchangerSpec::Plate {
        rating,
        scale_k_w: plate_scale_k_w(section),
        tank_flow_kg_s: if flow.kind == Kind::VolumeFlow { flow.si * WATER.0 } else { flow.si },
        tank_pump_w: section
            .ask("tank_pump_power", &[Kind::Power])
            .possible("0 W", "2000 W")
            .usual("5 W", "150 W")
            .or("25 W", "a small circulator (common practice)"),
        draw_from_frac,
        return_to_frac,
    }
}

/// Resistance of scale on the tank's side of the plates in K/W: one layer on their whole area.
fn plate_scale_k_w(section: &Section<'_>) -> f64 {
    let area =
        section.ask("area", &[Kind::Area]).possible("0.1 ft2", "1000 ft2").usual("1 ft2", "100 ft2").given();
    let Some(area) = area else {
        for key in scale::KEYS.into_iter().filter(|key| section.has(key)) {
            let problem = Problem::new(Severity::Error, format!("`{key}` needs the plates' area"))
                .label("scale on how much?")
                .help(
                    "give area = \"6 ft2\", the heat transfer area on the plate's sheet, or leave this out",
                );
            section.report(key, problem);
        }
        return 0.0;
    };
    let scale_k_w = scale::read(section, &["area"]) / area.si;
    section.note(
        "scale",
        format!("resists {} K/W at any flow", rounded(scale_k_w)),
        Some((scale_k_w, "K/W")),
        Some("scale after TEMA on the whole area"),
    );
    scale_k_w
}

/// Heights at which tank water is taken and given back.
fn connections(section: &Section<'_>, tank: &Tank) -> (f64, f64) {
    let (tank_m, slices) = (tank.spec.height_m, tank.spec.slices);
    let draw_from =
        height(section, "draw_from", tank_m, ("0 %", "from the bottom, the coldest water (common practice)"));
    let return_to =
        height(section, "return_to", tank_m, ("50 %", "mid-height, below the element (common practice)"));
    if draw_from >= return_to {
        let problem =
            Problem::new(Severity::Error, "solar-heated water returns below the height it is drawn from")
                .label("upside down?")
                .help("draw from the bottom, return higher up; heights count from the tank's bottom");
        section.report("return_to", problem);
    } else if slices > 1 && slice_at(draw_from, slices) == slice_at(return_to, slices) {
        let what =
            format!("solar-heated water returns to the slice of the tank it is drawn from, of {slices}");
        let problem = Problem::new(Severity::Error, what)
            .label("too near to draw_from")
            .help("return it higher up, or give the tank more slices");
        section.report("return_to", problem);
    }
    (draw_from, return_to)
}
