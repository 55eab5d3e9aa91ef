//! Which days of a year to show: a clear, a mixed and a dull one of the same season.

use solar_geometry::time::month_and_day;

use crate::picture::ShownDay;
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
                Some(ShownDay { sky, date: month_and_day(day), trace })
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

#[cfg(test)]
mod tests {
    use super::*;

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
}
