//! The page of a comparison.

use maud::{Markup, html};

use super::super::sheet::{Part, Sheet, capital, figure, foot, made_note, verdict};
use super::tables::{self, Month};
use super::{CompareReport, words};
use crate::picture::grouped;
use crate::record::{Column, MorningFigure};
use crate::study::compare::{Axis, Measure, PARTS};

pub(super) fn html(report: &CompareReport<'_>, pictures: &[(&'static str, String)]) -> String {
    let shown = |names: &[&str]| {
        html! {
            @for (_, svg) in pictures.iter().filter(|(name, _)| names.contains(name)) { (figure(svg)) }
        }
    };
    let first = html! {
        (made_note(report.weather))
        (verdict(&report.verdict()))
        @for sentence in report.further() { p { (sentence) } }
        (shown(&["plants"]))
        h2 { "Side by side" }
        (side_by_side(report))
    };
    let part = |id, title, body| Part { id, title, body };
    let parts = [
        part("to-know", "To know", remarks(report)),
        part("why", "Why they differ", html! { (ledger(report)) (shown(&["difference"])) }),
        part("by-month", "Month by month", html! { (shown(&["months"])) (by_month(report)) }),
        part("flips", "What flips it", flips(report)),
        part("definitions", "What the parts and the mornings mean", definitions()),
    ];
    let foot = foot(report.date, report.version, report.weather);
    Sheet { name: report.name, about: "Solar hot water, plants side by side", foot }.page(&first, &parts)
}

fn remarks(report: &CompareReport<'_>) -> Markup {
    html! {
        p {
            "Each plant goes through the same typical year, hour by hour: the same weather of " (report.weather.site.called())
            ", and all are measured against the heater the house has without sun. \u{201c}Equal service\u{201d} means that "
            "water which came too cool is charged as that heater would have bought it. Energy is in kWh, as on the electric "
            "bill."
        }
        @if !report.remarks.is_empty() || !report.missing.is_empty() {
            ul {
                @for remark in report.remarks { li { (remark) } }
                @for missing in report.missing { li { "Not known: " (missing.what) ". " (capital(&missing.add)) "." } }
            }
        }
    }
}

fn side_by_side(report: &CompareReport<'_>) -> Markup {
    html! {
        section.wide tabindex="0" aria-label="Side by side" {
            table.plain {
                caption { "In the year; the last column is what sets the first two of the verdict apart" }
                thead { tr { th scope="col" { "What" } @for head in report.heads() { th scope="col" { (head) } } } }
                tbody {
                    @for line in tables::lines(report) {
                        tr {
                            th scope="row" { (line.label) }
                            @for value in &line.values { td { (value) } }
                            td { (line.apart) }
                        }
                    }
                }
            }
        }
    }
}

fn month_table(caption: &str, heads: &[String], months: &[Month]) -> Markup {
    html! {
        section.wide tabindex="0" aria-label=(caption) {
            table {
                caption { (caption) }
                thead { tr { th scope="col" { "Month" } @for head in heads { th scope="col" { (head) } } } }
                tbody {
                    @for (month, cells) in months {
                        tr { th scope="row" { (month) } @for cell in cells { td { (cell) } } }
                    }
                }
            }
        }
    }
}

fn by_month(report: &CompareReport<'_>) -> Markup {
    let [best, other] = report.pair_names();
    let heads = [best.to_owned(), other.to_owned(), "Difference".to_owned()];
    html! {
        (month_table("Saved at equal service, kWh", &report.heads(), &tables::months(report)))
        @for (caption, column) in [
            ("Solar heat into the tank, kWh", Column::HeatIntoTank),
            ("Backup energy bought, kWh", Column::BackupPurchased),
        ] {
            (month_table(caption, &heads, &tables::pair_months(report, column)))
        }
    }
}

fn ledger(report: &CompareReport<'_>) -> Markup {
    let best = report.pair_names()[0];
    html! {
        p {
            "What \u{201c}" (best) "\u{201d} saves more than each other plant, in parts that add up to it. Parts above zero "
            "speak for it, parts below against it."
        }
        section.wide tabindex="0" aria-label="Why they differ" {
            table {
                caption { "kWh a year" }
                thead {
                    tr {
                        th scope="col" { "Part" }
                        @for difference in &report.comparison.differences {
                            th scope="col" { "less " (report.layouts[difference.than].name) }
                        }
                    }
                }
                tbody {
                    @for (label, cells) in tables::ledger(report) {
                        tr { th scope="row" { (label) } @for cell in cells { td { (cell) } } }
                    }
                }
            }
        }
        @for difference in &report.comparison.differences {
            @if difference.saved_kwh > 0.5 && difference.than != report.comparison.other {
                p {
                    "Against \u{201c}" (report.layouts[difference.than].name) "\u{201d}: " (words::causes(difference)) "."
                }
            }
        }
    }
}

fn flips(report: &CompareReport<'_>) -> Markup {
    let [best, other] = report.pair_names();
    let unit = match report.comparison.measure {
        Measure::Energy => "kWh",
        Measure::Money(currency) => currency.symbol(),
    };
    let at = |axis: Axis, value: f64| match axis {
        Axis::Thermostat => report.units.shown_level(value),
        _ => format!("\u{d7} {}", grouped(value, 2)),
    };
    html! {
        @if !report.comparison.flips.is_empty() {
            p {
                "How much more \u{201c}" (best) "\u{201d} saves than \u{201c}" (other) "\u{201d} (" (unit)
                " a year) where one thing is otherwise in both. Between the values the verdict is taken to change on a "
                "straight line."
            }
            table.plain {
                caption { "More saved a year, " (unit) }
                tbody {
                    @for flip in &report.comparison.flips {
                        tr {
                            th scope="row" { (axis_words(flip.axis)) }
                            @for (value, more) in &flip.points { td { (at(flip.axis, *value)) br; (grouped(*more, 0)) } }
                        }
                    }
                }
            }
        }
    }
}

fn axis_words(axis: Axis) -> &'static str {
    match axis {
        Axis::BackupTankLoss => "Loss of the backup tank",
        Axis::Thermostat => "Thermostat of all backup",
        Axis::DailyUse => "Hot water of every day",
    }
}

fn definitions() -> Markup {
    html! {
        dl {
            @for figure in [MorningFigure::USABLE, MorningFigure::SHOWERS] {
                dt { (figure.label) } dd { (figure.definition) " " code { (figure.key) } }
            }
            @for part in &PARTS { dt { (part.label) " (kWh)" } dd { (part.definition) " " code { (part.key) } } }
        }
        p { "Every other number is defined in study.json, and by " code { "suncask columns" } "." }
    }
}
