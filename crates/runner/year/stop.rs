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
