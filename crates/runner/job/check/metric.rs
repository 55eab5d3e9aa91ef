//! Rules of thumb for those who read SI.

use super::{FOOT_M, Finding, GALLON_M3, PSI_PA, SQUARE_FOOT_M2};
use crate::picture::Units;

impl Finding {
    /// The job's value for a reader of these units.
    pub fn found_in(&self, units: Units) -> &str {
        self.in_si(units).map_or(&self.found, |[found, _]| found)
    }

    /// The rule for a reader of these units; where it was turned into SI, with the figure of its source behind it.
    pub fn rule_in(&self, units: Units) -> &str {
        self.in_si(units).map_or(&self.rule, |[_, rule]| rule)
    }

    fn in_si(&self, units: Units) -> Option<&[String; 2]> {
        self.metric.as_ref().filter(|_| units == Units::Si)
    }
}

/// Value and rule in SI with the rule as its source has it.
pub(crate) fn with_source([found, rule]: [String; 2], own: &str) -> [String; 2] {
    [found, format!("{rule} ({own})")]
}

/// Joules of a British thermal unit (International Table; NIST SP 811).
const BTU_J: f64 = 1_055.055_852_62;

/// The unit that stands for a customary one in SI, and how large the customary one is in it.
pub(crate) fn metric(unit: &str) -> Option<(&'static str, f64)> {
    let gallon_l = 1000.0 * GALLON_M3;
    Some(match unit {
        "gal/day" => ("L/day", gallon_l),
        "ft2" => ("m\u{b2}", SQUARE_FOOT_M2),
        "ft" => ("m", FOOT_M),
        "gal per ft2 of collector" => ("L per m\u{b2} of collector", gallon_l / SQUARE_FOOT_M2),
        "gpm/ft2" => ("L/min per m\u{b2}", gallon_l / SQUARE_FOOT_M2),
        "F" => ("K", 1.0 / 1.8),
        "F difference" => ("K difference", 1.0 / 1.8),
        "psi" => ("kPa", PSI_PA / 1000.0),
        "Btu per ft2 of collector" => ("kWh per m\u{b2} of collector", BTU_J / 3.6e6 / SQUARE_FOOT_M2),
        "kWh a year for a gallon a day" => ("kWh a year for a liter a day", 1.0 / gallon_l),
        _ => return None,
    })
}
