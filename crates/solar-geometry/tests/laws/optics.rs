//! Incidence angle modifiers and their means.

use proptest::prelude::*;
use solar_geometry::modifier::{AngleModifier, AngleTable, CoverMethod, GlassCover, TableError};
use solar_geometry::sky::sky_view_frac;
use solar_geometry::surface::{Direction, Plane, ProjectedAngles};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

fn tube(points_deg: &[(f64, f64)]) -> AngleTable {
    AngleTable::from_deg(points_deg).expect("ascending angles")
}

/// An invented evacuated tube: transversal above 1, longitudinal like a flat plate.
fn invented_tubes() -> AngleModifier {
    AngleModifier::Biaxial {
        longitudinal: tube(&[(0.0, 1.0), (40.0, 0.98), (60.0, 0.9), (90.0, 0.0)]),
        transversal: tube(&[(0.0, 1.0), (30.0, 1.08), (60.0, 1.35), (90.0, 0.0)]),
    }
}

fn some_modifiers() -> Vec<AngleModifier> {
    vec![
        AngleModifier::None,
        AngleModifier::OneParameter { b0: 0.12, straight_tail: false },
        AngleModifier::OneParameter { b0: 0.12, straight_tail: true },
        AngleModifier::OneParameter { b0: -0.05, straight_tail: false },
        AngleModifier::TwoParameter { b0: 0.2, b1: -0.02 },
        AngleModifier::TwoParameter { b0: -0.1, b1: 0.05 },
        AngleModifier::Table(tube(&[(0.0, 1.0), (50.0, 0.95), (70.0, 0.7)])),
        invented_tubes(),
        AngleModifier::Glass(GlassCover::new(1.526, 0.03, 2, CoverMethod::Traced)),
    ]
}

/// Sky and ground together are the whole hemisphere before the plane, whatever its tilt (quadrature: 1e-5, biaxial
/// 1e-4).
#[test]
fn sky_and_ground_make_the_hemisphere() {
    for modifier in some_modifiers() {
        let hemisphere = modifier.sky_mean(0.0);
        for tilt_deg in [5.0_f64, 30.0, 45.0, 60.0, 90.0, 120.0, 175.0] {
            let tilt_rad = tilt_deg.to_radians();
            let sky_frac = sky_view_frac(tilt_rad);
            let both =
                sky_frac * modifier.sky_mean(tilt_rad) + (1.0 - sky_frac) * modifier.ground_mean(tilt_rad);
            let tolerance = if matches!(modifier, AngleModifier::Biaxial { .. }) { 1e-4 } else { 1e-5 };
            assert!((both - hemisphere).abs() < tolerance, "{modifier:?} {tilt_deg}: {both} {hemisphere}");
        }
        let (sky, ground) = (modifier.sky_mean(FRAC_PI_2), modifier.ground_mean(FRAC_PI_2));
        assert!((sky - ground).abs() < 1e-4, "a wall sees as much of both: {modifier:?}");
    }
}

/// Known integrals: nothing taken away gives 1; the b0 line without its floor gives 1 - b0 on a horizontal plane, and
/// with the floor (from cos = b0/(1 + b0) = c on) 1 + b0 - 2 b0 - c^2 (1 + b0) + 2 b0 c = 0.90909... for b0 = 0.1.
#[test]
fn means_with_known_integrals() {
    assert!((AngleModifier::None.sky_mean(0.7) - 1.0).abs() < 1e-12);
    let b0 = 0.1;
    let edge = b0 / (1.0 + b0);
    let expected = (1.0 + b0) * (1.0 - edge * edge) - 2.0 * b0 * (1.0 - edge);
    let found = AngleModifier::OneParameter { b0, straight_tail: false }.sky_mean(0.0);
    assert!((found - expected).abs() < 1e-5, "{found} {expected}");
    assert_eq!(AngleModifier::None.ground_mean(0.0), 0.0);
}

/// The biaxial mean against a plain double sum over the sky in zenith and azimuth.
#[test]
fn biaxial_mean_by_a_plain_sum() {
    let modifier = invented_tubes();
    let plane = Plane::from_deg(40.0, 180.0);
    let (mut sum, mut weight) = (0.0, 0.0);
    let steps = 500;
    for i in 0..steps {
        let zenith_rad = FRAC_PI_2 * (f64::from(i) + 0.5) / f64::from(steps);
        for j in 0..2 * steps {
            let azimuth_rad = TAU * (f64::from(j) + 0.5) / f64::from(2 * steps);
            let from = Direction::from_angles(zenith_rad, azimuth_rad);
            let facing = from.dot(&plane.normal()).max(0.0) * zenith_rad.sin();
            sum += facing * modifier.beam(&from, &plane);
            weight += facing;
        }
    }
    let found = modifier.sky_mean(plane.tilt_rad);
    assert!((found - sum / weight).abs() < 1e-4, "{found} {}", sum / weight);
}

/// Tables say what is wrong with them, and are completed at both ends.
#[test]
fn tables_are_checked_and_completed() {
    assert_eq!(AngleTable::from_deg(&[]), Err(TableError::Empty));
    assert_eq!(AngleTable::from_deg(&[(0.0, 1.0), (0.0, 0.9)]), Err(TableError::Order { point: 1 }));
    assert_eq!(AngleTable::from_deg(&[(95.0, 1.0)]), Err(TableError::Order { point: 0 }));
    assert_eq!(AngleTable::from_deg(&[(0.0, 1.0), (50.0, f64::NAN)]), Err(TableError::Factor { point: 1 }));
    let table = tube(&[(50.0, 0.9)]);
    assert!((table.at(25_f64.to_radians()) - 0.95).abs() < 1e-12);
    assert!((table.at(-70_f64.to_radians()) - 0.45).abs() < 1e-12);
    assert_eq!(table.at(PI), 0.0);
}

proptest! {
    /// From 0 to 90 deg every modifier is finite, starts at 1, never negative, never above its largest printed or
    /// fitted value, and is zero behind the plane; every way to ask gives the same answer.
    #[test]
    fn modifiers_keep_their_bounds(angle_deg in 0.0..180.0) {
        let angle_rad = f64::to_radians(angle_deg);
        for modifier in some_modifiers() {
            let factor = modifier.at(angle_rad);
            prop_assert!((0.0..=1.4).contains(&factor), "{modifier:?} {factor}");
            prop_assert!((modifier.at(0.0) - 1.0).abs() < 1e-12);
            prop_assert!((modifier.at_cosine(angle_rad.cos()) - factor).abs() < 1e-9);
            if angle_deg >= 90.0 {
                prop_assert_eq!(factor, 0.0);
            }
        }
    }

    /// Past 60 deg, sets whose formula turns up continue downwards.
    #[test]
    fn two_parameters_never_climb_past_sixty(b0 in 0.0..0.4, b1 in -0.1..0.1, angle_deg in 60.0..90.0, step in 0.0..5.0) {
        let modifier = AngleModifier::TwoParameter { b0, b1 };
        let later_rad = f64::to_radians(angle_deg + step);
        prop_assert!(modifier.at(later_rad) <= modifier.at(f64::to_radians(angle_deg)) + 1e-12);
    }

    /// A modifier of the incidence angle alone does not care how it splits into projections.
    #[test]
    fn projections_of_an_even_modifier(longitudinal_deg in 0.0..89.0, transversal_deg in 0.0..89.0) {
        let angles = ProjectedAngles {
            longitudinal_rad: f64::to_radians(longitudinal_deg),
            transversal_rad: f64::to_radians(transversal_deg),
        };
        let incidence_rad = angles.longitudinal_rad.tan().hypot(angles.transversal_rad.tan()).atan();
        let modifier = AngleModifier::OneParameter { b0: 0.1, straight_tail: false };
        prop_assert!((modifier.at_projected(&angles) - modifier.at(incidence_rad)).abs() < 1e-9);
        let tubes = invented_tubes();
        let along = ProjectedAngles { transversal_rad: 0.0, ..angles };
        prop_assert!(tubes.at_projected(&along) <= 1.0);
    }

    /// Glass: a share between nothing and all passes, less through two panes than through one.
    #[test]
    fn glass_passes_a_share(cos_incidence in 1e-9..=1.0, optical_depth in 0.0..0.2) {
        for method in [CoverMethod::Traced, CoverMethod::Product] {
            let one = GlassCover::new(1.526, optical_depth, 1, method).transmittance(cos_incidence);
            let two = GlassCover::new(1.526, optical_depth, 2, method).transmittance(cos_incidence);
            prop_assert!((0.0..1.0).contains(&two) && two <= one && one < 1.0, "{method:?} {one} {two}");
        }
    }
}
