//! What electricity costs by the hour or by the month. Fixed fees stand apart: no saving touches them.
//!
//! Energy saved is worth what the bill is lower: the price of the hour, of the tier at the margin, or of what the house
//! would have fed in. A bill may hold the rest of the house, where the tariff asks for it.

use crate::draws::clock::{DAYS_PER_YEAR, clock_at, weekday_of};
use crate::job::{Calendar, DaySpan};
use crate::weather::HOURS_PER_YEAR;
use crate::weather::calendar::DAYS_IN_MONTH;

/// Price of electricity. Prices are per kWh; hours are those of local standard time from 1 January.
#[derive(Clone, Debug, PartialEq)]
pub enum Tariff {
    /// The same at any hour.
    Flat(f64),
    /// By blocks of a month's use.
    Tiered(Tiers),
    /// 8,760 prices, as [`time_of_use`] lays them out.
    TimeOfUse(Vec<f64>),
    /// For a house with its own generation.
    Hourly(Hourly),
}

/// Blocks of a month's use, each with its price.
#[derive(Clone, Debug, PartialEq)]
pub struct Tiers {
    /// Upper end of each block in kWh a month, rising, and the price of a kWh in it.
    pub blocks: Vec<(f64, f64)>,
    /// Price above the last.
    pub above: f64,
    /// What the rest of the house uses in a month, in kWh.
    pub other_kwh: f64,
}

impl Tiers {
    /// A month's cost of `kwh`.
    pub fn cost(&self, kwh: f64) -> f64 {
        let (mut cost, mut below) = (0.0, 0.0);
        for &(end, price) in &self.blocks {
            cost += (kwh.min(end) - below).max(0.0) * price;
            below = end;
        }
        cost + (kwh - below).max(0.0) * self.above
    }
}

/// Prices by the hour in both directions, each 8,760 long.
#[derive(Clone, Debug, PartialEq)]
pub struct Hourly {
    /// What a kWh from the grid costs.
    pub import: Vec<f64>,
    /// What a kWh into the grid earns.
    pub export: Vec<f64>,
    /// What the rest of the house takes from the grid in kWh, negative while it feeds in.
    pub house_kwh: Vec<f64>,
}

impl Hourly {
    fn cost(&self, hour: usize, bought_kwh: f64) -> f64 {
        let net_kwh = self.house_kwh[hour] + bought_kwh;
        net_kwh * if net_kwh > 0.0 { self.import[hour] } else { self.export[hour] }
    }
}

/// The hours of each month, January to December.
pub(crate) fn months() -> impl Iterator<Item = std::ops::Range<usize>> {
    let mut end = 0;
    DAYS_IN_MONTH.into_iter().map(move |days| {
        let start = end;
        end += days as usize * 24;
        start..end
    })
}

impl Tariff {
    /// Twelve months' cost of energy for 8,760 hours of bought electricity, with what else the tariff says the house uses.
    pub fn bills(&self, bought_kwh: &[f64]) -> [f64; 12] {
        let mut bills = [0.0; 12];
        for (bill, hours) in bills.iter_mut().zip(months()) {
            let month_kwh = || bought_kwh[hours.clone()].iter().sum::<f64>();
            *bill = match self {
                Self::Flat(price) => month_kwh() * price,
                Self::Tiered(tiers) => tiers.cost(tiers.other_kwh + month_kwh()),
                Self::TimeOfUse(prices) => {
                    hours.clone().map(|hour| bought_kwh[hour] * prices[hour]).sum::<f64>()
                }
                Self::Hourly(prices) => {
                    hours.clone().map(|hour| prices.cost(hour, bought_kwh[hour])).sum::<f64>()
                }
            };
        }
        bills
    }

    /// What each kWh saved in an hour is worth, 8,760 values: times the energy saved they add up to the difference of the
    /// bills. Where nothing is saved, what the next kWh would cost. Tiers do not tell the hours of a month apart.
    pub fn prices_of_saved(&self, without_kwh: &[f64], with_kwh: &[f64]) -> Vec<f64> {
        // Mean slope of a cost between two uses.
        let between = |cost: &dyn Fn(f64) -> f64, without: f64, with: f64| {
            // Smaller differences are rounding.
            let with = if (without - with).abs() < 1e-6 { without + 1e-3 } else { with };
            (cost(without) - cost(with)) / (without - with)
        };
        match self {
            Self::Flat(price) => vec![*price; HOURS_PER_YEAR],
            Self::TimeOfUse(prices) => prices.clone(),
            Self::Hourly(prices) => (0..HOURS_PER_YEAR)
                .map(|hour| between(&|kwh| prices.cost(hour, kwh), without_kwh[hour], with_kwh[hour]))
                .collect(),
            Self::Tiered(tiers) => {
                let month = |hours: std::ops::Range<usize>| {
                    let used = |kwh: &[f64]| tiers.other_kwh + kwh[hours.clone()].iter().sum::<f64>();
                    let price = between(&|kwh| tiers.cost(kwh), used(without_kwh), used(with_kwh));
                    std::iter::repeat_n(price, hours.len())
                };
                months().flat_map(month).collect()
            }
        }
    }
}

/// Hours of the clock, weekdays and dates with a price of their own. Each hour belongs to its own date: a period from 9 pm
/// to 7 am on weekdays holds the hours after midnight of Monday to Friday, not those of Saturday.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Period {
    /// Price of a kWh.
    pub price: f64,
    /// Spans of whole hours, end excluded, over midnight if `start > end`; none: the whole day.
    pub hours: Vec<(u32, u32)>,
    /// Weekdays, Monday first; all false means all.
    pub weekdays: [bool; 7],
    /// Days of the year; none: all.
    pub days: Vec<DaySpan>,
}

impl Period {
    fn holds(&self, day: u32, hour: u32, calendar: &Calendar) -> bool {
        let within = |&(from, to): &(u32, u32)| {
            if from < to { (from..to).contains(&hour) } else { hour >= from || hour < to }
        };
        (self.hours.is_empty() || self.hours.iter().any(within))
            && (self.weekdays == [false; 7] || self.weekdays[weekday_of(day, calendar)])
            && (self.days.is_empty() || self.days.iter().any(|span| span.contains(day)))
    }
}

/// Why periods do not make a year: the first hour, by the clock, at which they fail.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unsettled {
    /// Positions of two periods that both hold; `None`: none does.
    pub both: Option<(usize, usize)>,
    /// Day, 1 to 365.
    pub day: u32,
    /// Hour, 0 to 23.
    pub hour: u32,
}

/// 8,760 prices in hours of standard time from periods on clock time; `otherwise` is the price of hours in no period.
///
/// # Errors
/// At the first hour in two periods, or in none without `otherwise`.
pub fn time_of_use(
    periods: &[Period],
    otherwise: Option<f64>,
    calendar: &Calendar,
) -> Result<Vec<f64>, Unsettled> {
    (0..DAYS_PER_YEAR * 24)
        .map(|hour| {
            let (day, clock_s) = clock_at(hour * 3600, calendar);
            let hour = clock_s / 3600;
            let mut holding = (0..periods.len()).filter(|&i| periods[i].holds(day, hour, calendar));
            match (holding.next(), holding.next()) {
                (Some(one), Some(other)) => Err(Unsettled { both: Some((one, other)), day, hour }),
                (Some(one), None) => Ok(periods[one].price),
                (None, _) => otherwise.ok_or(Unsettled { both: None, day, hour }),
            }
        })
        .collect()
}
