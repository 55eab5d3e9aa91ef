//! A job: one house, its plant, its people and its weather, ready to run.
//!
//! [`Job`] is what the rest of the program works on: SI, complete, every default filled in. A contractor's job file is
//! read into one by [`file::read`]; a program may also build one field by field.

pub mod check;
pub mod file;
pub mod quantity;
mod starters;

pub use starters::{STARTERS, Starter};

use serde::Serialize;
use solar_geometry::modifier::AngleModifier;
use solar_geometry::sky::SkyModel;
use thermal_network::spec::{FlowHeaterSpec, PlantSpec, TankSpec};

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
    /// The roof's view of sun and sky.
    pub aspect: Aspect,
    /// Tanks, loop and controller.
    pub plant: PlantSpec,
    /// The collectors that make up the loop's field.
    pub collectors: CollectorField,
    /// When each element may run, in the order of the elements through all tanks (burners and heat pumps count as such), then
    /// the flow-through heater; missing entries mean always.
    pub element_hours: Vec<Permission>,
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
#[derive(Clone, Debug)]
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

/// Hot-water use at the taps.
#[derive(Clone, Debug, PartialEq)]
pub struct WaterUse {
    /// Daily pattern.
    pub pattern: Pattern,
    /// Factor on the daily volume, by month.
    pub month_factor: [f64; 12],
    /// Days nobody is at home.
    pub absences: Vec<DaySpan>,
    /// Coolest water still fit for a shower or bath, in degC (default 40.5, 105 F).
    pub usable_c: f64,
}

/// What is drawn on a day.
#[derive(Clone, Debug, PartialEq)]
#[allow(clippy::large_enum_variant, reason = "one a job, never moved in a loop")]
pub enum Pattern {
    /// A daily volume shared out over the hours of clock time.
    Hourly {
        /// Volume at the tap on a day in m3.
        daily_m3: f64,
        /// Temperature at the tap in degC.
        use_c: f64,
        /// Each hour's share on Monday to Friday; sums to 1.
        weekday_frac: [f64; 24],
        /// Each hour's share on Saturday and Sunday.
        weekend_frac: [f64; 24],
        /// Each hour's share flows evenly through its first so many minutes, 1 to 60.
        minutes: u32,
        /// True if the flow counts as showers for comfort.
        comfort: bool,
    },
    /// Single draws at their own times.
    Events {
        /// Monday to Friday.
        weekday: Vec<Event>,
        /// Saturday and Sunday.
        weekend: Vec<Event>,
    },
}

/// One draw of a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// Start in seconds after midnight, clock time.
    pub start_s: u32,
    /// Duration in s.
    pub duration_s: u32,
    /// Flow at the tap in m3/s.
    pub flow_m3_s: f64,
    /// Temperature at the tap in degC.
    pub use_c: f64,
    /// What it is for.
    pub purpose: Purpose,
}

/// What a draw is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Purpose {
    /// Someone stands under it.
    Shower,
    /// A bath being filled.
    Bath,
    /// Hand washing, cooking.
    Sink,
    /// A dishwasher.
    Dishwasher,
    /// A clothes washer.
    Laundry,
    /// Anything else.
    Other,
}

impl Purpose {
    /// True for draws in which cool water is felt.
    pub fn is_comfort(self) -> bool {
        matches!(self, Self::Shower | Self::Bath)
    }
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
