//! What two jobs must share for their difference to be that of their plants.

use crate::job::Job;
use crate::weather::WeatherYear;

/// One of the jobs compared: its name, the job, and the weather it names.
#[derive(Clone, Copy, Debug)]
pub struct Side<'a> {
    /// What it is called.
    pub name: &'a str,
    /// The job.
    pub job: &'a Job,
    /// Its own weather.
    pub weather: &'a WeatherYear,
}

/// Warnings: in what `other` is not the house of `first`.
pub fn differences(first: &Side<'_>, other: &Side<'_>) -> Vec<String> {
    let (a, b) = (first.job, other.job);
    let second_room =
        a.plant.tanks.len() == b.plant.tanks.len() && a.rooms.second_tank != b.rooms.second_tank;
    let own = |job: &Job| (job.rooms.tank, job.rooms.other, job.rooms.without_sun);
    let heater = |job: &Job| (job.baseline.clone(), job.plant_without_sun());
    let prices = |job: &Job| {
        let money = job.money.as_ref();
        money.map(|money| (money.currency.symbol(), money.electricity.clone(), money.fuel))
    };
    let names = format!("{} and {}", first.name, other.name);
    let mut told = Vec::new();
    // As text: what a file does not hold is not a number, and never equal.
    if format!("{:?}", first.weather) != format!("{:?}", other.weather) {
        told.push(format!("{names} name different weather: both run in that of {}.", first.name));
    }
    let apart: Vec<&str> = [
        (a.water_use != b.water_use, "hot-water use"),
        (a.calendar != b.calendar, "calendar"),
        (a.cold_water != b.cold_water, "cold water"),
        (own(a) != own(b) || second_room, "rooms of tanks and pipes"),
        (heater(a) != heater(b), "heater without sun"),
        (prices(a) != prices(b), "energy prices"),
    ]
    .into_iter()
    .filter_map(|(differs, what)| differs.then_some(what))
    .collect();
    if !apart.is_empty() {
        told.push(format!(
            "{names} differ in {}: each runs with its own, so the difference is not that of the plants alone.",
            apart.join(", ")
        ));
    }
    told
}
