//! What a power failure leaves behind, and the one table of its figures: key, unit, label and definition of each.

use super::Figure;
use serde::Serialize;

/// Which three days of the year an outage is put on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Spell {
    /// Days on which a collector without flow would be hottest.
    Hottest,
    /// Days with the coldest air.
    Coldest,
}

impl Spell {
    /// Its word in a sentence.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Hottest => "hottest",
            Self::Coldest => "coldest",
        }
    }
}

/// How cold a part became while it held fluid.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Chill {
    /// Lowest temperature in degC; `None` where the part is not there or stood empty all the time.
    pub lowest_c: Option<f64>,
    /// Time in h with its coldest place below the freezing point of what it holds.
    pub below_freezing_h: f64,
}

impl Chill {
    /// Adds `hours` at whose end the part's coldest place is at `lowest_c`.
    pub(crate) fn add(&mut self, lowest_c: f64, freezing_c: f64, hours: f64) {
        self.lowest_c = Some(self.lowest_c.map_or(lowest_c, |before_c| before_c.min(lowest_c)));
        if lowest_c < freezing_c {
            self.below_freezing_h += hours;
        }
    }
}

/// Three days without power in the job's own year, and the way back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outage {
    /// Which days.
    pub spell: Spell,
    /// The first of them, 1 to 365; power goes at its midnight, local standard time.
    pub first_day: u32,
    /// Freezing point of the loop's fluid in degC: for glycol where slush begins.
    pub freezing_c: f64,
    /// Mean outdoor air over the three days in degC.
    pub mean_air_c: f64,
    /// Sun on a square meter of the collectors' plane over the three days in kWh.
    pub sun_kwh_m2: f64,
    /// Highest temperature at a collector's outlet end in degC.
    pub hottest_collector_c: f64,
    /// Highest temperature in supply or return pipe in degC; `None` without a loop of pipes.
    pub hottest_pipe_c: Option<f64>,
    /// Highest temperature in any tank in degC.
    pub hottest_tank_c: f64,
    /// The collectors.
    pub collector: Chill,
    /// The pipe to the collectors.
    pub supply: Chill,
    /// The pipe from the collectors.
    pub ret: Chill,
    /// The tanks; a batch collector counts as collector.
    pub tank: Chill,
    /// Water of showers and baths at the tap in L.
    pub shower_l: f64,
    /// Part of it that came too cool.
    pub cool_shower_l: f64,
    /// Days after power is back from which the mean of all tank water over a day is what it would have been, within 1 K;
    /// `None` if that takes more than [`Outage::LONGEST_RECOVERY_D`].
    pub days_to_recover: Option<f64>,
}

impl Outage {
    /// Days without power.
    pub const DAYS: u32 = 3;

    /// Days after which recovery is no longer waited for.
    pub const LONGEST_RECOVERY_D: u32 = 30;
}

/// A figure of an [`Outage`]; `None` where it has no meaning.
pub type OutageFigure = Figure<Outage, Option<f64>>;

const fn figure(
    key: &'static str,
    unit: &'static str,
    label: &'static str,
    definition: &'static str,
    value: fn(&Outage) -> Option<f64>,
) -> OutageFigure {
    Figure { key, unit, label, definition, value }
}

impl OutageFigure {
    /// Every figure in the order of files and tables.
    pub const ALL: [Self; 16] = [
        figure("mean_air_c", "degC", "Mean outdoor air", "Mean outdoor air of the three days.", |o| {
            Some(o.mean_air_c)
        }),
        figure(
            "plane_kwh_m2",
            "kWh/m2",
            "Sun on the collectors' plane",
            "Irradiation on a square meter of the collectors' plane over the three days.",
            |o| Some(o.sun_kwh_m2),
        ),
        figure(
            "hottest_collector_c",
            "degC",
            "Hottest collector",
            "Highest temperature at a collector's outlet end. Boiling is left out: fluid that turns to steam would hold it lower and leave the collector.",
            |o| Some(o.hottest_collector_c),
        ),
        figure(
            "hottest_pipe_c",
            "degC",
            "Hottest loop pipe",
            "Highest temperature in the supply or the return pipe of the loop. Steam pushed into the pipes is left out.",
            |o| o.hottest_pipe_c,
        ),
        figure("hottest_tank_c", "degC", "Hottest tank", "Highest temperature in any tank.", |o| {
            Some(o.hottest_tank_c)
        }),
        figure(
            "coldest_collector_c",
            "degC",
            "Coldest collector",
            "Lowest temperature of the fluid in the collectors; none while they stand empty. The heat that a fluid gives off as it freezes is left out.",
            |o| o.collector.lowest_c,
        ),
        figure(
            "collector_freezing_hours",
            "h",
            "Collector below freezing",
            "Time with the coldest place of the collectors below the freezing point of the fluid in them, for glycol the point where slush begins: hours at risk, not hours of ice.",
            |o| Some(o.collector.below_freezing_h),
        ),
        figure(
            "coldest_supply_pipe_c",
            "degC",
            "Coldest supply pipe",
            "Lowest temperature of the fluid in the pipe to the collectors; none while it stands empty.",
            |o| o.supply.lowest_c,
        ),
        figure(
            "supply_pipe_freezing_hours",
            "h",
            "Supply pipe below freezing",
            "Time with the coldest place of the pipe to the collectors below the freezing point of the fluid in it.",
            |o| Some(o.supply.below_freezing_h),
        ),
        figure(
            "coldest_return_pipe_c",
            "degC",
            "Coldest return pipe",
            "Lowest temperature of the fluid in the pipe from the collectors; none while it stands empty.",
            |o| o.ret.lowest_c,
        ),
        figure(
            "return_pipe_freezing_hours",
            "h",
            "Return pipe below freezing",
            "Time with the coldest place of the pipe from the collectors below the freezing point of the fluid in it.",
            |o| Some(o.ret.below_freezing_h),
        ),
        figure(
            "coldest_tank_c",
            "degC",
            "Coldest tank",
            "Lowest temperature in any tank; a batch collector counts as collector.",
            |o| o.tank.lowest_c,
        ),
        figure(
            "tank_freezing_hours",
            "h",
            "Tank below freezing",
            "Time with the coldest place of a tank below 0 degC (32 F); a batch collector counts as collector.",
            |o| Some(o.tank.below_freezing_h),
        ),
        figure(
            "shower_l",
            "L",
            "Shower and bath water",
            "Volume of shower and bath draws at the tap in the three days.",
            |o| Some(o.shower_l),
        ),
        figure(
            "cool_shower_l",
            "L",
            "Part of it too cool",
            "Part of that volume delivered below the usable temperature, counted as in the year.",
            |o| Some(o.cool_shower_l),
        ),
        figure(
            "days_to_recover",
            "d",
            "Days to recover",
            "Time after power is back from which the mean of all tank water over a day is within 1 K (1.8 F) of the same day of the undisturbed year; none if it takes more than 30 days.",
            |o| o.days_to_recover,
        ),
    ];
}
