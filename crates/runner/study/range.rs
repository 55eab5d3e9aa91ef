//! The saving as low, likely and high: what nobody knows beforehand is let vary, each within a stated range.
//!
//! Each driver is first moved alone to its 10th and 90th percentile, which ranks the drivers; then all move together in a Latin
//! hypercube (McKay, Beckman and Conover 1979, Technometrics 21, 239-245), whose 10th, 50th and 90th percentile are the answer.

use serde::Serialize;

use super::bills::{Fit, fit};
use super::{Candidate, Journal, Row, Watch, run};
use crate::chance::{Chance, Purpose};
use crate::job::Job;
use crate::job::quantity::rounded;
use crate::problem::Problem;
use crate::record::Column;
use crate::year::Shared;

/// The percentiles told, as shares.
const TOLD: [f64; 3] = [0.1, 0.5, 0.9];

/// Normal deviate of the 90th percentile (standard tables).
const Z90: f64 = 1.281_552;

/// How far each driver reaches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// Daily use over the job's at the 10th, 50th and 90th percentile; log-normal on either side of the middle.
    pub daily_use: [f64; 3],
    /// Conductivity of the pipes' insulation as built over the job's, any value between alike likely on a log scale.
    pub insulation: [f64; 2],
    /// Seat loss of the tank sensor, evenly spread.
    pub seat_loss_frac: [f64; 2],
    /// Share of the collectors' peak efficiency lost to dust, evenly spread.
    pub soiling_frac: [f64; 2],
    /// How often a year is as poor in sun as the job's poor year.
    pub poor_year_frac: f64,
    /// Years run with all drivers let vary together.
    pub years: usize,
}

/// Use at the outer percentiles over the middle one where bills say what the house uses: habits still change from year to year.
const WITH_BILLS: [f64; 2] = [0.85, 1.15];

impl Reach {
    /// The same with the use that the bills tell, which narrows it.
    #[must_use]
    pub fn with_bills(self, fit: &Fit) -> Self {
        let factor = fit.factor;
        Self { daily_use: [WITH_BILLS[0] * factor, factor, WITH_BILLS[1] * factor], ..self }
    }
}

impl Default for Reach {
    /// Common practice; measured daily use is skewed and varies by more than anything else.
    fn default() -> Self {
        Self {
            daily_use: [0.65, 1.0, 1.4],
            insulation: [0.9, 2.0],
            seat_loss_frac: [0.0, 0.3],
            soiling_frac: [0.0, 0.05],
            poor_year_frac: 0.15,
            years: 40,
        }
    }
}

/// What is let vary.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Driver {
    /// How much hot water the house draws.
    DailyUse,
    /// How well the pipes' insulation is fitted.
    PipeInsulation,
    /// How well the tank sensor sits.
    SensorSeat,
    /// Dust on the glass.
    Soiling,
    /// Typical or poor in sun.
    Weather,
}

impl Driver {
    /// What a person calls it.
    pub fn label(self) -> &'static str {
        match self {
            Self::DailyUse => "hot-water use",
            Self::PipeInsulation => "pipe insulation as built",
            Self::SensorSeat => "seat of the tank sensor",
            Self::Soiling => "dust on the collectors",
            Self::Weather => "a year poor in sun",
        }
    }

    /// Its range in words.
    pub fn range(self, reach: &Reach, from_bills: bool) -> String {
        let percent = |share: f64| rounded((100.0 * share).round());
        let span = |[low, high]: [f64; 2]| format!("{} to {} %", percent(low), percent(high));
        match self {
            Self::DailyUse => {
                let why = match from_bills {
                    true => "as the bills tell; habits still change (common practice)",
                    false => "measured use is skewed, and bills narrow it (common practice)",
                };
                format!("{} of what the job says: {why}", span([reach.daily_use[0], reach.daily_use[2]]))
            }
            Self::PipeInsulation => {
                format!(
                    "conducts {} of what the job says: gaps, bare fittings, wet foam (common practice)",
                    span(reach.insulation)
                )
            }
            Self::SensorSeat => {
                format!(
                    "{} of the difference to the room is misread (0 well seated, 30 strapped on badly; common practice)",
                    span(reach.seat_loss_frac)
                )
            }
            Self::Soiling => format!("{} of the light lost (common practice)", span(reach.soiling_frac)),
            Self::Weather => {
                format!("the job's poor year, in {} % of the years (assumed)", percent(reach.poor_year_frac))
            }
        }
    }

    /// True if the driver has something to act on.
    fn acts_on(self, job: &Job, poor_year: bool) -> bool {
        let Some(solar) = &job.plant.solar_loop else { return self == Self::DailyUse };
        match self {
            Self::DailyUse => job.water_use.pattern.daily_m3() > 0.0,
            Self::PipeInsulation => solar.supply.iter().chain(&solar.ret).any(|run| run.insulation_m > 0.0),
            // A job that says how its sensor sits knows it.
            Self::SensorSeat => job.control_w > 0.0 && solar.controller.tank_sensor.seat_loss_frac == 0.0,
            Self::Soiling => true,
            Self::Weather => poor_year,
        }
    }

    /// The job with the driver at a percentile, and true if its weather is the poor year's.
    fn set(self, job: &mut Job, share: f64, reach: &Reach) -> bool {
        match self {
            Self::DailyUse => {
                let z = normal_deviate(share) / Z90;
                let [low, likely, high] = reach.daily_use;
                let side = if z < 0.0 { low } else { high };
                let factor = likely * libm::pow(side / likely, z.abs());
                job.water_use.month_factor = job.water_use.month_factor.map(|month| month * factor);
            }
            Self::PipeInsulation => {
                let [low, high] = reach.insulation;
                let factor = low * libm::pow(high / low, share);
                if let Some(solar) = &mut job.plant.solar_loop {
                    for run in solar.supply.iter_mut().chain(&mut solar.ret) {
                        run.insulation_w_m_k *= factor;
                    }
                }
            }
            Self::SensorSeat => {
                if let Some(solar) = &mut job.plant.solar_loop {
                    solar.controller.tank_sensor.seat_loss_frac = between(reach.seat_loss_frac, share);
                }
            }
            Self::Soiling => {
                let clean = 1.0 - between(reach.soiling_frac, share);
                if let Some(solar) = &mut job.plant.solar_loop {
                    solar.collector.eta0b *= clean;
                    if let Some(second) = &mut solar.second_field {
                        second.collector.eta0b *= clean;
                    }
                }
            }
            Self::Weather => return share > 1.0 - reach.poor_year_frac,
        }
        false
    }
}

const DRIVERS: [Driver; 5] =
    [Driver::DailyUse, Driver::PipeInsulation, Driver::SensorSeat, Driver::Soiling, Driver::Weather];

/// A driver moved alone.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Moved {
    /// Which.
    pub driver: Driver,
    /// What a person calls it.
    pub label: &'static str,
    /// Its range in words, with its source.
    pub range: String,
    /// Saving at equal service in kWh with the driver at its 10th percentile, all else as in the job; of weather, the typical year.
    pub at_low_kwh: f64,
    /// The same at its 90th percentile; of weather, the poor year.
    pub at_high_kwh: f64,
    /// Square of the difference over the sum of these squares: its part of the spread.
    pub share_frac: f64,
}

/// Low, likely and high: in eight years of ten the value lies between the outer two.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LowLikelyHigh {
    /// 10th percentile.
    pub low: f64,
    /// 50th percentile.
    pub likely: f64,
    /// 90th percentile.
    pub high: f64,
}

impl LowLikelyHigh {
    fn of(mut values: Vec<f64>) -> Self {
        values.sort_by(f64::total_cmp);
        // Straight lines between the values in order, the first at 0 and the last at 1.
        let at = |share: f64| {
            let place = share * (values.len() - 1) as f64;
            let below = (place as usize).min(values.len().saturating_sub(2));
            values[below]
                + (place - below as f64) * (values[(below + 1).min(values.len() - 1)] - values[below])
        };
        let [low, likely, high] = TOLD.map(at);
        Self { low, likely, high }
    }
}

/// The saving as a range.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Range {
    /// Years run together.
    pub years: usize,
    /// Seed of the chance.
    pub seed: u64,
    /// Saving at equal service in kWh of the job as it is given.
    pub as_given_kwh: f64,
    /// Saving at equal service in kWh.
    pub saved_kwh: LowLikelyHigh,
    /// First year's saving in money, where the job has prices.
    pub saved_money: Option<LowLikelyHigh>,
    /// What the bills say of the hot-water use, where the job holds them and they fit.
    pub bills: Option<Fit>,
    /// The drivers, the strongest first.
    pub drivers: Vec<Moved>,
    /// What the range does not cover.
    pub not_covered: Vec<String>,
}

/// Works out the range of a job in its weather, and in a year poor in sun where there is one.
///
/// # Errors
/// As [`super::run`].
pub fn range(
    job: &Job,
    typical: &Shared<'_>,
    poor: Option<&Shared<'_>>,
    reach: &Reach,
    seed: u64,
) -> Result<Range, Vec<Problem>> {
    let fitted = match &job.bills {
        Some(bills) => fit(job, bills, typical)?,
        None => None,
    };
    let reach = &fitted.as_ref().map_or(*reach, |fitted| reach.with_bills(fitted));
    let drivers: Vec<Driver> =
        DRIVERS.into_iter().filter(|driver| driver.acts_on(job, poor.is_some())).collect();
    let mut points: Vec<Vec<(Driver, f64)>> = vec![Vec::new()];
    for driver in &drivers {
        points.extend([TOLD[0], TOLD[2]].map(|share| vec![(*driver, share)]));
    }
    points.extend(hypercube(&drivers, reach.years, seed));
    let rows = run_points(job, typical, poor, reach, &points)?;
    let saved = |row: &Row| row.annual[Column::EqualServiceSaved];
    let alone = 1 + 2 * drivers.len();
    let together = &rows[alone..];
    let money: Option<Vec<f64>> = together.iter().map(|row| row.money("saved")).collect();
    let spread = |place: usize| saved(&rows[2 * place + 2]) - saved(&rows[2 * place + 1]);
    let squares: f64 = (0..drivers.len()).map(|place| spread(place) * spread(place)).sum();
    let moved = drivers.iter().enumerate().map(|(place, driver)| Moved {
        driver: *driver,
        label: driver.label(),
        range: driver.range(reach, fitted.is_some()),
        at_low_kwh: saved(&rows[2 * place + 1]),
        at_high_kwh: saved(&rows[2 * place + 2]),
        share_frac: if squares > 0.0 { spread(place) * spread(place) / squares } else { 0.0 },
    });
    let mut moved: Vec<Moved> = moved.collect();
    moved.sort_by(|a, b| b.share_frac.total_cmp(&a.share_frac));
    Ok(Range {
        years: reach.years,
        seed,
        as_given_kwh: saved(&rows[0]),
        saved_kwh: LowLikelyHigh::of(together.iter().map(saved).collect()),
        saved_money: money.map(LowLikelyHigh::of),
        bills: fitted,
        drivers: moved,
        not_covered: not_covered(job, &drivers, fitted.is_some()),
    })
}

fn not_covered(job: &Job, drivers: &[Driver], fits: bool) -> Vec<String> {
    let mut list = Vec::new();
    if job.bills.is_some() && !fits {
        list.push("the bills: no use between a tenth and five times the job's fits them".to_owned());
    }
    if !drivers.contains(&Driver::Weather) {
        list.push(
            "years poorer in sun than the typical one: write poor = \"file.csv\" in [weather]".to_owned(),
        );
    }
    list.extend(
        [
            "prices other than the job's, and how they grow",
            "shade that the job does not say, faults, leaks and repairs",
            "hours at which water is drawn other than the job's, and other habits of the house",
            "what the model leaves out",
        ]
        .map(str::to_owned),
    );
    list
}

/// The points of the hypercube: each driver has one value in each of as many equal strata as there are years, in an order of its own.
fn hypercube(drivers: &[Driver], years: usize, seed: u64) -> Vec<Vec<(Driver, f64)>> {
    let mut points = vec![Vec::new(); years];
    let mut chance = Chance::new(seed, Purpose::Range);
    // Every driver takes its turn, so that the others keep their values where one has nothing to act on.
    for driver in DRIVERS {
        let mut strata: Vec<usize> = (0..years).collect();
        for last in (1..years).rev() {
            strata.swap(last, (chance.uniform() * (last + 1) as f64) as usize);
        }
        for (point, stratum) in points.iter_mut().zip(strata) {
            let share = (stratum as f64 + chance.uniform()) / years as f64;
            if drivers.contains(&driver) {
                point.push((driver, share));
            }
        }
    }
    points
}

/// The rows of all points, in their order.
fn run_points(
    job: &Job,
    typical: &Shared<'_>,
    poor: Option<&Shared<'_>>,
    reach: &Reach,
    points: &[Vec<(Driver, f64)>],
) -> Result<Vec<Row>, Vec<Problem>> {
    let mut groups: [(Vec<usize>, Vec<Candidate>); 2] = Default::default();
    for (place, point) in points.iter().enumerate() {
        let mut job = job.clone();
        let mut is_poor = false;
        for (driver, share) in point {
            is_poor |= driver.set(&mut job, *share, reach);
        }
        let (places, candidates) = &mut groups[usize::from(is_poor)];
        places.push(place);
        candidates.push(Candidate { name: format!("range {place}"), settings: Vec::new(), job });
    }
    let mut rows: Vec<Option<Row>> = vec![None; points.len()];
    for ((places, candidates), shared) in groups.iter().zip([typical, poor.unwrap_or(typical)]) {
        let watch: &dyn Watch = &();
        let done = run(candidates, shared, &Journal::none(), watch)?;
        for (place, row) in places.iter().zip(done.rows) {
            rows[*place] = row;
        }
    }
    // Nobody stops them.
    Ok(rows.into_iter().flatten().collect())
}

fn between([low, high]: [f64; 2], share: f64) -> f64 {
    low + share * (high - low)
}

/// Normal deviate of a share, cut off at 1 and 99 %: Hastings 1955 by way of Abramowitz and Stegun 1964, formula 26.2.23, whose
/// error is below 4.5e-4.
fn normal_deviate(share: f64) -> f64 {
    let share = share.clamp(0.01, 0.99);
    let tail = share.min(1.0 - share);
    let t = libm::sqrt(-2.0 * libm::log(tail));
    let top = 2.515_517 + t * (0.802_853 + t * 0.010_328);
    let bottom = 1.0 + t * (1.432_788 + t * (0.189_269 + t * 0.001_308));
    let z = t - top / bottom;
    if share < 0.5 { -z } else { z }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn deviates_of_the_tables() {
        // Standard tables; the formula's own bound.
        for (share, z) in
            [(0.5, 0.0), (0.9, 1.281_552), (0.1, -1.281_552), (0.975, 1.959_964), (0.84134, 1.0)]
        {
            assert!((normal_deviate(share) - z).abs() < 4.5e-4, "{share}: {}", normal_deviate(share));
        }
    }

    #[test]
    fn every_stratum_is_met_once() {
        let points = hypercube(&DRIVERS, 40, 1);
        assert_eq!(points.len(), 40);
        for (i, driver) in DRIVERS.iter().enumerate() {
            let mut strata: Vec<usize> = points
                .iter()
                .map(|point| {
                    assert_eq!(point[i].0, *driver);
                    (point[i].1 * 40.0) as usize
                })
                .collect();
            strata.sort_unstable();
            assert_eq!(strata, (0..40).collect::<Vec<_>>());
        }
        assert_ne!(points, hypercube(&DRIVERS, 40, 2));
        // A driver that is left out does not move the others.
        let fewer = hypercube(&[Driver::Soiling], 40, 1);
        assert_eq!(fewer[7][0], points[7][3]);
    }

    #[test]
    fn percentiles_by_hand() {
        let found = LowLikelyHigh::of((0..=10).rev().map(f64::from).collect());
        assert_eq!(found, LowLikelyHigh { low: 1.0, likely: 5.0, high: 9.0 });
    }
}
