//! When each electric element may run.
//!
//! Timers follow the clock. A span that runs over midnight belongs, with its hours after midnight, to the day on which it
//! begins: "Friday 22:00 to 6:00" ends on Saturday morning.

use super::clock::{AHEAD_S, DAY_S, YEAR_S, clock_at, day_before, weekday_of};
use crate::job::{Calendar, Permission};

/// Seconds of a minute.
const MINUTE_S: u32 = 60;

/// Permissions of all elements over the year.
#[derive(Clone, Debug, PartialEq)]
pub struct PermissionYear {
    changes: Vec<(u32, u32)>,
}

impl PermissionYear {
    /// Lays out `permissions`, one an element in the order of the elements through all tanks, over the year of `calendar`.
    /// Elements without a permission may always run.
    ///
    /// # Panics
    /// With more than 32 permissions.
    pub fn build(permissions: &[Permission], calendar: &Calendar) -> Self {
        assert!(permissions.len() <= 32, "at most 32 elements, not {}", permissions.len());
        let mut changes: Vec<(u32, u32)> = Vec::new();
        for second in possible_changes(permissions, calendar) {
            let mask = mask_at(permissions, second, calendar);
            if changes.last().is_none_or(|&(_, before)| before != mask) {
                changes.push((second, mask));
            }
        }
        Self { changes }
    }

    /// `(second, mask)`, sorted: from `second` after 1 January 00:00 standard time until the next entry, element `i` may run
    /// if bit `i` of `mask` is set. The first entry is at 0; neighbours differ.
    pub fn changes(&self) -> &[(u32, u32)] {
        &self.changes
    }

    /// The mask that holds at `second` after 1 January 00:00 standard time.
    pub fn at(&self, second: u32) -> u32 {
        self.changes[self.index_at(second)].1
    }

    /// Index of the entry of [`changes`](Self::changes) that holds at `second`.
    pub fn index_at(&self, second: u32) -> usize {
        self.changes.partition_point(|&(start_s, _)| start_s <= second) - 1
    }
}

/// Every second at which some permission might change: midnights and edges of spans, and the same an hour before, where the
/// clock may be ahead. Where the clock changes, it is midnight by one of the two.
fn possible_changes(permissions: &[Permission], calendar: &Calendar) -> Vec<u32> {
    let edges =
        permissions.iter().flat_map(|permission| &permission.minutes).flat_map(|&(from, to)| [from, to]);
    let mut clock_s: Vec<u32> = edges.map(|minute| minute * MINUTE_S % DAY_S).chain([0]).collect();
    clock_s.sort_unstable();
    clock_s.dedup();
    let ahead_s: &[u32] = if calendar.daylight_saving.is_some() { &[0, AHEAD_S] } else { &[0] };
    let mut seconds = vec![0];
    for midnight_s in (0..YEAR_S).step_by(DAY_S as usize) {
        for edge_s in &clock_s {
            seconds.extend(ahead_s.iter().map(|ahead_s| (midnight_s + edge_s + YEAR_S - ahead_s) % YEAR_S));
        }
    }
    seconds.sort_unstable();
    seconds.dedup();
    seconds
}

/// Bit `i` set: element `i` may run at `second` of standard time.
fn mask_at(permissions: &[Permission], second: u32, calendar: &Calendar) -> u32 {
    let (day, clock_s) = clock_at(second, calendar);
    let forbidden =
        permissions.iter().enumerate().filter(|(_, permission)| !allows(permission, day, clock_s, calendar));
    forbidden.fold(u32::MAX, |mask, (element, _)| mask & !(1 << element))
}

/// True if the permission holds on `day` (1 to 365) at `clock_s` seconds after midnight, by the clock.
fn allows(permission: &Permission, day: u32, clock_s: u32, calendar: &Calendar) -> bool {
    let day_allowed = |day| {
        let dates = permission.days.is_empty() || permission.days.iter().any(|span| span.contains(day));
        let weekdays = permission.weekdays == [false; 7] || permission.weekdays[weekday_of(day, calendar)];
        dates && weekdays
    };
    if permission.minutes.is_empty() {
        return day_allowed(day);
    }
    permission.minutes.iter().any(|&(from, to)| {
        let (from_s, to_s) = (from * MINUTE_S, to * MINUTE_S);
        if from_s <= to_s {
            (from_s..to_s).contains(&clock_s) && day_allowed(day)
        } else {
            clock_s >= from_s && day_allowed(day) || clock_s < to_s && day_allowed(day_before(day))
        }
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::job::DaySpan;

    /// 1 January is a Monday, no daylight saving.
    const MONDAY: Calendar = Calendar { first_weekday: 0, daylight_saving: None };
    const HOUR_S: u32 = 3600;

    fn at(day: u32, hour: u32) -> u32 {
        (day - 1) * DAY_S + hour * HOUR_S
    }

    fn allowed_s(year: &PermissionYear, element: u32) -> u32 {
        let ends = year.changes().iter().skip(1).map(|&(start_s, _)| start_s).chain([YEAR_S]);
        let spans = year.changes().iter().zip(ends);
        spans
            .filter(|((_, mask), _)| mask >> element & 1 == 1)
            .map(|((start_s, _), end_s)| end_s - start_s)
            .sum()
    }

    #[test]
    fn without_permissions_all_may_always_run() {
        assert_eq!(PermissionYear::build(&[], &MONDAY).changes(), [(0, u32::MAX)]);
        assert_eq!(PermissionYear::build(&[Permission::default()], &MONDAY).changes(), [(0, u32::MAX)]);
    }

    #[test]
    fn each_element_has_its_own_bit_and_hours() {
        let noon = Permission { minutes: vec![(720, 840)], ..Permission::default() };
        let night = Permission { minutes: vec![(1380, 300)], ..Permission::default() };
        let year = PermissionYear::build(&[noon, night], &MONDAY);
        assert_eq!(
            year.changes()[..5],
            [(0, !0b01), (at(1, 5), !0b11), (at(1, 12), !0b10), (at(1, 14), !0b11), (at(1, 23), !0b01),]
        );
        assert_eq!(allowed_s(&year, 0), 365 * 2 * HOUR_S);
        assert_eq!(allowed_s(&year, 1), 365 * 6 * HOUR_S);
        assert_eq!(year.at(at(200, 13)), !0b10);
        assert_eq!(year.at(at(200, 14) - 1), !0b10);
        assert_eq!(year.at(at(200, 14)), !0b11);
    }

    #[test]
    fn a_night_belongs_to_the_day_it_begins_on() {
        // Friday only, 22:00 to 6:00; day 5 is a Friday.
        let mut friday = Permission { minutes: vec![(1320, 360)], ..Permission::default() };
        friday.weekdays[4] = true;
        let year = PermissionYear::build(&[friday], &MONDAY);
        assert_eq!(year.changes()[..3], [(0, !1), (at(5, 22), !0), (at(6, 6), !1)]);
        assert_eq!(allowed_s(&year, 0), 52 * 8 * HOUR_S);
    }

    #[test]
    fn dates_restrict_and_may_span_the_turn_of_the_year() {
        let winter = Permission { days: vec![DaySpan { first: 335, last: 59 }], ..Permission::default() };
        let year = PermissionYear::build(&[winter], &MONDAY);
        assert_eq!(year.changes(), [(0, !0), (at(60, 0), !1), (at(335, 0), !0)]);
    }

    #[test]
    fn timers_follow_the_clock() {
        let calendar = Calendar { daylight_saving: Some(DaySpan { first: 68, last: 305 }), ..MONDAY };
        let evening = Permission { minutes: vec![(1050, 1425)], ..Permission::default() };
        let year = PermissionYear::build(&[evening], &calendar);
        let of_day = |day: u32| -> Vec<(u32, u32)> {
            let today = year.changes().iter().filter(|change| change.0 / DAY_S + 1 == day);
            today.map(|&(second, mask)| (second % DAY_S / 60, mask & 1)).collect()
        };
        // 17:30 to 23:45 by the clock, which is an hour earlier in standard time within the span.
        assert_eq!(of_day(66), [(1050, 1), (1425, 0)]);
        assert_eq!(of_day(68), [(990, 1), (1365, 0)]);
        // Spring: the clock goes from 23:00 to 0:00 of the first day, which cuts the evening short.
        assert_eq!(of_day(67), [(1050, 1), (1380, 0)]);
        // Autumn: the clock reads 23:00 to 24:00 twice.
        assert_eq!(of_day(305), [(990, 1), (1365, 0), (1380, 1), (1425, 0)]);
    }

    fn any_permission() -> impl Strategy<Value = Permission> {
        let days = (1..=365_u32, 1..=365_u32).prop_map(|(first, last)| DaySpan { first, last });
        (
            prop::collection::vec((0..1440_u32, 0..=1440_u32), 0..3),
            any::<[bool; 7]>(),
            prop::collection::vec(days, 0..2),
        )
            .prop_map(|(minutes, weekdays, days)| Permission { minutes, weekdays, days })
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(30))]

        #[test]
        fn no_change_is_missed(
            permissions in prop::collection::vec(any_permission(), 1..3),
            span in prop::option::of((1..=365_u32, 1..=365_u32)),
            first_weekday in 0..7_u32,
        ) {
            let daylight_saving = span.map(|(first, last)| DaySpan { first, last });
            let calendar = Calendar { first_weekday, daylight_saving };
            let year = PermissionYear::build(&permissions, &calendar);
            prop_assert_eq!(year.changes()[0].0, 0);
            prop_assert!(year.changes().windows(2).all(|pair| pair[0].0 < pair[1].0 && pair[0].1 != pair[1].1));
            // Every minute of the year must read what the permissions say of it.
            for second in (0..YEAR_S).step_by(60) {
                prop_assert_eq!(year.at(second), mask_at(&permissions, second, &calendar), "at {}", second);
            }
        }
    }
}
