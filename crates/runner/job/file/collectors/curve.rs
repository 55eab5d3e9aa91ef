//! Efficiency from the rating sheet: over mean fluid temperature as the model needs it, or over inlet temperature.

use thermal_network::fluid::Fluid;

use super::super::section::Section;
use crate::job::quantity::size::R_VALUE_W_M2_K;
use crate::job::quantity::words::loop_fluid;
use crate::job::quantity::{Kind, Quantity, rounded};
use crate::problem::{Problem, Severity};
use crate::rating::collector::{InletCurve, MeanCurve};
use crate::rating::sheet::USUAL_FLOW_W_M2_K;

const FLAT_PLATE: &str = "middle of single-glazed selective flat plates (common practice)";
const TEST: &str = "flow of the usual test (from memory)";
const FROM_SHEET: &str = "from the line over inlet temperature at the test's flow";

/// Temperature of the fluid in a test at which its properties are taken, in degC.
const TEST_C: f64 = 40.0;

/// What the sheet's numbers hang on.
#[derive(Clone, Copy, PartialEq)]
enum Over {
    Mean,
    Inlet,
}

/// Peak efficiency, linear loss and its rise, with the flow of the test per reference area.
pub(super) struct Curve {
    pub mean: MeanCurve,
    pub test_flow_w_m2_k: f64,
    /// True if the peak efficiency is for a clear sky's mix of light.
    pub hemispherical: bool,
}

/// Reads the coefficients; `each_m2` is the reference area of one collector.
pub(super) fn read(rating: &Section<'_>, each_m2: f64) -> Curve {
    let line = ["intercept", "slope", "second_order"].into_iter().find(|key| rating.has(key));
    let default = match line {
        Some(_) => ("inlet", "intercept and slope of US sheets refer to the inlet temperature"),
        None => ("mean fluid", "ISO 9806 coefficients refer to the mean fluid temperature"),
    };
    let over =
        rating.choice("temperature_basis", &[("mean fluid", Over::Mean), ("inlet", Over::Inlet)], default);
    match line {
        Some(key) => {
            for twice in ["eta0b", "eta0_hem", "a1", "a2"].into_iter().filter(|key| rating.has(key)) {
                let problem =
                    Problem::new(Severity::Error, format!("`{twice}` and `{key}` say the same thing twice"))
                        .label("which one?")
                        .help("keep intercept, slope and second_order, or eta0b, a1 and a2");
                rating.report(twice, problem);
            }
            straight_line(rating, over, each_m2)
        }
        None => {
            if over == Over::Inlet {
                let problem = Problem::new(
                    Severity::Error,
                    "eta0b, a1 and a2 hang on the mean fluid temperature",
                )
                .label("not this form")
                .help("copy the sheet's numbers over inlet temperature as intercept, slope and second_order");
                rating.report("temperature_basis", problem);
            }
            coefficients(rating)
        }
    }
}

/// `eta0b` or `eta0_hem`, `a1`, `a2`.
fn coefficients(rating: &Section<'_>) -> Curve {
    let peak = |key| rating.ask(key, &[Kind::Number]).possible("0.01", "1").usual("0.35", "0.95");
    let hemispherical = rating.has("eta0_hem");
    if hemispherical && rating.has("eta0b") {
        let problem = Problem::new(Severity::Error, "`eta0_hem` and `eta0b` say the same thing twice")
            .label("which one?")
            .help("keep eta0b, for beam, if the sheet has both");
        rating.report("eta0_hem", problem);
    }
    let eta0_frac = match peak("eta0_hem").given() {
        Some(peak) => peak.si,
        None => peak("eta0b").or("0.75", FLAT_PLATE),
    };
    let a1 = rating
        .ask("a1", &[Kind::Loss])
        .possible("0 W/m2K", "40 W/m2K")
        .usual("0.3 W/m2K", "25 W/m2K")
        .or_any("3.8 W/m2K", FLAT_PLATE);
    doubt_unit(rating, "a1", &a1, eta0_frac);
    let a2_w_m2_k2 = rating
        .ask("a2", &[Kind::LossRise])
        .possible("0 W/m2K2", "1 W/m2K2")
        .usual("0 W/m2K2", "0.05 W/m2K2")
        .or("0.012 W/m2K2", FLAT_PLATE);
    Curve {
        mean: MeanCurve { eta0_frac, a1_w_m2_k: a1.si, a2_w_m2_k2 },
        test_flow_w_m2_k: USUAL_FLOW_W_M2_K,
        hemispherical,
    }
}

/// `intercept`, `slope` and `second_order`, with the test's flow and fluid.
///
/// US sheets print the losses with their minus; with or without it they are losses.
fn straight_line(rating: &Section<'_>, over: Over, each_m2: f64) -> Curve {
    for key in ["intercept", "slope"].into_iter().filter(|key| !rating.has(key)) {
        let problem = Problem::new(Severity::Error, format!("the rating has no `{key}`"))
            .label("not the whole line")
            .help("give intercept and slope, and second_order where the sheet has one");
        let given = if key == "slope" { "intercept" } else { "slope" };
        rating.report(if rating.has(given) { given } else { "second_order" }, problem);
    }
    let intercept = rating
        .ask("intercept", &[Kind::Number])
        .possible("0.01", "1")
        .usual("0.35", "0.95")
        .given()
        .map_or(f64::NAN, |intercept| intercept.si);
    let missing = Quantity::faulty(Kind::Loss);
    let slope =
        rating.ask("slope", &[Kind::Loss]).possible("-40 W/m2K", "40 W/m2K").given().unwrap_or(missing);
    let second = rating
        .ask("second_order", &[Kind::LossRise])
        .possible("-1 W/m2K2", "1 W/m2K2")
        .usual("-0.05 W/m2K2", "0.05 W/m2K2")
        .or("0 W/m2K2", "a straight line");
    if second != 0.0 && (second < 0.0) != (slope.si < 0.0) {
        let problem = Problem::new(Severity::Warning, "slope and second order have different signs")
            .label("sign left out?")
            .help("both are taken as losses; copy both with their minus, or both without");
        rating.report("second_order", problem);
    }
    doubt_unit(rating, "slope", &Quantity { si: slope.si.abs(), ..slope }, intercept);
    let test_flow_w_m2_k = test_flow(rating, each_m2);
    let (slope_w_m2_k, second_w_m2_k2) = (slope.si.abs(), second.abs());
    if slope_w_m2_k > 0.8 * test_flow_w_m2_k {
        let problem = Problem::new(
            Severity::Error,
            format!("a flow of {} W/K per m2 cannot carry this slope", rounded(test_flow_w_m2_k)),
        )
        .label("too little flow")
        .help("tests run at about 0.02 kg/(s m2), 0.03 gpm/ft2: of one collector, on the area of the coefficients");
        rating.report("test_flow", problem);
    }
    if over == Over::Mean {
        let mean = MeanCurve { eta0_frac: intercept, a1_w_m2_k: slope_w_m2_k, a2_w_m2_k2: second_w_m2_k2 };
        return Curve { mean, test_flow_w_m2_k, hemispherical: false };
    }
    let curve = InletCurve { intercept_frac: intercept, slope_w_m2_k, second_w_m2_k2 };
    let mean = curve.over_mean(test_flow_w_m2_k);
    if mean.a1_w_m2_k < 0.0 {
        let what = "over the mean fluid temperature this curve would gain heat where it should lose it";
        let problem = Problem::new(Severity::Error, what).label("too steep for its slope").help(
            "second_order is about a hundredth of the slope: \"-0.001 Btu/h ft2 F2\"; is a digit missing?",
        );
        rating.report("second_order", problem);
    }
    let note = |key, value: f64, unit| {
        rating.note(
            key,
            format!("{} {unit}", rounded(value)).trim_end(),
            Some((value, unit)),
            Some(FROM_SHEET),
        );
    };
    note("eta0b", mean.eta0_frac, "");
    note("a1", mean.a1_w_m2_k, "W/(m2 K)");
    note("a2", mean.a2_w_m2_k2, "W/(m2 K2)");
    Curve { mean, test_flow_w_m2_k, hemispherical: false }
}

/// Heat capacity of the test's flow per reference area in W/(m2 K).
fn test_flow(rating: &Section<'_>, each_m2: f64) -> f64 {
    let glycol = rating
        .words_or("test_fluid", ("water", "fluid of the usual test (from memory)"), loop_fluid, |_| {
            String::new()
        })
        .unwrap_or(0.0);
    let fluid = if glycol > 0.0 { Fluid::PropyleneGlycol { volume_frac: glycol } } else { Fluid::Water };
    const KINDS: &[Kind] =
        &[Kind::MassFlowPerArea, Kind::VolumeFlowPerArea, Kind::MassFlow, Kind::VolumeFlow];
    let flow = rating.ask("test_flow", KINDS).or_any("0.02 kg/(s m2)", TEST);
    let (density, heat) = (fluid.density_kg_m3(TEST_C), fluid.specific_heat_j_kg_k(TEST_C));
    let flow_kg_s_m2 = match flow.kind {
        Kind::VolumeFlowPerArea => flow.si * density,
        Kind::MassFlow => flow.si / each_m2,
        Kind::VolumeFlow => flow.si * density / each_m2,
        _ => flow.si,
    };
    if !(0.002..=0.2).contains(&flow_kg_s_m2) && !flow_kg_s_m2.is_nan() {
        let problem = Problem::new(
            Severity::Error,
            format!("no test runs at {} kg/(s m2)", rounded(flow_kg_s_m2)),
        )
        .label("not possible")
        .help(
            "tests run at about 0.02 kg/(s m2) or 0.03 gpm/ft2; a flow without area is that of one collector",
        );
        rating.report("test_flow", problem);
    }
    flow_kg_s_m2 * heat
}

/// Losses per area in Btu/(h ft2 F) and in W/(m2 K) are 5.678 apart: a flat plate taken wrongly looks like a very good tube,
/// or like a bare pool collector.
fn doubt_unit(rating: &Section<'_>, key: &'static str, loss: &Quantity, peak_frac: f64) {
    let shown = if loss.us { loss.si / R_VALUE_W_M2_K } else { loss.si };
    let shown = rounded(shown);
    let (kind, help) = if !loss.us && (0.3..0.95).contains(&loss.si) && peak_frac > 0.6 {
        (
            format!("{shown} W/m2K is that of an evacuated tube"),
            format!("US sheets give it in Btu/h ft2 F: write \"{shown} Btu/h ft2 F\" if that is meant"),
        )
    } else if loss.us && loss.si > 10.0 {
        (
            format!("{shown} Btu/h ft2 F is that of a bare pool collector"),
            format!("sheets give it in W/m2K too: write \"{shown} W/m2K\" if that is meant"),
        )
    } else {
        return;
    };
    rating.report(
        key,
        Problem::new(Severity::Warning, format!("a loss of {kind}")).label("right unit?").help(help),
    );
}
