//! What a job says about tuning its settings.

use super::quantity::{Kind, parse};

/// A step that a dial offers.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// As it is written in a job file.
    pub written: String,
    /// The value in SI: degC, K, or a flow in the unit of its kind.
    pub si: f64,
    /// What kind of quantity it is.
    pub kind: Kind,
}

impl Step {
    /// The value in the units of the reader.
    pub fn shown(&self, us: bool) -> String {
        match self.kind {
            Kind::Difference => difference(self.si, us),
            kind => kind.shown(self.si, us),
        }
    }
}

/// A difference in K in the units of the reader, to a tenth.
pub fn difference(k: f64, us: bool) -> String {
    let (value, unit) = if us { (1.8 * k, "F") } else { (k, "K") };
    format!("{} {unit}", (10.0 * value).round() / 10.0)
}

/// How much a change must gain a year to matter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Matters {
    /// A share of what is saved now.
    Share(f64),
    /// So many kWh.
    Kwh(f64),
}

/// The steps of the dials to try, and what no proposal may break. No run of a year depends on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Tune {
    /// Differences at which the controller offers to start the pump.
    pub on_differences: Vec<Step>,
    /// Differences at which it offers to stop it.
    pub off_differences: Vec<Step>,
    /// High limits of the tank.
    pub high_limits: Vec<Step>,
    /// Flows of the loop.
    pub flows: Vec<Step>,
    /// Settings of the backup's thermostat.
    pub thermostats: Vec<Step>,
    /// Hours of the element, beside those the study makes up itself.
    pub element_hours: Vec<String>,
    /// No thermostat below this is proposed, in degC.
    pub thermostat_floor_c: f64,
    /// What the tank is rated for, in degC; `None`: the job does not say.
    pub tank_rating_c: Option<f64>,
    /// The same for its liner.
    pub liner_rating_c: Option<f64>,
    /// The same for the coil.
    pub coil_rating_c: Option<f64>,
    /// What counts as a gain.
    pub matters_above: Matters,
    /// How far the collector's sensor may read off against the tank's, either way, in K.
    pub sensor_error_k: f64,
}

/// No high limit above this is proposed, whatever the ratings: 180 F (82 degC), the upper end of what the trade sets
/// (common practice).
pub const HIGHEST_LIMIT_C: f64 = (180.0 - 32.0) / 1.8;

/// Thermostat floor unless the job says a higher one, as words of a job file: water at 120 F at the taps (common practice).
pub const THERMOSTAT_FLOOR: &str = "120 F";

/// Pair error of usual sensors unless the job says another: 0.5 to 2 K (common practice).
pub const SENSOR_ERROR: &str = "3 F";

/// Steps of common controllers, on and off (common practice).
pub const ON_DIFFERENCES: [&str; 5] = ["8 F", "12 F", "16 F", "20 F", "24 F"];
/// The same for off.
pub const OFF_DIFFERENCES: [&str; 5] = ["3 F", "4 F", "5 F", "6 F", "8 F"];

/// Least gain that counts unless the job says another, as a share of what is saved now (assumed: weather and use differ by far
/// more from year to year).
pub const MATTERS_ABOVE: &str = "1 %";

impl Default for Tune {
    fn default() -> Self {
        let si = |text: &str, kind| parse(text, &[kind]).map_or(f64::NAN, |found| found.si);
        let steps = |texts: &[&str]| {
            let step = |text: &&str| Step {
                written: (*text).to_owned(),
                si: si(text, Kind::Difference),
                kind: Kind::Difference,
            };
            texts.iter().map(step).collect::<Vec<_>>()
        };
        Self {
            on_differences: steps(&ON_DIFFERENCES),
            off_differences: steps(&OFF_DIFFERENCES),
            high_limits: Vec::new(),
            flows: Vec::new(),
            thermostats: Vec::new(),
            element_hours: Vec::new(),
            thermostat_floor_c: si(THERMOSTAT_FLOOR, Kind::Level),
            tank_rating_c: None,
            liner_rating_c: None,
            coil_rating_c: None,
            matters_above: Matters::Share(si(MATTERS_ABOVE, Kind::Share)),
            sensor_error_k: si(SENSOR_ERROR, Kind::Difference),
        }
    }
}

impl Tune {
    /// The highest limit that may be proposed, in degC, and what sets it.
    pub fn limit_cap_c(&self) -> (f64, &'static str) {
        let ratings = [
            (self.tank_rating_c, "rating of the tank"),
            (self.liner_rating_c, "rating of the liner"),
            (self.coil_rating_c, "rating of the coil"),
        ];
        let rated =
            ratings.into_iter().filter_map(|(rating_c, what)| rating_c.map(|rating_c| (rating_c, what)));
        rated.fold((HIGHEST_LIMIT_C, "highest limit ever proposed"), |lowest, rated| {
            if rated.0 < lowest.0 { rated } else { lowest }
        })
    }
}
