//! What a job says about money, and what is wrong with it.

use std::path::Path;

use suncask::job::Job;
use suncask::job::file::{read, read_text, render};
use suncask::money::Money;
use suncask::money::tariff::Tariff;

use super::close;

/// Btu of the International Table in kWh, from its definition in J.
const BTU_KWH: f64 = 1_055.055_852_62 / 3.6e6;

/// A heater without sun that burns fuel.
const BURNS: &str = "[heater_without_sun]\nfuel = \"gas\"\n";

fn job(text: &str) -> Job {
    read_text("job.toml", text).unwrap_or_else(|_| panic!("{}", messages(text)))
}

fn money(text: &str) -> Money {
    job(text).money.unwrap_or_else(|| panic!("no money: {}", messages(text)))
}

/// All problems as a person sees them, without colour.
fn messages(text: &str) -> String {
    let problems = match read_text("job.toml", text) {
        Ok(job) => job.notes,
        Err(problems) => problems,
    };
    anstream::adapter::strip_str(&render(&problems, text)).to_string()
}

#[test]
fn a_house_with_a_quote() {
    let text = "[electricity]\nprice = \"17 cents/kWh\"\nfixed_fee = \"$12/month\"\ngrowth = \"1 %\"\nco2 = \"0.4 kg/kWh\"\n\
        [money]\ninstalled_cost = \"$6,500\"\nyears = 25\nupkeep = \"$5/month\"\ndiscount_rate = \"4 %\"\n\
        [[money.replacement]]\nwhat = \"pump\"\ncost = \"400 USD\"\nyear = 12\n\
        [[money.incentive]]\nname = \"rebate\"\namount = \"$500\"\nreceived = 1\nverified_on = 2026-05-01\n\
        [money.tank_avoided]\ncost = \"$1,200\"\nyear = 5\n";
    assert_eq!(messages(text), "");
    let money = money(text);
    assert_eq!(money.currency.symbol(), "$");
    let electricity = &money.electricity;
    let Tariff::Flat(price) = electricity.tariff else { panic!("{:?}", electricity.tariff) };
    close(price, 0.17);
    close(electricity.fixed_fee_per_year, 144.0);
    close(electricity.growth_frac, 0.01);
    close(electricity.co2_kg_kwh, 0.4);
    assert_eq!((money.fuel, money.burns_without_sun), (None, false));
    let plan = money.plan.expect("a plan");
    close(plan.installed_cost, 6500.0);
    close(plan.upkeep_per_year, 60.0);
    assert_eq!((plan.years, plan.replacements.len(), plan.incentives.len()), (25, 1, 1));
    assert_eq!(
        (plan.replacements[0].what.as_str(), plan.replacements[0].amount, plan.replacements[0].year),
        ("pump", 400.0, 12)
    );
    let incentive = &plan.incentives[0];
    assert_eq!((incentive.paid.year, incentive.verified_on.as_deref()), (1, Some("2026-05-01")));
    assert_eq!(plan.tank_avoided.map(|tank| (tank.amount, tank.year)), Some((1200.0, 5)));
}

#[test]
fn what_is_not_said_is_told_and_no_price_is_assumed() {
    let bare = job("name = \"x\"\n[tank]\nvolume = \"80 gal\"\n");
    assert!(bare.money.is_none());
    let echo = bare.echo.iter().find(|echo| echo.key == "electricity.price").expect("told");
    assert!(echo.written.contains("add [electricity] with price"), "{}", echo.written);
    assert_eq!(echo.default_source.as_deref(), Some("no price is ever assumed"));
    // A price by itself gives bills; upkeep is a share of the cost, growth none, CO2 the country's.
    let bills = money("[electricity]\nprice = \"$0.17/kWh\"\n");
    assert_eq!(bills.plan, None);
    // 823 lb/MWh.
    close(bills.electricity.co2_kg_kwh, 823.0 * 0.453_592_37 / 1000.0);
    let text = "[electricity]\nprice = \"$0.17/kWh\"\n[money]\ninstalled_cost = \"$6000\"\n";
    let quote = job(text);
    let plan = quote.money.as_ref().and_then(|money| money.plan.as_ref()).expect("a plan");
    assert_eq!((plan.upkeep_per_year, plan.years, plan.upkeep_growth_frac), (60.0, 20, 0.0));
    for key in ["electricity.growth", "electricity.co2", "money.upkeep", "money.years", "money.discount_rate"]
    {
        let echo = quote.echo.iter().find(|echo| echo.key == key).expect(key);
        assert!(echo.default_source.is_some(), "{key}");
    }
    for (text, told) in [
        ("[money]\ninstalled_cost = \"$6000\"\n", "add [electricity] with price"),
        (&format!("{BURNS}[electricity]\nprice = \"$0.17/kWh\"\n"), "add [fuel] with kind and price"),
        (&format!("{BURNS}[fuel]\nprice = \"$1.60/therm\"\n"), "add [electricity] with price"),
        ("[electricity]\nfixed_fee = \"$12/month\"\n", "add [electricity] with price"),
    ] {
        assert!(job(text).money.is_none(), "{text}");
        assert!(messages(text).contains(told), "{text}{}", messages(text));
    }
    let unused = "[electricity]\nprice = \"$0.17/kWh\"\n[fuel]\nprice = \"$1.60/therm\"\n";
    assert_eq!(money(unused).fuel, None);
    assert!(messages(unused).contains("no heater of this job burns fuel"), "{}", messages(unused));
}

/// Heating values and definitions: see `money/fuel.rs` and `job/quantity/units.rs`; worked out anew here.
#[test]
fn fuel_by_any_unit_is_a_price_of_a_kwh() {
    let gallon_l = 3.785_411_784;
    let foot_m3 = 0.3048_f64.powi(3);
    for (kind, price, expected) in [
        ("natural gas", "$1.60/therm", 1.60 / (1e5 * BTU_KWH)),
        ("natural gas", "$16/MMBtu", 1.60 / (1e5 * BTU_KWH)),
        ("natural gas", "$1.20/ccf", 1.20 / (102_900.0 * BTU_KWH)),
        ("natural gas", "$0.60/m3", 0.60 * foot_m3 / (1029.0 * BTU_KWH)),
        ("natural gas", "9 cents/kWh", 0.09),
        ("propane", "$2.80/gal", 2.80 / (91_452.0 * BTU_KWH)),
        ("oil", "$3.50/gal", 3.50 / (138_500.0 * BTU_KWH)),
        ("oil", "$0.95/L", 0.95 * gallon_l / (138_500.0 * BTU_KWH)),
    ] {
        let text = format!(
            "{BURNS}[electricity]\nprice = \"$0.17/kWh\"\n[fuel]\nkind = \"{kind}\"\nprice = \"{price}\"\n"
        );
        let fuel = money(&text).fuel.expect("a fuel");
        close(fuel.price_per_kwh, expected);
    }
    let text = format!(
        "{BURNS}[electricity]\nprice = \"€0.30/kWh\"\n[fuel]\nprice = \"€1/m3\"\nheating_value = \"36 MJ/m3\"\nfixed_fee = \"€10/month\"\n"
    );
    let found = money(&text);
    assert_eq!(found.currency.symbol(), "€");
    let fuel = found.fuel.expect("a fuel");
    // 36 MJ are 10 kWh; 53.07 kg per million Btu.
    close(fuel.price_per_kwh, 0.1);
    close(fuel.fixed_fee_per_year, 120.0);
    close(fuel.co2_kg_kwh, 53.07 / (1e6 * BTU_KWH));
    assert!(found.burns_without_sun);
}

#[test]
fn tiers_and_periods() {
    let tiers = "[electricity]\ntiers = [[\"500 kWh\", \"$0.12\"], [\"1000 kWh\", \"$0.15/kWh\"]]\nprice = \"$0.20/kWh\"\nother_use = \"600 kWh\"\n";
    assert_eq!(messages(tiers), "");
    let Tariff::Tiered(found) = money(tiers).electricity.tariff else { panic!("tiers") };
    assert_eq!((found.other_kwh, found.blocks.len()), (600.0, 2));
    close(found.cost(1100.0), 500.0 * 0.12 + 500.0 * 0.15 + 100.0 * 0.20);
    let a_month = tiers.replace("600 kWh", "600 kWh/month");
    let Tariff::Tiered(found) = money(&a_month).electricity.tariff else { panic!("tiers") };
    close(found.other_kwh, 600.0);
    let periods = "[calendar]\nfirst_day = \"Monday\"\n[electricity]\nprice = \"$0.20/kWh\"\n[[electricity.period]]\nprice = \"$0.40/kWh\"\n\
        hours = \"5 pm - 9 pm\"\nweekdays = \"weekdays\"\ndates = \"Jun 1 - Sep 30\"\n";
    assert_eq!(messages(periods), "");
    let Tariff::TimeOfUse(prices) = money(periods).electricity.tariff else { panic!("periods") };
    // July 2 is day 183, a Tuesday.
    let at = |day: usize, hour: usize| prices[(day - 1) * 24 + hour];
    for (found, expected) in
        [(at(183, 16), 0.20), (at(183, 17), 0.40), (at(183, 21), 0.20), (at(2, 18), 0.20)]
    {
        close(found, expected);
    }
}

#[test]
fn faults_say_what_to_write() {
    let period = |price: &str, hours: &str| {
        format!("[[electricity.period]]\nprice = \"{price}\"\nhours = \"{hours}\"\n")
    };
    let priced = "[electricity]\nprice = \"$0.17/kWh\"\n";
    let with_fuel = |price: &str| format!("{BURNS}{priced}[fuel]\nprice = \"{price}\"\n");
    for (text, told) in [
        ("[electricity]\nprice = \"0.17\"\n".to_owned(), "`0.17` has no unit"),
        (format!("{priced}fixed_fee = \"€12/month\"\n"), "€ here, but $ before: a job has one currency"),
        (format!("{priced}[money]\ninstalled_cost = \"6000 EUR\"\n"), "write every sum in $"),
        (with_fuel("$1.60/therrm"), "did you mean `therm`?"),
        (with_fuel("$2/lb"), "`$2/lb` does not measure a price of energy"),
        (with_fuel("$160/therm"), "fuel at 5.459 a kWh is out of the ordinary"),
        (
            format!("{BURNS}{priced}[fuel]\nkind = \"coal\"\nprice = \"$1/kWh\"\n"),
            "`coal` is not known for `kind`",
        ),
        (format!("{BURNS}{priced}[fuel]\nkind = \"oil\"\n"), "the fuel has no price"),
        (
            format!(
                "[electricity]\n{}{}",
                period("$0.1/kWh", "12 am - 7 pm"),
                period("$0.2/kWh", "6 pm - midnight")
            ),
            "on Monday, Jan 1, 18:00 two periods hold: number 1 and 2",
        ),
        (
            format!("[electricity]\n{}", period("$0.1/kWh", "5 am - 7 pm")),
            "Monday, Jan 1, 0:00 is in no period",
        ),
        (format!("{priced}{}", period("$0.1/kWh", "4:30 pm - 9 pm")), "a period has whole hours"),
        (format!("{priced}{}", period("$0.1/kWh", "never")), "a period has whole hours"),
        (format!("{priced}[[electricity.period]]\nhours = \"5 pm - 9 pm\"\n"), "this period has no price"),
        (
            format!(
                "{priced}other_use = \"1 kWh\"\ntiers = [[\"900 kWh\", \"$0.1\"], [\"500 kWh\", \"$0.2\"]]\n"
            ),
            "the tiers do not rise",
        ),
        (
            format!("{priced}tiers = [[\"900 kWh\", \"$0.1\"]]\n"),
            "which tier a saved kWh comes from cannot be told",
        ),
        (
            "[electricity]\nother_use = \"1 kWh\"\ntiers = [[\"900 kWh\", \"$0.1\"]]\n".to_owned(),
            "the price above the last tier is missing",
        ),
        (format!("{priced}hourly = \"none.csv\"\n"), "the price of electricity is said in two ways"),
        ("[electricity]\nhourly = \"none.csv\"\n".to_owned(), "cannot read the file of prices"),
        (
            format!("{priced}[money]\ninstalled_cost = \"$1\"\nupkeep = \"$-5/year\"\n"),
            "upkeep cannot be negative",
        ),
        (format!("{priced}[money]\nyears = 20\n"), "without `installed_cost` there is no payback"),
        (
            format!(
                "{priced}[money]\ninstalled_cost = \"$1\"\n[[money.replacement]]\nwhat = \"pump\"\ncost = \"$4\"\n"
            ),
            "`year` is missing",
        ),
        (
            format!(
                "{priced}[money]\ninstalled_cost = \"$1\"\n[money.tank_avoided]\ncost = \"$4\"\nyear = 30\n"
            ),
            "year 30 is after the 20 years looked at",
        ),
        (
            format!(
                "{priced}[money]\ninstalled_cost = \"$1\"\n[[money.incentive]]\nname = \"rebate\"\namount = \"$4\"\nreceived = 0\n"
            ),
            "nobody has said when this incentive was last verified",
        ),
        (format!("{priced}growth = \"7 %\"\n"), "out of the ordinary"),
    ] {
        assert!(messages(&text).contains(told), "{text}\n{}", messages(&text));
    }
    // One fault does not drag others behind it.
    let one =
        format!("[electricity]\n{}{}", period("$0.1/kWh", "12 am - soon"), period("$0.2/kWh", "1 pm - 5 pm"));
    assert_eq!(messages(&one).matches("error").count(), 1, "{}", messages(&one));
}

/// A job beside a file of prices.
fn with_prices(rows: &str) -> Result<Job, String> {
    let folder = tempfile::tempdir().expect("folder");
    let path = folder.path().join("job.toml");
    std::fs::write(&path, "[electricity]\nhourly = \"prices.csv\"\n").expect("job");
    std::fs::write(folder.path().join("prices.csv"), rows).expect("prices");
    read(Path::new(&path)).map_err(|faults| faults.to_string())
}

#[test]
fn a_file_of_hourly_prices() {
    let rows = |head: &str, row: &str, count: usize| format!("{head}\n{}", format!("{row}\n").repeat(count));
    let job = with_prices(&rows("time,import $/kWh,export cents/kWh,house Wh", "x,0.30,5,-250", 8760))
        .expect("sound");
    let Some(Money { electricity, .. }) = job.money else { panic!("no money") };
    let Tariff::Hourly(hourly) = electricity.tariff else { panic!("hourly") };
    close(hourly.import[0], 0.30);
    close(hourly.export[8759], 0.05);
    close(hourly.house_kwh[4000], -0.25);
    for (text, told) in [
        (rows("import $/kWh", "0.3", 8759), "8759 hours, but a year has 8760"),
        (rows("import $/kWh", "0.3", 8784), "leave out 29 February"),
        (rows("price", "0.3", 8760), "there is no column `import`"),
        (
            rows("import $/kWh,export $/kWh", "0.3,0.1", 8760),
            "one of the columns `export` and `house` is missing",
        ),
        (rows("import", "0.3", 8760), "column `import`: `1` has no unit"),
        (rows("import $/kWh,export €/kWh,house kWh", "0.3,0.1,1", 8760), "€ here, but $ before"),
        (rows("import $/kWh", "dear", 8760), "prices.csv:2:1: `dear` is not a number"),
        (String::new(), "there is no column `import`"),
    ] {
        let faults = with_prices(&text).expect_err(told);
        assert!(faults.contains(told), "{told}: {faults}");
    }
}

#[test]
fn a_stock_with_its_prices() {
    let text = "[stock]\ncollectors = [\"one 4x8 ft\", \"two 4x8 ft\"]\ncost_per_collector = \"$1,100\"\n\
        fixed_cost = \"$3,200\"\nnew_heater_cost = \"$1,500\"\n\
        [[stock.tank]]\nvolume = \"80 gal\"\ncost = \"$1,400\"\nfloor = \"6 ft2\"\n[[stock.tank]]\nvolume = \"120 gal\"\n";
    let stock = job(text).stock;
    let volumes: Vec<&str> = stock.tanks.iter().map(|tank| tank.volume.as_str()).collect();
    assert_eq!(volumes, ["80 gal", "120 gal"]);
    assert_eq!(
        (stock.tanks[0].cost, stock.tanks[1].cost, stock.tanks[1].floor_m2),
        (Some(1400.0), None, None)
    );
    // Foot: 0.3048 m by definition.
    close(stock.tanks[0].floor_m2.expect("given"), 6.0 * 0.3048 * 0.3048);
    assert_eq!(stock.collectors, ["one 4x8 ft", "two 4x8 ft"]);
    let sums = [stock.cost_per_collector, stock.fixed_cost, stock.new_heater_cost];
    assert_eq!(sums, [Some(1100.0), Some(3200.0), Some(1500.0)]);
    assert_eq!(job("").stock, suncask::job::Stock::default());
    for (text, told) in [
        ("[stock]\n[[stock.tank]]\ncost = \"$5\"\n", "a tank of the stock has no `volume`"),
        ("[stock]\n[[stock.tank]]\nvolume = \"80 ft\"\n", "a volume belongs here"),
        ("[stock]\n[[stock.tank]]\nvolume = \"1 gal\"\n", "no tank holds 1 gal"),
        ("[stock]\ncollectors = [\"some\"]\n", "does not say how many collectors"),
        ("[electricity]\nprice = \"$0.1/kWh\"\n[stock]\nfixed_cost = \"€5\"\n", "a job has one currency"),
    ] {
        let shown = messages(text);
        assert!(shown.contains("error") && shown.contains(told), "{text}: {shown}");
    }
}
