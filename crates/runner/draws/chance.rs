//! Single draws by chance that keep to what they were given.
//!
//! Of each kind the year holds as many draws as its share of the volume and its mean size make. They are dealt out to the
//! months by their weight, within a month to days by chance, and to the hours of the day in even steps of the hourly shape,
//! shuffled: so months and hours come out as given, and no two days are alike. Sizes are log-normal and are scaled at the
//! end, so that each kind's volume of the year is exact.

use super::clock::{DAYS_PER_YEAR, is_weekend, month_of};
use crate::chance::{Chance, Purpose as Stream};
use crate::job::{Calendar, DatedEvent, DrawKind, Event, RandomDraws};

/// The draws of a year in order of time. `day_factors` are the factors on the volume of the 365 days; a day with 0 has none.
///
/// The same seed gives the same draws on every machine. Whole seconds; flows give way so that volumes are kept.
pub fn by_chance(draws: &RandomDraws, day_factors: &[f64], calendar: &Calendar) -> Vec<DatedEvent> {
    let mut chance = Chance::new(draws.seed, Stream::Taps);
    let year_m3 = draws.daily_m3 * day_factors.iter().sum::<f64>();
    let mut year = Vec::new();
    for kind in &draws.kinds {
        let kind_m3 = year_m3 * kind.share_frac;
        if kind_m3 <= 0.0 {
            continue;
        }
        let count = (kind_m3 / kind.mean_m3).round().max(1.0) as usize;
        let days = days(count, day_factors, &mut chance);
        let starts = starts(&days, draws, calendar, &mut chance);
        let volumes = volumes(count, kind, kind_m3, &mut chance);
        for ((day, start_s), volume_m3) in days.into_iter().zip(starts).zip(volumes) {
            let duration_s = (volume_m3 / kind.flow_m3_s).round().max(1.0);
            let event = Event {
                start_s,
                duration_s: duration_s as u32,
                flow_m3_s: volume_m3 / duration_s,
                use_c: kind.use_c,
                purpose: kind.purpose,
            };
            year.push(DatedEvent { day, event });
        }
    }
    year.sort_by_key(|dated| (dated.day, dated.event.start_s));
    year
}

/// Days, 1 to 365, of so many draws: each month has its part, and within it chance decides.
fn days(count: usize, day_factors: &[f64], chance: &mut Chance) -> Vec<u32> {
    let whole: f64 = day_factors.iter().sum();
    let mut before = 0.0;
    let mut days = Vec::with_capacity(count);
    for month in 0..12 {
        let of_month: Vec<u32> = (1..=DAYS_PER_YEAR).filter(|&day| month_of(day) == month).collect();
        let sums = running_sums(of_month.iter().map(|&day| day_factors[day as usize - 1]));
        let month_weight = sums[sums.len() - 1];
        before += month_weight;
        let until = (count as f64 * (before / whole)).round() as usize;
        while days.len() < until.min(count) && month_weight > 0.0 {
            days.push(of_month[place(&sums, chance.uniform() * month_weight).0]);
        }
    }
    days
}

/// Starts in s after midnight by the clock, one for each of `days`.
fn starts(days: &[u32], draws: &RandomDraws, calendar: &Calendar, chance: &mut Chance) -> Vec<u32> {
    let mut starts = vec![0; days.len()];
    for (weekend, shares) in [(false, &draws.weekday_frac), (true, &draws.weekend_frac)] {
        let of_type: Vec<usize> =
            (0..days.len()).filter(|&i| is_weekend(days[i], calendar) == weekend).collect();
        let sums = running_sums(shares.iter().copied());
        let step = sums[sums.len() - 1] / of_type.len() as f64;
        for (index, stratum) in of_type.iter().zip(shuffled(of_type.len(), chance)) {
            let (hour, part) = place(&sums, (stratum as f64 + chance.uniform()) * step);
            starts[*index] = hour as u32 * 3600 + ((part * 3600.0) as u32).min(3599);
        }
    }
    starts
}

/// Log-normal sizes in m3 that add up to `kind_m3`. None is further above the mean than three of its spreads: a bath has a
/// rim and a shower a next in line.
fn volumes(count: usize, kind: &DrawKind, kind_m3: f64, chance: &mut Chance) -> Vec<f64> {
    let variance = libm::log(1.0 + kind.spread_frac * kind.spread_frac);
    let largest = 1.0 + 3.0 * kind.spread_frac;
    let size = |normal: f64| libm::exp(variance.sqrt() * normal - 0.5 * variance).min(largest);
    let sizes: Vec<f64> = (0..count).map(|_| size(chance.normal())).collect();
    let scale = kind_m3 / sizes.iter().sum::<f64>();
    sizes.into_iter().map(|size| size * scale).collect()
}

fn running_sums(values: impl Iterator<Item = f64>) -> Vec<f64> {
    values
        .scan(0.0, |sum, value| {
            *sum += value;
            Some(*sum)
        })
        .collect()
}

/// Index whose span of the running sums holds `at`, and how far into it `at` lies, 0 to 1. Spans of no length hold nothing.
fn place(sums: &[f64], at: f64) -> (usize, f64) {
    // Rounding can carry `at` to the very end: the last span that has a length.
    let last = sums.partition_point(|&sum| sum < sums[sums.len() - 1]);
    let index = sums.partition_point(|&sum| sum <= at).min(last);
    let start = if index == 0 { 0.0 } else { sums[index - 1] };
    (index, ((at - start) / (sums[index] - start)).clamp(0.0, 1.0))
}

/// The numbers 0 to `count`, end excluded, in an order of chance (Fisher and Yates 1938, from the end).
fn shuffled(count: usize, chance: &mut Chance) -> Vec<usize> {
    let mut order: Vec<usize> = (0..count).collect();
    for i in (1..count).rev() {
        let other = (chance.uniform() * (i + 1) as f64) as usize;
        order.swap(i, other.min(i));
    }
    order
}

#[cfg(test)]
mod tests;
