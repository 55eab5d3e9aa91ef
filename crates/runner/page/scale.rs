//! The scale of a slider: what is shown, what is written into the job, and how far it goes, in US units and in SI.

use serde::Serialize;

use crate::job::quantity::round_number;
use crate::picture::Units;

/// One side of a slider.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(super) struct Scale {
    pub low: f64,
    pub high: f64,
    pub step: f64,
    /// Where the job has it; nothing where the job does not say.
    pub value: Option<f64>,
    /// What stands before and behind the number in a job file.
    pub before: String,
    pub behind: String,
    /// What stands before and behind it for a reader.
    pub shown_before: String,
    pub shown_behind: String,
}

/// How far a slider goes, and in what steps.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reach {
    pub low: f64,
    pub high: f64,
    pub step: f64,
}

pub(super) const fn reach(low: f64, high: f64, step: f64) -> Reach {
    Reach { low, high, step }
}

/// What a slider measures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Measure {
    /// A number of things.
    Count,
    /// Degrees.
    Angle,
    /// From m3.
    Volume,
    /// From degC.
    Level,
    /// From K.
    Difference,
}

impl Measure {
    /// The two sides of a slider for a value in SI (angles in degrees).
    pub(super) fn scales(self, si: Option<f64>, us: Reach, metric: Reach) -> [Scale; 2] {
        let [us_value, metric_value] = match si {
            Some(si) => self.values(si).map(Some),
            None => [None, None],
        };
        let [us_unit, metric_unit] = match self {
            Self::Count => [("", ""); 2],
            Self::Angle => [(" deg", "\u{b0}"); 2],
            Self::Volume => [(" gal", " gal"), (" L", " L")],
            Self::Level => [(" F", " \u{b0}F"), (" C", " \u{b0}C")],
            Self::Difference => [(" F", " \u{b0}F"), (" K", " K")],
        };
        let plain =
            |reach, value, (written, shown): (&str, &str)| scale(reach, value, ["", written], ["", shown]);
        [plain(us, us_value, us_unit), plain(metric, metric_value, metric_unit)]
    }

    /// A value in SI in both units, as exact as a slider needs it.
    pub(super) fn values(self, si: f64) -> [f64; 2] {
        let [us, metric] = match self {
            Self::Count | Self::Angle => [si, si],
            Self::Volume => [Units::Us, Units::Si].map(|units| si / units.volume().1),
            Self::Level => [Units::Us, Units::Si].map(|units| units.level(si)),
            Self::Difference => [si * 1.8, si],
        };
        [us, metric].map(rounded)
    }
}

/// To a thousandth: what is left of a unit that was turned into another and back is no figure.
fn rounded(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

fn scale(reach: Reach, value: Option<f64>, written: [&str; 2], shown: [&str; 2]) -> Scale {
    let inside =
        |at: f64| value.map_or(at, |value| if at == reach.low { at.min(value) } else { at.max(value) });
    Scale {
        low: inside(reach.low),
        high: inside(reach.high),
        step: reach.step,
        value,
        before: written[0].into(),
        behind: written[1].into(),
        shown_before: shown[0].into(),
        shown_behind: shown[1].into(),
    }
}

/// A price or sum as the job has it: the number moves, the words round it stay. `None` if there is no number in it.
pub(super) fn money_scales(text: &str) -> Option<[Scale; 2]> {
    let (before, value, behind) = round_number(text)?;
    let high = if value > 0.0 { 3.0 * value } else { 1.0 };
    // A hundredth of the range, as a round step.
    let step = libm::pow(10.0, libm::floor(libm::log10(high / 100.0)));
    let high = libm::ceil(high / step) * step;
    let reach = reach(0.0, rounded(high), step);
    let one = scale(reach, Some(value), [before, behind], [before, behind]);
    Some([one.clone(), one])
}

/// The same where the job has no price yet.
pub(super) fn new_price_scales(reach: Reach, before: &str, behind: &str) -> [Scale; 2] {
    let one = scale(reach, None, [before, behind], [before, behind]);
    [one.clone(), one]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_beyond_the_reach_widens_it() {
        let [us, metric] =
            Measure::Volume.scales(Some(1.0), reach(20.0, 200.0, 5.0), reach(80.0, 800.0, 10.0));
        assert_eq!((us.low, us.high, us.value), (20.0, 264.172, Some(264.172)));
        assert_eq!((metric.low, metric.high, metric.behind.as_str()), (80.0, 1000.0, " L"));
        // 54.444 degC are 130 degF by the definition of the scale.
        assert_eq!(Measure::Level.values(490.0 / 9.0), [130.0, 54.444]);
        assert_eq!(Measure::Difference.values(10.0), [18.0, 10.0]);
    }

    #[test]
    fn prices_keep_the_words_round_their_number() {
        for (text, parts) in [
            ("$0.17/kWh", Some(("$", 0.17, "/kWh"))),
            ("17 cents/kWh", Some(("", 17.0, " cents/kWh"))),
            ("$7,000", Some(("$", 7000.0, ""))),
            ("EUR 80", Some(("EUR ", 80.0, ""))),
            ("free", None),
        ] {
            assert_eq!(round_number(text), parts, "{text}");
        }
        let [scale, _] = money_scales("$7,000").expect("a sum");
        assert_eq!((scale.low, scale.high, scale.step), (0.0, 21000.0, 100.0));
        let [scale, _] = money_scales("$0.17/kWh").expect("a price");
        assert_eq!((scale.high, scale.step), (0.51, 0.001));
    }
}
