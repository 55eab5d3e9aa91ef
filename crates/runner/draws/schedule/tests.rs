//! Tests of the year's draws: hand-made days, the clock, the turn of the year, and laws for any pattern.

use proptest::prelude::*;

use super::*;
use crate::draws::clock::{DAY_S, YEAR_S, is_weekend, month_of};
use crate::job::{DaySpan, Event, Guests, Pattern, Purpose};

const MONDAY: Calendar = Calendar { first_weekday: 0, daylight_saving: None };
const USABLE_C: f64 = 40.5;

fn event(start_s: u32, duration_s: u32, flow_m3_s: f64, use_c: f64, purpose: Purpose) -> Event {
    Event { start_s, duration_s, flow_m3_s, use_c, purpose }
}

fn events(day: Vec<Event>) -> WaterUse {
    with_pattern(Pattern::Events { weekday: day.clone(), weekend: day })
}

fn with_pattern(pattern: Pattern) -> WaterUse {
    WaterUse {
        pattern,
        month_factor: [1.0; 12],
        absences: Vec::new(),
        guests: Vec::new(),
        usable_c: USABLE_C,
    }
}

fn hourly(weekday_frac: [f64; 24], weekend_frac: [f64; 24], minutes: u32) -> WaterUse {
    with_pattern(Pattern::Hourly {
        daily_m3: 0.242,
        use_c: 48.9,
        weekday_frac,
        weekend_frac,
        minutes,
        comfort: false,
    })
}

fn only_hour(hour: usize) -> [f64; 24] {
    let mut frac = [0.0; 24];
    frac[hour] = 1.0;
    frac
}

fn spans(year: &DrawYear) -> Vec<(u32, u32)> {
    year.segments().iter().map(|segment| (segment.start_s, segment.end_s)).collect()
}

/// Volume between two days of standard time, `first` and `last` included.
fn volume_of_days(year: &DrawYear, first: u32, last: u32) -> f64 {
    let days = (first - 1) * DAY_S..last * DAY_S;
    year.segments().iter().filter(|segment| days.contains(&segment.start_s)).map(Segment::volume_m3).sum()
}

fn assert_close(got: f64, wanted: f64) {
    // A few thousand sums of doubles: 1e-12 leaves a margin of a hundred over their rounding.
    assert!((got - wanted).abs() <= 1e-12 * wanted.abs(), "{got} is not {wanted}");
}

#[test]
fn an_hours_share_flows_in_its_first_minutes() {
    let mut frac = only_hour(7);
    frac[7] = 0.25;
    frac[19] = 0.75;
    let year = DrawYear::build(&hourly(frac, frac, 10), &MONDAY);
    assert_eq!(year.segments().len(), 2 * 365, "hours without a share give no segment");
    assert_eq!(spans(&year)[..2], [(25_200, 25_800), (68_400, 69_000)]);
    let draw = year.segments()[1].draw;
    // Three quarters of 242 L in 600 s.
    assert_close(draw.flow_m3_s, 0.75 * 0.242 / 600.0);
    assert_eq!((draw.use_c, draw.usable_c, draw.comfort), (48.9, USABLE_C, false));
    assert_close(year.volume_m3(), 0.242 * 365.0);
}

#[test]
fn whole_hours_follow_each_other_without_gap() {
    let year = DrawYear::build(&hourly([1.0 / 24.0; 24], [1.0 / 24.0; 24], 60), &MONDAY);
    assert_eq!(year.segments().len(), 8760);
    assert!(year.segments().windows(2).all(|pair| pair[0].end_s == pair[1].start_s));
}

#[test]
fn weekends_follow_the_calendar() {
    // 1 January a Friday: days 2 and 3 are the first weekend.
    let friday = Calendar { first_weekday: 4, ..MONDAY };
    let year = DrawYear::build(&hourly(only_hour(6), only_hour(9), 10), &friday);
    let hours: Vec<u32> = year.segments()[..5].iter().map(|segment| segment.start_s % DAY_S / 3600).collect();
    assert_eq!(hours, [6, 9, 9, 6, 6]);
}

#[test]
fn months_scale_the_flow_and_absences_stop_it() {
    let mut water_use = hourly(only_hour(6), only_hour(6), 10);
    water_use.month_factor[1] = 1.5;
    water_use.month_factor[6] = 0.0;
    water_use.absences = vec![DaySpan { first: 360, last: 5 }];
    let year = DrawYear::build(&water_use, &MONDAY);
    assert_eq!(volume_of_days(&year, 1, 5), 0.0);
    assert_close(volume_of_days(&year, 6, 31), 26.0 * 0.242);
    assert_close(volume_of_days(&year, 32, 59), 28.0 * 1.5 * 0.242);
    assert_eq!(volume_of_days(&year, 182, 212), 0.0, "a factor of 0 gives no segment");
    assert_close(volume_of_days(&year, 335, 365), 25.0 * 0.242);
}

#[test]
fn guests_draw_more_and_meet_in_their_factors() {
    let mut water_use = hourly(only_hour(6), only_hour(6), 10);
    let guests = |first, last, factor| Guests { days: DaySpan { first, last }, factor };
    water_use.guests = vec![guests(355, 3, 1.5), guests(3, 4, 2.0)];
    let year = DrawYear::build(&water_use, &MONDAY);
    for (day, factor) in [(1, 1.5), (2, 1.5), (3, 3.0), (4, 2.0), (5, 1.0), (354, 1.0), (355, 1.5)] {
        assert_close(volume_of_days(&year, day, day), factor * 0.242);
    }
}

#[test]
fn overlapping_taps_become_one_draw() {
    // A sink of 2 L/min at 40 degC from 7:00 to 7:05, a shower of 6 L/min at 44 degC from 7:03 to 7:10.
    let litre_per_minute = 1e-3 / 60.0;
    let year = DrawYear::build(
        &events(vec![
            event(25_380, 420, 6.0 * litre_per_minute, 44.0, Purpose::Shower),
            event(25_200, 300, 2.0 * litre_per_minute, 40.0, Purpose::Sink),
        ]),
        &MONDAY,
    );
    assert_eq!(spans(&year)[..3], [(25_200, 25_380), (25_380, 25_500), (25_500, 25_800)]);
    let [sink, both, shower] = [0, 1, 2].map(|index| year.segments()[index].draw);
    assert_eq!((sink.use_c, sink.comfort), (40.0, false));
    assert_eq!((shower.use_c, shower.comfort), (44.0, true));
    // (2 x 40 + 6 x 44)/8 = 43.
    assert_close(both.flow_m3_s, 8.0 * litre_per_minute);
    assert_close(both.use_c, 43.0);
    assert!(both.comfort);
}

#[test]
fn a_draw_over_midnight_goes_on_and_wraps_at_the_turn_of_the_year() {
    // 23:50 to 0:10 every day.
    let year = DrawYear::build(&events(vec![event(85_800, 1200, 1e-4, 42.0, Purpose::Bath)]), &MONDAY);
    assert_eq!(spans(&year)[..2], [(0, 600), (85_800, 87_000)]);
    assert_eq!(spans(&year).last(), Some(&(YEAR_S - 600, YEAR_S)));
    assert_close(year.volume_m3(), 365.0 * 1200.0 * 1e-4);
}

#[test]
fn draws_move_with_the_clock_and_none_is_lost_at_the_changes() {
    let summer = Calendar { daylight_saving: Some(DaySpan { first: 68, last: 305 }), ..MONDAY };
    let early_and_late = events(vec![
        event(1200, 600, 1e-4, 42.0, Purpose::Sink),
        event(84_000, 600, 1e-4, 44.0, Purpose::Sink),
    ]);
    let year = DrawYear::build(&early_and_late, &summer);
    let of_day = |day: u32| -> Vec<(i64, f64)> {
        let start = i64::from((day - 1) * DAY_S);
        let inside = year.segments().iter().filter(|s| i64::from(s.start_s) / 86_400 * 86_400 == start);
        inside.map(|s| (i64::from(s.start_s) - start, s.draw.flow_m3_s)).collect()
    };
    assert_eq!(of_day(66), [(1200, 1e-4), (84_000, 1e-4)]);
    // Spring: 0:20 of the first day of the span is 23:20 standard, when the day before still has its late draw.
    assert_eq!(of_day(67), [(1200, 1e-4), (84_000, 2e-4)]);
    // Within the span: the late draw at 22:20 standard, the next day's early one at 23:20.
    assert_eq!(of_day(68), [(80_400, 1e-4), (84_000, 1e-4)]);
    // Autumn: nothing in the hour between the two days.
    assert_eq!(of_day(305), [(80_400, 1e-4)]);
    assert_eq!(of_day(306), [(1200, 1e-4), (84_000, 1e-4)]);
    assert_close(year.volume_m3(), 365.0 * 0.12);
}

#[test]
fn index_finds_the_segment_at_or_after_a_second() {
    let year = DrawYear::build(&hourly(only_hour(6), only_hour(6), 10), &MONDAY);
    assert_eq!(year.index_at(0), 0);
    assert_eq!(year.index_at(21_600), 0);
    assert_eq!(year.index_at(22_199), 0);
    assert_eq!(year.index_at(22_200), 1);
    assert_eq!(year.index_at(YEAR_S), 365);
}

fn any_event() -> impl Strategy<Value = Event> {
    (0..DAY_S, 0..20_000_u32, 0.0..3e-4_f64, 35.0..60.0_f64, any::<bool>()).prop_map(
        |(start_s, duration_s, flow_m3_s, use_c, shower)| {
            event(start_s, duration_s, flow_m3_s, use_c, if shower { Purpose::Shower } else { Purpose::Sink })
        },
    )
}

fn any_calendar() -> impl Strategy<Value = Calendar> {
    let span = (1..=365_u32, 1..=365_u32).prop_map(|(first, last)| DaySpan { first, last });
    (0..7_u32, proptest::option::of(span))
        .prop_map(|(first_weekday, daylight_saving)| Calendar { first_weekday, daylight_saving })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn volume_and_heat_are_kept_in_order_and_without_overlap(
        weekday in prop::collection::vec(any_event(), 0..8),
        weekend in prop::collection::vec(any_event(), 0..8),
        month_factor in prop::array::uniform12(0.0..2.0_f64),
        calendar in any_calendar(),
        away in (1..=365_u32, 1..=365_u32),
    ) {
        let absence = DaySpan { first: away.0, last: away.1 };
        let water_use = WaterUse {
            pattern: Pattern::Events { weekday: weekday.clone(), weekend: weekend.clone() },
            month_factor,
            absences: vec![absence],
            guests: Vec::new(),
            usable_c: USABLE_C,
        };
        let year = DrawYear::build(&water_use, &calendar);

        let (mut volume_m3, mut heat) = (0.0, 0.0);
        for day in (1..=365).filter(|&day| !absence.contains(day)) {
            let today = if is_weekend(day, &calendar) { &weekend } else { &weekday };
            for event in today {
                let volume = event.flow_m3_s * month_factor[month_of(day)] * f64::from(event.duration_s);
                volume_m3 += volume;
                heat += volume * event.use_c;
            }
        }
        let got: f64 = year.segments().iter().map(|s| s.volume_m3() * s.draw.use_c).sum();
        // Some ten thousand terms of either sum: rounding stays below 1e-11 of it.
        prop_assert!((year.volume_m3() - volume_m3).abs() <= 1e-11 * volume_m3);
        prop_assert!((got - heat).abs() <= 1e-11 * heat);

        prop_assert!(year.segments().iter().all(|s| s.start_s < s.end_s && s.end_s <= YEAR_S));
        prop_assert!(year.segments().windows(2).all(|pair| pair[0].end_s <= pair[1].start_s));
        prop_assert!(year.segments().iter().all(|s| s.draw.flow_m3_s > 0.0 && (35.0..=60.0).contains(&s.draw.use_c)));
    }
}
