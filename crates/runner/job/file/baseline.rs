//! `[heater_without_sun]`: what the house would heat its water with otherwise.

use thermal_network::spec::{ElementSpec, Energy, SensorSpec, SourceSpec, TankSpec};

use super::label::{self, Heater, Label};
use super::section::Section;
use super::storage_heater::{self, Fired};
use super::tank::{Tank, losses, spread_w_m2_k, stands_in, untrapped, water_height};
use super::{COMMON, flow_through};
use crate::job::quantity::{Kind, rounded};
use crate::job::{Baseline, Room};
use crate::rating::heater_label::HeaterKind;

/// Keys of a storage heater that only its stepping asks for.
const INSIDE_KEYS: [&str; 9] =
    ["band", "height", "diameter", "insulation", "side", "top", "bottom", "total_loss", "fittings_loss"];

/// The heater, and whether it burns gas.
pub(super) fn read(root: &Section<'_>, tank: &Tank) -> (Baseline, bool) {
    let section = root.section("heater_without_sun");
    let stated = section.choice(
        "kind",
        &[
            ("simulated", Present::Storage { held: false }),
            ("held at set point", Present::Storage { held: true }),
            ("electric heater", Present::Electric),
            ("gas heater", Present::Fired(Fired::Gas)),
            ("heat pump heater", Present::Fired(Fired::HeatPump)),
            ("flow-through heater", Present::FlowThrough),
        ],
        ("simulated", "stepped on the same draws, cold water and room"),
    );
    let simulated = match stated {
        Present::Storage { held } => !held,
        Present::Electric => true,
        Present::Fired(fired) => return (fired_heater(&section, fired, tank), fired == Fired::Gas),
        Present::FlowThrough => return flow_heater(&section, tank),
    };
    let kind = if stated == Present::Electric { HeaterKind::Electric } else { fuel(&section) };
    (storage(&section, kind, simulated, tank), kind == HeaterKind::Gas)
}

/// Where it stands: in the place of the solar tank, unless that is outdoors.
pub(super) fn room(root: &Section<'_>, solar: Room) -> Room {
    let section = root.section("heater_without_sun");
    if section.has("stands_in") || solar == Room::Outdoors {
        return stands_in(
            &section,
            ("68 F", "a heated room: the solar tank stands outdoors (common practice)"),
        );
    }
    section.note("stands_in", "where the solar tank stands", None, Some("unless given"));
    solar
}

/// What heats the customer's water now.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Present {
    /// The storage heater of `fuel`, stepped or held at its set point.
    Storage {
        held: bool,
    },
    Electric,
    Fired(Fired),
    FlowThrough,
}

/// A heater with a burner or a heat pump, stepped.
fn fired_heater(section: &Section<'_>, fired: Fired, solar: &Tank) -> Baseline {
    let tank = storage_heater::read(section, fired, solar);
    let tank = Box::new(TankSpec { fittings: untrapped(section, 1.0), ..tank });
    Baseline::Simulated { tank, flow_heater: None, efficiency_frac: 1.0 }
}

/// A flow-through heater, stepped behind the cold water that stands in its pipe.
fn flow_heater(section: &Section<'_>, solar: &Tank) -> (Baseline, bool) {
    const PIPE_M3: f64 = 0.005;
    let why = "a flow-through heater holds no water";
    let help = "leave it out, or name the storage heater it belongs to in `kind`";
    section.idle(&INSIDE_KEYS, why, help);
    section.idle(&["volume", "loss"], why, help);
    label::idle(section, why, help);
    let pipe = TankSpec { slices: 1, ..storage_heater::shell(PIPE_M3, 1.0, [0.0; 3], solar) };
    let spec = flow_through::read(section);
    let tank = Box::new(pipe);
    let baseline = Baseline::Simulated { tank, flow_heater: Some(spec), efficiency_frac: 1.0 };
    (baseline, spec.energy == Energy::Fuel)
}

/// What the storage heater of `fuel` burns.
fn fuel(section: &Section<'_>) -> HeaterKind {
    section.choice(
        "fuel",
        &[("electric", HeaterKind::Electric), ("gas", HeaterKind::Gas)],
        ("electric", "the usual heater beside an electric backup (common practice)"),
    )
}

/// A storage heater that its label or its insulation describes.
fn storage(section: &Section<'_>, kind: HeaterKind, simulated: bool, tank: &Tank) -> Baseline {
    let set_c = section
        .ask("set_temperature", &[Kind::Level])
        .possible("60 F", "210 F")
        .usual("110 F", "150 F")
        .or("130 F", "as the solar tank's backup (common practice)");
    let labelled = kind == HeaterKind::Gas || label::given(section);
    let volume_m3 = if simulated || labelled { volume_m3(section, kind) } else { f64::NAN };
    let label = label::heater(section, Heater { kind, volume_m3 });
    let efficiency_frac = match &label {
        Some(label) => {
            let words = format!("{} %", rounded(label.efficiency_frac * 100.0));
            let si = Some((label.efficiency_frac, ""));
            section.note("efficiency", words, si, Some("recovery efficiency before the loss while it heats"));
            label.efficiency_frac
        }
        None => section
            .ask("efficiency", &[Kind::Share])
            .possible("1 %", "500 %")
            .usual("50 %", "100 %")
            .or("100 %", "an electric element turns all its power into heat"),
    };
    if !simulated {
        let why = "a heater held at its set point has no inside";
        let help = "leave it out, or write kind = \"simulated\"";
        section.idle(&INSIDE_KEYS, why, help);
        section.idle(&["heat_traps"], why, help);
        if !labelled {
            section.idle(&["volume", "power"], why, help);
        }
        let ua_w_k = label.map_or_else(
            || {
                section
                    .ask("loss", &[Kind::Conductance])
                    .possible("0 W/K", "50 W/K")
                    .usual("0.4 W/K", "8 W/K")
                    .or("1.4 W/K", "electric heater of energy factor 0.90 (ratio of Lutz and others 1998)")
            },
            |label| label.loss_w_k,
        );
        return Baseline::HeldAtSetPoint { ua_w_k, set_c, efficiency_frac };
    }
    let height_m = water_height(section, volume_m3);
    let (loss_w_m2_k, fittings_even_w_k) = match &label {
        Some(label) => ([spread_w_m2_k(label.loss_w_k, volume_m3, height_m); 3], 0.0),
        None => {
            let shell = losses(section, volume_m3, height_m);
            let even = section
                .ask("fittings_loss", &[Kind::Conductance])
                .possible("0 W/K", "20 W/K")
                .or("0.4 W/K", "ports and covers add about half to the shell's loss (common practice)");
            (shell, even)
        }
    };
    Baseline::Simulated {
        flow_heater: None,
        efficiency_frac,
        tank: Box::new(TankSpec {
            fittings_even_w_k,
            fittings: untrapped(section, 1.0),
            elements: elements(section, kind, label.as_ref(), set_c),
            ..storage_heater::shell(volume_m3, height_m, loss_w_m2_k, tank)
        }),
    }
}

fn volume_m3(section: &Section<'_>, kind: HeaterKind) -> f64 {
    let default = match kind {
        HeaterKind::Electric => ("50 gal", "the usual electric heater (common practice)"),
        HeaterKind::Gas => ("40 gal", "the usual gas heater (common practice)"),
    };
    section
        .ask("volume", &[Kind::Volume])
        .possible("2 gal", "2000 gal")
        .usual("20 gal", "120 gal")
        .or(default.0, default.1)
}

/// Two elements, or a burner under the bottom; their power is what reaches the water.
fn elements(section: &Section<'_>, kind: HeaterKind, label: Option<&Label>, set_c: f64) -> Vec<ElementSpec> {
    let power_w = match label {
        Some(label) => label.input_w * label.efficiency_frac,
        None => section
            .ask("power", &[Kind::Power])
            .possible("0 W", "60 kW")
            .usual("1 kW", "12 kW")
            .or("4500 W", COMMON),
    };
    let band = match kind {
        HeaterKind::Electric => ("8 F", "electric thermostats have 8 to 15 F (common practice)"),
        HeaterKind::Gas => ("15 F", "gas thermostats have 10 to 20 F (common practice)"),
    };
    let band_k = section
        .ask("band", &[Kind::Difference])
        .possible("0.1 F", "60 F")
        .usual("2 F", "25 F")
        .or(band.0, band.1);
    let place = match kind {
        HeaterKind::Electric => (
            "two, at 10 % and 67 % of the height, upper first",
            "upper a third below the top, lower 4 to 6 in above the bottom (common practice)",
        ),
        HeaterKind::Gas => (
            "a burner under the bottom, thermostat at 25 % of the height",
            "thermostats sit in the lower third (common practice)",
        ),
    };
    section.note("elements", place.0, None, Some(place.1));
    let element = |height_frac, thermostat_frac| ElementSpec {
        source: SourceSpec::Electric,
        power_w,
        height_frac,
        thermostat_frac,
        set_c,
        band_k,
        sensor: SensorSpec::default(),
    };
    match kind {
        HeaterKind::Electric => vec![element(0.67, 0.67), element(0.1, 0.1)],
        HeaterKind::Gas => vec![element(0.0, 0.25)],
    }
}
