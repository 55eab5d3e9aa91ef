//! What the controls decide while a library integrates: it is stopped where they change their mind.

use differential_equations::prelude::{ControlFlag, Interpolation, Solout, Solution};

use crate::plant::{Plant, Y};

/// Decisions are passed over in a step at both of whose ends the difference is so far from the next change.
const FAR_K: f64 = 3.0;

/// Halvings that find the moment at which a thermostat switches: a step is an hour at most.
const HALVINGS: u32 = 16;

/// What pump and element do, and what they remember.
#[derive(Clone, Copy, Default)]
pub(crate) struct Controls {
    pub(crate) pump_on: bool,
    pub(crate) element_on: bool,
    /// The tank's high limit holds the pump off.
    held: bool,
    pub(crate) starts: u32,
}

impl Controls {
    /// At a midnight.
    pub(crate) fn new(pump_on: bool) -> Self {
        Self { pump_on, ..Self::default() }
    }

    /// Whether the pump runs and is held after a decision.
    fn decided(&self, plant: &Plant, y: &Y) -> (bool, bool) {
        let s = &plant.solar.controller;
        let sensor_c = Plant::slice_c(y, plant.sensor_slice);
        let limit_c = if self.held { s.high_limit_c - s.high_limit_reset_k } else { s.high_limit_c };
        let held = sensor_c >= limit_c;
        let difference_k = Plant::outlet_c(y) - sensor_c;
        let on = if self.pump_on { difference_k > s.off_k } else { difference_k >= s.on_k };
        (on && !held, held)
    }

    /// Takes what is to be decided at a moment of the day: the thermostat's switching, and the pump where its decision is due.
    pub(crate) fn decide(&mut self, plant: &Plant, (t, y): (f64, &Y)) {
        self.element_on ^= self.thermostat(plant, y);
        if t % f64::from(plant.solar.controller.interval_s) == 0.0 {
            let (on, held) = self.decided(plant, y);
            self.starts += u32::from(on && !self.pump_on);
            (self.pump_on, self.held) = (on, held);
        }
    }

    /// True if the thermostat would switch.
    fn thermostat(&self, plant: &Plant, y: &Y) -> bool {
        let reading_c = Plant::slice_c(y, plant.thermostat_slice);
        let [on_c, off_c] = plant.element_c;
        if self.element_on { reading_c >= off_c } else { reading_c <= on_c }
    }

    /// True if no decision between two states can matter.
    fn far(&self, plant: &Plant, ends: [&Y; 2]) -> bool {
        let s = &plant.solar.controller;
        ends.iter().all(|y| {
            let sensor_c = Plant::slice_c(y, plant.sensor_slice);
            let difference_k = Plant::outlet_c(y) - sensor_c;
            let limit_far = self.held == (sensor_c + FAR_K > s.high_limit_c);
            let decision_far =
                if self.pump_on { difference_k > s.off_k + FAR_K } else { difference_k < s.on_k - FAR_K };
            limit_far && decision_far
        })
    }
}

/// Looks at every step of the integration.
pub(crate) struct Watch<'a> {
    pub(crate) plant: &'a Plant,
    pub(crate) controls: &'a Controls,
    /// Where it is, in s of the day: at last where a control changes its mind, or at the end of the span.
    pub(crate) at: (f64, Y),
}

impl Solout<f64, Y> for Watch<'_> {
    fn solout<I: Interpolation<f64, Y> + ?Sized>(
        &mut self,
        t: f64,
        before_t: f64,
        y: &Y,
        before_y: &Y,
        between: &mut I,
        _: &mut Solution<f64, Y>,
    ) -> ControlFlag<f64, Y> {
        self.at = (t, *y);
        if t <= before_t {
            return ControlFlag::Continue;
        }
        let mut at = |t: f64| between.interpolate(t).expect("a time within the step");
        let mut stop = None;
        if self.controls.thermostat(self.plant, y) {
            let (mut early, mut late) = (before_t, t);
            for _ in 0..HALVINGS {
                let middle = 0.5 * (early + late);
                if self.controls.thermostat(self.plant, &at(middle)) { late = middle } else { early = middle }
            }
            stop = Some((late, if late < t { at(late) } else { *y }));
        }
        if !self.controls.far(self.plant, [before_y, y]) {
            let interval_s = f64::from(self.plant.solar.controller.interval_s);
            let mut due = ((before_t / interval_s).floor() + 1.0) * interval_s;
            let until = stop.map_or(t, |(at, _)| at);
            while due <= until {
                let due_y = at(due);
                let (on, held) = self.controls.decided(self.plant, &due_y);
                if (on, held) != (self.controls.pump_on, self.controls.held) {
                    stop = Some((due, due_y));
                    break;
                }
                due += interval_s;
            }
        }
        match stop {
            Some(at) => {
                self.at = at;
                ControlFlag::Terminate
            }
            None => ControlFlag::Continue,
        }
    }
}
