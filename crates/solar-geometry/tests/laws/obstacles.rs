//! Horizon lines and shading tables.

use proptest::prelude::*;
use solar_geometry::horizon::{Horizon, HorizonPoint, ShadingTable};
use solar_geometry::surface::{Direction, Plane};
use std::f64::consts::PI;

fn point(azimuth_deg: f64, elevation_deg: f64) -> HorizonPoint {
    HorizonPoint { azimuth_rad: azimuth_deg.to_radians(), elevation_rad: elevation_deg.to_radians() }
}

fn blocked(horizon: &Horizon, azimuth_deg: f64, elevation_deg: f64) -> bool {
    horizon.blocks(&Direction::from_angles((90.0 - elevation_deg).to_radians(), azimuth_deg.to_radians()))
}

/// Straight lines between the points, also across the north.
#[test]
fn line_between_points() {
    let horizon = Horizon::new([point(350.0, 20.0), point(10.0, 10.0), point(180.0, 0.0)]);
    for (azimuth_deg, expected_deg) in [(350.0, 20.0), (0.0, 15.0), (360.0, 15.0), (5.0, 12.5), (95.0, 5.0)] {
        let found_deg = horizon.elevation_rad(f64::to_radians(azimuth_deg)).to_degrees();
        assert!((found_deg - expected_deg).abs() < 1e-9, "{azimuth_deg}: {found_deg}");
    }
    assert!(blocked(&horizon, 0.0, 14.9) && !blocked(&horizon, 0.0, 15.1));
    assert!(blocked(&horizon, 90.0, -0.1));
}

/// No points: a flat horizon. It takes nothing from the sky and the beam only below it.
#[test]
fn flat_horizon_takes_nothing() {
    let flat = Horizon::default();
    assert_eq!(flat.visible_sky_frac(&Plane::from_deg(40.0, 180.0)), 1.0);
    assert!(!blocked(&flat, 100.0, 0.1) && blocked(&flat, 100.0, -0.1));
    let zero = Horizon::new([point(0.0, 0.0)]);
    for tilt_deg in [0.0, 25.0, 60.0, 90.0] {
        let seen = zero.visible_sky_frac(&Plane::from_deg(tilt_deg, 77.0));
        // The sum over sectors: 1e-5.
        assert!((seen - 1.0).abs() < 1e-5, "{tilt_deg}: {seen}");
    }
}

/// A high wall before a plane takes all but what passes above it; one behind a wall takes nothing.
#[test]
fn hill_in_front_and_behind() {
    let south = Horizon::new([point(90.0, 0.0), point(91.0, 30.0), point(269.0, 30.0), point(270.0, 0.0)]);
    let facing_it = south.visible_sky_frac(&Plane::from_deg(90.0, 180.0));
    let turned_away = south.visible_sky_frac(&Plane::from_deg(90.0, 0.0));
    assert!(facing_it < 0.5 && turned_away > 0.9999, "{facing_it} {turned_away}");
}

/// Shares are looked up by month and hour and kept within 0 to 1.
#[test]
fn shading_table_lookup() {
    let mut shares = [[0.0; 24]; 12];
    shares[11][8] = 0.4;
    shares[0][23] = 7.0;
    let table = ShadingTable::new(shares);
    assert_eq!(table.shaded_frac(12, 8.99), 0.4);
    assert_eq!(table.shaded_frac(12, 9.0), 0.0);
    assert_eq!(table.shaded_frac(1, 24.0), 1.0);
}

proptest! {
    /// Even heights have closed forms: cos^2 e for the horizontal plane, 1 - (2/pi)(e + sin e cos e) for a wall.
    #[test]
    fn even_height_by_closed_form(elevation_deg in 0.0..90.0, azimuth_deg in 0.0..360.0) {
        let e = f64::to_radians(elevation_deg);
        let horizon = Horizon::new([point(10.0, elevation_deg)]);
        let level = horizon.visible_sky_frac(&Plane::from_deg(0.0, azimuth_deg));
        prop_assert!((level - e.cos().powi(2)).abs() < 1e-9);
        let wall = horizon.visible_sky_frac(&Plane::from_deg(90.0, azimuth_deg));
        prop_assert!((wall - (1.0 - 2.0 / PI * (e + e.sin() * e.cos()))).abs() < 1e-5);
    }

    /// A higher line never shows more sky, and any line shows between none and all of it.
    #[test]
    fn higher_lines_show_less(
        heights in proptest::collection::vec(0.0..60.0, 1..12), tilt_deg in 0.0..=90.0, azimuth_deg in 0.0..360.0,
    ) {
        let plane = Plane::from_deg(tilt_deg, azimuth_deg);
        let spacing_deg = 360.0 / heights.len() as f64;
        let line = |more_deg: f64| {
            Horizon::new(heights.iter().enumerate().map(|(i, h)| point(spacing_deg * i as f64, h + more_deg)))
        };
        let (lower, higher) = (line(0.0).visible_sky_frac(&plane), line(5.0).visible_sky_frac(&plane));
        prop_assert!(0.0 <= higher && higher <= lower && lower <= 1.0);
    }
}
