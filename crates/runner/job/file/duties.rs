//! What drives the pump, and what the controller does besides collecting: `drive` and `speed` in `[pump]`, and
//! `[controller.freeze_protection]`, `[controller.night_cooling]`, `[controller.heat_dump]`.

use thermal_network::spec::{DumpSpec, Duties, FreezeSpec, NightCoolingSpec, PumpDrive, Surroundings};

use super::COMMON;
use super::backup;
use super::kind::Word;
use super::section::Section;
use crate::job::Permission;
use crate::job::quantity::Kind;
use crate::problem::{Problem, Severity};

/// Irradiance that the shares of a photovoltaic module refer to, in W/m2.
const FULL_SUN_W_M2: f64 = 1000.0;

/// The duties with the hours of a pump's timer.
pub(super) struct Read {
    pub duties: Duties,
    pub timer: Option<Permission>,
}

pub(super) fn read(root: &Section<'_>, word: Word, off_k: f64) -> Read {
    let (pump, controller) = (root.section("pump"), root.section("controller"));
    let (drive, timer) = match word {
        Word::Pumped | Word::Drainback => drive(&pump, off_k),
        Word::Thermosiphon | Word::Batch => (PumpDrive::Differential, None),
    };
    let level = |section: &Section<'_>, key, usual: (&'static str, &'static str), default, source| {
        section
            .ask(key, &[Kind::Level])
            .possible("-40 F", "500 F")
            .usual(usual.0, usual.1)
            .or(default, source)
    };
    let section = controller.section("freeze_protection");
    let freeze = section.is_given().then(|| FreezeSpec {
        on_c: level(&section, "on", ("34 F", "45 F"), "39 F", "38 to 40 F (common practice)"),
        off_c: level(&section, "off", ("36 F", "60 F"), "45 F", "43 to 48 F (common practice)"),
    });
    if freeze.is_some_and(|freeze| freeze.off_c <= freeze.on_c) {
        order(
            &section,
            "freeze protection would stop at or below the temperature it starts at",
            "on below off",
        );
    }
    if freeze.is_some() && word == Word::Drainback {
        let problem = Problem::new(Severity::Error, "a loop that drains is empty in the cold")
            .label("not with drainback")
            .help("leave [controller.freeze_protection] out: warm water would be pumped out into the frost");
        controller.report("freeze_protection", problem);
    }
    let section = controller.section("night_cooling");
    let night_cooling = section.is_given().then(|| NightCoolingSpec {
        on_c: level(&section, "on", ("140 F", "200 F"), "170 F", "an overheated tank (common practice)"),
        off_c: level(&section, "off", ("120 F", "180 F"), "150 F", "130 to 160 F (common practice)"),
    });
    if night_cooling.is_some_and(|cooling| cooling.off_c >= cooling.on_c) {
        order(
            &section,
            "night cooling would stop at or above the tank temperature it starts at",
            "off below on",
        );
    }
    let section = controller.section("heat_dump");
    let dump = section.is_given().then(|| DumpSpec {
        on_c: level(&section, "on", ("160 F", "280 F"), "200 F", COMMON),
        reset_k: section
            .ask("reset", &[Kind::Difference])
            .possible("0 F", "90 F")
            .usual("5 F", "40 F")
            .or("15 F", COMMON),
        ua_w_k: section
            .ask("ua", &[Kind::Conductance])
            .possible("1 W/K", "5000 W/K")
            .usual("20 W/K", "500 W/K")
            .or("80 W/K", "some 16 ft of finned tube in still air, or a small fan coil (assumed)"),
        surroundings: Surroundings::Outdoor,
    });
    if let PumpDrive::Timer | PumpDrive::Sun { .. } = drive {
        let why = "no difference starts or stops the pump";
        let help = "leave it out, or write drive = \"controller\" in [pump]";
        controller.idle(&["off_difference", "min_on", "min_off"], why, help);
        // Night cooling waits for this difference too.
        if night_cooling.is_none() {
            controller.idle(&["on_difference"], why, help);
        }
    }
    if matches!(drive, PumpDrive::Sun { .. }) {
        for (key, given) in [
            ("freeze_protection", freeze.is_some()),
            ("night_cooling", night_cooling.is_some()),
            ("heat_dump", dump.is_some()),
        ] {
            if given {
                let problem =
                    Problem::new(Severity::Error, "a pump on a solar module has no current for this")
                        .label("needs power without sun")
                        .help("leave it out, or write drive = \"controller\" in [pump]");
                controller.report(key, problem);
            }
        }
    }
    let limit =
        controller.ask("no_start_above", &[Kind::Level]).possible("100 F", "500 F").usual("150 F", "250 F");
    let start_below_c = match word {
        Word::Drainback => {
            Some(limit.or("200 F", "hot collectors flash what is filled in to steam (common practice)"))
        }
        Word::Pumped | Word::Thermosiphon | Word::Batch => limit.given().map(|limit| limit.si),
    };
    Read { duties: Duties { drive, start_below_c, freeze, night_cooling, dump }, timer }
}

fn order(section: &Section<'_>, message: &str, help: &str) {
    section.report("off", Problem::new(Severity::Error, message).label("the wrong way round").help(help));
}

#[derive(Clone, Copy, PartialEq)]
enum Driver {
    Controller,
    Timer,
    Module,
}

fn drive(pump: &Section<'_>, off_k: f64) -> (PumpDrive, Option<Permission>) {
    let driver = pump.choice(
        "drive",
        &[("controller", Driver::Controller), ("timer", Driver::Timer), ("solar module", Driver::Module)],
        ("controller", "a differential controller unless the job says otherwise"),
    );
    let proportional = pump.choice(
        "speed",
        &[("constant", false), ("proportional", true)],
        ("constant", "one speed unless the job says otherwise"),
    );
    if proportional && driver != Driver::Controller {
        let problem =
            Problem::new(Severity::Error, "only a controller gives a pump a speed by the difference")
                .label("without a controller")
                .help("a pump on a solar module follows the sun by itself");
        pump.report("speed", problem);
    }
    let idle = |keys: &[&'static str], needs: &str| {
        let why = format!("it needs {needs}");
        pump.idle(keys, &why, &format!("write {needs} in [pump], or leave it out"));
    };
    if driver != Driver::Timer {
        idle(&["hours", "weekdays", "dates"], "drive = \"timer\"");
    }
    if driver != Driver::Module {
        idle(&["starts_at", "full_flow_at"], "drive = \"solar module\"");
    }
    if !proportional {
        idle(&["least_speed", "full_speed_difference"], "speed = \"proportional\"");
    }
    match driver {
        Driver::Timer => {
            let hours = backup::clock(pump, ("9 am - 4 pm", "the sunny hours (assumed)"));
            (PumpDrive::Timer, Some(hours))
        }
        Driver::Module => {
            let share = |key, default, source| {
                pump.ask(key, &[Kind::Share]).possible("0 %", "150 %").or(default, source) * FULL_SUN_W_M2
            };
            let start_w_m2 = share("starts_at", "15 %", "share of full sun, 1000 W/m2 (assumed)");
            let full_w_m2 = share("full_flow_at", "70 %", "share of full sun, 1000 W/m2 (assumed)");
            if full_w_m2 <= start_w_m2 {
                order(
                    pump,
                    "the pump would have its full flow before it starts",
                    "starts_at below full_flow_at",
                );
            }
            (PumpDrive::Sun { start_w_m2, full_w_m2 }, None)
        }
        Driver::Controller if proportional => {
            let least_frac = pump
                .ask("least_speed", &[Kind::Share])
                .possible("1 %", "100 %")
                .usual("15 %", "80 %")
                .or("30 %", "slowest flow of small circulators (common practice)");
            let full_k = pump
                .ask("full_speed_difference", &[Kind::Difference])
                .possible("1 F", "120 F")
                .usual("10 F", "40 F")
                .or("22 F", "full speed at 10 to 15 K (common practice)");
            if full_k <= off_k {
                let problem = Problem::new(
                    Severity::Error,
                    "full speed lies at or below the difference that stops the pump",
                )
                .label("too small")
                .help("usual: 18 to 27 F");
                pump.report("full_speed_difference", problem);
            }
            (PumpDrive::Proportional { least_frac, full_k }, None)
        }
        Driver::Controller => (PumpDrive::Differential, None),
    }
}
