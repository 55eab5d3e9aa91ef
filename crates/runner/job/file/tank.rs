//! A tank: `[tank]`, which the sun heats, and what it has in common with `[backup_tank]`.

use std::cell::Cell;
use std::f64::consts::PI;

use thermal_network::spec::{FittingSpec, Surroundings, TankSpec};

use super::label;
use super::section::Section;
use crate::job::quantity::size::{FOOT_M, GALLON_M3, INCH_M};
use crate::job::quantity::{Fault, Kind, parse, rounded};
use crate::job::{Room, Rooms};
use crate::problem::{Problem, Severity};
use crate::rating::foam::Foam;

/// Density and specific heat of the water in the tank, in kg/m3 and J/(kg K): liquid water near 45 C.
pub(super) const WATER: (f64, f64) = (990.0, 4186.0);

/// The tank without its elements, and the rooms.
pub(super) struct Tank {
    pub spec: TankSpec,
    pub rooms: Rooms,
}

/// Asks for a height as a share of the tank's or as a length above its bottom.
pub(super) fn height(section: &Section<'_>, key: &'static str, tank_m: f64, default: (&str, &str)) -> f64 {
    let found = section.ask(key, &[Kind::Share, Kind::Length]).or_any(default.0, default.1);
    let share = if found.kind == Kind::Length { found.si / tank_m } else { found.si };
    if !(0.0..=1.0).contains(&share) && !share.is_nan() {
        let problem = Problem::new(
            Severity::Error,
            format!("`{key}` is outside the tank: {} % of its height", rounded(share * 100.0)),
        )
        .label("not in the tank")
        .help(format!("heights count from the bottom: 0 to 100 %, or 0 to {} ft", rounded(tank_m / FOOT_M)));
        section.report(key, problem);
        return f64::NAN;
    }
    share
}

pub(super) fn read(root: &Section<'_>) -> Tank {
    let usual = Usual {
        volume: ("80 gal", "goes with two 4x8 ft collectors (common practice)"),
        stands_in: ("68 F", "a heated room (common practice)"),
        fittings_loss: "0.6 W/K",
    };
    let (spec, room) = vessel(&root.section("tank"), &usual);
    Tank { spec, rooms: Rooms { tank: room, second_tank: room, other: Room::Attic, without_sun: room } }
}

/// Defaults in which tanks differ, with their sources.
pub(super) struct Usual {
    pub volume: (&'static str, &'static str),
    pub stands_in: (&'static str, &'static str),
    pub fittings_loss: &'static str,
}

/// Loss in W/K that a port without a heat trap adds: 0.1 to 0.4 W/K (common practice).
pub(super) const UNTRAPPED_W_K: f64 = 0.25;

/// A tank without its elements, and where it stands.
pub(super) fn vessel(section: &Section<'_>, usual: &Usual) -> (TankSpec, Room) {
    let volume_m3 = section
        .ask("volume", &[Kind::Volume])
        .possible("2 gal", "5000 gal")
        .usual("30 gal", "200 gal")
        .or(usual.volume.0, usual.volume.1);
    let height_m = water_height(section, volume_m3);
    let label_w_k = label::tank_loss_w_k(section, volume_m3);
    let [side, top, bottom] = match label_w_k {
        Some(loss_w_k) => [spread_w_m2_k(loss_w_k, volume_m3, height_m); 3],
        None => losses(section, volume_m3, height_m),
    };
    let room = stands_in(section, usual.stands_in);
    section.note(
        "water",
        format!("{} kg/m3 and {} J/(kg K), constant", WATER.0, WATER.1),
        None,
        Some("water near 45 C (IAPWS-IF97)"),
    );
    let even = match label_w_k {
        Some(_) => 0.0,
        None => section
            .ask("fittings_loss", &[Kind::Conductance])
            .possible("0 W/K", "20 W/K")
            .or(usual.fittings_loss, "ports and covers add about half to the shell's loss (common practice)"),
    };
    let mut spec = TankSpec {
        volume_m3,
        height_m,
        slices: 1,
        water_kg_m3: WATER.0,
        water_j_kg_k: WATER.1,
        side_w_m2_k: side,
        top_w_m2_k: top,
        bottom_w_m2_k: bottom,
        fittings_even_w_k: even,
        fittings: Vec::new(),
        conduction_w_m_k: 0.0,
        surroundings: Surroundings::TankRoom,
        cold_inlet_frac: 0.0,
        hot_outlet_frac: 1.0,
        elements: Vec::new(),
        interlock: true,
    };
    fit_out(section, &mut spec);
    (spec, room)
}

/// Where a tank stands.
pub(super) fn stands_in(section: &Section<'_>, default: (&str, &str)) -> Room {
    section.words_or("stands_in", default, room, |_| String::new()).unwrap_or(Room::Steady(f64::NAN))
}

/// Ports, fittings, mixing and conduction of a tank of known height, whatever heats it.
pub(super) fn fit_out(section: &Section<'_>, spec: &mut TankSpec) {
    let height_m = spec.height_m;
    for fitting in section.sections("fitting") {
        spec.fittings.push(FittingSpec {
            height_frac: height(&fitting, "height", height_m, ("100 %", "at the top unless given")),
            loss_w_k: fitting
                .ask("loss", &[Kind::Conductance])
                .possible("0 W/K", "20 W/K")
                .or("0.2 W/K", "an open 3/4 in port loses 0.1 to 0.4 W/K (common practice)"),
        });
    }
    spec.hot_outlet_frac = height(section, "hot_outlet", height_m, ("100 %", "at the top (common practice)"));
    spec.fittings.extend(untrapped(section, spec.hot_outlet_frac));
    spec.slices = section
        .ask("slices", &[Kind::Count])
        .possible("1", "200")
        .usual("5", "60")
        .or("30", "stands for the mixing of a household tank") as usize;
    spec.conduction_w_m_k = section
        .ask("conduction", &[Kind::Conductivity])
        .possible("0 W/mK", "10 W/mK")
        .or("0.9 W/mK", "water with a steel wall; tests after EN 12977-3 find 0.7 to 3 (from memory)");
    spec.cold_inlet_frac =
        height(section, "cold_inlet", height_m, ("0 %", "dip tube to the bottom (common practice)"));
    if spec.cold_inlet_frac >= spec.hot_outlet_frac {
        let problem = Problem::new(Severity::Error, "cold water comes in above the hot outlet")
            .label("upside down?")
            .help("heights count from the bottom: 0 % is the bottom");
        section.report("cold_inlet", problem);
    }
}

/// The ports through which warm water rises into the pipes. The cold port is at the top too: its dip tube hangs from there.
pub(super) fn untrapped(section: &Section<'_>, hot_outlet_frac: f64) -> Vec<FittingSpec> {
    let (hot, cold) = section.choice(
        "heat_traps",
        &[("both", (true, true)), ("hot", (true, false)), ("cold", (false, true)), ("none", (false, false))],
        ("both", "codes ask for traps (from memory); each port without one adds 0.25 W/K (common practice)"),
    );
    let open = [(hot, hot_outlet_frac), (cold, 1.0)].into_iter().filter(|port| !port.0);
    open.map(|(_, height_frac)| FittingSpec { height_frac, loss_w_k: UNTRAPPED_W_K }).collect()
}

/// Heights of the water that are possible, in m: 3 in and 30 ft.
const LEAST_HEIGHT_M: f64 = 3.0 * INCH_M;
const MOST_HEIGHT_M: f64 = 30.0 * FOOT_M;

/// Height of the water: given, from the diameter, or from the usual slenderness.
pub(super) fn water_height(section: &Section<'_>, volume_m3: f64) -> f64 {
    let ask =
        |key| section.ask(key, &[Kind::Length]).possible("3 in", "30 ft").given().map(|length| length.si);
    let (height, diameter) = (ask("height"), ask("diameter"));
    if let (Some(height), Some(diameter)) = (height, diameter) {
        let cylinder = PI / 4.0 * diameter * diameter * height;
        if (cylinder / volume_m3 - 1.0).abs() > 0.15 {
            let gallons = |m3: f64| rounded(m3 / GALLON_M3);
            let problem = Problem::new(
                Severity::Warning,
                format!(
                    "this height and diameter hold {} gal, not {} gal",
                    gallons(cylinder),
                    gallons(volume_m3)
                ),
            )
            .label("the height and the volume are used")
            .help("give the inner size, without jacket and insulation");
            section.report("diameter", problem);
        }
    }
    match (height, diameter) {
        (Some(height), _) => height,
        (None, Some(diameter)) => {
            let height = volume_m3 / (PI / 4.0 * diameter * diameter);
            if !(LEAST_HEIGHT_M..=MOST_HEIGHT_M).contains(&height) && !height.is_nan() {
                let message =
                    format!("a tank of this diameter would be {} ft high", rounded(height / FOOT_M));
                let problem = Problem::new(Severity::Error, message).label("not possible");
                section.report("diameter", problem.help("possible: 3 in to 30 ft; give the inner diameter"));
            }
            height
        }
        (None, None) => {
            // 2.5 diameters high: V = pi/4 (H/2.5)^2 H.
            let height = libm::cbrt(volume_m3 * 4.0 * 2.5 * 2.5 / PI);
            let words =
                format!("{} ft ({} m), 2.5 times its diameter", rounded(height / FOOT_M), rounded(height));
            section.note(
                "height",
                words,
                Some((height, "m")),
                Some("household tanks are 2.1 to 3 times as high as wide (common practice)"),
            );
            height
        }
    }
}

/// A loss of the whole tank in W/K spread evenly over its shell, in W/(m2 K).
pub(super) fn spread_w_m2_k(total_w_k: f64, volume_m3: f64, height_m: f64) -> f64 {
    let ends_m2 = volume_m3 / height_m;
    let side_m2 = PI * height_m * libm::sqrt(4.0 * ends_m2 / PI);
    total_w_k / (side_m2 + 2.0 * ends_m2)
}

/// Loss of side, top and bottom in W/(m2 K): each its own, one for all, or a total spread over the shell.
pub(super) fn losses(section: &Section<'_>, volume_m3: f64, height_m: f64) -> [f64; 3] {
    const KINDS: &[Kind] = &[Kind::Resistance, Kind::Loss, Kind::Length];
    let radius_m = libm::sqrt(volume_m3 / (PI * height_m));
    let foamed = Cell::new(false);
    // Of the side and of an end.
    let per_area = |quantity: crate::job::quantity::Quantity| match quantity.kind {
        Kind::Resistance => [1.0 / quantity.si; 2],
        Kind::Length => {
            foamed.set(true);
            let foam = foam(section, quantity.si);
            [foam.side_w_m2_k(radius_m), foam.end_w_m2_k()]
        }
        _ => [quantity.si; 2],
    };
    let part = |key| section.ask(key, KINDS).given().map(per_area);
    let [side, top, bottom] = ["side", "top", "bottom"].map(part);
    let total = section
        .ask("total_loss", &[Kind::Conductance])
        .possible("0 W/K", "100 W/K")
        .usual("0.5 W/K", "10 W/K")
        .given();
    let all = match total {
        Some(total) => {
            for key in ["insulation", "side", "top", "bottom"].into_iter().filter(|key| section.has(key)) {
                let problem = Problem::new(
                    Severity::Error,
                    format!("`{key}` and `total_loss` say the same thing twice"),
                )
                .label("which one?")
                .help("keep one of them");
                section.report(key, problem);
            }
            [spread_w_m2_k(total.si, volume_m3, height_m); 2]
        }
        None => per_area(section.ask("insulation", KINDS).or_any("R-12", "2 in of foam (common practice)")),
    };
    if !foamed.get() {
        let help = "write the insulation as foam, like \"2 in\", or leave this out";
        section.idle(&["foam_conductivity"], "no insulation is given as a thickness", help);
    }
    let per_part = |key, given: Option<[f64; 2]>| {
        let loss = given.unwrap_or(all)[usize::from(key != "side")];
        if !loss.is_nan() && !(0.0..=60.0).contains(&loss) {
            let key = if given.is_some() { key } else { "insulation" };
            let problem = Problem::new(
                Severity::Error,
                format!("`{key}` gives a loss of {} W/m2K, which cannot be", rounded(loss)),
            )
            .label("not possible")
            .help("write an R-value like \"R-16\", foam like \"2 in\" or a loss like \"0.5 W/m2K\"");
            section.report(key, problem);
        }
        loss
    };
    [per_part("side", side), per_part("top", top), per_part("bottom", bottom)]
}

/// Foam of a thickness, with the conductivity it is taken to have.
fn foam(section: &Section<'_>, thickness_m: f64) -> Foam {
    let conductivity_w_m_k = section
        .ask("foam_conductivity", &[Kind::Conductivity])
        .possible("0.01 W/mK", "0.2 W/mK")
        .usual("0.02 W/mK", "0.05 W/mK")
        .or(
            "0.025 W/mK",
            "aged polyurethane has 0.022 to 0.028, glass fibre 0.035 to 0.045 (common practice)",
        );
    Foam { thickness_m, conductivity_w_m_k }
}

/// `basement`, `garage`, `attic`, `outdoors`, `heated room` or a steady temperature.
fn room(text: &str) -> Result<Room, Fault> {
    match text.trim().to_lowercase().as_str() {
        "basement" => return Ok(Room::Basement),
        "garage" => return Ok(Room::Garage),
        "attic" => return Ok(Room::Attic),
        "outdoors" | "outside" => return Ok(Room::Outdoors),
        // 68 F, common practice.
        "heated room" | "house" => return Ok(Room::Steady(20.0)),
        _ => {}
    }
    let help = "write basement, garage, attic, outdoors, heated room, or a temperature like \"68 F\"";
    if !text.contains(|c: char| c.is_ascii_digit()) {
        return Err(Fault::new(format!("`{text}` is not a room known here"), "unknown room", 0..text.len())
            .help(help));
    }
    let level = parse(text, &[Kind::Level]).map_err(|fault| fault.help(help))?.si;
    if (-40.0..=60.0).contains(&level) {
        return Ok(Room::Steady(level));
    }
    Err(Fault::new(format!("no room has {text}"), "not possible", 0..text.len()).help(help))
}
