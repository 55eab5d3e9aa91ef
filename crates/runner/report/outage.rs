//! Three days without power: what was let fail, and what was found.

use maud::{Markup, html};

use super::Report;
use crate::job::quantity::when::span_words;
use crate::picture::{Units, grouped};
use crate::record::{Outage, OutageFigure};
use crate::safety::CONFIRM;

/// A figure as a person reads it.
fn shown(figure: &OutageFigure, outage: &Outage, units: Units) -> String {
    let Some(value) = (figure.value)(outage) else {
        let late = figure.unit == "d";
        return if late {
            format!("over {} days", Outage::LONGEST_RECOVERY_D)
        } else {
            "\u{2013}".to_owned()
        };
    };
    match figure.unit {
        "degC" => units.shown_level(value),
        "kWh/m2" => format!("{} kWh/m\u{b2}", grouped(value, 1)),
        "L" => {
            let (name, size_m3) = units.volume();
            format!("{} {name}", grouped(value * 0.001 / size_m3, 0))
        }
        "d" => format!("{} days", grouped(value, 1)),
        "h" => format!("{} h", grouped(value, 0)),
        unit => format!("{} {unit}", grouped(value, 0)),
    }
}

/// The section of the page; nothing where no outage was run.
pub(super) fn section(report: &Report<'_>) -> Markup {
    let outages = &report.result.outages;
    html! {
        @if !outages.is_empty() {
            p {
                "The same year, in which the power fails at midnight for three days. Dead are the loop pump and its controller, "
                "every other pump, electric elements, heat pumps, flow-through heaters, and burners with electronic ignition. "
                "What needs no power goes on: a burner with a standing pilot, a pump on its own photovoltaic module, a loop that "
                "circulates or drains by itself, and water from the mains (a house on its own well has none). Rooms keep their "
                "temperature, though a house without heat grows colder."
            }
            table.plain {
                caption { "Three days without power" }
                thead {
                    tr {
                        th scope="col" { "What" }
                        @for outage in outages {
                            th scope="col" { (span_words(outage.first_day, Outage::DAYS)) " (" (outage.spell.word()) ")" }
                        }
                    }
                }
                tbody {
                    @for figure in &OutageFigure::ALL {
                        tr {
                            th scope="row" { (figure.label) }
                            @for outage in outages { td { (shown(figure, outage, report.units)) } }
                        }
                    }
                }
            }
            p {
                "The hottest days are those with the highest peaks of this collector standing without flow; the coldest those with "
                "the coldest air. The loop\u{2019}s fluid counts as freezing below "
                (report.units.shown_level(outages[0].freezing_c))
                ". Neither steam nor ice is modelled: the hours below freezing are hours at risk, and a typical year misses "
                "record cold and heat. For what an outage asks for: " (CONFIRM) "."
            }
        }
    }
}

/// What its figures mean.
pub(super) fn definitions(report: &Report<'_>) -> Markup {
    html! {
        @if !report.result.outages.is_empty() {
            h3 { "Of an outage" }
            dl {
                @for figure in &OutageFigure::ALL {
                    dt { (figure.label) " (" (figure.unit) ")" }
                    dd { (figure.definition) " " code { (figure.key) } }
                }
            }
        }
    }
}
