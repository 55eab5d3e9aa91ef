//! What a household draws: volume of a day from people or bedrooms, its hours, and what the water is for.

use crate::job::quantity::size::{GALLON_M3, GPM_M3_S};
use crate::job::{DrawKind, Purpose};

/// Shares of the 24 hours of a day: the household profile tied to ASHRAE Standard 90.2 (from memory; the fractions add to
/// exactly 1).
pub const HOURS: [f64; 24] = [
    0.0085, 0.0085, 0.0085, 0.0085, 0.0085, 0.0100, 0.0750, 0.0750, 0.0650, 0.0650, 0.0650, 0.0460, 0.0460,
    0.0370, 0.0370, 0.0370, 0.0370, 0.0630, 0.0630, 0.0630, 0.0630, 0.0510, 0.0510, 0.0085,
];

/// Source of [`people_m3`].
pub const BY_PEOPLE: &str =
    "20 gal for each of the first two people, 15 gal for each after (common practice)";

/// Source of [`bedrooms_m3`].
pub const BY_BEDROOMS: &str = "clothes washer 2.35 + 0.78 N, dishwasher 2.26 + 0.75 N, showers 14.0 + 4.67 N, sinks 12.5 + \
                               4.16 N, baths 3.5 + 1.17 N gal for N bedrooms (Hendron and Engebrecht 2010, House Simulation \
                               Protocols; baths from memory); all but the machines as 110 F water over 58 F cold water";

/// Source of [`kinds`].
pub const KINDS: &str = "House Simulation Protocols (Hendron and Engebrecht 2010); sizes rounded from Hendron and Burch 2007 \
                         (from memory)";

/// Bedrooms of a house that does not say how many: the middle of the range the rule was made for (common practice).
pub const BEDROOMS: f64 = 3.0;

/// People in a house that does not say how many: a family (common practice).
pub const PEOPLE: f64 = 4.0;

/// Water of a day at the tap in m3, by the rule [`BY_PEOPLE`].
pub fn people_m3(people: f64) -> f64 {
    (20.0 * people.min(2.0) + 15.0 * (people - 2.0).max(0.0)) * GALLON_M3
}

/// What water is for, with its gallons a day in a house of N bedrooms, `base + each N`.
struct EndUse {
    purpose: Purpose,
    base_gal: f64,
    each_gal: f64,
    /// True if it is mixed to 110 F; machines take it as hot as it comes.
    mixed: bool,
    /// Gallons of a draw.
    draw_gal: f64,
    /// Standard deviation of that as a share of it.
    spread_frac: f64,
    /// Gallons a minute.
    flow_gpm: f64,
}

const fn end_use(purpose: Purpose, rule: (f64, f64, bool), draw: (f64, f64, f64)) -> EndUse {
    let ((base_gal, each_gal, mixed), (draw_gal, spread_frac, flow_gpm)) = (rule, draw);
    EndUse { purpose, base_gal, each_gal, mixed, draw_gal, spread_frac, flow_gpm }
}

/// Sources: [`BY_BEDROOMS`] and [`KINDS`].
const END_USES: [EndUse; 5] = [
    end_use(Purpose::Shower, (14.0, 4.67, true), (17.5, 0.5, 2.25)),
    end_use(Purpose::Bath, (3.5, 1.17, true), (25.0, 0.4, 4.4)),
    end_use(Purpose::Sink, (12.5, 4.16, true), (0.7, 1.0, 1.1)),
    end_use(Purpose::Dishwasher, (2.26, 0.75, false), (2.1, 0.3, 1.4)),
    end_use(Purpose::Laundry, (2.35, 0.78, false), (6.7, 0.5, 2.2)),
];

impl EndUse {
    /// Volume of water at `use_c` that carries the heat of one gallon of it as it is used.
    fn equal_frac(&self, use_c: f64) -> f64 {
        const MIXED_F: f64 = 110.0;
        const COLD_F: f64 = 58.0;
        // Cooler than any tap is set: the rule is not stretched to it.
        let use_f = (use_c * 1.8 + 32.0).max(90.0);
        if self.mixed { (MIXED_F - COLD_F) / (use_f - COLD_F) } else { 1.0 }
    }

    fn day_gal(&self, bedrooms: f64, use_c: f64) -> f64 {
        (self.base_gal + self.each_gal * bedrooms) * self.equal_frac(use_c)
    }
}

/// Water of a day in m3 by the rule [`BY_BEDROOMS`], with all of it counted at `use_c` degC.
pub fn bedrooms_m3(bedrooms: f64, use_c: f64) -> f64 {
    END_USES.iter().map(|end_use| end_use.day_gal(bedrooms, use_c)).sum::<f64>() * GALLON_M3
}

/// What a household of so many bedrooms draws water for, all of it at `use_c` degC; source [`KINDS`].
///
/// Draws that are mixed cooler than that are smaller and slower in the same measure, so that they take their time and heat.
pub fn kinds(bedrooms: f64, use_c: f64) -> Vec<DrawKind> {
    let day_gal = bedrooms_m3(bedrooms, use_c) / GALLON_M3;
    let kind = |end_use: &EndUse| {
        let equal = end_use.equal_frac(use_c);
        DrawKind {
            purpose: end_use.purpose,
            share_frac: end_use.day_gal(bedrooms, use_c) / day_gal,
            mean_m3: end_use.draw_gal * equal * GALLON_M3,
            spread_frac: end_use.spread_frac,
            flow_m3_s: end_use.flow_gpm * equal * GPM_M3_S,
            use_c,
        }
    };
    END_USES.iter().map(kind).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_profile_adds_to_one() {
        assert!((HOURS.iter().sum::<f64>() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn three_bedrooms_come_to_the_worked_gallons() {
        // By hand: 4.69 + 4.51 + (110 - 58)/(125 - 58) x (28.01 + 24.98 + 7.01) = 55.8 gal at 125 F, 69.2 gal as used.
        let at_125_f = bedrooms_m3(3.0, (125.0 - 32.0) / 1.8) / GALLON_M3;
        let as_used = bedrooms_m3(3.0, (110.0 - 32.0) / 1.8) / GALLON_M3;
        // Both are given to a tenth of a gallon.
        assert!((at_125_f - 55.8).abs() < 0.05 && (as_used - 69.2).abs() < 0.05, "{at_125_f} {as_used}");
    }

    #[test]
    fn shares_add_to_one() {
        let sum: f64 = kinds(4.0, 49.0).iter().map(|kind| kind.share_frac).sum();
        assert!((sum - 1.0).abs() < 1e-12, "{sum}");
    }
}
