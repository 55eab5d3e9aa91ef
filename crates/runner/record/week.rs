//! Seven days in a row that a customer asks about: the dullest of the year, and those in which the tank runs hottest.

use super::{Accounts, Column};

/// Hours of a day.
const DAY: usize = 24;

/// Which seven days.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WeekKind {
    /// The least sun on the collectors.
    Dullest,
    /// The highest tank temperatures.
    Hottest,
}

impl WeekKind {
    /// Both, in the order of files and pages.
    pub const ALL: [Self; 2] = [Self::Dullest, Self::Hottest];

    /// Key in files.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Dullest => "dullest",
            Self::Hottest => "hottest",
        }
    }

    /// Short label.
    pub const fn label(self) -> &'static str {
        match self {
            Self::Dullest => "Dullest week",
            Self::Hottest => "Hottest week",
        }
    }

    /// Which days of the year they are.
    pub const fn definition(self) -> &'static str {
        match self {
            Self::Dullest => "The seven days in a row with the least sun on the collectors.",
            Self::Hottest => {
                "The seven days in a row whose highest temperatures of the first tank, day by day, have the highest mean."
            }
        }
    }
}

/// Accounts of seven days in a row.
#[derive(Clone, Debug, PartialEq)]
pub struct Week {
    /// Which they are.
    pub kind: WeekKind,
    /// First day, 1 = 1 January; at most 359.
    pub first_day: u32,
    /// The seven days.
    pub accounts: Accounts,
}

impl Week {
    /// Length in days.
    pub const DAYS: u32 = 7;

    /// First day, 1 = 1 January, of the seven in a row with the largest sum, of equals the first; none of fewer days.
    pub fn of_most(daily: &[f64]) -> Option<u32> {
        let sums = daily.windows(Self::DAYS as usize).map(|days| days.iter().sum::<f64>());
        let (first, _) = (1..).zip(sums).reduce(|best, next| if next.1 > best.1 { next } else { best })?;
        Some(first)
    }

    /// Both weeks from the hours of a year, in the order of [`WeekKind::ALL`]; none without hours.
    pub fn of_hours(hourly: &[Accounts]) -> Vec<Self> {
        let days: Vec<&[Accounts]> = hourly.chunks_exact(DAY).collect();
        let week = |kind: WeekKind| {
            // Both are the largest of something.
            let worth = |day: &&[Accounts]| match kind {
                WeekKind::Dullest => -day.iter().map(|hour| hour[Column::Sun]).sum::<f64>(),
                WeekKind::Hottest => {
                    day.iter().map(|hour| hour[Column::HottestTank]).fold(f64::NEG_INFINITY, f64::max)
                }
            };
            let daily: Vec<f64> = days.iter().map(worth).collect();
            let first_day = Self::of_most(&daily)?;
            let first = first_day as usize - 1;
            let hours = &hourly[first * DAY..(first + Self::DAYS as usize) * DAY];
            Some(Self {
                kind,
                first_day,
                accounts: Accounts::gather(hours, &[1.0; Self::DAYS as usize * DAY]),
            })
        };
        WeekKind::ALL.into_iter().filter_map(week).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A year of 1 kWh of sun an hour and a tank at 50 degC.
    fn even() -> Vec<Accounts> {
        let mut hour = Accounts::default();
        hour[Column::Sun] = 1.0;
        hour[Column::HottestTank] = 50.0;
        hour[Column::Air] = 10.0;
        hour[Column::Delivered] = 1.0;
        hour[Column::BackupHeat] = 0.25;
        vec![hour; 365 * DAY]
    }

    #[test]
    fn the_week_with_the_least_sun_and_the_one_with_the_hottest_tank() {
        let mut year = even();
        // Days 11 to 17 (counted from 1) without sun but for one hour; day 200 hot for an hour, 203 less so.
        for hour in &mut year[10 * DAY..17 * DAY] {
            hour[Column::Sun] = 0.0;
        }
        year[12 * DAY][Column::Sun] = 3.0;
        year[199 * DAY + 15][Column::HottestTank] = 80.0;
        year[202 * DAY + 15][Column::HottestTank] = 70.0;
        year[199 * DAY][Column::Air] = 178.0;
        let [dull, hot] = Week::of_hours(&year).try_into().expect("two weeks");
        assert_eq!((dull.kind, dull.first_day, dull.accounts[Column::Sun]), (WeekKind::Dullest, 11, 3.0));
        // The first week with both hot days begins on day 197.
        assert_eq!((hot.kind, hot.first_day), (WeekKind::Hottest, 197));
        assert_eq!(hot.accounts[Column::HottestTank], 80.0);
        // 167 hours of 10 and one of 178 have the mean 11.
        assert_eq!(hot.accounts[Column::Air], 11.0);
        // 168 kWh delivered, 42 of them by the backup.
        assert_eq!(hot.accounts[Column::SolarFraction], 0.75);
    }

    #[test]
    fn of_equals_the_first_and_of_no_hours_none() {
        assert!(Week::of_hours(&even()).iter().all(|week| week.first_day == 1));
        assert!(Week::of_hours(&[]).is_empty());
    }
}
