//! What three days without power do, on the hottest and the coldest days of the year.

use thermal_network::fluid::Fluid;
use thermal_network::phase;
use thermal_network::spec::{LoopKind, LoopSpec};

use super::heat::{self, Boiling, SERVICE};
use super::{Finding, hours, level};
use crate::job::Job;
use crate::job::quantity::when::span_words;
use crate::record::{Chill, Column, Outage, YearResult};
use crate::weather::WeatherYear;

pub(super) fn findings(job: &Job, weather: &WeatherYear, year: &YearResult) -> Vec<Finding> {
    let Some(solar) = &job.plant.solar_loop else { return Vec::new() };
    let coldest = year.outages.iter().max_by(|a, b| longest_h(a).total_cmp(&longest_h(b)));
    let hottest = year.outages.iter().max_by(|a, b| a.hottest_collector_c.total_cmp(&b.hottest_collector_c));
    let mut list = Vec::new();
    list.extend(coldest.and_then(|outage| freezes(solar, outage)));
    list.extend(hottest.and_then(|outage| boils(job, solar, weather, year, outage)));
    list
}

/// True if a pump moves the loop's fluid.
fn needs_power(solar: &LoopSpec) -> bool {
    !matches!(solar.kind, LoopKind::Thermosiphon(_) | LoopKind::Batch)
}

/// `Without power from Jan 5 to 7, the coldest three days of this year,`
fn opening(solar: &LoopSpec, outage: &Outage) -> String {
    let begin = if needs_power(solar) { "Without power from" } else { "From" };
    format!(
        "{begin} {}, the {} three days of this year,",
        span_words(outage.first_day, Outage::DAYS),
        outage.spell.word()
    )
}

/// What holds the loop's fluid, with its name in a sentence.
fn loop_parts(outage: &Outage) -> [(&'static str, &Chill); 3] {
    [
        ("the collectors", &outage.collector),
        ("the supply pipe", &outage.supply),
        ("the return pipe", &outage.ret),
    ]
}

/// `the collectors for 40 hours, down to 10 F (-12 C)`; `None` where it stays above freezing.
fn below((name, chill): (&str, &Chill)) -> Option<String> {
    let lowest_c = chill.lowest_c.filter(|_| chill.below_freezing_h > 0.0)?;
    Some(format!("{name} for {}, down to {}", hours(chill.below_freezing_h), level(lowest_c)))
}

/// The longest time that any part spends below freezing, in h.
fn longest_h(outage: &Outage) -> f64 {
    let parts = loop_parts(outage).into_iter().map(|(_, chill)| chill);
    parts.chain([&outage.tank]).map(|chill| chill.below_freezing_h).fold(0.0, f64::max)
}

fn freezes(solar: &LoopSpec, outage: &Outage) -> Option<Finding> {
    let in_loop: Vec<String> = loop_parts(outage).into_iter().filter_map(below).collect();
    let glycol = matches!(solar.fluid, Fluid::PropyleneGlycol { .. });
    let becomes = match (glycol, solar.kind == LoopKind::Batch) {
        (true, _) => "the loop's glycol turns to slush",
        (false, true) => "the water falls",
        (false, false) => "the loop's water falls",
    };
    let mut fates = Vec::new();
    if !in_loop.is_empty() {
        fates.push(format!("{becomes} below {} in {}", level(outage.freezing_c), in_loop.join("; in ")));
    }
    fates.extend(below(("water in a tank stands below freezing", &outage.tank)));
    let lowest_c = loop_parts(outage).into_iter().filter_map(|(_, chill)| chill.lowest_c);
    let lowest_c = lowest_c.fold(f64::INFINITY, f64::min);
    let slush_only = glycol
        && outage.tank.below_freezing_h == 0.0
        && phase::burst_c(&solar.fluid).is_some_and(|burst_c| lowest_c >= burst_c);
    (!fates.is_empty()).then(|| Finding {
        key: "outage_freeze",
        hazard: if needs_power(solar) { "Freeze in an outage" } else { "Freeze in the coldest days" },
        reading: format!("{} {}.", opening(solar, outage), fates.join("; ")),
        value: longest_h(outage),
        level: 0.0,
        unit: "h",
        meaning: format!(
            "{} A typical year misses record cold.",
            if slush_only {
                "Slush does not flow when the power comes back."
            } else {
                "Ice bursts collectors, pipes and tanks; they leak when it thaws."
            }
        ),
        caution: "Protect what holds fluid outdoors by something that needs no power, or know how to drain it by hand before \
                  a cold outage; insulation only puts frost off"
            .into(),
    })
}

/// An outage that brings steam where the year with power does not.
fn boils(
    job: &Job,
    solar: &LoopSpec,
    weather: &WeatherYear,
    year: &YearResult,
    outage: &Outage,
) -> Option<Finding> {
    let hottest_c = outage.hottest_collector_c;
    let fluid = heat::fluid_word(&solar.fluid);
    let (key, boiling_c, boils, meaning) = if let LoopKind::Drainback(_) = solar.kind {
        let level_c = heat::refill_boiling_c(job, solar, weather);
        let boils = format!("{fluid} filled into the dry collector boils at {}", level(level_c));
        let meaning = "Power that comes back in full sun can fill it: the fluid flashes to steam and shocks absorber and glass.";
        ("outage_refill", level_c, boils, meaning)
    } else {
        let Boiling { level_c, words } = heat::boiling(job, solar, weather)?;
        let boils = format!("{fluid} boils there at {} with {words}", level(level_c));
        let meaning = "Fluid flashes to steam and pushes the rest of the collectors' content out, on any sunny day without power.";
        ("outage_steam", level_c, boils, meaning)
    };
    (hottest_c > boiling_c && year.annual[Column::HottestCollector] <= boiling_c).then(|| Finding {
        key,
        hazard: "Steam in an outage",
        reading: format!("{} the collector reaches {}; {boils}.", opening(solar, outage), level(hottest_c)),
        value: hottest_c,
        level: boiling_c,
        unit: "C",
        meaning: meaning.into(),
        caution: format!("Expansion vessel, relief and start limit must be fit for a pump that stands in full sun. {SERVICE}"),
    })
}
