//! The year's draws at the tap, in standard time and in order.
//!
//! - Events of a day start at clock time; they run on past midnight, and from 31 December into 1 January.
//! - The factor of the month scales flows and leaves times alone; the day an event starts on decides month, weekday and
//!   absence.
//! - Events that overlap become one draw with the sum of their flows and their mean temperature by flow, which leaves
//!   volume and heat as they were. It counts for comfort if any of them does: whoever showers shares the pipe.

use thermal_network::flows::Draw;

use super::clock::{DAYS_PER_YEAR, YEAR_S, is_weekend, month_of, standard_s};
use crate::job::{Calendar, Event, Pattern, WaterUse};

/// A stretch of time with an unchanging draw.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// Start in s after 1 January 00:00, local standard time.
    pub start_s: u32,
    /// End in s, after `start_s` and at most [`YEAR_S`].
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
        let weekday = DayRuns::new(&water_use.pattern, false);
        let weekend = DayRuns::new(&water_use.pattern, true);
        let mut runs = Vec::new();
        for day in 1..=DAYS_PER_YEAR {
            if water_use.absences.iter().any(|span| span.contains(day)) {
                continue;
            }
            let factor = water_use.month_factor[month_of(day)];
            let day_runs = if is_weekend(day, calendar) { &weekend } else { &weekday };
            for run in &day_runs.0 {
                let placed = Run {
                    start_s: standard_s(day, run.start_s, calendar),
                    flow_m3_s: run.flow_m3_s * factor,
                    ..*run
                };
                placed.push_within_year(&mut runs);
            }
        }
        // A stable sort: runs that start together keep the order of the day, so that sums repeat bit for bit.
        runs.sort_by_key(|run| run.start_s);
        Self { segments: merge(&runs, water_use.usable_c) }
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

/// One tap running.
#[derive(Clone, Copy)]
struct Run {
    start_s: u32,
    duration_s: u32,
    flow_m3_s: f64,
    use_c: f64,
    comfort: bool,
}

impl Run {
    fn end_s(&self) -> u32 {
        self.start_s + self.duration_s
    }

    /// Adds the run to `runs`, in two pieces if it goes over the turn of the year, not at all if nothing flows.
    fn push_within_year(self, runs: &mut Vec<Self>) {
        if self.flow_m3_s <= 0.0 || self.duration_s == 0 {
            return;
        }
        let over_s = self.end_s().saturating_sub(YEAR_S);
        runs.push(Self { duration_s: self.duration_s - over_s, ..self });
        if over_s > 0 {
            runs.push(Self { start_s: 0, duration_s: over_s, ..self });
        }
    }
}

/// What runs on a day, starts in s after its midnight by the clock.
struct DayRuns(Vec<Run>);

impl DayRuns {
    fn new(pattern: &Pattern, weekend_day: bool) -> Self {
        match pattern {
            Pattern::Hourly { daily_m3, use_c, weekday_frac, weekend_frac, minutes, comfort } => {
                let shares = if weekend_day { weekend_frac } else { weekday_frac };
                let duration_s = minutes * 60;
                let run = |(share, start_s): (&f64, u32)| Run {
                    start_s,
                    duration_s,
                    flow_m3_s: share * daily_m3 / f64::from(duration_s),
                    use_c: *use_c,
                    comfort: *comfort,
                };
                Self(shares.iter().zip((0..).step_by(3600)).map(run).collect())
            }
            Pattern::Events { weekday, weekend } => {
                let events = if weekend_day { weekend } else { weekday };
                let run = |event: &Event| Run {
                    start_s: event.start_s,
                    duration_s: event.duration_s,
                    flow_m3_s: event.flow_m3_s,
                    use_c: event.use_c,
                    comfort: event.purpose.is_comfort(),
                };
                Self(events.iter().map(run).collect())
            }
        }
    }
}

/// Cuts sorted runs wherever one starts or ends and sums up what runs at the same time.
fn merge(runs: &[Run], usable_c: f64) -> Vec<Segment> {
    let mut cuts: Vec<u32> = runs.iter().flat_map(|run| [run.start_s, run.end_s()]).collect();
    cuts.sort_unstable();
    cuts.dedup();
    let mut waiting = runs.iter().peekable();
    let mut running: Vec<&Run> = Vec::new();
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
fn mixed(running: &[&Run], usable_c: f64) -> Option<Draw> {
    // Measured from the first one's temperature, so that equal temperatures stay exactly what they are.
    let base_c = running.first()?.use_c;
    let flow_m3_s: f64 = running.iter().map(|run| run.flow_m3_s).sum();
    let above: f64 = running.iter().map(|run| run.flow_m3_s * (run.use_c - base_c)).sum();
    let comfort = running.iter().any(|run| run.comfort);
    Some(Draw { flow_m3_s, use_c: base_c + above / flow_m3_s, comfort, usable_c })
}

#[cfg(test)]
mod tests;
