//! Times of day, hours, dates and seasons as people write them: `6:30 am`, `5 pm - 9 pm`, `Jun 1 - Aug 31`.

use std::ops::Range;

use solar_geometry::time::{DAYS_IN_MONTH, month_and_day};

use super::{Fault, nearest};
use crate::job::DaySpan;

/// Names of the months; three letters are enough.
pub const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// Names of the weekdays, Monday first; three letters are enough.
pub const WEEKDAYS: [&str; 7] =
    ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];

/// Day of the year, 1 to 365, of a month (0 = January) and day of the month.
pub fn day_of_year(month: usize, day: u32) -> u32 {
    DAYS_IN_MONTH[..month].iter().sum::<u32>() + day
}

/// Day of the year, 1 to 365, of a month (0 = January) and a day of the month, if there is such a day.
pub fn in_year(month: usize, day: u32) -> Option<u32> {
    (1..=DAYS_IN_MONTH[month]).contains(&day).then(|| day_of_year(month, day))
}

/// Date in words of a day of the year, e.g. `Jun 1`. Days beyond the year are those of the next.
pub fn date_words(day: u32) -> String {
    let (month, day) = month_and_day(day);
    let name = MONTHS[month as usize - 1];
    format!("{}{} {day}", name[..1].to_uppercase(), &name[1..3])
}

/// Days in a row: `Dec 14 to 20`, `Nov 28 to Dec 4`.
pub fn span_words(first_day: u32, days: u32) -> String {
    let last_day = first_day + days - 1;
    let ((first_month, _), (last_month, last)) = (month_and_day(first_day), month_and_day(last_day));
    let end = if first_month == last_month { last.to_string() } else { date_words(last_day) };
    format!("{} to {end}", date_words(first_day))
}

/// A name or its first three or more letters, as an index into `names`.
pub fn named(text: &str, names: &[&str]) -> Option<usize> {
    let lower = text.trim().trim_end_matches('.').to_lowercase();
    (lower.len() >= 3).then(|| names.iter().position(|name| name.starts_with(&lower))).flatten()
}

/// Parts of `text` between any of the separators, with where each stands, blanks trimmed off.
fn parts<'t>(text: &'t str, separators: &[&str]) -> Vec<(&'t str, Range<usize>)> {
    let mut found = Vec::new();
    let mut start = 0;
    let mut at = 0;
    while at <= text.len() {
        let cut = separators.iter().find(|separator| text[at..].starts_with(**separator));
        if cut.is_some() || at == text.len() {
            let piece = &text[start..at];
            let trimmed = piece.trim();
            let from = start + (piece.len() - piece.trim_start().len());
            found.push((trimmed, from..from + trimmed.len()));
            at += cut.map_or(1, |separator| separator.len());
            start = at;
        } else {
            at += text[at..].chars().next().map_or(1, char::len_utf8);
        }
    }
    found
}

/// Items of a list separated by commas, semicolons or `and`.
pub fn items(text: &str) -> Vec<(&str, Range<usize>)> {
    parts(text, &[",", ";", " and "])
}

fn shifted(mut fault: Fault, by: usize) -> Fault {
    fault.range = fault.range.start + by..fault.range.end + by;
    fault
}

/// Minutes after midnight, 0 to 1440: `6:30 am`, `18:30`, `6 am`, `noon`, `midnight`.
///
/// # Errors
/// If it is no time of day.
pub fn time_of_day(text: &str) -> Result<u32, Fault> {
    let fault = || {
        Fault::new(format!("`{}` is not a time of day", text.trim()), "a time belongs here", 0..text.len())
            .help("write it like \"6:30 am\" or \"18:30\"")
    };
    let lower = text.trim().to_lowercase().replace('.', "");
    match lower.as_str() {
        "noon" => return Ok(720),
        "midnight" => return Ok(0),
        _ => {}
    }
    let (clock, half) = match (lower.strip_suffix("am"), lower.strip_suffix("pm")) {
        (Some(rest), _) => (rest.trim(), Some(0)),
        (_, Some(rest)) => (rest.trim(), Some(720)),
        _ => (lower.as_str(), None),
    };
    let mut fields = clock.split(':');
    let mut number = || -> Option<Option<u32>> {
        fields.next().map(|field| {
            (!field.is_empty() && field.bytes().all(|b| b.is_ascii_digit())).then(|| field.parse().ok())?
        })
    };
    let hour = number().flatten().ok_or_else(fault)?;
    let minute = match number() {
        Some(minute) => minute.ok_or_else(fault)?,
        // `18` alone could be anything; `6 am` is clear.
        None if half.is_none() => return Err(fault()),
        None => 0,
    };
    let seconds = number().unwrap_or(Some(0));
    if seconds != Some(0) || fields.next().is_some() || minute > 59 {
        return Err(fault());
    }
    match half {
        Some(half) if (1..=12).contains(&hour) => Ok(hour % 12 * 60 + minute + half),
        None if hour < 24 || (hour == 24 && minute == 0) => Ok(hour * 60 + minute),
        _ => Err(fault()),
    }
}

/// Spans of the day in minutes after midnight: `5 am - 8 am, 5 pm - 9 pm`; `always` gives none, `never` an empty span.
///
/// # Errors
/// At the first span that is not understood.
pub fn hours(text: &str) -> Result<Vec<(u32, u32)>, Fault> {
    match text.trim().to_lowercase().as_str() {
        "always" | "all day" => return Ok(Vec::new()),
        "never" | "off" => return Ok(vec![(0, 0)]),
        _ => {}
    }
    items(text)
        .into_iter()
        .map(|(item, range)| {
            let ends = parts(item, &[" to ", "-", "–"]);
            let [(from, from_range), (until, until_range)] = ends.as_slice() else {
                return Err(Fault::new(format!("`{item}` is not a span of hours"), "from - until", range)
                    .help("write hours like \"5 am - 8 am, 5 pm - 9 pm\", or \"always\""));
            };
            let at = |part: &str, place: &Range<usize>| {
                let whole = range.start + place.start..range.start + place.end;
                time_of_day(part).map_err(|fault| Fault { range: whole, ..fault })
            };
            // `5 - 8 am`: the first time borrows the half of the day from the second.
            let half = until.to_lowercase();
            let borrowed = ["am", "pm"].into_iter().find(|half_word| half.ends_with(half_word));
            let first = match borrowed {
                Some(half) if from.bytes().all(|b| b.is_ascii_digit() || b == b':') => {
                    at(&format!("{from} {half}"), from_range)
                }
                _ => at(from, from_range),
            }?;
            let until = match at(until, until_range)? {
                0 => 1440,
                minutes => minutes,
            };
            if first == until {
                return Err(Fault::new(
                    format!("`{item}` starts and ends at the same time"),
                    "no time in between",
                    range,
                )
                .help("write \"always\" or \"never\" if that is meant"));
            }
            Ok((first, until))
        })
        .collect()
}

/// A day of the year, 1 to 365: `Jun 1`, `June 1`, `1 June`.
///
/// # Errors
/// If it is no date; 29 February is none, as every year has 365 days.
pub fn date(text: &str) -> Result<u32, Fault> {
    let fault = |message: String| {
        Fault::new(message, "a date belongs here", 0..text.len())
            .help("write it like \"Jun 1\"; every year has 365 days")
    };
    let words: Vec<&str> = text.split_whitespace().collect();
    let [one, two] = words.as_slice() else { return Err(fault(format!("`{}` is not a date", text.trim()))) };
    let (month, day) = if one.starts_with(|c: char| c.is_ascii_digit()) { (two, one) } else { (one, two) };
    let day = day.trim_end_matches(|c: char| c.is_ascii_alphabetic() || c == '.').parse::<u32>().ok();
    let Some(index) = named(month, &MONTHS) else {
        let plain = fault(format!("`{month}` is not a month"));
        return Err(match nearest(month, MONTHS) {
            Some(near) => plain.help(format!("did you mean `{near}`?")),
            None => plain,
        });
    };
    match day {
        Some(day) if (1..=DAYS_IN_MONTH[index]).contains(&day) => Ok(day_of_year(index, day)),
        _ => Err(fault(format!("`{}` is not a date of a year of 365 days", text.trim()))),
    }
}

/// Spans of days: `Jun 1 - Aug 31, Dec 20 - Jan 3, Jul 4`, or of whole months: `Oct - Apr, Jul`; `none` gives none.
///
/// # Errors
/// At the first span that is not understood.
pub fn days(text: &str) -> Result<Vec<DaySpan>, Fault> {
    if matches!(text.trim().to_lowercase().as_str(), "none" | "all year" | "") {
        return Ok(Vec::new());
    }
    items(text)
        .into_iter()
        .map(|(item, range)| {
            let ends = parts(item, &[" to ", "-", "–"]);
            // First and last day of what is said: a month by its bare name has many.
            let at = |index: usize| {
                let (part, place) = &ends[index];
                match named(part, &MONTHS) {
                    Some(month) => Ok((day_of_year(month, 1), day_of_year(month, DAYS_IN_MONTH[month]))),
                    None => date(part)
                        .map(|day| (day, day))
                        .map_err(|fault| shifted(fault, range.start + place.start)),
                }
            };
            match ends.len() {
                1 => at(0).map(|(first, last)| DaySpan { first, last }),
                2 => Ok(DaySpan { first: at(0)?.0, last: at(1)?.1 }),
                _ => Err(Fault::new(format!("`{item}` is not a span of days"), "from - until", range)
                    .help("write days like \"Jun 1 - Aug 31\"")),
            }
        })
        .collect()
}

/// Weekdays, Monday first: `weekdays`, `weekend`, `every day`, `Mon, Wed`, `Mon - Fri`.
///
/// # Errors
/// At the first name that is not understood.
pub fn weekdays(text: &str) -> Result<[bool; 7], Fault> {
    let mut chosen = [false; 7];
    for (item, range) in items(text) {
        match item.to_lowercase().as_str() {
            "weekdays" | "weekday" => chosen[..5].fill(true),
            "weekend" | "weekends" => chosen[5..].fill(true),
            "every day" | "all" | "daily" => chosen.fill(true),
            _ => {
                let ends = parts(item, &[" to ", "-", "–"]);
                let mut found = Vec::new();
                for (part, place) in &ends {
                    let Some(day) = named(part, &WEEKDAYS) else {
                        let at = range.start + place.start..range.start + place.end;
                        let fault =
                            Fault::new(format!("`{part}` is not a weekday"), "a weekday belongs here", at);
                        let near =
                            nearest(part, WEEKDAYS.into_iter().chain(["weekdays", "weekend", "every day"]));
                        return Err(match near {
                            Some(near) => fault.help(format!("did you mean `{near}`?")),
                            None => fault.help(
                                "write \"weekdays\", \"weekend\", \"every day\" or names like \"Mon, Wed\"",
                            ),
                        });
                    };
                    found.push(day);
                }
                let (first, last) = (found[0], found[found.len() - 1]);
                let mut day = first;
                chosen[day] = true;
                while day != last {
                    day = (day + 1) % 7;
                    chosen[day] = true;
                }
            }
        }
    }
    Ok(chosen)
}

/// The rule of the United States since 2007 (Energy Policy Act of 2005, section 110): second Sunday of March to the day
/// before the first Sunday of November, for a year whose 1 January is `first_weekday` (0 = Monday).
pub fn us_daylight_saving(first_weekday: u32) -> DaySpan {
    let sunday_from = |day: u32| {
        let weekday = (first_weekday + day - 1) % 7;
        day + (6 - weekday)
    };
    DaySpan { first: sunday_from(day_of_year(2, 1)) + 7, last: sunday_from(day_of_year(10, 1)) - 1 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_of_day() {
        for (text, minutes) in [
            ("6:30 am", 390),
            ("6:30am", 390),
            ("6 a.m.", 360),
            ("12 am", 0),
            ("12:15 pm", 735),
            ("18:30", 1110),
            ("24:00", 1440),
            ("noon", 720),
            ("06:30:00", 390),
        ] {
            assert_eq!(time_of_day(text), Ok(minutes), "{text}");
        }
        for text in ["", "18", "25:00", "13 pm", "6:60 am", "6:30:10", "am", "-3 am", "1:2:0:0"] {
            assert!(time_of_day(text).is_err(), "{text}");
        }
    }

    #[test]
    fn hours_of_the_day() {
        assert_eq!(hours("5 am - 8 am, 5 pm - 9 pm"), Ok(vec![(300, 480), (1020, 1260)]));
        assert_eq!(hours("5-8 am and 22:00 to 06:00"), Ok(vec![(300, 480), (1320, 360)]));
        assert_eq!(hours("9 pm - midnight"), Ok(vec![(1260, 1440)]));
        assert_eq!(hours("always"), Ok(vec![]));
        assert_eq!(hours("never"), Ok(vec![(0, 0)]));
        let fault = hours("5 am - 8 am, 5 pm - soon").expect_err("soon is no time");
        assert_eq!(&"5 am - 8 am, 5 pm - soon"[fault.range], "soon");
        assert!(hours("5 am - 5 am").is_err());
    }

    #[test]
    fn days_of_the_year() {
        assert_eq!(days("Jun 1 - Aug 31"), Ok(vec![DaySpan { first: 152, last: 243 }]));
        assert_eq!(
            days("Dec 20 to Jan 3; July 4th"),
            Ok(vec![DaySpan { first: 354, last: 3 }, DaySpan { first: 185, last: 185 }])
        );
        // October begins on day 274 and April ends on day 120.
        assert_eq!(
            days("Oct - Apr, July"),
            Ok(vec![DaySpan { first: 274, last: 120 }, DaySpan { first: 182, last: 212 }])
        );
        assert_eq!(date("31 December"), Ok(365));
        assert!(date("Feb 29").is_err());
        assert_eq!(date("Agust 3").expect_err("misspelt").help.as_deref(), Some("did you mean `august`?"));
        for day in 1..=365 {
            assert_eq!(date(&date_words(day)), Ok(day));
        }
        let spans = [(348, 7), (332, 7), (364, 3)].map(|(first, days)| span_words(first, days));
        assert_eq!(spans, ["Dec 14 to 20", "Nov 28 to Dec 4", "Dec 30 to Jan 1"]);
    }

    #[test]
    fn weekdays_by_name() {
        assert_eq!(weekdays("weekdays"), Ok([true, true, true, true, true, false, false]));
        assert_eq!(weekdays("Mon, Wed"), Ok([true, false, true, false, false, false, false]));
        assert_eq!(weekdays("Sat - Mon"), Ok([true, false, false, false, false, true, true]));
        assert!(weekdays("Munday").is_err());
    }

    /// In 2025 (1 January a Wednesday) the clock ran ahead from 9 March to 2 November (calendar of that year).
    #[test]
    fn daylight_saving_of_2025() {
        let span = us_daylight_saving(2);
        assert_eq!((date_words(span.first).as_str(), date_words(span.last).as_str()), ("Mar 9", "Nov 1"));
    }
}
