//! What many years in the same weather have in common, worked out once.

use std::sync::{Arc, Mutex, PoisonError};

use super::Setting;
use super::setting::plane_year;
use crate::draws::DrawYear;
use crate::job::{Aspect, Calendar, Job, WaterUse};
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
}

impl<'w> Shared<'w> {
    /// Works out the sun of a weather year; the rest waits until it is asked for.
    pub fn new(weather: &'w WeatherYear) -> Self {
        Self { weather, sun: SunYear::new(weather), planes: Shelf::default(), draws: Shelf::default() }
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
