//! Tariffs against small cases worked by hand, and what holds for any.

use proptest::prelude::*;
use suncask::job::{Calendar, DaySpan};
use suncask::money::tariff::{Hourly, Period, Tariff, Tiers, Unsettled, time_of_use};

use super::close;

/// 1 January is a Monday, as in 2018; the clock is ahead from day 70 (Sunday, 11 March) to day 307 (3 November).
const SUMMER: Calendar =
    Calendar { first_weekday: 0, daylight_saving: Some(DaySpan { first: 70, last: 307 }) };

const WEEKDAYS: [bool; 7] = [true, true, true, true, true, false, false];

/// Hour of the year that begins at an hour of standard time on a day (1 to 365).
fn at(day: usize, hour: usize) -> usize {
    (day - 1) * 24 + hour
}

/// Only these hours buy anything.
fn only(hours: &[(usize, f64)]) -> Vec<f64> {
    let mut kwh = vec![0.0; 8760];
    for &(hour, bought) in hours {
        kwh[hour] = bought;
    }
    kwh
}

#[test]
fn tiers_price_the_margin_of_a_month() {
    let tiers = Tiers { blocks: vec![(500.0, 0.10), (800.0, 0.20)], above: 0.40, other_kwh: 600.0 };
    // 500 at 0.10, 300 at 0.20, the rest at 0.40.
    for (kwh, cost) in
        [(0.0, 0.0), (400.0, 40.0), (500.0, 50.0), (600.0, 70.0), (800.0, 110.0), (1000.0, 190.0)]
    {
        close(tiers.cost(kwh), cost);
    }
    // January: 600 + 400 kWh without sun, 600 + 100 with it: 200 saved at 0.40 and 100 at 0.20.
    let (without, with) = (only(&[(at(2, 5), 400.0)]), only(&[(at(20, 7), 100.0)]));
    let tariff = Tariff::Tiered(tiers);
    let [before, after] = [&without, &with].map(|kwh| tariff.bills(kwh));
    close(before[0], 190.0);
    close(after[0], 90.0);
    // The rest of the house is in every other month's bill.
    close(before[11], 70.0);
    let prices = tariff.prices_of_saved(&without, &with);
    close(prices[at(10, 0)], 100.0 / 300.0);
    // The next kWh of a month without any saving comes from the second block.
    close(prices[at(200, 0)], 0.20);
}

#[test]
fn hours_of_use_follow_the_clock() {
    let peak = Period { price: 0.40, hours: vec![(17, 21)], weekdays: WEEKDAYS, days: Vec::new() };
    let night = Period { price: 0.08, hours: vec![(22, 6)], ..Period::default() };
    let year = time_of_use(&[peak, night], Some(0.20), &SUMMER).expect("a settled year");
    // Day 15 is a Monday in winter time: 5 pm is the hour that begins at 17.
    assert_eq!([16, 17, 20, 21, 22].map(|hour| year[at(15, hour)]), [0.20, 0.40, 0.40, 0.20, 0.08]);
    assert_eq!([5, 6].map(|hour| year[at(15, hour)]), [0.08, 0.20]);
    // Day 13 is a Saturday.
    assert_eq!(year[at(13, 18)], 0.20);
    // Day 183 is a Tuesday in July: the clock shows 5 pm at 4 pm standard time.
    assert_eq!([15, 16, 19, 20].map(|hour| year[at(183, hour)]), [0.20, 0.40, 0.40, 0.20]);
    // A year that begins on a Monday has 261 weekdays; no peak hour lies where the clock changes.
    let peak_hours = year.iter().filter(|price| **price == 0.40).count();
    assert_eq!(peak_hours, 261 * 4);
    // 8 night hours a day: in spring Saturday's last hour is read as Sunday's first, in autumn the hour from 11 pm twice.
    let night_hours = year.iter().filter(|price| **price == 0.08).count();
    assert_eq!(night_hours, 365 * 8);
}

#[test]
fn a_night_of_weekdays_belongs_to_its_dates() {
    let calendar = Calendar { first_weekday: 0, daylight_saving: None };
    let night = Period { price: 0.08, hours: vec![(21, 7)], weekdays: WEEKDAYS, days: Vec::new() };
    let year = time_of_use(&[night], Some(0.20), &calendar).expect("a settled year");
    // Monday before 7, Friday after 9 pm; not Saturday before 7.
    assert_eq!([at(1, 3), at(5, 22), at(6, 3)].map(|hour| year[hour]), [0.08, 0.08, 0.20]);
}

#[test]
fn seasons_and_what_does_not_settle() {
    let calendar = Calendar { first_weekday: 0, daylight_saving: None };
    let season =
        |price, first, last| Period { price, days: vec![DaySpan { first, last }], ..Period::default() };
    let (summer, winter) = (season(0.30, 121, 273), season(0.15, 274, 120));
    let year = time_of_use(&[summer.clone(), winter.clone()], None, &calendar).expect("a settled year");
    assert_eq!(
        [1, 120, 121, 273, 274, 365].map(|day| year[at(day, 12)]),
        [0.15, 0.15, 0.30, 0.30, 0.15, 0.15]
    );
    assert_eq!(
        time_of_use(std::slice::from_ref(&summer), None, &calendar),
        Err(Unsettled { both: None, day: 1, hour: 0 })
    );
    let evening = Period { price: 0.50, hours: vec![(18, 20)], ..Period::default() };
    assert_eq!(
        time_of_use(&[summer, winter, evening], None, &calendar),
        Err(Unsettled { both: Some((1, 2)), day: 1, hour: 18 })
    );
}

#[test]
fn a_house_that_feeds_in_is_paid_the_export_price() {
    let noon = at(100, 12);
    let evening = at(100, 19);
    let mut house_kwh = vec![0.5; 8760];
    house_kwh[noon] = -2.0;
    let tariff = Tariff::Hourly(Hourly { import: vec![0.30; 8760], export: vec![0.05; 8760], house_kwh });
    let (without, with) = (only(&[(noon, 3.0), (evening, 2.0)]), only(&[(noon, 1.0)]));
    // Noon without sun: 3 - 2 = 1 kWh bought; with sun 1 - 2 = 1 kWh fed in: 0.30 + 0.05 better. Evening: 2 at 0.30.
    let [before, after] = [&without, &with].map(|kwh| tariff.bills(kwh));
    close(before.iter().sum::<f64>() - after.iter().sum::<f64>(), 0.35 + 0.60);
    let prices = tariff.prices_of_saved(&without, &with);
    close(prices[noon], 0.35 / 2.0);
    close(prices[evening], 0.30);
    // Where the house feeds in anyway, a kWh saved earns what it is paid.
    let prices = tariff.prices_of_saved(&only(&[(noon, 1.0)]), &only(&[]));
    close(prices[noon], 0.05);
}

fn hours() -> impl Strategy<Value = Vec<f64>> {
    // A short pattern, repeated out of step with the day.
    prop::collection::vec(0.0_f64..4.0, 30..60)
        .prop_map(|short| short.iter().cycle().take(8760).copied().collect())
}

fn any_tariff() -> impl Strategy<Value = Tariff> {
    let price = 0.01_f64..0.6;
    prop_oneof![
        price.clone().prop_map(Tariff::Flat),
        (1.0_f64..900.0, 1.0_f64..900.0, [price.clone(), price.clone(), price.clone()], 0.0_f64..1500.0)
            .prop_map(|(first, more, [a, b, above], other_kwh)| Tariff::Tiered(Tiers {
                blocks: vec![(first, a), (first + more, b)],
                above,
                other_kwh
            })),
        (price.clone(), price.clone(), 0_u32..24, 1_u32..24).prop_map(|(on, off, from, length)| {
            let hours = vec![(from, (from + length - 1) % 24 + 1)];
            let peak = Period { price: on, hours, weekdays: WEEKDAYS, days: Vec::new() };
            Tariff::TimeOfUse(time_of_use(&[peak], Some(off), &SUMMER).expect("settled"))
        }),
        (hours(), price.clone(), price).prop_map(|(swing, import, export)| Tariff::Hourly(Hourly {
            import: swing.iter().map(|s| import * (1.0 + s)).collect(),
            export: vec![export; 8760],
            house_kwh: swing.iter().map(|s| s - 2.0).collect(),
        })),
    ]
}

fn highest(tariff: &Tariff) -> f64 {
    let most = |prices: &[f64]| prices.iter().copied().fold(0.0, f64::max);
    match tariff {
        Tariff::Flat(price) => *price,
        Tariff::Tiered(tiers) => tiers.blocks.iter().map(|block| block.1).fold(tiers.above, f64::max),
        Tariff::TimeOfUse(prices) => most(prices),
        Tariff::Hourly(hourly) => most(&hourly.import).max(most(&hourly.export)),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Prices of what is saved, times what is saved, are the difference of the bills, under any tariff; and no kWh saved is
    /// worth more than the highest price.
    #[test]
    fn what_is_saved_is_the_difference_of_the_bills(tariff in any_tariff(), without in hours(), kept in 0.0_f64..1.0) {
        let with: Vec<f64> = without.iter().map(|kwh| kept * kwh).collect();
        let [before, after] = [&without, &with].map(|kwh| tariff.bills(kwh).iter().sum::<f64>());
        let prices = tariff.prices_of_saved(&without, &with);
        let saved: Vec<f64> = without.iter().zip(&with).map(|(a, b)| a - b).collect();
        let worth: f64 = prices.iter().zip(&saved).map(|(price, kwh)| price * kwh).sum();
        prop_assert!((before - after - worth).abs() < 1e-6 * (1.0 + before.abs()), "{} {worth}", before - after);
        let most = highest(&tariff) * saved.iter().sum::<f64>();
        prop_assert!(before - after <= most * (1.0 + 1e-9) + 1e-6);
    }

    /// Bills of uses by themselves add up to that of all, where no kWh changes the price of another.
    #[test]
    fn bills_add_up(price in 0.01_f64..0.6, one in hours(), other in hours()) {
        let peak = Period { price, hours: vec![(17, 21)], ..Period::default() };
        let by_hour = Tariff::TimeOfUse(time_of_use(&[peak], Some(0.1), &SUMMER).expect("settled"));
        let both: Vec<f64> = one.iter().zip(&other).map(|(a, b)| a + b).collect();
        for tariff in [Tariff::Flat(price), by_hour] {
            let [a, b, all] = [&one, &other, &both].map(|kwh| tariff.bills(kwh));
            for month in 0..12 {
                close(a[month] + b[month], all[month]);
            }
        }
        // A flat price is its own margin.
        let flat = Tariff::Flat(price);
        let saved: f64 = flat.bills(&both).iter().sum::<f64>() - flat.bills(&one).iter().sum::<f64>();
        close(saved, price * other.iter().sum::<f64>());
    }

    /// Each month's bill is that of its own hours only.
    #[test]
    fn months_are_billed_by_themselves(tariff in any_tariff(), kwh in hours(), month in 0_usize..12) {
        const DAYS: [usize; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
        let first = 24 * DAYS[..month].iter().sum::<usize>();
        let mut alone = vec![0.0; 8760];
        let hours = first..first + 24 * DAYS[month];
        alone[hours.clone()].copy_from_slice(&kwh[hours]);
        close(tariff.bills(&alone)[month], tariff.bills(&kwh)[month]);
    }
}
