//! `report.html`: the customer's sheet first, then the contractor's pages.

use maud::{Markup, html};

use super::sheet::{Part, Sheet, figure, foot, wide};
use super::{Picture, Report, Told, cautions, customer, ledger, money, outage, plant, range, rules};
use crate::job::Echo;
use crate::job::quantity::size::FOOT_M;
use crate::picture::{MONTHS, Units, grouped, kwh, percent};
use crate::problem::Problem;
use crate::record::Column;

/// Columns of the monthly table on the page.
const MONTHLY: [Column; 9] = [
    Column::Sun,
    Column::HeatIntoTank,
    Column::BackupHeat,
    Column::BackupPurchased,
    Column::TankLoss,
    Column::Load,
    Column::Delivered,
    Column::Shortfall,
    Column::Saved,
];

/// The whole page.
pub(super) fn html(report: &Report<'_>, told: &Told, pictures: &[Picture]) -> String {
    let shown = |names: &[&str]| {
        html! {
            @for picture in pictures.iter().filter(|picture| names.contains(&picture.name)) { (figure(&picture.svg)) }
        }
    };
    let part = |id, title, body| Part { id, title, body };
    let parts = [
        part("by-month", "Energy month by month", html! { (source(report)) (monthly(report)) }),
        part(
            "ledger",
            "Where every kilowatt-hour went",
            html! { (ledger::section(report)) (shown(&["heat"])) },
        ),
        part("days", "Tank and collector", shown(&["plant", "days", "tank"])),
        part("limits", "Limits met", html! { (plant::limits(report)) (plant::by_month(report)) }),
        part("control", "Pump and control", plant::control(report)),
        part("money", "In money", html! { (money::section(report)) (shown(&["cash"])) }),
        part("range", "Saving: low, likely, high", range::section(report)),
        part("outage", "If the power fails for three days", outage::section(report)),
        part("assumed", "What was assumed", assumed(report)),
        part("job", "What the job says", given(report)),
        part("rules", "Rules of thumb beside the results", rules::section(report, &told.rules)),
        part("weather", "Doubts about the weather file", list(&report.weather.warnings)),
        part("notes", "Notes on the job", list(report.notes)),
        part("cautions", "Safety", cautions::section(report)),
        part("definitions", "What the numbers mean", definitions(report)),
    ];
    let sheet = Sheet {
        name: report.name(),
        about: "Solar hot water, one typical year",
        foot: foot(report.date, report.version, &report.weather),
    };
    sheet.page(&customer::sheet(report, told), &parts)
}

/// Which year the pages behind are about.
fn source(report: &Report<'_>) -> Markup {
    let (site, year) = (&report.weather.site, &report.result.annual);
    let degrees = |value: f64, [plus, minus]: [&str; 2]| {
        format!("{}\u{b0} {}", grouped(value.abs(), 2), if value < 0.0 { minus } else { plus })
    };
    html! {
        p {
            "One typical year, worked out hour by hour from the weather of " (site.called()) " ("
            (degrees(site.latitude_deg, ["north", "south"])) ", " (degrees(site.longitude_deg, ["east", "west"])) ", "
            (elevation(site.elevation_m, report.units)) " above the sea; file " code { (report.weather.source) }
            "). Energy is heat or electricity in kWh, as on the electric bill. Bought for hot water in the year: backup "
            (kwh(year[Column::BackupPurchased]))
            @if year[Column::BackupFuel] > 0.0 {
                " (" (kwh(year[Column::BackupElectric])) " of electricity, " (kwh(year[Column::BackupFuel])) " of fuel)"
            }
            ", pumps " (kwh(year[Column::Pump])) ", controller " (kwh(year[Column::Control])) ". That is "
            (kwh(year[Column::Saved])) " less than the " (kwh(year[Column::BaselinePurchased]))
            " of the heater without sun; at equal comfort, with cooler water charged to the sun, "
            (kwh(year[Column::EqualServiceSaved])) ". Solar fraction: " (percent(year[Column::SolarFraction])) "."
        }
    }
}

fn elevation(elevation_m: f64, units: Units) -> String {
    match units {
        Units::Us => format!("{} ft", grouped(elevation_m / FOOT_M, 0)),
        Units::Si => format!("{} m", grouped(elevation_m, 0)),
    }
}

fn monthly(report: &Report<'_>) -> Markup {
    let result = report.result;
    let rows = MONTHS.iter().copied().zip(&result.monthly).chain([("Year", &result.annual)]);
    wide(
        "Energy month by month",
        &html! {
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
        },
    )
}

fn assumed(report: &Report<'_>) -> Markup {
    let defaults = report.job.echo.iter().filter_map(|echo| Some((echo, echo.default_source.as_deref()?)));
    html! {
        p { "Values the job does not give, with where each comes from. Replace them by your own where you know better." }
        table.words {
            caption { "Usual values" }
            thead { tr { th scope="col" { "Quantity" } th scope="col" { "Value" } th scope="col" { "Source" } } }
            tbody {
                @for (echo, source) in defaults {
                    tr { th scope="row" { code { (echo.key) } } td { (echo.written) } td { (source) } }
                }
            }
        }
    }
}

fn given(report: &Report<'_>) -> Markup {
    let given = |echo: &&Echo| echo.default_source.is_none();
    html! {
        table.words {
            caption { "As understood" }
            thead { tr { th scope="col" { "Quantity" } th scope="col" { "Value" } } }
            tbody {
                @for echo in report.job.echo.iter().filter(given) {
                    tr { th scope="row" { code { (echo.key) } } td { (echo.written) } }
                }
            }
        }
    }
}

fn list(problems: &[Problem]) -> Markup {
    html! { @if !problems.is_empty() { ul { @for problem in problems { li { (problem) } } } } }
}

fn definitions(report: &Report<'_>) -> Markup {
    html! {
        p { "With the units and keys that summary.json and the tables use." }
        dl {
            @for info in Column::ALL.iter().map(|c| c.info()) {
                dt { (info.label) @if info.unit != "-" { " (" (info.unit) ")" } }
                dd { (info.definition) " " code { (info.key) } }
            }
        }
        (money::definitions(report))
        (outage::definitions(report))
    }
}
