//! L13: light on the plane from given angles.

use solar_geometry::sky::{SkyInput, SkyModel, beam_on_plane_w_m2, ground_reflected_w_m2};

use super::{Answer, answer, check};

/// Zenith and azimuth of the sun in degrees, beam, diffuse and extraterrestrial irradiance in W/m2.
const SUNS: [[f64; 5]; 2] = [[30.0, 200.0, 800.0, 120.0, 1340.0], [75.0, 120.0, 300.0, 60.0, 1390.0]];

/// Tilt and azimuth of the plane in degrees, reflectance of the ground.
const PLANE: [f64; 3] = [35.0, 190.0, 0.2];

/// All parts of the light on the plane, by the words of the table.
fn parts([zenith, azimuth, dni_w_m2, dhi_w_m2, extraterrestrial_normal_w_m2]: [f64; 5]) -> Vec<Answer> {
    let [tilt_rad, plane_rad] = [PLANE[0], PLANE[1]].map(f64::to_radians);
    let (zenith_rad, azimuth_rad) = (zenith.to_radians(), azimuth.to_radians());
    let cos_incidence = zenith_rad.cos() * tilt_rad.cos()
        + zenith_rad.sin() * tilt_rad.sin() * (azimuth_rad - plane_rad).cos();
    let input =
        SkyInput { dni_w_m2, dhi_w_m2, extraterrestrial_normal_w_m2, zenith_rad, cos_incidence, tilt_rad };
    let ghi_w_m2 = dni_w_m2 * zenith_rad.cos() + dhi_w_m2;
    let mut parts: Vec<Answer> = [
        ("isotropic", SkyModel::Isotropic),
        ("haydavies", SkyModel::HayDavies),
        ("perez", SkyModel::Perez1990),
    ]
    .iter()
    .map(|(word, model)| {
        answer(format!("zenith {zenith}: sky diffuse on plane, {word}"), model.diffuse(&input).total_w_m2())
    })
    .collect();
    let words = format!("zenith {zenith}, sun azimuth {azimuth}, tilt 35, azimuth 190: beam on plane");
    parts.push(answer(words, beam_on_plane_w_m2(dni_w_m2, cos_incidence)));
    let ground_w_m2 = ground_reflected_w_m2(ghi_w_m2, PLANE[2], tilt_rad);
    parts.push(answer(format!("zenith {zenith}: ground-reflected on plane"), ground_w_m2));
    parts
}

#[test]
fn limits_of_light_on_the_plane() {
    check("L13", &SUNS.map(parts).concat(), &[]);
}
