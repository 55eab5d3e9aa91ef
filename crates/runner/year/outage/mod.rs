//! Three days without power, put on the hottest and on the coldest days of a job's own year.
//!
//! The year is driven as ever. A [`Witness`] keeps a copy of its state at the midnight on which each outage begins; from that
//! copy a plant without power ([`dead`]) goes on for three days in the same weather with the same draws, and then the plant
//! as it was until its tanks have caught up with the undisturbed year. Nothing of this touches the year.
//!
//! What acts goes on as the year has it: weather, mains pressure and draws, and the rooms, though a house without heat grows
//! colder than that. The model has neither steam nor ice.

mod days;
mod dead;
mod watch;

use thermal_network::flows::Flows;
use thermal_network::spec::PlantSpec;
use thermal_network::{Fault, Plant, Scratch, State};

use super::{Cursor, HOUR_S, Recorder, Setting, Span, YEAR};
use crate::draws::clock::DAY_S;
use crate::job::Job;
use crate::record::{Outage, Spell};
use days::ThreeDays;
use dead::Dead;
use watch::Watch;

/// The plant without power is looked at this often, in s: freezing is counted in whole such pieces.
const LOOK_S: u32 = 600;

/// Tanks have recovered within this distance of the undisturbed year, in K.
const RECOVERED_K: f64 = 1.0;

/// Hours of a day, and those that recovery is waited for, the day that shows it included.
const DAY_H: usize = 24;
const HOURS_OF_RECOVERY: usize = (Outage::LONGEST_RECOVERY_D as usize + 1) * DAY_H;

/// Seconds of a day, and of the outage.
const DAY: i64 = DAY_S as i64;
const OUTAGE: i64 = Outage::DAYS as i64 * DAY;

/// Listens to the undisturbed year: its state where an outage begins, and how warm its tanks are at every full hour.
pub(super) struct Witness {
    starts: Vec<(ThreeDays, Option<State>)>,
    tanks: Tanks,
    /// Mean of all tank water at the end of each hour, in degC.
    usual_c: Vec<f64>,
}

impl Witness {
    /// Chooses the days; a job without a solar loop has none.
    pub(super) fn new(job: &Job, setting: &Setting) -> Self {
        let days = job.plant.solar_loop.iter().flat_map(|solar| {
            [Spell::Hottest, Spell::Coldest]
                .map(|spell| days::choose(spell, &solar.collector, &setting.plane))
        });
        Self {
            starts: days.map(|days| (days, None)).collect(),
            tanks: Tanks::new(&job.plant),
            usual_c: Vec::with_capacity(crate::weather::HOURS_PER_YEAR),
        }
    }

    fn keep(&mut self, second: i64, state: &State) {
        for (days, kept) in &mut self.starts {
            if days.start_s() == second {
                *kept = Some(state.clone());
            }
        }
    }

    /// Runs what was witnessed. `plant` is the job's.
    ///
    /// # Errors
    /// Why the plant without power cannot be built; a sound plant leaves none.
    pub(super) fn outages(
        self,
        job: &Job,
        setting: &Setting,
        plant: &Plant,
    ) -> Result<Vec<Outage>, Vec<Fault>> {
        if self.starts.is_empty() {
            return Ok(Vec::new());
        }
        let dead = Dead::new(&job.plant)?;
        let begun = self.starts.iter().filter_map(|(days, state)| Some((days, state.clone()?)));
        Ok(begun
            .map(|(days, mut state)| {
                // The year closes on itself: counted from the end of the one before, the way back may pass New Year.
                let mut cursor = Cursor::new(setting, days.start_s() - YEAR);
                let mut outage = dead.run(&job.plant, &mut cursor, &mut state, days);
                outage.days_to_recover = self.recovery_d(plant, &mut cursor, &mut state);
                outage
            })
            .collect())
    }

    /// Carries `state` on with power back until it has recovered; the days this took.
    ///
    /// Days are compared, not hours: thermostats that have fallen out of step stay apart for long and mean nothing.
    fn recovery_d(&self, plant: &Plant, cursor: &mut Cursor<'_>, state: &mut State) -> Option<f64> {
        let mut scratch = Scratch::new(plant);
        let mut apart_k = Vec::with_capacity(HOURS_OF_RECOVERY);
        while apart_k.len() < HOURS_OF_RECOVERY {
            let (_, conditions, duration_s) = cursor.next_span();
            plant.advance(state, &mut scratch, &conditions, duration_s, &mut Flows::new(), |_, _, _| {});
            if cursor.now_s % i64::from(HOUR_S) != 0 {
                continue;
            }
            // The entry of an hour stands for its end.
            let hour = (cursor.second_of_year() / HOUR_S) as usize;
            let hours = self.usual_c.len();
            apart_k.push(self.tanks.mean_c(plant, state) - self.usual_c[(hour + hours - 1) % hours]);
            if let Some(day_k) = apart_k.last_chunk::<DAY_H>()
                && day_k.iter().sum::<f64>().abs() <= RECOVERED_K * DAY_H as f64
            {
                return Some((apart_k.len() - DAY_H) as f64 / DAY_H as f64);
            }
        }
        None
    }
}

impl Recorder for Witness {
    fn begin(&mut self, _plant: &Plant, state: &State) {
        self.keep(0, state);
    }

    fn span(&mut self, span: &Span<'_>) {
        let end_s = span.start_s + span.duration_s;
        if end_s.is_multiple_of(HOUR_S) {
            self.usual_c.push(self.tanks.mean_c(span.plant, span.state));
            self.keep(i64::from(end_s), span.state);
        }
    }
}

/// Shares of the tanks in all tank water.
struct Tanks {
    shares: Vec<f64>,
}

impl Tanks {
    fn new(plant: &PlantSpec) -> Self {
        let whole_m3: f64 = plant.tanks.iter().map(|tank| tank.volume_m3).sum();
        Self { shares: plant.tanks.iter().map(|tank| tank.volume_m3 / whole_m3).collect() }
    }

    /// Mean of all tank water in degC.
    fn mean_c(&self, plant: &Plant, state: &State) -> f64 {
        let mean_c = |tank| {
            let slices_c = state.tank_c(plant, tank);
            slices_c.iter().sum::<f64>() / slices_c.len() as f64
        };
        self.shares.iter().enumerate().map(|(tank, share)| share * mean_c(tank)).sum()
    }
}
