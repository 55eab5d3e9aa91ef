//! Hours of sun: from a day's clearness to global, direct and diffuse irradiance of its hours.

use std::f64::consts::{FRAC_PI_3, PI};
use std::ops::Range;

use solar_geometry::split::Decomposition;

use super::days::{Days, clearest};
use super::monthly::{self, round_to};
use super::sky::Sky;
use crate::chance::{Chance, Memory, Purpose};

/// Correlation of the cloudiness of neighbouring hours.
///
/// Source: Graham & Hollands 1990, Solar Energy 44(6), 333-341: 0.54 (from memory).
const PERSISTENCE: f64 = 0.54;

/// Hourly irradiance in W/m2, whole numbers, as a file would hold them.
pub(super) struct Hours {
    pub(super) ghi_w_m2: Vec<f64>,
    pub(super) dni_w_m2: Vec<f64>,
    pub(super) dhi_w_m2: Vec<f64>,
}

/// Makes the hours of all days. Each month's global irradiation is kept to 0.5 Wh/m2.
pub(super) fn hours(days: &Days, sky: &Sky, seed: u64) -> Hours {
    let mut chance = Chance::new(seed, Purpose::Clouds);
    let mut memory = Memory::new(PERSISTENCE, &mut chance);
    let mut ghi_w_m2 = vec![0.0; sky.hours.len()];
    for month in 0..12 {
        let range = monthly::days(month);
        let top = clearest(monthly::mean(&days.clearness[range.clone()]), sky.elevation_m);
        for day in range {
            let clouds: [f64; 24] = std::array::from_fn(|_| memory.next(&mut chance));
            let clearness = days.clearness[day];
            if clearness > 0.0 {
                let spread = cloud_spread(clearness, top);
                let hours = day * 24..day * 24 + 24;
                day_of_hours(clearness, &clouds.map(|c| c * spread), sky, day, &mut ghi_w_m2[hours]);
            }
        }
        monthly::round_keeping_sum(&mut ghi_w_m2[monthly::hours(month)], 1.0);
    }
    let (dni_w_m2, dhi_w_m2) = (0..ghi_w_m2.len()).map(|hour| split_hour(ghi_w_m2[hour], sky, hour)).unzip();
    Hours { ghi_w_m2, dni_w_m2, dhi_w_m2 }
}

/// Standard deviation of the hourly clearness about its daily course.
///
/// Source: Graham & Hollands 1990 (from memory): 0.16 sin(pi K / 0.90), zero for a day without any sun and for the clearest.
/// We set the upper zero a little above the month's clearest day, because cloudless days are smooth.
fn cloud_spread(clearness: f64, top: f64) -> f64 {
    0.16 * libm::sin(PI * (clearness / (top + 0.02)).min(1.0))
}

/// Share of an hour in the clearness of its day, before the day's sum is set right.
///
/// Source: Collares-Pereira & Rabl 1979, Solar Energy 22(2), 155-164: `a + b cos(hour angle)` with a, b from the sunset hour
/// angle (long-term mean course of hourly to daily irradiation; from memory).
fn course(sunset_rad: f64, hour_angle_cos: f64) -> f64 {
    let s = libm::sin(sunset_rad - FRAC_PI_3);
    ((0.409 + 0.5016 * s) + (0.6609 - 0.4767 * s) * hour_angle_cos).max(0.05)
}

/// Fills one day: a smooth course, clouds on top, no hour brighter than a cloudless one allows, the day's sum kept.
fn day_of_hours(clearness: f64, clouds: &[f64; 24], sky: &Sky, day: usize, ghi_w_m2: &mut [f64]) {
    /// Scattering at cloud edges lifts an hour by a few percent above the cloudless value (common practice).
    const CLOUD_EDGE: f64 = 1.05;
    let hours: Range<usize> = day * 24..day * 24 + 24;
    let without_air = &sky.hours[hours];
    let sum_of = |f: &dyn Fn(usize) -> f64| (0..24).map(f).sum::<f64>();
    let wanted = clearness * sum_of(&|h| without_air[h].horizontal_w_m2);
    let bare = |h: usize| {
        without_air[h].horizontal_w_m2 * course(sky.sunset_rad[day], without_air[h].hour_angle_cos)
    };
    let bare_sum = sum_of(&bare);
    if bare_sum <= 0.0 {
        return; // polar night at the edge of a month with some sun
    }
    let smooth: [f64; 24] = std::array::from_fn(|h| bare(h) * wanted / bare_sum);
    // The smooth course itself is always allowed, so that the day's sum can be reached.
    let limit: [f64; 24] = std::array::from_fn(|h| smooth[h].max(CLOUD_EDGE * without_air[h].clear_ghi_w_m2));
    let cloudy: [f64; 24] = std::array::from_fn(|h| {
        (smooth[h] + clouds[h] * without_air[h].horizontal_w_m2).max(0.1 * smooth[h])
    });
    let filled = |scale: f64, h: usize| (scale * cloudy[h]).min(limit[h]);
    let (mut below, mut above) = (0.0, 20.0);
    for _ in 0..60 {
        let middle = 0.5 * (below + above);
        if sum_of(&|h| filled(middle, h)) < wanted { below = middle } else { above = middle }
    }
    for (h, value) in ghi_w_m2.iter_mut().enumerate() {
        *value = filled(above, h);
    }
}

/// Direct normal and diffuse irradiance of an hour, W/m2, by Erbs' correlation on the hour's clearness.
///
/// Where the sun is up for part of the hour only, the direct irradiance is the mean over the whole hour. It never exceeds what
/// a cloudless sky lets through; the rest counts as diffuse.
fn split_hour(ghi_w_m2: f64, sky: &Sky, hour: usize) -> (f64, f64) {
    let above = &sky.hours[hour];
    if ghi_w_m2 <= 0.0 || above.horizontal_w_m2 <= 0.0 {
        return (0.0, ghi_w_m2);
    }
    let diffuse_frac = Decomposition::Erbs.diffuse_frac(ghi_w_m2 / above.horizontal_w_m2);
    let beam_w_m2 = ghi_w_m2 * (1.0 - diffuse_frac);
    let dni_w_m2 =
        round_to((beam_w_m2 * above.sun_frac / above.elevation_sine).min(above.clear_dni_w_m2), 1.0);
    let dhi_w_m2 = round_to(ghi_w_m2 - dni_w_m2 * above.elevation_sine / above.sun_frac, 1.0).max(0.0);
    (dni_w_m2, dhi_w_m2)
}
