//! How much hot water there is on the mornings of the year's dullest week, beside the year.
//!
//! The year is driven as ever; a copy of its state at six in the morning of each of the seven days goes on by itself, once with
//! a tap that runs for an hour and once with three showers in a row. Backup heats as its thermostat and timer let it.

use thermal_network::flows::{Conditions, Draw, Flows};
use thermal_network::{Plant, Scratch, State};

use super::{Cursor, Recorder, Setting, Span};
use crate::draws::clock::DAY_S;
use crate::job::quantity::size::GPM_M3_S;
use crate::record::{Morning, Week};

/// Six o'clock, standard time, in s after midnight.
const SIX_S: u32 = 6 * 3600;

const WEEK: u32 = Week::DAYS;

/// Flow of the tap in m3/s: 3 gal/min, the draw of the US first-hour test (10 CFR 430 subpart B appendix E).
const TAP_M3_S: f64 = 3.0 * GPM_M3_S;

/// A shower: 2 gal/min for 8 minutes, and 2 minutes until the next (common practice).
const SHOWER_M3_S: f64 = 2.0 * GPM_M3_S;
const SHOWER_S: u32 = 480;
const PAUSE_S: u32 = 120;

/// Warm enough to shower, in degC: 105 F.
const USABLE_C: f64 = (105.0 - 32.0) / 1.8;

/// Listens to the undisturbed year and keeps its mornings.
pub(super) struct Mornings {
    first_day: u32,
    kept: Vec<State>,
}

impl Mornings {
    /// Chooses the week with the least light on the collectors, which is that of [`Week::of_hours`].
    pub(super) fn new(setting: &Setting) -> Self {
        let dimness = setting.plane.daily_j_m2().map(|light_j_m2| -light_j_m2);
        Self { first_day: Week::of_most(&dimness).unwrap_or(1), kept: Vec::with_capacity(WEEK as usize) }
    }

    fn six_s(&self, morning: u32) -> u32 {
        (self.first_day - 1 + morning) * DAY_S + SIX_S
    }

    /// What the mornings give; the worst of the week.
    pub(super) fn judged(self, setting: &Setting, plant: &Plant) -> Morning {
        let mut worst =
            Morning { first_day: self.first_day, usable_l: f64::INFINITY, cool_of_three_showers_min: 0.0 };
        for (morning, state) in (0..).zip(&self.kept) {
            let from_s = i64::from(self.six_s(morning));
            let hour = [(TAP_M3_S, 3600)];
            let tap = drawn(setting, plant, state, from_s, &hour);
            let usable_l = (tap.tap_m3 - tap.cool_shower_m3) * 1000.0;
            worst.usable_l = worst.usable_l.min(usable_l);
            let showers = [(SHOWER_M3_S, SHOWER_S), (0.0, PAUSE_S)].repeat(3);
            let cool_min = drawn(setting, plant, state, from_s, &showers).cool_shower_s / 60.0;
            worst.cool_of_three_showers_min = worst.cool_of_three_showers_min.max(cool_min);
        }
        worst
    }
}

impl Recorder for Mornings {
    fn span(&mut self, span: &Span<'_>) {
        let next = self.kept.len() as u32;
        if next < WEEK && span.start_s + span.duration_s == self.six_s(next) {
            self.kept.push(span.state.clone());
        }
    }
}

/// Flows of draws at 105 F that begin at `from_s` of the year: each a flow at the tap in m3/s and its length in s.
fn drawn(setting: &Setting, plant: &Plant, state: &State, from_s: i64, draws: &[(f64, u32)]) -> Flows {
    let (mut state, mut scratch, mut flows) = (state.clone(), Scratch::new(plant), Flows::new());
    let mut cursor = Cursor::new(setting, from_s);
    let mut left: Vec<(f64, u32)> = draws.iter().rev().copied().collect();
    while !left.is_empty() {
        let (_, conditions, mut span_s) = cursor.next_span();
        while let Some((flow_m3_s, draw_s)) = left.pop() {
            let step_s = draw_s.min(span_s);
            let draw = Draw { flow_m3_s, use_c: USABLE_C, comfort: true, usable_c: USABLE_C };
            let drawing = Conditions { draw, ..conditions };
            plant.advance(&mut state, &mut scratch, &drawing, step_s, &mut flows, |_, _, _| {});
            if step_s < draw_s {
                left.push((flow_m3_s, draw_s - step_s));
            }
            span_s -= step_s;
            if span_s == 0 {
                break;
            }
        }
    }
    flows
}
