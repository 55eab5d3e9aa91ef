//! Doubts about two tanks and a recirculation loop. None stops a run: a technician may want to see what a bad layout does.

use thermal_network::spec::{PlumbingSpec, SourceSpec, TankSpec};

use super::heights::level;
use super::section::Section;
use crate::job::PlumbingHours;
use crate::problem::{Problem, Severity};

/// What is looked at.
pub(super) struct Layout<'a> {
    pub tanks: &'a [TankSpec],
    pub plumbing: &'a PlumbingSpec,
    pub hours: &'a PlumbingHours,
    /// A flow-through heater stands behind the last tank.
    pub flow_through: bool,
    pub high_limit_c: f64,
    /// Hottest water wanted at a tap, in degC.
    pub wanted_c: f64,
}

pub(super) fn check(root: &Section<'_>, layout: &Layout<'_>) {
    if let [solar, heater] = layout.tanks {
        second_thermostats(&root.section("backup_tank"), layout, heater);
        if !solar.elements.is_empty() {
            warn(
                root,
                "backup",
                "the solar tank has backup of its own besides the backup tank",
                "heats the sun's tank",
                "what [backup] holds warm is closed to the sun; leave [backup] out unless this is meant",
            );
        }
        bypass(root, layout);
    }
    recirculation(root, layout);
}

fn warn(section: &Section<'_>, key: &'static str, what: impl Into<String>, label: &str, help: &str) {
    section.report(key, Problem::new(Severity::Warning, what).label(label).help(help));
}

fn second_thermostats(section: &Section<'_>, layout: &Layout<'_>, heater: &TankSpec) {
    let key = if section.has("element") { "element" } else { "set_temperature" };
    // A burner or a compressor has the lead; among elements the upper one.
    let fired = heater.elements.iter().position(|element| element.source != SourceSpec::Electric);
    for (i, element) in heater.elements.iter().enumerate() {
        if element.set_c > layout.high_limit_c {
            warn(
                section,
                key,
                format!(
                    "the backup tank's thermostat ({}) is above the solar tank's high limit ({})",
                    level(element.set_c),
                    level(layout.high_limit_c)
                ),
                "above the high limit",
                "the sun alone could never keep the heater off; lower the thermostat or raise high_limit",
            );
            return;
        }
        let leads = i == fired.unwrap_or(0) && !layout.flow_through;
        if leads && element.set_c - element.band_k < layout.wanted_c - 1e-9 {
            warn(
                section,
                key,
                format!(
                    "the backup tank comes on at {} only, below the {} wanted at the tap",
                    level(element.set_c - element.band_k),
                    level(layout.wanted_c)
                ),
                "thermostat minus band",
                "raise the thermostat or narrow its band if water should never come cooler",
            );
            return;
        }
    }
}

fn bypass(root: &Section<'_>, layout: &Layout<'_>) {
    let Some(bypass) = &layout.plumbing.bypass else { return };
    let section = root.section("bypass");
    if !layout.flow_through && bypass.opens_c - bypass.band_k < layout.wanted_c - 1e-9 {
        warn(
            &section,
            "above",
            format!(
                "the bypass returns to the heater at {} only, below the {} wanted at the tap",
                level(bypass.opens_c - bypass.band_k),
                level(layout.wanted_c)
            ),
            "cooler than wanted",
            "raise `above` or narrow `band`: below them the house lives from the solar tank alone",
        );
    }
    if section.has("dates") {
        let problem = Problem::new(
            Severity::Note,
            "on these dates the house lives from the sun alone and the heater still keeps itself warm",
        )
        .label("heater bypassed")
        .help("give [backup_tank] `dates` to switch its elements off for the same time");
        section.report("dates", problem);
    }
}

fn recirculation(root: &Section<'_>, layout: &Layout<'_>) {
    let Some(line) = &layout.plumbing.recirculation else { return };
    let section = root.section("recirculation");
    if layout.tanks.len() == 2 && line.return_tank == 0 {
        warn(
            &section,
            "returns_to",
            "the loop brings the heater's water back to the solar tank",
            "backup heat for the sun's tank",
            "the backup then keeps the solar tank warm day and night; return it to the backup tank unless this is meant",
        );
    }
    if line.return_tank == 1 && layout.plumbing.bypass.is_some() {
        warn(
            &section,
            "returns_to",
            "the loop stands still while the bypass cuts off the backup tank it returns to",
            "no way back",
            "return it to the solar tank, or stop the pump with `dates` while the bypass is turned",
        );
    }
    let elements = &layout.tanks[0].elements;
    let below = !elements.is_empty() && elements.iter().all(|e| line.return_frac < e.height_frac);
    if layout.tanks.len() == 1 && below {
        warn(
            &section,
            "return_height",
            "the loop returns below the element, into the part of the tank that is the sun's",
            "stirs the tank",
            "the warm return fills the cool part that the sun needs; return it at the height of the element",
        );
    }
    let all_day = |&(from, to): &(u32, u32)| from == 0 && to >= 24 * 60;
    let minutes = &layout.hours.recirculation.minutes;
    if minutes.is_empty() || minutes.iter().any(all_day) {
        let problem = Problem::new(Severity::Note, "the recirculation pump runs day and night")
            .label("all day")
            .help("such a loop can lose as much as the taps use: a timer (`hours`) saves most of it");
        section.report("hours", problem);
    }
}
