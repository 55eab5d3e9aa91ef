//! Measures of a cash flow: one sum a year, at its end, the first at the start (year 0).
//!
//! Formulas: J. A. Duffie and W. A. Beckman, Solar Engineering of Thermal Processes, 3rd ed. 2006, chapter 11, unless said
//! otherwise.

/// Value in year `year` (from 1) of a sum that is `first` in year 1 and grows by `growth_frac` a year.
pub fn grown(first: f64, growth_frac: f64, year: u32) -> f64 {
    (1..year).fold(first, |sum, _| sum * (1.0 + growth_frac))
}

/// Present worth of a series of `years` sums, the first 1 and each larger by `growth_frac` than the one before.
///
/// The sum itself, equal to `[1 - ((1+e)/(1+d))^N]/(d - e)` and, where growth and discount are the same, to `N/(1+d)`.
pub fn present_worth_factor(years: u32, growth_frac: f64, discount_frac: f64) -> f64 {
    let ratio = (1.0 + growth_frac) / (1.0 + discount_frac);
    // From the last year backwards, as a bracket in a bracket.
    (0..years).fold(0.0, |sum, _| sum * ratio + 1.0) / (1.0 + discount_frac)
}

/// Net present value: each sum divided by `(1 + discount)^year`.
pub fn net_present_value(flows: &[f64], discount_frac: f64) -> f64 {
    flows.iter().rev().fold(0.0, |later, flow| flow + later / (1.0 + discount_frac))
}

/// Years in which the first year's surplus pays `cost` back; `None` if it never does.
pub fn simple_payback_years(cost: f64, surplus_per_year: f64) -> Option<f64> {
    let never = surplus_per_year <= 0.0 && cost > 0.0;
    (!never).then(|| if cost > 0.0 { cost / surplus_per_year } else { 0.0 })
}

/// The year from whose end on the sum so far, discounted, is never below zero; `None` if the last year still is. A part
/// replaced after a first payback puts the year off.
pub fn payback_year(flows: &[f64], discount_frac: f64) -> Option<u32> {
    let (mut sum, mut worth, mut since) = (0.0, 1.0, None);
    for (year, flow) in (0..).zip(flows) {
        sum += flow * worth;
        worth /= 1.0 + discount_frac;
        since = if sum < 0.0 { None } else { since.or(Some(year)) };
    }
    since
}

/// The rate at which a cash flow is worth nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum InternalRate {
    /// There is one, as a share a year.
    One(f64),
    /// There is none between -99 % and 10 000 %.
    None,
    /// There are several: later replacements flip the sign of the flow more than once.
    Several,
}

/// Bounds of `1 + rate` within which a rate is looked for, and in how many steps of equal ratio.
const GROWTH: (f64, f64) = (0.01, 101.0);
const STEPS: u32 = 400;

/// Internal rate of return, by bisection between neighbours of a row of rates whose present values differ in sign.
pub fn internal_rate(flows: &[f64]) -> InternalRate {
    let value = |growth: f64| flows.iter().rev().fold(0.0, |later, flow| flow + later / growth);
    let ratio = libm::pow(GROWTH.1 / GROWTH.0, 1.0 / f64::from(STEPS));
    let mut found = InternalRate::None;
    let (mut low, mut low_is_positive) = (GROWTH.0, value(GROWTH.0) > 0.0);
    for _ in 0..STEPS {
        let high = low * ratio;
        let high_is_positive = value(high) > 0.0;
        if low_is_positive != high_is_positive {
            if found != InternalRate::None {
                return InternalRate::Several;
            }
            found = InternalRate::One(bisected(&value, low, high) - 1.0);
        }
        (low, low_is_positive) = (high, high_is_positive);
    }
    found
}

fn bisected(value: &impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    let low_is_positive = value(low) > 0.0;
    // A step of the row is 2.3 % wide: halved 60 times, it is below any rounding.
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if (value(middle) > 0.0) == low_is_positive {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Levelised cost of heat: present value of what is spent (what is received counts against it) over that of `heat_kwh` a
/// year; `None` without heat. `[I0 - S0 + sum C_t/(1+r)^t] / sum E_t/(1+r)^t` of IEA SHC Task 54 (from memory), without
/// taxes, depreciation and residual value.
pub fn levelized_cost(spent: &[f64], heat_kwh: f64, discount_frac: f64) -> Option<f64> {
    let years = spent.len().saturating_sub(1) as u32;
    let heat = heat_kwh * present_worth_factor(years, 0.0, discount_frac);
    (heat > 0.0).then(|| net_present_value(spent, discount_frac) / heat)
}
