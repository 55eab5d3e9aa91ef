//! Safety findings: a reading of the year that raises a hazard, with the usual caution.
//!
//! Each finding names the number found and the level that matters, in both unit systems, and defers to local code and licensed
//! practice. Nothing here calls a design safe or legal, and a hazard without a finding is not absent: these are the readings
//! that a simulated year can show.

mod frost;
mod heat;
mod outage;
mod water;

pub(crate) use frost::RISK_C;
pub(crate) use water::{CUT_OUT_C, GROWTH_C, WITH_VALVE_C, WITHOUT_VALVE_C};

use serde::Serialize;

use crate::job::Job;
use crate::job::quantity::{Kind, rounded};
use crate::record::YearResult;
use crate::weather::WeatherYear;

/// What every caution ends with.
pub const CONFIRM: &str = "confirm with local code and a licensed professional";

/// One hazard that a reading raised.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// Short name that stays the same between versions.
    pub key: &'static str,
    /// The hazard in a word or two.
    pub hazard: &'static str,
    /// What was read, as a sentence with the number in both unit systems.
    pub reading: String,
    /// The number read, in SI.
    pub value: f64,
    /// The level it was compared with, in SI.
    pub level: f64,
    /// Unit of both.
    pub unit: &'static str,
    /// Why it matters.
    pub meaning: String,
    /// The usual caution, without its end, which is [`CONFIRM`].
    pub caution: String,
}

/// Everything a year of a job raises, the most immediate hazard first.
pub fn findings(job: &Job, weather: &WeatherYear, year: &YearResult) -> Vec<Finding> {
    let mut list = Vec::new();
    list.extend(water::scald(job, &year.annual));
    list.extend(frost::findings(job, weather, &year.annual));
    list.extend(heat::findings(job, weather, &year.annual));
    list.extend(outage::findings(job, weather, year));
    list.extend(water::tank_relief(&year.annual));
    list.extend(water::cut_out(&year.annual));
    list.extend(water::growth(job, &year.annual));
    list
}

/// A temperature in both unit systems, to whole degrees: `140 F (60 C)`.
fn level(level_c: f64) -> String {
    format!("{:.0} F ({:.0} C)", level_c * 1.8 + 32.0, level_c)
}

/// A gauge pressure in both unit systems: `20 psi (1.38 bar)`.
fn pressure(pressure_pa: f64) -> String {
    format!("{} ({})", Kind::Pressure.shown(pressure_pa, true), Kind::Pressure.shown(pressure_pa, false))
}

/// A length of time in hours.
fn hours(hours: f64) -> String {
    let whole = hours.round();
    format!("{} hour{}", rounded(whole), if whole == 1.0 { "" } else { "s" })
}
