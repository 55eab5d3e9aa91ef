//! The year's hot-water use in figures a household knows: by month, by hour, by purpose, and at its busiest.

use super::clock::{DAY_S, DAYS_PER_YEAR, YEAR_S, clock_at, is_weekend, month_of, weekday_of};
use super::schedule::DrawYear;
use super::taps::Tap;
use crate::job::{Calendar, Purpose};

/// Draws, water and heat of a part of the year.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Amount {
    /// Days it covers.
    pub days: u32,
    /// Taps opened.
    pub draws: u32,
    /// Water at the tap in m3.
    pub volume_m3: f64,
    /// Heat above the incoming cold water in J.
    pub heat_j: f64,
}

impl Amount {
    fn add(&mut self, draws: u32, volume_m3: f64, heat_j: f64) {
        self.draws += draws;
        self.volume_m3 += volume_m3;
        self.heat_j += heat_j;
    }
}

/// The most water drawn within a span of so many seconds.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Peak {
    /// Water at the tap in m3.
    pub volume_m3: f64,
    /// Day of the year by the clock, 1 to 365.
    pub day: u32,
    /// Beginning of the span in s after midnight by the clock.
    pub clock_s: u32,
}

/// A year of hot-water use in figures.
#[derive(Clone, Debug, PartialEq)]
pub struct UseSummary {
    /// Whole year.
    pub annual: Amount,
    /// Twelve months, by the day on which a tap opens.
    pub monthly: [Amount; 12],
    /// Water in each hour of the clock on a mean weekday, in m3.
    pub weekday_m3: [f64; 24],
    /// Water in each hour of the clock on a mean day of the weekend, in m3.
    pub weekend_m3: [f64; 24],
    /// By purpose in the order of [`Purpose::WORDS`]; those that never occur are left out.
    pub purposes: Vec<(Purpose, Amount)>,
    /// Busiest ten minutes.
    pub ten_minutes: Peak,
    /// Busiest hour.
    pub hour: Peak,
    /// Mean temperature at the tap by volume, in degC; not a number if nothing is drawn.
    pub mean_use_c: f64,
    /// Monday of the week whose volume is nearest to the mean of those with any.
    pub week_first_day: u32,
    /// Taps of that week.
    pub week: Vec<Tap>,
}

impl UseSummary {
    /// Sums up the taps of a year, with the incoming cold water of its days and the heat of water in J/(m3 K).
    pub fn of(taps: &[Tap], calendar: &Calendar, cold_water_c: &[f64], water_j_m3_k: f64) -> Self {
        let mut annual = Amount { days: DAYS_PER_YEAR, ..Amount::default() };
        let mut monthly = [Amount::default(); 12];
        let mut day_types = [0_u32; 2];
        for day in 1..=DAYS_PER_YEAR {
            monthly[month_of(day)].days += 1;
            day_types[usize::from(is_weekend(day, calendar))] += 1;
        }
        let mut purposes = Purpose::WORDS.map(|(_, purpose)| (purpose, annual));
        let mut by_hour = [[0.0; 24]; 2];
        let mut by_day = vec![0.0; DAYS_PER_YEAR as usize];
        let mut tap_heat = 0.0;
        for tap in taps {
            let (volume_m3, heat_j) = (tap.volume_m3(), heat_j(tap, cold_water_c, water_j_m3_k));
            annual.add(1, volume_m3, heat_j);
            monthly[month_of(tap.day)].add(1, volume_m3, heat_j);
            for (purpose, amount) in &mut purposes {
                if *purpose == tap.purpose {
                    amount.add(1, volume_m3, heat_j);
                }
            }
            spread(tap, &mut by_hour[usize::from(is_weekend(tap.day, calendar))]);
            by_day[tap.day as usize - 1] += volume_m3;
            tap_heat += volume_m3 * tap.use_c;
        }
        let mean_day = |kind: usize| by_hour[kind].map(|volume| volume / f64::from(day_types[kind].max(1)));
        let segments = DrawYear::of_taps(taps, 0.0);
        let week_first_day = usual_week(&by_day, calendar);
        Self {
            annual,
            monthly,
            weekday_m3: mean_day(0),
            weekend_m3: mean_day(1),
            purposes: purposes.into_iter().filter(|(_, amount)| amount.draws > 0).collect(),
            ten_minutes: peak(&segments, 600, calendar),
            hour: peak(&segments, 3600, calendar),
            mean_use_c: tap_heat / annual.volume_m3,
            week_first_day,
            week: taps
                .iter()
                .filter(|tap| (week_first_day..week_first_day + 7).contains(&tap.day))
                .copied()
                .collect(),
        }
    }
}

/// Heat of a tap in J above the cold water, which changes at midnight of standard time; never below nothing.
fn heat_j(tap: &Tap, cold_water_c: &[f64], water_j_m3_k: f64) -> f64 {
    let mut heat_j = 0.0;
    let mut at_s = tap.start_s;
    while at_s < tap.end_s() {
        let day = at_s / DAY_S;
        let until_s = tap.end_s().min((day + 1) * DAY_S);
        let above_k = (tap.use_c - cold_water_c[(day % DAYS_PER_YEAR) as usize]).max(0.0);
        heat_j += tap.flow_m3_s * f64::from(until_s - at_s) * water_j_m3_k * above_k;
        at_s = until_s;
    }
    heat_j
}

/// Shares a tap's volume out to the hours of the clock it runs through.
fn spread(tap: &Tap, hours: &mut [f64; 24]) {
    let end_s = tap.clock_s + tap.duration_s;
    let mut at_s = tap.clock_s;
    while at_s < end_s {
        let until_s = end_s.min((at_s / 3600 + 1) * 3600);
        hours[(at_s / 3600 % 24) as usize] += tap.flow_m3_s * f64::from(until_s - at_s);
        at_s = until_s;
    }
}

/// The span of `length_s` with the most water. The volume of a sliding span has its peaks where the span begins with a draw
/// or ends with one, so only those are looked at. Spans over the turn of the year are not.
fn peak(year: &DrawYear, length_s: u32, calendar: &Calendar) -> Peak {
    let segments = year.segments();
    let before: Vec<f64> = std::iter::once(0.0)
        .chain(segments.iter().scan(0.0, |sum, segment| {
            *sum += segment.volume_m3();
            Some(*sum)
        }))
        .collect();
    let drawn_until = |second: u32| {
        let index = year.index_at(second);
        let part = segments.get(index).map_or(0.0, |segment| {
            segment.draw.flow_m3_s * f64::from(second.saturating_sub(segment.start_s))
        });
        before[index] + part
    };
    let starts =
        segments.iter().flat_map(|segment| [segment.start_s, segment.end_s.saturating_sub(length_s)]);
    starts
        .filter(|start_s| start_s + length_s <= YEAR_S)
        .map(|start_s| {
            let (day, clock_s) = clock_at(start_s, calendar);
            Peak { volume_m3: drawn_until(start_s + length_s) - drawn_until(start_s), day, clock_s }
        })
        // The first of equals, so that the same day is named whatever rounding does to later ones.
        .fold(
            Peak::default(),
            |best, next| if next.volume_m3 > best.volume_m3 * (1.0 + 1e-9) { next } else { best },
        )
}

/// First day of the week from Monday to Sunday whose volume is nearest to the mean of those with any; the first of the year
/// if none has.
fn usual_week(by_day: &[f64], calendar: &Calendar) -> u32 {
    let weeks: Vec<(u32, f64)> = (1..=DAYS_PER_YEAR - 6)
        .filter(|&day| weekday_of(day, calendar) == 0)
        .map(|day| (day, by_day[day as usize - 1..day as usize + 6].iter().sum()))
        .filter(|(_, volume)| *volume > 0.0)
        .collect();
    let mean = weeks.iter().map(|(_, volume)| volume).sum::<f64>() / weeks.len() as f64;
    let nearest = weeks.iter().min_by(|a, b| (a.1 - mean).abs().total_cmp(&(b.1 - mean).abs()));
    nearest.map_or(1 + (7 - calendar.first_weekday) % 7, |(day, _)| *day)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draws::taps::taps;
    use crate::job::{Event, Pattern, WaterUse};

    const MONDAY: Calendar = Calendar { first_weekday: 0, daylight_saving: None };

    fn summary(day: Vec<Event>) -> UseSummary {
        let water_use = WaterUse {
            pattern: Pattern::Events { weekday: day.clone(), weekend: day },
            month_factor: [1.0; 12],
            absences: Vec::new(),
            guests: Vec::new(),
            usable_c: 40.0,
        };
        UseSummary::of(&taps(&water_use, &MONDAY), &MONDAY, &[10.0; 365], 4.2e6)
    }

    #[test]
    fn a_day_by_hand() {
        // A shower of 60 L at 40 degC from 6:55 to 7:05 and a sink of 6 L at 50 degC from 7:10 to 7:11, every day.
        let event = |start_s, duration_s, flow_m3_s, use_c, purpose| Event {
            start_s,
            duration_s,
            flow_m3_s,
            use_c,
            purpose,
        };
        let seen = summary(vec![
            event(24_900, 600, 1e-4, 40.0, Purpose::Shower),
            event(25_800, 60, 1e-4, 50.0, Purpose::Sink),
        ]);
        let close = |got: f64, wanted: f64| {
            // Sums of 730 doubles.
            assert!((got - wanted).abs() < 1e-11 * wanted, "{got} is not {wanted}");
        };
        close(seen.annual.volume_m3, 365.0 * 0.066);
        // 60 L x 30 K and 6 L x 40 K.
        close(seen.annual.heat_j, 365.0 * 4.2e6 * (0.06 * 30.0 + 0.006 * 40.0));
        close(seen.monthly[1].volume_m3, 28.0 * 0.066);
        assert_eq!((seen.annual.draws, seen.monthly[1].draws, seen.monthly[1].days), (730, 56, 28));
        close(seen.weekday_m3[6], 0.03);
        close(seen.weekend_m3[7], 0.036);
        // The shower fills ten minutes; an hour from 6:55 holds both.
        close(seen.ten_minutes.volume_m3, 0.06);
        close(seen.hour.volume_m3, 0.066);
        assert_eq!((seen.hour.day, seen.ten_minutes.clock_s), (1, 24_900));
        close(seen.mean_use_c, (60.0 * 40.0 + 6.0 * 50.0) / 66.0);
        let kinds: Vec<_> = seen.purposes.iter().map(|(purpose, amount)| (*purpose, amount.draws)).collect();
        assert_eq!(kinds, [(Purpose::Shower, 365), (Purpose::Sink, 365)]);
        assert_eq!((seen.week_first_day, seen.week.len()), (1, 14));
    }

    #[test]
    fn nothing_drawn_is_nothing() {
        let seen = summary(Vec::new());
        assert_eq!((seen.annual.draws, seen.hour, seen.purposes.len()), (0, Peak::default(), 0));
    }
}
