//! The year's draws at the tap as the plant meets them, in standard time and in order.
//!
//! Taps that run at the same time become one draw with the sum of their flows and their mean temperature by flow, which
//! leaves volume and heat as they were. It counts for comfort if any of them does: whoever showers shares the pipe.

use thermal_network::flows::Draw;

use super::taps::{Tap, taps};
use crate::job::{Calendar, WaterUse};

/// A stretch of time with an unchanging draw.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// Start in s after 1 January 00:00, local standard time.
    pub start_s: u32,
    /// End in s, after `start_s` and at most [`YEAR_S`](super::clock::YEAR_S).
    pub end_s: u32,
    /// What flows; never zero.
    pub draw: Draw,
}

impl Segment {
    /// Volume at the tap in m3.
    pub fn volume_m3(&self) -> f64 {
        self.draw.flow_m3_s * f64::from(self.end_s - self.start_s)
    }
}

/// All draws of a year.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawYear {
    segments: Vec<Segment>,
}

impl DrawYear {
    /// Lays out the draws of `water_use` over the year of `calendar`.
    ///
    /// Draws without flow or duration vanish. An event must be shorter than the year.
    pub fn build(water_use: &WaterUse, calendar: &Calendar) -> Self {
        Self::of_taps(&taps(water_use, calendar), water_use.usable_c)
    }

    /// Puts together what runs at the same time.
    pub fn of_taps(taps: &[Tap], usable_c: f64) -> Self {
        let mut runs: Vec<Tap> = taps.iter().flat_map(Tap::within_year).collect();
        // A stable sort: runs that start together keep the order of the day, so that sums repeat bit for bit.
        runs.sort_by_key(|run| run.start_s);
        Self { segments: merge(&runs, usable_c) }
    }

    /// The draws, sorted, without overlap.
    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }

    /// Index of the first segment that ends after `second`; the number of segments if none does.
    pub fn index_at(&self, second: u32) -> usize {
        self.segments.partition_point(|segment| segment.end_s <= second)
    }

    /// Volume of the year at the tap in m3.
    pub fn volume_m3(&self) -> f64 {
        self.segments.iter().map(Segment::volume_m3).sum()
    }
}

/// Cuts sorted runs wherever one starts or ends and sums up what runs at the same time.
fn merge(runs: &[Tap], usable_c: f64) -> Vec<Segment> {
    let mut cuts: Vec<u32> = runs.iter().flat_map(|run| [run.start_s, run.end_s()]).collect();
    cuts.sort_unstable();
    cuts.dedup();
    let mut waiting = runs.iter().peekable();
    let mut running: Vec<&Tap> = Vec::new();
    let mut segments = Vec::with_capacity(cuts.len());
    for cut in cuts.windows(2) {
        running.retain(|run| run.end_s() > cut[0]);
        while let Some(run) = waiting.next_if(|run| run.start_s <= cut[0]) {
            running.push(run);
        }
        if let Some(draw) = mixed(&running, usable_c) {
            segments.push(Segment { start_s: cut[0], end_s: cut[1], draw });
        }
    }
    segments
}

/// The draw that does what `running` do together; `None` if none runs.
fn mixed(running: &[&Tap], usable_c: f64) -> Option<Draw> {
    // Measured from the first one's temperature, so that equal temperatures stay exactly what they are.
    let base_c = running.first()?.use_c;
    let flow_m3_s: f64 = running.iter().map(|run| run.flow_m3_s).sum();
    let above: f64 = running.iter().map(|run| run.flow_m3_s * (run.use_c - base_c)).sum();
    let comfort = running.iter().any(|run| run.comfort);
    Some(Draw { flow_m3_s, use_c: base_c + above / flow_m3_s, comfort, usable_c })
}

#[cfg(test)]
mod tests;
