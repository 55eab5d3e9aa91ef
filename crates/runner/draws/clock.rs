//! Clock time, standard time and the days of the year.
//!
//! The year has 365 days and closes on itself: 31 December is followed by 1 January. On the days of the daylight-saving
//! span the clock is one hour ahead of standard time from its midnight to its midnight. In spring, then, the first day of
//! the span begins one standard hour before the day before it is over: what both days do in that hour happens at once. In
//! autumn the hour after the last day's end belongs to no day: nothing is drawn, and timers read its 23rd hour again. No
//! day gains or loses anything it does, so that the volume of every day is kept.

use solar_geometry::time::month_and_day;

use crate::job::Calendar;

/// Days of the year; there is no leap day.
pub const DAYS_PER_YEAR: u32 = 365;

/// Seconds of a day.
pub const DAY_S: u32 = 86_400;

/// Seconds of the year.
pub const YEAR_S: u32 = DAYS_PER_YEAR * DAY_S;

/// How far the clock is ahead of standard time in the daylight-saving span, in s.
pub const AHEAD_S: u32 = 3600;

/// Month, 0 to 11, of a day of the year, 1 to 365.
pub fn month_of(day: u32) -> usize {
    month_and_day(day).0 as usize - 1
}

/// Weekday, 0 for Monday to 6, of a day of the year, 1 to 365.
pub fn weekday_of(day: u32, calendar: &Calendar) -> usize {
    ((calendar.first_weekday + day - 1) % 7) as usize
}

/// True if `day` (1 to 365) is a Saturday or a Sunday.
pub fn is_weekend(day: u32, calendar: &Calendar) -> bool {
    weekday_of(day, calendar) >= 5
}

/// Day before `day`, both 1 to 365.
pub fn day_before(day: u32) -> u32 {
    if day == 1 { DAYS_PER_YEAR } else { day - 1 }
}

/// Standard time, in s after 1 January 00:00 and below [`YEAR_S`], at which the clock of `day` (1 to 365) shows
/// `clock_s` seconds after midnight (below 86 400).
pub fn standard_s(day: u32, clock_s: u32, calendar: &Calendar) -> u32 {
    let ahead_s = if runs_ahead(day, calendar) { AHEAD_S } else { 0 };
    ((day - 1) * DAY_S + clock_s + YEAR_S - ahead_s) % YEAR_S
}

/// Day (1 to 365) and seconds after midnight that the clock shows at `standard_s` seconds after 1 January 00:00 standard
/// time (any number; it wraps at the year's end).
pub fn clock_at(standard_s: u32, calendar: &Calendar) -> (u32, u32) {
    let split = |s: u32| (s % YEAR_S / DAY_S + 1, s % DAY_S);
    let ahead = split(standard_s % YEAR_S + AHEAD_S);
    if runs_ahead(ahead.0, calendar) { ahead } else { split(standard_s) }
}

fn runs_ahead(day: u32, calendar: &Calendar) -> bool {
    calendar.daylight_saving.is_some_and(|span| span.contains(day))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::DaySpan;

    /// Clock ahead from 9 March (day 68) to 1 November (day 305); 1 January is a Wednesday.
    const SUMMER: Calendar =
        Calendar { first_weekday: 2, daylight_saving: Some(DaySpan { first: 68, last: 305 }) };

    #[test]
    fn months_begin_and_end_on_their_days() {
        // Day numbers of a year without leap day, from the lengths of the months.
        for (day, month) in
            [(1, 0), (31, 0), (32, 1), (59, 1), (60, 2), (181, 5), (182, 6), (334, 10), (335, 11), (365, 11)]
        {
            assert_eq!(month_of(day), month, "day {day}");
        }
    }

    #[test]
    fn weekdays_count_from_the_first() {
        assert_eq!(weekday_of(1, &SUMMER), 2);
        assert_eq!([4, 5, 6].map(|day| is_weekend(day, &SUMMER)), [true, true, false]);
        // 365 = 52 weeks and a day: the year ends on the weekday it began with.
        assert_eq!(weekday_of(365, &SUMMER), 2);
    }

    #[test]
    fn the_clock_is_an_hour_ahead_within_the_span_only() {
        let noon = 12 * 3600;
        for (day, hours) in [(67, 12), (68, 11), (305, 11), (306, 12)] {
            assert_eq!(standard_s(day, noon, &SUMMER), (day - 1) * DAY_S + hours * 3600, "day {day}");
            assert_eq!(clock_at((day - 1) * DAY_S + hours * 3600, &SUMMER), (day, noon), "day {day}");
        }
    }

    #[test]
    fn change_days_follow_the_stated_rule() {
        let hour_before = |day: u32| (day - 1) * DAY_S - 1800;
        // Spring: half an hour before midnight, standard, the first day of the span has begun.
        assert_eq!(clock_at(hour_before(68), &SUMMER), (68, 1800));
        // Autumn: half an hour before midnight, standard, timers read 23:30 for the second time.
        assert_eq!(clock_at(hour_before(306), &SUMMER), (305, 84_600));
        assert_eq!(clock_at(hour_before(306) - 3600, &SUMMER), (305, 84_600));
    }

    #[test]
    fn a_span_over_the_turn_of_the_year_wraps() {
        // A summer of the southern hemisphere.
        let southern = Calendar { first_weekday: 0, daylight_saving: Some(DaySpan { first: 278, last: 94 }) };
        assert_eq!(standard_s(1, 600, &southern), YEAR_S - 3000);
        assert_eq!(clock_at(YEAR_S - 3000, &southern), (1, 600));
        assert_eq!(clock_at(200 * DAY_S, &southern), (201, 0));
    }
}
