//! Conventional storage heaters that are more than two elements: with a gas burner, or with a heat pump. As the heater
//! behind the solar tank, and as the customer's present one.

use thermal_network::spec::{
    BurnerSpec, ElementSpec, HeatPumpSpec, MapSpec, SensorSpec, SourceSpec, Surroundings, TankSpec,
};

use super::label::{self, Heater, Label};
use super::section::Section;
use super::tank::{Tank, WATER, height, spread_w_m2_k, water_height};
use crate::job::quantity::{Kind, rounded};
use crate::problem::{Problem, Severity};
use crate::rating::gas_heater::{GasHeater, Pilot};
use crate::rating::heater_label::{EF_ABOVE_ROOM_K, EF_DRAWN_J, HeaterKind, UEF_ABOVE_ROOM_K};

const DAY_S: f64 = 86_400.0;

/// What heats a storage heater besides elements.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fired {
    Gas,
    HeatPump,
}

/// Keys that only one of the two has.
pub(super) const GAS_KEYS: [&str; 3] = ["flue_share", "pilot", "pilot_to_water"];
pub(super) const HEAT_PUMP_KEYS: [&str; 8] = [
    "cop",
    "condenser_bottom",
    "condenser_top",
    "lowest_air",
    "highest_air",
    "element_power",
    "element_height",
    "element_band",
];

/// The tank with what heats it; it stands in the room of the first tank until the caller says otherwise.
pub(super) fn read(section: &Section<'_>, fired: Fired, solar: &Tank) -> TankSpec {
    let set_c = set_c(section);
    match fired {
        Fired::Gas => {
            section.idle(&HEAT_PUMP_KEYS, "a gas heater has no such thing", "leave it out");
            gas(section, set_c, solar)
        }
        Fired::HeatPump => {
            section.idle(&GAS_KEYS, "a heat pump heater has no such thing", "leave it out");
            heat_pump(section, set_c, solar)
        }
    }
}

/// Set point of a heater.
pub(super) fn set_c(section: &Section<'_>) -> f64 {
    section
        .ask("set_temperature", &[Kind::Level])
        .possible("60 F", "210 F")
        .usual("110 F", "150 F")
        .or("130 F", "keeps 120 F at the tap through its band (common practice)")
}

fn volume_m3(section: &Section<'_>, default: (&str, &str)) -> f64 {
    section
        .ask("volume", &[Kind::Volume])
        .possible("2 gal", "2000 gal")
        .usual("20 gal", "120 gal")
        .or(default.0, default.1)
}

fn band_k(section: &Section<'_>, default: (&str, &str)) -> f64 {
    section
        .ask("band", &[Kind::Difference])
        .possible("0.1 F", "60 F")
        .usual("2 F", "25 F")
        .or(default.0, default.1)
}

/// A tank of some volume whose loss is spread over its shell.
fn vessel(section: &Section<'_>, volume_m3: f64, loss_w_k: f64, solar: &Tank) -> TankSpec {
    let height_m = water_height(section, volume_m3);
    let loss_w_m2_k = spread_w_m2_k(loss_w_k, volume_m3, height_m);
    shell(volume_m3, height_m, [loss_w_m2_k; 3], solar)
}

/// A tank without heat source or fittings, divided like the solar tank and standing beside it. Losses of side, top and bottom in
/// W/(m2 K).
pub(super) fn shell(volume_m3: f64, height_m: f64, loss_w_m2_k: [f64; 3], solar: &Tank) -> TankSpec {
    let [side_w_m2_k, top_w_m2_k, bottom_w_m2_k] = loss_w_m2_k;
    TankSpec {
        volume_m3,
        height_m,
        slices: solar.spec.slices,
        water_kg_m3: WATER.0,
        water_j_kg_k: WATER.1,
        side_w_m2_k,
        top_w_m2_k,
        bottom_w_m2_k,
        fittings_even_w_k: 0.0,
        fittings: Vec::new(),
        conduction_w_m_k: solar.spec.conduction_w_m_k,
        surroundings: Surroundings::TankRoom,
        cold_inlet_frac: 0.0,
        hot_outlet_frac: 1.0,
        elements: Vec::new(),
        interlock: true,
    }
}

fn gas(section: &Section<'_>, set_c: f64, solar: &Tank) -> TankSpec {
    let volume_m3 = volume_m3(section, ("40 gal", "the usual gas heater (common practice)"));
    let Some(label) = label::heater(section, Heater { kind: HeaterKind::Gas, volume_m3 }) else {
        unreachable!("a gas heater without a label is taken for a usual one");
    };
    let flue_frac = section.ask("flue_share", &[Kind::Share]).possible("0 %", "95 %").or(
        "60 %",
        "of the whole loss, up the flue while the burner is off; the flue is most of it (common practice)",
    );
    let pilot = pilot(section, &label);
    let split = match &label.on_test {
        Some(on_test) => GasHeater::of(on_test, pilot, flue_frac),
        None => Some(GasHeater {
            shell_w_k: (1.0 - flue_frac) * label.loss_w_k,
            flue_w_k: flue_frac * label.loss_w_k,
            efficiency_frac: label.efficiency_frac,
        }),
    };
    let GasHeater { shell_w_k, flue_w_k, efficiency_frac } = split.unwrap_or_else(|| {
        let without_pilot = Pilot { fuel_w: 0.0, to_water_frac: 0.0 };
        let bare =
            label.on_test.as_ref().and_then(|on_test| GasHeater::of(on_test, without_pilot, flue_frac));
        // Other faults of the label were reported where they stand.
        if bare.is_none() && !label.loss_w_k.is_nan() {
            let what = "so small a burner cannot have this label: it would give more heat than it burns";
            let help = "power is the burner's input, 30,000 to 50,000 Btu/h in most houses";
            let problem = Problem::new(Severity::Error, what).label("does not fit the label");
            section.report("power", problem.help(help));
        } else if pilot.fuel_w > 0.0 {
            let what = "the pilot alone burns more than the label's standby loss";
            let help = "a label this good belongs to electronic ignition: pilot = \"0 W\"";
            section.report(
                "pilot",
                Problem::new(Severity::Error, what).label("does not fit the label").help(help),
            );
        }
        GasHeater { shell_w_k: f64::NAN, flue_w_k: f64::NAN, efficiency_frac: f64::NAN }
    });
    let words = format!("{} %", rounded(efficiency_frac * 100.0));
    let source = "worked out from recovery efficiency and label, losses apart";
    section.note("burner_efficiency", words, Some((efficiency_frac, "")), Some(source));
    let words = format!("{} W/K while the burner is off", rounded(flue_w_k));
    section.note("flue_loss", words, Some((flue_w_k, "W/K")), Some("flue_share of the label's loss"));
    let mut tank = vessel(section, volume_m3, shell_w_k, solar);
    tank.elements = vec![ElementSpec {
        source: SourceSpec::Burner(BurnerSpec {
            efficiency_frac,
            pilot_w: pilot.fuel_w,
            pilot_to_water_frac: pilot.to_water_frac,
            flue_w_k,
        }),
        power_w: label.input_w * efficiency_frac,
        height_frac: 0.0,
        thermostat_frac: height(
            section,
            "thermostat_height",
            tank.height_m,
            ("25 %", "in the lower third (common practice)"),
        ),
        set_c,
        band_k: band_k(section, ("15 F", "gas thermostats have 10 to 20 F (common practice)")),
        sensor: SensorSpec::default(),
    }];
    tank
}

/// The pilot as given; else a usual one, unless the label is too good for any.
fn pilot(section: &Section<'_>, label: &Label) -> Pilot {
    const USUAL_W: f64 = 350.0 * 0.293_071;
    let standby_w =
        label.on_test.and_then(|on_test| Some(on_test.tank()?.standby_w_k * on_test.above_room_k()));
    let ask = section.ask("pilot", &[Kind::Power]).possible("0 W", "1 kW").usual("0 W", "250 W");
    let fuel_w = match standby_w {
        Some(standby_w) if standby_w < 1.1 * USUAL_W => {
            ask.or("0 W", "electronic ignition: a standing pilot would burn more than this label's standby")
        }
        _ => ask.or("350 Btu/h", "standing pilots burn 300 to 600 Btu/h (common practice)"),
    };
    let to_water_frac = if fuel_w > 0.0 {
        section
            .ask("pilot_to_water", &[Kind::Share])
            .possible("0 %", "90 %")
            .or("40 %", "the rest goes up the flue (common practice)")
    } else {
        0.0
    };
    Pilot { fuel_w, to_water_frac }
}

fn heat_pump(section: &Section<'_>, set_c: f64, solar: &Tank) -> TankSpec {
    let volume_m3 = volume_m3(section, ("50 gal", "the usual heat pump water heater (common practice)"));
    let loss_w_k = section
        .ask("loss", &[Kind::Conductance])
        .possible("0 W/K", "20 W/K")
        .usual("0.5 W/K", "4 W/K")
        .or("1.4 W/K", "of the whole tank, ports included (common practice)");
    let cop = cop(section, loss_w_k);
    let mut tank = vessel(section, volume_m3, loss_w_k, solar);
    let compressor_w = section
        .ask("power", &[Kind::Power])
        .possible("100 W", "20 kW")
        .usual("800 W", "6 kW")
        .or("5000 Btu/h", "heat into the water at 67.5 F of air and 106 F of water (common practice)");
    let part = |key, default| height(section, key, tank.height_m, default);
    let bottom_frac = part("condenser_bottom", ("0 %", "wrapped round the lower part (common practice)"));
    let top_frac = part("condenser_top", ("60 %", "wrapped round the lower part (common practice)"));
    if bottom_frac > top_frac {
        let problem = Problem::new(Severity::Error, "the condenser's bottom lies above its top")
            .label("above its top")
            .help("heights count from the bottom: 0 % is the bottom");
        section.report("condenser_bottom", problem);
    }
    let thermostat_frac =
        part("thermostat_height", ("50 %", "beside the upper part of the condenser (common practice)"));
    let air = |key, default: (&str, &str)| {
        section.ask(key, &[Kind::Level]).possible("-40 F", "150 F").or(default.0, default.1)
    };
    let air_c = (
        air("lowest_air", ("40 F", "below, the coil would ice: makers stop at 37 to 45 F (common practice)")),
        air("highest_air", ("115 F", "makers stop at 109 to 120 F (common practice)")),
    );
    if air_c.0 > air_c.1 {
        let problem = Problem::new(Severity::Error, "`lowest_air` is above `highest_air`")
            .label("the compressor would never run");
        section.report("lowest_air", problem);
    }
    let source = "fixed share of what the second law allows, fitted as a quadratic surface; worked out here, not a maker's data";
    section.note("performance", "COP and power follow air and water", None, Some(source));
    section.note(
        "air",
        "that of the tank's room, which is not cooled",
        None,
        Some("the room's own heat is not modelled"),
    );
    let set_band_k = band_k(section, ("10 F", "compressor thermostats have 5 to 15 F (common practice)"));
    let compressor = ElementSpec {
        source: SourceSpec::HeatPump(HeatPumpSpec {
            condenser_top_frac: top_frac,
            cop,
            power_map: MapSpec::USUAL_POWER,
            cop_map: MapSpec::USUAL_COP,
            air_c,
        }),
        power_w: compressor_w,
        height_frac: bottom_frac,
        thermostat_frac,
        set_c,
        band_k: set_band_k,
        sensor: SensorSpec::default(),
    };
    let element = second_stage(section, tank.height_m, set_c);
    tank.elements = element.into_iter().chain([compressor]).collect();
    tank
}

/// The element that helps where the compressor cannot keep up or may not run: upper first, never both.
fn second_stage(section: &Section<'_>, tank_m: f64, set_c: f64) -> Option<ElementSpec> {
    let power_w = section
        .ask("element_power", &[Kind::Power])
        .possible("0 W", "12 kW")
        .or("4500 W", "hybrid: one element in the upper part; 0 W for heat pump alone (common practice)");
    if power_w == 0.0 {
        section.idle(
            &["element_height", "element_band"],
            "the heat pump has no element",
            "give it an element_power, or leave this out",
        );
        return None;
    }
    let height_frac =
        height(section, "element_height", tank_m, ("67 %", "a third below the top (common practice)"));
    let band_k = section.ask("element_band", &[Kind::Difference]).possible("1 F", "90 F").usual("10 F", "40 F").or(
        "20 F",
        "the element comes on this far below the set temperature at its own height, and heats to it (common practice)",
    );
    Some(ElementSpec {
        source: SourceSpec::Electric,
        power_w,
        height_frac,
        thermostat_frac: height_frac,
        set_c,
        band_k,
        sensor: SensorSpec::default(),
    })
}

/// COP at the rating point: given, or from the label. On the test day the mean COP makes up for the standby loss too.
fn cop(section: &Section<'_>, loss_w_k: f64) -> f64 {
    let ask = |key| section.ask(key, &[Kind::Number]).possible("0.9", "8").usual("1.8", "5");
    let given = ["cop", "uef", "ef"].into_iter().filter(|key| section.has(key)).collect::<Vec<_>>();
    for other in given.iter().skip(1) {
        let problem =
            Problem::new(Severity::Error, format!("`{}` and `{other}` say the same thing twice", given[0]))
                .label("which one?")
                .help("keep one of them");
        section.report(other, problem);
    }
    if let Some(cop) = ask("cop").given() {
        return cop.si;
    }
    let (cop, source) = match ask("ef").given() {
        Some(ef) => (
            ef.si * (1.0 + loss_w_k * EF_ABOVE_ROOM_K * DAY_S / EF_DRAWN_J),
            "ef and the loss on the test day before 2015; that day's water was 10 F warmer, so this is somewhat low",
        ),
        None => {
            let uef = ask("uef").or("3.3", "least of efficiency programmes of about 2023 (from memory)");
            (
                uef * (1.0 + loss_w_k * UEF_ABOVE_ROOM_K * DAY_S / label::pattern(section).drawn_j()),
                "uef and the loss on the US test day; at 67.5 F of air and 106 F of water beside the condenser",
            )
        }
    };
    section.note("cop", rounded(cop), Some((cop, "")), Some(source));
    cop
}
