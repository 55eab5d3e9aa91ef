//! Which hours to allow the element: windows through the day against the tariff.

use super::suspects::has_timed_heat;
use super::{Part, Study, heaters, set_all};
use crate::draws::clock::{DAYS_PER_YEAR, clock_at};
use crate::job::Job;
use crate::job::file::Draft;
use crate::job::quantity::when;
use crate::money::tariff::Tariff;

/// Windows of two hours, which bring some 9 kWh through a usual element: night, early morning, midday, afternoon, evening.
const BLOCKS: [&str; 5] = ["1 am - 3 am", "5 am - 7 am", "noon - 2 pm", "2 pm - 4 pm", "7 pm - 9 pm"];

/// Adds: always; every one and two of the windows; all but one of them; where the clock makes the price, the cheapest hours and all but the dearest;
/// what the job asks for. Hours the job has already are left out.
pub(super) fn lay_out(study: &mut Study) {
    let (draft, job) = (study.draft().clone(), study.job().clone());
    if !has_timed_heat(&job) {
        return;
    }
    let mut windows = vec!["always".to_owned()];
    for (i, first) in BLOCKS.iter().enumerate() {
        windows.push((*first).to_owned());
        windows.extend(BLOCKS[i + 1..].iter().map(|second| format!("{first}, {second}")));
    }
    let but = |block: &str| block.split_once(" - ").map(|(from, to)| format!("{to} - {from}"));
    windows.extend(BLOCKS.iter().filter_map(|block| but(block)));
    if let Some(prices) = price_by_clock_hour(&job) {
        let (least, most) = range(&prices);
        // Mean prices of an hour differ a little by weekdays and seasons.
        let near = 0.05 * (most - least);
        windows.extend(words(&prices.map(|price| price <= least + near)));
        windows.extend(words(&prices.map(|price| price < most - near)));
    }
    windows.extend(job.tune.element_hours.iter().cloned());
    let now = job.element_hours.first().map(|hours| hours.minutes.clone()).unwrap_or_default();
    let mut seen = vec![now];
    for window in windows {
        let Ok(minutes) = when::hours(&window) else { continue };
        if seen.contains(&minutes) {
            continue;
        }
        seen.push(minutes);
        let changed = set_all(draft.clone(), &keys(&draft, &job), &window);
        study.add(Part::Hours(window.clone()), format!("element {window}"), changed);
    }
}

/// Keys of the job file that hold the hours.
pub(super) fn keys(draft: &Draft, job: &Job) -> Vec<String> {
    heaters(draft, job).iter().map(|heater| format!("{heater}.hours")).collect()
}

fn range(prices: &[f64; 24]) -> (f64, f64) {
    prices.iter().fold((f64::MAX, f64::MIN), |(low, high), &price| (low.min(price), high.max(price)))
}

/// Mean price of electricity in each hour of the clock; `None` where the clock does not make the price.
pub fn price_by_clock_hour(job: &Job) -> Option<[f64; 24]> {
    let hourly = match &job.money.as_ref()?.electricity.tariff {
        Tariff::TimeOfUse(prices) => prices,
        Tariff::Hourly(prices) => &prices.import,
        Tariff::Flat(_) | Tariff::Tiered(_) => return None,
    };
    let (mut sums, mut counts) = ([0.0; 24], [0.0; 24]);
    for hour in 0..DAYS_PER_YEAR * 24 {
        let clock = (clock_at(hour * 3600, &job.calendar).1 / 3600) as usize;
        sums[clock] += hourly[hour as usize];
        counts[clock] += 1.0;
    }
    let means = std::array::from_fn(|hour| sums[hour] / counts[hour]);
    let (least, most) = range(&means);
    (most > least).then_some(means)
}

/// Hours of the day as a job writes them; `None` for none and for all.
fn words(allowed: &[bool; 24]) -> Option<String> {
    let named = |hour: usize| match hour % 24 {
        0 => "midnight".to_owned(),
        12 => "noon".to_owned(),
        hour => format!("{} {}", (hour + 11) % 12 + 1, if hour < 12 { "am" } else { "pm" }),
    };
    // Begin where hours are not allowed, so that a span over midnight is one.
    let first = allowed.iter().position(|allowed| !allowed)?;
    let (mut found, mut from) = (Vec::new(), None);
    for hour in first..=first + 24 {
        match (allowed[hour % 24], from) {
            (true, None) => from = Some(hour),
            (false, Some(start)) => {
                found.push(format!("{} - {}", named(start), named(hour)));
                from = None;
            }
            _ => {}
        }
    }
    (!found.is_empty()).then(|| found.join(", "))
}

/// Spans of the day in minutes after midnight in which some element may heat, each with its end behind its start; empty lists
/// mean always.
pub fn spans(minutes: &[(u32, u32)]) -> Vec<(u32, u32)> {
    const DAY: u32 = 1440;
    if minutes.is_empty() {
        return vec![(0, DAY)];
    }
    let whole = minutes
        .iter()
        .flat_map(|&(from, to)| if from <= to { vec![(from, to)] } else { vec![(from, DAY), (0, to)] });
    whole.filter(|(from, to)| from < to).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_become_words_that_are_read_back() {
        let mut allowed = [true; 24];
        assert_eq!(words(&allowed), None);
        assert_eq!(words(&[false; 24]), None);
        allowed[17..21].fill(false);
        let text = words(&allowed).expect("some");
        assert_eq!((text.as_str(), when::hours(&text)), ("9 pm - 5 pm", Ok(vec![(1260, 1020)])));
        allowed[..7].fill(false);
        let text = words(&allowed).expect("some");
        assert_eq!(when::hours(&text), Ok(vec![(420, 1020), (1260, 1440)]));
        assert_eq!(spans(&[(1260, 1020)]), [(1260, 1440), (0, 1020)]);
        assert_eq!((spans(&[]), spans(&[(0, 0)])), (vec![(0, 1440)], vec![]));
    }
}
