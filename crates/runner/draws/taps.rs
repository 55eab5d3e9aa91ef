//! Every tap that runs in the year, one by one, before overlapping ones are put together.
//!
//! - Events of a day start at clock time; they run on past midnight, and from 31 December into 1 January.
//! - The factors of months and guests scale flows and leave times alone; the day an event starts on decides month, weekday,
//!   guests and absence. Draws by chance become more or fewer instead.

use super::by_chance;
use super::clock::{DAYS_PER_YEAR, YEAR_S, is_weekend, standard_s};
use crate::job::{Calendar, Event, Pattern, Purpose, WaterUse};

/// One tap running.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tap {
    /// Day of the year by the clock, 1 to 365, on which it starts.
    pub day: u32,
    /// Start in s after midnight by the clock.
    pub clock_s: u32,
    /// Start in s after 1 January 00:00, local standard time.
    pub start_s: u32,
    /// Duration in s; it may run over the turn of the year.
    pub duration_s: u32,
    /// Flow in m3/s.
    pub flow_m3_s: f64,
    /// Temperature in degC.
    pub use_c: f64,
    /// True if cool water is felt.
    pub comfort: bool,
    /// What it is for.
    pub purpose: Purpose,
}

impl Tap {
    /// Volume in m3.
    pub fn volume_m3(&self) -> f64 {
        self.flow_m3_s * f64::from(self.duration_s)
    }

    /// End in s after the start of the year in which it begins.
    pub(super) fn end_s(&self) -> u32 {
        self.start_s + self.duration_s
    }

    /// The tap, in two pieces if it goes over the turn of the year.
    pub(super) fn within_year(&self) -> impl Iterator<Item = Self> + use<> {
        let over_s = self.end_s().saturating_sub(YEAR_S);
        let before = Self { duration_s: self.duration_s - over_s, ..*self };
        let after = (over_s > 0).then_some(Self { start_s: 0, duration_s: over_s, ..*self });
        std::iter::once(before).chain(after)
    }
}

/// All taps of the year of `calendar`, day by day, each day in the order of its pattern; those without flow or duration are
/// left out.
pub fn taps(water_use: &WaterUse, calendar: &Calendar) -> Vec<Tap> {
    let mut taps = Vec::new();
    let mut push = |day: u32, run: &Run, factor: f64| {
        let flow_m3_s = run.flow_m3_s * factor;
        if flow_m3_s > 0.0 && run.duration_s > 0 {
            taps.push(Tap {
                day,
                clock_s: run.clock_s,
                start_s: standard_s(day, run.clock_s, calendar),
                duration_s: run.duration_s,
                flow_m3_s,
                use_c: run.use_c,
                comfort: run.comfort,
                purpose: run.purpose,
            });
        }
    };
    match &water_use.pattern {
        Pattern::Dated(draws) => {
            for dated in draws {
                push(dated.day, &Run::of(&dated.event), water_use.day_factor(dated.day));
            }
        }
        Pattern::Random(draws) => {
            let factors: Vec<f64> = (1..=DAYS_PER_YEAR).map(|day| water_use.day_factor(day)).collect();
            for dated in by_chance(draws, &factors, calendar) {
                push(dated.day, &Run::of(&dated.event), 1.0);
            }
        }
        daily => {
            let [weekday, weekend] = [false, true].map(|weekend| day_runs(daily, weekend));
            for day in 1..=DAYS_PER_YEAR {
                let factor = water_use.day_factor(day);
                for run in if is_weekend(day, calendar) { &weekend } else { &weekday } {
                    push(day, run, factor);
                }
            }
        }
    }
    taps
}

/// What runs on a day, before the factor of the day.
struct Run {
    clock_s: u32,
    duration_s: u32,
    flow_m3_s: f64,
    use_c: f64,
    comfort: bool,
    purpose: Purpose,
}

impl Run {
    fn of(event: &Event) -> Self {
        Self {
            clock_s: event.start_s,
            duration_s: event.duration_s,
            flow_m3_s: event.flow_m3_s,
            use_c: event.use_c,
            comfort: event.purpose.is_comfort(),
            purpose: event.purpose,
        }
    }
}

/// The runs of a pattern whose days are alike.
fn day_runs(pattern: &Pattern, weekend_day: bool) -> Vec<Run> {
    match pattern {
        Pattern::Hourly { daily_m3, use_c, weekday_frac, weekend_frac, minutes, comfort } => {
            let shares = if weekend_day { weekend_frac } else { weekday_frac };
            let duration_s = minutes * 60;
            let run = |(share, clock_s): (&f64, u32)| Run {
                clock_s,
                duration_s,
                flow_m3_s: share * daily_m3 / f64::from(duration_s),
                use_c: *use_c,
                comfort: *comfort,
                purpose: Purpose::Other,
            };
            shares.iter().zip((0..).step_by(3600)).map(run).collect()
        }
        Pattern::Events { weekday, weekend } => {
            (if weekend_day { weekend } else { weekday }).iter().map(Run::of).collect()
        }
        Pattern::Dated(_) | Pattern::Random(_) => Vec::new(),
    }
}
