//! Money: what a saving is worth. Numbers in, numbers out; no files and no text are read here.
//!
//! ```text
//! hours of bought energy, with and without sun -> Tariff, Fuel -> yearly bills -> cash flow -> measures
//! ```
//!
//! Rates of growth and discount are all real or all nominal, as the job gives them; sums stand in one currency.

mod account;
mod figure;
pub mod finance;
pub mod fuel;
pub mod tariff;

pub use account::{Account, Bills, CashYear, Compared, Outlook, Purchase, account};
pub use figure::{CashColumn, MoneyFigure};

use fuel::Fuel;
use tariff::Tariff;

/// Words that go with every sum.
pub const ESTIMATE: &str = "Estimate, not a guarantee; not tax advice";

/// Words that go with every incentive: programs change and end.
pub const VERIFY: &str = "verify before use";

/// A currency as the user wrote it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Currency(&'static str);

impl Currency {
    /// Where a job names none, as in `17 cents`.
    pub const DOLLAR: Self = Self("$");

    /// The currency behind a sign or a name in small letters; `None` for cents, which are a part of any.
    pub fn named(word: &str) -> Option<Self> {
        Some(Self(match word {
            "$" => "$",
            "usd" => "USD",
            "€" => "€",
            "eur" => "EUR",
            _ => return None,
        }))
    }

    /// As it is written before a sum.
    pub fn symbol(self) -> &'static str {
        self.0
    }

    /// True if both are the same money, however written.
    pub fn same_as(self, other: Self) -> bool {
        let is_dollar = |currency: Self| matches!(currency.0, "$" | "USD");
        is_dollar(self) == is_dollar(other)
    }
}

/// What a job says about money: enough for the yearly saving, and with a [`Plan`] for the years.
#[derive(Clone, Debug, PartialEq)]
pub struct Money {
    /// Of every sum.
    pub currency: Currency,
    /// What electricity costs.
    pub electricity: Electricity,
    /// What fuel costs, where something burns.
    pub fuel: Option<Fuel>,
    /// True if the heater without sun buys fuel for its heat.
    pub burns_without_sun: bool,
    /// What the solar plant costs; without it there is no payback.
    pub plan: Option<Plan>,
}

/// What electricity costs and emits.
#[derive(Clone, Debug, PartialEq)]
pub struct Electricity {
    /// Price of energy.
    pub tariff: Tariff,
    /// Paid whatever is used, a year.
    pub fixed_fee_per_year: f64,
    /// Growth of prices a year, as a share.
    pub growth_frac: f64,
    /// CO2 in kg per kWh.
    pub co2_kg_kwh: f64,
}

/// A solar plant as an investment.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Paid at the start.
    pub installed_cost: f64,
    /// Upkeep in the first year.
    pub upkeep_per_year: f64,
    /// Growth of upkeep a year, as a share.
    pub upkeep_growth_frac: f64,
    /// Years looked at.
    pub years: u32,
    /// Discount rate a year, as a share.
    pub discount_frac: f64,
    /// Parts replaced, in prices of their year.
    pub replacements: Vec<Dated>,
    /// What programs pay.
    pub incentives: Vec<Incentive>,
    /// A heater the house need not buy because of the solar plant.
    pub tank_avoided: Option<Dated>,
}

/// A sum in a year: 0 is the start, 1 the end of the first year.
#[derive(Clone, Debug, PartialEq)]
pub struct Dated {
    /// What for.
    pub what: String,
    /// How much, positive.
    pub amount: f64,
    /// When.
    pub year: u32,
}

/// What a program pays, as the user found it.
#[derive(Clone, Debug, PartialEq)]
pub struct Incentive {
    /// Name, amount and year.
    pub paid: Dated,
    /// When the user last checked its rules, in the user's words.
    pub verified_on: Option<String>,
}
