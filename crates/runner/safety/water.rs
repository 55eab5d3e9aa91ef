//! What hot and lukewarm tank water does: scalds, trips a cut-out, lets bacteria grow.

use super::{Finding, hours, level};
use crate::job::Job;
use crate::record::{Accounts, Column, LUKEWARM_C};

/// Hottest water at the tap without a mixing valve, 120 F; and from the tank with one, 140 F, since a valve can fail. In degC,
/// US plumbing codes as commonly quoted (from memory).
pub(crate) const WITHOUT_VALVE_C: f64 = (120.0 - 32.0) / 1.8;
pub(crate) const WITH_VALVE_C: f64 = 60.0;

/// Manual-reset cut-outs of electric tanks open near 170 F; from about 165 F at the thermostat they may, in degC (common
/// practice).
pub(crate) const CUT_OUT_C: f64 = (165.0 - 32.0) / 1.8;

/// Legionella grow between these, in degC: the lukewarm range that a year counts (also the US CDC's, as commonly quoted).
pub(crate) const GROWTH_C: [f64; 2] = [*LUKEWARM_C.start(), *LUKEWARM_C.end()];

/// Temperature and pressure relief valves of tanks open at 210 F, in degC (ANSI Z21.22, from memory).
const TANK_RELIEF_C: f64 = (210.0 - 32.0) / 1.8;

/// Longest spell between 25 and 45 degC that passes without a word, in h. Guidance for larger plants wants the whole of a
/// preheat tank hot once a day (UK HSE L8 and DVGW W 551, secondary).
const SPELL_H: f64 = 24.0;

pub(super) fn scald(job: &Job, year: &Accounts) -> Option<Finding> {
    let hottest_c = year[Column::HottestOutlet];
    let valve = job.protection.mixing_valve;
    let limit_c = if valve { WITH_VALVE_C } else { WITHOUT_VALVE_C };
    // Times by Moritz and Henriques (1947), as popularised (from memory).
    (hottest_c > limit_c).then(|| Finding {
        key: if valve { "scald_with_valve" } else { "scald_without_valve" },
        hazard: "Scald",
        reading: format!(
            "Water at the tank's outlet reaches {}, above {}{}.",
            level(hottest_c),
            level(limit_c),
            if valve { ", before a mixing valve" } else { ", and the job names no mixing valve" }
        ),
        value: hottest_c,
        level: limit_c,
        unit: "C",
        meaning: format!(
            "Adult skin burns deeply in about 5 seconds at {}, 30 at {}, and in minutes at {}; children and the \
             elderly burn faster.",
            level(60.0),
            level((130.0 - 32.0) / 1.8),
            level(WITHOUT_VALVE_C)
        ),
        caution: if valve {
            "A valve can fail hot: test it every year; it sits after the last heater and does not replace listed \
             anti-scald devices at showers and tubs"
        } else {
            "Storage this hot needs a listed mixing valve after the last heater, tested every year, besides listed \
             anti-scald devices at showers and tubs"
        }
        .into(),
    })
}

pub(super) fn tank_relief(year: &Accounts) -> Option<Finding> {
    let hottest_c = year[Column::HottestTank];
    (hottest_c > TANK_RELIEF_C).then(|| Finding {
        key: "tank_relief",
        hazard: "Relief valve of the tank",
        reading: format!("Water in the tank reaches {}, above {}.", level(hottest_c), level(TANK_RELIEF_C)),
        value: hottest_c,
        level: TANK_RELIEF_C,
        unit: "C",
        meaning: "The tank's temperature and pressure relief valve opens there; water that is hotter than this flashes to steam \
                  where it gets out. The run itself neither opens a valve nor boils."
            .into(),
        caution: "Every tank needs a listed relief valve, never removed or plugged, its discharge piped to a safe place; shed the \
                  heat before: a limit, less collector, or a cover while nobody is home"
            .into(),
    })
}

pub(super) fn cut_out(year: &Accounts) -> Option<Finding> {
    let hottest_c = year[Column::HottestThermostat];
    (hottest_c > CUT_OUT_C).then(|| Finding {
        key: "backup_cut_out",
        hazard: "Backup cut-out",
        reading: format!(
            "Water beside a thermostat of the backup reaches {}, above {}.",
            level(hottest_c),
            level(CUT_OUT_C)
        ),
        value: hottest_c,
        level: CUT_OUT_C,
        unit: "C",
        meaning: "Solar heat can trip the heater's manual-reset cut-out: no hot water on the next dull day."
            .into(),
        caution: "Never bypass a cut-out; a lower high limit of the controller keeps it from tripping".into(),
    })
}

pub(super) fn growth(job: &Job, year: &Accounts) -> Option<Finding> {
    let first = ("first tank", year[Column::LukewarmSpell], year[Column::LukewarmHours]);
    let second = ("second tank", year[Column::Tank2LukewarmSpell], year[Column::Tank2LukewarmHours]);
    let (tank, spell_h, mean_h) = if second.1 > first.1 { second } else { first };
    let tank = if job.plant.tanks.len() > 1 { tank } else { "tank" };
    (spell_h > SPELL_H).then(|| Finding {
        key: "lukewarm_spell",
        hazard: "Legionella",
        reading: format!(
            "The coldest layer of the {tank} stays between {} and {} for up to {} on end; the tank's mean is there for {} of \
             the year.",
            level(GROWTH_C[0]),
            level(GROWTH_C[1]),
            hours(spell_h),
            hours(mean_h)
        ),
        value: spell_h,
        level: SPELL_H,
        unit: "h",
        meaning: "The bacteria grow in that range; this counts hours and judges no risk to health.".into(),
        caution: "Preheat tanks sit in this range by design: the backup must bring the water to what the health authority asks \
                  for, and standing water is flushed after an absence"
            .into(),
    })
}
