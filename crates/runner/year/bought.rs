//! Hours of bought energy with and without sun, for money.
//!
//! Equal service by the hour: hot water that was missing, with sun or without, counts as bought in the hour it was missing, as
//! the heater without sun would have bought it. Over the year both sides differ by
//! [`Column::EqualServiceSaved`](crate::record::Column::EqualServiceSaved).

use thermal_network::spec::{Energy, SourceSpec};

use super::Setting;
use super::run::Standing;
use crate::job::{Baseline, Job};
use crate::money::{Account, Compared, Purchase, account};
use crate::record::Hours;

/// What the heater without sun makes of what it buys, and its hours if it was stepped.
pub(super) struct WithoutSun<'a> {
    pub hours: Option<&'a Hours>,
    pub efficiency_frac: f64,
}

/// The year in money; `None` without prices.
pub(super) fn money(
    (job, setting): (&Job, &Setting),
    with_sun: Option<&Hours>,
    without_sun: &WithoutSun<'_>,
    solar_heat_kwh: f64,
) -> Option<Account> {
    let (money, plant) = (job.money.as_ref()?, with_sun?);
    let (efficiency_frac, control_kwh) = (without_sun.efficiency_frac, job.control_w / 1000.0);
    let mut electric = [vec![control_kwh; plant.fuel_kwh.len()], vec![0.0; plant.fuel_kwh.len()]];
    let mut fuel = [plant.fuel_kwh.clone(), vec![0.0; plant.fuel_kwh.len()]];
    // An element may stand for the burner of a heater known by its label only.
    let element_burns = money.burns_without_sun && !buys_fuel(&job.baseline);
    for i in 0..plant.fuel_kwh.len() {
        electric[0][i] += plant.backup_electric_kwh[i] + plant.pump_kwh[i];
        let (electric_kwh, fuel_kwh, short_kwh) = match (&job.baseline, without_sun.hours) {
            (Baseline::HeldAtSetPoint { .. }, _) => {
                let start_s = i as u32 * 3600;
                let standing = Standing {
                    start_s,
                    end_s: start_s + 3600,
                    load_kwh: plant.load_kwh[i],
                    recirculation_loss_kwh: plant.recirculation_loss_kwh[i],
                    recirculation_pump_kwh: plant.recirculation_pump_kwh[i],
                };
                (standing.purchased_kwh(job, setting), 0.0, 0.0)
            }
            (Baseline::Simulated { efficiency_frac, .. }, Some(heater)) => (
                heater.backup_electric_kwh[i] / efficiency_frac,
                heater.fuel_kwh[i] / efficiency_frac,
                heater.shortfall_kwh[i],
            ),
            (Baseline::Simulated { .. }, None) => (0.0, 0.0, 0.0),
        };
        let (electric_kwh, fuel_kwh) =
            if element_burns { (0.0, electric_kwh + fuel_kwh) } else { (electric_kwh, fuel_kwh) };
        electric[1][i] = electric_kwh;
        fuel[1][i] = fuel_kwh;
        let made_up = if money.burns_without_sun { &mut fuel } else { &mut electric };
        made_up[0][i] += plant.shortfall_kwh[i] / efficiency_frac;
        made_up[1][i] += short_kwh / efficiency_frac;
    }
    let side = |i: usize| Purchase { electricity_kwh: &electric[i], fuel_kwh: &fuel[i] };
    Some(account(money, &Compared { without: side(1), with: side(0), solar_heat_kwh }))
}

/// True if a stepped heater counts its fuel by itself.
fn buys_fuel(baseline: &Baseline) -> bool {
    match baseline {
        Baseline::HeldAtSetPoint { .. } => false,
        Baseline::Simulated { tank, flow_heater, .. } => {
            flow_heater.is_some_and(|flow| flow.energy == Energy::Fuel)
                || tank.elements.iter().any(|element| matches!(element.source, SourceSpec::Burner(_)))
        }
    }
}
