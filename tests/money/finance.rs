//! Measures of a cash flow.

use proptest::prelude::*;
use suncask::money::finance::{
    InternalRate, grown, internal_rate, levelized_cost, net_present_value, payback_year,
    present_worth_factor, simple_payback_years,
};
use suncask::money::tariff::Tariff;
use suncask::money::{
    Account, Compared, Currency, Dated, Electricity, Money, MoneyFigure, Plan, Purchase, account,
};

use super::close;

/// The project's worked example (reference notes on savings arithmetic, computed by hand there): 6000 at the start, 2500 kWh a
/// year at 0.17 a kWh, prices and an upkeep of 60 growing by 2 %, discount 5 %, 20 years, 400 in year 12.
fn worked() -> Account {
    let money = Money {
        currency: Currency::DOLLAR,
        electricity: Electricity {
            tariff: Tariff::Flat(0.17),
            fixed_fee_per_year: 144.0,
            growth_frac: 0.02,
            co2_kg_kwh: 0.4,
        },
        fuel: None,
        burns_without_sun: false,
        plan: Some(Plan {
            installed_cost: 6000.0,
            upkeep_per_year: 60.0,
            upkeep_growth_frac: 0.02,
            years: 20,
            discount_frac: 0.05,
            replacements: vec![Dated { what: "pump".into(), amount: 400.0, year: 12 }],
            incentives: Vec::new(),
            tank_avoided: None,
        }),
    };
    let (without, with) = (vec![3500.0 / 8760.0; 8760], vec![1000.0 / 8760.0; 8760]);
    let side = |electricity_kwh| Purchase { electricity_kwh, fuel_kwh: &[] };
    account(&money, &Compared { without: side(&without), with: side(&with), solar_heat_kwh: 2500.0 })
}

/// The figure rounded as the example prints it.
fn printed(account: &Account, key: &str, decimals: usize) -> String {
    let figure = MoneyFigure::ALL.iter().find(|figure| figure.key == key).expect("a figure");
    (figure.value)(account).map_or("none".to_owned(), |value| format!("{value:.decimals$}"))
}

#[test]
fn the_worked_example_to_its_printed_digits() {
    assert_eq!(format!("{:.4}", present_worth_factor(20, 0.02, 0.05)), "14.6654");
    let account = worked();
    for (key, decimals, expected) in [
        ("saved", 2, "425.00"),
        ("simple_payback_years", 1, "16.4"),
        ("payback_year", 0, "16"),
        ("discounted_payback_year", 0, "none"),
        ("net_present_value", 1, "-869.9"),
        ("internal_rate_percent", 2, "3.32"),
        ("levelized_cost_per_kwh", 4, "0.2280"),
        ("co2_saved_kg", 0, "1000"),
    ] {
        assert_eq!(printed(&account, key, decimals), expected, "{key}");
    }
}

/// numpy-financial 1.0.0 with numpy 2.4.6, `npv(rate, flows)` and `irr(flows)`, run for this test.
#[test]
fn values_and_rates_as_a_finance_library_has_them() {
    let years = &worked().outlook.expect("a plan").years;
    let flows: Vec<f64> = years.iter().map(|year| year.net).collect();
    let turning = [-7500.0, 1200.0, 350.5, 412.25, -180.0, 900.0, 1000.0, 1100.0, 1250.0, 1300.0, 1400.0];
    for (flows, rate, value, internal) in [
        (&flows[..], 0.05, -869.863_305_973_320_7, 0.033_198_259_939_644_315),
        (&turning, 0.07, -1_733.797_980_578_577_6, 0.024_292_026_163_834_19),
        (&[-100.0, 39.0, 59.0, 55.0, 20.0], 0.08, 45.055_471_820_954_715, 0.280_948_421_159_960_66),
        (&[-5000.0, 100.0, 100.0, 100.0], 0.03, -4_717.138_864_510_533, -0.696_679_574_811_143_6),
    ] {
        close(net_present_value(flows, rate), value);
        let InternalRate::One(found) = internal_rate(flows) else { panic!("{flows:?}") };
        // The library solves for the roots of a polynomial in double precision.
        assert!((found - internal).abs() < 1e-9, "{found} against {internal}");
    }
}

#[test]
fn rates_that_are_none_or_several() {
    assert_eq!(internal_rate(&[-100.0, -10.0, -10.0]), InternalRate::None);
    assert_eq!(internal_rate(&[100.0, 10.0]), InternalRate::None);
    assert_eq!(internal_rate(&[]), InternalRate::None);
    // -100 + 230/q - 132/q2 = 0 at q = 1.1 and q = 1.2.
    assert_eq!(internal_rate(&[-100.0, 230.0, -132.0]), InternalRate::Several);
    // Changes sign three times and yet crosses zero once: at q = 2 it is -16 + 32 - 20 + 4 = 0, and
    // -16 q3 + 64 q2 - 80 q + 32 = -16 (q - 2)(q2 - 2 q + 1), which only touches zero at q = 1.
    let InternalRate::One(rate) = internal_rate(&[-16.0, 64.0, -80.0, 32.0]) else { panic!("one crossing") };
    close(rate, 1.0);
}

#[test]
fn paybacks_by_hand() {
    assert_eq!(simple_payback_years(6000.0, 375.0), Some(16.0));
    assert_eq!(simple_payback_years(6000.0, 0.0), None);
    assert_eq!(simple_payback_years(0.0, -5.0), Some(0.0));
    // Paid back after year 2, again in debt in year 3, for good after year 4.
    assert_eq!(payback_year(&[-100.0, 60.0, 50.0, -30.0, 40.0], 0.0), Some(4));
    // At 100 % interest: -100 + 80 + 20 = 0 after year 2.
    assert_eq!(payback_year(&[-100.0, 160.0, 80.0], 1.0), Some(2));
    assert_eq!(payback_year(&[-100.0, 99.0], 0.0), None);
    assert_eq!(payback_year(&[0.0, 1.0], 0.0), Some(0));
    // 1000 for 100 kWh a year over two years at no interest is 5 a kWh.
    assert_eq!(levelized_cost(&[1000.0, 0.0, 0.0], 100.0, 0.0), Some(5.0));
    assert_eq!(levelized_cost(&[1000.0, 0.0, 0.0], 0.0, 0.0), None);
    close(grown(60.0, 0.02, 1), 60.0);
    close(grown(60.0, 0.02, 3), 60.0 * 1.02 * 1.02);
}

proptest! {
    /// The factor against its closed form (Duffie and Beckman, chapter 11), and N/(1 + d) where both rates are the same.
    #[test]
    fn the_present_worth_factor_is_its_closed_form(years in 0_u32..40, growth in -0.1_f64..0.2, apart in 0.001_f64..0.2) {
        let discount = growth + apart;
        let ratio = ((1.0 + growth) / (1.0 + discount)).powi(years as i32);
        // The closed form divides a difference by `apart`: some 1e-16/1e-3.
        let closed = (1.0 - ratio) / apart;
        prop_assert!((present_worth_factor(years, growth, discount) - closed).abs() < 1e-10 * closed.max(1.0));
        close(present_worth_factor(years, growth, growth), f64::from(years) / (1.0 + growth));
    }

    /// At its internal rate a cash flow is worth nothing, and more below it where it only changes sign once.
    #[test]
    fn a_rate_is_where_the_value_is_zero(cost in 100.0_f64..20_000.0, saved in 50.0_f64..2000.0, years in 5_usize..40) {
        let mut flows = vec![saved; years + 1];
        flows[0] = -cost;
        let InternalRate::One(rate) = internal_rate(&flows) else { panic!("one change of sign") };
        prop_assert!(net_present_value(&flows, rate).abs() < 1e-6 * cost);
        prop_assert!(net_present_value(&flows, rate - 0.01) > 0.0);
        prop_assert!(net_present_value(&flows, rate + 0.01) < 0.0);
        // Without interest the value is the sum, and paying back is the sum reaching zero.
        close(net_present_value(&flows, 0.0), saved * years as f64 - cost);
        let back = payback_year(&flows, 0.0);
        prop_assert_eq!(back.is_some(), saved * years as f64 >= cost);
        if let Some(year) = back {
            let simple = simple_payback_years(cost, saved).expect("a surplus");
            prop_assert!(simple <= f64::from(year) && f64::from(year) < simple + 1.0 + 1e-9);
        }
    }
}
