//! What changes a day's use through the year: `month_factors`, `absences`, `guests`.

use super::super::section::Section;
use crate::job::patterns::household;
use crate::job::quantity::{Fault, Kind, parse, when};
use crate::job::{DaySpan, Guests};
use crate::problem::{Problem, Severity};

pub(super) fn month_factors(section: &Section<'_>) -> [f64; 12] {
    match section.list("month_factors", &[Kind::Number], Some(12)) {
        Some(factors) => {
            if factors.iter().any(|factor| !(0.0..=10.0).contains(factor)) {
                section.report(
                    "month_factors",
                    Problem::new(Severity::Error, "a month's factor is outside 0 to 10")
                        .help("1 is an average month"),
                );
            }
            std::array::from_fn(|month| factors[month])
        }
        None => {
            if !section.has("month_factors") {
                section.note(
                    "month_factors",
                    "1 in all months",
                    None,
                    Some("the same use all year unless given"),
                );
            }
            [1.0; 12]
        }
    }
}

pub(super) fn absences(section: &Section<'_>) -> Vec<DaySpan> {
    section.texts("absences", when::days).unwrap_or_default().into_iter().flatten().collect()
}

/// `guests = ["Dec 20 - Jan 3: 3 people", "Jul 4: 1.5 times"]`. Guests count by the rule for people beside the `people` who
/// live there, else beside a family; `told` if the job's defaults name that family already.
pub(super) fn guests(section: &Section<'_>, people: Option<f64>, told: bool) -> Vec<Guests> {
    let beside = people.map_or(household::PEOPLE, |people| people.max(1.0));
    let found = section.texts("guests", |text| one(text, beside)).unwrap_or_default();
    if found.iter().any(|(_, by_people)| *by_people) && people.is_none() && !told {
        let source = "a family, beside which its guests count (common practice)";
        section.note("people", "4", Some((household::PEOPLE, "")), Some(source));
    }
    found.into_iter().flat_map(|(guests, _)| guests).collect()
}

/// Spans with their factor, and whether it comes from people.
fn one(text: &str, people: f64) -> Result<(Vec<Guests>, bool), Fault> {
    let Some(colon) = text.rfind(':') else {
        return Err(Fault::new(
            format!("`{text}` does not say when and how many"),
            "days: people",
            0..text.len(),
        )
        .help("write it like \"Dec 20 - Jan 3: 3 people\" or \"Jul 4: 1.5 times\""));
    };
    let spans = when::days(&text[..colon])?;
    let many = text[colon + 1..].trim();
    let number =
        |word: &str| many.strip_suffix(word).map(str::trim).and_then(|n| parse(n, &[Kind::Number]).ok());
    let by_people = ["people", "persons", "person", "guests", "guest"].into_iter().find_map(number);
    let factor = match (by_people, number("times")) {
        (Some(guests), _) if (0.0..=500.0).contains(&guests.si) => {
            household::people_m3(people + guests.si) / household::people_m3(people)
        }
        (None, Some(times)) if (0.0..=10.0).contains(&times.si) => times.si,
        _ => {
            let range = colon + 1..text.len();
            return Err(Fault::new(format!("`{many}` is no number of guests"), "how many?", range).help(
                "write \"3 people\" beside those who live there, or \"1.5 times\" (0 to 10) the usual use",
            ));
        }
    };
    let guests = spans.into_iter().map(|days| Guests { days, factor }).collect();
    Ok((guests, by_people.is_some()))
}
