//! Checks across sections: heights and temperatures that do not go together.
//!
//! Refused is what no plant can do; the rest is a warning, because a technician may want to see what a bad setting does.

use thermal_network::spec::{ControllerSpec, ExchangerSpec};

use super::backup::Backup;
use super::section::Section;
use crate::job::WaterUse;
use crate::job::quantity::{Kind, rounded};
use crate::problem::{Problem, Severity};

/// What is compared.
pub(super) struct Plant<'a, 'r> {
    pub exchanger: &'a ExchangerSpec,
    pub backup: &'a Backup<'r>,
    /// No heater stands behind the solar tank.
    pub last_heater: bool,
    pub controller: &'a ControllerSpec,
    pub water_use: &'a WaterUse,
    /// The tank stands in the collector: the sun heats all of it.
    pub batch: bool,
    /// A controller reads the tank's sensor.
    pub controlled: bool,
}

pub(super) fn check(root: &Section<'_>, plant: &Plant<'_, '_>) {
    let tank = root.section("tank");
    let (section, key, entry, what) = match *plant.exchanger {
        ExchangerSpec::Coil { top_frac, .. } => (tank.section("coil"), "top", top_frac, "top of the coil"),
        ExchangerSpec::Plate { return_to_frac, .. } => {
            (tank.section("plate"), "return_to", return_to_frac, "solar return")
        }
        ExchangerSpec::OpenLoop { return_to_frac, .. } => {
            (tank.section("open_loop"), "return_to", return_to_frac, "solar return")
        }
    };
    if let Some(element) = plant.backup.elements.first()
        && !plant.batch
        && entry > element.height_frac
    {
        let problem = Problem::new(
            Severity::Error,
            format!(
                "the {what} ({}) is above the element ({})",
                percent(entry),
                percent(element.height_frac)
            ),
        )
        .label("above the element")
        .help(format!(
            "the sun needs the part below the element: keep `{key}` at or below {}",
            percent(element.height_frac)
        ));
        section.report(key, problem);
    }
    let sensor = plant.controller.sensor_height_frac;
    if plant.controlled && sensor > entry {
        let problem = Problem::new(
            Severity::Error,
            format!("the tank sensor ({}) is above the {what} ({})", percent(sensor), percent(entry)),
        )
        .label("above the sun's part of the tank")
        .help("place it beside the lower part of the coil or below the return, so that it sees what the sun can heat");
        root.section("controller").report("sensor_height", problem);
    }
    for (element, section) in plant.backup.elements.iter().zip(&plant.backup.sections).skip(1) {
        if element.height_frac < entry && !plant.batch {
            let problem = Problem::new(
                Severity::Warning,
                format!("this element ({}) is below the {what} ({})", percent(element.height_frac), percent(entry)),
            )
            .label("heats the sun's part of the tank")
            .help("a lower element left on leaves the sun little to do; keep its hours \"never\" unless this is meant");
            section.report("height", problem);
        }
    }
    let limit_c = plant.controller.high_limit_c;
    let wanted_c = plant.water_use.pattern.hottest_use_c();
    for (i, (element, section)) in plant.backup.elements.iter().zip(&plant.backup.sections).enumerate() {
        if element.set_c > limit_c {
            let problem = Problem::new(
                Severity::Warning,
                format!(
                    "the backup thermostat ({}) is above the tank's high limit ({})",
                    level(element.set_c),
                    level(limit_c)
                ),
            )
            .label("above the high limit")
            .help(
                "the sun could never reach what the backup holds; lower the thermostat or raise high_limit",
            );
            section.report("set_temperature", problem);
        }
        if i == 0 && plant.last_heater && element.set_c - element.band_k < wanted_c - 1e-9 {
            let problem = Problem::new(
                Severity::Warning,
                format!(
                    "the backup comes on at {} only, below the {} wanted at the tap",
                    level(element.set_c - element.band_k),
                    level(wanted_c)
                ),
            )
            .label("thermostat minus band")
            .help("raise the thermostat or narrow its band if water should never come cooler");
            section.report("set_temperature", problem);
        }
    }
}

fn percent(share: f64) -> String {
    format!("{} %", rounded(share * 100.0))
}

/// A temperature in both units.
pub(super) fn level(level_c: f64) -> String {
    format!("{}, {}", Kind::Level.shown(level_c, true), Kind::Level.shown(level_c, false))
}
