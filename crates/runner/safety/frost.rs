//! What cold air does to the fluid outdoors. Nothing that needs power counts as protection.

use thermal_network::fluid::Fluid;
use thermal_network::phase;
use thermal_network::spec::LoopKind;

use super::{Finding, hours, level};
use crate::job::Job;
use crate::record::{Accounts, Column};
use crate::weather::WeatherYear;

/// Air below which water outdoors is at risk, 42 F in degC: under a clear sky a collector is colder than the air (US DOE by way
/// of the trade press).
pub(crate) const RISK_C: f64 = (42.0 - 32.0) / 1.8;

/// A typical year misses record lows by 5 to 20 F; where the job names none, 20 F below the file's minimum is taken (common
/// practice).
const BELOW_FILE_K: f64 = 20.0 / 1.8;

const OUTAGE: &str = "Pumps, controllers and heat tapes count for nothing in a power failure";

/// The lowest air to plan for.
struct RecordLow {
    low_c: f64,
    words: String,
}

impl RecordLow {
    fn of(job: &Job, file_min_c: f64) -> Self {
        match job.protection.record_low_c {
            Some(low_c) => Self { low_c, words: format!("The record low of the site is {}", level(low_c)) },
            None => {
                let low_c = file_min_c - BELOW_FILE_K;
                let words = format!(
                    "The site's record low is assumed to be {}, 20 F below the weather file's minimum of {}, because the \
                     job names none",
                    level(low_c),
                    level(file_min_c)
                );
                Self { low_c, words }
            }
        }
    }
}

pub(super) fn findings(job: &Job, weather: &WeatherYear, year: &Accounts) -> Vec<Finding> {
    let mut list: Vec<Finding> = tank(year).into_iter().collect();
    list.extend(in_loop(job, weather));
    list
}

/// A tank that freezes in the year as it is. The run has no ice: it goes on as cold water.
fn tank(year: &Accounts) -> Option<Finding> {
    let coldest_c = year[Column::ColdestTank];
    (coldest_c < 0.0).then(|| Finding {
        key: "tank_freeze",
        hazard: "Freeze",
        reading: format!("Water in a tank falls to {} in this year, with all power on.", level(coldest_c)),
        value: coldest_c,
        level: 0.0,
        unit: "C",
        meaning: "Ice bursts tanks and their pipes. The run has no ice: from here on its figures are too good.".into(),
        caution: "A tank that stands in frost is drained for the winter or kept warm by more than the sun; more insulation only \
                  puts it off"
            .into(),
    })
}

fn in_loop(job: &Job, weather: &WeatherYear) -> Vec<Finding> {
    let Some(solar) = &job.plant.solar_loop else { return Vec::new() };
    let file_min_c = weather.air_c.iter().copied().fold(f64::INFINITY, f64::min);
    let record = RecordLow::of(job, file_min_c);
    match solar.fluid {
        Fluid::Water | Fluid::Constant { .. } => {
            let cold = Cold::of(weather, file_min_c);
            let finding = match solar.kind {
                LoopKind::Drainback(_) => drained(&cold, &record),
                LoopKind::Batch => batch(&cold, &record),
                _ => water(&cold, &record, solar.controller.duties.freeze.is_some()),
            };
            finding.into_iter().collect()
        }
        Fluid::PropyleneGlycol { volume_frac } => glycol(&solar.fluid, volume_frac, &record),
    }
}

/// Air of the year below the level at which water outdoors is at risk.
struct Cold {
    hours: f64,
    file_min_c: f64,
}

impl Cold {
    fn of(weather: &WeatherYear, file_min_c: f64) -> Self {
        let cold = weather.air_c.iter().filter(|&&air_c| air_c < RISK_C).count();
        Self { hours: cold as f64 * f64::from(weather.interval_s) / 3600.0, file_min_c }
    }

    /// Air as cold as that in the file or on record.
    fn comes(&self, record: &RecordLow) -> bool {
        self.hours > 0.0 || record.low_c < RISK_C
    }

    /// `with air below 42 F for so many hours of this year, down to so much`.
    fn words(&self, record: &RecordLow) -> String {
        format!(
            "with air below {} for {} of this year, down to {}. {}.",
            level(RISK_C),
            hours(self.hours),
            level(self.file_min_c),
            record.words
        )
    }
}

/// A finding raised by the hours of such air; `where_water` opens its sentence.
fn hours_of_cold(
    key: &'static str,
    where_water: &str,
    cold: &Cold,
    record: &RecordLow,
    [meaning, caution]: [String; 2],
) -> Option<Finding> {
    cold.comes(record).then(|| Finding {
        key,
        hazard: "Freeze",
        reading: format!("{where_water} {}", cold.words(record)),
        value: cold.hours,
        level: 0.0,
        unit: "h",
        meaning,
        caution,
    })
}

/// Water that leaves when the pump stops, if nothing holds it.
fn drained(cold: &Cold, record: &RecordLow) -> Option<Finding> {
    let words = [
        "A loop that drains is protected, in an outage too, only if every pipe and collector slopes to drain: water \
         left in a sag freezes and bursts it."
            .into(),
        "Slope pipes and collectors at least 1/4 in per ft (2 %) to the reservoir, indoors and warm; no check valve in \
         the loop; a pump that cannot stop keeps it full"
            .into(),
    ];
    hours_of_cold(
        "drainback_slope",
        "Water runs back out of collectors and pipes outdoors,",
        cold,
        record,
        words,
    )
}

/// A tank on the roof holds out; its pipes do not.
fn batch(cold: &Cold, record: &RecordLow) -> Option<Finding> {
    let words = [
        format!(
            "The tank's mass keeps it for a night or two; the pipes outdoors freeze first, and block and burst. {OUTAGE}."
        ),
        "Only for places without hard frost: insulate its pipes well, keep them short, and drain tank and pipes by hand \
         before a cold spell"
            .into(),
    ];
    hours_of_cold(
        "batch_pipes",
        "Water stands in the pipes to and from the batch collector",
        cold,
        record,
        words,
    )
}

fn water(cold: &Cold, record: &RecordLow, circulates: bool) -> Option<Finding> {
    // What runs on power is named, so that nobody takes it for protection.
    let circulation =
        if circulates { "The controller's freeze circulation is no protection without power. " } else { "" };
    let words = [
        format!(
            "Water freezes and bursts collectors even above {} of air under a clear night sky. {circulation}{OUTAGE}.",
            level(0.0)
        ),
        "Use glycol or a loop that drains where frost is possible; freeze valves need mains pressure and a new one every \
         3 to 5 years"
            .into(),
    ];
    hours_of_cold("water_outdoors", "Water is in collectors and pipes outdoors", cold, record, words)
}

fn glycol(fluid: &Fluid, volume_frac: f64, record: &RecordLow) -> Vec<Finding> {
    let finding = |key, point_c: f64, becomes: &str, meaning: String, caution: &str| {
        (record.low_c < point_c).then(|| Finding {
            key,
            hazard: "Freeze",
            reading: format!(
                "{}; the loop's {:.0} % glycol {becomes} below {}.",
                record.words,
                volume_frac * 100.0,
                level(point_c)
            ),
            value: record.low_c,
            level: point_c,
            unit: "C",
            meaning,
            caution: caution.into(),
        })
    };
    let slush = fluid.freezing_c().and_then(|freezing_c| {
        finding(
            "glycol_slush",
            freezing_c,
            "turns to slush",
            format!("Slush does not flow: the pump may run against it. {OUTAGE}."),
            "A freezing point 10 to 20 F (5 to 10 K) below the record low is usual; ask the fluid's own sheet and test it \
             every year",
        )
    });
    let burst = phase::burst_c(fluid).and_then(|burst_c| {
        finding(
            "glycol_burst",
            burst_c,
            "bursts what holds it",
            format!("Collectors and pipes can break and leak. {OUTAGE}."),
            "Use a stronger mixture; ask the fluid's own sheet for its burst protection",
        )
    });
    burst.into_iter().chain(slush).collect()
}
