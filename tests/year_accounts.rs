//! Accounts of a year: hours make months, months make the year, and savings follow from them.

use approx::assert_relative_eq;
use suncask::job::{Baseline, Job};
use suncask::record::{Column, Gather, YearResult};
use suncask::weather::WeatherYear;
use suncask::year::{RunOptions, Setting, run};
use thermal_network::spec::{ElementSpec, SensorSpec, SourceSpec, Surroundings, TankSpec};

use crate::reference::{case, case_of, weather};

const DAYS: [usize; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

fn job() -> (Job, WeatherYear) {
    let job = case::job(&case_of("A1-one-tank-wrap")).expect("job");
    (job, suncask::weather::read(&weather()).expect("weather"))
}

fn year(job: &Job, weather: &WeatherYear, hourly: bool) -> YearResult {
    let options = RunOptions { hourly, ..RunOptions::default() };
    run(job, &Setting::new(job, weather), &options).expect("a year")
}

/// Sums and means agree to the rounding of 8,760 terms added in another order; of sums that cancel, to that of their terms.
const ROUNDING: f64 = 1e-9;

#[test]
fn hours_make_months_and_months_make_the_year() {
    let (job, weather) = job();
    let result = year(&job, &weather, true);
    assert_eq!((result.hourly.len(), result.monthly.len()), (8760, 12));
    // A misfit is closed once a day or once an hour: as many roundings as closings.
    for &column in Column::ALL.iter().filter(|column| **column != Column::BalanceResidual) {
        let key = column.info().key;
        let months: Vec<f64> = result.monthly.iter().map(|month| month[column]).collect();
        let mut first = 0;
        for (month, days) in DAYS.iter().enumerate() {
            let hours: Vec<f64> =
                result.hourly[first..first + days * 24].iter().map(|hour| hour[column]).collect();
            first += days * 24;
            let scale = hours.iter().fold(1.0, |sum: f64, hour| sum + hour.abs());
            let expected = match column.info().gather {
                Gather::Sum => hours.iter().sum(),
                Gather::Mean => hours.iter().sum::<f64>() / hours.len() as f64,
                Gather::Min => hours.iter().copied().fold(f64::INFINITY, f64::min),
                Gather::Max => hours.iter().copied().fold(f64::NEG_INFINITY, f64::max),
                Gather::Derived => continue,
            };
            assert!(
                (months[month] - expected).abs() <= ROUNDING * scale,
                "{key}: {} {expected}",
                months[month]
            );
        }
        let annual = result.annual[column];
        match column.info().gather {
            Gather::Sum => assert_relative_eq!(annual, months.iter().sum::<f64>(), max_relative = ROUNDING),
            Gather::Min => assert_eq!(annual, months.iter().copied().fold(f64::INFINITY, f64::min), "{key}"),
            Gather::Max => {
                assert_eq!(annual, months.iter().copied().fold(f64::NEG_INFINITY, f64::max), "{key}")
            }
            Gather::Mean => {
                let sum: f64 = months.iter().zip(DAYS).map(|(month, days)| month * days as f64).sum();
                assert_relative_eq!(annual, sum / 365.0, max_relative = ROUNDING);
            }
            Gather::Derived => {}
        }
    }
    for accounts in result.monthly.iter().chain([&result.annual]) {
        let saved_frac = accounts[Column::Saved] / accounts[Column::BaselinePurchased];
        assert_relative_eq!(accounts[Column::SavingsFraction], saved_frac, max_relative = ROUNDING);
        let equal_frac = accounts[Column::EqualServiceSaved] / accounts[Column::BaselinePurchased];
        assert_relative_eq!(accounts[Column::EqualServiceFraction], equal_frac, max_relative = ROUNDING);
        let solar_frac = 1.0 - accounts[Column::BackupHeat] / accounts[Column::Delivered];
        assert_relative_eq!(accounts[Column::SolarFraction], solar_frac, max_relative = ROUNDING);
        let parts = accounts[Column::SunBeam] + accounts[Column::SunSky] + accounts[Column::SunGround];
        assert_relative_eq!(accounts[Column::Sun], parts, max_relative = ROUNDING);
        // What is wanted comes or is missing; the valve foresees the outlet's cooling to some parts in ten thousand.
        let supplied = accounts[Column::Delivered] + accounts[Column::Shortfall];
        assert_relative_eq!(accounts[Column::Load], supplied, max_relative = 1e-3);
    }
}

#[test]
fn what_came_in_went_out_or_is_still_there() {
    let (job, weather) = job();
    let year = year(&job, &weather, false).annual;
    let into = year[Column::Absorbed] + year[Column::BackupHeat];
    let out = year[Column::CollectorLoss]
        + year[Column::SupplyLoss]
        + year[Column::ReturnLoss]
        + year[Column::TankLoss]
        + year[Column::Delivered];
    assert_relative_eq!(into, out + year[Column::StoredChange], max_relative = ROUNDING);
}

/// A heater of one slice with the standby of the reference cases' baseline.
fn heater(ua_w_k: f64, set_c: f64) -> TankSpec {
    TankSpec {
        volume_m3: 0.19,
        height_m: 1.2,
        slices: 20,
        water_kg_m3: 990.0,
        water_j_kg_k: 4186.0,
        side_w_m2_k: 0.0,
        top_w_m2_k: 0.0,
        bottom_w_m2_k: 0.0,
        fittings_even_w_k: ua_w_k,
        fittings: Vec::new(),
        conduction_w_m_k: 0.9,
        surroundings: Surroundings::TankRoom,
        cold_inlet_frac: 0.0,
        hot_outlet_frac: 1.0,
        elements: vec![ElementSpec {
            source: SourceSpec::Electric,
            power_w: 4500.0,
            height_frac: 0.0,
            thermostat_frac: 0.1,
            set_c,
            band_k: 2.0,
            sensor: SensorSpec::default(),
        }],
        interlock: false,
    }
}

/// A stepped heater buys a little less than one held at its set point: its water swings below it and its bottom is cold
/// after a draw. It can only be the standby that is less, a tenth of the whole.
#[test]
fn a_simulated_heater_buys_about_what_a_held_one_does() {
    let (mut job, weather) = job();
    let Baseline::HeldAtSetPoint { ua_w_k, set_c, efficiency_frac } = job.baseline else {
        panic!("the case holds its heater");
    };
    let held = year(&job, &weather, false);
    job.baseline =
        Baseline::Simulated { tank: Box::new(heater(ua_w_k, set_c)), flow_heater: None, efficiency_frac };
    let simulated = year(&job, &weather, false);
    let [held_kwh, simulated_kwh] = [&held, &simulated].map(|year| year.annual[Column::BaselinePurchased]);
    let standby_kwh = held_kwh - held.annual[Column::Load] / efficiency_frac;
    assert!(
        simulated_kwh < held_kwh && simulated_kwh > held_kwh - 0.5 * standby_kwh,
        "{simulated_kwh} {held_kwh}, standby {standby_kwh} kWh"
    );
    for (a, b) in held.monthly.iter().zip(&simulated.monthly) {
        // The plant itself does not notice.
        assert_eq!(a[Column::BackupPurchased].to_bits(), b[Column::BackupPurchased].to_bits());
        let own = b[Column::BackupPurchased] + b[Column::Pump] + b[Column::Control];
        assert_relative_eq!(b[Column::Saved], b[Column::BaselinePurchased] - own, max_relative = ROUNDING);
        assert!(b[Column::EqualServiceSaved] <= b[Column::Saved] + 1.0);
    }
}
