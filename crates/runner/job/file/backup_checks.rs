//! Checks of heaters behind the solar tank, and of the energy they buy beside that of the heater without sun.

use thermal_network::spec::{Energy, FlowHeaterSpec, SourceSpec, TankSpec};

use super::backup::Backup;
use super::heights::level;
use super::section::Section;
use super::tank::WATER;
use crate::job::{Baseline, Pattern, WaterUse};
use crate::problem::{Problem, Severity};

/// The heater without sun.
pub(super) struct Present<'a> {
    pub baseline: &'a Baseline,
    /// It burns gas.
    pub burns: bool,
}

/// Rise of the coldest water that counts as usual, in K: 50 to 120 F, rounded.
const USUAL_RISE_K: f64 = 40.0;

pub(super) fn check(
    root: &Section<'_>,
    backup: &Backup<'_>,
    second: Option<&TankSpec>,
    water_use: &WaterUse,
    present: &Present<'_>,
) {
    flow_through(backup, water_use.pattern.hottest_use_c());
    energies(root, backup, second, present.burns);
    if let Some(flow) = &backup.flow {
        trickle(&flow.section, &flow.spec, water_use);
    }
    if let Baseline::Simulated { flow_heater: Some(heater), .. } = present.baseline {
        trickle(&root.section("heater_without_sun"), heater, water_use);
    }
}

/// Warns where no draw is large enough to light a flow-through heater even with cold water.
fn trickle(section: &Section<'_>, heater: &FlowHeaterSpec, water_use: &WaterUse) {
    let most_m3_s = match &water_use.pattern {
        Pattern::Hourly { daily_m3, weekday_frac, weekend_frac, minutes, .. } => {
            let most_frac = weekday_frac.iter().chain(weekend_frac).copied().fold(0.0, f64::max);
            daily_m3 * most_frac / (f64::from(*minutes) * 60.0)
        }
        Pattern::Events { weekday, weekend } => {
            weekday.iter().chain(weekend).map(|event| event.flow_m3_s).fold(0.0, f64::max)
        }
        Pattern::Dated(draws) => draws.iter().map(|dated| dated.event.flow_m3_s).fold(0.0, f64::max),
        Pattern::Random(draws) => draws.kinds.iter().map(|kind| kind.flow_m3_s).fold(0.0, f64::max),
    };
    if most_m3_s * WATER.0 * WATER.1 * USUAL_RISE_K < heater.least_w {
        let what = "no draw is large enough to light the flow-through heater";
        let problem = Problem::new(Severity::Warning, what)
            .label("its smallest fire is more than any draw takes")
            .help("a day's use spread over its hours is a trickle: list draws with [[hot_water.draw]], or set spread = \"2 min\"");
        section.report("minimum_fire", problem);
    }
}

fn flow_through(backup: &Backup<'_>, wanted_c: f64) {
    let Some(flow) = &backup.flow else { return };
    let (spec, section) = (&flow.spec, &flow.section);
    if spec.set_c < wanted_c - 1e-9 {
        let what = format!(
            "the flow-through heater is set to {}, below the {} wanted at the tap",
            level(spec.set_c),
            level(wanted_c)
        );
        let problem = Problem::new(Severity::Warning, what)
            .label("below the tap temperature")
            .help("raise set_temperature if water should never come cooler");
        section.report("set_temperature", problem);
    }
    if let Some(limit_c) = spec.inlet_limit_c.filter(|&limit_c| limit_c < wanted_c - 1e-9) {
        let what = format!(
            "solar water between {} and the {} wanted at the tap passes unheated",
            level(limit_c),
            level(wanted_c)
        );
        let problem = Problem::new(Severity::Warning, what)
            .label("below the tap temperature")
            .help("the heater does not light above its inlet limit; see its papers for solar-heated water");
        section.report("inlet_limit", problem);
    }
    if spec.least_w > spec.power_w {
        let problem = Problem::new(Severity::Error, "the smallest fire is larger than the whole heater")
            .label("larger than `power`")
            .help("write both as input: power = \"180000 Btu/h\", minimum_fire = \"15000 Btu/h\"");
        section.report("minimum_fire", problem);
    }
}

/// A note where gas is set against electricity.
fn energies(root: &Section<'_>, backup: &Backup<'_>, second: Option<&TankSpec>, present_burns: bool) {
    let in_tank = second.into_iter().flat_map(|heater| &heater.elements);
    let burns = backup.flow.as_ref().is_some_and(|flow| flow.spec.energy == Energy::Fuel)
        || in_tank.clone().any(|element| matches!(element.source, SourceSpec::Burner(_)));
    let electric = !backup.elements.is_empty()
        || backup.flow.as_ref().is_some_and(|flow| flow.spec.energy == Energy::Electricity)
        || in_tank.clone().any(|element| !matches!(element.source, SourceSpec::Burner(_)));
    let what = match (present_burns, burns, electric) {
        (true, false, true) => "the heater without sun burns gas, the backup beside the sun uses electricity",
        (false, true, false) => {
            "the heater without sun uses electricity, the backup beside the sun burns gas"
        }
        (_, true, true) => "the backup beside the sun burns gas and uses electricity",
        _ => return,
    };
    let section = root.section("heater_without_sun");
    let key = if section.has("fuel") { "fuel" } else { "kind" };
    let help = "savings in kWh count a kWh of gas like one of electricity; their prices differ";
    section.report(key, Problem::new(Severity::Note, what).label("two kinds of kWh").help(help));
}
