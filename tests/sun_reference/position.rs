//! Sun position and incidence.

use super::table::{Differences, Row, rows};
use solar_geometry::sun::{Observer, SunDay, SunPosition, position, refraction_rad};
use solar_geometry::surface::{
    Direction, Plane, SolarAngles, beam_ratio, cos_incidence, incidence_rad, longitudinal_transversal_rad,
};
use solar_geometry::time::Instant;
use std::f64::consts::{FRAC_PI_2, PI};

fn observer(row: &Row) -> Observer {
    Observer {
        latitude_deg: row.number("latitude_deg"),
        longitude_deg: row.number("longitude_deg"),
        elevation_m: row.number("elevation_m"),
    }
}

/// Date and hour of `2003-10-17T19:30:30Z`.
fn date_and_hour(row: &Row) -> (i32, u32, u32, f64) {
    let utc = row.text("utc");
    let part = |from: usize, until: usize| utc[from..until].parse::<u32>().expect("digits of a date");
    let hour = f64::from(part(11, 13)) + f64::from(part(14, 16)) / 60.0 + f64::from(part(17, 19)) / 3600.0;
    (part(0, 4) as i32, part(5, 7), part(8, 10), hour)
}

fn instant(row: &Row) -> Instant {
    let (year, month, day, hour) = date_and_hour(row);
    Instant { delta_t_s: row.number("delta_t_s"), ..Instant::from_utc(year, month, day, hour) }
}

/// Angle between two directions, deg, without the loss of digits of an arc cosine.
fn separation_deg(a: &Direction, b: &Direction) -> f64 {
    let apart = ((a.east - b.east).powi(2) + (a.north - b.north).powi(2) + (a.up - b.up).powi(2)).sqrt();
    (2.0 * (0.5 * apart).min(1.0).asin()).to_degrees()
}

fn direction(sun: &SunPosition) -> Direction {
    Direction::from_angles(sun.zenith_rad, sun.azimuth_rad)
}

fn direction_of(row: &Row, zenith: &str, azimuth: &str) -> Direction {
    Direction::from_angles(row.radians(zenith), row.radians(azimuth))
}

/// Another program of the same algorithm: only rounding may differ (tables' README: 1e-5 deg, 1e-8 AU, 1e-4 min).
#[test]
fn sun_reference_position_same_algorithm() {
    let mut differences = Differences::default();
    for row in rows("sun_position.csv") {
        let case = row.text("case_id");
        let sun = position(instant(&row), &observer(&row));
        let expected = direction_of(&row, "zenith_true_deg", "azimuth_deg");
        differences.note(case, "direction deg", [separation_deg(&direction(&sun), &expected), 0.0], 1e-5);
        for (column, found_rad) in [
            ("zenith_true_deg", sun.zenith_rad),
            ("declination_geo_deg", sun.declination_rad),
            ("declination_topo_deg", sun.declination_topocentric_rad),
            ("right_ascension_geo_deg", sun.right_ascension_rad),
            ("hour_angle_topo_deg", sun.hour_angle_rad),
        ] {
            // An hour angle may stand on either side of the half turn.
            let expected_deg = row.number(column);
            let found_deg =
                expected_deg + (found_rad.to_degrees() - expected_deg + 180.0).rem_euclid(360.0) - 180.0;
            differences.note(case, column, [found_deg, expected_deg], 1e-5);
        }
        let expected_min = row.number("equation_of_time_min");
        differences.note(case, "equation of time min", [sun.equation_of_time_min, expected_min], 1e-4);
        differences.note(case, "distance AU", [sun.distance_au, row.number("sun_distance_au")], 1e-8);
        // Below this height programs differ in whether they count refraction at all.
        if row.number("zenith_true_deg") < 90.8 {
            let lift_rad = refraction_rad(
                FRAC_PI_2 - sun.zenith_rad,
                100.0 * row.number("pressure_hpa"),
                row.number("temperature_c"),
            );
            differences.note(
                case,
                "refraction deg",
                [lift_rad.to_degrees(), row.number("refraction_deg")],
                1e-5,
            );
            let apparent_deg = (sun.zenith_rad - lift_rad).to_degrees();
            differences.note(case, "apparent deg", [apparent_deg, row.number("zenith_apparent_deg")], 1e-5);
        }
    }
    differences.finish("sun_position");
}

/// Astronomy-grade routes: the algorithm's own error (tables' README: 0.0005 deg, 1e-4 deg, 0.01 min, 3e-6 AU).
#[test]
fn sun_reference_position_astronomy() {
    let mut differences = Differences::default();
    for row in rows("sun_position.csv") {
        let case = row.text("case_id");
        let sun = position(instant(&row), &observer(&row));
        let expected = direction_of(&row, "zenith_true_erfa_deg", "azimuth_erfa_deg");
        differences.note(
            case,
            "direction ERFA deg",
            [separation_deg(&direction(&sun), &expected), 0.0],
            5e-4,
        );
        if row.maybe("zenith_true_de421_deg").is_some() {
            let expected = direction_of(&row, "zenith_true_de421_deg", "azimuth_de421_deg");
            differences.note(
                case,
                "direction DE421 deg",
                [separation_deg(&direction(&sun), &expected), 0.0],
                5e-4,
            );
        }
        let declination_deg = sun.declination_rad.to_degrees();
        differences.note(
            case,
            "declination deg",
            [declination_deg, row.number("declination_geo_erfa_deg")],
            1e-4,
        );
        let expected_min = row.number("equation_of_time_erfa_min");
        differences.note(case, "equation of time min", [sun.equation_of_time_min, expected_min], 0.01);
        differences.note(case, "distance AU", [sun.distance_au, row.number("sun_distance_erfa_au")], 3e-6);
        // Another refraction formula (Bennett): the README's allowance by height, on top of the true direction's.
        if let Some(expected_deg) = row.maybe("zenith_apparent_bennett_deg")
            && row.number("zenith_true_deg") < 90.8
        {
            let elevation_rad = FRAC_PI_2 - sun.zenith_rad;
            let allowance_deg = match elevation_rad.to_degrees() {
                e if e > 5.0 => 0.002,
                e if e >= 0.0 => 0.02,
                _ => 0.03,
            };
            let lift_rad = refraction_rad(
                elevation_rad,
                100.0 * row.number("pressure_hpa"),
                row.number("temperature_c"),
            );
            let apparent_deg = (sun.zenith_rad - lift_rad).to_degrees();
            differences.note(
                case,
                "apparent Bennett deg",
                [apparent_deg, expected_deg],
                5e-4 + allowance_deg,
            );
        }
    }
    differences.finish("sun_position, astronomy");
}

/// The fast path over a day promises 0.001 deg of the full algorithm. It takes the library's own delta T, so where
/// the table has another one, what that moves the sun is allowed on top (0.000011 deg a second; 0.000012 here).
#[test]
fn sun_reference_position_fast() {
    let mut differences = Differences::default();
    for row in rows("sun_position.csv") {
        let (year, month, day, hour) = date_and_hour(&row);
        let sun = SunDay::new(year, month, day, 0.0, &observer(&row)).at(3600.0 * hour);
        let expected = direction_of(&row, "zenith_true_deg", "azimuth_deg");
        let delta_t_off_s = Instant::from_utc(year, month, day, hour).delta_t_s - row.number("delta_t_s");
        differences.note(
            row.text("case_id"),
            "direction deg",
            [separation_deg(&sun.direction, &expected), 0.0],
            0.001 + 0.000012 * delta_t_off_s.abs(),
        );
    }
    differences.finish("sun_position, fast path");
}

/// Pure trigonometry (tables' README: cosines 1e-9, Rb 1e-7, angles 2e-6 deg), from both sets of inputs.
#[test]
fn sun_reference_incidence() {
    let mut differences = Differences::default();
    for row in rows("incidence.csv") {
        let case = row.text("case_id");
        let plane = Plane::from_deg(row.number("tilt_deg"), row.number("surface_azimuth_deg"));
        let angles = SolarAngles {
            latitude_rad: row.radians("latitude_deg"),
            declination_rad: row.radians("declination_deg"),
            hour_angle_rad: row.radians("hour_angle_deg"),
        };
        let sun = angles.direction();
        let from_gamma = Plane { azimuth_rad: row.radians("surface_gamma_south_deg") + PI, ..plane };
        for (quantity, found) in [
            ("cosine, vectors", sun.dot(&plane.normal())),
            ("cosine, five terms", angles.cos_incidence(&plane)),
            ("cosine, azimuth from south", angles.cos_incidence(&from_gamma)),
        ] {
            differences.note(case, quantity, [found, row.number("cos_incidence")], 1e-9);
        }
        if let Some(azimuth_deg) = row.maybe("azimuth_deg") {
            let found = cos_incidence(row.radians("zenith_deg"), azimuth_deg.to_radians(), &plane);
            differences.note(case, "cosine, zenith and azimuth", [found, row.number("cos_incidence")], 1e-9);
            let expected = direction_of(&row, "zenith_deg", "azimuth_deg");
            differences.note(case, "direction deg", [separation_deg(&sun, &expected), 0.0], 2e-6);
        }
        differences.note(case, "cosine of zenith", [sun.up, row.number("cos_zenith")], 1e-9);
        differences.note(case, "zenith deg", [sun.zenith_rad().to_degrees(), row.number("zenith_deg")], 2e-6);
        let cosine = sun.dot(&plane.normal());
        let incidence_deg = incidence_rad(cosine).to_degrees();
        differences.note(case, "incidence deg", [incidence_deg, row.number("incidence_deg")], 2e-6);
        if let Some(expected) = row.maybe("rb") {
            differences.note(case, "Rb", [beam_ratio(cosine, sun.up), expected], 1e-7);
        }
        if let Some(expected_deg) = row.maybe("transversal_deg") {
            let found = longitudinal_transversal_rad(&sun, &plane);
            let longitudinal_deg = found.longitudinal_rad.to_degrees();
            differences.note(
                case,
                "transversal deg",
                [found.transversal_rad.to_degrees(), expected_deg],
                2e-6,
            );
            differences.note(
                case,
                "longitudinal deg",
                [longitudinal_deg, row.number("longitudinal_deg")],
                2e-6,
            );
        }
        // A flag says nothing within rounding of its edge.
        for (column, sine) in [("sun_above_horizon", sun.up), ("sun_in_front", cosine)] {
            if sine.abs() > 1e-9 {
                differences.note(case, column, [f64::from(u8::from(sine > 0.0)), row.number(column)], 0.0);
            }
        }
    }
    differences.finish("incidence");
}
