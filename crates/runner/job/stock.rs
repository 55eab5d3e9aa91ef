//! What the contractor sells.

/// Sizes and prices that studies choose from; no run depends on them. Sums are in the currency of the job.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Stock {
    /// Tanks.
    pub tanks: Vec<StockTank>,
    /// Collector fields in the words of the job file, as in `two 4x8 ft`.
    pub collectors: Vec<String>,
    /// Price of one collector.
    pub cost_per_collector: Option<f64>,
    /// What every plant costs besides tank and collectors: labor, pump, controller, pipes.
    pub fixed_cost: Option<f64>,
    /// A new conventional heater behind the solar tank, installed.
    pub new_heater_cost: Option<f64>,
}

/// A tank of the stock.
#[derive(Clone, Debug, PartialEq)]
pub struct StockTank {
    /// Size in the words of the job file, as in `80 gal`.
    pub volume: String,
    /// Price.
    pub cost: Option<f64>,
    /// Floor it stands on with its jacket, in m2.
    pub floor_m2: Option<f64>,
}
