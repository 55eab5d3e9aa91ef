//! `[electricity]`, `[fuel]` and `[money]`: what energy and the solar plant cost. No price is ever assumed: without those of
//! all that is bought there is no result in money.

mod electricity;
mod fuel;
mod hourly;
mod plan;

pub use self::hourly::hourly_prices;

use std::cell::Cell;

use super::section::Section;
use super::stock;
use crate::job::quantity::{Kind, Quantity};
use crate::job::{Calendar, Stock};
use crate::money::fuel::Fuel;
use crate::money::{Currency, Electricity, Money, Plan};
use crate::problem::{Problem, Severity};

/// Joule in a kWh.
const KWH_J: f64 = 3.6e6;

/// Seconds of the year, which has 365 days.
const YEAR_S: f64 = 365.0 * 86_400.0;

/// Where growth of prices comes from unless the job says it.
const NO_GROWTH: &str = "prices that grow no faster than others: a rate without inflation (common practice)";

/// Which plants burn fuel.
#[derive(Clone, Copy)]
pub(super) struct Burns {
    pub with_sun: bool,
    pub without_sun: bool,
}

/// Keeps the first currency of the job and refuses others.
#[derive(Default)]
pub(super) struct Purse(Cell<Option<Currency>>);

impl Purse {
    fn check(&self, section: &Section<'_>, key: &'static str, quantity: &Quantity) {
        let Some(found) = quantity.currency else { return };
        match self.0.get() {
            None => self.0.set(Some(found)),
            Some(first) if !first.same_as(found) => {
                let (first, found) = (first.symbol(), found.symbol());
                let what = format!("{found} here, but {first} before: a job has one currency");
                let problem = Problem::new(Severity::Error, what).label("another currency");
                section.report(key, problem.help(format!("write every sum in {first}")));
            }
            Some(_) => {}
        }
    }

    /// A sum of money of one of the kinds, if it is given.
    pub(super) fn ask(
        &self,
        section: &Section<'_>,
        key: &'static str,
        kinds: &'static [Kind],
        possible: (&'static str, &'static str),
    ) -> Option<Quantity> {
        let found = section.ask(key, kinds).possible(possible.0, possible.1).given()?;
        self.check(section, key, &found);
        Some(found)
    }

    /// A fixed fee a year, nothing unless the job says it.
    fn fixed_fee(&self, section: &Section<'_>) -> f64 {
        let found = self.ask(section, "fixed_fee", &[Kind::MoneyPerTime], ("$0/month", "$10000/month"));
        found.map_or(0.0, |fee| fee.si * YEAR_S)
    }
}

/// Growth of prices a year.
fn growth(section: &Section<'_>, key: &'static str) -> f64 {
    section.ask(key, &[Kind::Share]).possible("-20 %", "20 %").usual("-3 %", "4 %").or("0 %", NO_GROWTH)
}

/// Reads the three sections, and the stock, whose sums are in the same currency. No money where a price is missing, with a note
/// of what to add if any of the three stands there.
pub(super) fn read(root: &Section<'_>, calendar: &Calendar, burns: Burns) -> (Option<Money>, Stock) {
    let purse = Purse::default();
    let electricity = electricity::read(&root.section("electricity"), calendar, &purse);
    let fuel = fuel::read(&root.section("fuel"), &purse);
    let plan = plan::read(&root.section("money"), &purse);
    let stock = stock::read(&root.section("stock"), &purse);
    (settled(root, burns, &purse, (electricity, fuel, plan)), stock)
}

fn settled(
    root: &Section<'_>,
    burns: Burns,
    purse: &Purse,
    (electricity, fuel, plan): (Option<Electricity>, Option<Fuel>, Option<Plan>),
) -> Option<Money> {
    let burning = burns.with_sun || burns.without_sun;
    if !burning {
        root.idle(&["fuel"], "no heater of this job burns fuel", "leave it out");
    }
    if let Some(missing) = missing(electricity.is_some(), burning, fuel.is_some()) {
        match ["electricity", "fuel", "money"].into_iter().find(|key| root.has(key)) {
            Some(key) => {
                let problem = Problem::new(Severity::Note, "there is no result in money yet");
                root.report(key, problem.label("a price is missing").help(missing));
            }
            None => {
                let words = format!("none, so no result in money: {missing}");
                root.section("electricity").note("price", words, None, Some("no price is ever assumed"));
            }
        }
    }
    let (electricity, fuel) = (electricity?, fuel.filter(|_| burning));
    if burning && fuel.is_none() {
        return None;
    }
    if purse.0.get().is_none() {
        root.section("money").note(
            "currency",
            Currency::DOLLAR.symbol(),
            None,
            Some("no sum of the job names another"),
        );
    }
    let currency = purse.0.get().unwrap_or(Currency::DOLLAR);
    Some(Money { currency, electricity, fuel, burns_without_sun: burns.without_sun, plan })
}

/// What to add for a result in money.
fn missing(electricity: bool, burning: bool, fuel: bool) -> Option<&'static str> {
    match (electricity, burning && !fuel) {
        (false, false) => Some("add [electricity] with price = \"$0.00/kWh\", from the bill"),
        (false, true) => Some(
            "add [electricity] with price = \"$0.00/kWh\" and [fuel] with kind and price = \"$0.00/therm\", from the bills",
        ),
        (true, true) => Some("add [fuel] with kind and price = \"$0.00/therm\", from the bill"),
        (true, false) => None,
    }
}
