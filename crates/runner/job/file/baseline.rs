//! `[heater_without_sun]`: what the house would heat its water with otherwise.

use thermal_network::spec::{ElementSpec, SensorSpec, Surroundings, TankSpec};

use super::COMMON;
use super::section::Section;
use super::tank::{Tank, WATER, losses, water_height};
use crate::job::Baseline;
use crate::job::quantity::Kind;

pub(super) fn read(root: &Section<'_>, tank: &Tank) -> Baseline {
    let section = root.section("heater_without_sun");
    let simulated = section.choice(
        "kind",
        &[("simulated", true), ("held at set point", false)],
        ("simulated", "stepped on the same draws, cold water and room"),
    );
    let set_c = section
        .ask("set_temperature", &[Kind::Level])
        .possible("60 F", "210 F")
        .usual("110 F", "150 F")
        .or("130 F", "as the solar tank's backup (common practice)");
    let efficiency_frac = section
        .ask("efficiency", &[Kind::Share])
        .possible("1 %", "500 %")
        .usual("50 %", "100 %")
        .or("100 %", "an electric element turns all its power into heat");
    if !simulated {
        let ua_w_k = section
            .ask("loss", &[Kind::Conductance])
            .possible("0 W/K", "50 W/K")
            .usual("0.4 W/K", "8 W/K")
            .or("1.4 W/K", "electric heater of energy factor 0.90 (ratio of Lutz and others 1998)");
        return Baseline::HeldAtSetPoint { ua_w_k, set_c, efficiency_frac };
    }
    let volume_m3 = section
        .ask("volume", &[Kind::Volume])
        .possible("2 gal", "2000 gal")
        .usual("20 gal", "120 gal")
        .or("50 gal", "the usual electric heater (common practice)");
    let height_m = water_height(&section, volume_m3);
    let [side, top, bottom] = losses(&section, volume_m3, height_m);
    let power_w = section
        .ask("power", &[Kind::Power])
        .possible("0 W", "60 kW")
        .usual("1 kW", "12 kW")
        .or("4500 W", COMMON);
    let band_k = section
        .ask("band", &[Kind::Difference])
        .possible("0.1 F", "60 F")
        .usual("2 F", "25 F")
        .or("8 F", "electric thermostats have 8 to 15 F (common practice)");
    section.note(
        "elements",
        "two, at 10 % and 67 % of the height, upper first",
        None,
        Some("upper a third below the top, lower 4 to 6 in above the bottom (common practice)"),
    );
    let element = |height_frac| ElementSpec {
        power_w,
        height_frac,
        thermostat_frac: height_frac,
        set_c,
        band_k,
        sensor: SensorSpec::default(),
    };
    Baseline::Simulated {
        efficiency_frac,
        tank: Box::new(TankSpec {
            volume_m3,
            height_m,
            slices: tank.spec.slices,
            water_kg_m3: WATER.0,
            water_j_kg_k: WATER.1,
            side_w_m2_k: side,
            top_w_m2_k: top,
            bottom_w_m2_k: bottom,
            fittings_even_w_k: section
                .ask("fittings_loss", &[Kind::Conductance])
                .possible("0 W/K", "20 W/K")
                .or("0.4 W/K", "ports and covers add about half to the shell's loss (common practice)"),
            fittings: Vec::new(),
            conduction_w_m_k: tank.spec.conduction_w_m_k,
            surroundings: Surroundings::TankRoom,
            cold_inlet_frac: 0.0,
            hot_outlet_frac: 1.0,
            elements: vec![element(0.67), element(0.1)],
            interlock: true,
        }),
    }
}
