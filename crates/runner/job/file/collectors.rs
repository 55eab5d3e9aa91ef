//! The collector field: `[collectors]` with what was ordered and `[collectors.rating]` with the rating sheet.
//!
//! Coefficients belong to one reference area. The job says which, and the field's area is taken on the same basis; the
//! nominal size of the order is compared with the sheet, because mixing them is the commonest mistake.

use solar_geometry::modifier::{AngleModifier, AngleTable};
use thermal_network::spec::CollectorSpec;

use super::section::Section;
use crate::job::quantity::words::{Panels, panels};
use crate::job::quantity::{Kind, rounded};
use crate::problem::{Problem, Severity};

const FLAT_PLATE: &str = "middle of single-glazed selective flat plates (common practice)";
const ABSENT: &str = "not on the rating sheet";
const SQUARE_FOOT_M2: f64 = 0.3048 * 0.3048;

/// The field and how it takes slanting light.
pub(super) struct Collectors {
    pub spec: CollectorSpec,
    pub modifier: AngleModifier,
    pub diffuse_modifier: Option<f64>,
}

/// Area to which the coefficients refer.
#[derive(Clone, Copy, PartialEq)]
enum Basis {
    Gross,
    Aperture,
}

pub(super) fn read(root: &Section<'_>) -> Collectors {
    let section = root.section("collectors");
    let rating = section.section("rating");
    let size = section.words_or(
        "size",
        ("two 4x8 ft", "the usual pair for a household (common practice)"),
        panels,
        |panels| {
            format!(
                "{} of {} ft2 ({} m2) nominal",
                panels.count,
                feet2(panels.nominal_m2),
                rounded(panels.nominal_m2)
            )
        },
    );
    let size = size.unwrap_or(Panels { count: f64::NAN, nominal_m2: f64::NAN });
    let each_m2 = area(&rating, &size);
    section.note(
        "area",
        format!(
            "{} ft2 ({} m2) reference area of the field",
            feet2(each_m2 * size.count),
            rounded(each_m2 * size.count)
        ),
        Some((each_m2 * size.count, "m2")),
        Some("number of collectors x area of one"),
    );
    refuse_inlet_basis(&rating);
    let plain = |key, kinds| rating.ask(key, kinds).or("0", ABSENT);
    let spec = CollectorSpec {
        area_m2: each_m2 * size.count,
        eta0b: rating
            .ask("eta0b", &[Kind::Number])
            .possible("0.01", "1")
            .usual("0.35", "0.95")
            .or("0.75", FLAT_PLATE),
        a1_w_m2_k: rating
            .ask("a1", &[Kind::Loss])
            .possible("0 W/m2K", "40 W/m2K")
            .usual("0.3 W/m2K", "25 W/m2K")
            .or("3.8 W/m2K", FLAT_PLATE),
        a2_w_m2_k2: rating
            .ask("a2", &[Kind::LossRise])
            .possible("0 W/m2K2", "1 W/m2K2")
            .usual("0 W/m2K2", "0.05 W/m2K2")
            .or("0.012 W/m2K2", FLAT_PLATE),
        a3_j_m3_k: rating.ask("a3", &[Kind::WindLoss]).possible("0 J/m3K", "20 J/m3K").or("0 J/m3K", ABSENT),
        a4_frac: plain("a4", &[Kind::Share]),
        a5_j_m2_k: rating
            .ask("a5", &[Kind::CapacityPerArea])
            .possible("0.5 kJ/m2K", "200 kJ/m2K")
            .usual("3 kJ/m2K", "30 kJ/m2K")
            .or("8 kJ/m2K", "flat plates have 5 to 12 (common practice)"),
        a6_s_m: rating.ask("a6", &[Kind::PerWind]).possible("0 s/m", "0.2 s/m").or("0 s/m", ABSENT),
        a7_s_m: rating.ask("a7", &[Kind::PerWind]).possible("0 s/m", "0.2 s/m").or("0 s/m", ABSENT),
        a8_w_m2_k4: rating
            .ask("a8", &[Kind::FourthPowerLoss])
            .possible("0 W/m2K4", "1e-6 W/m2K4")
            .or("0 W/m2K4", ABSENT),
        cells: rating
            .ask("cells", &[Kind::Count])
            .possible("1", "100")
            .or("6", "fully mixed cells along the flow; one is 1.5 % low, very many 0.4 % high")
            as usize,
    };
    doubt_loss(&rating, &spec);
    let diffuse_modifier =
        rating.ask("kd", &[Kind::Number]).possible("0", "1.5").usual("0.7", "1.3").given().map(|kd| kd.si);
    if diffuse_modifier.is_none() {
        rating.note(
            "kd",
            "from the angle modifier",
            None,
            Some("its mean over the sky and the ground that the plane sees"),
        );
    }
    Collectors { spec, modifier: modifier(&rating), diffuse_modifier }
}

fn feet2(area_m2: f64) -> String {
    rounded(area_m2 / SQUARE_FOOT_M2)
}

/// Reference area of one collector in m2, on the basis of the coefficients.
fn area(rating: &Section<'_>, size: &Panels) -> f64 {
    let basis = rating.choice(
        "coefficients_on",
        &[("gross", Basis::Gross), ("aperture", Basis::Aperture)],
        ("gross", "rating sheets after ISO 9806:2017 and in the US refer to gross area"),
    );
    let of = |key| rating.ask(key, &[Kind::Area]).possible("1 ft2", "400 ft2").given().map(|area| area.si);
    let (gross, aperture) = (of("gross_area"), of("aperture_area"));
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
    if let Some(aperture) = aperture {
        let outer = gross.unwrap_or(nominal);
        if aperture > outer {
            let problem = Problem::new(
                Severity::Error,
                format!(
                    "aperture area {} ft2 is larger than the whole collector, {} ft2",
                    feet2(aperture),
                    feet2(outer)
                ),
            )
            .label("too large")
            .help("enter areas of one collector; the aperture is the part under the glass");
            rating.report("aperture_area", problem);
        } else if aperture > 0.98 * outer {
            let problem = Problem::new(
                Severity::Warning,
                format!(
                    "aperture area {} ft2 is nearly the whole collector, {} ft2",
                    feet2(aperture),
                    feet2(outer)
                ),
            )
            .label("is this the gross area?")
            .help("the aperture of a flat plate is 90 to 95 % of its gross area");
            rating.report("aperture_area", problem);
        }
    }
    match (basis, gross, aperture) {
        (Basis::Aperture, _, Some(area)) | (Basis::Gross, Some(area), _) => area,
        (Basis::Aperture, _, None) => {
            let problem = Problem::new(
                Severity::Error,
                "the coefficients are on aperture area, but the aperture area is not given",
            )
            .label("on which area?")
            .help(format!(
                "add aperture_area from the rating sheet; the nominal {} ft2 is not the aperture",
                feet2(nominal)
            ));
            rating.report("coefficients_on", problem);
            f64::NAN
        }
        (Basis::Gross, None, _) => {
            let words = format!("{} ft2 ({} m2)", feet2(nominal), rounded(nominal));
            rating.note("gross_area", words, Some((nominal, "m2")), Some("nominal size of one collector"));
            nominal
        }
    }
}

/// A flat plate's loss in Btu/h ft2 F taken for W/m2K looks like that of a very good tube.
fn doubt_loss(rating: &Section<'_>, spec: &CollectorSpec) {
    if (0.3..0.95).contains(&spec.a1_w_m2_k) && spec.eta0b > 0.6 {
        let loss = rounded(spec.a1_w_m2_k);
        let problem =
            Problem::new(Severity::Warning, format!("a loss of {loss} W/m2K is that of an evacuated tube"))
                .label("right unit?")
                .help(format!(
                    "US sheets give it in Btu/h ft2 F: write \"{loss} Btu/h ft2 F\" if that is meant"
                ));
        rating.report("a1", problem);
    }
}

/// Rating sheets on inlet temperature give a straight line. It cannot be used as it stands, so say what to enter.
fn refuse_inlet_basis(rating: &Section<'_>) {
    for key in ["intercept", "slope"] {
        if rating.has(key) {
            let problem = Problem::new(
                Severity::Error,
                format!("`{key}` belongs to efficiency over inlet temperature"),
            )
            .label("not this form")
            .help("enter eta0b, a1 and a2 over the mean fluid temperature (ISO 9806) from the same sheet");
            rating.report(key, problem);
        }
    }
    let mean = rating.choice(
        "temperature_basis",
        &[("mean fluid", true), ("inlet", false)],
        ("mean fluid", "ISO 9806 coefficients refer to the mean fluid temperature"),
    );
    if !mean {
        let problem =
            Problem::new(Severity::Error, "coefficients on inlet temperature cannot be used as they stand")
                .label("not this form")
                .help(
                    "enter eta0b, a1 and a2 over the mean fluid temperature (ISO 9806) from the same sheet",
                );
        rating.report("temperature_basis", problem);
    }
}

/// How beam falls off with the angle, from `[collectors.rating.angle]`.
fn modifier(rating: &Section<'_>) -> AngleModifier {
    let section = rating.section("angle");
    let b1 = section.ask("b1", &[Kind::Number]).possible("-1", "1").given().map(|b1| b1.si);
    let points = |key: &'static str| {
        let angles = section.list("angles", &[Kind::Angle], None)?;
        let factors = section.list(key, &[Kind::Number], Some(angles.len()))?;
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
                (Some(longitudinal), Some(transversal)) => {
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
