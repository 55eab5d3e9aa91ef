//! From a year of bought energy with and without sun to bills, cash flow and measures.

use super::finance::{
    InternalRate, grown, internal_rate, levelized_cost, net_present_value, payback_year, simple_payback_years,
};
use super::{Currency, Incentive, Money, Plan};

/// What a house buys for its hot water in a year, hour by hour, at equal service: water that came too cool counts as bought
/// by the heater without sun. Both in kWh, fuel by its upper heating value; fuel may be empty where nothing burns.
#[derive(Clone, Copy, Debug)]
pub struct Purchase<'a> {
    /// 8,760 hours of electricity, pumps and controller included.
    pub electricity_kwh: &'a [f64],
    /// 8,760 hours of fuel, or none.
    pub fuel_kwh: &'a [f64],
}

/// The same house with and without its solar plant.
#[derive(Clone, Copy, Debug)]
pub struct Compared<'a> {
    /// Heater without sun.
    pub without: Purchase<'a>,
    /// Solar plant and backup.
    pub with: Purchase<'a>,
    /// Heat delivered less backup heat in the year, in kWh: what the sun brought to the taps.
    pub solar_heat_kwh: f64,
}

/// Cost of energy by month, fixed fees apart.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Bills {
    /// Without sun.
    pub without: [f64; 12],
    /// With it.
    pub with: [f64; 12],
    /// Paid either way, a year.
    pub fixed_fee_per_year: f64,
    /// Energy saved in the year, in kWh.
    pub saved_kwh: f64,
}

impl Bills {
    /// What the year's bill is lower.
    pub fn saving(&self) -> f64 {
        self.without.iter().sum::<f64>() - self.with.iter().sum::<f64>()
    }
}

/// The money of a year and, with a plan, of the years.
#[derive(Clone, Debug, PartialEq)]
pub struct Account {
    /// Of every sum.
    pub currency: Currency,
    /// First year's bills for electricity, with the rest of the house where the tariff asks for it.
    pub electricity: Bills,
    /// First year's bills for fuel.
    pub fuel: Bills,
    /// CO2 of the energy bought without sun and with it, in kg a year.
    pub co2_kg: [f64; 2],
    /// The years.
    pub outlook: Option<Outlook>,
}

impl Account {
    /// What the first year saves.
    pub fn saving(&self) -> f64 {
        self.electricity.saving() + self.fuel.saving()
    }
}

/// The solar plant as an investment.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlook {
    /// The start (year 0) and each year.
    pub years: Vec<CashYear>,
    /// Installed cost less what is received at the start.
    pub paid_at_start: f64,
    /// Discount rate a year, as a share.
    pub discount_frac: f64,
    /// First cost over the first year's surplus.
    pub simple_payback_years: Option<f64>,
    /// Year from whose end on nothing is left to pay back.
    pub payback_year: Option<u32>,
    /// The same with each sum discounted.
    pub discounted_payback_year: Option<u32>,
    /// Net present value.
    pub net_present_value: f64,
    /// Internal rate of return.
    pub internal_rate: InternalRate,
    /// Levelised cost of a kWh of solar heat.
    pub levelized_cost_per_kwh: Option<f64>,
    /// What programs pay, as the user found it.
    pub incentives: Vec<Incentive>,
}

/// Sums of one year, all positive but the last three.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct CashYear {
    /// 0: the start.
    pub year: u32,
    /// Saved on energy.
    pub saved: f64,
    /// Received from programs.
    pub incentives: f64,
    /// A heater that need not be bought.
    pub avoided: f64,
    /// Installed cost at the start, then upkeep.
    pub paid: f64,
    /// Parts replaced.
    pub replaced: f64,
    /// All of it.
    pub net: f64,
    /// All so far.
    pub balance: f64,
    /// All so far, discounted.
    pub discounted_balance: f64,
}

/// Works out what a year of bought energy means in money.
///
/// # Panics
/// If a slice of hours is neither 8,760 long nor, of fuel, empty.
pub fn account(money: &Money, year: &Compared<'_>) -> Account {
    let sum = |hours: &[f64]| hours.iter().sum::<f64>();
    let both = [&year.without, &year.with];
    let [electric_kwh, fuel_kwh] =
        [both.map(|side| sum(side.electricity_kwh)), both.map(|side| sum(side.fuel_kwh))];
    let [without, with] = both.map(|side| money.electricity.tariff.bills(side.electricity_kwh));
    let electricity = Bills {
        without,
        with,
        fixed_fee_per_year: money.electricity.fixed_fee_per_year,
        saved_kwh: electric_kwh[0] - electric_kwh[1],
    };
    let fuel = money.fuel.map_or_else(Bills::default, |fuel| {
        let [without, with] = both.map(|side| match side.fuel_kwh {
            [] => [0.0; 12],
            hours => super::tariff::Tariff::Flat(fuel.price_per_kwh).bills(hours),
        });
        let saved_kwh = fuel_kwh[0] - fuel_kwh[1];
        Bills { without, with, fixed_fee_per_year: fuel.fixed_fee_per_year, saved_kwh }
    });
    let fuel_co2 = money.fuel.map_or(0.0, |fuel| fuel.co2_kg_kwh);
    let co2_kg = [0, 1].map(|i| electric_kwh[i] * money.electricity.co2_kg_kwh + fuel_kwh[i] * fuel_co2);
    let outlook = money.plan.as_ref().map(|plan| {
        let rates = [money.electricity.growth_frac, money.fuel.map_or(0.0, |fuel| fuel.growth_frac)];
        let savings = [electricity.saving(), fuel.saving()].into_iter().zip(rates).collect::<Vec<_>>();
        outlook(plan, &savings, year.solar_heat_kwh)
    });
    Account { currency: money.currency, electricity, fuel, co2_kg, outlook }
}

/// Cash flow and measures for first years' savings, each with its growth a year.
fn outlook(plan: &Plan, savings: &[(f64, f64)], solar_heat_kwh: f64) -> Outlook {
    let received = |year| plan.incentives.iter().map(|i| &i.paid).filter(move |paid| paid.year == year);
    let mut years: Vec<CashYear> = (0..=plan.years)
        .map(|year| {
            let mut sums = CashYear {
                year,
                incentives: received(year).map(|paid| paid.amount).sum(),
                avoided: plan.tank_avoided.iter().filter(|tank| tank.year == year).map(|t| t.amount).sum(),
                replaced: plan.replacements.iter().filter(|part| part.year == year).map(|p| p.amount).sum(),
                ..CashYear::default()
            };
            if year == 0 {
                sums.paid = plan.installed_cost;
            } else {
                sums.saved = savings.iter().map(|&(first, growth)| grown(first, growth, year)).sum();
                sums.paid = grown(plan.upkeep_per_year, plan.upkeep_growth_frac, year);
            }
            sums.net = sums.saved + sums.incentives + sums.avoided - sums.paid - sums.replaced;
            sums
        })
        .collect();
    let (mut balance, mut discounted, mut worth) = (0.0, 0.0, 1.0);
    for sums in &mut years {
        balance += sums.net;
        discounted += sums.net * worth;
        worth /= 1.0 + plan.discount_frac;
        (sums.balance, sums.discounted_balance) = (balance, discounted);
    }
    let flows: Vec<f64> = years.iter().map(|sums| sums.net).collect();
    let spent: Vec<f64> = years.iter().map(|sums| sums.saved - sums.net).collect();
    let paid_at_start = -years[0].net;
    let first_year: f64 = savings.iter().map(|&(first, _)| first).sum();
    Outlook {
        paid_at_start,
        discount_frac: plan.discount_frac,
        simple_payback_years: simple_payback_years(paid_at_start, first_year - plan.upkeep_per_year),
        payback_year: payback_year(&flows, 0.0),
        discounted_payback_year: payback_year(&flows, plan.discount_frac),
        net_present_value: net_present_value(&flows, plan.discount_frac),
        internal_rate: internal_rate(&flows),
        levelized_cost_per_kwh: levelized_cost(&spent, solar_heat_kwh, plan.discount_frac),
        incentives: plan.incentives.clone(),
        years,
    }
}
