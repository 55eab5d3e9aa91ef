//! The saving as low, likely and high: at a terminal and on the page.

use maud::{Markup, html};

use super::Report;
use crate::money::Currency;
use crate::picture::{grouped, kwh, money, percent};
use crate::study::range::{Driver, LowLikelyHigh, Moved, Range};

fn three(range: &LowLikelyHigh, shown: impl Fn(f64) -> String) -> String {
    format!("low {}, likely {}, high {}", shown(range.low), shown(range.likely), shown(range.high))
}

fn driver(moved: &Moved) -> String {
    let ends = match moved.driver {
        Driver::Weather => ["typical year", "poor year"],
        _ => ["one in ten below", "one in ten above"],
    };
    let share = if moved.share_frac < 0.005 { "below 1%".to_owned() } else { percent(moved.share_frac) };
    format!(
        "{}, {share} of the spread: {} ({}) to {} ({}); {}",
        moved.label,
        kwh(moved.at_low_kwh),
        ends[0],
        kwh(moved.at_high_kwh),
        ends[1],
        moved.range
    )
}

fn lines(range: &Range, currency: Option<Currency>) -> Vec<String> {
    let mut lines = vec![format!("{} a year at equal service", three(&range.saved_kwh, kwh))];
    if let Some((sums, currency)) = range.saved_money.as_ref().zip(currency) {
        lines.push(format!("{} in the first year", three(sums, |sum| money(currency, sum, 0))));
    }
    lines
}

fn how(range: &Range) -> String {
    let bills = match &range.bills {
        Some(fit) => format!(
            " The bills fit {} of the hot-water use in the job, give or take {} in a month.",
            percent(fit.factor),
            percent(fit.misfit_frac)
        ),
        None => String::new(),
    };
    format!(
        "In eight cases of ten the saving lies between low and high, from {} years run with all of the below let vary together \
         (seed {}). The job as it is given saves {}.{bills}",
        grouped(range.years as f64, 0),
        range.seed,
        kwh(range.as_given_kwh)
    )
}

/// The range for a terminal: paragraphs.
pub fn range_text(range: &Range, currency: Option<Currency>) -> Vec<String> {
    let mut text = lines(range, currency);
    text.push(how(range));
    text.extend(range.drivers.iter().map(|moved| format!("Let vary: {}", driver(moved))));
    text.push(format!("Not covered: {}", range.not_covered.join("; ")));
    text
}

/// The section of the page; nothing unless it was asked for.
pub(super) fn section(report: &Report<'_>) -> Markup {
    let currency = report.result.money.as_ref().map(|account| account.currency);
    html! {
        @if let Some(range) = report.range {
            ul { @for line in lines(range, currency) { li { strong { (line) } } } }
            p { (how(range)) }
            h3 { "What the range covers, the strongest first" }
            ul { @for moved in &range.drivers { li { (driver(moved)) } } }
            h3 { "What it does not cover" }
            ul { @for what in &range.not_covered { li { (what) } } }
        }
    }
}
