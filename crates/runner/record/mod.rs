//! What a run leaves behind: totals by month and year, hourly tables, traces of chosen days, and the table of columns.

mod column;
mod figure;
mod hours;
mod outage;
mod readings;
mod tally;
mod trace;
mod week;

pub use column::{Column, ColumnInfo, Gather};
pub use figure::Figure;
pub use hours::Hours;
pub use outage::{Chill, Outage, OutageFigure, Spell};
pub use readings::{ReadingFigure, Readings};
pub(crate) use tally::{J_PER_KWH, LUKEWARM_C};
pub use tally::{Period, Tally};
pub use trace::DayTracer;
pub use week::{Week, WeekKind};

use serde::{Deserialize, Serialize};

use crate::money::Account;

/// One value for each column over a span: a year, a month or an hour. Kept as a plain list of its numbers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(into = "Vec<f64>", try_from = "Vec<f64>")]
pub struct Accounts {
    values: [f64; Column::COUNT],
}

impl Default for Accounts {
    fn default() -> Self {
        Self { values: [0.0; Column::COUNT] }
    }
}

impl From<Accounts> for Vec<f64> {
    fn from(accounts: Accounts) -> Self {
        accounts.values.to_vec()
    }
}

impl TryFrom<Vec<f64>> for Accounts {
    type Error = &'static str;

    /// As many numbers as there are columns.
    fn try_from(values: Vec<f64>) -> Result<Self, Self::Error> {
        values.try_into().map(|values| Self { values }).map_err(|_| "another number of columns")
    }
}

impl Accounts {
    /// Accounts of a longer span from those of its parts, whose lengths are in any one unit.
    pub(crate) fn gather(parts: &[Self], lengths: &[f64]) -> Self {
        let mut whole = Self::default();
        let length: f64 = lengths.iter().sum();
        for &column in Column::ALL {
            let values = parts.iter().map(|part| part[column]);
            whole[column] = match column.info().gather {
                Gather::Sum | Gather::Derived => values.sum(),
                Gather::Max => values.fold(f64::NEG_INFINITY, f64::max),
                Gather::Min => values.fold(f64::INFINITY, f64::min),
                Gather::Mean => values.zip(lengths).map(|(value, part)| value * part).sum::<f64>() / length,
            };
        }
        whole.derive();
        whole
    }

    /// Works out the columns that are ratios of others.
    pub(crate) fn derive(&mut self) {
        let present_kwh = self[Column::BaselinePurchased];
        let of_present = |saved_kwh: f64| if present_kwh > 0.0 { saved_kwh / present_kwh } else { 0.0 };
        self[Column::SavingsFraction] = of_present(self[Column::Saved]);
        self[Column::EqualServiceFraction] = of_present(self[Column::EqualServiceSaved]);
        self[Column::SolarFraction] = if self[Column::Delivered] > 0.0 {
            1.0 - self[Column::BackupHeat] / self[Column::Delivered]
        } else {
            0.0
        };
    }
}

impl std::ops::Index<Column> for Accounts {
    type Output = f64;

    fn index(&self, column: Column) -> &f64 {
        &self.values[column.index()]
    }
}

impl std::ops::IndexMut<Column> for Accounts {
    fn index_mut(&mut self, column: Column) -> &mut f64 {
        &mut self.values[column.index()]
    }
}

/// State of the plant at the end of a short step of a traced day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TracePoint {
    /// Minutes after midnight, local standard time, at the end of the step.
    pub minute: f64,
    /// Irradiance on the collector plane in W/m2.
    pub plane_w_m2: f64,
    /// Outdoor air in degC.
    pub air_c: f64,
    /// Share of the step during which the pump ran, 0 to 1.
    pub pump_frac: f64,
    /// Collector outlet end in degC; not a number without a loop.
    pub collector_c: f64,
    /// Top slice of the first tank in degC.
    pub tank_top_c: f64,
    /// Middle slice in degC.
    pub tank_middle_c: f64,
    /// Bottom slice in degC.
    pub tank_bottom_c: f64,
    /// Mean of the first tank in degC.
    pub tank_mean_c: f64,
    /// Top slice of the second tank in degC; not a number without one.
    pub second_top_c: f64,
    /// Slice the controller's tank sensor sits in, in degC.
    pub tank_sensor_c: f64,
    /// Mean heat from loop to tank over the step in W.
    pub heat_into_tank_w: f64,
    /// Mean flow at the taps over the step in L/min.
    pub tap_l_min: f64,
    /// Mean backup heat over the step in W.
    pub backup_w: f64,
}

/// Trace of one day.
#[derive(Clone, Debug, PartialEq)]
pub struct DayTrace {
    /// Day of the year, 1 = 1 January.
    pub day: u32,
    /// Points in order of time.
    pub points: Vec<TracePoint>,
    /// What lies between the ends of tanks, collectors and pipes at each of the points.
    pub inside: Vec<Inside>,
}

/// Temperatures throughout the plant at the end of a short step, in degC.
#[derive(Clone, Debug, PartialEq)]
pub struct Inside {
    /// Slices of each tank from the bottom.
    pub tanks_c: Vec<Vec<f64>>,
    /// Cells of the collectors along the flow; empty without a loop.
    pub collector_c: Vec<f64>,
    /// The same of those on a second plane; empty where there are none.
    pub second_collector_c: Vec<f64>,
    /// Supply and return pipe, each half-way between its coldest and its hottest part; without meaning where there is none.
    pub pipes_c: [f64; 2],
}

/// Hot water on the mornings of the year's dullest week: the worst of seven.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Morning {
    /// First day of the week with the least light on the collectors, 1 = 1 January.
    pub first_day: u32,
    /// Water at 105 F or more that a tap running at 3 gal/min gives in the hour from 6 am, in L at the tap; at most 681 L.
    pub usable_l: f64,
    /// Minutes below 105 F in three showers in a row from 6 am, each of 8 minutes at 2 gal/min; at most 24.
    pub cool_of_three_showers_min: f64,
}

/// A figure of a [`Morning`].
pub type MorningFigure = Figure<Morning>;

impl MorningFigure {
    /// Hot water in the morning hour.
    pub const USABLE: Self = Self {
        key: "usable_l",
        unit: "L",
        label: "Hot water from 6 to 7 am, dullest week",
        definition: "Water at 105 F (40.6 C) or more at a tap that runs at 3 gal/min (the rate of the US first-hour test) from 6 to 7 am standard time; the least of seven mornings, at most 681 L.",
        value: |morning| morning.usable_l,
    };

    /// Three showers in a row.
    pub const SHOWERS: Self = Self {
        key: "cool_of_three_showers_min",
        unit: "min",
        label: "Cool minutes of three showers, dullest week",
        definition: "Minutes below 105 F (40.6 C) in three showers in a row from 6 am, each of 8 minutes at 2 gal/min with 2 minutes between (common practice); the most of seven mornings, at most 24.",
        value: |morning| morning.cool_of_three_showers_min,
    };

    /// Every figure, in the order of files.
    pub const ALL: [Self; 3] = [
        Self {
            key: "first_day",
            unit: "-",
            label: "First day of the dullest week",
            definition: "First of the seven days with the least light on the collectors, 1 = 1 January.",
            value: |morning| f64::from(morning.first_day),
        },
        Self::USABLE,
        Self::SHOWERS,
    ];
}

/// Everything a year's run reports.
#[derive(Clone, Debug)]
pub struct YearResult {
    /// The whole year.
    pub annual: Accounts,
    /// January to December.
    pub monthly: Vec<Accounts>,
    /// 8,760 hours of local standard time, if asked for.
    pub hourly: Vec<Accounts>,
    /// Traced days, if asked for.
    pub traces: Vec<DayTrace>,
    /// Three days without power, twice, if asked for and the plant has a solar loop.
    pub outages: Vec<Outage>,
    /// What the year means in money, if the job gives prices.
    pub money: Option<Account>,
    /// The mornings of the dullest week, if asked for.
    pub morning: Option<Morning>,
}
