//! What a run leaves behind: totals by month and year, hourly tables, traces of chosen days, and the table of columns.

mod column;
mod hours;
mod outage;
mod tally;
mod trace;

pub use column::{Column, ColumnInfo, Gather};
pub use hours::Hours;
pub use outage::{Chill, Figure, Outage, Spell};
pub(crate) use tally::J_PER_KWH;
pub use tally::{Period, Tally};
pub use trace::DayTracer;

use crate::money::Account;

/// One value for each column over a span: a year, a month or an hour.
#[derive(Clone, Debug, PartialEq)]
pub struct Accounts {
    values: [f64; Column::COUNT],
}

impl Default for Accounts {
    fn default() -> Self {
        Self { values: [0.0; Column::COUNT] }
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
}
