//! Reference cases: a job in the JSON schema of the annual reference results, mapped to an ordinary job.
//!
//! The schema (fields, units, conventions) is described in `tests/data/annual/README.md`. Nothing is special-cased: the
//! job goes through the same public interface as any other.

use std::path::Path;

use serde::Deserialize;
use serde_json::Value;
use solar_geometry::modifier::AngleModifier;
use solar_geometry::sky::SkyModel;
use suncask::job::{
    Aspect, Baseline, Calendar, ColdWater, CollectorField, DaySpan, Job, Pattern, PlumbingHours, Protection,
    Room, Rooms, Stock, WaterUse,
};
use suncask::record::{Accounts, Column, YearResult};
use suncask::weather::{self, WeatherYear};
use suncask::year::{RunOptions, Setting, run};
use thermal_network::fluid::Fluid;
use thermal_network::spec::{
    CoilInlet, CollectorSpec, ControllerSpec, Duties, ElementSpec, ExchangerSpec, LoopKind, LoopSpec,
    Numerics, PipeRunSpec, PlantSpec, PlateRating, PlumbingSpec, PumpFlow, PumpSpec, SensorSpec, SourceSpec,
    Surroundings, TankSpec,
};

/// Water of stores and draws in the reference cases: kg/m3 and J/(kg K).
const WATER_KG_M3: f64 = 990.0;
const WATER_J_KG_K: f64 = 4186.0;

/// Each hour's share flows through the hour's first so many minutes.
const DRAW_MINUTES: u32 = 10;

/// Warm-up of the reference results.
const WARM_UP_DAYS: u32 = 14;

#[derive(Deserialize)]
pub(crate) struct Case {
    pub(crate) name: String,
    site: Site,
    collector: Collector,
    #[serde(rename = "loop")]
    solar_loop: Loop,
    store: Vec<Store>,
    controller: Controller,
    draw: Draw,
    mains: Mains,
    baseline: HeldHeater,
}

#[derive(Deserialize)]
struct Site {
    albedo: f64,
    sky: String,
}

#[derive(Deserialize)]
struct Collector {
    area_m2: f64,
    eta0b: f64,
    b0: f64,
    kd: f64,
    a1: f64,
    a2: f64,
    a5: f64,
    tilt: f64,
    azimuth: f64,
    cells: usize,
}

#[derive(Deserialize)]
struct Loop {
    fluid_cp: f64,
    fluid_rho: f64,
    flow_kg_s: f64,
    pump_w: f64,
    #[serde(default)]
    pump_heat_to_fluid: f64,
    feed: Lengths,
    ret: Lengths,
    bore_mm: f64,
    tube_od_mm: f64,
    insulation_mm: f64,
    k_ins: f64,
    h_out: f64,
    #[serde(rename = "wall_cap_J_mK")]
    wall_cap_j_m_k: f64,
    #[serde(rename = "tube_film_W_m2K")]
    tube_film_w_m2_k: f64,
}

#[derive(Deserialize)]
struct Lengths {
    inside_m: f64,
    outside_m: f64,
}

#[derive(Deserialize)]
struct Store {
    volume_l: f64,
    height_m: f64,
    n: usize,
    #[serde(rename = "k_side_W_m2K")]
    k_side_w_m2_k: f64,
    k_top: f64,
    k_bottom: f64,
    #[serde(rename = "fittings_W_K")]
    fittings_w_k: f64,
    #[serde(rename = "room_C")]
    room_c: f64,
    #[serde(rename = "k_eff_W_mK")]
    k_eff_w_m_k: f64,
    coil: Option<Coil>,
    cold_inlet: f64,
    hot_outlet: f64,
    #[serde(default)]
    element: Option<Elements>,
    #[serde(default)]
    interlock: Option<String>,
}

#[derive(Deserialize)]
struct Coil {
    kind: String,
    bottom: Option<f64>,
    top: Option<f64>,
    #[serde(rename = "ua_W_K")]
    ua_w_k: Option<f64>,
    inlet: Option<String>,
    store_flow_kg_s: Option<f64>,
    store_pump_w: Option<f64>,
    draw_from: Option<f64>,
    return_to: Option<f64>,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum Elements {
    One(Element),
    Several(Vec<Element>),
}

#[derive(Deserialize)]
struct Element {
    power_w: f64,
    height: f64,
    thermostat: f64,
    #[serde(rename = "set_C")]
    set_c: f64,
    #[serde(rename = "band_K")]
    band_k: f64,
}

#[derive(Deserialize)]
struct Controller {
    #[serde(rename = "on_K")]
    on_k: f64,
    #[serde(rename = "off_K")]
    off_k: f64,
    #[serde(rename = "high_limit_C")]
    high_limit_c: f64,
    #[serde(rename = "high_limit_reset_K")]
    high_limit_reset_k: f64,
    #[serde(rename = "collector_cutout_C")]
    collector_cutout_c: Option<f64>,
    sensor_height: f64,
    interval_s: u32,
}

#[derive(Deserialize)]
struct Draw {
    #[serde(rename = "mixed_C")]
    mixed_c: f64,
    litres_day: f64,
    fractions: [f64; 24],
    /// Days nobody is at home: days of the year, or pairs of first and last day.
    #[serde(default, alias = "absence", alias = "absences", alias = "absent_days")]
    absence_days: Value,
}

#[derive(Deserialize)]
struct Mains {
    #[serde(rename = "mean_C")]
    mean_c: f64,
    #[serde(rename = "amplitude_K")]
    amplitude_k: f64,
    coldest_day: f64,
}

#[derive(Deserialize)]
struct HeldHeater {
    #[serde(rename = "ua_W_K")]
    ua_w_k: f64,
    #[serde(rename = "set_C")]
    set_c: f64,
    efficiency: f64,
}

/// Reads a case; the second part lists keys that mean nothing here.
pub(crate) fn read(text: &str) -> Result<(Case, Vec<String>), String> {
    let mut unknown = Vec::new();
    let case = serde_ignored::deserialize(&mut serde_json::Deserializer::from_str(text), |path| {
        unknown.push(path.to_string());
    });
    // Words about a case, and parts that this schema fixes, are no settings.
    let comments = ["note", "profile", "weather", "room", "baseline.volume_l"];
    unknown.retain(|key: &String| !comments.iter().any(|comment| key.ends_with(comment)));
    case.map(|case| (case, unknown)).map_err(|error| error.to_string())
}

/// Runs a case on a weather file.
pub(crate) fn run_case(case: &Case, weather: &Path, options: &RunOptions) -> Result<YearResult, String> {
    let lines = |problems: Vec<suncask::problem::Problem>| {
        problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
    };
    let weather: WeatherYear = weather::read(weather).map_err(lines)?;
    let job = job(case)?;
    run(&job, &Setting::new(&job, &weather), options).map_err(lines)
}

/// The ordinary job that a case describes.
pub(crate) fn job(case: &Case) -> Result<Job, String> {
    let first = case.store.first().ok_or("a case needs a store")?;
    let second_room_c = case.store.get(1).map_or(first.room_c, |store| store.room_c);
    let tanks =
        case.store.iter().enumerate().map(|(i, store)| tank(store, i)).collect::<Result<Vec<_>, _>>()?;
    Ok(Job {
        name: case.name.clone(),
        weather: None,
        aspect: Aspect {
            tilt_deg: case.collector.tilt,
            azimuth_deg: case.collector.azimuth,
            sky: match case.site.sky.as_str() {
                "haydavies" | "hay_davies" => SkyModel::HayDavies,
                "isotropic" => SkyModel::Isotropic,
                "perez" => SkyModel::Perez1990,
                "hdkr" => SkyModel::Hdkr,
                other => {
                    return Err(format!("sky \"{other}\": expected haydavies, isotropic, perez or hdkr"));
                }
            },
            circumsolar_with_beam: false,
            albedo: [case.site.albedo; 12],
            snow_frac: [0.0; 12],
            shading_frac: None,
            horizon_deg: Vec::new(),
            modifier: AngleModifier::OneParameter { b0: case.collector.b0, straight_tail: false },
            diffuse_modifier: Some(case.collector.kd),
            wind_frac: 1.0,
        },
        collectors: CollectorField::default(),
        plant: PlantSpec {
            solar_loop: Some(solar_loop(case, first)?),
            tanks,
            plumbing: PlumbingSpec::default(),
            flow_heater: None,
            numerics: Numerics::default(),
        },
        element_hours: Vec::new(),
        plumbing_hours: PlumbingHours::default(),
        pump_hours: None,
        second_aspect: None,
        rooms: Rooms {
            tank: Room::Steady(first.room_c),
            second_tank: Room::Steady(second_room_c),
            other: Room::Steady(first.room_c),
            without_sun: Room::Steady(first.room_c),
        },
        water_use: WaterUse {
            pattern: Pattern::Hourly {
                daily_m3: case.draw.litres_day / 1000.0,
                use_c: case.draw.mixed_c,
                weekday_frac: case.draw.fractions,
                weekend_frac: case.draw.fractions,
                minutes: DRAW_MINUTES,
                comfort: false,
            },
            month_factor: [1.0; 12],
            absences: absences(&case.draw.absence_days)?,
            guests: Vec::new(),
            usable_c: 40.5,
        },
        cold_water: ColdWater::Cosine {
            mean_c: case.mains.mean_c,
            amplitude_k: case.mains.amplitude_k,
            coldest_day: case.mains.coldest_day,
        },
        baseline: Baseline::HeldAtSetPoint {
            ua_w_k: case.baseline.ua_w_k,
            set_c: case.baseline.set_c,
            efficiency_frac: case.baseline.efficiency,
        },
        money: None,
        stock: Stock::default(),
        poor_weather: None,
        bills: None,
        sizing: suncask::job::Sizing::default(),
        protection: Protection::default(),
        tune: suncask::job::tune::Tune::default(),
        calendar: Calendar { first_weekday: 0, daylight_saving: None },
        control_w: 0.0,
        warm_up_days: WARM_UP_DAYS,
        start_c: 40.0,
        echo: Vec::new(),
        notes: Vec::new(),
    })
}

fn solar_loop(case: &Case, store: &Store) -> Result<LoopSpec, String> {
    let l = &case.solar_loop;
    let run = |length_m: f64, surroundings: Surroundings| PipeRunSpec {
        length_m,
        surroundings,
        bore_m: l.bore_mm / 1000.0,
        tube_outer_m: l.tube_od_mm / 1000.0,
        insulation_m: l.insulation_mm / 1000.0,
        insulation_w_m_k: l.k_ins,
        wall_capacity_j_m_k: l.wall_cap_j_m_k,
        inner_film_w_m2_k: Some(l.tube_film_w_m2_k),
        outer_film_w_m2_k: Some(l.h_out),
    };
    let coil = store.coil.as_ref().ok_or("the first store needs a coil entry")?;
    let need = |value: Option<f64>, key: &str| {
        value.ok_or_else(|| format!("coil of kind {}: {key} is missing", coil.kind))
    };
    let exchanger = match coil.kind.as_str() {
        "wrap" | "coil" => ExchangerSpec::Coil {
            bottom_frac: need(coil.bottom, "bottom")?,
            top_frac: need(coil.top, "top")?,
            ua_w_k: need(coil.ua_w_k, "ua_W_K")?,
            inlet: match coil.inlet.as_deref() {
                None | Some("top") => CoilInlet::Top,
                Some("bottom") => CoilInlet::Bottom,
                Some(other) => return Err(format!("coil inlet \"{other}\": expected top or bottom")),
            },
            tube: None,
        },
        "plate" => ExchangerSpec::Plate {
            rating: PlateRating::UaWK(need(coil.ua_w_k, "ua_W_K")?),
            scale_k_w: 0.0,
            tank_flow_kg_s: need(coil.store_flow_kg_s, "store_flow_kg_s")?,
            tank_pump_w: coil.store_pump_w.unwrap_or(0.0),
            draw_from_frac: need(coil.draw_from, "draw_from")?,
            return_to_frac: need(coil.return_to, "return_to")?,
        },
        "none" => ExchangerSpec::OpenLoop {
            draw_from_frac: need(coil.draw_from, "draw_from")?,
            return_to_frac: need(coil.return_to, "return_to")?,
        },
        other => return Err(format!("coil kind \"{other}\": expected wrap, coil, plate or none")),
    };
    let c = &case.controller;
    Ok(LoopSpec {
        collector: CollectorSpec {
            area_m2: case.collector.area_m2,
            eta0b: case.collector.eta0b,
            a1_w_m2_k: case.collector.a1,
            a2_w_m2_k2: case.collector.a2,
            a5_j_m2_k: case.collector.a5,
            cells: case.collector.cells,
            ..CollectorSpec::default()
        },
        fluid: Fluid::Constant { density_kg_m3: l.fluid_rho, specific_heat_j_kg_k: l.fluid_cp },
        pump: PumpSpec {
            flow: PumpFlow::MassKgS(l.flow_kg_s),
            power_w: l.pump_w,
            heat_to_fluid_frac: l.pump_heat_to_fluid,
            over_temperature: None,
        },
        supply: vec![
            run(l.feed.inside_m, Surroundings::TankRoom),
            run(l.feed.outside_m, Surroundings::Outdoor),
        ],
        ret: vec![run(l.ret.outside_m, Surroundings::Outdoor), run(l.ret.inside_m, Surroundings::TankRoom)],
        exchanger,
        controller: ControllerSpec {
            on_k: c.on_k,
            off_k: c.off_k,
            high_limit_c: c.high_limit_c,
            high_limit_reset_k: c.high_limit_reset_k,
            collector_limit_c: c.collector_cutout_c,
            collector_limit_reset_k: 0.0,
            sensor_height_frac: c.sensor_height,
            tank_sensor: SensorSpec::default(),
            collector_sensor: SensorSpec::default(),
            interval_s: c.interval_s,
            min_on_s: 0,
            min_off_s: 0,
            duties: Duties::default(),
        },
        kind: LoopKind::Filled,
        second_field: None,
    })
}

fn tank(store: &Store, index: usize) -> Result<TankSpec, String> {
    let elements: &[Element] = match &store.element {
        None => &[],
        Some(Elements::One(element)) => std::slice::from_ref(element),
        Some(Elements::Several(elements)) => elements,
    };
    Ok(TankSpec {
        volume_m3: store.volume_l / 1000.0,
        height_m: store.height_m,
        slices: store.n,
        water_kg_m3: WATER_KG_M3,
        water_j_kg_k: WATER_J_KG_K,
        side_w_m2_k: store.k_side_w_m2_k,
        top_w_m2_k: store.k_top,
        bottom_w_m2_k: store.k_bottom,
        fittings_even_w_k: store.fittings_w_k,
        fittings: Vec::new(),
        conduction_w_m_k: store.k_eff_w_m_k,
        surroundings: if index == 0 { Surroundings::TankRoom } else { Surroundings::SecondTankRoom },
        cold_inlet_frac: store.cold_inlet,
        hot_outlet_frac: store.hot_outlet,
        elements: elements
            .iter()
            .map(|element| ElementSpec {
                source: SourceSpec::Electric,
                power_w: element.power_w,
                height_frac: element.height,
                thermostat_frac: element.thermostat,
                set_c: element.set_c,
                band_k: element.band_k,
                sensor: SensorSpec::default(),
            })
            .collect(),
        interlock: match store.interlock.as_deref() {
            None | Some("none" | "") => false,
            Some("upper first") => true,
            Some(other) => return Err(format!("interlock \"{other}\": expected \"upper first\" or none")),
        },
    })
}

/// Days of the year, or pairs of first and last day, as `[[200, 213]]`, `[200, 201]` or `{"first": 200, "last": 213}`.
fn absences(value: &Value) -> Result<Vec<DaySpan>, String> {
    let wrong = || format!("absence days {value}: expected days of the year or pairs of first and last day");
    let day = |value: &Value| value.as_u64().filter(|day| (1..=365).contains(day)).map(|day| day as u32);
    let pair = |first: Option<&Value>, last: Option<&Value>| {
        first.and_then(day).zip(last.and_then(day)).map(|(first, last)| DaySpan { first, last })
    };
    let span = |value: &Value| match value {
        Value::Number(_) => day(value).map(|day| DaySpan { first: day, last: day }),
        Value::Array(days) if days.len() == 2 => pair(days.first(), days.get(1)),
        Value::Object(keys) => {
            let any = |names: &[&str]| names.iter().find_map(|name| keys.get(*name));
            pair(any(&["first", "from", "start"]), any(&["last", "to", "end"]))
        }
        _ => None,
    };
    match value {
        Value::Null => Ok(Vec::new()),
        Value::Array(spans) => spans.iter().map(|value| span(value).ok_or_else(wrong)).collect(),
        Value::Object(_) => span(value).map(|span| vec![span]).ok_or_else(wrong),
        _ => Err(wrong()),
    }
}

/// The quantities of the reference results in their order, with the columns that hold them.
const QUANTITIES: &[(&str, Column)] = &[
    ("ghi_kWh_m2", Column::Ghi),
    ("dhi_kWh_m2", Column::Dhi),
    ("plane_irradiation_kWh", Column::Sun),
    ("plane_beam_kWh", Column::SunBeam),
    ("plane_sky_kWh", Column::SunSky),
    ("plane_ground_kWh", Column::SunGround),
    ("absorbed_kWh", Column::Absorbed),
    ("collector_heat_kWh", Column::CollectorHeat),
    ("feed_pipe_loss_kWh", Column::SupplyLoss),
    ("return_pipe_loss_kWh", Column::ReturnLoss),
    ("heat_into_store_kWh", Column::HeatIntoTank),
    ("store_a_loss_kWh", Column::Tank1Loss),
    ("store_b_loss_kWh", Column::Tank2Loss),
    ("load_kWh", Column::Load),
    ("delivered_kWh", Column::Delivered),
    ("shortfall_kWh", Column::Shortfall),
    ("shortfall_min", Column::ShortfallMinutes),
    ("backup_kWh", Column::BackupPurchased),
    ("pump_kWh", Column::Pump),
    ("pump_h", Column::PumpHours),
    ("pump_starts", Column::PumpStarts),
    ("hottest_store_C", Column::HottestTank),
    ("hottest_collector_C", Column::HottestCollector),
    ("store_a_mean_C", Column::MeanTank),
    ("hottest_slice_above_limit_h", Column::AboveLimit),
    ("stagnation_h", Column::Stagnation),
    ("baseline_purchased_kWh", Column::BaselinePurchased),
    ("saved_kWh", Column::Saved),
    ("solar_share", Column::SavingsFraction),
    ("first_law_residual", Column::BalanceResidual),
];

/// Rows of month (`1` to `12`, then `year`), quantity and value.
pub(crate) fn rows(case: &Case, result: &YearResult) -> Vec<(String, &'static str, f64)> {
    let two_stores = case.store.len() > 1;
    let months = result.monthly.iter().enumerate().map(|(i, month)| ((i + 1).to_string(), month));
    let spans: Vec<(String, &Accounts)> = months.chain([("year".to_owned(), &result.annual)]).collect();
    let mut rows = Vec::new();
    for (name, accounts) in spans {
        for &(quantity, column) in QUANTITIES {
            if column != Column::Tank2Loss || two_stores {
                rows.push((name.clone(), quantity, accounts[column]));
            }
        }
    }
    rows
}
