//! Tapping patterns of the European Union.
//!
//! Source: Commission Delegated Regulation (EU) No 812/2013, Annex VII, Table 3, from a copy of the consolidated text; the
//! same table stands in No 813/2013 and 814/2013. A draw is given by its useful heat above cold water at 10 degC (from
//! memory), its flow, the temperature above which heat counts, and for some the peak temperature to be reached.

use super::{DayPattern, Origin, day_event};
use crate::job::Purpose;

/// Cold water the useful heat is measured from, in degC (from memory).
pub const COLD_C: f64 = 10.0;

/// Usual mixed water at the tap in degC where the table asks for no more (common practice).
pub const MIXED_C: f64 = 40.0;

/// Heat of water in J/(m3 K) in the rule from useful heat to volume: 4.186 kJ/(kg K), 1 kg/L (common practice).
const WATER_J_M3_K: f64 = 4.186e6;

/// One kind of draw.
#[derive(Clone, Copy)]
struct Tap {
    useful_kwh: f64,
    flow_l_min: f64,
    /// Heat counts above it.
    useful_c: f64,
    peak_c: Option<f64>,
    purpose: Purpose,
}

impl Tap {
    /// Water at the tap: as hot as the table asks for, and no cooler than usual mixed water.
    fn use_c(&self) -> f64 {
        self.peak_c.unwrap_or(self.useful_c.max(MIXED_C))
    }

    fn volume_m3(&self) -> f64 {
        self.useful_kwh * 3.6e6 / (WATER_J_M3_K * (self.use_c() - COLD_C))
    }
}

const fn tap(useful_kwh: f64, flow_l_min: f64, useful_c: f64, peak_c: Option<f64>, purpose: Purpose) -> Tap {
    Tap { useful_kwh, flow_l_min, useful_c, peak_c, purpose }
}

// The names are ours.
const RINSE: Tap = tap(0.015, 2.0, 25.0, None, Purpose::Sink);
const SMALL_SLOW: Tap = tap(0.105, 2.0, 25.0, None, Purpose::Sink);
const SMALL: Tap = tap(0.105, 3.0, 25.0, None, Purpose::Sink);
const CLEANING: Tap = tap(0.105, 3.0, 40.0, None, Purpose::Sink);
const FLOOR: Tap = tap(0.105, 3.0, 10.0, Some(40.0), Purpose::Sink);
const DISHES_FEW: Tap = tap(0.315, 4.0, 10.0, Some(55.0), Purpose::Sink);
const DISHES_SOME: Tap = tap(0.42, 4.0, 10.0, Some(55.0), Purpose::Sink);
const DISHES: Tap = tap(0.735, 4.0, 10.0, Some(55.0), Purpose::Sink);
const WASH: Tap = tap(0.525, 3.0, 35.0, None, Purpose::Sink);
const WASH_LONG: Tap = tap(1.05, 3.0, 35.0, None, Purpose::Sink);
const HOT_CLEANING: Tap = tap(0.525, 5.0, 45.0, None, Purpose::Sink);
const SHOWER: Tap = tap(1.4, 6.0, 40.0, None, Purpose::Shower);
const SHOWER_LONG: Tap = tap(1.82, 6.0, 40.0, None, Purpose::Shower);
const BATH: Tap = tap(3.605, 10.0, 10.0, Some(40.0), Purpose::Bath);
const BATH_LARGE: Tap = tap(4.42, 10.0, 10.0, Some(40.0), Purpose::Bath);
const BATH_LARGEST: Tap = tap(6.24, 16.0, 10.0, Some(40.0), Purpose::Bath);

/// Draws as (clock as hour and minute, kind).
type Day = &'static [(u32, Tap)];

/// The patterns with name, printed useful heat in kWh and draws.
const PATTERNS: [(&str, f64, Day); 8] = [
    ("EU 3XS", 0.345, XXXS),
    ("EU XXS", 2.1, XXS),
    ("EU XS", 2.1, XS),
    ("EU S", 2.1, S),
    ("EU M", 5.845, M),
    ("EU L", 11.655, L),
    ("EU XL", 19.07, XL),
    ("EU XXL", 24.53, XXL),
];

#[rustfmt::skip]
const XXXS: Day = &[
    (700, RINSE), (705, RINSE), (715, RINSE), (726, RINSE), (730, RINSE), (900, RINSE), (930, RINSE),
    (1130, RINSE), (1145, RINSE), (1200, RINSE), (1230, RINSE), (1245, RINSE), (1430, RINSE), (1500, RINSE),
    (1530, RINSE), (1600, RINSE), (1830, RINSE), (1900, RINSE), (1930, RINSE), (2115, RINSE), (2130, RINSE),
    (2135, RINSE), (2145, RINSE),
];

#[rustfmt::skip]
const XXS: Day = &[
    (700, SMALL_SLOW), (730, SMALL_SLOW), (830, SMALL_SLOW), (930, SMALL_SLOW), (1130, SMALL_SLOW),
    (1145, SMALL_SLOW), (1200, SMALL_SLOW), (1230, SMALL_SLOW), (1245, SMALL_SLOW), (1800, SMALL_SLOW),
    (1815, SMALL_SLOW), (1830, SMALL_SLOW), (1900, SMALL_SLOW), (1930, SMALL_SLOW), (2000, SMALL_SLOW),
    (2045, SMALL_SLOW), (2100, SMALL_SLOW), (2115, SMALL_SLOW), (2135, SMALL_SLOW), (2145, SMALL_SLOW),
];

#[rustfmt::skip]
const XS: Day = &[
    (730, WASH), (1245, WASH), (2030, WASH_LONG),
];

#[rustfmt::skip]
const S: Day = &[
    (700, SMALL), (730, SMALL), (830, SMALL), (930, SMALL), (1130, SMALL), (1145, SMALL), (1245, DISHES_FEW),
    (1800, SMALL), (1815, CLEANING), (2030, DISHES_SOME), (2130, HOT_CLEANING),
];

#[rustfmt::skip]
const M: Day = &[
    (700, SMALL), (705, SHOWER), (730, SMALL), (801, SMALL), (815, SMALL), (830, SMALL), (845, SMALL),
    (900, SMALL), (930, SMALL), (1030, FLOOR), (1130, SMALL), (1145, SMALL), (1245, DISHES_FEW), (1430, SMALL),
    (1530, SMALL), (1630, SMALL), (1800, SMALL), (1815, CLEANING), (1830, CLEANING), (1900, SMALL),
    (2030, DISHES), (2115, SMALL), (2130, SHOWER),
];

#[rustfmt::skip]
const L: Day = &[
    (700, SMALL), (705, SHOWER), (730, SMALL), (745, SMALL), (805, BATH), (825, SMALL), (830, SMALL),
    (845, SMALL), (900, SMALL), (930, SMALL), (1030, FLOOR), (1130, SMALL), (1145, SMALL), (1245, DISHES_FEW),
    (1430, SMALL), (1530, SMALL), (1630, SMALL), (1800, SMALL), (1815, CLEANING), (1830, CLEANING),
    (1900, SMALL), (2030, DISHES), (2100, BATH), (2130, SMALL),
];

#[rustfmt::skip]
const XL: Day = &[
    (700, SMALL), (715, SHOWER_LONG), (726, SMALL), (745, BATH_LARGE), (801, SMALL), (815, SMALL),
    (830, SMALL), (845, SMALL), (900, SMALL), (930, SMALL), (1000, SMALL), (1030, FLOOR), (1100, SMALL),
    (1130, SMALL), (1145, SMALL), (1245, DISHES), (1430, SMALL), (1500, SMALL), (1530, SMALL), (1600, SMALL),
    (1630, SMALL), (1700, SMALL), (1800, SMALL), (1815, CLEANING), (1830, CLEANING), (1900, SMALL),
    (2030, DISHES), (2046, BATH_LARGE), (2115, SMALL), (2130, BATH_LARGE),
];

#[rustfmt::skip]
const XXL: Day = &[
    (700, SMALL), (715, SHOWER_LONG), (726, SMALL), (745, BATH_LARGEST), (801, SMALL), (815, SMALL),
    (830, SMALL), (845, SMALL), (900, SMALL), (930, SMALL), (1000, SMALL), (1030, FLOOR), (1100, SMALL),
    (1130, SMALL), (1145, SMALL), (1245, DISHES), (1430, SMALL), (1500, SMALL), (1530, SMALL), (1600, SMALL),
    (1630, SMALL), (1700, SMALL), (1800, SMALL), (1815, CLEANING), (1830, CLEANING), (1900, SMALL),
    (2030, DISHES), (2046, BATH_LARGEST), (2115, SMALL), (2130, BATH_LARGEST),
];

/// The patterns at their own clock times.
pub(super) fn patterns() -> impl Iterator<Item = DayPattern> {
    PATTERNS.iter().map(|(name, printed_kwh, draws)| {
        let event = |&(clock, ref tap): &(u32, Tap)| {
            let start_s = (clock / 100 * 60 + clock % 100) * 60;
            day_event(start_s, tap.volume_m3(), tap.flow_l_min / 60_000.0, tap.use_c(), tap.purpose)
        };
        DayPattern {
            name,
            events: draws.iter().map(event).collect(),
            total: format!("{printed_kwh} kWh of useful heat"),
            origin: Origin::EuropeanUnion,
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pattern_adds_up_to_its_printed_heat_and_count() {
        for ((name, printed_kwh, draws), count) in PATTERNS.iter().zip([23, 20, 3, 11, 23, 24, 30, 30]) {
            let sum: f64 = draws.iter().map(|(_, tap)| tap.useful_kwh).sum();
            // Sums of up to thirty decimal fractions.
            assert!((sum - printed_kwh).abs() < 1e-12 && draws.len() == count, "{name}: {sum}");
            assert!(draws.windows(2).all(|pair| pair[0].0 < pair[1].0), "{name}");
        }
    }

    #[test]
    fn volumes_carry_the_printed_heat() {
        for (pattern, (name, printed_kwh, _)) in patterns().zip(PATTERNS) {
            let heat_j: f64 =
                pattern.events.iter().map(|e| e.volume_m3() * WATER_J_M3_K * (e.use_c - COLD_C)).sum();
            assert!((heat_j / 3.6e6 / printed_kwh - 1.0).abs() < 1e-12, "{name}: {heat_j} J");
        }
        // 1.4 kWh x 3600/(4.186 x 30) = 40.1 L and 3.605 kWh: 103.3 L, computed by hand to the tenth.
        for (tap, litres) in [(SHOWER, 40.1), (BATH, 103.3), (BATH_LARGE, 126.7), (BATH_LARGEST, 178.9)] {
            assert!((tap.volume_m3() * 1000.0 - litres).abs() < 0.05, "{} m3", tap.volume_m3());
        }
    }
}
