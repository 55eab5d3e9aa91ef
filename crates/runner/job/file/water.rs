//! `[hot_water]` and `[cold_water]`.

use super::section::Section;
use crate::job::quantity::{Fault, Kind, rounded, when};
use crate::job::{ColdWater, Event, Pattern, Purpose, WaterUse};
use crate::problem::{Problem, Severity};

const GALLON_M3: f64 = 0.003_785_411_784;

/// Shares of the 24 hours of a day: the household profile tied to ASHRAE Standard 90.2 (from memory; the fractions add to
/// exactly 1).
const HOUSEHOLD: [f64; 24] = [
    0.0085, 0.0085, 0.0085, 0.0085, 0.0085, 0.0100, 0.0750, 0.0750, 0.0650, 0.0650, 0.0650, 0.0460, 0.0460,
    0.0370, 0.0370, 0.0370, 0.0370, 0.0630, 0.0630, 0.0630, 0.0630, 0.0510, 0.0510, 0.0085,
];

pub(super) fn hot(root: &Section<'_>) -> WaterUse {
    let section = root.section("hot_water");
    let use_c = tap_temperature(&section, ("120 F", "delivery at 120 F (common practice)"));
    let draws = section.sections("draw");
    let pattern = if draws.is_empty() { hourly(&section, use_c) } else { events(&section, &draws, use_c) };
    let usable_c = section
        .ask("usable_temperature", &[Kind::Level])
        .possible("60 F", "140 F")
        .usual("95 F", "115 F")
        .or("105 F", "coolest water for a shower or bath (common practice)");
    let month_factor = match section.list("month_factors", &[Kind::Number], Some(12)) {
        Some(factors) => {
            if factors.iter().any(|factor| !(0.0..=10.0).contains(factor)) {
                section.report(
                    "month_factors",
                    Problem::new(Severity::Error, "a month's factor is outside 0 to 10")
                        .help("1 is an average month"),
                );
            }
            std::array::from_fn(|month| factors[month])
        }
        None => {
            if !section.has("month_factors") {
                section.note(
                    "month_factors",
                    "1 in all months",
                    None,
                    Some("the same use all year unless given"),
                );
            }
            [1.0; 12]
        }
    };
    let absences = section.texts("absences", when::days).unwrap_or_default().into_iter().flatten().collect();
    WaterUse { pattern, month_factor, absences, usable_c }
}

fn tap_temperature(section: &Section<'_>, default: (&str, &str)) -> f64 {
    section
        .ask("temperature", &[Kind::Level])
        .possible("50 F", "200 F")
        .usual("95 F", "140 F")
        .or(default.0, default.1)
}

fn hourly(section: &Section<'_>, use_c: f64) -> Pattern {
    let people = section
        .ask("people", &[Kind::Count])
        .possible("0", "500")
        .usual("1", "12")
        .given()
        .map(|people| people.si);
    let daily = section
        .ask("daily", &[Kind::Volume])
        .possible("0 gal", "20000 gal")
        .usual("10 gal", "200 gal")
        .given();
    let daily_m3 = daily.map_or_else(
        || {
            let people = people.unwrap_or(4.0);
            if !section.has("people") {
                section.note("people", "4", Some((4.0, "")), Some("a family (common practice)"));
            }
            let gallons = 20.0 * people.min(2.0) + 15.0 * (people - 2.0).max(0.0);
            let words = format!(
                "{} gal ({} L) a day at the tap",
                rounded(gallons),
                rounded(gallons * GALLON_M3 * 1000.0)
            );
            let source = "20 gal for each of the first two people, 15 gal for each after (common practice)";
            section.note("daily", words, Some((gallons * GALLON_M3, "m3")), Some(source));
            gallons * GALLON_M3
        },
        |daily| daily.si,
    );
    if let (Some(daily), Some(people)) = (daily, people)
        && !(5.0..=50.0).contains(&(daily.si / GALLON_M3 / people))
    {
        let each = rounded(daily.si / GALLON_M3 / people);
        let problem = Problem::new(Severity::Warning, format!("that is {each} gal a day for each person"))
            .label("for the whole house?")
            .help("`daily` is for the whole house, mixed at the tap; 10 to 25 gal a person is usual");
        section.report("daily", problem);
    }
    let weekday_frac = shares(section, "hours").unwrap_or_else(|| {
        if !section.has("hours") {
            section.note(
                "hours",
                "household profile",
                None,
                Some("profile tied to ASHRAE 90.2 (from memory)"),
            );
        }
        HOUSEHOLD
    });
    let minutes_s = section
        .ask("spread", &[Kind::Duration])
        .possible("1 min", "60 min")
        .or("60 min", "each hour's water flows all through the hour");
    Pattern::Hourly {
        daily_m3,
        use_c,
        weekday_frac,
        weekend_frac: shares(section, "weekend_hours").unwrap_or(weekday_frac),
        minutes: (minutes_s / 60.0).round() as u32,
        comfort: section.choice(
            "counts_as_showers",
            &[("yes", true), ("no", false)],
            ("yes", "cool water is counted at all hours with use"),
        ),
    }
}

/// 24 shares that add up to 1.
fn shares(section: &Section<'_>, key: &'static str) -> Option<[f64; 24]> {
    let values = section.list(key, &[Kind::Share], Some(24))?;
    let sum: f64 = values.iter().sum();
    if (sum - 1.0).abs() > 0.005 || values.iter().any(|share| *share < 0.0) {
        let problem = Problem::new(
            Severity::Error,
            format!("the 24 shares of `{key}` add up to {} %", rounded(sum * 100.0)),
        )
        .label("100 % belongs here")
        .help("each number is one hour's share of the day, from midnight on");
        section.report(key, problem);
    }
    Some(std::array::from_fn(|hour| values[hour] / sum))
}

fn events(section: &Section<'_>, draws: &[Section<'_>], use_c: f64) -> Pattern {
    for key in
        ["people", "daily", "hours", "weekend_hours", "spread"].into_iter().filter(|key| section.has(key))
    {
        let problem =
            Problem::new(Severity::Error, format!("`{key}` and [[hot_water.draw]] say how much water twice"))
                .label("which one?")
                .help("list single draws, or give a day's use; not both");
        section.report(key, problem);
    }
    let (mut weekday, mut weekend) = (Vec::new(), Vec::new());
    for draw in draws {
        let days = draw
            .words_or("days", ("every day", "on all days unless given"), when::weekdays, |_| String::new())
            .unwrap_or([true; 7]);
        let event = event(draw, use_c);
        if days[..5].iter().any(|day| *day != days[0]) || days[5] != days[6] {
            let problem = Problem::new(Severity::Error, "draws differ between weekdays and weekend only")
                .label("which part of the week?")
                .help("write \"weekdays\", \"weekend\" or \"every day\"");
            draw.report("days", problem);
        }
        if days[0] {
            weekday.push(event.clone());
        }
        if days[5] {
            weekend.push(event);
        }
    }
    weekday.sort_by_key(|event| event.start_s);
    weekend.sort_by_key(|event| event.start_s);
    Pattern::Events { weekday, weekend }
}

fn event(draw: &Section<'_>, use_c: f64) -> Event {
    let purpose = draw.choice(
        "for",
        &[
            ("other", Purpose::Other),
            ("shower", Purpose::Shower),
            ("bath", Purpose::Bath),
            ("sink", Purpose::Sink),
            ("dishwasher", Purpose::Dishwasher),
            ("laundry", Purpose::Laundry),
        ],
        ("other", "not said what for"),
    );
    if !draw.has("time") {
        draw.report(
            "time",
            Problem::new(Severity::Error, "a draw has no time")
                .label("when?")
                .help("write time = \"6:30 am\""),
        );
    }
    let start_min = draw.words("time", when::time_of_day, |_| String::new()).unwrap_or(0);
    let volume = draw
        .ask("volume", &[Kind::Volume])
        .possible("0.01 gal", "2000 gal")
        .usual("0.1 gal", "100 gal")
        .given();
    let duration =
        draw.ask("duration", &[Kind::Duration]).possible("1 s", "12 h").usual("5 s", "1 h").given();
    let flow = draw
        .ask("flow", &[Kind::VolumeFlow])
        .possible("0.01 gpm", "100 gpm")
        .usual("0.2 gpm", "10 gpm")
        .given();
    let si = |quantity: Option<crate::job::quantity::Quantity>| quantity.map(|quantity| quantity.si);
    let (duration_s, flow_m3_s) = match (si(volume), si(duration), si(flow)) {
        (Some(volume), Some(duration), None) => (duration, volume / duration),
        (Some(volume), None, Some(flow)) => (volume / flow, flow),
        (None, Some(duration), Some(flow)) => (duration, flow),
        (Some(volume), None, None) => {
            let flow = if purpose == Purpose::Sink { 1.0 } else { 2.0 } * GALLON_M3 / 60.0;
            let words = format!("{} gal/min", rounded(flow * 60.0 / GALLON_M3));
            draw.note(
                "flow",
                words,
                Some((flow, "m3/s")),
                Some("1 gal/min at a sink, 2 gal/min elsewhere (common practice)"),
            );
            (volume / flow, flow)
        }
        (Some(_), Some(_), Some(_)) => {
            let problem = Problem::new(Severity::Error, "volume, duration and flow say one thing too much")
                .label("leave one out")
                .help("any two of volume, duration and flow are enough");
            draw.report("flow", problem);
            (f64::NAN, f64::NAN)
        }
        (None, _, _) => {
            let problem = Problem::new(Severity::Error, "a draw does not say how much")
                .label("how much?")
                .help("write volume = \"15 gal\", or duration = \"8 min\" and flow = \"2 gal/min\"");
            draw.report("volume", problem);
            (f64::NAN, f64::NAN)
        }
    };
    // Whole seconds; the flow is set so that the volume stays what was asked for.
    let whole_s = duration_s.round().max(1.0);
    let tap =
        draw.ask("temperature", &[Kind::Level]).possible("50 F", "200 F").usual("95 F", "140 F").given();
    Event {
        start_s: start_min % 1440 * 60,
        duration_s: whole_s as u32,
        flow_m3_s: flow_m3_s * duration_s / whole_s,
        use_c: tap.map_or(use_c, |level| level.si),
        purpose,
    }
}

pub(super) fn cold(root: &Section<'_>) -> ColdWater {
    let section = root.section("cold_water");
    let ways =
        ["temperature", "monthly", "mean"].into_iter().filter(|key| section.has(key)).collect::<Vec<_>>();
    if ways.len() > 1 {
        let problem = Problem::new(
            Severity::Error,
            format!("`{}` and `{}` say the same thing twice", ways[0], ways[1]),
        )
        .label("which one?")
        .help("give `temperature`, or `monthly`, or `mean` with `amplitude` and `coldest_day`");
        section.report(ways[1], problem);
    }
    if section.has("monthly") {
        let months = section.list("monthly", &[Kind::Level], Some(12)).unwrap_or_default();
        if months.iter().any(|level| !(-1.0..=45.0).contains(level)) {
            let problem =
                Problem::new(Severity::Error, "incoming cold water is 32 to 110 F").label("not possible");
            section.report("monthly", problem);
        }
        return ColdWater::Monthly(std::array::from_fn(|month| {
            months.get(month).copied().unwrap_or(f64::NAN)
        }));
    }
    let level = |key| section.ask(key, &[Kind::Level]).possible("31 F", "110 F").usual("35 F", "90 F");
    if section.has("mean") {
        return ColdWater::Cosine {
            mean_c: level("mean").or("58 F", "yearly mean"),
            amplitude_k: section
                .ask("amplitude", &[Kind::Difference])
                .possible("0 F", "50 F")
                .usual("0 F", "25 F")
                .or("10 F", "half the swing between winter and summer (common practice)"),
            coldest_day: f64::from(
                section
                    .words_or(
                        "coldest_day",
                        ("Feb 4", "some weeks after the coldest air (common practice)"),
                        when::date,
                        |_| String::new(),
                    )
                    .unwrap_or(35),
            ),
        };
    }
    let rule = |text: &str| match text.trim().to_lowercase().as_str() {
        "from weather" | "from the weather" => Ok(None),
        _ => {
            let found = crate::job::quantity::parse(text, &[Kind::Level]).map_err(|fault: Fault| {
                fault.help("write a temperature like \"58 F\", or \"from weather\"")
            })?;
            if (-1.0..=45.0).contains(&found.si) {
                return Ok(Some(found.si));
            }
            Err(Fault::new(format!("incoming cold water cannot have {text}"), "not possible", 0..text.len())
                .help("possible: 31 F to 110 F"))
        }
    };
    let source = "Burch and Christensen 2007 from the air temperatures of the weather file";
    match section.words_or("temperature", ("from weather", source), rule, |_| String::new()).flatten() {
        Some(level) => ColdWater::Constant(level),
        None => ColdWater::FromWeather,
    }
}
