//! The figures of money: key, unit, label and definition of each, once.

use super::Account;
use super::account::{CashYear, Outlook};
use super::finance::InternalRate;

/// A figure of an [`Account`], and what a reader needs to know about it.
#[derive(Clone, Copy, Debug)]
pub struct MoneyFigure {
    /// Key in `summary.json`.
    pub key: &'static str,
    /// Unit; `currency` stands for that of the job.
    pub unit: &'static str,
    /// Short label in the trade's words.
    pub label: &'static str,
    /// What is counted.
    pub definition: &'static str,
    /// The value; `None` where it has no meaning.
    pub value: fn(&Account) -> Option<f64>,
}

const fn figure(
    key: &'static str,
    unit: &'static str,
    label: &'static str,
    definition: &'static str,
    value: fn(&Account) -> Option<f64>,
) -> MoneyFigure {
    MoneyFigure { key, unit, label, definition, value }
}

fn of_plan(account: &Account, value: fn(&Outlook) -> Option<f64>) -> Option<f64> {
    account.outlook.as_ref().and_then(value)
}

fn sum(months: &[f64; 12]) -> f64 {
    months.iter().sum()
}

/// What a saved kWh is worth on average; nothing where none or next to none is saved.
fn each(saving: f64, saved_kwh: f64) -> Option<f64> {
    (saved_kwh >= 1.0).then(|| saving / saved_kwh)
}

impl MoneyFigure {
    /// Every figure, in the order of files and pages.
    pub const ALL: [Self; 20] = [
        figure(
            "bill_without_sun",
            "currency",
            "Energy bill without sun",
            "First year's cost of the energy that the heater without sun buys, fixed fees apart; the rest of the house is in it where tiers or hourly prices need it.",
            |a| Some(sum(&a.electricity.without) + sum(&a.fuel.without)),
        ),
        figure(
            "bill_with_sun",
            "currency",
            "Energy bill with sun",
            "The same with the solar plant: backup, pumps and controller, and the hot water that came too cool as the heater without sun would have bought it, in the hour it was missing.",
            |a| Some(sum(&a.electricity.with) + sum(&a.fuel.with)),
        ),
        figure(
            "fixed_fees",
            "currency",
            "Fixed fees",
            "Fees a year that are due whatever is used; they are in no bill and no saving here.",
            |a| Some(a.electricity.fixed_fee_per_year + a.fuel.fixed_fee_per_year),
        ),
        figure(
            "saved",
            "currency",
            "Saved in the first year",
            "Bill without sun less bill with sun, at equal service; each kWh at the price of its hour or tier.",
            |a| Some(a.saving()),
        ),
        figure(
            "saved_on_electricity",
            "currency",
            "Part of it on electricity",
            "Part of the saving on the electric bill; negative where pumps cost more than is saved.",
            |a| Some(a.electricity.saving()),
        ),
        figure(
            "saved_on_fuel",
            "currency",
            "Part of it on fuel",
            "Part of the saving on the fuel bill.",
            |a| Some(a.fuel.saving()),
        ),
        figure(
            "electricity_saved_kwh",
            "kWh",
            "Electricity saved",
            "Electricity bought less, at equal service.",
            |a| Some(a.electricity.saved_kwh),
        ),
        figure(
            "fuel_saved_kwh",
            "kWh",
            "Fuel saved",
            "Fuel bought less, at equal service, by its upper heating value (1 therm is 29.3 kWh).",
            |a| Some(a.fuel.saved_kwh),
        ),
        figure(
            "worth_of_saved_electricity",
            "currency/kWh",
            "Worth of a saved kWh of electricity",
            "Saving on electricity over electricity saved: what the hours and tiers of the savings make of the tariff.",
            |a| each(a.electricity.saving(), a.electricity.saved_kwh),
        ),
        figure(
            "co2_without_sun_kg",
            "kg",
            "CO2 without sun",
            "CO2 a year of the energy the heater without sun buys, by the factors of the job; burning and power plants only.",
            |a| Some(a.co2_kg[0]),
        ),
        figure(
            "co2_with_sun_kg",
            "kg",
            "CO2 with sun",
            "The same with the solar plant; making the plant is not counted.",
            |a| Some(a.co2_kg[1]),
        ),
        figure("co2_saved_kg", "kg", "CO2 saved", "CO2 without sun less CO2 with sun.", |a| {
            Some(a.co2_kg[0] - a.co2_kg[1])
        }),
        figure(
            "paid_at_start",
            "currency",
            "Paid at the start",
            "Installed cost less incentives and avoided purchases of year 0.",
            |a| of_plan(a, |o| Some(o.paid_at_start)),
        ),
        figure(
            "simple_payback_years",
            "years",
            "Simple payback",
            "Paid at the start, over the first year's saving less upkeep; none if upkeep takes it all.",
            |a| of_plan(a, |o| o.simple_payback_years),
        ),
        figure(
            "payback_year",
            "year",
            "Paid back for good in year",
            "Year from whose end on all sums so far are never below zero again; none within the years looked at.",
            |a| of_plan(a, |o| o.payback_year.map(f64::from)),
        ),
        figure(
            "discounted_payback_year",
            "year",
            "Paid back with interest in year",
            "The same with each year's sum discounted to the start.",
            |a| of_plan(a, |o| o.discounted_payback_year.map(f64::from)),
        ),
        figure(
            "net_present_value",
            "currency",
            "Net present value",
            "All sums of the years looked at, discounted to the start: what the plant gains or loses beside money put away at the discount rate.",
            |a| of_plan(a, |o| Some(o.net_present_value)),
        ),
        figure(
            "internal_rate_percent",
            "%",
            "Internal rate of return",
            "Interest at which the net present value is zero; none where no rate makes it so, or more than one.",
            |a| {
                of_plan(a, |o| match o.internal_rate {
                    InternalRate::One(rate) => Some(100.0 * rate),
                    InternalRate::None | InternalRate::Several => None,
                })
            },
        ),
        figure(
            "levelized_cost_per_kwh",
            "currency/kWh",
            "Cost of a kWh of solar heat",
            "Levelized: all that is paid, less incentives and avoided purchases, over the solar heat that reached the taps (delivered less backup heat), both discounted.",
            |a| of_plan(a, |o| o.levelized_cost_per_kwh),
        ),
        figure(
            "balance_at_end",
            "currency",
            "Left at the end",
            "All sums of the years looked at, without interest.",
            |a| of_plan(a, |o| o.years.last().map(|year| year.balance)),
        ),
    ];
}

/// A column of the cash flow: the sums of each year.
#[derive(Clone, Copy, Debug)]
pub struct CashColumn {
    /// Key in `summary.json`.
    pub key: &'static str,
    /// Short label in the trade's words.
    pub label: &'static str,
    /// What is counted.
    pub definition: &'static str,
    /// The sum.
    pub value: fn(&CashYear) -> f64,
}

impl CashColumn {
    /// Every column, in the order of files and pages.
    pub const ALL: [Self; 8] = [
        Self {
            key: "saved",
            label: "Saved",
            definition: "Saved on energy in the year, at its end; the first year's saving grown with prices.",
            value: |year| year.saved,
        },
        Self {
            key: "incentives",
            label: "Incentives",
            definition: "Received from programs in the year, as the job gives them.",
            value: |year| year.incentives,
        },
        Self {
            key: "avoided",
            label: "Avoided",
            definition: "A heater that need not be replaced because of the solar plant.",
            value: |year| year.avoided,
        },
        Self {
            key: "paid",
            label: "Paid",
            definition: "Installed cost at the start, then upkeep.",
            value: |year| year.paid,
        },
        Self {
            key: "replaced",
            label: "Replaced",
            definition: "Parts replaced in the year, as the job gives them.",
            value: |year| year.replaced,
        },
        Self {
            key: "net",
            label: "In all",
            definition: "Saved, received and avoided, less paid and replaced.",
            value: |year| year.net,
        },
        Self {
            key: "balance",
            label: "Balance",
            definition: "Sum of all years so far, without interest.",
            value: |year| year.balance,
        },
        Self {
            key: "discounted_balance",
            label: "With interest",
            definition: "Sum of all years so far, each discounted to the start.",
            value: |year| year.discounted_balance,
        },
    ];
}
