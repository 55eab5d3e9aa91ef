//! What many years in the same weather have in common, worked out once.

use std::convert::Infallible;
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
    present: Shelf<PresentHouse, Beside>,
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
        Self::keeping(usize::MAX, weather)
    }

    /// The same for years without end: of each part the `most` that were asked for last are kept.
    pub fn keeping(most: usize, weather: &'w WeatherYear) -> Self {
        Self {
            weather,
            sun: SunYear::new(weather),
            planes: Shelf::of(most),
            draws: Shelf::of(most),
            present: Shelf::of(most),
        }
    }

    /// The weather.
    pub fn weather(&self) -> &'w WeatherYear {
        self.weather
    }

    /// Lays out the year of a job: the same, to the bit, as [`Setting::new`].
    pub fn setting(&self, job: &Job) -> Setting {
        let plane = |aspect: &Aspect| {
            sure(self.planes.get(aspect, || Ok(plane_year(aspect, &self.sun, self.weather))))
        };
        let habits = (job.water_use.clone(), job.calendar);
        let draws = sure(self.draws.get(&habits, || Ok(DrawYear::build(&job.water_use, &job.calendar))));
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
        let beside = || self.present.get(&house, || Beside::new(job, &setting, options));
        run_beside(job, &setting, options, beside)
    }
}

/// What is made without a way to fail.
fn sure<V>(made: Result<V, Infallible>) -> V {
    match made {
        Ok(value) => value,
    }
}

/// Values that were asked for before, with what was asked; those asked for last stand last. There are few: a list is searched.
#[derive(Debug)]
struct Shelf<K, V> {
    most: usize,
    places: Mutex<Vec<(K, Place<V>)>>,
}

/// Where a value stands once it is made. Others that want the same wait at it.
type Place<V> = Arc<Mutex<Option<Arc<V>>>>;

impl<K: Clone + PartialEq, V> Shelf<K, V> {
    fn of(most: usize) -> Self {
        Self { most, places: Mutex::default() }
    }

    /// The value of a key. One that could not be made is made anew for the next.
    fn get<E>(&self, key: &K, make: impl FnOnce() -> Result<V, E>) -> Result<Arc<V>, E> {
        let place = self.place(key);
        let mut place = place.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(value) = &*place {
            return Ok(Arc::clone(value));
        }
        let value = Arc::new(make()?);
        *place = Some(Arc::clone(&value));
        Ok(value)
    }

    fn place(&self, key: &K) -> Place<V> {
        let mut places = self.places.lock().unwrap_or_else(PoisonError::into_inner);
        let found = places.iter().position(|(known, _)| known == key).map(|at| places.remove(at));
        let (key, place) = found.unwrap_or_else(|| (key.clone(), Place::default()));
        if places.len() >= self.most {
            places.remove(0);
        }
        places.push((key, Arc::clone(&place)));
        place
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Week;

    #[test]
    fn a_shelf_keeps_what_was_asked_for_last_and_nothing_that_failed() {
        let shelf = Shelf::of(2);
        let asked = |key: u32| {
            let mut made = false;
            let value = shelf.get(&key, || {
                made = true;
                Ok::<_, ()>(10 * key)
            });
            (made, *value.expect("made"))
        };
        assert_eq!(shelf.get(&1, || Err("not yet")), Err("not yet"));
        assert_eq!(
            [1, 2, 1, 3, 1, 2].map(asked),
            [
                (true, 10),
                (true, 20),
                (false, 10),
                // Two was asked for longest ago and goes.
                (true, 30),
                (false, 10),
                (true, 20),
            ]
        );
    }

    #[test]
    fn a_run_beside_others_is_that_of_a_job_alone() {
        let weather = crate::weather::demo();
        let shared = Shared::new(&weather);

        let options = RunOptions { morning: true, hourly: true, ..RunOptions::default() };
        for kind in ["one-tank", "east-west", "recirculation", "one-tank"] {
            let starter =
                crate::job::STARTERS.iter().find(|starter| starter.kind == kind).expect("a starter");
            let job = crate::job::file::read_text(kind, starter.text).expect("a starter");
            let alone = super::super::run(&job, &Setting::new(&job, &weather), &options).expect("a year");
            let beside = shared.run(&job, &options).expect("a year");
            assert_eq!((&beside.annual, beside.morning), (&alone.annual, alone.morning), "{kind}");
            assert_eq!(beside.money, alone.money, "{kind}");
            let morning = beside.morning.expect("asked for");
            assert_eq!(morning.first_day, Week::of_hours(&beside.hourly)[0].first_day, "one dullest week");
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
        assert!(shared.planes.places.lock().expect("no thread failed").len() < crate::job::STARTERS.len());
    }
}
