//! The dullest and the hottest week in words.

use maud::{Markup, html};

use super::Report;
use crate::job::quantity::when::span_words;
use crate::picture::{grouped, kwh};
use crate::record::{Column, Week, WeekKind};

/// Both weeks beside each other; nothing for a result without hours.
pub(super) fn section(report: &Report<'_>, weeks: &[Week]) -> Markup {
    html! {
        @if !weeks.is_empty() {
            div.pair {
                @for week in weeks {
                    div {
                        h2 { (heading(week)) }
                        p {
                            @match week.kind {
                                WeekKind::Dullest => (dullest(report, week)),
                                WeekKind::Hottest => (hottest(report, week)),
                            }
                        }
                    }
                }
            }
        }
    }
}

fn heading(week: &Week) -> String {
    let what = match week.kind {
        WeekKind::Dullest => "The worst week for sun",
        WeekKind::Hottest => "The hottest week",
    };
    format!("{what}: {}", span_words(week.first_day, Week::DAYS))
}

fn dullest(report: &Report<'_>, week: &Week) -> Markup {
    let sums = &week.accounts;
    let coolest = report.units.show(Column::CoolestShower, sums[Column::CoolestShower]);
    html! {
        "With a mean of " (report.units.shown_level(sums[Column::Air])) " outdoors the sun gave " (kwh(sums[Column::HeatIntoTank]))
        " of heat in seven days and the backup " (kwh(sums[Column::BackupHeat])) ", for " (kwh(sums[Column::Load]))
        " of hot water. "
        @if sums[Column::CoolShowerMinutes] >= 0.5 {
            "Showers ran cool for " (grouped(sums[Column::CoolShowerMinutes], 0)) " minutes"
        } @else { "No shower came below " (report.units.shown_level(report.job.water_use.usable_c)) }
        @if coolest.0 >= 0.5 {
            "; the coolest came " (grouped(coolest.0, 0)) " " (coolest.1) " below the temperature asked for"
        }
        "."
    }
}

fn hottest(report: &Report<'_>, week: &Week) -> Markup {
    let sums = &week.accounts;
    let (drawn, unit) = report.units.show(Column::TapVolume, sums[Column::TapVolume]);
    html! {
        "The tank reached " (report.units.shown_level(sums[Column::HottestTank])) " and the collector "
        (report.units.shown_level(sums[Column::HottestCollector])) ", with " (grouped(drawn, 0)) " " (unit) " of hot water drawn in seven days"
        @if drawn < 0.5 { " (nobody at home)" }
        ". "
        @if sums[Column::Stagnation] >= 0.5 {
            "For " (grouped(sums[Column::Stagnation], 0)) " hours the sun shone on a hot collector while a limit held the pump off "
            "(stagnation). "
        } @else if report.job.control_w > 0.0 { "The pump was never held off in hot sun (stagnation). " }
        "The backup gave " (kwh(sums[Column::BackupHeat])) "."
    }
}
