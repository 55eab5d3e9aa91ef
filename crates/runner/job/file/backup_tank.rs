//! `[backup_tank]`: a storage heater that the solar tank feeds, with electric elements, a gas burner or a heat pump.

use thermal_network::spec::{ElementSpec, SensorSpec, SourceSpec, Surroundings, TankSpec};

use super::COMMON;
use super::backup::{element, hours};
use super::section::Section;
use super::storage_heater::{self, Fired};
use super::tank::{Tank, Usual, fit_out, stands_in, vessel};
use crate::job::quantity::Kind;
use crate::job::{Permission, Room};

/// Where it stands unless it is said.
const STANDS_IN: (&str, &str) = ("68 F", "a heated room (common practice)");

/// The second tank with what heats it from the top down, and when each may run.
pub(super) struct BackupTank {
    pub spec: TankSpec,
    pub room: Room,
    pub hours: Vec<Permission>,
}

/// The second tank; `None` if the job has only one.
pub(super) fn read(root: &Section<'_>, solar: &Tank) -> Option<BackupTank> {
    let section = root.section("backup_tank");
    if !section.is_given() {
        return None;
    }
    let fired = section.choice(
        "kind",
        &[
            ("electric heater", None),
            ("gas heater", Some(Fired::Gas)),
            ("heat pump heater", Some(Fired::HeatPump)),
        ],
        ("electric heater", "the usual heater behind a solar tank (common practice)"),
    );
    let mut tank = match fired {
        None => {
            let (why, help) = ("an electric heater has no such thing", "leave it out, or name its `kind`");
            section.idle(&storage_heater::GAS_KEYS, why, help);
            section.idle(&storage_heater::HEAT_PUMP_KEYS, why, help);
            electric(&section)
        }
        Some(fired) => {
            let mut spec = storage_heater::read(&section, fired, solar);
            let room = stands_in(&section, STANDS_IN);
            fit_out(&section, &mut spec);
            let timer = hours(&section);
            let hours = spec.elements.iter().map(|_| timer.clone()).collect();
            BackupTank { spec, room, hours }
        }
    };
    tank.spec.surroundings = Surroundings::SecondTankRoom;
    Some(tank)
}

/// A conventional electric heater.
fn electric(section: &Section<'_>) -> BackupTank {
    let usual = Usual {
        volume: ("50 gal", "the usual electric heater (common practice)"),
        stands_in: STANDS_IN,
        fittings_loss: "0.4 W/K",
    };
    let (mut spec, room) = vessel(section, &usual);
    let own = section.sections("element");
    let mut elements: Vec<(ElementSpec, Permission)> = if own.is_empty() {
        let timer = hours(section);
        pair(section).into_iter().map(|element| (element, timer.clone())).collect()
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
    BackupTank { spec, room, hours }
}

/// The two elements of a conventional heater, set alike.
fn pair(section: &Section<'_>) -> [ElementSpec; 2] {
    let set_c = storage_heater::set_c(section);
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
        source: SourceSpec::Electric,
        power_w,
        height_frac,
        thermostat_frac: height_frac,
        set_c,
        band_k,
        sensor: SensorSpec::default(),
    })
}
