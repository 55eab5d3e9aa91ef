//! The page of a study of tuning.

use maud::{Markup, PreEscaped, html};

use super::Told;
use crate::money::ESTIMATE;
use crate::record::Column;
use crate::report::sheet::sheet;
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
    let name = &told.study.name;
    let content = html! {
        (weather(told))
        p { strong { (told.sentence()) } }
        @for line in told.dials() { p { (line) } }
        h2 { "First, before any dial" }
        (suspects(told))
        h2 { "Pictures" }
        @for (_, svg) in pictures { figure tabindex="0" { (PreEscaped(svg)) } }
        h2 { "Every candidate" }
        (candidates(told))
        h2 { "What was kept, and what was assumed" }
        ul { @for line in told.floors() { li { (line) } } }
        (definitions(told))
        footer {
            (ESTIMATE) ". Temperatures and hours are reported, not judged: scald, Legionella, frost and pressure are for "
            "local code and a licensed professional; " (CONFIRM) ". Made on " (told.date) " with suncask "
            (told.version) "."
        }
    };
    sheet(name, "how to set it", &content)
}

fn weather(told: &Told<'_>) -> Markup {
    let weather = told.weather;
    html! {
        @if weather.made {
            p.warning role="note" {
                strong { "Made weather. " }
                "This year was made from twelve monthly means. Use a measured typical year before a dial is turned."
            }
        }
        p {
            "One typical year in the weather of " (weather.site.called()) ", file " code { (weather.source) } ", for each of "
            (told.rows.len()) " settings. All savings are counted at equal service: hot water that came too cool counts as "
            "bought. An estimate, not a guarantee."
        }
    }
}

fn suspects(told: &Told<'_>) -> Markup {
    html! {
        p { (told.first()) }
        table {
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
        div.wide tabindex="0" role="region" aria-label="Every candidate" {
            table {
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
        h2 { "What the numbers mean" }
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
