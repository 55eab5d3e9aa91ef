//! Temperature of the spaces in which tanks and pipes stand.
//!
//! An unheated space lies between the house, held at 20 degC, and outdoors:
//! `room = 20 - b (20 - outdoors)`, with the reduction factors b of EN 12831:2003, annex D (from memory), and with an
//! outdoor temperature that the space follows with a delay (first order; the time constants are common practice).
//!
//! | space | b | follows outdoor air within | remark |
//! | --- | --- | --- | --- |
//! | basement | 0.5 | 30 days | without windows or outer door; the ground delays it |
//! | garage | 0.6 | 12 h | outer walls and a door |
//! | attic | 1.0 | 2 h | ventilated; the sun on the roof adds 0.02 K for each W/m2 on the horizontal (common practice: 15 to 25 K at noon) |
//! | outdoors | 1.0 | at once | the air of the weather file |

use super::clock::YEAR_S;
use crate::job::Room;
use crate::weather::WeatherYear;

/// Inside of the house in degC (EN 12831:2003, living rooms; from memory).
const HOUSE_C: f64 = 20.0;

/// Rise of an attic's air for each W/m2 of sun on the horizontal, in K m2/W.
const ATTIC_RISE_K_M2_W: f64 = 0.02;

const HOUR_S: f64 = 3600.0;

/// A room's temperature over the year.
#[derive(Clone, Debug, PartialEq)]
pub struct RoomYear {
    /// Values in equal distances, the year round.
    levels_c: Vec<f64>,
    /// Time of the first value in s after 1 January 00:00 standard time.
    first_s: f64,
    /// Values in a second.
    per_s: f64,
}

impl RoomYear {
    /// Works out a room from the weather, one value at the middle of each record.
    pub fn build(room: Room, weather: &WeatherYear) -> Self {
        let interval_s = f64::from(weather.interval_s);
        let air_c = || weather.air_c.iter().copied();
        let levels_c = match room {
            Room::Steady(level_c) => {
                return Self { levels_c: vec![level_c], first_s: 0.0, per_s: 1.0 / f64::from(YEAR_S) };
            }
            Room::Basement => unheated(0.5, delayed(air_c().collect(), interval_s, 720.0 * HOUR_S)),
            Room::Garage => unheated(0.6, delayed(air_c().collect(), interval_s, 12.0 * HOUR_S)),
            Room::Attic => {
                let under_roof =
                    air_c().zip(&weather.ghi_w_m2).map(|(air_c, sun)| air_c + ATTIC_RISE_K_M2_W * sun);
                delayed(under_roof.collect(), interval_s, 2.0 * HOUR_S)
            }
            Room::Outdoors => air_c().collect(),
        };
        Self { levels_c, first_s: weather.first_start_s + interval_s / 2.0, per_s: 1.0 / interval_s }
    }

    /// Temperature in degC at `second` after 1 January 00:00 standard time, on a straight line between the middles of the
    /// weather's records. Times before and after the year wrap into it.
    pub fn at(&self, second: f64) -> f64 {
        let count = self.levels_c.len();
        if count == 1 {
            return self.levels_c[0];
        }
        let place = (second - self.first_s) * self.per_s;
        let before = place.floor();
        // Most seconds are of the year: the division is for the others.
        let index = match usize::try_from(before as i64) {
            Ok(index) if index < count => index,
            _ => (before as i64).rem_euclid(count as i64) as usize,
        };
        let after = if index + 1 == count { 0 } else { index + 1 };
        let level_c = self.levels_c[index];
        level_c + (place - before) * (self.levels_c[after] - level_c)
    }
}

/// A space between house and outdoors.
fn unheated(reduction: f64, mut outdoor_c: Vec<f64>) -> Vec<f64> {
    for level_c in &mut outdoor_c {
        *level_c = HOUSE_C - reduction * (HOUSE_C - *level_c);
    }
    outdoor_c
}

/// First-order delay of a year that repeats itself, of equal steps and not empty.
fn delayed(mut levels_c: Vec<f64>, interval_s: f64, time_constant_s: f64) -> Vec<f64> {
    let step = 1.0 - libm::exp(-interval_s / time_constant_s);
    let mut previous_c = levels_c[levels_c.len() - 1];
    let mut state_c = levels_c.iter().sum::<f64>() / levels_c.len() as f64;
    let mut follow = |level_c: f64| {
        state_c += step * ((previous_c + level_c) / 2.0 - state_c);
        previous_c = level_c;
        state_c
    };
    // A first round brings the state to where a year that follows its like begins: what is left of the start after it is
    // below 1e-5 for the slowest space.
    for &level_c in &levels_c {
        follow(level_c);
    }
    for level_c in &mut levels_c {
        *level_c = follow(*level_c);
    }
    levels_c
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draws::weather_for_tests;

    const DAY_S: f64 = 86_400.0;

    /// Outdoor air `10 + 12 sin(2 pi (t - t0)/period)`, exact at the records' middles.
    fn swinging(period_s: f64) -> WeatherYear {
        weather_for_tests(|hour| {
            10.0 + 12.0 * libm::sin(2.0 * core::f64::consts::PI * (f64::from(hour) + 0.5) * HOUR_S / period_s)
        })
    }

    #[test]
    fn a_steady_room_is_steady() {
        let room = RoomYear::build(Room::Steady(19.0), &swinging(DAY_S));
        assert_eq!([-1e6, 0.0, 1e7, 4e7].map(|second| room.at(second)), [19.0; 4]);
    }

    #[test]
    fn outdoors_is_the_air_on_lines_between_the_middles() {
        let weather = weather_for_tests(|hour| f64::from(hour % 24));
        let room = RoomYear::build(Room::Outdoors, &weather);
        assert_eq!(room.at(1800.0), 0.0);
        assert!((room.at(2.0 * HOUR_S) - 1.5).abs() < 1e-9);
        // From 23 at 23:30 to 0 at 0:30, at the year's end as on any day.
        for midnight in [0.0, DAY_S, 365.0 * DAY_S, -DAY_S] {
            assert!((room.at(midnight) - 11.5).abs() < 1e-6, "{midnight}");
        }
    }

    /// Largest difference between a room and the closed answer of a first-order delay to a sine.
    fn error_against_closed_form(room: Room, reduction: f64, time_constant_s: f64, period_s: f64) -> f64 {
        let year = RoomYear::build(room, &swinging(period_s));
        let omega = 2.0 * core::f64::consts::PI / period_s;
        let damping = 1.0 / (1.0 + (omega * time_constant_s).powi(2)).sqrt();
        let delay_rad = libm::atan(omega * time_constant_s);
        let error = |hour: u32| {
            let second = (f64::from(hour) + 0.5) * HOUR_S;
            let outdoor_c = 10.0 + 12.0 * damping * libm::sin(omega * second - delay_rad);
            (year.at(second) - (20.0 - reduction * (20.0 - outdoor_c))).abs()
        };
        (0..8760).map(error).fold(0.0, f64::max)
    }

    #[test]
    fn basement_and_garage_damp_and_delay_a_swing() {
        // The step's exponential acts on the mean of its ends instead of the line between them, which delays by a share
        // (step/time constant)^2/12 of the time constant: omega tau/12^3 of the swing for the garage, 7.2 K x 0.17/1728 =
        // 7e-4 K in 18 days and at most 0.013 K in a day. What is left of the basement's start is below 1e-4 K.
        let year_s = f64::from(YEAR_S);
        assert!(error_against_closed_form(Room::Basement, 0.5, 30.0 * DAY_S, year_s) < 2e-4);
        assert!(error_against_closed_form(Room::Garage, 0.6, 0.5 * DAY_S, DAY_S) < 0.02);
        assert!(error_against_closed_form(Room::Garage, 0.6, 0.5 * DAY_S, year_s / 20.0) < 1e-3);
    }

    #[test]
    fn the_sun_warms_the_attic() {
        let mut weather = weather_for_tests(|_| 25.0);
        weather.ghi_w_m2 = vec![800.0; 8760];
        let room = RoomYear::build(Room::Attic, &weather);
        // 25 + 0.02 x 800.
        assert!((room.at(5e6) - 41.0).abs() < 1e-9);
        weather.ghi_w_m2 = vec![0.0; 8760];
        assert!((RoomYear::build(Room::Attic, &weather).at(5e6) - 25.0).abs() < 1e-9);
    }
}
