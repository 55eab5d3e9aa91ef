//! The part of `suncask check` on the collector field: how it is piped, its line over inlet temperature, its daily outputs.

use std::fmt::Write as _;

use thermal_network::spec::CollectorSpec;

use crate::job::Job;
use crate::job::check::capacity_flow;
use crate::job::quantity::rounded;
use crate::job::quantity::size::{GPM_M3_S, R_VALUE_W_M2_K};
use crate::rating::collector::{InletCurve, MeanCurve};
use crate::rating::sheet::{CATEGORIES, Rated, SKIES};
use crate::rating::test_flow::field;

const KWH_J: f64 = 3.6e6;

/// Text on the field; empty without a solar loop.
pub(super) fn text(job: &Job) -> String {
    let Some(solar) = &job.plant.solar_loop else { return String::new() };
    let spec = &solar.collector;
    let known = &job.collectors;
    let arrangement = known.arrangement;
    let mean = MeanCurve { eta0_frac: spec.eta0b, a1_w_m2_k: spec.a1_w_m2_k, a2_w_m2_k2: 0.0 };
    let one = mean.straight_over_inlet(known.test_flow_w_m2_k);
    let (flow_kg_s, flow_w_k) = capacity_flow(solar);
    let whole = field(&one, known.test_flow_w_m2_k, flow_w_k / spec.area_m2, arrangement);
    let each_gpm =
        flow_kg_s / solar.fluid.density_kg_m3(60.0) / GPM_M3_S / f64::from(arrangement.in_parallel);
    let mut text = format!(
        "\nThe collectors as straight lines over inlet temperature (intercept, and slope with no difference):\n  \
         one at its test's flow     {}\n  the field at the loop's    {}\n  \
         {} one after the other, {} side by side: {} gal/min through each\n",
        line(&one),
        line(&whole),
        arrangement.in_series,
        arrangement.in_parallel,
        rounded(each_gpm)
    );
    text.push_str(&days(job, spec));
    text
}

fn line(curve: &InletCurve) -> String {
    let slope = curve.slope_w_m2_k;
    let (us, si) = (rounded(slope / R_VALUE_W_M2_K), rounded(slope));
    format!("{} and {us} Btu/(h ft2 F), {si} W/(m2 K)", rounded(curve.intercept_frac))
}

/// The table of daily outputs, worked out and copied.
fn days(job: &Job, whole: &CollectorSpec) -> String {
    let known = &job.collectors;
    let one = CollectorSpec { area_m2: whole.area_m2 / f64::from(known.arrangement.count()), ..*whole };
    let rated = Rated {
        spec: &one,
        modifier: &job.aspect.modifier,
        diffuse_modifier: job.aspect.diffuse_modifier,
        flow_w_m2_k: known.test_flow_w_m2_k,
    };
    let worked_j = rated.days_j();
    let cell = |category: usize, sky: usize| {
        let worked = format!("{:.1}", worked_j[sky][category] / KWH_J);
        match known.printed_j[sky][category] {
            Some(printed) => format!("{worked} ({:.1})", printed / KWH_J),
            None => worked,
        }
    };
    let mut text = String::from(
        "\nDaily output of one collector in kWh, worked out from the coefficients (in brackets: copied from the sheet):\n  inlet above air",
    );
    for sky in SKIES {
        let _ = write!(text, "{:>18}", sky.name);
    }
    for (category, (name, inlet_k)) in CATEGORIES.into_iter().enumerate() {
        let _ = write!(text, "\n  {name} {:>9}", format!("{} F", rounded_signed(inlet_k * 1.8)));
        text.push_str("    ");
        for sky in 0..SKIES.len() {
            let _ = write!(text, "{:>18}", cell(category, sky));
        }
    }
    text.push_str(
        "\n  Days of 2000, 1500 and 1000 Btu/ft2 and categories are those of US sheets (from memory); the course of the day is\n  \
         half a sine of ten hours, so expect a tenth of difference, more in D and E.\n",
    );
    text
}

fn rounded_signed(value: f64) -> String {
    if value < 0.0 { format!("-{}", rounded(-value)) } else { rounded(value) }
}
