//! The reference area of one collector: gross, aperture or absorber, as the coefficients need it.

use super::super::section::Section;
use crate::job::quantity::size::SQUARE_FOOT_M2;
use crate::job::quantity::words::Panels;
use crate::job::quantity::{Kind, rounded};
use crate::problem::{Problem, Severity};

/// Area to which the coefficients refer.
#[derive(Clone, Copy, PartialEq)]
enum Basis {
    Gross,
    Aperture,
    Absorber,
}

/// Reference area of one collector in m2, on the basis of the coefficients.
pub(super) fn reference_m2(rating: &Section<'_>, size: &Panels) -> f64 {
    let basis = rating.choice(
        "coefficients_on",
        &[("gross", Basis::Gross), ("aperture", Basis::Aperture), ("absorber", Basis::Absorber)],
        ("gross", "rating sheets after ISO 9806:2017 and in the US refer to gross area"),
    );
    let of = |key| rating.ask(key, &[Kind::Area]).possible("1 ft2", "400 ft2").given().map(|area| area.si);
    let (gross, aperture, absorber) = (of("gross_area"), of("aperture_area"), of("absorber_area"));
    let nominal = size.nominal_m2;
    if let Some(gross) = gross
        && (gross / nominal - 1.0).abs() > 0.04
    {
        let problem = Problem::new(
            Severity::Warning,
            format!("gross area {} ft2 does not fit the nominal {} ft2", feet2(gross), feet2(nominal)),
        )
        .label(if gross < nominal { "is this the aperture?" } else { "is this the whole field?" })
        .help("enter areas of one collector; the gross area is within a few percent of the nominal size");
        rating.report("gross_area", problem);
    }
    let outer = gross.unwrap_or(nominal);
    for (key, part, given) in
        [("aperture_area", "aperture", aperture), ("absorber_area", "absorber", absorber)]
    {
        let Some(given) = given else { continue };
        let ft2 = (feet2(given), feet2(outer));
        if given > outer {
            let problem = Problem::new(
                Severity::Error,
                format!("{part} area {} ft2 is larger than the whole collector, {} ft2", ft2.0, ft2.1),
            )
            .label("too large")
            .help(format!("enter areas of one collector; the {part} is the part under the glass"));
            rating.report(key, problem);
        } else if given > 0.98 * outer {
            let problem = Problem::new(
                Severity::Warning,
                format!("{part} area {} ft2 is nearly the whole collector, {} ft2", ft2.0, ft2.1),
            )
            .label("is this the gross area?")
            .help(format!("the {part} of a flat plate is 90 to 95 % of its gross area"));
            rating.report(key, problem);
        }
    }
    let missing = |part: &str| {
        let problem = Problem::new(
            Severity::Error,
            format!("the coefficients are on {part} area, but the {part} area is not given"),
        )
        .label("on which area?")
        .help(format!(
            "add {part}_area from the rating sheet; the nominal {} ft2 is not the {part}",
            feet2(nominal)
        ));
        rating.report("coefficients_on", problem);
        f64::NAN
    };
    match basis {
        Basis::Aperture => aperture.unwrap_or_else(|| missing("aperture")),
        Basis::Absorber => absorber.unwrap_or_else(|| missing("absorber")),
        Basis::Gross => gross.unwrap_or_else(|| {
            let words = format!("{} ft2 ({} m2)", feet2(nominal), rounded(nominal));
            rating.note("gross_area", words, Some((nominal, "m2")), Some("nominal size of one collector"));
            nominal
        }),
    }
}

/// Square feet in words.
pub(super) fn feet2(area_m2: f64) -> String {
    rounded(area_m2 / SQUARE_FOOT_M2)
}
