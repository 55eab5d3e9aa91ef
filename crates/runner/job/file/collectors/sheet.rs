//! Daily outputs copied from the rating sheet, `[collectors.rating.sheet]`, beside those worked out from the coefficients.

use super::super::section::Section;
use crate::job::quantity::{Kind, rounded};
use crate::problem::{Problem, Severity};
use crate::rating::sheet::{CATEGORIES, Days, Rated, SKIES, agrees};

const KEYS: [&str; 3] = ["clear_day", "mildly_cloudy_day", "cloudy_day"];
const KWH_J: f64 = 3.6e6;

/// Reads what was copied and reports where it does not fit the coefficients; `rated` is one collector.
pub(super) fn read(rating: &Section<'_>, rated: &Rated<'_>) -> Days<Option<f64>> {
    let section = rating.section("sheet");
    let mut printed_j = [[None; 5]; 3];
    for (key, day) in KEYS.into_iter().zip(&mut printed_j) {
        let Some(values) = section.list(key, &[Kind::Energy], None) else { continue };
        if values.is_empty() || values.len() > CATEGORIES.len() {
            let problem = Problem::new(Severity::Error, format!("`{key}` has {} values", values.len()))
                .label("categories A to E")
                .help("write the outputs of one collector for categories A, B, C, D and E; zero where the sheet has a dash");
            section.report(key, problem);
            continue;
        }
        for (cell, value) in day.iter_mut().zip(values) {
            *cell = Some(value);
        }
    }
    if printed_j.iter().flatten().any(Option::is_some) {
        compare(&section, rated, &printed_j);
    }
    printed_j
}

/// One finding a day: its worst category.
fn compare(section: &Section<'_>, rated: &Rated<'_>, printed_j: &Days<Option<f64>>) {
    let worked_j = rated.days_j();
    let all_off_by_btu =
        printed_j.iter().flatten().zip(worked_j.iter().flatten()).all(|(printed, worked)| {
            // 3.412 Btu are a Wh.
            printed.is_none_or(|printed| printed == 0.0 || (3.0..3.9).contains(&(printed / worked)))
        });
    for (sky, key) in KEYS.into_iter().enumerate() {
        let sun_j = SKIES[sky].day_j_m2 * rated.spec.area_m2;
        let off = (0..CATEGORIES.len())
            .filter_map(|category| Some((category, printed_j[sky][category]?, worked_j[sky][category])))
            .filter(|&(_, printed, worked)| !worked.is_nan() && !agrees(printed, worked, sun_j))
            .max_by(|a, b| (a.1 - a.2).abs().total_cmp(&(b.1 - b.2).abs()));
        let Some((category, printed, worked)) = off else { continue };
        let kwh = |energy_j: f64| rounded(energy_j / KWH_J);
        let message = format!(
            "the coefficients give {} kWh on a {} day in category {}, the sheet has {} kWh",
            kwh(worked),
            SKIES[sky].name,
            CATEGORIES[category].0,
            kwh(printed)
        );
        let first_off = printed_j[sky][0].is_some_and(|printed| !agrees(printed, worked_j[sky][0], sun_j));
        let help = if all_off_by_btu {
            "all are 3.4 times too large: are these thousands of Btu?"
        } else if first_off {
            "category A hangs on area and peak efficiency: check them, and that the outputs are those of one collector"
        } else {
            "category A fits, so it is the loss: check slope or a1 and a2, and their unit; sheets may differ by a tenth"
        };
        section.report(
            key,
            Problem::new(Severity::Warning, message).label("does not fit the rating").help(help),
        );
    }
}
