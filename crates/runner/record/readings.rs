//! What a person can read off a plant on a clear day, to see that it works.

use super::{DayTrace, Figure, TracePoint};

/// Readings of a traced day, each a mean over an hour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Readings {
    /// Day of the year, 1 = 1 January.
    pub day: u32,
    /// Middle of the hour round noon or before it in which the loop gave heat longest, in h after midnight, standard time.
    pub hour: f64,
    /// Collector outlet end in that hour, in degC.
    pub collector_c: f64,
    /// The controller's tank sensor in that hour, in degC.
    pub tank_sensor_c: f64,
    /// The tank sensor from 8 to 9 am, in degC.
    pub morning_tank_c: f64,
    /// The tank sensor from 3 to 4 pm, in degC.
    pub afternoon_tank_c: f64,
}

/// A figure of [`Readings`].
pub type ReadingFigure = Figure<Readings>;

impl ReadingFigure {
    /// Every figure, in the order of files.
    pub const ALL: [Self; 6] = [
        Self {
            key: "day_of_year",
            unit: "-",
            label: "Clear day",
            definition: "The clear day of the pictures, 1 = 1 January.",
            value: |readings| f64::from(readings.day),
        },
        Self {
            key: "hour",
            unit: "h",
            label: "Hour of the reading",
            definition: "Middle of the hour, standard time: noon, or the hour before it in which the loop gave heat to the tank longest.",
            value: |readings| readings.hour,
        },
        Self {
            key: "collector_c",
            unit: "degC",
            label: "Collector in that hour",
            definition: "Mean temperature at the collector's outlet end.",
            value: |readings| readings.collector_c,
        },
        Self {
            key: "tank_sensor_c",
            unit: "degC",
            label: "Tank sensor in that hour",
            definition: "Mean temperature of the slice the controller's tank sensor sits in.",
            value: |readings| readings.tank_sensor_c,
        },
        Self {
            key: "morning_tank_c",
            unit: "degC",
            label: "Tank sensor from 8 to 9 am",
            definition: "The same from 8 to 9 am, standard time.",
            value: |readings| readings.morning_tank_c,
        },
        Self {
            key: "afternoon_tank_c",
            unit: "degC",
            label: "Tank sensor from 3 to 4 pm",
            definition: "The same from 3 to 4 pm, standard time.",
            value: |readings| readings.afternoon_tank_c,
        },
    ];
}

/// Hours whose middles are tried, the best known first; a tank may be full before noon.
const TRIED: [f64; 4] = [12.0, 11.0, 10.0, 9.0];

/// The loop gives heat for all but five minutes of an hour that needs no better one.
const MOST: f64 = 55.0 / 60.0;

/// Mean over the points whose steps end within half an hour of `middle_h`; `None` without any.
fn mean(trace: &DayTrace, middle_h: f64, value: impl Fn(&TracePoint) -> f64) -> Option<f64> {
    let near = |p: &&TracePoint| p.minute > 60.0 * middle_h - 30.0 && p.minute <= 60.0 * middle_h + 30.0;
    let (sum, count) =
        trace.points.iter().filter(near).fold((0.0, 0.0), |(sum, count), p| (sum + value(p), count + 1.0));
    (count > 0.0).then(|| sum / count)
}

impl DayTrace {
    /// What a person can read on this day; `None` without a loop or where the loop stood all morning.
    pub fn readings(&self) -> Option<Readings> {
        let gives = |hour: &f64| mean(self, *hour, |p| f64::from(u8::from(p.heat_into_tank_w > 0.0)));
        let best = TRIED.into_iter().filter_map(|hour| Some((hour, gives(&hour)?)));
        // Of equals the one nearest noon.
        let (hour, share) =
            best.reduce(|best, next| if next.1.min(MOST) > best.1.min(MOST) { next } else { best })?;
        let readings = Readings {
            day: self.day,
            hour,
            collector_c: mean(self, hour, |p| p.collector_c)?,
            tank_sensor_c: mean(self, hour, |p| p.tank_sensor_c)?,
            morning_tank_c: mean(self, 8.5, |p| p.tank_sensor_c)?,
            afternoon_tank_c: mean(self, 15.5, |p| p.tank_sensor_c)?,
        };
        (share > 0.0 && readings.collector_c.is_finite()).then_some(readings)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Points every ten minutes; the loop gives heat from `from_h` to `to_h`.
    fn trace(from_h: f64, to_h: f64) -> DayTrace {
        let point = |i: i32| {
            let minute = 10.0 * f64::from(i);
            let gives = minute > 60.0 * from_h && minute <= 60.0 * to_h;
            TracePoint {
                minute,
                plane_w_m2: 0.0,
                air_c: 0.0,
                pump_frac: f64::from(u8::from(gives)),
                collector_c: if gives { 60.0 } else { 110.0 },
                tank_top_c: 0.0,
                tank_middle_c: 0.0,
                tank_bottom_c: 0.0,
                tank_mean_c: 0.0,
                second_top_c: f64::NAN,
                tank_sensor_c: minute / 60.0,
                heat_into_tank_w: if gives { 1000.0 } else { 0.0 },
                tap_l_min: 0.0,
                backup_w: 0.0,
            }
        };
        DayTrace { day: 80, points: (1..=144).map(point).collect(), inside: Vec::new() }
    }

    #[test]
    fn noon_is_read_where_the_pump_runs_and_an_earlier_hour_where_it_has_stopped() {
        let noon = trace(9.0, 15.0).readings().expect("readings");
        assert_eq!((noon.day, noon.hour, noon.collector_c), (80, 12.0, 60.0));
        // Steps that end at 11:40, 11:50, ... 12:30 have the mean 12:05.
        assert!((noon.tank_sensor_c - (12.0 + 5.0 / 60.0)).abs() < 1e-12);
        assert!((noon.afternoon_tank_c - noon.morning_tank_c - 7.0).abs() < 1e-12);
        // Full at half past ten: the hour round ten is the last whole one.
        assert_eq!(trace(8.5, 10.5).readings().expect("readings").hour, 10.0);
        assert_eq!(trace(0.0, 0.0).readings(), None);
    }

    #[test]
    fn a_plant_without_a_loop_has_none() {
        let mut none = trace(9.0, 15.0);
        none.points.iter_mut().for_each(|p| p.collector_c = f64::NAN);
        assert_eq!(none.readings(), None);
    }
}
