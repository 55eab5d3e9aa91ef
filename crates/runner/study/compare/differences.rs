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

/// Warnings, one for each thing in which `other` is not the house of `first`.
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
    let told = [
        // As text: what a file does not hold is not a number, and never equal.
        (
            format!("{:?}", first.weather) != format!("{:?}", other.weather),
            "weather",
            "both run in the weather of the first",
        ),
        (a.water_use != b.water_use, "hot-water use", "each runs with its own"),
        (a.calendar != b.calendar, "calendar", "each runs with its own"),
        (a.cold_water != b.cold_water, "cold water", "each runs with its own"),
        (own(a) != own(b) || second_room, "rooms of tanks and pipes", "each runs with its own"),
        (heater(a) != heater(b), "heater without sun", "each is measured against its own"),
        (prices(a) != prices(b), "energy prices", "each pays its own"),
    ];
    let word = |(_, what, how): (bool, &str, &str)| {
        format!(
            "{} and {} differ in {what}: {how}, so the difference is not that of the plants alone",
            first.name, other.name
        )
    };
    told.into_iter().filter(|told| told.0).map(word).collect()
}
