//! Calendar and clocks.

use solar_geometry::time::{
    Instant, StandardClock, day_of_year, delta_t_s, hour_angle_rad, month_and_day, solar_time_h,
};

/// Julian days printed in J. Meeus, Astronomical Algorithms (1998), chapter 7.
#[test]
fn julian_days() {
    for (year, month, day, hour, expected) in [
        (2000, 1, 1, 12.0, 2_451_545.0),
        (1987, 6, 19, 12.0, 2_446_966.0),
        (1957, 10, 4, 0.81 * 24.0, 2_436_116.31),
        (1600, 12, 31, 0.0, 2_305_812.5),
        (837, 4, 10, 0.3 * 24.0, 2_026_871.8),
        (333, 1, 27, 12.0, 1_842_713.0),
        (-1000, 2, 29, 0.0, 1_355_866.5),
        (-4712, 1, 1, 12.0, 0.0),
    ] {
        let found = Instant::from_utc(year, month, day, hour).julian_day_ut;
        assert!((found - expected).abs() < 1e-8, "{year}-{month}-{day}: {found}");
    }
}

/// The day after 4 October 1582 was 15 October.
#[test]
fn calendar_reform_leaves_no_gap() {
    let before = Instant::from_utc(1582, 10, 4, 0.0).julian_day_ut;
    let after = Instant::from_utc(1582, 10, 15, 0.0).julian_day_ut;
    assert_eq!(after - before, 1.0);
}

/// Values of the table beside the polynomials (Espenak and Meeus 2006), rounded there as here; its pieces meet within
/// a few seconds (the older ones, where delta T is thousands of seconds, within 10).
#[test]
fn delta_t_by_years() {
    for (year, expected_s, tolerance_s) in [
        (-500.0, 17_190.0, 20.0),
        (0.0, 10_580.0, 10.0),
        (500.0, 5_710.0, 10.0),
        (1000.0, 1_570.0, 10.0),
        (1600.0, 120.0, 2.0),
        (1700.0, 9.0, 1.0),
        (1900.0, -3.0, 1.0),
        (1950.0, 29.0, 1.0),
        (2000.0, 64.0, 0.5),
    ] {
        let found_s = delta_t_s(year);
        assert!((found_s - expected_s).abs() <= tolerance_s, "{year}: {found_s}");
    }
    for edge in [
        -500.0, 500.0, 1600.0, 1700.0, 1800.0, 1860.0, 1900.0, 1920.0, 1941.0, 1961.0, 1986.0, 2005.0,
        2050.0, 2150.0,
    ] {
        let jump_s = delta_t_s(edge) - delta_t_s(edge - 1e-6);
        assert!(jump_s.abs() < if edge < 1000.0 { 10.0 } else { 1.0 }, "{edge}: {jump_s}");
    }
}

#[test]
fn days_of_the_year_come_back() {
    for day in 1..=365 {
        let (month, day_of_month) = month_and_day(day);
        assert_eq!(day_of_year(month, day_of_month), day);
    }
    assert_eq!(month_and_day(59), (2, 28));
    assert_eq!(month_and_day(60), (3, 1));
    assert_eq!(month_and_day(366), (1, 1));
    assert_eq!(month_and_day(0), (12, 31));
}

/// On the zone's meridian, without equation of time, clock and sun agree; 15 deg an hour from noon.
#[test]
fn solar_time_on_the_meridian() {
    let clock = StandardClock { hour: 14.0, utc_offset_h: -7.0 };
    assert_eq!(solar_time_h(clock, -105.0, 0.0), 14.0);
    assert!((hour_angle_rad(14.0).to_degrees() - 30.0).abs() < 1e-12);
    // 4 minutes later for each degree west.
    assert!((solar_time_h(clock, -106.0, 0.0) - (14.0 - 4.0 / 60.0)).abs() < 1e-12);
}
