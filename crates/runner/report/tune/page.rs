//! The page of a study of tuning.

use maud::{Markup, html};

use super::Told;
use crate::record::Column;
use crate::report::sheet::{Part, Sheet, figure, foot, made_note, verdict};
use crate::safety::CONFIRM;

/// Columns of the tables, for their definitions.
const DEFINED: [Column; 6] = [
    Column::EqualServiceSaved,
    Column::PumpHours,
    Column::PumpStarts,
    Column::CoolShowerMinutes,
    Column::LukewarmHours,
    Column::LukewarmSpell,
];

pub(super) fn html(told: &Told<'_>, pictures: &[(&'static str, String)]) -> String {
    let mut figures = pictures.iter().map(|(_, svg)| figure(svg));
    let first = html! {
        (made_note(told.weather))
        (verdict(&told.sentence()))
        @for line in told.dials() { p { (line) } }
        (figures.next().unwrap_or_default())
        h2 { "First, before any dial" }
        (suspects(told))
    };
    let part = |id, title, body| Part { id, title, body };
    let parts = [
        part("maps", "Pictures", html! { @for figure in figures { (figure) } }),
        part("candidates", "Every candidate", candidates(told)),
        part("assumed", "What was kept, and what was assumed", kept(told)),
        part("definitions", "What the numbers mean", definitions(told)),
    ];
    let foot = foot(told.date, told.version, told.weather);
    Sheet { name: &told.study.name, about: "Solar hot water, how to set it", foot }.page(&first, &parts)
}

fn kept(told: &Told<'_>) -> Markup {
    html! {
        p {
            "One typical year in the weather of " (told.weather.site.called()) " for each of " (told.rows.len())
            " settings. All savings are counted at equal service: hot water that came too cool counts as bought. Temperatures and "
            "hours are reported, not judged: scald, Legionella, frost and pressure are for local code and a licensed professional; "
            (CONFIRM) "."
        }
        ul { @for line in told.floors() { li { (line) } } }
    }
}

fn suspects(told: &Told<'_>) -> Markup {
    html! {
        p { (told.first()) }
        table.plain {
            caption { "What each fault takes a year; below zero it helps" }
            thead { tr { th scope="col" { "Fault" } th scope="col" { "Takes a year" } th scope="col" { "Is" } } }
            tbody {
                @for i in 0..told.findings.suspects.len() {
                    @let (name, costs, here) = told.suspected(i);
                    tr { th scope="row" { (name) } td { (costs) } td { (here) } }
                }
            }
        }
        p {
            "A sensor that is not clipped on misses 30 % of the difference to its surroundings; one of the wrong type reads 9 \u{b0}F "
            "(5 K) off; a flow far too high is three times that of the job (common practice)."
        }
    }
}

fn candidates(told: &Told<'_>) -> Markup {
    let rows = [told.study.start].into_iter().chain(told.ranked());
    html! {
        section.wide tabindex="0" aria-label="Every candidate" {
            table.plain {
                caption { "Now, then by what is saved; a year each" }
                thead {
                    tr {
                        th scope="col" { "Setting" }
                        @for head in told.heads() { th scope="col" { (head) } }
                        th scope="col" { "Breaks a floor" }
                    }
                }
                tbody {
                    @for trial in rows {
                        tr {
                            th scope="row" {
                                @if trial == told.study.start { "now" } @else { (told.label(trial)) }
                                @if trial == told.findings.proposal && trial != told.study.start { " \u{2013} proposed" }
                            }
                            @for cell in told.cells(trial) { td { (cell) } }
                            td { (told.breaks(trial)) }
                        }
                    }
                }
            }
        }
    }
}

fn definitions(told: &Told<'_>) -> Markup {
    html! {
        dl {
            @if told.findings.worth.in_money {
                dt { "Saved in money" }
                dd { "Bill without sun less bill with sun in the first year, at equal service and the prices of the job." }
            }
            @for info in DEFINED.iter().map(|column| column.info()) {
                dt { (info.label) @if info.unit != "-" { " (" (info.unit) ")" } }
                dd { (info.definition) " " code { (info.key) } }
            }
        }
    }
}
