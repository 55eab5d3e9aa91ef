//! What money needs of each hour: bought energy and what is missing at the taps.

use super::J_PER_KWH;
use crate::weather::HOURS_PER_YEAR;
use crate::year::{Recorder, Span};

/// Listens to a year and keeps 8,760 hours of a few sums, all room taken before it begins.
#[derive(Clone, Debug)]
pub struct Hours {
    /// Electricity of backup heat in kWh.
    pub backup_electric_kwh: Vec<f64>,
    /// Electricity of the solar plant's pumps in kWh.
    pub pump_kwh: Vec<f64>,
    /// Fuel of backup heat in kWh.
    pub fuel_kwh: Vec<f64>,
    /// Hot water wanted in kWh.
    pub load_kwh: Vec<f64>,
    /// Part of it that was missing.
    pub shortfall_kwh: Vec<f64>,
    /// Loss of the recirculation loop in kWh.
    pub recirculation_loss_kwh: Vec<f64>,
    /// Electricity of its pump in kWh.
    pub recirculation_pump_kwh: Vec<f64>,
}

impl Default for Hours {
    fn default() -> Self {
        let hours = || vec![0.0; HOURS_PER_YEAR];
        Self {
            backup_electric_kwh: hours(),
            pump_kwh: hours(),
            fuel_kwh: hours(),
            load_kwh: hours(),
            shortfall_kwh: hours(),
            recirculation_loss_kwh: hours(),
            recirculation_pump_kwh: hours(),
        }
    }
}

impl Recorder for Hours {
    fn span(&mut self, span: &Span<'_>) {
        // A span ends at a full hour at the latest.
        let hour = (span.start_s / 3600) as usize;
        let flows = span.flows;
        for (hours, joule) in [
            (&mut self.backup_electric_kwh, flows.backup_electric_j()),
            (&mut self.pump_kwh, flows.pump_j + flows.plumbing.transfer_pump_j),
            (&mut self.fuel_kwh, flows.fuel_j),
            (&mut self.load_kwh, flows.load_j),
            (&mut self.shortfall_kwh, flows.shortfall_j),
            (&mut self.recirculation_loss_kwh, flows.plumbing.recirculation_loss_j),
            (&mut self.recirculation_pump_kwh, flows.plumbing.recirculation_pump_j),
        ] {
            hours[hour] += joule / J_PER_KWH;
        }
    }
}
