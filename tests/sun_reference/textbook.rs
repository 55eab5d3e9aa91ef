//! Printed results of published examples, with the tolerance each of them allows.

use super::table::{Differences, Row, own_folder, rows_of};
use solar_geometry::modifier::{
    CoverMethod, GlassCover, equivalent_ground_angle_rad, equivalent_sky_angle_rad, surface_reflectance,
};
use solar_geometry::monthly::{
    beam_ratio_klein, declination_cooper_rad, diffuse_frac_erbs_monthly, distance_factor_cosine,
    equation_of_time_spencer_min, extraterrestrial_day_j_m2, sunset_hour_angle_rad,
};
use solar_geometry::sky::{SkyInput, SkyModel, beam_on_plane_w_m2, ground_reflected_w_m2, sky_view_frac};
use solar_geometry::split::Decomposition;
use solar_geometry::sun::{Geocentric, Observer, position, refraction_rad};
use solar_geometry::surface::{Plane, SolarAngles, beam_ratio, incidence_rad, longitudinal_transversal_rad};
use solar_geometry::time::{
    DAYS_IN_MONTH, Instant, StandardClock, day_of_year, hour_angle_rad, solar_time_h,
};
use std::f64::consts::{FRAC_PI_2, PI};

/// Solar constant of the printed examples, W/m2.
const HANDBOOK_SOLAR_CONSTANT_W_M2: f64 = 1367.0;

/// Number of an item like `lat=43` in the inputs of a row; text after the number is left out.
fn maybe_input(row: &Row, name: &str) -> Option<f64> {
    row.text("inputs").split("; ").find_map(|item| {
        let text = item.strip_prefix(name)?.strip_prefix('=')?;
        let number = text.split(' ').next().unwrap_or(text);
        number.parse().ok()
    })
}

fn input(row: &Row, name: &str) -> f64 {
    maybe_input(row, name).unwrap_or_else(|| panic!("{}: no input {name}", row.text("case_id")))
}

fn declination_rad(row: &Row) -> f64 {
    maybe_input(row, "decl").map_or_else(|| declination_cooper_rad(input(row, "n")), f64::to_radians)
}

fn angles(row: &Row) -> SolarAngles {
    SolarAngles {
        latitude_rad: input(row, "lat").to_radians(),
        declination_rad: declination_rad(row),
        hour_angle_rad: maybe_input(row, "hour_angle").map_or_else(
            // Example 2.15.1 names the hour 9 to 10 instead.
            || hour_angle_rad(9.5),
            f64::to_radians,
        ),
    }
}

/// The plane of a row; azimuths in the inputs are counted from south, west positive.
fn plane(row: &Row) -> Plane {
    let west_of_south_deg =
        maybe_input(row, "azimuth").or_else(|| maybe_input(row, "surface azimuth")).unwrap_or(0.0);
    Plane::from_deg(maybe_input(row, "tilt").unwrap_or(90.0), 180.0 + west_of_south_deg)
}

fn cosine(row: &Row) -> f64 {
    let (angles, plane) = (angles(row), plane(row));
    let five_terms = angles.cos_incidence(&plane);
    assert!(
        (five_terms - angles.direction().dot(&plane.normal())).abs() < 1e-14,
        "two ways to the same cosine"
    );
    five_terms
}

fn rb(row: &Row) -> f64 {
    beam_ratio(cosine(row), angles(row).direction().up)
}

/// Extraterrestrial energy of one day, MJ/m2.
fn day_mj_m2(day: f64, latitude_rad: f64, declination_rad: f64) -> f64 {
    let normal_w_m2 = HANDBOOK_SOLAR_CONSTANT_W_M2 * distance_factor_cosine(day);
    1e-6 * extraterrestrial_day_j_m2(normal_w_m2, latitude_rad, declination_rad)
}

fn h0_mj_m2(row: &Row) -> f64 {
    let latitude_rad = input(row, "lat").to_radians();
    if row.text("inputs").contains("mean over every day of the month") {
        let month = input(row, "month") as u32;
        let length = DAYS_IN_MONTH[month as usize - 1];
        let days = (1..=length).map(|day| f64::from(day_of_year(month, day)));
        return days.map(|n| day_mj_m2(n, latitude_rad, declination_cooper_rad(n))).sum::<f64>()
            / f64::from(length);
    }
    day_mj_m2(input(row, "n"), latitude_rad, declination_rad(row))
}

/// Example 2.15.1: an hour's totals, MJ/m2, in place of irradiance.
fn tilted_hour(row: &Row) -> [f64; 3] {
    let (cos_zenith, plane) = (angles(row).direction().up, plane(row));
    let sky = SkyModel::Isotropic.diffuse(&SkyInput {
        dni_w_m2: input(row, "Ib") / cos_zenith,
        dhi_w_m2: input(row, "Id"),
        extraterrestrial_normal_w_m2: HANDBOOK_SOLAR_CONSTANT_W_M2,
        zenith_rad: cos_zenith.acos(),
        cos_incidence: cosine(row),
        tilt_rad: plane.tilt_rad,
    });
    let beam = beam_on_plane_w_m2(input(row, "Ib") / cos_zenith, cosine(row));
    [beam, sky.total_w_m2(), ground_reflected_w_m2(1.04, input(row, "albedo"), plane.tilt_rad)]
}

/// Example 2.19.1: monthly mean on a tilted plane with isotropic sky.
fn tilted_month_mj_m2(row: &Row) -> f64 {
    // The printed mean-day declinations the example takes from table 1.6.1, deg.
    let printed_deg = match input(row, "month") as u32 {
        1 => -20.9,
        3 => -2.4,
        5 => 18.8,
        7 => 21.2,
        9 => 2.2,
        11 => -18.9,
        other => panic!("no declination for month {other}"),
    };
    let declination_rad = f64::to_radians(printed_deg);
    let latitude_rad = input(row, "lat").to_radians();
    let tilt_rad = input(row, "tilt").to_radians();
    let global = input(row, "H");
    let sunset_rad = sunset_hour_angle_rad(latitude_rad, declination_rad);
    let diffuse = global * diffuse_frac_erbs_monthly(global / input(row, "H0"), sunset_rad);
    (global - diffuse) * beam_ratio_klein(latitude_rad, declination_rad, tilt_rad)
        + diffuse * sky_view_frac(tilt_rad)
        + ground_reflected_w_m2(global, input(row, "albedo"), tilt_rad)
}

/// The worked example of the sun position algorithm, down to its intermediate results.
fn worked_position(quantity: &str) -> f64 {
    let instant = Instant { delta_t_s: 67.0, ..Instant::from_utc(2003, 10, 17, 19.0 + 30.5 / 60.0) };
    let place = Observer { latitude_deg: 39.742476, longitude_deg: -105.1786, elevation_m: 1830.14 };
    let (centre, sun) = (Geocentric::at(instant), position(instant, &place));
    let lift_rad = refraction_rad(FRAC_PI_2 - sun.zenith_rad, 82_000.0, 11.0);
    let local_hour_angle_rad =
        centre.sidereal_time_rad + place.longitude_deg.to_radians() - centre.right_ascension_rad;
    let rad = match quantity {
        "Julian day" => return instant.julian_day_ut,
        "radius vector R" => return centre.distance_au,
        "equation of time" => return centre.equation_of_time_min,
        "heliocentric longitude L" => centre.heliocentric_longitude_rad,
        "heliocentric latitude B" => centre.heliocentric_latitude_rad,
        "geocentric longitude" => centre.heliocentric_longitude_rad + PI,
        "nutation in longitude" => centre.nutation_longitude_rad,
        "nutation in obliquity" => centre.nutation_obliquity_rad,
        "true obliquity" => centre.true_obliquity_rad,
        "apparent sun longitude" => centre.apparent_longitude_rad,
        "right ascension" => centre.right_ascension_rad,
        "declination" => centre.declination_rad,
        "local hour angle" => local_hour_angle_rad,
        "topocentric right ascension" => {
            centre.right_ascension_rad + local_hour_angle_rad - sun.hour_angle_rad
        }
        "topocentric declination" => sun.declination_topocentric_rad,
        "topocentric hour angle" => sun.hour_angle_rad,
        "elevation without refraction" => FRAC_PI_2 - sun.zenith_rad,
        "refraction" => lift_rad,
        "zenith angle" => sun.zenith_rad - lift_rad,
        "azimuth from north" => sun.azimuth_rad,
        other => panic!("no such quantity in the worked example: {other}"),
    };
    rad.to_degrees()
}

/// What the library gives for a row, in the row's unit; `None` where it has no such formula.
fn found(row: &Row) -> Option<f64> {
    let value = match (row.text("topic"), row.text("quantity")) {
        ("sun_position", quantity) => worked_position(quantity),
        // Paper 56's own declination series (0.409 sin(...)) is not in the library.
        (_, "declination") if row.text("unit") == "rad" => return None,
        (_, "inverse relative distance") => distance_factor_cosine(input(row, "J")),
        // Paper 56: printed declination 0.120 rad for this day.
        ("sunset", _) if row.text("unit") == "rad" => {
            sunset_hour_angle_rad(input(row, "lat").to_radians(), 0.120)
        }
        (_, "extraterrestrial radiation Ra") => {
            let normal_w_m2 = 0.0820e6 / 60.0 * distance_factor_cosine(input(row, "J"));
            1e-6 * extraterrestrial_day_j_m2(normal_w_m2, input(row, "lat").to_radians(), 0.120)
        }
        (_, "equation of time") => equation_of_time_spencer_min(34.0),
        (_, "solar time (hours)") => {
            let clock = StandardClock { hour: 10.5, utc_offset_h: -90.0 / 15.0 };
            solar_time_h(clock, -89.4, equation_of_time_spencer_min(34.0))
        }
        (_, "declination") => declination_cooper_rad(input(row, "n")).to_degrees(),
        (_, "cos incidence") => cosine(row),
        (_, "incidence angle") => incidence_rad(cosine(row)).to_degrees(),
        (_, "zenith") => angles(row).direction().zenith_rad().to_degrees(),
        (_, "solar azimuth from south, west positive") => {
            (angles(row).direction().azimuth_rad() - PI).to_degrees()
        }
        // The angle in the vertical plane through a wall's normal.
        (_, "profile angle") => {
            longitudinal_transversal_rad(&angles(row).direction(), &plane(row)).longitudinal_rad.to_degrees()
        }
        (_, "sunset hour angle") => {
            sunset_hour_angle_rad(input(row, "lat").to_radians(), declination_rad(row)).to_degrees()
        }
        (_, "Rb") => rb(row),
        (_, "H0" | "monthly mean H0") => h0_mj_m2(row),
        (_, "diffuse fraction (Erbs monthly)") => diffuse_frac_erbs_monthly(
            input(row, "H") / input(row, "H0"),
            sunset_hour_angle_rad(input(row, "lat").to_radians(), declination_rad(row)),
        ),
        (_, "diffuse (Erbs hourly)") => {
            input(row, "I") * Decomposition::Erbs.diffuse_frac(input(row, "clearness index"))
        }
        (_, "beam on plane") => tilted_hour(row)[0],
        (_, "sky diffuse on plane") => tilted_hour(row)[1],
        (_, "ground reflected on plane") => tilted_hour(row)[2],
        (_, "total on plane") => tilted_hour(row).iter().sum(),
        ("monthly_tilt", _) => tilted_month_mj_m2(row),
        (_, "reflectance of one surface") => surface_reflectance(1.0, input(row, "n")),
        (_, "transmittance (exact slab)") => {
            GlassCover::new(input(row, "n"), 32.0 * 0.0023, 1, CoverMethod::Traced).transmittance(0.5)
        }
        (_, "effective angle of sky diffuse") => {
            equivalent_sky_angle_rad(input(row, "tilt").to_radians()).to_degrees()
        }
        (_, "effective angle of ground-reflected") => {
            equivalent_ground_angle_rad(input(row, "tilt").to_radians()).to_degrees()
        }
        other => panic!("{}: nothing computes {other:?}", row.text("case_id")),
    };
    Some(value)
}

/// The printed number within the row's tolerance; where none is printed, the table's computed one to its last digit.
#[test]
fn sun_reference_textbook() {
    let mut differences = Differences::default();
    let mut without_formula = Vec::new();
    for row in rows_of(&own_folder().join("textbook.csv")) {
        let case = row.text("case_id");
        let Some(value) = found(&row) else {
            without_formula.push(case.to_owned());
            continue;
        };
        match row.maybe("printed") {
            Some(printed) => {
                differences.note(case, row.text("topic"), [value, printed], row.number("tolerance"))
            }
            None => differences.note(case, "computed", [value, row.number("computed")], 5e-7),
        }
    }
    assert_eq!(without_formula, ["B0125"], "rows for which the library has no formula");
    differences.finish("textbook");
}
