//! `[money]`: what the solar plant costs through the years.

use super::super::section::Section;
use super::{Purse, YEAR_S, growth};
use crate::job::quantity::Kind;
use crate::money::{Dated, Incentive, Plan, VERIFY};
use crate::problem::{Problem, Severity};

/// Most that a sum may be.
const SUMS: (&str, &str) = ("$0", "$100000000");

/// What the section says; `None` without an installed cost.
pub(super) fn read(section: &Section<'_>, purse: &Purse) -> Option<Plan> {
    let given = section.is_given();
    let cost = purse.ask(section, "installed_cost", &[Kind::Money], SUMS);
    let replacements = section.sections("replacement");
    let incentives = section.sections("incentive");
    let tank = section.section("tank_avoided");
    if !given {
        return None;
    }
    let years = section
        .ask("years", &[Kind::Count])
        .possible("1", "60")
        .usual("10", "30")
        .or("20", "collectors last 20 to 30 years (common practice)");
    let discount_frac = section
        .ask("discount_rate", &[Kind::Share])
        .possible("-5 %", "50 %")
        .usual("0 %", "12 %")
        .or("3 %", "a rate without inflation, as growth is (common practice)");
    let upkeep = upkeep(section, purse);
    let upkeep_growth_frac = growth(section, "upkeep_growth");
    let dated = |one: &Section<'_>, sum, year| dated(one, purse, (sum, year), years);
    let replacements: Vec<Dated> = replacements
        .iter()
        .map(|one| Dated { what: name(one, "what"), ..dated(one, "cost", "year") })
        .collect();
    let incentives: Vec<Incentive> = incentives.iter().map(|one| incentive(one, &dated)).collect();
    let tank_avoided = tank
        .is_given()
        .then(|| Dated { what: "heater that need not be replaced".into(), ..dated(&tank, "cost", "year") });
    if replacements.is_empty() {
        let what = "no part is replaced: pump or controller last some 8 to 15 years, glycol 3 to 8 (common practice)";
        section.note("replacement", "none", None, Some(what));
    }
    let Some(cost) = cost else {
        let problem = Problem::new(Severity::Note, "without `installed_cost` there is no payback");
        let help = "write installed_cost = \"$0\", what the customer pays, incentives not taken off";
        section.report("installed_cost", problem.label("no cost").help(help));
        return None;
    };
    Some(Plan {
        installed_cost: cost.si,
        upkeep_per_year: upkeep.unwrap_or_else(|share| share * cost.si),
        upkeep_growth_frac,
        // A fault is reported already.
        years: years as u32,
        discount_frac,
        replacements,
        incentives,
        tank_avoided,
    })
}

/// A sum a year, or a share of the installed cost.
fn upkeep(section: &Section<'_>, purse: &Purse) -> Result<f64, f64> {
    let found = section
        .ask("upkeep", &[Kind::MoneyPerTime, Kind::Share])
        .possible("0 %", "20 %")
        .or_any("1 %", "of the installed cost a year; 0.5 to 2 % (common practice)");
    purse.check(section, "upkeep", &found);
    if found.si < 0.0 {
        let problem = Problem::new(Severity::Error, "upkeep cannot be negative").label("not possible");
        section.report("upkeep", problem);
    }
    if found.kind == Kind::Share { Err(found.si) } else { Ok(found.si * YEAR_S) }
}

fn name(section: &Section<'_>, key: &'static str) -> String {
    let text = |text: &str| Ok(text.trim().to_string());
    let found = section.words(key, text, |_| String::new());
    if !section.has(key) {
        let problem = Problem::new(Severity::Error, format!("`{key}` is missing")).label("what is it?");
        section.report(key, problem.help(format!("write {key} = \"...\"")));
    }
    found.unwrap_or_default()
}

/// A sum in a year of the plan; both must be said.
fn dated(
    section: &Section<'_>,
    purse: &Purse,
    (sum, year): (&'static str, &'static str),
    years: f64,
) -> Dated {
    let amount = purse.ask(section, sum, &[Kind::Money], SUMS);
    let when = section.ask(year, &[Kind::Count]).possible("0", "60").given();
    for (key, given, help) in [
        (sum, amount.is_some(), format!("write {sum} = \"$0\"")),
        (year, when.is_some(), format!("write {year} = 1; 0 is the start, 1 the end of the first year")),
    ] {
        if !given {
            let problem = Problem::new(Severity::Error, format!("`{key}` is missing")).label("incomplete");
            section.report(key, problem.help(help));
        }
    }
    let when = when.map_or(f64::NAN, |when| when.si);
    if when > years {
        let what = format!("year {when} is after the {years} years looked at: this sum is not counted");
        section.report(year, Problem::new(Severity::Warning, what).label("too late"));
    }
    // A fault is reported already.
    Dated { what: String::new(), amount: amount.map_or(f64::NAN, |amount| amount.si), year: when as u32 }
}

fn incentive(
    section: &Section<'_>,
    dated: &impl Fn(&Section<'_>, &'static str, &'static str) -> Dated,
) -> Incentive {
    let paid = Dated { what: name(section, "name"), ..dated(section, "amount", "received") };
    let text = |text: &str| Ok(text.trim().to_string());
    let verified_on = section.words("verified_on", text, |_| VERIFY.to_owned());
    if verified_on.is_none() {
        let what = "nobody has said when this incentive was last verified";
        let problem = Problem::new(Severity::Warning, what).label(VERIFY);
        section.report(
            "verified_on",
            problem.help("programs change and end: read its rules, then write verified_on = \"2026-01-31\""),
        );
    }
    Incentive { paid, verified_on }
}
