//! A word to a year that runs: nobody waits for it any more.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use super::{Recorder, Span};
use crate::problem::{Problem, Severity};

/// Tells years to stop, from any thread. A year asks once a simulated day; one that ends by itself is what it would be without.
#[derive(Clone, Debug, Default)]
pub struct Stop(Arc<AtomicBool>);

impl Stop {
    /// From here on the years that listen to it end.
    pub fn tell(&self) {
        self.0.store(true, Ordering::Relaxed);
    }

    /// True once it was told.
    pub fn told(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }

    /// What comes of a year that was told to stop.
    pub(super) fn checked(&self) -> Result<(), Vec<Problem>> {
        match self.told() {
            true => {
                Err(vec![Problem::new(Severity::Error, "The year was ended: nobody waits for it any more.")])
            }
            false => Ok(()),
        }
    }
}

impl Recorder for Stop {
    fn span(&mut self, _span: &Span<'_>) {}

    fn enough(&self) -> bool {
        self.told()
    }
}

#[cfg(test)]
mod tests {
    use thermal_network::Plant;

    use super::*;
    use crate::draws::clock::DAY_S;
    use crate::job;
    use crate::year::{RunOptions, Setting, Shared, drive, run};

    /// Has heard enough after three days.
    #[derive(Default)]
    struct ThreeDays {
        heard_s: u32,
    }

    impl Recorder for ThreeDays {
        fn span(&mut self, span: &Span<'_>) {
            self.heard_s += span.duration_s;
        }

        fn enough(&self) -> bool {
            self.heard_s >= 3 * DAY_S
        }
    }

    #[test]
    fn a_year_ends_at_the_midnight_at_which_any_listener_has_heard_enough() {
        let weather = crate::weather::demo();
        let job = job::file::read_text("starter", job::starter()).expect("the starter");
        let (setting, plant) =
            (Setting::new(&job, &weather), Plant::assemble(&job.plant).expect("the starter"));
        let mut listeners = (Some(ThreeDays::default()), Stop::default());
        drive(&setting, &plant, 2, job.start_c, &mut listeners);
        assert_eq!(listeners.0.map(|days| days.heard_s), Some(3 * DAY_S));
        // Told before it began, it does not even warm up.
        let mut listeners = (ThreeDays::default(), Stop::default());
        listeners.1.tell();
        drive(&setting, &plant, 2, job.start_c, &mut listeners);
        assert_eq!(listeners.0.heard_s, 0);
    }

    #[test]
    fn a_year_that_was_stopped_has_no_result_and_leaves_nothing_for_the_next() {
        let weather = crate::weather::demo();
        let two_tank = job::STARTERS.iter().find(|starter| starter.kind == "two-tank").expect("a starter");
        let job = job::file::read_text("starter", two_tank.text).expect("a starter");
        assert!(job.plant_without_sun().is_some(), "its heater without sun is stepped");
        let (shared, options) = (Shared::new(&weather), RunOptions::default());
        options.stop.tell();
        assert!(shared.run(&job, &options).is_err());
        let options = RunOptions::default();
        let after = shared.run(&job, &options).expect("a year");
        let alone = run(&job, &Setting::new(&job, &weather), &options).expect("a year");
        assert_eq!((after.annual, after.monthly), (alone.annual, alone.monthly));
    }
}
