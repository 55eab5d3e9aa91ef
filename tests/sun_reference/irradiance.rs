//! Decomposition, sky models and clear sky.

use super::table::{Differences, rows};
use solar_geometry::sky::{SkyInput, SkyModel, air_mass_relative, beam_on_plane_w_m2, ground_reflected_w_m2};
use solar_geometry::surface::{Plane, beam_ratio, cos_incidence};
use std::f64::consts::FRAC_PI_2;

/// Explicit formulas (tables' README: 1e-5 W/m2); marked rows only finite and not negative.
#[test]
fn sun_reference_transposition() {
    let mut differences = Differences::default();
    for row in rows("transposition.csv") {
        let case = row.text("case_id");
        let plane = Plane::from_deg(row.number("tilt_deg"), row.number("surface_azimuth_deg"));
        let zenith_rad = row.radians("zenith_deg");
        let cosine = cos_incidence(zenith_rad, row.radians("azimuth_deg"), &plane);
        let input = SkyInput {
            dni_w_m2: row.number("dni_wm2"),
            dhi_w_m2: row.number("dhi_wm2"),
            extraterrestrial_normal_w_m2: row.number("dni_extra_wm2"),
            zenith_rad,
            cos_incidence: cosine,
            tilt_rad: plane.tilt_rad,
        };
        let beam = beam_on_plane_w_m2(input.dni_w_m2, cosine);
        let ground = ground_reflected_w_m2(row.number("ghi_wm2"), row.number("albedo"), plane.tilt_rad);
        let convention = row.number("convention_row") == 1.0;
        if !convention {
            differences.note(case, "beam", [beam, row.number("beam_wm2")], 1e-5);
            differences.note(case, "ground", [ground, row.number("ground_wm2")], 1e-5);
            differences.note(case, "cosine", [cosine, row.number("cos_incidence")], 1e-9);
            if zenith_rad < FRAC_PI_2 {
                differences.note(case, "Rb", [beam_ratio(cosine, zenith_rad.cos()), row.number("rb")], 1e-7);
            }
            if let Some(expected) = row.maybe("airmass") {
                differences.note(case, "air mass", [air_mass_relative(zenith_rad), expected], 1e-8);
            }
        }
        for (model, name) in [
            (SkyModel::Isotropic, "isotropic"),
            (SkyModel::HayDavies, "haydavies"),
            (SkyModel::Hdkr, "hdkr"),
            (SkyModel::Perez1990, "perez"),
        ] {
            let sky = model.diffuse(&input);
            let total = beam + ground + sky.total_w_m2();
            if convention {
                assert!(
                    sky.total_w_m2() >= 0.0 && total.is_finite() && total >= 0.0,
                    "{case} {name}: {sky:?}"
                );
                continue;
            }
            differences.note(case, name, [sky.total_w_m2(), row.number(&format!("sky_{name}_wm2"))], 1e-5);
            differences.note(case, name, [total, row.number(&format!("total_{name}_wm2"))], 1e-5);
            let parts =
                [("iso", sky.isotropic_w_m2), ("circ", sky.circumsolar_w_m2), ("horizon", sky.horizon_w_m2)];
            let given = match model {
                SkyModel::Isotropic => 0,
                SkyModel::HayDavies => 2,
                SkyModel::Hdkr | SkyModel::Perez1990 => 3,
            };
            for (part, found) in &parts[..given] {
                let column = format!("{name}_{part}_wm2");
                differences.note(case, &format!("{name} {part}"), [*found, row.number(&column)], 1e-5);
            }
        }
    }
    differences.finish("transposition");
}
