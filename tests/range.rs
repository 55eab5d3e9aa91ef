//! The saving as low, likely and high.

use suncask::job::file::read_text;
use suncask::job::{Job, PastBills, starter};
use suncask::record::Column;
use suncask::study::bills::fit;
use suncask::study::range::{Driver, Range, Reach, range};
use suncask::weather::{self, WeatherYear};
use suncask::year::{RunOptions, Shared};

/// Fewer years than a user gets: the tests are of the method.
const FEW: Reach = Reach {
    daily_use: [0.65, 1.0, 1.4],
    insulation: [0.9, 2.0],
    seat_loss_frac: [0.0, 0.3],
    soiling_frac: [0.0, 0.05],
    poor_year_frac: 0.3,
    years: 10,
};

fn house() -> Job {
    read_text("job.toml", starter()).expect("the starter")
}

fn of(job: &Job, weather: &WeatherYear, reach: &Reach, seed: u64) -> Range {
    range(job, &Shared::new(weather), None, reach, seed).expect("a range")
}

#[test]
fn the_range_is_seeded_ordered_and_as_wide_as_its_drivers() {
    let (job, weather) = (house(), weather::demo());
    let found = of(&job, &weather, &FEW, 1);
    assert_eq!(of(&job, &weather, &FEW, 1), found);
    assert_ne!(of(&job, &weather, &FEW, 2).saved_kwh, found.saved_kwh);
    let money = found.saved_money.expect("the starter has prices");
    for told in [found.saved_kwh, money] {
        assert!(told.low < told.likely && told.likely < told.high, "{told:?}");
    }
    let alone =
        suncask::year::run(&job, &suncask::year::Setting::new(&job, &weather), &RunOptions::default());
    assert_eq!(found.as_given_kwh, alone.expect("a year").annual[Column::EqualServiceSaved]);
    // Use comes first, more use saves more, and whatever is built worse saves less.
    assert_eq!(found.drivers[0].driver, Driver::DailyUse);
    assert!(found.drivers.windows(2).all(|pair| pair[0].share_frac >= pair[1].share_frac));
    let shares: f64 = found.drivers.iter().map(|moved| moved.share_frac).sum();
    assert!((shares - 1.0).abs() < 1e-12);
    let drivers: Vec<Driver> = found.drivers.iter().map(|moved| moved.driver).collect();
    assert_eq!(drivers.len(), 4, "{drivers:?}");
    for moved in &found.drivers {
        let more_saves_more = moved.driver == Driver::DailyUse;
        assert_eq!(moved.at_high_kwh > moved.at_low_kwh, more_saves_more, "{moved:?}");
    }
    assert!(found.not_covered[0].contains("years poorer in sun"));
    // A narrower use narrows the whole.
    let narrow = of(&job, &weather, &Reach { daily_use: [0.9, 1.0, 1.1], ..FEW }, 1);
    let width = |range: &Range| range.saved_kwh.high - range.saved_kwh.low;
    assert!(width(&narrow) < width(&found), "{} and {}", width(&narrow), width(&found));
}

#[test]
fn nothing_that_varies_is_no_range() {
    let (job, weather) = (house(), weather::demo());
    let still = Reach {
        daily_use: [1.0; 3],
        insulation: [1.0; 2],
        seat_loss_frac: [0.0; 2],
        soiling_frac: [0.0; 2],
        years: 3,
        ..FEW
    };
    let found = of(&job, &weather, &still, 1);
    for value in [found.saved_kwh.low, found.saved_kwh.likely, found.saved_kwh.high] {
        assert_eq!(value, found.as_given_kwh);
    }
    assert!(found.drivers.iter().all(|moved| moved.share_frac == 0.0));
}

#[test]
fn a_poor_year_counts_where_the_job_names_one() {
    let (job, weather) = (house(), weather::demo());
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("weather-samples/cold-and-cloudy.csv");
    let poor = weather::read(&path).expect("a sample");
    let (typical, poor_year) = (Shared::new(&weather), Shared::new(&poor));
    let found = range(&job, &typical, Some(&poor_year), &FEW, 1).expect("a range");
    let moved = found.drivers.iter().find(|moved| moved.driver == Driver::Weather).expect("the weather");
    let alone = poor_year.run(&job, &RunOptions::default()).expect("a year");
    assert_eq!(moved.at_high_kwh, alone.annual[Column::EqualServiceSaved]);
    assert_eq!(moved.at_low_kwh, found.as_given_kwh);
    assert!(!found.not_covered[0].contains("years poorer in sun"));
    assert!(found.saved_kwh.low < of(&job, &weather, &FEW, 1).saved_kwh.low);
}

/// What the heater without sun buys in each month with so much of the job's use.
fn bought(job: &Job, shared: &Shared<'_>, factor: f64) -> [f64; 12] {
    let mut job = job.clone();
    job.water_use.month_factor = job.water_use.month_factor.map(|month| month * factor);
    let year = shared.run(&job, &RunOptions::default()).expect("a year");
    std::array::from_fn(|month| year.monthly[month][Column::BaselinePurchased])
}

#[test]
fn bills_tell_the_use_and_narrow_the_range() {
    let (mut job, weather) = (house(), weather::demo());
    let shared = Shared::new(&weather);
    let water_kwh = bought(&job, &shared, 0.8);
    let bills = PastBills { water_kwh, months: (0..12).collect() };
    let found = fit(&job, &bills, &shared).expect("years").expect("a fit");
    // The passes end within 1e-4 of a step.
    assert!((found.factor - 0.8).abs() < 1e-3 && found.misfit_frac < 1e-3, "{found:?}");
    // Some months high, some low: the least squares stay in between and say how far the bills are off.
    let uneven = std::array::from_fn(|month| water_kwh[month] * if month % 2 == 0 { 1.1 } else { 0.9 });
    let rough =
        fit(&job, &PastBills { water_kwh: uneven, ..bills.clone() }, &shared).expect("years").expect("a fit");
    assert!((rough.factor - 0.8).abs() < 0.05 && (0.08..0.12).contains(&rough.misfit_frac), "{rough:?}");
    assert_eq!(
        fit(&job, &PastBills { water_kwh: [9000.0; 12], ..bills.clone() }, &shared).expect("years"),
        None
    );

    let wide = of(&job, &weather, &FEW, 1);
    job.bills = Some(bills);
    let told = of(&job, &weather, &FEW, 1);
    assert_eq!(told.bills.map(|fit| fit.factor), Some(found.factor));
    let width = |range: &Range| range.saved_kwh.high - range.saved_kwh.low;
    assert!(width(&told) < width(&wide) && told.saved_kwh.likely < wide.saved_kwh.likely);
}

#[test]
fn bills_in_the_job_file() {
    let job = |text: &str| read_text("job.toml", &format!("{}\n{text}", starter()));
    let kwh = "kwh = [400, 380, 370, 330, 300, 250, 240, 260, 290, 320, 350, 390]";
    let whole = job(&format!(
        "[bills]\n{kwh}\nother_use = [100, 100, 100, 100, 100, 100, 110, 100, 100, 100, 100, 100]\n"
    ));
    let bills = whole.expect("sound").bills.expect("bills");
    // July 240 - 110, June 250 - 100 and August 260 - 100 count: the three lowest bills of a house with one meter.
    assert_eq!(bills.months, [6, 5, 7]);
    assert_eq!((bills.water_kwh[6], bills.water_kwh[5]), (130.0, 150.0));
    let heater =
        job("[bills]\ntherms = [10, 10, 10, 10, 10, 10, 10, 10, 10, 10, 10, 10]\ncover = \"water heater\"\n");
    let bills = heater.expect("sound").bills.expect("bills");
    // 1 therm is 100,000 Btu of 1055.055 852 62 J: 29.307 107 kWh.
    assert!((bills.water_kwh[0] - 293.071_07).abs() < 1e-6 && bills.months.len() == 12);
    for (text, told) in [
        ("[bills]\n".to_owned(), "either `kwh` or `therms`"),
        ("[bills]\nkwh = [1, 2]\n".to_owned(), "12 belong here"),
        (format!("[bills]\n{}\n", kwh.replace("400", "-400")), "cannot be negative"),
    ] {
        let problems = job(&text).expect_err("refused");
        assert!(problems.iter().any(|problem| problem.message.contains(told)), "{told}: {problems:?}");
    }
}
