//! How the plant ran: pump and control, tank and collector, and the limits they met.

use maud::{Markup, html};
use thermal_network::STAGNATION_C;

use super::Report;
use super::sheet::wide;
use crate::picture::{MONTHS, grouped, percent};
use crate::record::{Accounts, Column};
use crate::safety::{CUT_OUT_C, WITHOUT_VALVE_C};
use crate::weather::calendar::DAYS_IN_MONTH;

/// Columns of the table by month, with heads of their own where the label is long.
const MONTHLY: [(&str, Column); 8] = [
    ("Pump hours", Column::PumpHours),
    ("Starts", Column::PumpStarts),
    ("Pump, kWh", Column::Pump),
    ("Hottest tank", Column::HottestTank),
    ("Hours above the high limit", Column::AboveLimit),
    ("Hottest collector", Column::HottestCollector),
    ("Stagnation hours", Column::Stagnation),
    ("Cool-shower minutes", Column::CoolShowerMinutes),
];

/// The table by month and year.
pub(super) fn by_month(report: &Report<'_>) -> Markup {
    let result = report.result;
    let days = DAYS_IN_MONTH.iter().map(|days| f64::from(*days)).chain([365.0]);
    let spans = MONTHS.iter().copied().zip(&result.monthly).chain([("Year", &result.annual)]).zip(days);
    let cell = |column: Column, span: &Accounts| grouped(report.units.show(column, span[column]).0, 0);
    let head = |name: &str, column: Column| match column.info().unit {
        "degC" => format!("{name}, {}", report.units.level_sign()),
        _ => name.to_owned(),
    };
    wide(
        "Pump, limits and comfort by month",
        &html! {
            table {
                caption { "Pump, limits and comfort by month" }
                thead {
                    tr {
                        th scope="col" { "Month" }
                        @for (name, column) in MONTHLY {
                            th scope="col" { (head(name, column)) }
                            @if column == Column::PumpStarts { th scope="col" { "Starts a day" } }
                        }
                    }
                }
                tbody {
                    @for ((name, span), days) in spans {
                        tr {
                            th scope="row" { (name) }
                            @for (_, column) in MONTHLY {
                                td { (cell(column, span)) }
                                @if column == Column::PumpStarts { td { (grouped(span[column] / days, 1)) } }
                            }
                        }
                    }
                }
            }
        },
    )
}

/// Limits of the plant beside what the year reached.
pub(super) fn limits(report: &Report<'_>) -> Markup {
    let (year, solar) = (&report.result.annual, report.job.plant.solar_loop.as_ref());
    let level = |level_c| report.units.shown_level(level_c);
    let hours = |column: Column| format!("{} h", grouped(year[column], 0));
    let none = || "\u{2013}".to_owned();
    let mut rows: Vec<(&str, String, String, String)> = Vec::new();
    if let Some(control) = solar.map(|solar| &solar.controller).filter(|_| report.job.control_w > 0.0) {
        rows.push((
            "Tank, at the controller\u{2019}s high limit",
            level(control.high_limit_c),
            level(year[Column::HottestTank]),
            hours(Column::AboveLimit),
        ));
        if let Some(limit_c) = control.collector_limit_c {
            rows.push((
                "Collector, at its own limit",
                level(limit_c),
                level(year[Column::HottestCollector]),
                none(),
            ));
        }
    }
    if solar.is_some() {
        rows.push((
            "Collector; the hours are those in the sun with the pump held off (stagnation)",
            level(STAGNATION_C),
            level(year[Column::HottestCollector]),
            // Without a controller nothing holds a pump off, however hot it gets.
            if report.job.control_w > 0.0 { hours(Column::Stagnation) } else { none() },
        ));
    }
    rows.push((
        "Water at the outlet, before any mixing valve",
        level(WITHOUT_VALVE_C),
        level(year[Column::HottestOutlet]),
        none(),
    ));
    if year[Column::HottestThermostat] > 0.0 {
        rows.push((
            "Backup thermostat, near its cut-out",
            level(CUT_OUT_C),
            level(year[Column::HottestThermostat]),
            none(),
        ));
    }
    html! {
        table.plain {
            caption { "What was reached in the year, beside the level that matters" }
            thead {
                tr {
                    th scope="col" { "Where" } th scope="col" { "Level" } th scope="col" { "Reached" }
                    th scope="col" { "Hours beyond" }
                }
            }
            tbody {
                @for (what, limit, reached, beyond) in rows {
                    tr { th scope="row" { (what) } td { (limit) } td { (reached) } td { (beyond) } }
                }
            }
        }
    }
}

/// Figures of the pump and its control.
pub(super) fn control(report: &Report<'_>) -> Markup {
    let year = &report.result.annual;
    let (hours, starts) = (year[Column::PumpHours], year[Column::PumpStarts]);
    let echo =
        |key: &str| report.job.echo.iter().find(|echo| echo.key == key).map(|echo| echo.written.as_str());
    let settings = [
        ("On-differential", "controller.on_difference"),
        ("Off-differential", "controller.off_difference"),
        ("High limit", "controller.high_limit"),
        ("Pump flow", "pump.flow"),
        ("Pump power", "pump.power"),
    ];
    let set = settings.into_iter().filter_map(|(what, key)| Some((what, echo(key)?)));
    html! {
        table.plain {
            caption { "Settings, and what they came to" }
            thead { tr { th scope="col" { "What" } th scope="col" { "In the year" } } }
            tbody {
                @for (what, how) in set { tr { th scope="row" { (what) } td { (how) } } }
                @if hours > 0.0 {
                    tr { th scope="row" { "Pump runs" } td { (grouped(hours, 0)) " h" } }
                    tr {
                        th scope="row" { "Starts" }
                        td { (grouped(starts, 0)) ", " (grouped(starts / 365.0, 1)) " a day" }
                    }
                    @if starts > 0.0 {
                        tr { th scope="row" { "Mean run" } td { (grouped(60.0 * hours / starts, 0)) " min" } }
                    }
                    tr {
                        th scope="row" { "Electricity of pumps" }
                        td {
                            (grouped(year[Column::Pump], 0)) " kWh"
                            @if year[Column::HeatIntoTank] > 0.0 {
                                ", " (percent(year[Column::Pump] / year[Column::HeatIntoTank])) " of the solar heat"
                            }
                        }
                    }
                }
                tr { th scope="row" { "Electricity of the controller" } td { (grouped(year[Column::Control], 0)) " kWh" } }
                @for (column, what) in [
                    (Column::Refills, "Refills of a drained loop"),
                    (Column::FreezeHeat, "Heat against frost, kWh"),
                    (Column::NightCooling, "Night cooling, kWh"),
                    (Column::DumpHeat, "Heat dumped, kWh"),
                    (Column::BackFlow, "Night back-flow, kWh"),
                ] {
                    @if year[column] > 0.0 { tr { th scope="row" { (what) } td { (grouped(year[column], 0)) } } }
                }
            }
        }
    }
}
