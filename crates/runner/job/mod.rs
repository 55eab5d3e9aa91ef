//! A job: one house, its plant, its people and its weather, ready to run.
//!
//! [`Job`] is what the rest of the program works on: SI, complete, every default filled in. A contractor's job file is
//! read into one by [`file::read`]; a program may also build one field by field.

pub mod check;
pub mod file;
pub mod patterns;
pub mod quantity;
mod starters;
mod stock;
pub mod tune;
mod water;

use serde::Serialize;
use solar_geometry::modifier::AngleModifier;
use solar_geometry::sky::SkyModel;
use thermal_network::spec::{FlowHeaterSpec, PlantSpec, PlumbingSpec, RecirculationSpec, TankSpec};

pub use starters::{STARTERS, Starter};
pub use stock::{Stock, StockTank};
pub use water::{DatedEvent, DrawKind, Event, Guests, Pattern, Purpose, RandomDraws, WaterUse};

use crate::money::Money;
use crate::rating::sheet::{Days, USUAL_FLOW_W_M2_K};
use crate::rating::test_flow::Arrangement;

/// A commented job file to start from: one house with one tank, invented.
pub fn starter() -> &'static str {
    STARTERS[0].text
}

/// Everything a year's run needs besides the weather itself.
#[derive(Clone, Debug)]
pub struct Job {
    /// Name for titles and the default results folder.
    pub name: String,
    /// Weather file as resolved against the job file's folder; `None`: the built-in invented climate.
    pub weather: Option<std::path::PathBuf>,
    /// File of a year poor in sun, for the range of the saving.
    pub poor_weather: Option<std::path::PathBuf>,
    /// The roof's view of sun and sky.
    pub aspect: Aspect,
    /// That of a second plane, if collectors stand on one.
    pub second_aspect: Option<Aspect>,
    /// Tanks, loop and controller.
    pub plant: PlantSpec,
    /// The collectors that make up the loop's field.
    pub collectors: CollectorField,
    /// When each element may run, in the order of the elements through all tanks (burners and heat pumps count as such), then
    /// the flow-through heater; missing entries mean always.
    pub element_hours: Vec<Permission>,
    /// When recirculation runs and when the bypass is turned.
    pub plumbing_hours: PlumbingHours,
    /// When the loop pump's timer is on; `None` without one.
    pub pump_hours: Option<Permission>,
    /// Temperatures around tanks and pipes.
    pub rooms: Rooms,
    /// Hot-water use.
    pub water_use: WaterUse,
    /// Incoming cold water.
    pub cold_water: ColdWater,
    /// What the house would otherwise heat its water with.
    pub baseline: Baseline,
    /// Calendar of the house.
    pub calendar: Calendar,
    /// What energy and the plant cost; `None` where a price is missing.
    pub money: Option<Money>,
    /// What the contractor sells; studies choose from it.
    pub stock: Stock,
    /// What protects people and plant.
    pub protection: Protection,
    /// Steps to try when settings are tuned.
    pub tune: tune::Tune,
    /// What the house bought before, for the range of the saving.
    pub bills: Option<PastBills>,
    /// What `suncask size` tries besides collectors and tanks.
    pub sizing: Sizing,
    /// Standing electric power of the controller in W, all year.
    pub control_w: f64,
    /// Days of late December that run before 1 January.
    pub warm_up_days: u32,
    /// Temperature of tanks, pipes and collector before the warm-up, in degC.
    pub start_c: f64,
    /// Every quantity of the job with the value used, for the result to show.
    pub echo: Vec<Echo>,
    /// Rules of thumb beside what the job says, and other doubts that do not stop a run.
    pub notes: Vec<crate::problem::Problem>,
}

/// One quantity of a job as it was understood.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Echo {
    /// Where it stands in the job file, e.g. `controller.on_difference`.
    pub key: String,
    /// What was written, with the meaning made plain, e.g. `18 F (10 K) difference`; for a default, the default in words.
    pub written: String,
    /// The value in SI where it is one number.
    pub si: Option<f64>,
    /// Unit of `si`.
    pub unit: String,
    /// `None` if the user wrote it; else where the default comes from.
    pub default_source: Option<String>,
}

impl Job {
    /// The SI value of a quantity as it was understood, by its key in the job file.
    pub fn echoed(&self, key: &str) -> Option<f64> {
        self.echo.iter().find(|echo| echo.key == key)?.si
    }

    /// The plant of the heater without sun, if it is stepped: its tank alone, with the house's recirculation loop.
    pub fn plant_without_sun(&self) -> Option<PlantSpec> {
        let Baseline::Simulated { tank, flow_heater, .. } = &self.baseline else { return None };
        let line = self.plant.plumbing.recirculation;
        let recirculation = line.map(|line| RecirculationSpec { return_tank: 0, ..line });
        Some(PlantSpec {
            solar_loop: None,
            tanks: vec![(**tank).clone()],
            plumbing: PlumbingSpec { recirculation, ..PlumbingSpec::default() },
            flow_heater: *flow_heater,
            numerics: self.plant.numerics,
        })
    }
}

/// What is known of the collectors of a field besides their coefficients.
#[derive(Clone, Debug, PartialEq)]
pub struct CollectorField {
    /// How they are piped.
    pub arrangement: Arrangement,
    /// Flow at which they were tested, as heat capacity per reference area in W/(m2 K).
    pub test_flow_w_m2_k: f64,
    /// Daily output of one collector in J, as far as it was copied from the rating sheet.
    pub printed_j: Days<Option<f64>>,
}

impl Default for CollectorField {
    /// One collector with nothing copied from a sheet.
    fn default() -> Self {
        Self {
            arrangement: Arrangement { in_series: 1, in_parallel: 1 },
            test_flow_w_m2_k: USUAL_FLOW_W_M2_K,
            printed_j: [[None; 5]; 3],
        }
    }
}

/// How the collector field looks at sun and sky.
#[derive(Clone, Debug, PartialEq)]
pub struct Aspect {
    /// Tilt from horizontal in degrees.
    pub tilt_deg: f64,
    /// Azimuth in degrees clockwise from true north: 180 faces south.
    pub azimuth_deg: f64,
    /// Sky model.
    pub sky: SkyModel,
    /// True: circumsolar light takes the beam's angle modifier; false: it counts as sky diffuse.
    pub circumsolar_with_beam: bool,
    /// Ground reflectance by month.
    pub albedo: [f64; 12],
    /// Share of the collector covered by snow, by month.
    pub snow_frac: [f64; 12],
    /// Share of beam lost to shade, month by hour of local standard time.
    pub shading_frac: Option<[[f64; 24]; 12]>,
    /// Horizon line as (azimuth, elevation) in degrees; empty for a free horizon.
    pub horizon_deg: Vec<(f64, f64)>,
    /// Beam angle modifier of the collector.
    pub modifier: AngleModifier,
    /// Diffuse modifier for sky and ground alike; `None`: integrals of the beam modifier.
    pub diffuse_modifier: Option<f64>,
    /// Wind at the collector as a share of the station's wind.
    pub wind_frac: f64,
}

/// Temperatures of the spaces in which tanks and pipes stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rooms {
    /// Around the first tank.
    pub tank: Room,
    /// Around the second tank.
    pub second_tank: Room,
    /// Another space pipes may run through.
    pub other: Room,
    /// Around the heater without sun.
    pub without_sun: Room,
}

/// A space and the rule its temperature follows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Room {
    /// A steady temperature in degC: a conditioned room or a given value.
    Steady(f64),
    /// Follows the outdoor air: `mean share` of the yearly mean and a damped, delayed swing; see
    /// [`crate::draws`] for the rule of each kind.
    Basement,
    /// Unheated garage.
    Garage,
    /// Ventilated attic.
    Attic,
    /// Outdoors.
    Outdoors,
}

/// Days of the year from `first` to `last`, both included, 1 to 365; `first > last` runs over the turn of the year.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct DaySpan {
    /// First day.
    pub first: u32,
    /// Last day.
    pub last: u32,
}

impl DaySpan {
    /// True if `day` (1 to 365) lies in the span.
    pub fn contains(&self, day: u32) -> bool {
        if self.first <= self.last {
            (self.first..=self.last).contains(&day)
        } else {
            day >= self.first || day <= self.last
        }
    }
}

/// When an element may run, on clock time. Empty lists do not restrict.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Permission {
    /// Spans of the day in minutes after midnight, end excluded; `start > end` runs over midnight.
    pub minutes: Vec<(u32, u32)>,
    /// Weekdays allowed, Monday first; all false means all allowed.
    pub weekdays: [bool; 7],
    /// Days of the year allowed.
    pub days: Vec<DaySpan>,
}

impl Permission {
    /// Never.
    pub fn never() -> Self {
        Self { minutes: vec![(0, 0)], ..Self::default() }
    }
}

/// When the house's own pump and valve stand which way, on clock time.
#[derive(Clone, Debug, PartialEq)]
pub struct PlumbingHours {
    /// The recirculation pump runs.
    pub recirculation: Permission,
    /// The bypass of the second tank is turned by hand.
    pub bypass: Permission,
}

impl Default for PlumbingHours {
    /// Recirculation all day, where there is any, and no bypass.
    fn default() -> Self {
        Self { recirculation: Permission::default(), bypass: Permission::never() }
    }
}

/// Incoming cold water.
#[derive(Clone, Debug, PartialEq)]
pub enum ColdWater {
    /// The same all year, degC.
    Constant(f64),
    /// Twelve monthly means in degC, straight lines between the middles of the months.
    Monthly([f64; 12]),
    /// `mean - amplitude cos(2 pi (day - coldest)/365)`, one value a day.
    Cosine {
        /// Yearly mean in degC.
        mean_c: f64,
        /// Amplitude in K.
        amplitude_k: f64,
        /// Coldest day, 1 = 1 January.
        coldest_day: f64,
    },
    /// Burch & Christensen 2007 from the weather file's air temperatures.
    FromWeather,
}

/// What the sun's saving is measured against.
#[derive(Clone, Debug, PartialEq)]
pub enum Baseline {
    /// `(load + UA (set - room) time)/efficiency`.
    HeldAtSetPoint {
        /// Standby conductance in W/K.
        ua_w_k: f64,
        /// Set point in degC.
        set_c: f64,
        /// Heat into water per purchased energy.
        efficiency_frac: f64,
    },
    /// A conventional heater stepped on the same draws, cold water and surroundings.
    Simulated {
        /// The heater; it may always run. Of a flow-through heater alone: the cold water in its pipe.
        tank: Box<TankSpec>,
        /// A heater the water passes behind it.
        flow_heater: Option<FlowHeaterSpec>,
        /// Heat into water per purchased energy, on top of what each source in `tank` says of itself.
        efficiency_frac: f64,
    },
}

/// Calendar of the house: sun and weather run on local standard time, people on the clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Calendar {
    /// Weekday of 1 January, 0 = Monday.
    pub first_weekday: u32,
    /// Days on which the clock runs one hour ahead, if any.
    pub daylight_saving: Option<DaySpan>,
}

/// Twelve bills of the house with its present heater. No run depends on them.
#[derive(Clone, Debug, PartialEq)]
pub struct PastBills {
    /// Bought for hot water from January on, in kWh: the bills less what the rest of the house takes.
    pub water_kwh: [f64; 12],
    /// Months that count, from 0.
    pub months: Vec<usize>,
}

/// What `suncask size` tries besides collectors and tanks. No run depends on it.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Sizing {
    /// Tilts in the words of `roof.tilt`.
    pub tilts: Vec<String>,
    /// Facings in the words of `roof.azimuth`.
    pub azimuths: Vec<String>,
    /// Share of the first collector's saving that the next one must bring to be worth it.
    pub next_saves_frac: f64,
}

/// What protects people and plant, as far as the job says. The safety findings ask for it; no run depends on it.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Protection {
    /// True if a mixing valve limits what goes to the taps.
    pub mixing_valve: bool,
    /// Lowest air temperature on record at the site, in degC.
    pub record_low_c: Option<f64>,
    /// Cold fill pressure of the loop at its gauge, in Pa above the atmosphere.
    pub fill_pa: Option<f64>,
    /// Height from the gauge to the top of the collectors, in m.
    pub lift_m: Option<f64>,
    /// Setting of the loop's relief valve, in Pa above the atmosphere at the gauge.
    pub relief_pa: Option<f64>,
}
