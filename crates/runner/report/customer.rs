//! The first sheet of a run: what a home owner asks, answered with the figures of this job.

use maud::{Markup, html};

use thermal_network::spec::LoopKind;

use super::sheet::{capital, figure, made_note};
use super::{Report, Told, weeks};
use crate::job::quantity::when;
use crate::job::{Echo, Job};
use crate::money::{Account, MoneyFigure};
use crate::picture::{Units, grouped, kwh, low_month_bars, money, percent};
use crate::record::{Column, Readings};
use crate::safety::{CONFIRM, GROWTH_C, WITHOUT_VALVE_C};

/// The sheet's content.
pub(super) fn sheet(report: &Report<'_>, told: &Told) -> Markup {
    html! {
        (made_note(&report.weather))
        h2 { "What the sun does for this house in a year" }
        (savings(report))
        // The sheet has the name already.
        (figure(&low_month_bars("one typical year", report.result)))
        (weeks::section(report, &told.weeks))
        div.pair {
            div { h2 { "What we assumed" } (assumed(report)) }
            div { h2 { "Two readings that prove it works" } (proof(report, told.clear_day)) }
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
                    (big(false, &percent(year[Column::EqualServiceFraction]), "of the energy for hot water"))
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
                None => "No prices were given, so nothing is said in money.",
                Some(account) => {
                    @let sum = |sum: f64| money(account.currency, sum, 0);
                    "Energy for hot water in the first year, the rest of the house apart unless tiers or hourly prices need it: "
                    strong {
                        (sum(of_year(account, "bill_without_sun"))) " without sun, " (sum(of_year(account, "bill_with_sun"))) " with it"
                    }
                    @let fees = of_year(account, "fixed_fees");
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

/// A figure of money that every account has.
fn of_year(account: &Account, key: &str) -> f64 {
    MoneyFigure::ALL
        .iter()
        .find(|figure| figure.key == key)
        .and_then(|figure| (figure.value)(account))
        .unwrap_or(0.0)
}

fn how_sure(report: &Report<'_>) -> String {
    match report.range {
        Some(range) => format!(
            "In eight cases of ten the saving lies between low and high: hot-water use, workmanship and weather vary. The job as it \
             is given saves {}.",
            kwh(range.as_given_kwh)
        ),
        None => {
            "One typical year with the use as given; suncask run with --range works out low, likely and high."
                .to_owned()
        }
    }
}

fn assumed(report: &Report<'_>) -> Markup {
    let job = report.job;
    let echo = |key: &str| job.echo.iter().find(|echo| echo.key == key);
    // Lists are echoed as the job file writes them; of two units the reader's own is the one that was written.
    let plain = |text: &str| {
        let text = text.trim_matches(['[', ']']).replace('"', "");
        let short = text.split_once(" (").filter(|_| report.units == Units::Us);
        short.map_or(text.clone(), |(short, _)| short.to_owned())
    };
    let said = |key: &str| {
        let echo = echo(key).filter(|echo| echo.written != "none")?;
        let mark = if echo.default_source.is_some() { " (assumed)" } else { "" };
        Some(format!("{}{mark}", plain(&echo.written)))
    };
    let (unit, unit_m3) = report.units.volume();
    let daily = grouped(job.water_use.pattern.daily_m3() / unit_m3, 0);
    let people = job.echoed("hot_water.people").filter(|people| *people > 0.0);
    let defaults = job.echo.iter().filter(|echo| echo.default_source.is_some()).count();
    html! {
        ul {
            li {
                @if let Some(people) = people { (grouped(people, 0)) " people, " }
                (daily) " " (unit) " of hot water a day"
                @if echo("hot_water.daily").is_some_and(|echo| echo.default_source.is_some()) { " (assumed)" }
                @if let Some(level) = said("hot_water.temperature") { " at " (level) }
                @if let Some(away) = said("hot_water.absences") { "; away " (away) }
            }
            @let collectors = said("collectors.size").map(|size| format!("collectors {size}"));
            @let tank = said("tank.volume").map(|volume| format!("tank {volume}"));
            @let plant: Vec<String> = collectors.into_iter().chain(tank).collect();
            @if !plant.is_empty() { li { (capital(&plant.join("; "))) } }
            @let roof: Vec<String> = ["roof.tilt", "roof.azimuth"].into_iter().filter_map(said).collect();
            li { "Roof: " (roof.join(", facing ")) "; " (shade(job)) }
            li { @if report.result.money.is_some() { (prices(job)) } @else { "No prices" } }
            li { "Without sun: " (without_sun(report)) }
            li { (defaults) " usual values, each with its source on the pages behind" }
        }
    }
}

/// What stands before the sun, as far as the job says.
fn shade(job: &Job) -> String {
    let given = |echo: &&Echo| {
        (echo.key.starts_with("roof.shade") || echo.key == "roof.horizon") && echo.default_source.is_none()
    };
    match job.echo.iter().filter(given).count() {
        0 => "no shade on the collectors".to_owned(),
        _ => "shade as measured (see the pages behind)".to_owned(),
    }
}

/// Prices of energy in the words of the job.
fn prices(job: &Job) -> String {
    let all = |keys: &[&str]| {
        let priced = job.echo.iter().filter(|echo| keys.contains(&echo.key.as_str()));
        priced.map(|echo| echo.written.as_str()).collect::<Vec<_>>().join(" or ")
    };
    let electricity =
        all(&["electricity.price", "electricity.tiers", "electricity.hourly", "electricity.period.price"]);
    let named = [("Electricity", electricity), ("Fuel", all(&["fuel.price"]))];
    let named = named.into_iter().filter(|(_, price)| !price.is_empty());
    named.map(|(what, price)| format!("{what} {price}")).collect::<Vec<_>>().join("; ")
}

/// The heater the saving is measured against, in the words of the job.
fn without_sun(report: &Report<'_>) -> String {
    let echo =
        |key: &str| report.job.echo.iter().find(|echo| echo.key == format!("heater_without_sun.{key}"));
    let word = match echo("fuel").or(echo("kind")) {
        Some(echo) => format!("a heater ({})", echo.written),
        None => "the heater of the job".to_owned(),
    };
    let short = |text: &str| text.split_once(" (").map_or(text, |(short, _)| short).to_owned();
    let volume = echo("volume").map_or(String::new(), |volume| format!(", {}", short(&volume.written)));
    format!("{word}{volume}")
}

/// What can be read off the plant on a clear day.
fn proof(report: &Report<'_>, clear_day: Option<Readings>) -> Markup {
    let level = |level_c| report.units.shown_level(level_c);
    // Of the readings as they are printed, so that the reader can take one from the other.
    let apart = |warm_c: f64, cool_c: f64| {
        let [warm, cool] = [warm_c, cool_c].map(|c| report.units.level(c).round());
        format!("{} {}", grouped(warm - cool, 0), report.units.difference_sign())
    };
    let clock = |hour: f64| report.units.clock((hour * 3600.0) as u32);
    html! {
        @match clear_day {
            Some(Readings { day, hour, collector_c, tank_sensor_c, morning_tank_c, afternoon_tank_c }) => {
                @let batch = report.job.plant.solar_loop.as_ref().is_some_and(|solar| solar.kind == LoopKind::Batch);
                p { "On a clear day like " (when::date_words(day)) ", with the usual use (standard time):" }
                ol {
                    li {
                        @if batch {
                            "At " (clock(hour)) " the water at the collector\u{2019}s outlet reads about " (level(collector_c)) "."
                        } @else {
                            "At " (clock(hour)) " the collector reads about " (level(collector_c)) " and the tank "
                            @if report.job.control_w > 0.0 { "sensor " } "about " (level(tank_sensor_c)) ": "
                            (apart(collector_c, tank_sensor_c)) " apart, with the loop running."
                        }
                    }
                    li {
                        "From 8:30 in the morning to 3:30 in the afternoon the "
                        @if batch { "water in its lower part" } @else { "same tank reading" } " goes from about "
                        (level(morning_tank_c)) " to about " (level(afternoon_tank_c)) "."
                    }
                }
                p {
                    @if !batch { "A hot collector over a cool tank means that the loop stands still: call. " }
                    @if report.result.annual[Column::BackupHeat] > 0.0 {
                        "Water hot, bill as before? The backup may do the work: have timer and thermostat looked at."
                    }
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
    let level = |level_c| report.units.shown_level(level_c);
    let mut raised: Vec<&str> = report.safety.iter().map(|finding| finding.hazard).collect();
    raised.dedup();
    html! {
        ul {
            li {
                strong { "Hot water burns. " } "The tank reaches " (level(year[Column::HottestTank])) "; above " (level(WITHOUT_VALVE_C))
                " at the tap a listed mixing valve is needed, tested every year."
            }
            li {
                strong { "Heat and frost. " } "The collector reaches " (level(year[Column::HottestCollector]))
                ", and more when it stands dry; what needs power protects from neither in an outage."
            }
            li {
                strong { "Lukewarm water. " } (grouped(year[Column::LukewarmHours], 0)) " hours with the tank\u{2019}s mean between "
                (level(GROWTH_C[0])) " and " (level(GROWTH_C[1])) ", where Legionella can grow: a count, not a judgment."
            }
            @if !raised.is_empty() {
                li { strong { "Raised by this year: " } (raised.join(", ").to_lowercase()) ". The readings are on the pages behind." }
            }
            li { "For all of these: " (CONFIRM) "." }
        }
    }
}
