//! An invented year for tests of pictures and results: plausible numbers that no simulation made.

use suncask::record::{Accounts, Column, DayTrace, Gather, TracePoint, YearResult};

/// Days of the months.
pub(crate) const DAYS: [usize; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/// Sun of a day as a share of a clear day's, by an arbitrary rule that mixes clear, mixed and dull days.
fn sky(day: usize) -> f64 {
    let turn = ((day * day) % 11) as f64 / 10.0;
    0.12 + 0.88 * (1.0 - turn * turn)
}

fn season(day: usize) -> f64 {
    (std::f64::consts::TAU * (day as f64 - 172.0) / 365.0).cos()
}

fn sun_w_m2(day: usize, hour: f64) -> f64 {
    let half_day = 6.0 + 1.4 * season(day);
    let up = (std::f64::consts::FRAC_PI_2 * (hour - 12.0) / half_day).cos();
    if (hour - 12.0).abs() < half_day { (820.0 + 120.0 * season(day)) * sky(day) * up } else { 0.0 }
}

fn hour(day: usize, hour: usize) -> Accounts {
    let mut a = Accounts::default();
    let sun = sun_w_m2(day, hour as f64 + 0.5);
    a[Column::Ghi] = sun / 1000.0;
    a[Column::Dhi] = 0.35 * sun / 1000.0;
    let clock = (std::f64::consts::TAU * (hour as f64 - 15.0) / 24.0).cos();
    a[Column::Air] = 12.0 + 11.0 * season(day) + 5.0 * clock;
    a[Column::ColdWater] = 13.0 + 5.0 * season(day);
    a[Column::Sun] = 4.3 * sun / 1000.0;
    a[Column::Absorbed] = 0.68 * a[Column::Sun];
    a[Column::CollectorLoss] = 0.2 * a[Column::Sun];
    a[Column::CollectorHeat] = 0.48 * a[Column::Sun];
    a[Column::SupplyLoss] = 0.006 * a[Column::Sun];
    a[Column::ReturnLoss] = 0.014 * a[Column::Sun];
    a[Column::HeatIntoTank] = 0.465 * a[Column::Sun];
    a[Column::TankLoss] = 0.055;
    a[Column::Load] = if (6..9).contains(&hour) || (17..22).contains(&hour) { 1.66 } else { 0.0 };
    a[Column::Delivered] = 0.99 * a[Column::Load];
    a[Column::Shortfall] = 0.01 * a[Column::Load];
    a[Column::BackupHeat] = (0.47 - 0.22 * season(day)) * (1.2 - sky(day));
    a[Column::BackupPurchased] = a[Column::BackupHeat];
    a[Column::Pump] = if sun > 250.0 { 0.045 } else { 0.0 };
    a[Column::PumpStarts] = if sun > 250.0 && hour == 9 { 1.0 } else { 0.0 };
    a[Column::PumpHours] = if sun > 250.0 { 1.0 } else { 0.0 };
    a[Column::TapVolume] = 21.0 * a[Column::Load];
    a[Column::BaselinePurchased] = a[Column::Load] + 0.07;
    a[Column::Saved] = a[Column::BaselinePurchased] - a[Column::BackupPurchased] - a[Column::Pump];
    a[Column::EqualServiceSaved] = a[Column::Saved] - a[Column::Shortfall];
    let late = (std::f64::consts::TAU * (hour as f64 - 16.0) / 24.0).cos();
    a[Column::TankTop] = 52.0 + 8.0 * season(day) + 14.0 * sky(day) * late;
    a[Column::TankMiddle] = a[Column::TankTop] - 7.0;
    a[Column::TankBottom] = a[Column::TankTop] - 18.0;
    a[Column::MeanTank] = a[Column::TankTop] - 8.0;
    a[Column::HottestTank] = a[Column::TankTop];
    a[Column::Collector] = a[Column::Air] + sun / 16.0;
    a[Column::HottestCollector] = a[Column::Collector] + 4.0;
    a[Column::BalanceResidual] = 3.0e-13;
    a
}

fn gather(parts: &[Accounts]) -> Accounts {
    let mut all = Accounts::default();
    for column in Column::ALL.iter().copied() {
        let values = parts.iter().map(|p| p[column]);
        all[column] = match column.info().gather {
            Gather::Sum => values.sum(),
            Gather::Min => values.fold(f64::INFINITY, f64::min),
            Gather::Max => values.fold(0.0, f64::max),
            Gather::Mean | Gather::Derived => values.sum::<f64>() / parts.len() as f64,
        };
    }
    all[Column::SavingsFraction] = all[Column::Saved] / all[Column::BaselinePurchased];
    all[Column::EqualServiceFraction] = all[Column::EqualServiceSaved] / all[Column::BaselinePurchased];
    all[Column::SolarFraction] = 1.0 - all[Column::BackupHeat] / all[Column::Delivered];
    all
}

/// Sum of the sun on a square meter of collector, day by day.
pub(crate) fn daily_plane_kwh_m2() -> Vec<f64> {
    (1..=365).map(|d| (0..24).map(|h| sun_w_m2(d, h as f64 + 0.5) / 1000.0).sum()).collect()
}

fn trace(day: u32) -> DayTrace {
    let points = (1..=288).map(|i| {
        let minute = 5.0 * f64::from(i);
        let time = minute / 60.0;
        let plane_w_m2 = sun_w_m2(day as usize, time);
        let risen = 1.0 / (1.0 + (-(time - 12.5) * 1.1).exp());
        let tank_top_c = 50.0 + 16.0 * sky(day as usize) * risen - 6.0 * ((time - 18.0).max(0.0) / 6.0);
        TracePoint {
            minute,
            plane_w_m2,
            air_c: 12.0,
            pump_frac: if plane_w_m2 > 250.0 { 1.0 } else { 0.0 },
            collector_c: 8.0 + plane_w_m2 / 12.0,
            tank_top_c,
            tank_middle_c: tank_top_c - 9.0 + 4.0 * risen,
            tank_bottom_c: tank_top_c - 26.0 + 16.0 * sky(day as usize) * risen,
            tank_mean_c: tank_top_c - 8.0,
            second_top_c: f64::NAN,
            tank_sensor_c: tank_top_c - 20.0,
            heat_into_tank_w: 2.0 * plane_w_m2,
            tap_l_min: 0.0,
            backup_w: 0.0,
        }
    });
    DayTrace { day, points: points.collect(), inside: Vec::new() }
}

/// A whole year, with hours, and with traces of the named days.
pub(crate) fn year(traced: &[u32]) -> YearResult {
    let hourly: Vec<Accounts> = (1..=365).flat_map(|d| (0..24).map(move |h| hour(d, h))).collect();
    let mut first = 0;
    let monthly: Vec<Accounts> = DAYS
        .iter()
        .map(|days| {
            let month = gather(&hourly[first..first + 24 * days]);
            first += 24 * days;
            month
        })
        .collect();
    let mut annual = gather(&monthly);
    // What the balance of the year leaves over goes into store, so that the invented numbers add up.
    annual[Column::StoredChange] = annual[Column::HeatIntoTank] + annual[Column::BackupHeat]
        - annual[Column::TankLoss]
        - annual[Column::Delivered];
    let traces = traced.iter().map(|d| trace(*d)).collect();
    YearResult { annual, monthly, hourly, traces, outages: Vec::new(), money: None, morning: None }
}
