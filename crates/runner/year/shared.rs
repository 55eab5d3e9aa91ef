//! What many years in the same weather have in common, worked out once.

use std::sync::{Arc, Mutex, PoisonError};

use thermal_network::spec::PlantSpec;

use super::run::{Beside, run_beside};
use super::setting::plane_year;
use super::{RunOptions, Setting};
use crate::draws::DrawYear;
use crate::job::{Aspect, Calendar, ColdWater, Job, PlumbingHours, Rooms, WaterUse};
use crate::problem::Problem;
use crate::record::YearResult;
use crate::weather::WeatherYear;
use crate::weather::plane::PlaneYear;
use crate::weather::sun_year::SunYear;

/// A weather year with everything laid out in it so far. Many threads may ask at once.
#[derive(Debug)]
pub struct Shared<'w> {
    weather: &'w WeatherYear,
    sun: SunYear,
    planes: Shelf<Aspect, PlaneYear>,
    draws: Shelf<(WaterUse, Calendar), DrawYear>,
    present: Shelf<PresentHouse, Result<Beside, Vec<Problem>>>,
}

/// All that the year of the heater without sun depends on, besides the weather.
#[derive(Clone, Debug, PartialEq)]
struct PresentHouse {
    plant: Option<PlantSpec>,
    water_use: WaterUse,
    calendar: Calendar,
    cold_water: ColdWater,
    rooms: Rooms,
    hours: PlumbingHours,
    warm_up_days: u32,
    start_c: f64,
    /// Hour by hour for its money, or for tables.
    kept: [bool; 2],
}

impl PresentHouse {
    fn of(job: &Job, hourly: bool) -> Self {
        Self {
            plant: job.plant_without_sun(),
            water_use: job.water_use.clone(),
            calendar: job.calendar,
            cold_water: job.cold_water.clone(),
            rooms: job.rooms,
            hours: job.plumbing_hours.clone(),
            warm_up_days: job.warm_up_days,
            start_c: job.start_c,
            kept: [job.money.is_some(), hourly],
        }
    }
}

impl<'w> Shared<'w> {
    /// Works out the sun of a weather year; the rest waits until it is asked for.
    pub fn new(weather: &'w WeatherYear) -> Self {
        Self {
            weather,
            sun: SunYear::new(weather),
            planes: Shelf::default(),
            draws: Shelf::default(),
            present: Shelf::default(),
        }
    }

    /// The weather.
    pub fn weather(&self) -> &'w WeatherYear {
        self.weather
    }

    /// Lays out the year of a job: the same, to the bit, as [`Setting::new`].
    pub fn setting(&self, job: &Job) -> Setting {
        let plane = |aspect: &Aspect| self.planes.get(aspect, || plane_year(aspect, &self.sun, self.weather));
        let draws = self
            .draws
            .get(&(job.water_use.clone(), job.calendar), || DrawYear::build(&job.water_use, &job.calendar));
        Setting::of_parts(job, self.weather, plane, draws)
    }

    /// Runs a job through the year: the same, to the bit, as [`super::run`] alone. The heater without sun runs once for all
    /// jobs that have the same.
    ///
    /// # Errors
    /// As [`super::run`].
    pub fn run(&self, job: &Job, options: &RunOptions) -> Result<YearResult, Vec<Problem>> {
        let setting = self.setting(job);
        let house = PresentHouse::of(job, options.hourly);
        let present = self.present.get(&house, || Beside::new(job, &setting, options.hourly));
        run_beside(job, &setting, options, present.as_ref().as_ref().map_err(Clone::clone)?)
    }
}

/// Values that were asked for before, with what was asked. There are few: a list is searched.
#[derive(Debug)]
struct Shelf<K, V>(Mutex<Vec<(K, Arc<V>)>>);

impl<K, V> Default for Shelf<K, V> {
    fn default() -> Self {
        Self(Mutex::default())
    }
}

impl<K: Clone + PartialEq, V> Shelf<K, V> {
    /// The value of a key. Others wait while it is made: most of them want the same.
    fn get(&self, key: &K, make: impl FnOnce() -> V) -> Arc<V> {
        let mut shelf = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, value)) = shelf.iter().find(|(known, _)| known == key) {
            return Arc::clone(value);
        }
        let value = Arc::new(make());
        shelf.push((key.clone(), Arc::clone(&value)));
        value
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_run_beside_others_is_that_of_a_job_alone() {
        let weather = crate::weather::demo();
        let shared = Shared::new(&weather);
        let options = RunOptions { morning: true, ..RunOptions::default() };
        for kind in ["one-tank", "recirculation", "one-tank"] {
            let starter =
                crate::job::STARTERS.iter().find(|starter| starter.kind == kind).expect("a starter");
            let job = crate::job::file::read_text(kind, starter.text).expect("a starter");
            let alone = super::super::run(&job, &Setting::new(&job, &weather), &options).expect("a year");
            let beside = shared.run(&job, &options).expect("a year");
            assert_eq!((&beside.annual, beside.morning), (&alone.annual, alone.morning), "{kind}");
            assert_eq!(beside.money, alone.money, "{kind}");
            let morning = beside.morning.expect("asked for");
            assert!(morning.usable_l > 50.0 && morning.usable_l < 682.0, "{morning:?}");
            assert!((0.0..=24.0).contains(&morning.cool_of_three_showers_min), "{morning:?}");
        }
    }

    #[test]
    fn a_shared_year_is_that_of_a_job_alone() {
        let weather = crate::weather::demo();
        let shared = Shared::new(&weather);
        for starter in &crate::job::STARTERS {
            let job = crate::job::file::read_text(starter.kind, starter.text).expect("a starter");
            let alone = Setting::new(&job, &weather);
            // Twice: made, and found on the shelf.
            for _ in 0..2 {
                assert_eq!(format!("{:?}", shared.setting(&job)), format!("{alone:?}"), "{}", starter.kind);
            }
        }
        assert!(shared.planes.0.lock().expect("no thread failed").len() < crate::job::STARTERS.len());
    }
}
