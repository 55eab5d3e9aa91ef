//! `[bills]`: twelve bills of the house before the sun, from which a range of savings finds the hot-water use.

use super::section::Section;
use crate::job::PastBills;
use crate::job::quantity::Kind;
use crate::job::quantity::size::BTU_J;
use crate::problem::{Problem, Severity};

/// 100,000 Btu.
const THERM_KWH: f64 = 1e5 * BTU_J / 3.6e6;

pub(super) fn read(root: &Section<'_>) -> Option<PastBills> {
    let section = root.section("bills");
    if !section.is_given() {
        return None;
    }
    let kwh = section.list("kwh", &[Kind::Number], Some(12));
    let therms = section.list("therms", &[Kind::Number], Some(12));
    if section.has("kwh") == section.has("therms") {
        let problem = Problem::new(Severity::Error, "[bills] holds either `kwh` or `therms`")
            .label("one of them")
            .help("write the twelve bills from January on, kwh = [410, 380, ...], of what the present heater runs on");
        section.report("therms", problem);
    }
    let size = if therms.is_some() { THERM_KWH } else { 1.0 };
    let whole_house = section.choice(
        "cover",
        &[("whole house", true), ("water heater", false)],
        ("whole house", "a house has one meter: the three lowest months count, when least else is heated"),
    );
    let other = section
        .list("other_use", &[Kind::Number], Some(12))
        .map_or([0.0; 12], |other| std::array::from_fn(|month| other[month] * size));
    if whole_house && !section.has("other_use") {
        let what = "without `other_use` all of the three lowest bills counts as hot water";
        let help = "write other_use = [...], twelve months of what the rest of the house takes, in the unit of the bills";
        section.report("kwh", Problem::new(Severity::Note, what).label("hot water only?").help(help));
    }
    let bought = therms.or(kwh)?;
    if bought.iter().any(|month| !(0.0..=1e6).contains(month)) {
        section.report(
            "kwh",
            Problem::new(Severity::Error, "a bill cannot be negative or that large").label("not possible"),
        );
    }
    let water_kwh = std::array::from_fn(|month| bought[month] * size - other[month]);
    let mut months: Vec<usize> = (0..12).collect();
    if whole_house {
        months.sort_by(|a, b| bought[*a].total_cmp(&bought[*b]));
        months.truncate(3);
    }
    Some(PastBills { water_kwh, months })
}
