//! Rules of thumb for those who read SI.

use crate::job::quantity::size::{BTU_J, FOOT_M, GALLON_M3, PSI_PA, RANKINE_K, SQUARE_FOOT_M2};

/// Value and rule in SI with the rule as its source has it.
pub(crate) fn with_source([found, rule]: [String; 2], own: &str) -> [String; 2] {
    [found, format!("{rule} ({own})")]
}

/// The unit that stands for a customary one in SI, and how large the customary one is in it.
pub(crate) fn metric(unit: &str) -> Option<(&'static str, f64)> {
    let gallon_l = 1000.0 * GALLON_M3;
    Some(match unit {
        "gal/day" => ("L/day", gallon_l),
        "ft2" => ("m\u{b2}", SQUARE_FOOT_M2),
        "ft" => ("m", FOOT_M),
        "gal per ft2 of collector" => ("L per m\u{b2} of collector", gallon_l / SQUARE_FOOT_M2),
        "gpm/ft2" => ("L/min per m\u{b2}", gallon_l / SQUARE_FOOT_M2),
        "F" => ("K", RANKINE_K),
        "F difference" => ("K difference", RANKINE_K),
        "psi" => ("kPa", PSI_PA / 1000.0),
        "Btu per ft2 of collector" => ("kWh per m\u{b2} of collector", BTU_J / 3.6e6 / SQUARE_FOOT_M2),
        "kWh a year for a gallon a day" => ("kWh a year for a liter a day", 1.0 / gallon_l),
        _ => return None,
    })
}
