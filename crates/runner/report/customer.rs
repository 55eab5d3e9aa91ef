//! The first sheet of a run: what a home owner asks, answered with the figures of this job.

use maud::{Markup, html};

use super::sheet::{figure, made_note};
use super::{Picture, Report, weeks};
use crate::job::Echo;
use crate::money::Account;
use crate::picture::{grouped, kwh, money, percent};
use crate::record::{Column, Readings};
use crate::safety::CONFIRM;

/// The sheet's content.
pub(super) fn sheet(report: &Report<'_>, pictures: &[Picture]) -> Markup {
    let months = pictures.iter().find(|picture| picture.name == "months");
    html! {
        (made_note(&report.weather))
        h2 { "What the sun does for this house in a year" }
        (savings(report))
        h2 { "Month by month" }
        @if let Some(months) = months { (figure(&months.svg)) }
        (weeks::section(report))
        div.pair {
            div { h2 { "What we assumed" } (assumed(report)) }
            div { h2 { "Two readings that prove it works" } (proof(report)) }
        }
        h2 { "Keep in mind" }
        (cautions(report))
    }
}

/// A figure in large letters with its caption.
fn big(chief: bool, figure: &str, caption: &str) -> Markup {
    html! { li.chief[chief] { b { (figure) } (caption) } }
}

fn savings(report: &Report<'_>) -> Markup {
    let (year, account) = (&report.result.annual, report.result.money.as_ref());
    let currency = account.map(|account| account.currency);
    html! {
        ul.big {
            @match report.range {
                Some(range) => {
                    @let money_range = range.saved_money.as_ref().zip(currency);
                    @let three = [("low", false), ("likely", true), ("high", false)];
                    @for (i, (word, chief)) in three.into_iter().enumerate() {
                        @let of = |three: &crate::study::range::LowLikelyHigh| [three.low, three.likely, three.high][i];
                        @match money_range {
                            Some((sums, currency)) => {
                                (big(chief, &money(currency, of(sums), 0),
                                    &format!("saved in the first year, {word} ({})", kwh(of(&range.saved_kwh)))))
                            }
                            None => (big(chief, &kwh(of(&range.saved_kwh)), &format!("saved a year, {word}"))),
                        }
                    }
                }
                None => {
                    @if let Some(account) = account {
                        (big(true, &money(account.currency, account.saving(), 0), "saved in the first year"))
                    }
                    (big(account.is_none(), &kwh(year[Column::EqualServiceSaved]), "less energy bought a year"))
                    (big(false, &percent(year[Column::EqualServiceFraction]), "of what the water would cost in energy without sun"))
                }
            }
        }
        p {
            "The sun brings " (kwh(year[Column::HeatIntoTank])) " of heat into the tank in a typical year, stored for the hours "
            "without sun; the backup adds " (kwh(year[Column::BackupHeat])) ". For its hot water the house buys "
            (kwh(year[Column::EqualServiceSaved])) " less, " (percent(year[Column::EqualServiceFraction])) " of the "
            (kwh(year[Column::BaselinePurchased])) " that the heater without sun would buy"
            @if year[Column::Shortfall] >= 0.5 { "; water that came too cool is charged to the sun" } "."
        }
        (in_money(account))
        p { (how_sure(report)) }
    }
}

fn in_money(account: Option<&Account>) -> Markup {
    html! {
        p {
            @match account {
                None => "No prices were given, so nothing is said in money: add [electricity], and [fuel] where something burns.",
                Some(account) => {
                    @let sum = |sum: f64| money(account.currency, sum, 0);
                    @let bills = [&account.electricity, &account.fuel];
                    @let total = |of: fn(&crate::money::Bills) -> f64| bills.iter().map(|bill| of(bill)).sum::<f64>();
                    "Energy bill of the first year: " strong {
                        (sum(total(|bill| bill.without.iter().sum()))) " without sun, "
                        (sum(total(|bill| bill.with.iter().sum()))) " with it"
                    }
                    @let fees = total(|bill| bill.fixed_fee_per_year);
                    @if fees > 0.0 { "; fixed fees of " (sum(fees)) " a year stay" } "."
                    @if let Some(outlook) = &account.outlook {
                        " Paid at the start: " (sum(outlook.paid_at_start)) "; "
                        @match outlook.simple_payback_years {
                            Some(years) => { "paid back in about " (grouped(years, 0)) " years (upkeep counted, interest not)." }
                            None => "the saving does not pay it back.",
                        }
                    }
                }
            }
        }
    }
}

fn how_sure(report: &Report<'_>) -> String {
    match report.range {
        Some(range) => format!(
            "In eight cases of ten the saving lies between low and high: hot-water use, workmanship and weather vary. The job as it \
             is given saves {}.",
            kwh(range.as_given_kwh)
        ),
        None => "These are the figures of one typical year with the use as given. How far they may be off (low, likely, high) is \
                 worked out by suncask run with --range."
            .to_owned(),
    }
}

/// Rows of what was assumed: words, and the keys of the job of which the first that is there is shown.
const SHOWN: [(&str, &[&str]); 8] = [
    ("Shower water at", &["hot_water.temperature"]),
    ("Away", &["hot_water.absences"]),
    ("Collectors", &["collectors.size"]),
    ("Roof", &["roof.tilt"]),
    ("Facing", &["roof.azimuth"]),
    ("Tank", &["tank.volume"]),
    ("Electricity", &["electricity.price", "electricity.tiers", "electricity.hourly"]),
    ("Fuel", &["fuel.price"]),
];

fn assumed(report: &Report<'_>) -> Markup {
    let job = report.job;
    let echo = |key: &str| job.echo.iter().find(|echo| echo.key == key);
    let (unit, unit_m3) = report.units.volume();
    let daily = grouped(job.water_use.pattern.daily_m3() / unit_m3, 0);
    let people = job.echoed("hot_water.people").filter(|people| *people > 0.0);
    let shade = |echo: &&Echo| echo.key.starts_with("roof.shade") || echo.key == "roof.horizon";
    let shade = job.echo.iter().find(shade).filter(|shade| shade.default_source.is_none());
    let defaults = job.echo.iter().filter(|echo| echo.default_source.is_some()).count();
    html! {
        ul {
            li {
                @if let Some(people) = people { (grouped(people, 0)) " people, " }
                (daily) " " (unit) " of hot water a day"
                @if assumed_key(job.echo.iter(), "hot_water.daily") { " (assumed)" }
            }
            @for (words, keys) in SHOWN {
                @if let Some(echo) = keys.iter().find_map(|key| echo(key)) {
                    @if echo.written != "none" {
                        li { (words) ": " (echo.written) @if echo.default_source.is_some() { " (assumed)" } }
                    }
                }
            }
            li { "Shade: " @match shade { Some(shade) => (shade.written), None => "none on the collectors" } }
            li { "Without sun: " (without_sun(report)) }
            li { (defaults) " usual values where the job says nothing, each with its source on the pages behind" }
        }
    }
}

fn assumed_key<'a>(mut echo: impl Iterator<Item = &'a Echo>, key: &str) -> bool {
    echo.any(|echo| echo.key == key && echo.default_source.is_some())
}

/// The heater the saving is measured against, in the words of the job.
fn without_sun(report: &Report<'_>) -> String {
    let echo = |key: &str| report.job.echo.iter().find(|echo| echo.key == format!("heater_without_sun.{key}"));
    let word = match echo("fuel").or(echo("kind")) {
        Some(echo) => format!("a heater ({})", echo.written),
        None => "the heater of the job".to_owned(),
    };
    let volume = echo("volume").map_or(String::new(), |volume| format!(", {}", volume.written));
    format!("{word}{volume}")
}

/// What can be read off the plant on a clear day.
fn proof(report: &Report<'_>) -> Markup {
    let level = |c: f64| format!("{} {}", grouped(report.units.level(c), 0), report.units.level_sign());
    let apart = |k: f64| match report.units {
        crate::picture::Units::Us => format!("{} \u{b0}F", grouped(1.8 * k, 0)),
        crate::picture::Units::Si => format!("{} K", grouped(k, 0)),
    };
    let clock = |hour: f64| report.units.clock((hour * 3600.0) as u32);
    html! {
        @match super::readings(report) {
            Some(Readings { day, hour, collector_c, tank_sensor_c, morning_tank_c, afternoon_tank_c }) => {
                p { "On a clear day like " (super::days::words(day)) ", with a usual morning\u{2019}s use (standard time):" }
                ol {
                    li {
                        "At " (clock(hour)) " the collector reads about " (level(collector_c)) " and the tank "
                        @if report.job.control_w > 0.0 { "sensor " } "about " (level(tank_sensor_c)) ": "
                        (apart(collector_c - tank_sensor_c)) " apart, and the pump or the loop\u{2019}s flow is running."
                    }
                    li {
                        "From 8:30 in the morning to 3:30 in the afternoon the same tank reading goes from about "
                        (level(morning_tank_c)) " to about " (level(afternoon_tank_c)) "."
                    }
                }
                p {
                    "A hot collector over a cool tank means that the loop stands still: call. If the water stays hot but the bill "
                    "does not fall, the backup may be doing the work: have its timer and thermostat looked at."
                }
            }
            None => p {
                "This run holds no clear day with a running loop to read from. Ask for the readings of such a day when the "
                "plant is handed over."
            },
        }
    }
}

/// Short here; whole on the pages behind.
fn cautions(report: &Report<'_>) -> Markup {
    let year = &report.result.annual;
    let level = |c: f64| format!("{} {}", grouped(report.units.level(c), 0), report.units.level_sign());
    let mut raised: Vec<&str> = report.safety.iter().map(|finding| finding.hazard).collect();
    raised.dedup();
    html! {
        ul {
            li {
                strong { "Hot water burns. " } "The tank reaches " (level(year[Column::HottestTank])) "; above " (level(48.9))
                " at the tap a listed mixing valve is needed, and it must be tested every year."
            }
            li {
                strong { "Away in summer, or without power. " } "The collector reaches " (level(year[Column::HottestCollector]))
                " in this year and gets hotter when it stands dry; what needs power protects neither from heat nor from frost."
            }
            li {
                strong { "Lukewarm water. " } "The tank\u{2019}s mean stood between " (level(25.0)) " and " (level(45.0)) " for "
                (grouped(year[Column::LukewarmHours], 0)) " hours, where Legionella can grow: a count, not a judgment."
            }
            @if !raised.is_empty() {
                li { strong { "Raised by this year: " } (raised.join(", ").to_lowercase()) ". The readings are on the pages behind." }
            }
            li { "For all of these: " (CONFIRM) "." }
        }
    }
}
