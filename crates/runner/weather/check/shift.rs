//! Does the radiation fit the sun's height? Closure of global, direct and diffuse by month, and the shift in time at which
//! they close best.

use super::super::calendar::{DAY_S, MONTH_NAMES, month_of_second};
use super::super::sun_year::DayOfYear;
use super::super::{HOURS_PER_YEAR, WeatherYear};
use crate::problem::{Problem, Severity};

/// Step of the scan in min.
const STEP_MIN: f64 = 15.0;
/// Shifts tried: from -90 to +90 min.
const SHIFTS: usize = 13;
/// The shift of zero.
const STATED: usize = SHIFTS / 2;

/// Sums of one month.
#[derive(Clone, Copy, Default)]
struct Closure {
    /// The first record that was counted.
    first_record: usize,
    rows: usize,
    /// Sum of the squared residuals at each shift of the sun, (W/m2)^2.
    squares: [f64; SHIFTS],
    residual_w_m2: f64,
    ghi_w_m2: f64,
}

impl Closure {
    fn rms_w_m2(&self, shift: usize) -> f64 {
        (self.squares[shift] / self.rows as f64).sqrt()
    }

    /// Sun's shift in min at which the month closes best, and the residual there in W/m2.
    ///
    /// The mean square is nearly a parabola of the shift: its bottom between the tried shifts is found through three points.
    fn best(&self) -> (f64, f64) {
        let best = (0..SHIFTS).min_by(|&a, &b| self.squares[a].total_cmp(&self.squares[b])).unwrap_or(STATED);
        let at = |i: usize| self.squares[i];
        let mut place = best as f64;
        if best > 0 && best < SHIFTS - 1 {
            let bend = at(best - 1) - 2.0 * at(best) + at(best + 1);
            if bend > 0.0 {
                place += 0.5 * (at(best - 1) - at(best + 1)) / bend;
            }
        }
        ((place - STATED as f64) * STEP_MIN, self.rms_w_m2(best))
    }
}

/// Accumulates every month; records are thinned to about one an hour.
fn closures(year: &WeatherYear) -> [Closure; 12] {
    let mut months = [Closure::default(); 12];
    let mut day = DayOfYear::first(&year.site);
    let stride = (year.ghi_w_m2.len() / HOURS_PER_YEAR).max(1);
    for record in (0..year.ghi_w_m2.len()).step_by(stride) {
        let (ghi, dni, dhi) = (year.ghi_w_m2[record], year.dni_w_m2[record], year.dhi_w_m2[record]);
        if ghi <= LEAST_W_M2 && dni <= LEAST_W_M2 {
            continue;
        }
        let middle_s = year.first_start_s + (record as f64 + 0.5) * f64::from(year.interval_s);
        let number = libm::floor(middle_s / DAY_S as f64) as i64;
        while day.number < number {
            day.advance();
        }
        let time_s = middle_s - (day.number * DAY_S) as f64;
        let month = &mut months[month_of_second(middle_s as i64)];
        if month.rows == 0 {
            month.first_record = record;
        }
        month.rows += 1;
        month.ghi_w_m2 += ghi;
        for (shift, square) in month.squares.iter_mut().enumerate() {
            let sine =
                day.sun.at(time_s + (shift as f64 - STATED as f64) * STEP_MIN * 60.0).cos_zenith.max(0.0);
            let residual = ghi - dhi - dni * sine;
            *square += residual * residual;
            if shift == STATED {
                month.residual_w_m2 += residual;
            }
        }
    }
    months
}

/// Rows with less light say nothing.
const LEAST_W_M2: f64 = 20.0;

/// Residual below which a month is not doubted, in W/m2: the published files stay below 6 at their stated time.
const CLEAN_W_M2: f64 = 6.0;
/// Shift below which nothing is said, in min.
const LEAST_SHIFT_MIN: f64 = 6.0;
/// A shift counts if it brings the residual below this share of what it was.
const GAIN_FRAC: f64 = 0.7;
/// Share of its global irradiance by which a month may fail to close.
const OPEN_FRAC: f64 = 0.06;
/// A month with fewer rows of light is not judged.
const FEWEST_ROWS: usize = 30;

/// Warnings about the time axis and the closure of a year; `lines` holds the line of each record.
pub(super) fn check(year: &WeatherYear, lines: &[usize]) -> Vec<Problem> {
    let months = closures(year);
    let place = |problem: Problem, month: usize| {
        problem.at_line(year.source.as_str(), lines[months[month].first_record])
    };
    let mut problems = Vec::new();
    // Months with the same shift, to within twice the step of the scan, share one message.
    let mut shifted: Vec<(f64, Vec<usize>)> = Vec::new();
    let mut open: Vec<usize> = Vec::new();
    let mut judged = 0;
    for (index, month) in months.iter().enumerate() {
        if month.rows < FEWEST_ROWS {
            continue;
        }
        judged += 1;
        let stated_w_m2 = month.rms_w_m2(STATED);
        let (shift_min, best_w_m2) = month.best();
        // Low sun leaves small residuals: there a tenth of the global irradiance is doubtful already.
        let doubtful = stated_w_m2 > CLEAN_W_M2.min(0.1 * month.ghi_w_m2 / month.rows as f64);
        if doubtful && shift_min.abs() >= LEAST_SHIFT_MIN && best_w_m2 < GAIN_FRAC * stated_w_m2 {
            match shifted.iter_mut().find(|(other, _)| (other - shift_min).abs() < 2.0 * STEP_MIN) {
                Some((_, members)) => members.push(index),
                None => shifted.push((shift_min, vec![index])),
            }
        } else if month.residual_w_m2.abs() > OPEN_FRAC * month.ghi_w_m2 {
            open.push(index);
        }
    }
    for (_, members) in shifted {
        // Months that close worst at the stated time show the shift best.
        let weight = |m: usize| months[m].squares[STATED];
        let mean_min = members.iter().map(|&m| weight(m) * months[m].best().0).sum::<f64>()
            / members.iter().map(|&m| weight(m)).sum::<f64>();
        let early = if mean_min > 0.0 { "early" } else { "late" };
        let whole_year = members.len() == judged;
        let message = format!(
            "Radiation comes about {:.0} min too {early} for the sun in {}: global, direct and diffuse miss each other by \
             {:.1} W/m2 (rms) as stamped, by {:.1} W/m2 with that shift.",
            libm::round(mean_min.abs()),
            if whole_year { "the whole year".to_owned() } else { names(&members) },
            rms_over(&members, |m| months[m].rms_w_m2(STATED)),
            rms_over(&members, |m| months[m].best().1),
        );
        let help = if whole_year {
            "check the UTC offset, the longitude and what the time stamps mean"
        } else {
            "morning and afternoon sun are mixed up in these months; planes to the east or west suffer most"
        };
        problems.push(place(Problem::new(Severity::Warning, message).help(help), members[0]));
    }
    if !open.is_empty() {
        let (residual, ghi) =
            open.iter().fold((0.0, 0.0), |(r, g), &m| (r + months[m].residual_w_m2, g + months[m].ghi_w_m2));
        let message = format!(
            "Global, direct and diffuse irradiance do not fit each other in {}: global is {:+.0} % off the other two.",
            names(&open),
            100.0 * residual / (ghi - residual)
        );
        let help = "the three columns are used as they stand; prefer another file or year";
        problems.push(place(Problem::new(Severity::Warning, message).help(help), open[0]));
    }
    problems
}

fn rms_over(members: &[usize], rms_w_m2: impl Fn(usize) -> f64) -> f64 {
    let squares: f64 = members.iter().map(|&m| rms_w_m2(m) * rms_w_m2(m)).sum();
    (squares / members.len() as f64).sqrt()
}

/// Months in words.
fn names(months: &[usize]) -> String {
    months.iter().map(|&m| MONTH_NAMES[m]).collect::<Vec<_>>().join(", ")
}
