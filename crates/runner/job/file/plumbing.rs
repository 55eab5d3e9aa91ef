//! `[pipe_between]`, `[bypass]`, `[transfer_pump]`, `[recirculation]` and the mixing at cold inlets: what joins the tanks to each
//! other and to the house.

use thermal_network::spec::{
    Around, BypassSpec, FittingSpec, InletMixingSpec, PlumbingSpec, RecirculationSpec, Surroundings,
    TankSpec, TransferSpec, WaterPipeSpec, WaterPumpSpec,
};

use super::backup::hours;
use super::pipes::copper_with_wall;
use super::section::Section;
use super::tank::{UNTRAPPED_W_K, height};
use crate::job::quantity::{Fault, Kind, parse, when};
use crate::job::{Permission, PlumbingHours};
use crate::problem::{Problem, Severity};

/// Reads the pipe work of these tanks; a missing heat trap adds to the first tank's loss.
pub(super) fn read(root: &Section<'_>, tanks: &mut [TankSpec]) -> (PlumbingSpec, PlumbingHours) {
    let two = tanks.len() == 2;
    if !two {
        for key in ["pipe_between", "bypass", "transfer_pump"] {
            if root.section(key).is_given() {
                let problem = Problem::new(Severity::Error, format!("`[{key}]` needs a second tank"))
                    .label("only one tank here")
                    .help("describe the heater that the solar tank feeds in [backup_tank]");
                root.report(key, problem);
            }
        }
    }
    let mut times = PlumbingHours::default();
    let between = root.section("pipe_between");
    let bypass = root.section("bypass");
    let transfer = root.section("transfer_pump");
    let recirculation = root.section("recirculation");
    if two {
        let trapped = between.choice(
            "heat_trap",
            &[("yes", true), ("no", false)],
            ("yes", "a trap or a loop down keeps warm water from rising into the pipe (common practice)"),
        );
        if !trapped {
            let height_frac = tanks[0].hot_outlet_frac;
            tanks[0].fittings.push(FittingSpec { height_frac, loss_w_k: UNTRAPPED_W_K });
        }
    }
    let spec = PlumbingSpec {
        between: two.then(|| {
            water_pipe(&between, "0.1 ft", ("6 ft", "tanks side by side (common practice)"), "tank room")
        }),
        bypass: bypass.is_given().then(|| read_bypass(&bypass, &mut times.bypass)),
        transfer: (two && transfer.is_given()).then(|| read_transfer(&transfer, tanks)),
        recirculation: recirculation.is_given().then(|| {
            times.recirculation = hours(&recirculation);
            read_recirculation(&recirculation, tanks)
        }),
        inlet_mixing: [Some("tank"), two.then_some("backup_tank")]
            .map(|key| key.and_then(|key| inlet_mixing(&root.section(key)))),
    };
    (spec, times)
}

/// A pipe that holds hot water.
fn water_pipe(
    section: &Section<'_>,
    least: &'static str,
    length: (&str, &str),
    around_default: &str,
) -> WaterPipeSpec {
    let length_m = section
        .ask("length", &[Kind::Length])
        .possible(least, "2000 ft")
        .usual("1 ft", "400 ft")
        .or(length.0, length.1);
    let tube = copper_with_wall(
        section,
        ("3/4 in", "the usual size in houses (common practice)"),
        ("M", "hard copper tube indoors (common practice)"),
    );
    let insulation_m = section
        .ask("insulation", &[Kind::Length])
        .possible("0 in", "12 in")
        .usual("0 in", "3 in")
        .or("1/2 in", "foam sleeve on hot lines (common practice)");
    let insulation_w_m_k = section
        .ask("insulation_conductivity", &[Kind::Conductivity])
        .possible("0.01 W/mK", "1 W/mK")
        .usual("0.02 W/mK", "0.06 W/mK")
        .or("0.04 W/mK", "closed-cell foam (common practice)");
    let around = section
        .words_or("runs_through", (around_default, "unless given"), around, |_| String::new())
        .unwrap_or(Around::Steady(f64::NAN));
    WaterPipeSpec {
        length_m,
        around,
        bore_m: tube.bore_m,
        tube_outer_m: tube.outer_m,
        insulation_m,
        insulation_w_m_k,
        wall_capacity_j_m_k: tube.wall_j_m_k,
        outer_film_w_m2_k: None,
    }
}

/// `tank room`, `backup tank room`, `attic`, `outdoors` or a steady temperature.
fn around(text: &str) -> Result<Around, Fault> {
    let space = match text.trim().to_lowercase().as_str() {
        "tank room" => Surroundings::TankRoom,
        "backup tank room" => Surroundings::SecondTankRoom,
        "attic" => Surroundings::OtherSpace,
        "outdoors" | "outside" => Surroundings::Outdoor,
        _ => {
            let help = "write tank room, backup tank room, attic, outdoors, or a temperature like \"68 F\"";
            if !text.contains(|c: char| c.is_ascii_digit()) {
                let what = format!("`{text}` is not a space known here");
                return Err(Fault::new(what, "unknown space", 0..text.len()).help(help));
            }
            let level_c = parse(text, &[Kind::Level]).map_err(|fault| fault.help(help))?.si;
            if (-40.0..=60.0).contains(&level_c) {
                return Ok(Around::Steady(level_c));
            }
            return Err(Fault::new(format!("no room has {text}"), "not possible", 0..text.len()).help(help));
        }
    };
    Ok(Around::Space(space))
}

fn water_pump(section: &Section<'_>, flow: (&str, &str), power: (&str, &str)) -> WaterPumpSpec {
    WaterPumpSpec {
        flow_m3_s: section
            .ask("flow", &[Kind::VolumeFlow])
            .possible("0.01 gpm", "100 gpm")
            .usual("0.2 gpm", "6 gpm")
            .or(flow.0, flow.1),
        power_w: section
            .ask("power", &[Kind::Power])
            .possible("0 W", "1 kW")
            .usual("3 W", "150 W")
            .or(power.0, power.1),
        heat_to_water_frac: section
            .ask("heat_to_water", &[Kind::Share])
            .possible("0 %", "100 %")
            .or("50 %", "wet-rotor circulators (common practice)"),
    }
}

fn read_bypass(section: &Section<'_>, by_hand: &mut Permission) -> BypassSpec {
    let dates = section.words("dates", when::days, |_| String::new());
    let above = section
        .ask("above", &[Kind::Level])
        .possible("70 F", "230 F")
        .usual("115 F", "180 F")
        .given()
        .map(|level| level.si);
    if dates.is_none() && above.is_none() {
        let problem = Problem::new(Severity::Error, "the bypass does not say when it is turned")
            .label("when?")
            .help("write dates = \"May 15 - Sep 15\" for a valve turned by hand, above = \"130 F\" for one that turns by itself");
        section.report("dates", problem);
    }
    if let Some(days) = dates {
        *by_hand = Permission { days, ..Permission::default() };
    }
    let Some(opens_c) = above else {
        section.idle(
            &["band"],
            "the valve is turned by hand",
            "write above = \"130 F\" for one that turns by itself",
        );
        return BypassSpec { opens_c: f64::INFINITY, band_k: 0.0 };
    };
    let band_k = section
        .ask("band", &[Kind::Difference])
        .possible("0 F", "60 F")
        .usual("1 F", "20 F")
        .or("5 F", "thermostatic valves (common practice)");
    BypassSpec { opens_c, band_k }
}

fn read_transfer(section: &Section<'_>, tanks: &[TankSpec]) -> TransferSpec {
    let difference = |key, default| {
        section
            .ask(key, &[Kind::Difference])
            .possible("0 F", "90 F")
            .usual("1 F", "30 F")
            .or(default, "differential control of a circulator (common practice)")
    };
    let [on_k, off_k] = [difference("on_difference", "12 F"), difference("off_difference", "4 F")];
    if off_k >= on_k {
        let problem =
            Problem::new(Severity::Error, "the pump would stop at a larger difference than it starts at")
                .label("not below on_difference")
                .help("off_difference is commonly a third of on_difference: \"12 F\" and \"4 F\"");
        section.report("off_difference", problem);
    }
    let limit_c = section
        .ask("high_limit", &[Kind::Level])
        .possible("70 F", "230 F")
        .usual("120 F", "180 F")
        .or("160 F", "below the heater's own cut-out near 170 F (common practice)");
    let solar = |key, default| height(section, key, tanks[0].height_m, default);
    let heater = |key, default| height(section, key, tanks[1].height_m, default);
    TransferSpec {
        pump: water_pump(
            section,
            ("2 gpm", "a small circulator (common practice)"),
            ("25 W", "a small circulator (common practice)"),
        ),
        on_k,
        off_k,
        limit_c,
        take_frac: solar("takes_from", ("100 %", "the hot outlet of the solar tank")),
        give_frac: heater("gives_to", ("50 %", "the middle of the backup tank")),
        back_from_frac: heater("back_from", ("0 %", "the drain of the backup tank; the sensor sits there")),
        back_to_frac: solar("back_to", ("0 %", "the cold inlet of the solar tank")),
    }
}

fn read_recirculation(section: &Section<'_>, tanks: &[TankSpec]) -> RecirculationSpec {
    // A shorter one would be passed many times a second.
    let length = ("100 ft", "out and back in a house of 2,000 ft2 (common practice)");
    let pipe = water_pipe(section, "6 ft", length, "68 F");
    let pump = water_pump(
        section,
        ("1 gpm", "keeps the loop's end within some degrees of its start (common practice)"),
        ("25 W", "a small circulator (common practice)"),
    );
    let last = tanks.len() - 1;
    let return_tank = if last == 0 {
        0
    } else {
        section.choice(
            "returns_to",
            &[("backup tank", 1), ("solar tank", 0)],
            ("backup tank", "the heater keeps the loop warm (common practice)"),
        )
    };
    let return_frac = height(
        section,
        "return_height",
        tanks[return_tank].height_m,
        ("10 %", "at the drain, near the bottom (common practice)"),
    );
    RecirculationSpec { pipe, pump, return_tank, return_frac }
}

/// Mixing by the rate of the draw; off unless asked for.
fn inlet_mixing(section: &Section<'_>) -> Option<InletMixingSpec> {
    let stirs = section.choice(
        "inlet_mixing",
        &[("none", false), ("by draw rate", true)],
        ("none", "cold water stays where the dip tube lets it out"),
    );
    if !stirs {
        section.idle(
            &["inlet_bore"],
            "nothing mixes at the cold inlet",
            "write inlet_mixing = \"by draw rate\", or leave the bore out",
        );
        return None;
    }
    let bore_m = section
        .ask("inlet_bore", &[Kind::Length])
        .possible("0.1 in", "6 in")
        .usual("0.3 in", "1.5 in")
        .or("0.8 in", "a 3/4 in port; jet as a fountain (Turner 1966, from memory)");
    Some(InletMixingSpec { bore_m })
}
