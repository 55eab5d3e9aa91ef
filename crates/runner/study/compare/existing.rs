//! The heaters that may stand behind the solar tank: the one the customer has, and a new one.

use toml::{Table, Value};

use crate::job::file::Draft;
use crate::job::{Job, Room};

/// A new heater where the job has none: electric, with a usual label of today.
const NEW: [(&str, &str); 4] = [
    ("kind", "electric heater"),
    ("volume", "50 gal"),
    // Common practice; the least by law is 0.92 (10 CFR 430.32, from memory).
    ("uef", "0.93"),
    ("draw_pattern", "medium"),
];

/// Words for [`NEW`].
pub(super) const NEW_WORDS: &str = "new 50 gal electric heater of UEF 0.93";

/// Keys of the heater without sun that its place behind a solar tank does not have.
const OWN_KEYS: [&str; 4] = ["kind", "fuel", "efficiency", "loss"];

/// A heater behind the solar tank: the section of the job that describes it, and its keys.
pub(super) struct Behind {
    pub section: &'static str,
    pub keys: Table,
}

/// The heater the customer has, moved behind the solar tank with its keys.
pub(super) fn present(draft: &Draft, job: &Job) -> Behind {
    let empty = Table::new();
    let own = draft.get("heater_without_sun").and_then(Value::as_table).unwrap_or(&empty);
    let word = |key: &str, default: &str| {
        own.get(key).and_then(Value::as_str).unwrap_or(default).trim().to_lowercase().replace(['-', '_'], " ")
    };
    let mut keys = own.clone();
    let kind = word("kind", "simulated");
    if kind == "flow through heater" {
        keys.remove("stands_in");
        keys.insert("kind".into(), "flow-through heater".into());
        return Behind { section: "backup", keys };
    }
    let heat_pump = kind == "heat pump heater";
    for key in OWN_KEYS.into_iter().filter(|key| !(heat_pump && *key == "loss")) {
        keys.remove(key);
    }
    let gas = kind == "gas heater" || word("fuel", "electric") == "gas";
    let like = match (gas, heat_pump) {
        (true, _) => "gas heater",
        (_, true) => "heat pump heater",
        (false, false) => "electric heater",
    };
    keys.insert("kind".into(), like.into());
    if kind == "held at set point" && !gas && !labelled(own) {
        // All it says of its loss is one number; the default is that of the section it comes from.
        let loss = own.get("loss").cloned().unwrap_or_else(|| "1.4 W/K".into());
        keys.insert("total_loss".into(), loss);
        keys.insert("fittings_loss".into(), "0 W/K".into());
    }
    keys.entry("stands_in").or_insert_with(|| stands_in(draft, job));
    Behind { section: "backup_tank", keys }
}

/// True if a label says the loss.
fn labelled(own: &Table) -> bool {
    ["uef", "ef", "age", "standing_loss", "energy_class"].iter().any(|key| own.contains_key(*key))
}

/// A new heater in the place of the present one, as hot as that.
pub(super) fn new(draft: &Draft, job: &Job) -> Behind {
    let present = present(draft, job).keys;
    let mut keys: Table = NEW.into_iter().map(|(key, value)| (key.to_string(), value.into())).collect();
    for key in ["set_temperature", "stands_in"] {
        if let Some(value) = present.get(key) {
            keys.insert(key.into(), value.clone());
        }
    }
    keys.entry("stands_in").or_insert_with(|| stands_in(draft, job));
    Behind { section: "backup_tank", keys }
}

/// Where the heater without sun stands unless the job says it: beside the solar tank, or in the house.
fn stands_in(draft: &Draft, job: &Job) -> Value {
    let tank = draft.get("tank").and_then(|tank| tank.get("stands_in"));
    match tank {
        Some(place) if job.rooms.tank != Room::Outdoors => place.clone(),
        _ => "68 F".into(),
    }
}

/// The draft with this heater behind a solar tank that has no backup of its own.
pub(super) fn behind_solar_tank(draft: &Draft, heater: Behind) -> Draft {
    let mut bare = draft.clone().without("backup").without("backup_tank");
    if heater.section == "backup" {
        for section in ["pipe_between", "bypass", "transfer_pump"] {
            bare = bare.without(section);
        }
    }
    bare.with(heater.section, Value::Table(heater.keys))
}
