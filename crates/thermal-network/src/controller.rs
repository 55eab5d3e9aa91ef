//! Differential controller of the loop pump.

mod duties;

pub(crate) use duties::{Duty, Rest};

use crate::flows::Flows;
use crate::relaxation::decay;
use crate::sensor::Sensor;
use crate::spec::{ControllerSpec, Duties};

/// A controller ready to decide.
#[derive(Clone, Debug)]
pub(crate) struct Controller {
    pub(crate) spec: ControllerSpec,
    pub(crate) tank_sensor: Sensor,
    pub(crate) collector_sensor: Sensor,
    /// Nothing but differences and limits decides, at one speed.
    pub(crate) plain: bool,
}

/// What a controller remembers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct ControllerState {
    pub(crate) pump_on: bool,
    /// The tank's high limit holds the pump off.
    pub(crate) tank_hold: bool,
    /// The collector's limit holds the pump off.
    pub(crate) collector_hold: bool,
    /// A hot collector keeps a resting pump from starting.
    pub(crate) start_hold: bool,
    /// The tank waits for night cooling.
    pub(crate) too_hot: bool,
    pub(crate) tank_reading_c: f64,
    pub(crate) collector_reading_c: f64,
    /// Time since the pump last changed, in s.
    pub(crate) since_change_s: u32,
    /// Time to the next decision, in s.
    pub(crate) decision_in_s: u32,
    /// The last decision changed what the pump does, where the controller has duties.
    pub(crate) changed: bool,
    /// What the pump runs for, where the controller has duties.
    pub(crate) duty: Duty,
    /// Flow as a share of the full one.
    pub(crate) speed_frac: f64,
    /// Share of full flow that a timer or a module calls for.
    pub(crate) called_frac: f64,
}

impl ControllerState {
    pub(crate) fn new(start_c: f64) -> Self {
        Self {
            pump_on: false,
            tank_hold: false,
            collector_hold: false,
            start_hold: false,
            too_hot: false,
            tank_reading_c: start_c,
            collector_reading_c: start_c,
            since_change_s: u32::MAX,
            decision_in_s: 0,
            changed: false,
            duty: Duty::Rest,
            speed_frac: 1.0,
            called_frac: 0.0,
        }
    }

    /// Readings of collector and tank, in degC.
    pub(crate) fn readings_c(&self) -> [f64; 2] {
        [self.collector_reading_c, self.tank_reading_c]
    }

    /// Something keeps the pump off.
    pub(crate) fn held(&self) -> bool {
        self.limited() || self.start_hold
    }

    /// A limit keeps the pump off.
    fn limited(&self) -> bool {
        self.tank_hold || self.collector_hold
    }
}

/// How the readings changed in the last step of a run: from `began` to what they are now.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pace {
    /// Readings of collector and tank at its beginning, in degC.
    pub(crate) began: [f64; 2],
    pub(crate) seconds: f64,
}

/// Distance from a decision at which it may be passed over in a steady run, in K (slugs of cool fluid that go round after a
/// start are smaller), and how much faster than in the step before the readings may change.
const SURE_K: f64 = 2.0;
const SURE_FACTOR: f64 = 1.5;

impl Controller {
    pub(crate) fn new(spec: &ControllerSpec) -> Self {
        Self {
            spec: *spec,
            tank_sensor: Sensor::new(&spec.tank_sensor),
            collector_sensor: Sensor::new(&spec.collector_sensor),
            plain: spec.duties == Duties::default(),
        }
    }

    /// Reads the limits.
    #[inline]
    fn read_limits(&self, state: &mut ControllerState) {
        let s = &self.spec;
        state.tank_hold = hold(state.tank_hold, state.tank_reading_c, s.high_limit_c, s.high_limit_reset_k);
        state.collector_hold = s.collector_limit_c.is_some_and(|limit_c| {
            hold(state.collector_hold, state.collector_reading_c, limit_c, s.collector_limit_reset_k)
        });
    }

    /// One decision from the readings, without duties. Returns true if the pump starts.
    #[inline]
    fn decide(&self, state: &mut ControllerState) -> bool {
        let s = &self.spec;
        self.read_limits(state);
        let difference_k = state.collector_reading_c - state.tank_reading_c;
        let on = if state.pump_on {
            // Limits protect; they do not wait for the minimum time.
            !state.limited() && (difference_k > s.off_k || state.since_change_s < s.min_on_s)
        } else {
            !state.limited() && difference_k >= s.on_k && state.since_change_s >= s.min_off_s
        };
        let starts = on && !state.pump_on;
        if on != state.pump_on {
            state.pump_on = on;
            state.since_change_s = 0;
        }
        starts
    }

    /// Takes the decision that is due and sets the next; counts a start.
    pub(crate) fn decide_now(&self, state: &mut ControllerState, flows: &mut Flows) {
        if !self.plain {
            return self.decide_duties_now(state, flows);
        }
        flows.pump_starts += u32::from(self.decide(state));
        state.decision_in_s = self.spec.interval_s;
    }

    /// The same for a controller with duties.
    #[inline(never)]
    fn decide_duties_now(&self, state: &mut ControllerState, flows: &mut Flows) {
        self.read_limits(state);
        flows.pump_starts += u32::from(self.decide_duty(state));
        state.decision_in_s = self.spec.interval_s;
    }

    /// Reads collector and tank, each given as its true temperature and that of its surroundings, `step_s` after the last
    /// time.
    pub(crate) fn read(&self, state: &mut ControllerState, [collector, tank]: [(f64, f64); 2], step_s: f64) {
        state.collector_reading_c =
            self.collector_sensor.follow_c(state.collector_reading_c, collector.0, collector.1, step_s);
        state.tank_reading_c = self.tank_sensor.follow_c(state.tank_reading_c, tank.0, tank.1, step_s);
    }

    /// Passes `step_s` of time.
    pub(crate) fn pass(&self, state: &mut ControllerState, step_s: u32) {
        state.since_change_s = state.since_change_s.saturating_add(step_s);
        let interval_s = self.spec.interval_s;
        state.decision_in_s = if step_s < state.decision_in_s {
            state.decision_in_s - step_s
        } else {
            let over_s = (step_s - state.decision_in_s) % interval_s;
            if over_s == 0 { 0 } else { interval_s - over_s }
        };
    }

    /// True if no decision in the coming `seconds` of a steady run would stop the pump: the readings stay well away from
    /// every limit even if they change faster than in the step before.
    pub(crate) fn keeps_on(&self, state: &ControllerState, pace: &Pace, seconds: f64) -> bool {
        let s = &self.spec;
        let [collector_c, tank_c] = state.readings_c();
        let ahead = SURE_FACTOR * seconds / pace.seconds;
        let collector_k = ahead * (collector_c - pace.began[0]);
        let tank_k = ahead * (tank_c - pace.began[1]);
        let fall_k = (tank_k - collector_k).max(0.0);
        collector_c - tank_c - fall_k > s.off_k + SURE_K
            && tank_c + tank_k.max(0.0) + SURE_K < s.high_limit_c
            && s.collector_limit_c.is_none_or(|limit_c| collector_c + collector_k.max(0.0) + SURE_K < limit_c)
    }

    /// Longest time in s that may pass until a decision could start the pump, if the difference cannot grow faster than
    /// `closing` says; a whole number of decisions ahead.
    pub(crate) fn quiet_s(&self, state: &ControllerState, closing: &Closing, longest_s: u32) -> u32 {
        let safe_s = closing.safe_s(f64::from(longest_s));
        let first_s = f64::from(state.decision_in_s);
        let interval_s = f64::from(self.spec.interval_s);
        // Decision k comes at first + k interval; those before `safe_s` cannot start the pump.
        let skipped = ((safe_s - first_s) / interval_s).ceil().max(0.0);
        let span_s = first_s + skipped * interval_s;
        if span_s >= f64::from(longest_s) { longest_s } else { span_s as u32 }
    }
}

/// How the difference between collector and tank may grow towards a start while nothing flows.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Closing {
    /// What is missing, in K.
    pub(crate) gap_k: f64,
    /// Fastest rise of the collector, in K/s, and the time constant in s with which it slows (infinite: it does not).
    pub(crate) rise_k_s: f64,
    pub(crate) relaxing_s: f64,
    /// Fall of the tank's slice, in K/s.
    pub(crate) fall_k_s: f64,
}

/// Steps towards the time at which a gap closes.
const CLOSING_ROUNDS: u32 = 2;

impl Closing {
    /// A difference that closes no faster than this.
    pub(crate) fn steady(gap_k: f64, closing_k_s: f64) -> Self {
        Self { gap_k, rise_k_s: closing_k_s, relaxing_s: f64::INFINITY, fall_k_s: 0.0 }
    }

    /// No earlier than this, in s, is the gap closed, `gap = fall t + rise tau (1 - exp(-t / tau))`: the gap left is convex in time,
    /// so Newton's steps from now on never pass the solution. Beyond `enough_s` it is not looked for.
    fn safe_s(&self, enough_s: f64) -> f64 {
        let Self { gap_k, rise_k_s, relaxing_s, fall_k_s } = *self;
        if gap_k <= 0.0 {
            return 0.0;
        }
        let mut safe_s = gap_k / (rise_k_s + fall_k_s).max(f64::MIN_POSITIVE);
        for _ in 0..CLOSING_ROUNDS {
            if !relaxing_s.is_finite() || safe_s >= enough_s {
                break;
            }
            let kept = decay(safe_s / relaxing_s);
            let left_k = gap_k - fall_k_s * safe_s - rise_k_s * relaxing_s * (1.0 - kept);
            safe_s += left_k.max(0.0) / (fall_k_s + rise_k_s * kept).max(f64::MIN_POSITIVE);
        }
        safe_s.min(enough_s)
    }
}

/// A limit with a reset band.
fn hold(holds: bool, reading_c: f64, limit_c: f64, reset_k: f64) -> bool {
    if holds { reading_c > limit_c - reset_k || reading_c >= limit_c } else { reading_c >= limit_c }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Beside the time found by halving: never later, and most of the way there.
    #[test]
    fn a_gap_is_never_thought_to_close_late() {
        for (rise_k_s, relaxing_s, fall_k_s) in
            [(0.02, 900.0, 0.0), (0.02, 900.0, 1e-4), (0.004, 3000.0, 2e-3), (0.0, 900.0, 1e-3)]
        {
            for gap_k in [0.5, 5.0, 15.0] {
                let closing = Closing { gap_k, rise_k_s, relaxing_s, fall_k_s };
                let left_k = |t: f64| {
                    gap_k - fall_k_s * t - rise_k_s * relaxing_s * (1.0 - libm::exp(-t / relaxing_s))
                };
                let (mut early_s, mut late_s) = (0.0, 1e6);
                for _ in 0..60 {
                    let middle_s = 0.5 * (early_s + late_s);
                    if left_k(middle_s) > 0.0 { early_s = middle_s } else { late_s = middle_s }
                }
                let found_s = closing.safe_s(1e6);
                // The exponential of small steps is a series, to 3e-7.
                assert!(found_s <= late_s * (1.0 + 1e-5), "{closing:?}: {found_s} s, closed at {late_s} s");
                let linear_s = gap_k / (rise_k_s + fall_k_s);
                assert!(found_s >= linear_s.min(1e6), "{closing:?}: {found_s} s");
            }
        }
        assert_eq!(Closing::steady(-1.0, 0.1).safe_s(1e6), 0.0);
        assert_eq!(Closing::steady(2.0, 0.1).safe_s(1e6), 20.0);
        assert_eq!(Closing::steady(2.0, 0.0).safe_s(3600.0), 3600.0);
    }
}
