//! Which days of a year to show: a clear, a mixed and a dull one of the same season.

use crate::picture::{MONTHS, ShownDay};
use crate::record::DayTrace;

/// Days of the year, 1 = 1 January.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Days {
    /// A clear day.
    pub clear: u32,
    /// A day between the two.
    pub mixed: u32,
    /// A dull day.
    pub dull: u32,
}

impl Days {
    /// The three in the order clear, mixed, dull.
    pub fn all(self) -> [u32; 3] {
        [self.clear, self.mixed, self.dull]
    }

    /// Those of the three that were traced, ready for a picture.
    pub(crate) fn shown(self, traces: &[DayTrace]) -> Vec<ShownDay<'_>> {
        let named = ["Clear day", "Mixed day", "Dull day"].into_iter().zip(self.all());
        named
            .filter_map(|(sky, day)| {
                let trace = traces.iter().find(|t| t.day == day)?;
                Some(ShownDay { sky, date: date(day), trace })
            })
            .collect()
    }
}

/// Weeks round 22 March and 22 September: neither summer nor winter, so that what differs is the sky.
const SEASONS: [std::ops::Range<usize>; 2] = [60..102, 244..286];

/// How far back and forth the clearest neighbor of a day is looked for.
const NEIGHBORS: usize = 10;

/// Days to show, from the sun on the collector plane on each of 365 days (any unit).
///
/// A day's clearness is its sum over the largest sum of the ten days before and after. Of spring and fall the season with
/// the greater spread is taken; in it the clearest day, the dullest, and the one nearest to half way between them.
///
/// # Panics
///
/// If there are not 365 days.
pub fn choose(daily_plane: &[f64]) -> Days {
    assert_eq!(daily_plane.len(), 365, "one sum for each day of the year");
    let clearness = |day: usize| {
        let best = daily_plane[day - NEIGHBORS..=day + NEIGHBORS].iter().copied().fold(0.0, f64::max);
        if best > 0.0 { daily_plane[day] / best } else { 0.0 }
    };
    let pick = |season: &std::ops::Range<usize>, score: &dyn Fn(f64) -> f64| {
        // The first of equals, so that the choice does not depend on anything else.
        let best =
            season.clone().reduce(|a, b| if score(clearness(b)) > score(clearness(a)) { b } else { a });
        best.expect("a season has days")
    };
    let ends = SEASONS.map(|season| (pick(&season, &|c| c), pick(&season, &|c| -c), season));
    let spread = |e: &(usize, usize, _)| clearness(e.0) - clearness(e.1);
    let [spring, fall] = ends;
    let (clear, dull, season) = if spread(&fall) > spread(&spring) { fall } else { spring };
    let half = 0.5 * (clearness(clear) + clearness(dull));
    let mixed = pick(&season, &|c| -(c - half).abs());
    Days { clear: clear as u32 + 1, mixed: mixed as u32 + 1, dull: dull as u32 + 1 }
}

/// Month and day of the month of a day of the year without leap day, all counted from 1.
pub(crate) fn date(day: u32) -> (u32, u32) {
    let mut left = day;
    let mut month = 1;
    for length in [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30] {
        if left <= length {
            break;
        }
        left -= length;
        month += 1;
    }
    (month, left)
}

/// A day of the year as pictures and pages name it: `Mar 29`.
pub(super) fn words(day: u32) -> String {
    let (month, day) = date(day);
    format!("{} {day}", MONTHS[month as usize - 1])
}

/// Days in a row: `Dec 14 to 20`, `Nov 28 to Dec 4`.
pub(super) fn span_words(first_day: u32, days: u32) -> String {
    let last_day = first_day + days - 1;
    let (last_month, last) = date(last_day);
    let end = if date(first_day).0 == last_month { last.to_string() } else { words(last_day) };
    format!("{} to {end}", words(first_day))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_of_days_in_words() {
        assert_eq!(span_words(348, 7), "Dec 14 to 20");
        assert_eq!(span_words(332, 7), "Nov 28 to Dec 4");
    }

    #[test]
    fn clear_mixed_and_dull_of_one_season() {
        // All days alike but three in fall, and a very dull winter day that must not be taken.
        let mut sun = vec![5.0; 365];
        sun[10] = 0.1;
        sun[250] = 5.5;
        sun[255] = 1.0;
        sun[260] = 3.2;
        assert_eq!(choose(&sun), Days { clear: 251, mixed: 261, dull: 256 });
    }

    #[test]
    fn a_year_without_weather_still_gives_days() {
        let days = choose(&[4.0; 365]);
        assert!(days.all().iter().all(|d| (1..=365).contains(d)));
    }

    #[test]
    fn dates_of_a_year_without_leap_day() {
        assert_eq!(date(1), (1, 1));
        assert_eq!(date(31), (1, 31));
        assert_eq!(date(60), (3, 1));
        assert_eq!(date(365), (12, 31));
    }
}
