//! Flow-through (tankless) heater: behind the solar tank, or as the customer's present heater.

use thermal_network::spec::{Energy, FlowHeaterSpec};

use super::section::Section;
use crate::job::quantity::Kind;

/// Keys that storage heaters and elements do not have.
pub(super) const OWN_KEYS: [&str; 5] = ["fuel", "efficiency", "minimum_fire", "inlet_limit", "standby"];

pub(super) fn read(section: &Section<'_>) -> FlowHeaterSpec {
    let energy = section.choice(
        "fuel",
        &[("gas", Energy::Fuel), ("electric", Energy::Electricity)],
        ("gas", "most flow-through heaters burn gas (common practice)"),
    );
    let gas = energy == Energy::Fuel;
    let efficiency = match gas {
        true => ("82 %", "without condensing; condensing ones reach 90 to 96 % (common practice)"),
        false => ("99 %", "all but the loss of its case (common practice)"),
    };
    let efficiency_frac = section
        .ask("efficiency", &[Kind::Share])
        .possible("30 %", "100 %")
        .usual("75 %", "100 %")
        .or(efficiency.0, efficiency.1);
    let power = match gas {
        true => ("180000 Btu/h", "for a whole house (common practice)"),
        false => ("24 kW", "for a whole house (common practice)"),
    };
    let input_w = section
        .ask("power", &[Kind::Power])
        .possible("1 kW", "120 kW")
        .usual("6 kW", "60 kW")
        .or(power.0, power.1);
    let least = match gas {
        true => ("15000 Btu/h", "burners go down to a tenth or so (common practice)"),
        false => ("0 W", "elements are switched in steps (common practice)"),
    };
    let least_w = section
        .ask("minimum_fire", &[Kind::Power])
        .possible("0 W", "40 kW")
        .usual("0 W", "12 kW")
        .or(least.0, least.1);
    let inlet_limit_c = section
        .ask("inlet_limit", &[Kind::Level])
        .possible("60 F", "210 F")
        .usual("90 F", "180 F")
        .given()
        .map(|limit| limit.si);
    if inlet_limit_c.is_none() {
        section.note(
            "inlet_limit",
            "none",
            None,
            Some("a heater listed for solar-heated water (common practice)"),
        );
    }
    FlowHeaterSpec {
        energy,
        power_w: input_w * efficiency_frac,
        least_w: least_w * efficiency_frac,
        efficiency_frac,
        set_c: section
            .ask("set_temperature", &[Kind::Level])
            .possible("60 F", "185 F")
            .usual("100 F", "150 F")
            .or("120 F", "the usual setting (common practice)"),
        inlet_limit_c,
        standby_w: section
            .ask("standby", &[Kind::Power])
            .possible("0 W", "100 W")
            .or("5 W", "electronics and freeze guard (common practice)"),
    }
}
