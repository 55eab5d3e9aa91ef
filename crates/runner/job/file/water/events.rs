//! Single draws at times of the clock: fixed by law, or listed as `[[hot_water.draw]]`.

use super::super::section::Section;
use crate::job::patterns::{DayPattern, Origin};
use crate::job::quantity::size::GPM_M3_S;
use crate::job::quantity::{Kind, Quantity, rounded, when};
use crate::job::{Event, Pattern, Purpose};
use crate::problem::{Problem, Severity};

/// Two of volume, duration and flow, or what is wrong.
pub(super) enum Amount {
    /// Duration in s and flow in m3/s; true if the flow was assumed.
    Known(f64, f64, bool),
    /// All three are given.
    TooMuch,
    /// Nothing says how much.
    TooLittle,
}

/// Source of the flow assumed for a bare volume.
pub(super) const USUAL_FLOW: &str = "1 gal/min at a sink, 2 gal/min elsewhere (common practice)";

/// Duration and flow from SI values of any two, or of the volume alone.
pub(super) fn amount(
    volume: Option<f64>,
    duration: Option<f64>,
    flow: Option<f64>,
    purpose: Purpose,
) -> Amount {
    match (volume, duration, flow) {
        (Some(volume), Some(duration), None) => Amount::Known(duration, volume / duration, false),
        (Some(volume), None, Some(flow)) => Amount::Known(volume / flow, flow, false),
        (None, Some(duration), Some(flow)) => Amount::Known(duration, flow, false),
        (Some(volume), None, None) => {
            let flow = if purpose == Purpose::Sink { 1.0 } else { 2.0 } * GPM_M3_S;
            Amount::Known(volume / flow, flow, true)
        }
        (Some(_), Some(_), Some(_)) => Amount::TooMuch,
        (None, _, _) => Amount::TooLittle,
    }
}

/// An event in whole seconds; the flow is set so that the volume stays what was asked for.
pub(super) fn whole_seconds(
    start_s: u32,
    duration_s: f64,
    flow_m3_s: f64,
    use_c: f64,
    purpose: Purpose,
) -> Event {
    let whole_s = duration_s.round().max(1.0);
    Event { start_s, duration_s: whole_s as u32, flow_m3_s: flow_m3_s * duration_s / whole_s, use_c, purpose }
}

/// The key `for`.
pub(super) fn purpose(section: &Section<'_>) -> Purpose {
    section.choice("for", &Purpose::WORDS, ("other", "not said what for"))
}

/// A pattern fixed by law, the same on all days.
pub(super) fn by_law(section: &Section<'_>, law: &DayPattern) -> Pattern {
    let mut events = law.events.clone();
    if law.origin == Origin::UnitedStates {
        let default =
            ("6 am", "the test counts hours from its first draw; a morning start is common practice");
        let start_min = section.words_or("first_draw", default, when::time_of_day, |_| String::new());
        for event in &mut events {
            event.start_s = (event.start_s + start_min.unwrap_or(0) * 60) % 86_400;
        }
        events.sort_by_key(|event| event.start_s);
    }
    let what = format!("{}: {}", law.name, law.origin.source());
    section.report("pattern", Problem::new(Severity::Note, what));
    Pattern::Events { weekday: events.clone(), weekend: events }
}

/// The draws of `[[hot_water.draw]]`.
pub(super) fn listed(draws: &[Section<'_>], use_c: f64) -> Pattern {
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
    let purpose = purpose(draw);
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
    let si = |quantity: Option<Quantity>| quantity.map(|quantity| quantity.si);
    let (duration_s, flow_m3_s) = match amount(si(volume), si(duration), si(flow), purpose) {
        Amount::Known(duration_s, flow_m3_s, assumed) => {
            if assumed {
                let words = format!("{} gal/min", rounded(flow_m3_s / GPM_M3_S));
                draw.note("flow", words, Some((flow_m3_s, "m3/s")), Some(USUAL_FLOW));
            }
            (duration_s, flow_m3_s)
        }
        Amount::TooMuch => {
            let problem = Problem::new(Severity::Error, "volume, duration and flow say one thing too much")
                .label("leave one out")
                .help("any two of volume, duration and flow are enough");
            draw.report("flow", problem);
            (f64::NAN, f64::NAN)
        }
        Amount::TooLittle => {
            let problem = Problem::new(Severity::Error, "a draw does not say how much")
                .label("how much?")
                .help("write volume = \"15 gal\", or duration = \"8 min\" and flow = \"2 gal/min\"");
            draw.report("volume", problem);
            (f64::NAN, f64::NAN)
        }
    };
    let tap =
        draw.ask("temperature", &[Kind::Level]).possible("50 F", "200 F").usual("95 F", "140 F").given();
    let use_c = tap.map_or(use_c, |level| level.si);
    whole_seconds(start_min % 1440 * 60, duration_s, flow_m3_s, use_c, purpose)
}
