//! The nominal year of 365 days in seconds: from a date to a second of the year and back.

pub use solar_geometry::time::DAYS_IN_MONTH;

/// Days of the year before each month begins.
pub const DAYS_BEFORE_MONTH: [u32; 12] = [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334];

/// Names of the months.
pub const MONTH_NAMES: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// Seconds in a day.
pub const DAY_S: i64 = 86_400;

/// Seconds in the year of 365 days.
pub const YEAR_S: i64 = 365 * DAY_S;

/// A moment read from a file: month 1-12, day 1-31, and the time of day in s (24:00 is 86400).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Stamp {
    pub(super) month: u32,
    pub(super) day: u32,
    pub(super) time_s: i64,
}

impl Stamp {
    /// A stamp, if such a day exists (29 February does, so that it can be dropped knowingly).
    pub(super) fn new(month: u32, day: u32, time_s: i64) -> Option<Self> {
        let last = match month {
            2 => 29,
            1..=12 => DAYS_IN_MONTH[month as usize - 1],
            _ => return None,
        };
        ((1..=last).contains(&day) && (0..=DAY_S).contains(&time_s)).then_some(Self { month, day, time_s })
    }

    /// True on the leap day.
    pub(super) fn is_leap_day(self) -> bool {
        self.month == 2 && self.day == 29
    }

    /// Seconds since 1 January 00:00 of a year without leap day.
    pub(super) fn second_of_year(self) -> i64 {
        i64::from(DAYS_BEFORE_MONTH[self.month as usize - 1] + self.day - 1) * DAY_S + self.time_s
    }
}

/// Month (0 = January) in which a second of the year lies; seconds outside the year wrap.
pub fn month_of_second(second: i64) -> usize {
    let day = second.rem_euclid(YEAR_S) / DAY_S;
    DAYS_BEFORE_MONTH.iter().rposition(|&first| i64::from(first) <= day).unwrap_or(0)
}

/// A second of the year in words, "3 March 02:00"; seconds outside the year wrap.
pub fn in_words(second: i64) -> String {
    let second = second.rem_euclid(YEAR_S);
    let month = month_of_second(second);
    let day = second / DAY_S - i64::from(DAYS_BEFORE_MONTH[month]) + 1;
    let minute = second % DAY_S / 60;
    format!("{day} {} {:02}:{:02}", MONTH_NAMES[month], minute / 60, minute % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn joints_of_the_months_fall_on_the_right_side() {
        assert_eq!(month_of_second(0), 0);
        assert_eq!(month_of_second(31 * DAY_S - 1), 0);
        assert_eq!(month_of_second(31 * DAY_S), 1);
        assert_eq!(month_of_second(-1), 11);
        assert_eq!(month_of_second(YEAR_S), 0);
    }

    #[test]
    fn a_stamp_of_24_00_is_the_start_of_the_next_day() {
        let end = Stamp::new(2, 28, DAY_S).unwrap().second_of_year();
        assert_eq!(end, Stamp::new(3, 1, 0).unwrap().second_of_year());
        assert_eq!(in_words(end), "1 March 00:00");
        assert_eq!(Stamp::new(4, 31, 0), None);
        assert_eq!(Stamp::new(13, 1, 0), None);
    }
}
