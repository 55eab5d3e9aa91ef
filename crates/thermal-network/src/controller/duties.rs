//! What a controller does besides starting and stopping at its differences: other drives, frost, night cooling, heat dump.

use super::{Closing, Controller, ControllerState};
use crate::flows::Conditions;
use crate::spec::{DumpSpec, Duties, PumpDrive};

/// Speeds of a proportional drive between standstill and full.
const SPEEDS: f64 = 20.0;

/// Least electric power of a slowed pump as a share of its power at full speed (common practice).
const LEAST_POWER_FRAC: f64 = 0.1;

/// A tank sensor rises no more than this in a step at rest, in K: cooling is not looked out for further below its start.
const STANDING_RISE_K: f64 = 2.0;

/// What the pump runs for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Duty {
    /// It does not run.
    Rest,
    /// Heat for the tank.
    Collect,
    /// Heat of the tank against frost.
    Freeze,
    /// Heat of the tank given to the night.
    Cool,
    /// Heat of the collector given to the dump.
    Dump,
}

/// What bears on the start of a duty while nothing flows.
pub(crate) struct Rest {
    /// Lowest and highest of the collector's reading and what it moves to, and how fast these may fall and rise in K/s.
    pub(crate) collector_c: (f64, f64),
    pub(crate) fall_k_s: f64,
    pub(crate) rise_k_s: f64,
    /// Highest of the tank's reading and what it moves to.
    pub(crate) tank_c: f64,
}

impl Controller {
    /// Hears what a timer or a module says in the present span.
    pub(crate) fn call(&self, state: &mut ControllerState, c: &Conditions) {
        state.called_frac = match self.spec.duties.drive {
            PumpDrive::Differential | PumpDrive::Proportional { .. } => return,
            PumpDrive::Timer => f64::from(u8::from(c.timer_on)),
            PumpDrive::Sun { start_w_m2, full_w_m2 } => {
                ((c.plane_w_m2 - start_w_m2) / (full_w_m2 - start_w_m2)).clamp(0.0, 1.0)
            }
        };
        // A running pump follows its module; one without current stops at the next decision.
        if state.pump_on && state.called_frac > 0.0 {
            state.speed_frac = state.called_frac;
        }
    }

    /// One decision of a controller with duties, the limits being read. Returns true if the pump starts.
    pub(super) fn decide_duty(&self, state: &mut ControllerState) -> bool {
        let duty = self.duty(state);
        let speed_frac = if duty == Duty::Collect { self.speed_frac(state) } else { 1.0 };
        let on = duty != Duty::Rest;
        let starts = on && !state.pump_on;
        state.changed = duty != state.duty || speed_frac != state.speed_frac;
        if on != state.pump_on {
            state.pump_on = on;
            state.since_change_s = 0;
        }
        state.duty = duty;
        state.speed_frac = speed_frac;
        starts
    }

    /// Protection goes first, cooling last.
    fn duty(&self, state: &mut ControllerState) -> Duty {
        let s = &self.spec;
        let Duties { drive, start_below_c, freeze, night_cooling, dump } = &s.duties;
        let (collector_c, tank_c) = (state.collector_reading_c, state.tank_reading_c);
        let freezes = freeze.is_some_and(|freeze| {
            if state.duty == Duty::Freeze { collector_c < freeze.off_c } else { collector_c <= freeze.on_c }
        });
        let dumps = dump.is_some_and(|dump| {
            if state.duty == Duty::Dump {
                collector_c > dump.on_c - dump.reset_k
            } else {
                collector_c >= dump.on_c
            }
        });
        let difference_k = collector_c - tank_c;
        let wanted = match drive {
            PumpDrive::Differential | PumpDrive::Proportional { .. } => match state.duty {
                Duty::Collect => difference_k > s.off_k || state.since_change_s < s.min_on_s,
                _ => difference_k >= s.on_k && (state.pump_on || state.since_change_s >= s.min_off_s),
            },
            PumpDrive::Timer | PumpDrive::Sun { .. } => state.called_frac > 0.0,
        };
        let cools = night_cooling.is_some_and(|cooling| {
            let mark_c = if state.too_hot { cooling.off_c } else { cooling.on_c };
            state.too_hot = tank_c >= cooling.on_c || tank_c > mark_c;
            state.too_hot
                && if state.duty == Duty::Cool { difference_k < 0.0 } else { -difference_k >= s.on_k }
        });
        let hot = !state.pump_on && start_below_c.is_some_and(|limit_c| collector_c >= limit_c);
        state.start_hold = hot && wanted;
        if freezes {
            Duty::Freeze
        } else if dumps && !hot {
            Duty::Dump
        } else if wanted && !state.held() {
            Duty::Collect
        } else if cools {
            Duty::Cool
        } else {
            Duty::Rest
        }
    }

    /// Speed of collection.
    fn speed_frac(&self, state: &ControllerState) -> f64 {
        match self.spec.duties.drive {
            PumpDrive::Differential | PumpDrive::Timer => 1.0,
            PumpDrive::Sun { .. } => state.called_frac,
            PumpDrive::Proportional { least_frac, full_k } => {
                let over_k = state.collector_reading_c - state.tank_reading_c - self.spec.off_k;
                let share = over_k / (full_k - self.spec.off_k);
                let speed = least_frac + (1.0 - least_frac) * share.clamp(0.0, 1.0);
                (speed * SPEEDS).ceil() / SPEEDS
            }
        }
    }

    /// Electric power bought at a speed, and that which may warm the fluid, as shares of the pump's.
    pub(crate) fn power_fracs(&self, speed_frac: f64) -> (f64, f64) {
        match self.spec.duties.drive {
            PumpDrive::Differential | PumpDrive::Timer => (1.0, 1.0),
            PumpDrive::Proportional { .. } => {
                let power = (speed_frac * speed_frac * speed_frac).max(LEAST_POWER_FRAC);
                (power, power)
            }
            PumpDrive::Sun { .. } => (0.0, speed_frac * speed_frac * speed_frac),
        }
    }

    /// The dump if it takes the loop's heat now.
    #[inline]
    pub(crate) fn dumping(&self, state: &ControllerState) -> Option<&DumpSpec> {
        if state.duty == Duty::Dump { self.spec.duties.dump.as_ref() } else { None }
    }

    /// Like [`Controller::quiet_s`], for a start of any duty; `quiet_s` is what the differences alone allow.
    #[inline(never)]
    pub(crate) fn quiet_duties_s(
        &self,
        state: &ControllerState,
        quiet_s: u32,
        longest_s: u32,
        rest: &Rest,
    ) -> u32 {
        let s = &self.spec;
        let Duties { drive, freeze, night_cooling, dump, .. } = &s.duties;
        let reach_s =
            |gap_k, closing_k_s| self.quiet_s(state, &Closing::steady(gap_k, closing_k_s), longest_s);
        let mut quiet_s = match drive {
            PumpDrive::Differential | PumpDrive::Proportional { .. } => quiet_s,
            PumpDrive::Timer | PumpDrive::Sun { .. } if state.called_frac > 0.0 => reach_s(0.0, 0.0),
            PumpDrive::Timer | PumpDrive::Sun { .. } => longest_s,
        };
        if let Some(freeze) = freeze {
            quiet_s = quiet_s.min(reach_s(rest.collector_c.0 - freeze.on_c, rest.fall_k_s));
        }
        if let Some(dump) = dump {
            quiet_s = quiet_s.min(reach_s(dump.on_c - rest.collector_c.1, rest.rise_k_s));
        }
        if let Some(cooling) = night_cooling
            && (state.too_hot || rest.tank_c > cooling.on_c - STANDING_RISE_K)
        {
            let gap_k = rest.collector_c.0 - (rest.tank_c - s.on_k);
            quiet_s = quiet_s.min(reach_s(gap_k, rest.fall_k_s));
        }
        quiet_s
    }
}
