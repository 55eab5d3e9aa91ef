//! How beam falls off with the angle, from `[collectors.rating.angle]`.

use solar_geometry::modifier::{AngleModifier, AngleTable};

use super::super::section::Section;
use crate::job::quantity::{Kind, rounded};
use crate::problem::{Problem, Severity};
use crate::rating::collector::b0_from_50_deg;

/// How beam falls off with the angle, from `[collectors.rating.angle]`.
///
/// A biaxial modifier knows angles along and across the slope; tubes that lie across the slope swap the two tables.
pub(super) fn modifier(rating: &Section<'_>) -> AngleModifier {
    let section = rating.section("angle");
    let biaxial = section.has("longitudinal") || section.has("transversal");
    if section.has("tubes_run") && !biaxial {
        let problem =
            Problem::new(Severity::Warning, "the way the tubes run does not matter to this modifier")
                .label("not used")
                .help("give `angles` with `longitudinal` (along the tubes) and `transversal` (across them)");
        section.report("tubes_run", problem);
    }
    let b1 = section.ask("b1", &[Kind::Number]).possible("-1", "1").given().map(|b1| b1.si);
    let points = |key: &'static str| {
        let angles = section.list("angles", &[Kind::Angle], None)?;
        let factors = section.list(key, &[Kind::Number], Some(angles.len()))?;
        if let Some(factor) = factors.iter().find(|factor| **factor > 3.0) {
            let problem = Problem::new(Severity::Error, format!("a factor of {factor} cannot be"))
                .label("in percent?")
                .help("factors count from 1 at 0 deg: write \"93 %\" or 0.93 for 93 percent");
            section.report(key, problem);
            return None;
        }
        if angles.first() == Some(&0.0) && factors.first().is_some_and(|first| (first - 1.0).abs() > 0.02) {
            let problem =
                Problem::new(Severity::Warning, format!("`{key}` starts with {} at 0 deg", factors[0]))
                    .label("usually 1")
                    .help("modifiers are relative to light straight on the glass; is a column shifted?");
            section.report(key, problem);
        }
        let points: Vec<(f64, f64)> = angles.iter().map(|rad| rad.to_degrees()).zip(factors).collect();
        AngleTable::from_deg(&points)
            .map_err(|error| {
                section.report(
                    key,
                    Problem::new(Severity::Error, error.to_string()).label("does not make a table"),
                )
            })
            .ok()
    };
    let tables = ["angles", "values", "longitudinal", "transversal"].map(|key| section.has(key));
    if tables.contains(&true) {
        return match tables {
            [true, true, false, false] => points("values").map_or(AngleModifier::None, AngleModifier::Table),
            [true, false, true, true] => match (points("longitudinal"), points("transversal")) {
                (Some(along), Some(across)) => {
                    doubt_axes(&section, &along, &across);
                    let upright = section.choice(
                        "tubes_run",
                        &[("up the slope", true), ("across the slope", false)],
                        ("up the slope", "tubes usually stand upright, header on top (common practice)"),
                    );
                    let (longitudinal, transversal) = if upright { (along, across) } else { (across, along) };
                    AngleModifier::Biaxial { longitudinal, transversal }
                }
                _ => AngleModifier::None,
            },
            _ => {
                let problem = Problem::new(Severity::Error, "an angle table is incomplete")
                    .help("give `angles` with `values`, or `angles` with `longitudinal` and `transversal`");
                section.report("angles", problem);
                AngleModifier::None
            }
        };
    }
    if let Some(modifier) =
        section.ask("at_50_deg", &[Kind::Number]).possible("0.5", "1.2").usual("0.8", "1").given()
    {
        for key in ["b0", "b1"].into_iter().filter(|key| section.has(key)) {
            let problem =
                Problem::new(Severity::Error, format!("`{key}` and `at_50_deg` say the same thing twice"))
                    .label("which one?")
                    .help("keep one of them");
            section.report(key, problem);
        }
        let b0 = b0_from_50_deg(modifier.si);
        section.note("b0", rounded(b0), Some((b0, "")), Some("from the modifier at 50 deg"));
        return AngleModifier::OneParameter { b0, straight_tail: false };
    }
    let b0 = section
        .ask("b0", &[Kind::Number])
        .possible("-0.5", "1")
        .usual("0", "0.35")
        .or("0.1", "one cover of glass has 0.1 to 0.2 (common practice)");
    match b1 {
        Some(b1) => AngleModifier::TwoParameter { b0, b1 },
        None => AngleModifier::OneParameter { b0, straight_tail: false },
    }
}

/// Round tubes take more light from the side; along the tubes the factor falls as under any glass.
fn doubt_axes(section: &Section<'_>, along: &AngleTable, across: &AngleTable) {
    let at_50 = |table: &AngleTable| table.at(50f64.to_radians());
    if at_50(along) > 1.05 && at_50(across) < 1.0 {
        let problem = Problem::new(
            Severity::Warning,
            "the longitudinal factors rise and the transversal ones fall",
        )
        .label("the other way round?")
        .help(
            "longitudinal is along the tubes and falls; transversal is across them and often rises above 1",
        );
        section.report("longitudinal", problem);
    }
}
