//! `[backup_tank]`: a conventional heater that the solar tank feeds.

use thermal_network::spec::{ElementSpec, SensorSpec, Surroundings, TankSpec};

use super::COMMON;
use super::backup::{element, hours};
use super::section::Section;
use super::tank::{Usual, vessel};
use crate::job::quantity::Kind;
use crate::job::{Permission, Room};

/// The second tank with its elements from the top down, and when each may run.
pub(super) struct BackupTank {
    pub spec: TankSpec,
    pub room: Room,
    pub hours: Vec<Permission>,
}

/// True if the job has two tanks.
pub(super) fn given(root: &Section<'_>) -> bool {
    root.section("backup_tank").is_given()
}

/// The second tank; `None` if the job has only one.
pub(super) fn read(root: &Section<'_>) -> Option<BackupTank> {
    if !given(root) {
        return None;
    }
    let section = root.section("backup_tank");
    let usual = Usual {
        volume: ("50 gal", "the usual electric heater (common practice)"),
        stands_in: ("68 F", "a heated room (common practice)"),
        fittings_loss: "0.4 W/K",
    };
    let (mut spec, room) = vessel(&section, &usual);
    spec.surroundings = Surroundings::SecondTankRoom;
    let own = section.sections("element");
    let mut elements: Vec<(ElementSpec, Permission)> = if own.is_empty() {
        let timer = hours(&section);
        pair(&section).into_iter().map(|element| (element, timer.clone())).collect()
    } else {
        own.iter().map(|own| (element(own, spec.height_m), hours(own))).collect()
    };
    elements.sort_by(|a, b| b.0.height_frac.total_cmp(&a.0.height_frac));
    spec.interlock = section.choice(
        "interlock",
        &[("upper first", true), ("none", false)],
        ("upper first", "two elements never run together in household heaters (common practice)"),
    );
    let (elements, hours) = elements.into_iter().unzip();
    spec.elements = elements;
    Some(BackupTank { spec, room, hours })
}

/// The two elements of a conventional heater, set alike.
fn pair(section: &Section<'_>) -> [ElementSpec; 2] {
    let set_c = section
        .ask("set_temperature", &[Kind::Level])
        .possible("60 F", "210 F")
        .usual("110 F", "150 F")
        .or("130 F", "keeps 120 F at the tap through its band (common practice)");
    let band_k = section
        .ask("band", &[Kind::Difference])
        .possible("0.1 F", "60 F")
        .usual("2 F", "25 F")
        .or("8 F", "electric thermostats have 8 to 15 F (common practice)");
    let power_w = section
        .ask("power", &[Kind::Power])
        .possible("0 W", "60 kW")
        .usual("1 kW", "12 kW")
        .or("4500 W", COMMON);
    section.note(
        "element",
        "two, at 10 % and 67 % of the height",
        None,
        Some("upper a third below the top, lower 4 to 6 in above the bottom (common practice)"),
    );
    [0.67, 0.1].map(|height_frac| ElementSpec {
        power_w,
        height_frac,
        thermostat_frac: height_frac,
        set_c,
        band_k,
        sensor: SensorSpec::default(),
    })
}
