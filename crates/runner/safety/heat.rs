//! What a collector without flow does to its fluid: steam, relief, ageing. The run itself does not boil anything.

use thermal_network::fluid::Fluid;
use thermal_network::hydraulics::GRAVITY_M_S2;
use thermal_network::phase;
use thermal_network::spec::{ExchangerSpec, LoopKind, LoopSpec};

use super::{Finding, hours, level, pressure};
use crate::job::Job;
use crate::job::quantity::size::PSI_PA;
use crate::record::{Accounts, Column};
use crate::weather::WeatherYear;

/// Glycol ages quickly above about 250 F, in degC (trade press and makers, common practice).
const AGEING_C: f64 = (250.0 - 32.0) / 1.8;

/// Cold pressure at the top of the collectors where the job gives no fill pressure: middle of 10 to 20 psi (common practice), in
/// Pa.
const AT_THE_TOP_PA: f64 = 15.0 * PSI_PA;

/// Cold fluid in degC, for the weight of the column between gauge and collectors.
const COLD_C: f64 = 20.0;

pub(super) const SERVICE: &str = "Relief discharge scalds: pipe it to a safe place; cover collectors before service, never refill them hot, \
                       and keep plastic pipe and soft solder off the return";

pub(super) fn findings(job: &Job, weather: &WeatherYear, year: &Accounts) -> Vec<Finding> {
    let Some(solar) = &job.plant.solar_loop else { return Vec::new() };
    let hottest_c = year[Column::HottestCollector];
    if let LoopKind::Drainback(_) = solar.kind {
        return refill(job, solar, weather, hottest_c).into_iter().collect();
    }
    let mut list = Vec::new();
    list.extend(steam(job, solar, weather, hottest_c));
    list.extend(relief(job, solar, weather, hottest_c));
    list.extend(ageing(solar, hottest_c, year[Column::Stagnation]));
    list
}

/// Pressure of the air in Pa at a height above the sea: the standard atmosphere (ICAO 1993).
fn atmosphere_pa(elevation_m: f64) -> f64 {
    101_325.0 * libm::pow(1.0 - 2.255_77e-5 * elevation_m, 5.255_88)
}

/// Weight of the cold fluid between gauge and the top of the collectors in Pa, 0 where the job gives no lift.
fn column_pa(job: &Job, solar: &LoopSpec) -> f64 {
    job.protection.lift_m.unwrap_or(0.0) * solar.fluid.density_kg_m3(COLD_C) * GRAVITY_M_S2
}

/// Absolute pressure at the top of the collectors for a gauge pressure at the gauge, in Pa; a vacuum is not held.
fn top_pa(job: &Job, solar: &LoopSpec, weather: &WeatherYear, gauge_pa: f64) -> f64 {
    (gauge_pa - column_pa(job, solar)).max(0.0) + atmosphere_pa(weather.site.elevation_m)
}

pub(super) fn fluid_word(fluid: &Fluid) -> &'static str {
    match fluid {
        Fluid::PropyleneGlycol { .. } => "the loop's glycol",
        Fluid::Water | Fluid::Constant { .. } => "water",
    }
}

/// Where the fluid at the top of a filled loop boils, and with what pressure, in words.
pub(super) struct Boiling {
    pub(super) level_c: f64,
    pub(super) words: String,
}

/// `None` where nothing is said of the pressure and nothing usual can be assumed.
pub(super) fn boiling(job: &Job, solar: &LoopSpec, weather: &WeatherYear) -> Option<Boiling> {
    let (top, words) = match job.protection.fill_pa {
        Some(fill_pa) => {
            (top_pa(job, solar, weather, fill_pa), format!("a cold fill of {}", pressure(fill_pa)))
        }
        // The house's water pressure stands behind an open loop, and the job does not say what it is.
        None if matches!(solar.exchanger, ExchangerSpec::OpenLoop { .. }) => return None,
        None => (
            AT_THE_TOP_PA + atmosphere_pa(weather.site.elevation_m),
            format!("an assumed {} at the top (10 to 20 psi is common practice)", pressure(AT_THE_TOP_PA)),
        ),
    };
    Some(Boiling { level_c: phase::boiling_c(&solar.fluid, top), words })
}

fn steam(job: &Job, solar: &LoopSpec, weather: &WeatherYear, hottest_c: f64) -> Option<Finding> {
    let Boiling { level_c: boiling_c, words } = boiling(job, solar, weather)?;
    (hottest_c > boiling_c).then(|| Finding {
        key: "steam",
        hazard: "Steam",
        reading: format!(
            "The collector reaches {}; {} boils there at {} with {words}.",
            level(hottest_c),
            fluid_word(&solar.fluid),
            level(boiling_c)
        ),
        value: hottest_c,
        level: boiling_c,
        unit: "C",
        meaning: "Fluid flashes to steam and pushes the rest of the collectors' content out.".into(),
        caution: format!(
            "The expansion vessel must take the collectors' whole content besides the growth of the fluid. {SERVICE}"
        ),
    })
}

/// Where the fluid that is filled into a drained collector boils, in degC.
pub(super) fn refill_boiling_c(job: &Job, solar: &LoopSpec, weather: &WeatherYear) -> f64 {
    let open_pa = job.protection.fill_pa.unwrap_or(0.0) + atmosphere_pa(weather.site.elevation_m);
    phase::boiling_c(&solar.fluid, open_pa)
}

/// A drained collector stands dry and boils nothing, until something is filled into it.
fn refill(job: &Job, solar: &LoopSpec, weather: &WeatherYear, hottest_c: f64) -> Option<Finding> {
    let boiling_c = refill_boiling_c(job, solar, weather);
    let limit_c = solar.controller.duties.start_below_c.unwrap_or(f64::INFINITY);
    (hottest_c > boiling_c).then(|| Finding {
        key: "hot_refill",
        hazard: "Steam",
        reading: format!(
            "The drained collector reaches {}; {} filled into it boils at {}{}.",
            level(hottest_c),
            fluid_word(&solar.fluid),
            level(boiling_c),
            if limit_c <= boiling_c {
                format!(", and the controller does not start the pump from {} on", level(limit_c))
            } else {
                ", and nothing keeps the controller from starting the pump".into()
            }
        ),
        value: hottest_c,
        level: boiling_c,
        unit: "C",
        meaning: "A hot refill flashes to steam and shocks absorber and glass.".into(),
        caution: format!("Never fill or start a drained loop by hand in full sun. {SERVICE}"),
    })
}

fn relief(job: &Job, solar: &LoopSpec, weather: &WeatherYear, hottest_c: f64) -> Option<Finding> {
    let relief_pa = job.protection.relief_pa?;
    let boiling_c = phase::boiling_c(&solar.fluid, top_pa(job, solar, weather, relief_pa));
    (hottest_c > boiling_c).then(|| Finding {
        key: "relief",
        hazard: "Relief valve",
        reading: format!(
            "The collector reaches {}; even at the relief valve's {} {} boils there at {}.",
            level(hottest_c),
            pressure(relief_pa),
            fluid_word(&solar.fluid),
            level(boiling_c)
        ),
        value: hottest_c,
        level: boiling_c,
        unit: "C",
        meaning: "Pressure cannot keep the fluid from boiling: unless the vessel takes the steam, the valve opens and fluid \
                  is lost."
            .into(),
        caution: format!("A relief valve is never removed, plugged or raised. {SERVICE}"),
    })
}

fn ageing(solar: &LoopSpec, hottest_c: f64, stagnation_h: f64) -> Option<Finding> {
    let Fluid::PropyleneGlycol { .. } = solar.fluid else { return None };
    (hottest_c > AGEING_C).then(|| Finding {
        key: "glycol_ageing",
        hazard: "Glycol ageing",
        reading: format!(
            "The collector reaches {}, above {}, with {} of stagnation in the year.",
            level(hottest_c),
            level(AGEING_C),
            hours(stagnation_h)
        ),
        value: hottest_c,
        level: AGEING_C,
        unit: "C",
        meaning: "Glycol that is cooked turns acid and loses its protection.".into(),
        caution: "Test pH and freezing point every year (new 8.5 to 9, replace below 7); a loop that steams back empty or \
                  sheds heat spares its fluid"
            .into(),
    })
}
