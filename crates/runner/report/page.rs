//! `report.html`: one self-contained page to read and to print.

use maud::{Markup, PreEscaped, html};

use super::sheet::sheet;
use super::{Picture, Report};
use crate::job::Echo;
use crate::picture::MONTHS;
use crate::picture::{Units, grouped, kwh, money, percent};
use crate::problem::Problem;
use crate::record::Column;

/// Columns of the monthly table on the page.
const MONTHLY: [Column; 8] = [
    Column::Sun,
    Column::HeatIntoTank,
    Column::BackupHeat,
    Column::TankLoss,
    Column::Load,
    Column::Delivered,
    Column::Shortfall,
    Column::Saved,
];

/// The whole page.
pub(super) fn html(report: &Report<'_>, pictures: &[Picture]) -> String {
    let content = html! {
        (opening(report))
        (key_results(report))
        (super::range::section(report))
        h2 { "Pictures" }
        @for picture in pictures {
            figure tabindex="0" { (PreEscaped(&picture.svg)) }
        }
        (monthly(report))
        (super::money::section(report))
        (super::outage::section(report))
        (assumed(report))
        (doubts(report))
        (super::cautions::section(report))
        (definitions())
        (super::money::definitions(report))
        (super::outage::definitions(report))
        footer {
            "Estimate, not a guarantee. Made on " (report.date) " with suncask " (report.version) "."
        }
    };
    sheet(report.name, "solar hot water, one year", &content)
}

fn opening(report: &Report<'_>) -> Markup {
    let weather = &report.weather;
    let site = &weather.site;
    let place = site.called();
    html! {
        @if weather.made {
            p.warning role="note" {
                strong { "Made weather. " }
                "This year was made from twelve monthly means. Its single days never happened, and its extremes are not "
                "those of the place. Use a measured typical year for a quote."
            }
        }
        p {
            "This page shows one typical year of the solar water heater \u{201c}" (report.name) "\u{201d}, worked out hour by "
            "hour from the weather of " (place) " (" (grouped(site.latitude_deg.abs(), 2)) "\u{b0} "
            (if site.latitude_deg < 0.0 { "south" } else { "north" }) ", " (grouped(site.longitude_deg.abs(), 2)) "\u{b0} "
            (if site.longitude_deg < 0.0 { "west" } else { "east" }) ", " (elevation(site.elevation_m, report.units))
            " above the sea; file " code { (weather.source) } "). Energy is heat or electricity in kWh, as on the "
            "electric bill. It is an estimate, not a guarantee: real weather and real hot-water use differ from year to year."
        }
    }
}

/// Foot: 0.3048 m (NIST Handbook 44).
fn elevation(elevation_m: f64, units: Units) -> String {
    match units {
        Units::Us => format!("{} ft", grouped(elevation_m / 0.3048, 0)),
        Units::Si => format!("{} m", grouped(elevation_m, 0)),
    }
}

fn key_results(report: &Report<'_>) -> Markup {
    let year = &report.result.annual;
    let hottest = |column: Column| {
        let (value, sign) = report.units.show(column, year[column]);
        format!("{} {sign}", grouped(value, 0))
    };
    html! {
        h2 { "The year in short" }
        ul {
            li {
                strong { "Saved: " (kwh(year[Column::Saved])) } " of bought energy a year, or "
                (percent(year[Column::SavingsFraction])) " of the " (kwh(year[Column::BaselinePurchased]))
                " that the heater without sun would buy. Counted at equal comfort, with cooler water charged to the sun: "
                (kwh(year[Column::EqualServiceSaved])) ", or " (percent(year[Column::EqualServiceFraction])) "."
                @if let Some(account) = &report.result.money {
                    " In money: " strong { (money(account.currency, account.saving(), 0)) }
                    " in the first year, at the prices of the job."
                }
            }
            li {
                strong { "Hot water: " (kwh(year[Column::Load])) } " wanted, "
                (kwh(year[Column::Delivered])) " delivered, " (kwh(year[Column::Shortfall])) " missing. Showers and baths ran "
                "cool for " (grouped(year[Column::CoolShowerMinutes], 0)) " minutes in the year."
            }
            li {
                strong { "From the sun: " (kwh(year[Column::HeatIntoTank])) } " of heat into the tank; from the backup "
                (kwh(year[Column::BackupHeat])) ". Solar fraction: " (percent(year[Column::SolarFraction])) "."
            }
            li {
                strong { "Bought: " (kwh(year[Column::BackupPurchased])) } " for backup"
                @if year[Column::BackupFuel] > 0.0 {
                    " (" (kwh(year[Column::BackupElectric])) " of electricity, " (kwh(year[Column::BackupFuel])) " of fuel)"
                }
                ", "
                (kwh(year[Column::Pump])) " for pumps and " (kwh(year[Column::Control])) " for the controller."
            }
            li {
                strong { "Hottest: " } "tank " (hottest(Column::HottestTank)) ", collector "
                (hottest(Column::HottestCollector)) "; " (grouped(year[Column::Stagnation], 0))
                " hours of stagnation (sun on a hot collector with the pump held off)."
            }
        }
    }
}

fn monthly(report: &Report<'_>) -> Markup {
    let result = report.result;
    let rows = MONTHS.iter().copied().zip(&result.monthly).chain([("Year", &result.annual)]);
    html! {
        h2 { "Month by month" }
        div.wide tabindex="0" role="region" aria-label="Month by month" {
            table {
                caption { "All in kWh" }
                thead {
                    tr {
                        th scope="col" { "Month" }
                        @for column in MONTHLY { th scope="col" { (column.info().label) } }
                    }
                }
                tbody {
                    @for (name, span) in rows {
                        tr {
                            th scope="row" { (name) }
                            @for column in MONTHLY { td { (grouped(span[column], 0)) } }
                        }
                    }
                }
            }
        }
    }
}

fn assumed(report: &Report<'_>) -> Markup {
    let (defaults, given): (Vec<&Echo>, Vec<&Echo>) =
        report.echo.iter().partition(|e| e.default_source.is_some());
    html! {
        h2 { "What was assumed" }
        p { "Values the job does not give, with where each comes from. Replace them by your own where you know better." }
        table.words {
            thead { tr { th scope="col" { "Quantity" } th scope="col" { "Value" } th scope="col" { "Source" } } }
            tbody {
                @for echo in defaults {
                    tr {
                        td { code { (echo.key) } }
                        td { (echo.written) }
                        td { (echo.default_source.as_deref().unwrap_or_default()) }
                    }
                }
            }
        }
        h2 { "What the job says" }
        table.words {
            thead { tr { th scope="col" { "Quantity" } th scope="col" { "As understood" } } }
            tbody {
                @for echo in given { tr { td { code { (echo.key) } } td { (echo.written) } } }
            }
        }
    }
}

fn doubts(report: &Report<'_>) -> Markup {
    let list = |title: &str, problems: &[Problem]| {
        html! {
            @if !problems.is_empty() {
                h2 { (title) }
                ul { @for problem in problems { li { (problem) } } }
            }
        }
    };
    html! {
        (list("Doubts about the weather file", &report.weather.warnings))
        (list("Notes on the job", report.notes))
    }
}

fn definitions() -> Markup {
    html! {
        h2 { "What the numbers mean" }
        p { "With the units and keys that summary.json and the tables use." }
        dl {
            @for info in Column::ALL.iter().map(|c| c.info()) {
                dt { (info.label) @if info.unit != "-" { " (" (info.unit) ")" } }
                dd { (info.definition) " " code { (info.key) } }
            }
        }
    }
}
