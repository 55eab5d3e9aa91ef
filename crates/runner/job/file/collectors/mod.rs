//! The collector field: `[collectors]` with what was ordered and `[collectors.rating]` with the rating sheet.
//!
//! Coefficients belong to one reference area. The job says which, and the field's area is taken on the same basis; the
//! nominal size of the order is compared with the sheet, because mixing them is the commonest mistake.
//!
//! `curve` reads the efficiency in the form the sheet has it, `area` the area it belongs to, `angle` the modifier for
//! slanting light, `array` how the collectors are piped, `sheet` the sheet's daily outputs as a check of the rest.

mod angle;
mod area;
mod array;
mod curve;
mod sheet;

use solar_geometry::modifier::AngleModifier;
use thermal_network::spec::CollectorSpec;

use self::area::feet2;
use self::curve::Curve;
use super::section::Section;
use crate::job::CollectorField;
use crate::job::quantity::words::{Panels, panels};
use crate::job::quantity::{Kind, rounded};
use crate::rating::collector::{beam_peak_frac, from_2013};
use crate::rating::sheet::Rated;

const ABSENT: &str = "not on the rating sheet";

/// The field and how it takes slanting light.
pub(super) struct Collectors {
    pub spec: CollectorSpec,
    pub field: CollectorField,
    pub modifier: AngleModifier,
    pub diffuse_modifier: Option<f64>,
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
    let arrangement = array::read(&section, size.count);
    let each_m2 = area::reference_m2(&rating, &size);
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
    let curve = curve::read(&rating, each_m2);
    let mut spec = coefficients(&rating, each_m2 * size.count, &curve);
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
    let modifier = angle::modifier(&rating);
    if curve.hemispherical {
        let diffuse = diffuse_modifier.unwrap_or_else(|| modifier.sky_mean(0.0));
        spec.eta0b = beam_peak_frac(spec.eta0b, diffuse);
        let source = "eta0_hem/(0.85 + 0.15 kd): a clear sky has 15 % diffuse light (ISO 9806, from memory)";
        rating.note("eta0b", rounded(spec.eta0b), Some((spec.eta0b, "")), Some(source));
    }
    let one = CollectorSpec { area_m2: each_m2, ..spec };
    let test_flow_w_m2_k = curve.test_flow_w_m2_k;
    let rated = Rated { spec: &one, modifier: &modifier, diffuse_modifier, flow_w_m2_k: test_flow_w_m2_k };
    let printed_j = sheet::read(&rating, &rated);
    let field = CollectorField { arrangement, test_flow_w_m2_k, printed_j };
    Collectors { spec, field, modifier, diffuse_modifier }
}

/// All coefficients of a field of that reference area, as the 2017 edition has them.
fn coefficients(rating: &Section<'_>, area_m2: f64, curve: &Curve) -> CollectorSpec {
    let plain = |key, kinds| rating.ask(key, kinds).or("0", ABSENT);
    let spec = CollectorSpec {
        area_m2,
        eta0b: curve.mean.eta0_frac,
        a1_w_m2_k: curve.mean.a1_w_m2_k,
        a2_w_m2_k2: curve.mean.a2_w_m2_k2,
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
            .possible("1", "64")
            .or("6", "fully mixed cells along the flow; one is 1.5 % low, very many 0.4 % high")
            as usize,
    };
    let calm = rating.choice(
        "edition",
        &[("2017", false), ("2013", true)],
        ("2017", "edition of ISO 9806; it matters to sheets with wind terms only"),
    );
    if !calm {
        return spec;
    }
    let spec = from_2013(&spec);
    let source = "the 2013 edition counts wind from calm air, the model from 3 m/s";
    let a1 = format!("{} W/(m2 K) at 3 m/s", rounded(spec.a1_w_m2_k));
    rating.note("a1", a1, Some((spec.a1_w_m2_k, "W/(m2 K)")), Some(source));
    spec
}
