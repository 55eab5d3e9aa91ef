//! How the text of a job file is drawn: values with their units, keys that may be there or not, sections.
//!
//! The first choice everywhere is the simplest, so that a failing job shrinks to few keys.

use std::ops::Range;

use proptest::prelude::*;

pub(super) type Text = BoxedStrategy<String>;

/// These words as they stand.
pub(super) fn just(text: &str) -> Text {
    Just(text.to_owned()).boxed()
}

/// One of some words, in quotes.
pub(super) fn word(words: &'static [&'static str]) -> Text {
    proptest::sample::select(words).prop_map(|word| format!("\"{word}\"")).boxed()
}

/// One of some texts, all equally likely.
pub(super) fn one_of(texts: Vec<Text>) -> Text {
    proptest::strategy::Union::new(texts).boxed()
}

/// All of some texts, one behind the other.
pub(super) fn all(texts: Vec<Text>) -> Text {
    texts.prop_map(|texts| texts.concat()).boxed()
}

/// Nothing, or the text.
pub(super) fn may(text: Text) -> Text {
    one_of(vec![just(""), text])
}

/// `name = value` on a line.
pub(super) fn key(name: &'static str, value: Text) -> Text {
    value.prop_map(move |value| format!("{name} = {value}\n")).boxed()
}

/// The same, in half of all jobs.
pub(super) fn maybe(name: &'static str, value: Text) -> Text {
    may(key(name, value))
}

/// A section of such lines.
pub(super) fn section(head: &'static str, lines: Vec<Text>) -> Text {
    all(lines).prop_map(move |lines| format!("{head}\n{lines}")).boxed()
}

/// Values of a range: mostly usual ones, now and then any that is possible, or the least or the most.
pub(super) fn figure(low: f64, usual: Range<f64>, high: f64) -> BoxedStrategy<f64> {
    // Over many decades each is as likely as the other.
    let anywhere = if low > 0.0 && high > 100.0 * low {
        (0.0..1.0).prop_map(move |share| low * libm::pow(high / low, share)).boxed()
    } else {
        (low..high).boxed()
    };
    let short = move |value: f64| {
        let figures = format!("{value:.3e}").parse::<f64>().expect("a number just printed");
        figures.clamp(low, high)
    };
    prop_oneof![30 => usual, 2 => anywhere, 1 => Just(low), 1 => Just(high)].prop_map(short).boxed()
}

/// Such a value with its unit, in quotes.
pub(super) fn amount(low: f64, usual: Range<f64>, high: f64, unit: &'static str) -> Text {
    figure(low, usual, high).prop_map(move |value| format!("\"{value} {unit}\"")).boxed()
}

/// Such a value without quotes or unit.
pub(super) fn number(low: f64, usual: Range<f64>, high: f64) -> Text {
    figure(low, usual, high).prop_map(|value| format!("{value}")).boxed()
}

/// A whole number.
pub(super) fn count(low: u32, usual: Range<u32>, high: u32) -> Text {
    prop_oneof![40 => usual, 2 => low..=high, 1 => Just(low), 1 => Just(high)]
        .prop_map(|count| count.to_string())
        .boxed()
}

/// A list of so many values.
pub(super) fn list(value: Text, length: usize) -> Text {
    proptest::collection::vec(value, length).prop_map(|values| format!("[{}]", values.join(", "))).boxed()
}

/// Two values with their unit under two keys, the first the larger by a little at least.
pub(super) fn falling(keys: [&'static str; 2], range: [f64; 4], unit: &'static str) -> Text {
    let [low, usual_low, usual_high, high] = range;
    let least = 0.01 * (high - low);
    (figure(low, usual_low..usual_high, high - least), figure(low, usual_low..usual_high, high))
        .prop_map(move |(a, b)| {
            let (small, large) = (a.min(b), a.max(b).max(a.min(b) + least).min(high));
            let [large_key, small_key] = keys;
            format!("{large_key} = \"{large} {unit}\"\n{small_key} = \"{small} {unit}\"\n")
        })
        .boxed()
}

/// `hours`, `weekdays` and `dates` of a timer.
pub(super) fn timer() -> Text {
    const HOURS: [&str; 6] = [
        "always",
        "5 am - 8 am, 5 pm - 9 pm",
        "never",
        "10 pm - 6 am",
        "noon - midnight",
        "7:13 am - 7:14 am, 8:59 am - 3:01 pm",
    ];
    const DAYS: [&str; 4] = ["every day", "Mon - Fri", "weekend", "Tue, Sat"];
    all(vec![maybe("hours", word(&HOURS)), may(key("weekdays", word(&DAYS))), maybe("dates", dates())])
}

/// Days of the year.
pub(super) fn dates() -> Text {
    word(&["all year", "Sep 15 - May 15", "Nov - Feb", "Jun 1 - Aug 31", "Dec 20 - Jan 3; July 4"])
}

/// Where something stands.
pub(super) fn room() -> Text {
    one_of(vec![
        word(&["basement", "garage", "attic", "outdoors", "heated room"]),
        amount(-40.0, 60.0..80.0, 140.0, "F"),
    ])
}
