//! Money on the page, at a terminal and in `summary.json`.

use maud::{Markup, html};
use serde::Serialize;

use super::Report;
use crate::job::Echo;
use crate::money::finance::InternalRate;
use crate::money::{Account, CashColumn, ESTIMATE, Incentive, MoneyFigure, VERIFY};
use crate::picture::{grouped, money};

/// A figure as a person reads it.
pub(crate) fn shown(figure: &MoneyFigure, account: &Account) -> String {
    let Some(value) = (figure.value)(account) else {
        let years = account.outlook.as_ref().map_or(0, |outlook| outlook.years.len() - 1);
        let several = account.outlook.as_ref().is_some_and(|o| o.internal_rate == InternalRate::Several);
        return match figure.unit {
            "year" => format!("not within {years} years"),
            "years" => "never".to_owned(),
            "%" if several => "more than one".to_owned(),
            _ => "none".to_owned(),
        };
    };
    match figure.unit {
        "currency" => {
            let small = value != 0.0 && value.abs() < 10.0;
            money(account.currency, value, if small { 2 } else { 0 })
        }
        "currency/kWh" => format!("{} a kWh", money(account.currency, value, 3)),
        "year" => grouped(value, 0),
        "years" => format!("{} years", grouped(value, 1)),
        "%" => format!("{} %", grouped(value, 1)),
        unit => format!("{} {unit}", grouped(value, 0)),
    }
}

/// Figures that say something of this account, with their labels.
fn rows(account: &Account) -> Vec<(&'static str, String)> {
    let no_fuel = account.fuel.without == [0.0; 12] && account.fuel.with == [0.0; 12];
    let says = |figure: &&MoneyFigure| match figure.key {
        "saved_on_electricity" | "saved_on_fuel" | "fuel_saved_kwh" => !no_fuel,
        "worth_of_saved_electricity" => (figure.value)(account).is_some(),
        _ => account.outlook.is_some() || (figure.value)(account).is_some(),
    };
    let shown = MoneyFigure::ALL.iter().filter(says).map(|figure| (figure.label, shown(figure, account)));
    shown.collect()
}

/// What a program pays, with the words that always go with it.
fn incentive_words(account: &Account, incentive: &Incentive) -> String {
    let paid = &incentive.paid;
    let when = if paid.year == 0 { "at the start".to_owned() } else { format!("in year {}", paid.year) };
    let checked = match &incentive.verified_on {
        Some(date) => format!("last verified {date}"),
        None => "never verified".to_owned(),
    };
    format!("{}: {} {when}; {checked}; {VERIFY}", paid.what, money(account.currency, paid.amount, 0))
}

fn incentives(account: &Account) -> &[Incentive] {
    account.outlook.as_ref().map_or(&[], |outlook| &outlook.incentives)
}

/// The CO2 factors of a job with where they come from.
fn co2_words(echo: &[Echo]) -> String {
    let factors =
        [("electricity", "electricity.co2"), ("fuel", "fuel.co2")].into_iter().filter_map(|(what, key)| {
            let echo = echo.iter().find(|echo| echo.key == key)?;
            let source = echo.default_source.as_deref().unwrap_or("as the job says");
            Some(format!("{what} {} ({source})", echo.written))
        });
    format!("CO2 factors: {}", factors.collect::<Vec<_>>().join("; "))
}

/// The figures, one a line, for a terminal.
pub fn money_table(account: &Account) -> String {
    super::table::labelled("In money", &rows(account))
}

/// What belongs to the figures: incentives, the factors that the job's `echo` holds, and what they are not.
pub fn money_notes(account: &Account, echo: &[Echo]) -> Vec<String> {
    let incentives = incentives(account).iter().map(|i| format!("Incentive {}", incentive_words(account, i)));
    incentives.chain([co2_words(echo), ESTIMATE.to_owned()]).collect()
}

/// The section of the page; nothing without prices.
pub(super) fn section(report: &Report<'_>) -> Markup {
    html! {
        @if let Some(account) = &report.result.money {
            p {
                strong { (ESTIMATE) ". " }
                "At the prices of the job, each kilowatt-hour saved at the price of its hour or tier, and at equal service: hot "
                "water that came too cool counts as bought. Typical years differ from real ones by 5 to 10 % either way, and "
                "hot-water use by 20 % (common practice)."
            }
            table.plain {
                caption { "First year, and the years" }
                thead { tr { th scope="col" { "Figure" } th scope="col" { "Value" } } }
                tbody {
                    @for (label, value) in rows(account) { tr { th scope="row" { (label) } td { (value) } } }
                }
            }
            p { (co2_words(&report.job.echo)) "." }
            @if !incentives(account).is_empty() {
                h3 { "Incentives counted" }
                ul { @for incentive in incentives(account) { li { (incentive_words(account, incentive)) } } }
            }
            @if let Some(outlook) = &account.outlook {
                h3 { "Year by year" }
                section.wide tabindex="0" aria-label="Money year by year" {
                    table {
                        caption { "All in " (account.currency.symbol()) ", at the end of each year" }
                        thead {
                            tr {
                                th scope="col" { "Year" }
                                @for column in &CashColumn::ALL { th scope="col" { (column.label) } }
                            }
                        }
                        tbody {
                            @for year in &outlook.years {
                                tr {
                                    th scope="row" { @if year.year == 0 { "Start" } @else { (year.year) } }
                                    @for column in &CashColumn::ALL { td { (grouped((column.value)(year), 0)) } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// What the figures mean.
pub(super) fn definitions(report: &Report<'_>) -> Markup {
    html! {
        @if report.result.money.is_some() {
            h3 { "Of money" }
            dl {
                @for figure in &MoneyFigure::ALL {
                    dt { (figure.label) " (" (figure.unit) ")" }
                    dd { (figure.definition) " " code { (figure.key) } }
                }
            }
        }
    }
}

/// Money as it stands in `summary.json`, beside its figures.
#[derive(Serialize)]
pub(super) struct MoneyFacts<'a> {
    currency: &'a str,
    told: &'static str,
    /// `one`, `none` or `several`; nothing without an installed cost.
    internal_rates: Option<&'static str>,
    monthly: Monthly,
    incentives: Vec<IncentiveFacts<'a>>,
}

/// Bills by month, fixed fees apart.
#[derive(Serialize)]
struct Monthly {
    electricity_without_sun: [f64; 12],
    electricity_with_sun: [f64; 12],
    fuel_without_sun: [f64; 12],
    fuel_with_sun: [f64; 12],
}

#[derive(Serialize)]
struct IncentiveFacts<'a> {
    name: &'a str,
    amount: f64,
    received: u32,
    verified_on: Option<&'a str>,
    told: &'static str,
}

impl<'a> MoneyFacts<'a> {
    pub(super) fn of(account: &'a Account) -> Self {
        let rates = |rate: InternalRate| match rate {
            InternalRate::One(_) => "one",
            InternalRate::None => "none",
            InternalRate::Several => "several",
        };
        let incentive = |incentive: &'a Incentive| IncentiveFacts {
            name: &incentive.paid.what,
            amount: incentive.paid.amount,
            received: incentive.paid.year,
            verified_on: incentive.verified_on.as_deref(),
            told: VERIFY,
        };
        Self {
            currency: account.currency.symbol(),
            told: ESTIMATE,
            internal_rates: account.outlook.as_ref().map(|outlook| rates(outlook.internal_rate)),
            monthly: Monthly {
                electricity_without_sun: account.electricity.without,
                electricity_with_sun: account.electricity.with,
                fuel_without_sun: account.fuel.without,
                fuel_with_sun: account.fuel.with,
            },
            incentives: incentives(account).iter().map(incentive).collect(),
        }
    }
}
