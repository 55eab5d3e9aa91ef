//! How far a study is: a bar on a terminal, nothing elsewhere; and Ctrl-C, which ends the years that run.

use std::io::IsTerminal as _;

use indicatif::{ProgressBar, ProgressStyle};

use super::Failure;
use crate::study::Watch;
use crate::year::Stop;

/// Exit code of a program that was interrupted, as shells use it.
pub(super) const INTERRUPTED: u8 = 130;

/// A bar over the years of a study.
pub(super) struct Progress {
    bar: ProgressBar,
    /// Told by the first Ctrl-C; the second ends the program at once.
    stop: Stop,
}

impl Progress {
    /// A bar of `years` years; from here on Ctrl-C stops the study and not the program.
    pub(super) fn new(years: usize) -> Result<Self, Failure> {
        let stop = Stop::default();
        let told = stop.clone();
        ctrlc::set_handler(move || {
            if told.told() {
                std::process::exit(i32::from(INTERRUPTED));
            }
            told.tell();
        })
        .map_err(|error| Failure::input(format_args!("cannot listen for Ctrl-C: {error}")))?;
        let bar = if std::io::stderr().is_terminal() {
            let style = ProgressStyle::with_template("{bar:30} {pos} of {len} years, {per_sec}, {eta} left")
                .expect("a sound template");
            ProgressBar::new(years as u64).with_style(style)
        } else {
            ProgressBar::hidden()
        };
        Ok(Self { bar, stop })
    }

    /// Makes the bar longer.
    pub(super) fn expect_more(&self, years: usize) {
        self.bar.inc_length(years as u64);
    }

    /// Takes the bar away.
    pub(super) fn finish(&self) {
        self.bar.finish_and_clear();
    }
}

impl Watch for Progress {
    fn done(&self) {
        self.bar.inc(1);
    }

    fn stop(&self) -> Stop {
        self.stop.clone()
    }
}
