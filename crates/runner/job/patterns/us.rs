//! Draw patterns of the test for the Uniform Energy Factor of the United States.
//!
//! Source: 10 CFR 430 Subpart B Appendix E, section 5.5, Tables III.1 to III.4. The single draws are from memory; each table
//! adds up to the total of its pattern, which the unit test checks. Flows of 1, 1.7 and 3 gal/min, delivery at 125 F.

use super::{DayPattern, Origin, day_event};
use crate::job::Purpose;
use crate::job::quantity::size::{GALLON_M3, GPM_M3_S};

/// Delivery temperature of the test, in words.
pub const DELIVERY: &str = "125 F";

/// Draws as (minutes after the first draw, gallons, gallons a minute).
type Day = &'static [(u32, f64, f64)];

/// The patterns with name, printed total in gallons and draws.
const PATTERNS: [(&str, f64, Day); 4] = [
    ("US very small", 10.0, VERY_SMALL),
    ("US low", 38.0, LOW),
    ("US medium", 55.0, MEDIUM),
    ("US high", 84.0, HIGH),
];

#[rustfmt::skip]
const VERY_SMALL: Day = &[
    (0, 2.0, 1.0), (60, 1.0, 1.0), (65, 0.5, 1.0), (70, 0.5, 1.0), (75, 0.5, 1.0), (480, 1.0, 1.0),
    (495, 2.0, 1.0), (540, 1.5, 1.0), (555, 1.0, 1.0),
];

#[rustfmt::skip]
const LOW: Day = &[
    (0, 15.0, 1.7), (30, 2.0, 1.0), (60, 1.0, 1.0), (630, 6.0, 1.7), (690, 4.0, 1.7), (720, 1.0, 1.0),
    (765, 1.0, 1.0), (770, 1.0, 1.0), (975, 2.0, 1.0), (1005, 2.0, 1.7), (1020, 3.0, 1.7),
];

#[rustfmt::skip]
const MEDIUM: Day = &[
    (0, 15.0, 1.7), (30, 2.0, 1.0), (100, 9.0, 1.7), (630, 9.0, 1.7), (690, 5.0, 1.7), (720, 1.0, 1.0),
    (765, 1.0, 1.0), (770, 1.0, 1.0), (960, 1.0, 1.0), (975, 2.0, 1.0), (1005, 2.0, 1.7), (1020, 7.0, 1.7),
];

#[rustfmt::skip]
const HIGH: Day = &[
    (0, 27.0, 3.0), (30, 2.0, 1.0), (40, 1.0, 1.0), (100, 9.0, 1.7), (630, 15.0, 3.0), (690, 5.0, 1.7),
    (720, 1.0, 1.0), (765, 1.0, 1.0), (770, 1.0, 1.0), (960, 2.0, 1.0), (975, 2.0, 1.0), (990, 2.0, 1.7),
    (1005, 2.0, 1.7), (1020, 14.0, 3.0),
];

/// The patterns, starting at midnight, with all water at `use_c`.
///
/// The test does not say what a draw is for. Here those of 1.7 gal/min and more count as showers, so that cool water is
/// counted in them.
pub(super) fn patterns(use_c: f64) -> impl Iterator<Item = DayPattern> {
    PATTERNS.iter().map(move |(name, printed_gal, draws)| {
        let event = |&(minute, gallons, gpm): &(u32, f64, f64)| {
            let purpose = if gpm > 1.0 { Purpose::Shower } else { Purpose::Sink };
            day_event(minute * 60, gallons * GALLON_M3, gpm * GPM_M3_S, use_c, purpose)
        };
        DayPattern {
            name,
            events: draws.iter().map(event).collect(),
            total: format!("{printed_gal} gal"),
            origin: Origin::UnitedStates,
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pattern_adds_up_to_its_printed_total_and_count() {
        // Totals as printed; the counts of draws that go with them (from memory).
        for ((name, printed_gal, draws), count) in PATTERNS.iter().zip([9, 11, 12, 14]) {
            let sum: f64 = draws.iter().map(|(_, gallons, _)| gallons).sum();
            assert_eq!((sum, draws.len()), (*printed_gal, count), "{name}");
            assert!(draws.windows(2).all(|pair| pair[0].0 < pair[1].0), "{name}");
        }
    }
}
