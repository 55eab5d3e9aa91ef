//! The page of a study of sizes.

use maud::{Markup, html};

use super::super::rules;
use super::super::sheet::{Part, Sheet, figure, foot, made_note, verdict, wide};
use super::{PLANE_HEADS, SizeReport, planes, rows, sentences};
use crate::job::quantity::rounded;
use crate::picture::Units;
use crate::record::Column;

/// So many sizes still stand on the first sheet of paper.
const ON_FIRST: usize = 15;

/// The page of the study.
pub fn page(report: &SizeReport<'_>, picture: &str) -> String {
    let said = sentences(report);
    let (every, short) = (every_size(report), rows(report).1.len() <= ON_FIRST);
    let first = html! {
        (made_note(report.weather))
        (not_complete(report))
        @if let Some(answer) = said.first() { (verdict(answer)) }
        ul { @for sentence in said.iter().skip(1) { li { (sentence) } } }
        @if short { (figure(picture)) (every) } @else { div.tall { (figure(picture)) } }
    };
    let part = |id, title, body| Part { id, title, body };
    let parts = [
        part("sizes", "Every size", html! { @if !short { (every) } }),
        part("planes", "The size that follows, on other planes", other_planes(report)),
        part(
            "rules",
            "Beside rules of thumb",
            html! { @if !report.rules.is_empty() { (rules::table("Rules beside the size", report.rules, Units::Us)) } },
        ),
        part("assumed", "What was assumed", assumed(report)),
        part("definitions", "What the numbers mean", definitions(report)),
    ];
    let foot = foot(report.date, report.version, report.weather);
    Sheet { name: report.name, about: "Solar hot water, how many collectors, which tank", foot }
        .page(&first, &parts)
}

fn not_complete(report: &SizeReport<'_>) -> Markup {
    let done = report.found.cells.iter().flatten().count();
    html! {
        @if done < report.found.cells.len() {
            p.warning role="note" {
                strong { "Not complete. " }
                "The study was stopped: " (done) " of " (report.found.cells.len()) " sizes are done."
            }
        }
    }
}

fn every_size(report: &SizeReport<'_>) -> Markup {
    let (heads, rows) = rows(report);
    wide(
        "Every size",
        &html! {
            table.plain {
                caption { "Every size, a year each" }
                thead {
                    tr {
                        @for head in &heads {
                            th scope="col" { @if head.is_empty() { "Answer" } @else { (head.replace('\n', " ")) } }
                        }
                    }
                }
                tbody { @for row in &rows { tr { @for cell in row { td { (cell) } } } } }
            }
        },
    )
}

fn other_planes(report: &SizeReport<'_>) -> Markup {
    let planes = planes(report);
    html! {
        @if !planes.is_empty() {
            table.plain {
                caption { "A year each" }
                thead { tr { @for head in PLANE_HEADS { th scope="col" { (head) } } } }
                tbody { @for row in &planes { tr { @for cell in row { td { (cell) } } } } }
            }
        }
    }
}

fn assumed(report: &SizeReport<'_>) -> Markup {
    html! {
        p {
            "Each size went through the same typical year of " (report.weather.site.called()) " with the same hot-water use. One "
            "collector is " (report.grid.each) "."
        }
        ul { @for said in &report.grid.said { li { (said) } } }
    }
}

fn definitions(report: &SizeReport<'_>) -> Markup {
    html! {
        dl {
            dt { "Saved" }
            dd {
                "First year's saving at equal service: hot water that came too cool counts as bought. "
                (Column::EqualServiceSaved.info().definition)
            }
            dt { "Share saved" } dd { (Column::EqualServiceFraction.info().definition) }
            dt { "Next saves" }
            dd {
                "What this number of collectors saves a year beyond the next smaller number with the same tank, for each collector "
                "more; in the first row of a tank, what each of its collectors saves."
            }
            dt { "Next pays back" } dd { "Cost of one more collector over what it saves a year." }
            dt { "Pays back" }
            dd { "Simple payback: paid at the start over the first year's saving less upkeep. Installed cost is the fixed cost, the "
                "collectors and the tank." }
            dt { "Present value" } dd { "All sums of the years looked at, discounted to the start." }
            dt { "Stagnation" } dd { (Column::Stagnation.info().definition) }
            dt { "Returns diminish" }
            dd { "Where the next collector brings less than " (rounded(100.0 * report.found.next_saves_at_least))
                " % of what the first one saves, each with the tank that suits it best." }
        }
    }
}
