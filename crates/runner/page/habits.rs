//! What can be chosen at the table besides the job's own: days of use, weeks away, hours of a timer. All of it is invented, to
//! see what a habit is worth.

/// A day's use of hot water by the hour of the clock, in percent from midnight on.
pub(super) struct Habit {
    pub name: &'static str,
    pub label: &'static str,
    pub percent: [u8; 24],
}

pub(super) const HABITS: [Habit; 3] = [
    Habit {
        name: "mornings",
        label: "mostly in the morning",
        percent: [0, 0, 0, 0, 0, 4, 18, 22, 14, 6, 3, 3, 3, 2, 2, 2, 2, 4, 5, 4, 3, 2, 1, 0],
    },
    Habit {
        name: "daytime",
        label: "mostly by day",
        percent: [0, 0, 0, 0, 0, 1, 3, 5, 8, 9, 9, 9, 9, 9, 8, 8, 7, 6, 4, 2, 1, 1, 1, 0],
    },
    Habit {
        name: "evenings",
        label: "mostly in the evening",
        percent: [0, 0, 0, 0, 0, 1, 3, 4, 4, 3, 2, 2, 3, 2, 2, 2, 3, 6, 12, 16, 16, 11, 6, 2],
    },
];

/// Weeks without anybody.
pub(super) const AWAY: [&str; 3] = ["Jul 10 - Jul 23", "Jul 1 - Jul 31", "Dec 20 - Jan 3"];

/// The word for no such weeks.
pub(super) const NOBODY_AWAY: &str = "nobody";

/// Hours of a timer.
pub(super) const TIMERS: [&str; 8] = [
    "always",
    "1 am - 5 am",
    "5 am - 8 am",
    "11 am - 3 pm",
    "3 pm - 7 pm",
    "7 pm - 11 pm",
    "5 am - 8 am, 5 pm - 9 pm",
    "never",
];

#[cfg(test)]
mod tests {
    #[test]
    fn a_day_is_a_hundred_percent() {
        for habit in &super::HABITS {
            assert_eq!(habit.percent.iter().map(|&part| u32::from(part)).sum::<u32>(), 100, "{}", habit.name);
        }
    }
}
