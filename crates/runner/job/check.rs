//! Rules of thumb of the trade beside what a job says. They inform; nothing is enforced.
//!
//! A value up to a fifth beyond a range is called near it: the rules themselves are no sharper.

use crate::weather::{WeatherYear, summary};
use serde::Serialize;
use thermal_network::fluid::Fluid;
use thermal_network::spec::{ExchangerSpec, LoopKind, LoopSpec, PipeRunSpec, PlateRating, PumpFlow};

mod metric;

pub(crate) use metric::{metric, with_source};

use super::Job;
use super::quantity::rounded;
use super::quantity::size::{FOOT_M, GALLON_M3, GPM_M3_S, PSI_PA, R_VALUE_W_M2_K, SQUARE_FOOT_M2};

const COMMON: &str = "common practice";
pub(crate) const US_DOE: &str = "US DOE consumer guide, sizing";
pub(crate) const COMPUTED: &str = "computed here";

/// One rule beside what the job says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// What is compared.
    pub what: String,
    /// The job's value with its unit.
    pub found: String,
    /// The rule with its unit.
    pub rule: String,
    /// Where the rule comes from.
    pub source: String,
    /// How the two stand to each other.
    pub standing: Standing,
    /// What a gap means; empty where there is nothing to say.
    pub comment: String,
    /// Value and rule in SI, where the rule is in another unit; files for machines keep that.
    #[serde(skip)]
    pub metric: Option<[String; 2]>,
}

/// How a value stands to a rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// Within the rule, at the figures shown.
    Within,
    /// Up to a fifth beyond its range.
    Near,
    /// Further off.
    Off,
}

impl Standing {
    fn of(within: bool) -> Self {
        if within { Self::Within } else { Self::Off }
    }

    /// What a gap means, where there is one.
    pub(crate) fn comment(self, gap: &str) -> String {
        if self == Self::Within { String::new() } else { gap.into() }
    }
}

/// What the rules need to know of the place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Local {
    /// Latitude in degrees, north positive.
    pub latitude_deg: f64,
    /// Lowest air temperature of the weather year in degC.
    pub coldest_air_c: f64,
}

impl Local {
    /// The place of a year's weather.
    pub fn of(weather: &WeatherYear) -> Self {
        Self {
            latitude_deg: weather.site.latitude_deg,
            coldest_air_c: summary::summarise(weather).annual.air_min_c,
        }
    }
}

/// Sets rules of thumb beside the job; those on tilt, facing and frost only if the place is known.
pub fn findings(job: &Job, local: Option<Local>) -> Vec<Finding> {
    let mut list = Vec::new();
    let daily_m3 = job.water_use.pattern.daily_m3();
    list.extend(use_per_person(job, daily_m3));
    if let (Some(solar), Some(tank)) = (&job.plant.solar_loop, job.plant.tanks.first()) {
        list.extend(area_per_person(job, solar));
        let volume_gal = tank.volume_m3 / GALLON_M3;
        let area_ft2 = area_m2(solar) / SQUARE_FOOT_M2;
        list.push(range(
            "Storage",
            volume_gal / area_ft2,
            (1.5, 2.0),
            "gal per ft2 of collector",
            US_DOE,
            "little storage runs hot and wastes summer sun; much storage stays lukewarm",
        ));
        if daily_m3 > 0.0 {
            list.push(range(
                "Storage against use",
                volume_gal / (daily_m3 / GALLON_M3),
                (1.5, 2.0),
                "days' use",
                COMMON,
                "more use than this empties the tank before the next sun",
            ));
        }
        if !matches!(solar.kind, LoopKind::Thermosiphon(_) | LoopKind::Batch) {
            list.extend(loop_flow(solar, area_ft2));
            list.extend(control(solar));
            list.push(short_cycling(solar));
            list.push(pump_share(solar));
        }
        list.extend(exchanger(solar));
        list.extend(pipe_insulation(solar));
        list.extend(kind(job, solar));
        if let Some(element) = tank.elements.first() {
            list.push(range(
                "Part of the tank the backup keeps hot",
                (1.0 - element.height_frac) * 100.0,
                (35.0, 50.0),
                "%",
                COMMON,
                "what the backup keeps hot is closed to the sun, and is what is left on a dull day",
            ));
        }
    }
    list.extend(fill_pressure(job));
    if let Some(local) = local {
        list.extend(facing(job, local));
        list.extend(frost(job, local));
    }
    list
}

/// Of the findings those on the size of collectors and tank, and how the collectors stand.
pub fn sizes(job: &Job, local: Option<Local>) -> Vec<Finding> {
    const OF_SIZE: [&str; 6] =
        ["Hot water for each", "Collector area", "Storage", "Exchanger", "Tilt", "Facing"];
    let mut list = findings(job, local);
    list.retain(|finding| OF_SIZE.iter().any(|start| finding.what.starts_with(start)));
    list
}

/// Reference area of all collectors in m2.
pub(crate) fn area_m2(solar: &LoopSpec) -> f64 {
    solar.collector.area_m2 + solar.second_field.map_or(0.0, |second| second.collector.area_m2)
}

/// A value beside a range of a rule.
pub(crate) fn range(
    what: &str,
    value: f64,
    (low, high): (f64, f64),
    unit: &str,
    source: &str,
    comment: &str,
) -> Finding {
    let standing = standing(value, low, high);
    let words = |unit: &str, size: f64| {
        let [value, low, high] = [value, low, high].map(|value| shown(value * size));
        [format!("{value} {unit}"), format!("{low} to {high} {unit}")]
    };
    let [found, rule] = words(unit, 1.0);
    let metric = metric(unit).map(|(unit, size)| with_source(words(unit, size), &rule));
    Finding {
        what: what.into(),
        found,
        rule,
        source: source.into(),
        standing,
        comment: standing.comment(comment),
        metric,
    }
}

/// Compares the figures shown, so that "18 F" is never outside "15 to 18 F" by a rounding.
pub(crate) fn standing(value: f64, low: f64, high: f64) -> Standing {
    let [value, low, high] = [value, low, high].map(three_figures);
    if (low..=high).contains(&value) {
        Standing::Within
    } else if (low / 1.2..=high * 1.2).contains(&value) {
        Standing::Near
    } else {
        Standing::Off
    }
}

/// A value to three significant figures: rules of thumb are no sharper.
fn three_figures(value: f64) -> f64 {
    format!("{value:.2e}").parse().unwrap_or(value)
}

/// A value to three significant figures, without trailing zeros.
pub(crate) fn shown(value: f64) -> String {
    rounded(three_figures(value))
}

fn shown_f(level_c: f64) -> String {
    format!("{} F", shown(level_c * 1.8 + 32.0))
}

fn shown_c(level_c: f64) -> String {
    format!("{} \u{b0}C", shown(level_c))
}

fn use_per_person(job: &Job, daily_m3: f64) -> Option<Finding> {
    let people = job.echoed("hot_water.people").filter(|people| *people > 0.0)?;
    let each = daily_m3 / GALLON_M3 / people;
    Some(range(
        "Hot water for each person",
        each,
        (15.0, 20.0),
        "gal/day",
        COMMON,
        "measured homes often use less; hot-water use is the biggest unknown of a job",
    ))
}

fn area_per_person(job: &Job, solar: &LoopSpec) -> Option<Finding> {
    let people = job.echoed("hot_water.people").filter(|people| *people > 0.0)?;
    let first = 20.0 * people.min(2.0);
    let more = (people - 2.0).max(0.0);
    let area_ft2 = area_m2(solar) / SQUARE_FOOT_M2;
    let what = format!("Collector area for {} people", shown(people));
    Some(range(
        &what,
        area_ft2,
        (first + 8.0 * more, first + 14.0 * more),
        "ft2",
        "US DOE consumer guide: 20 ft2 for each of the first two, then 8 ft2 in the sun belt to 14 ft2 in the north",
        "a larger field overheats in summer, a smaller one leaves more to the backup",
    ))
}

/// Mass flow in kg/s and heat capacity flow in W/K of the loop at 60 C.
pub(crate) fn capacity_flow(solar: &LoopSpec) -> (f64, f64) {
    let (density, heat) = (solar.fluid.density_kg_m3(60.0), solar.fluid.specific_heat_j_kg_k(60.0));
    let flow_kg_s = match solar.pump.flow {
        PumpFlow::MassKgS(flow) => flow,
        PumpFlow::VolumeM3S(flow) => flow * density,
    };
    (flow_kg_s, flow_kg_s * heat)
}

fn loop_flow(solar: &LoopSpec, area_ft2: f64) -> [Finding; 2] {
    let (flow_kg_s, capacity_w_k) = capacity_flow(solar);
    let gpm = flow_kg_s / solar.fluid.density_kg_m3(60.0) / GPM_M3_S;
    // Good sun gives 150 Btu/(h ft2), that is 470 W/m2 (users' rule: 300 Btu/(h ft2) x 50 %).
    let rise_f = 470.0 * area_m2(solar) / capacity_w_k * 1.8;
    [
        range(
            "Loop flow",
            gpm / area_ft2,
            (0.02, 0.03),
            "gpm/ft2",
            "builder's rule; low-flow designs 0.005 to 0.01, some vendors up to 0.075",
            "low-flow loops need a tank that keeps its layers",
        ),
        range(
            "Rise across the collectors in full sun",
            rise_f,
            (10.0, 16.0),
            "F",
            COMPUTED,
            "the rise follows from the flow: check gpm for the whole field",
        ),
    ]
}

fn control(solar: &LoopSpec) -> [Finding; 3] {
    let control = &solar.controller;
    [
        range("Pump starts at", control.on_k * 1.8, (15.0, 24.0), "F difference", COMMON, "a larger difference starts later; it matters most on poor days"),
        range("Pump stops at", control.off_k * 1.8, (4.0, 9.0), "F difference", COMMON, "a difference smaller than the sensors' error can cool the tank"),
        Finding {
            what: "Tank high limit".into(),
            found: shown_f(control.high_limit_c),
            rule: "160 to 180 F".into(),
            metric: Some([shown_c(control.high_limit_c), "71 to 82 \u{b0}C (160 to 180 F)".into()]),
            source: COMMON.into(),
            standing: Standing::of((160.0..=180.0).contains(&three_figures(control.high_limit_c * 1.8 + 32.0))),
            comment: "any storage above 120 F (49 \u{b0}C) needs a listed mixing valve: confirm with local code and a licensed professional".into(),
        },
    ]
}

/// Condition against steady short cycling: `off <= on A FR'UL / (eps C)` (Duffie and Beckman section 10.4, from memory).
fn short_cycling(solar: &LoopSpec) -> Finding {
    let (_, capacity_w_k) = capacity_flow(solar);
    let loss_w_k = area_m2(solar) * solar.collector.a1_w_m2_k;
    let removal = 1.0 / (1.0 + loss_w_k / (2.0 * capacity_w_k));
    let effectiveness = match solar.exchanger {
        ExchangerSpec::Coil { ua_w_k, .. } => 1.0 - libm::exp(-ua_w_k / capacity_w_k),
        ExchangerSpec::Plate { rating: PlateRating::EffectivenessFrac(share), .. } => share,
        // Counterflow with equal capacity flows.
        ExchangerSpec::Plate { rating: PlateRating::UaWK(ua_w_k), .. } => ua_w_k / (ua_w_k + capacity_w_k),
        ExchangerSpec::OpenLoop { .. } => 1.0,
    };
    let ratio = solar.controller.on_k / solar.controller.off_k.max(0.01);
    let needed = effectiveness * capacity_w_k / (loss_w_k * removal).max(1e-9);
    let standing = Standing::of(ratio >= needed);
    Finding {
        what: "Start difference over stop difference".into(),
        found: shown(ratio),
        rule: format!("at least {} to rule out short cycling", shown(needed)),
        metric: None,
        source: "textbook condition (Duffie and Beckman section 10.4, from memory)".into(),
        standing,
        comment: standing
            .comment("rarely met in practice: some cycling at dawn and dusk is normal, all morning is not"),
    }
}

fn exchanger(solar: &LoopSpec) -> Option<Finding> {
    let ua_w_k = match solar.exchanger {
        ExchangerSpec::Coil { ua_w_k, .. }
        | ExchangerSpec::Plate { rating: PlateRating::UaWK(ua_w_k), .. } => ua_w_k,
        _ => return None,
    };
    let each = ua_w_k / area_m2(solar);
    // A larger exchanger only costs more.
    let standing = standing(each, 40.0, f64::INFINITY);
    Some(Finding {
        what: "Exchanger".into(),
        found: format!("{} W/K per m2 of collector", shown(each)),
        rule: "at least 40 W/K per m2 of collector; 40 to 60 is usual".into(),
        metric: None,
        source: COMMON.into(),
        standing,
        comment: standing.comment("a small exchanger makes the collectors run hotter"),
    })
}

/// R-value of the insulation on the outer surface, h ft2 F/Btu: the smallest of all runs.
fn pipe_insulation(solar: &LoopSpec) -> Option<Finding> {
    let r_value = |run: &PipeRunSpec| {
        let inner = run.tube_outer_m / 2.0;
        let outer = inner + run.insulation_m;
        outer * libm::log(outer / inner) / run.insulation_w_m_k * R_VALUE_W_M2_K
    };
    let least = solar.supply.iter().chain(&solar.ret).map(r_value).reduce(f64::min)?;
    let standing = standing(least, 2.6, f64::INFINITY);
    let metric = |value: f64| format!("{} m\u{b2} K/W", shown(value / R_VALUE_W_M2_K));
    Some(Finding {
        what: "Pipe insulation".into(),
        found: format!("R-{}", shown(least)),
        rule: "at least R-2.6".into(),
        metric: Some([metric(least), format!("at least {} (R-2.6)", metric(2.6))]),
        source: "rating criteria for hot lines; common practice".into(),
        standing,
        comment: standing.comment("bare pipe loses about 3 times more indoors, 7 times outdoors"),
    })
}

/// Electricity of the pump against the yield of an ordinary system: 2000 h (EU label method, from memory) and 2800 kWh.
fn pump_share(solar: &LoopSpec) -> Finding {
    let tank_side_w = match solar.exchanger {
        ExchangerSpec::Plate { tank_pump_w, .. } => tank_pump_w,
        _ => 0.0,
    };
    let power_w = solar.pump.power_w + tank_side_w;
    let share = power_w * 2000.0 / 1000.0 / 2800.0 * 100.0;
    let standing = standing(share, 0.0, 7.0);
    Finding {
        what: "Pump electricity".into(),
        found: format!("{} W, about {} % of an ordinary yield", shown(power_w), shown(share)),
        rule: "1 % (13 W DC) to 7 % (85 W AC) of 2,800 kWh a year".into(),
        metric: None,
        source: COMPUTED.into(),
        standing,
        comment: standing.comment("a smaller or efficient circulator pays here"),
    }
}

/// What the trade says of the loop's kind.
fn kind(job: &Job, solar: &LoopSpec) -> Option<Finding> {
    match &solar.kind {
        LoopKind::Filled | LoopKind::Leaking(_) | LoopKind::Batch => None,
        LoopKind::Drainback(spec) => {
            let lifted_m3 = job.echoed("loop.drainback.lifted")?;
            Some(range(
                "Reservoir over what it fills",
                spec.reservoir_m3 / lifted_m3,
                (1.5, 4.0),
                "times collectors and pipes",
                COMMON,
                "a small one lets the pump draw air, a large one takes long to warm",
            ))
        }
        LoopKind::Thermosiphon(_) => Some(range(
            "Tank bottom above the collectors' top",
            job.echoed("loop.tank_above_collectors")? / FOOT_M,
            (1.0, 2.0),
            "ft",
            "trade manuals",
            "a lower tank flows back by night unless a check valve holds it",
        )),
    }
}

/// Cold fill pressure against the height of the loop, if the job gives both.
fn fill_pressure(job: &Job) -> Option<Finding> {
    let (pressure_pa, lift_m) = (job.echoed("loop.fill_pressure")?, job.echoed("loop.lift")?);
    let standing = 0.433 * lift_m / FOOT_M;
    Some(range(
        "Cold fill pressure",
        pressure_pa / PSI_PA,
        (standing + 10.0, standing + 20.0),
        "psi",
        "0.433 psi per ft of height and 10 to 20 psi at the top (common practice)",
        "too little lets air in at the top, too much opens the relief valve when hot",
    ))
}

fn facing(job: &Job, local: Local) -> [Finding; 2] {
    let equator_deg = if local.latitude_deg < 0.0 { 0.0 } else { 180.0 };
    let off = (job.aspect.azimuth_deg - equator_deg).rem_euclid(360.0);
    let off_deg = off.min(360.0 - off);
    let latitude_deg = local.latitude_deg.abs();
    let gap_deg = (job.aspect.tilt_deg - latitude_deg).abs();
    let tilt = Standing::of(three_figures(gap_deg) <= 15.0);
    let facing = Standing::of(three_figures(off_deg) <= 45.0);
    let toward = if equator_deg == 0.0 { "north" } else { "south" };
    [
        Finding {
            what: "Tilt".into(),
            found: format!("{} deg", shown(job.aspect.tilt_deg)),
            metric: None,
            rule: format!(
                "{} to {} deg, latitude and 15 deg either way",
                shown((latitude_deg - 15.0).max(0.0)),
                shown(latitude_deg + 15.0)
            ),
            source: COMMON.into(),
            standing: tilt,
            comment: tilt.comment("flush with the roof is usually good enough"),
        },
        Finding {
            what: "Facing".into(),
            found: format!("{} deg off {toward}", shown(off_deg)),
            rule: format!("within 45 deg of {toward}"),
            metric: None,
            source: "US state energy office; computed here: 95 % of the sun is left at 45 deg".into(),
            standing: facing,
            comment: facing
                .comment("due east or west at low pitch still sees 80 to 87 %; let the year decide"),
        },
    ]
}

fn frost(job: &Job, local: Local) -> Option<Finding> {
    let solar = job.plant.solar_loop.as_ref()?;
    let water = !matches!(solar.fluid, Fluid::PropyleneGlycol { .. });
    // Water is at risk below 42 F, 5.6 C (US DOE by way of the trade press).
    let drains = matches!(solar.kind, LoopKind::Drainback(_));
    let risk = water && !drains && local.coldest_air_c < 5.6;
    let fluid = match (water, drains) {
        (true, false) => "water",
        (true, true) => "water that drains",
        (false, _) => "glycol",
    };
    let found = |coldest: String| format!("{fluid} in the loop, coldest air of the file {coldest}");
    Some(Finding {
        what: "Frost".into(),
        found: found(shown_f(local.coldest_air_c)),
        rule: "no water outdoors below 42 F".into(),
        metric: Some([found(shown_c(local.coldest_air_c)), "no water outdoors below 6 \u{b0}C".into()]),
        source: "US DOE, 42 F".into(),
        standing: Standing::of(!risk),
        comment: if drains && water {
            "only if every pipe and collector slopes to drain: confirm with local code and a licensed professional".into()
        } else if risk {
            "water in collectors or pipes can freeze: confirm the protection with local code and a licensed professional".into()
        } else {
            "a typical year misses record lows by 5 to 20 F (3 to 11 K)".into()
        },
    })
}
