//! `[electricity]`: price by tier, by hours of the clock or by the hour of the year; fixed fee; CO2.

use super::super::section::Section;
use super::{KWH_J, Purse, YEAR_S, growth, hourly};
use crate::job::quantity::{Kind, Quantity, rounded, when};
use crate::job::{Calendar, DaySpan};
use crate::money::Electricity;
use crate::money::fuel::GRID_CO2;
use crate::money::tariff::{Period, Tariff, Tiers, Unsettled, time_of_use};
use crate::problem::{Problem, Severity};

const PER_ENERGY: &[Kind] = &[Kind::MoneyPerEnergy];

/// Prices of a kWh outside these are doubted.
const USUAL_PRICE: std::ops::RangeInclusive<f64> = 0.03..=0.8;

/// What the section says; `None` without a price.
pub(super) fn read(section: &Section<'_>, calendar: &Calendar, purse: &Purse) -> Option<Electricity> {
    let price = price(section, purse);
    let tiers = section.has("tiers");
    let periods = section.sections("period");
    let file = section.has("hourly");
    let ways = [tiers, !periods.is_empty(), file].into_iter().filter(|given| *given).count();
    if ways > 1 || file && price.is_some() {
        let key = if file { "hourly" } else { "period" };
        let problem = Problem::new(Severity::Error, "the price of electricity is said in two ways")
            .label("which one?")
            .help("give tiers, periods, or a file of hourly prices; `price` goes with the first two only");
        section.report(key, problem);
    }
    // Every way is read, so that its keys are known and its faults are told.
    let tiered = tiers.then(|| tiered(section, price, purse)).flatten();
    if !tiers {
        section.idle(&["other_use"], "only tiers depend on the rest of the house", "leave it out");
    }
    let by_period =
        (!periods.is_empty()).then(|| by_period(section, &periods, price, calendar, purse)).flatten();
    let by_hour = file.then(|| hourly::read(section, purse)).flatten();
    let plain = (ways == 0).then(|| price.map(Tariff::Flat)).flatten();
    let fixed_fee_per_year = purse.fixed_fee(section);
    if !section.is_given() {
        return None;
    }
    let growth_frac = growth(section, "growth");
    let co2_kg_kwh = KWH_J
        * section
            .ask("co2", &[Kind::MassPerEnergy])
            .possible("0 kg/kWh", "3 kg/kWh")
            .usual("0 kg/kWh", "1.2 kg/kWh")
            .or(GRID_CO2.figure, GRID_CO2.source);
    let tariff = tiered.or(by_period).or(by_hour).or(plain)?;
    Some(Electricity { tariff, fixed_fee_per_year, growth_frac, co2_kg_kwh })
}

/// `price` of a kWh, if it is given.
fn price(section: &Section<'_>, purse: &Purse) -> Option<f64> {
    let found = purse.ask(section, "price", PER_ENERGY, ("$-1/kWh", "$10/kWh"))?;
    let price = found.si * KWH_J;
    if found.si.is_finite() && !USUAL_PRICE.contains(&price) {
        let what = format!("a kWh at {} is out of the ordinary", rounded(price));
        let problem = Problem::new(Severity::Warning, what).label("please check");
        section.report("price", problem.help("usual: 3 to 80 cents/kWh"));
    }
    Some(price)
}

fn error(section: &Section<'_>, key: &'static str, message: impl Into<String>, label: &str, help: &str) {
    section.report(key, Problem::new(Severity::Error, message).label(label).help(help));
}

fn tiered(section: &Section<'_>, price: Option<f64>, purse: &Purse) -> Option<Tariff> {
    let pairs = section.pairs("tiers", [&[Kind::Energy], &[Kind::MoneyPerEnergy, Kind::Money]])?;
    pairs.iter().for_each(|[_, price]| purse.check(section, "tiers", price));
    // A plain sum is that of a kWh.
    let per_kwh = |price: &Quantity| if price.kind == Kind::Money { price.si } else { price.si * KWH_J };
    let blocks: Vec<(f64, f64)> = pairs.iter().map(|[end, price]| (end.si / KWH_J, per_kwh(price))).collect();
    let rising = blocks.first().is_some_and(|block| block.0 > 0.0)
        && blocks.windows(2).all(|pair| pair[0].0 < pair[1].0);
    if !rising {
        let help = "give the upper end of each block of a month's use, the smallest first";
        error(section, "tiers", "the tiers do not rise", "out of order", help);
    }
    if price.is_none() {
        let help = "write price = \"$0.00/kWh\" beside the tiers";
        error(section, "tiers", "the price above the last tier is missing", "and above?", help);
    }
    let kinds = &[Kind::Energy, Kind::Power];
    let Some(other) = section.ask("other_use", kinds).possible("0 kWh", "100 MWh").given() else {
        let help =
            "write other_use = \"600 kWh\", what the rest of the house uses in a month, from the bills";
        error(
            section,
            "tiers",
            "which tier a saved kWh comes from cannot be told",
            "beside what else?",
            help,
        );
        return None;
    };
    let other_kwh = match other.kind {
        Kind::Power => other.si * YEAR_S / 12.0 / KWH_J,
        _ => other.si / KWH_J,
    };
    Some(Tariff::Tiered(Tiers { blocks, above: price?, other_kwh }))
}

/// Hours in minutes after midnight, weekdays and dates of a period; what is not said is all of them.
fn times(period: &Section<'_>) -> (Vec<(u32, u32)>, [bool; 7], Vec<DaySpan>) {
    let hours = period.words_or("hours", ("all day", "no hours given"), when::hours, |_| String::new());
    let weekdays =
        period.words_or("weekdays", ("every day", "no weekdays given"), when::weekdays, |_| String::new());
    let dates = period.words_or("dates", ("all year", "no dates given"), when::days, |_| String::new());
    (hours.unwrap_or_default(), weekdays.unwrap_or_default(), dates.unwrap_or_default())
}

fn by_period(
    section: &Section<'_>,
    sections: &[Section<'_>],
    otherwise: Option<f64>,
    calendar: &Calendar,
    purse: &Purse,
) -> Option<Tariff> {
    let mut periods = Vec::new();
    let faults = section.faults();
    for one in sections {
        let (minutes, weekdays, days) = times(one);
        let price = price(one, purse);
        if price.is_none() {
            error(one, "price", "this period has no price", "no price", "write price = \"$0.00/kWh\" in it");
        }
        let whole = |&(from, to): &(u32, u32)| from % 60 == 0 && to % 60 == 0 && from != to;
        if !minutes.iter().all(whole) {
            let help = "energy is counted by the hour: round the times of the tariff";
            error(one, "hours", "a period has whole hours", "not whole hours", help);
        }
        let hours = minutes.iter().map(|&(from, to)| (from / 60, to / 60)).collect();
        let price = price.unwrap_or(f64::NAN);
        periods.push(Period { price, hours, weekdays, days });
    }
    // A faulty period would seem to overlap with others.
    if section.faults() > faults {
        return None;
    }
    match time_of_use(&periods, otherwise, calendar) {
        Ok(prices) => Some(Tariff::TimeOfUse(prices)),
        Err(Unsettled { both, day, hour }) => {
            let weekday = when::WEEKDAYS[crate::draws::clock::weekday_of(day, calendar)];
            let moment = format!(
                "{}{}, {}, {hour}:00",
                weekday[..1].to_uppercase(),
                &weekday[1..],
                when::date_words(day)
            );
            match both {
                Some((one, other)) => {
                    let what = format!("on {moment} two periods hold: number {} and {}", one + 1, other + 1);
                    let help = "set hours, weekdays or dates apart";
                    error(&sections[other], "hours", what, "overlaps", help);
                }
                None => {
                    let help = "write price = \"$0.00/kWh\" in [electricity] for all other hours";
                    error(section, "period", format!("{moment} is in no period"), "not covered", help);
                }
            }
            None
        }
    }
}
