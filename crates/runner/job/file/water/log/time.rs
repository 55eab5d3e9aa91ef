//! Dates and times of day as loggers write them.

use crate::draws::clock::DAY_S;
use crate::job::quantity::when;

/// A message and its remedy.
pub(super) type Told = (String, String);

fn told(what: String, help: &str) -> Told {
    (what, help.to_owned())
}

/// Date and time of day from `2026-03-05 06:30` or `3/5/2026 6:30 am`, a blank or a `T` between.
pub(super) fn split(text: &str) -> Result<(Option<u32>, &str), Told> {
    let parts = text.split_once([' ', 'T']);
    let (day, clock) = parts.ok_or_else(|| {
        told(
            format!("`{text}` is not a date and a time"),
            "write 2026-03-05 06:30 or 3/5/2026 6:30 am, or add a column `date`",
        )
    })?;
    Ok((date(day)?, clock))
}

/// Day of the year, 1 to 365, from `2026-03-05`, `03-05`, `3/5/2026`, `3/5` or `Mar 5`; `None` on 29 February.
pub(super) fn date(text: &str) -> Result<Option<u32>, Told> {
    let number = |part: Option<&str>| part.and_then(|part| part.trim().parse::<u32>().ok());
    let (month, day) = if text.contains('/') {
        let mut parts = text.split('/');
        (number(parts.next()), number(parts.next()))
    } else if text.contains('-') {
        let mut parts = text.rsplit('-');
        let day = number(parts.next());
        (number(parts.next()), day)
    } else {
        return when::date(text).map(Some).map_err(|fault| {
            told(fault.message, "write dates like 2026-03-05, 3/5/2026 (the month first) or Mar 5")
        });
    };
    let found = match (month, day) {
        (Some(2), Some(29)) => Some(None),
        (Some(month @ 1..=12), Some(day)) => when::in_year(month as usize - 1, day).map(Some),
        _ => None,
    };
    found.ok_or_else(|| {
        told(
            format!("`{text}` is not a date"),
            "write dates like 2026-03-05 or 3/5/2026, the month before the day",
        )
    })
}

/// Seconds after midnight, 24:00 included, from `6:30`, `06:30:15`, `6:30:15 pm`; fractions of a second are dropped.
pub(super) fn clock_s(text: &str) -> Result<u32, Told> {
    let fault = || told(format!("`{text}` is not a time of day"), "write times like 18:30:15 or 6:30 pm");
    let lower = text.trim().to_lowercase();
    let (clock, half) = match (lower.strip_suffix("am"), lower.strip_suffix("pm")) {
        (Some(rest), _) => (rest.trim(), Some(0)),
        (_, Some(rest)) => (rest.trim(), Some(12)),
        _ => (lower.as_str(), None),
    };
    let mut parts = clock.split(':');
    let mut number = |least: bool| match parts.next() {
        Some(part) if part.starts_with(|c: char| c.is_ascii_digit()) => {
            part.parse::<f64>().map_err(|_| fault())
        }
        None if !least => Ok(0.0),
        _ => Err(fault()),
    };
    let (hour, minute, second) = (number(true)?, number(true)?, number(false)?);
    if parts.next().is_some() || minute >= 60.0 || second >= 60.0 || hour.fract() + minute.fract() > 0.0 {
        return Err(fault());
    }
    let hour = match half {
        Some(half) if (1.0..=12.0).contains(&hour) => hour % 12.0 + f64::from(half),
        None => hour,
        _ => return Err(fault()),
    };
    let whole_s = (hour * 3600.0 + minute * 60.0 + second) as u32;
    if whole_s <= DAY_S { Ok(whole_s) } else { Err(fault()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_and_times_in_the_ways_of_loggers() {
        // 31 + 28 + 5 = day 64.
        for text in ["2026-03-05", "03-05", "3/5/2026", "3/5", "Mar 5"] {
            assert_eq!(date(text), Ok(Some(64)), "{text}");
        }
        assert_eq!(date("2024-02-29"), Ok(None));
        for text in ["13/3/2026", "2026-02-30", "5", "", "2026-03"] {
            assert!(date(text).is_err(), "{text}");
        }
        for (text, second) in [
            ("6:30", 23_400),
            ("06:30:15", 23_415),
            ("6:30:15.8 pm", 66_615),
            ("12:00 am", 0),
            ("24:00", 86_400),
        ] {
            assert_eq!(clock_s(text), Ok(second), "{text}");
        }
        for text in ["", "6", "24:01", "13:00 pm", "6:60", "6:30:60", "6:x", "1:2:3:4", "-1:00"] {
            assert!(clock_s(text).is_err(), "{text}");
        }
        assert_eq!(
            split("2026-03-05T06:30").map(|(day, clock)| (day, clock_s(clock))),
            Ok((Some(64), Ok(23_400)))
        );
        assert!(split("06:30").is_err());
    }
}
