//! Incidence angle modifiers, glass covers and their means over sky and ground.

use super::table::{Differences, Row, rows};
use solar_geometry::modifier::{
    AngleModifier, AngleTable, CoverMethod, GlassCover, equivalent_ground_angle_rad, equivalent_sky_angle_rad,
};

fn cover(row: &Row, panes: u32, method: CoverMethod) -> GlassCover {
    GlassCover::new(row.number("param_a"), row.number("param_b"), panes, method)
}

fn table_modifier(points: &[Row], id: &str) -> AngleModifier {
    let curve: Vec<_> = points
        .iter()
        .filter(|point| point.text("table_id") == id)
        .map(|point| (point.number("theta_deg"), point.number("iam")))
        .collect();
    AngleModifier::Table(AngleTable::from_deg(&curve).expect("a curve of iam_tables.csv"))
}

/// Explicit formulas (tables' README: 1e-8).
#[test]
fn sun_reference_modifier() {
    let mut differences = Differences::default();
    let points = rows("iam_tables.csv");
    for row in rows("iam.csv") {
        let case = row.text("case_id");
        let theta_rad = row.radians("theta_deg");
        let modifier = match row.text("model") {
            "b0" => AngleModifier::OneParameter { b0: row.number("param_a"), straight_tail: false },
            "b0b1" => AngleModifier::TwoParameter { b0: row.number("param_a"), b1: row.number("param_b") },
            "table" => table_modifier(&points, row.text("table_id")),
            "one_surface" => AngleModifier::Glass(cover(&row, 1, CoverMethod::FrontSurface)),
            "cover" => {
                let panes = row.number("covers") as u32;
                let traced = cover(&row, panes, CoverMethod::Traced);
                let product = cover(&row, panes, CoverMethod::Product);
                for (column, found) in [
                    ("transmittance_exact", traced.transmittance(theta_rad.cos())),
                    ("transmittance_product", product.transmittance(theta_rad.cos())),
                    ("iam_product", AngleModifier::Glass(product).at(theta_rad)),
                ] {
                    differences.note(case, column, [found, row.number(column)], 1e-8);
                }
                AngleModifier::Glass(traced)
            }
            other => panic!("{case}: no such model: {other}"),
        };
        differences.note(case, row.text("model"), [modifier.at(theta_rad), row.number("iam")], 1e-8);
        differences.note(case, "by cosine", [modifier.at_cosine(theta_rad.cos()), row.number("iam")], 1e-8);
    }
    differences.finish("iam");
}

/// Fits by their formulas (1e-8), integrals by another quadrature (1e-4).
#[test]
fn sun_reference_modifier_diffuse() {
    let mut differences = Differences::default();
    for row in rows("iam_diffuse.csv") {
        let case = row.text("case_id");
        let tilt_rad = row.radians("tilt_deg");
        let modifier = match row.text("model") {
            "b0" => AngleModifier::OneParameter { b0: row.number("param_a"), straight_tail: false },
            "b0b1" => AngleModifier::TwoParameter { b0: row.number("param_a"), b1: row.number("param_b") },
            "cover1" => AngleModifier::Glass(cover(&row, 1, CoverMethod::Traced)),
            other => panic!("{case}: no such model: {other}"),
        };
        let sky_angle_rad = equivalent_sky_angle_rad(tilt_rad);
        let ground_angle_rad = equivalent_ground_angle_rad(tilt_rad);
        for (column, found) in [
            ("theta_e_sky_deg", sky_angle_rad.to_degrees()),
            ("theta_e_ground_deg", ground_angle_rad.to_degrees()),
            ("iam_sky_fit", modifier.at(sky_angle_rad)),
            ("iam_ground_fit", modifier.at(ground_angle_rad)),
            ("iam_60deg", modifier.at(60_f64.to_radians())),
        ] {
            differences.note(case, column, [found, row.number(column)], 1e-8);
        }
        for (integral, angle, found) in [
            ("iam_sky_integral", "theta_equiv_sky_deg", modifier.sky_mean(tilt_rad)),
            ("iam_ground_integral", "theta_equiv_ground_deg", modifier.ground_mean(tilt_rad)),
        ] {
            // Blank where no ground is seen.
            if let Some(expected) = row.maybe(integral) {
                differences.note(case, integral, [found, expected], 1e-4);
            }
            if let Some(angle_deg) = row.maybe(angle) {
                differences.note(case, angle, [modifier.at(angle_deg.to_radians()), found], 1e-4);
            }
        }
    }
    differences.finish("iam_diffuse");
}
