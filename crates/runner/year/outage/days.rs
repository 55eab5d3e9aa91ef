//! Which three days of a year are the hottest and the coldest.
//!
//! Hottest: on the mean of the three days, the highest daily peak of the temperature at which a collector standing without flow
//! would balance, its loss taken in proportion: `air + eta0b G / a1` with the light `G` that counts for it. So the sun bears as
//! much on the choice as it bears on this collector. Coldest: the lowest mean outdoor air. Both are taken over whole days of
//! the calendar year, of equal ones the first.

use thermal_network::spec::CollectorSpec;

use super::DAY;
use crate::draws::clock::DAYS_PER_YEAR;
use crate::record::{J_PER_KWH, Outage, Spell};
use crate::weather::plane::{PlaneBlock, PlaneYear};

/// Least loss coefficient that the balance is taken with, in W/(m2 K): a collector that loses less would have none.
const LEAST_LOSS_W_M2_K: f64 = 0.5;

/// Three days on end.
#[derive(Clone, Copy, Debug)]
pub(super) struct ThreeDays {
    pub(super) spell: Spell,
    /// 1 to 365.
    pub(super) first_day: u32,
    pub(super) mean_air_c: f64,
    pub(super) sun_kwh_m2: f64,
}

impl ThreeDays {
    /// Their beginning in s after 1 January 00:00.
    pub(super) fn start_s(&self) -> i64 {
        (i64::from(self.first_day) - 1) * DAY
    }
}

/// Sums over a day's blocks.
#[derive(Clone, Copy)]
struct Day {
    blocks: f64,
    air_k: f64,
    peak_c: f64,
    sun_j_m2: f64,
}

pub(super) fn choose(spell: Spell, collector: &CollectorSpec, plane: &PlaneYear) -> ThreeDays {
    let balance_c = |block: &PlaneBlock| {
        block.air_c + collector.eta0b * block.effective_w_m2 / collector.a1_w_m2_k.max(LEAST_LOSS_W_M2_K)
    };
    let mut days =
        [Day { blocks: 0.0, air_k: 0.0, peak_c: f64::NEG_INFINITY, sun_j_m2: 0.0 }; DAYS_PER_YEAR as usize];
    for (i, block) in plane.blocks.iter().enumerate() {
        let middle_s = plane.offset_s + i as i64 * i64::from(plane.block_s) + i64::from(plane.block_s) / 2;
        let day = &mut days[middle_s.div_euclid(DAY).rem_euclid(i64::from(DAYS_PER_YEAR)) as usize];
        day.blocks += 1.0;
        day.air_k += block.air_c;
        day.peak_c = day.peak_c.max(balance_c(block));
        day.sun_j_m2 += (block.beam_w_m2 + block.sky_w_m2 + block.ground_w_m2) * f64::from(plane.block_s);
    }
    let mut chosen = ThreeDays { spell, first_day: 0, mean_air_c: 0.0, sun_kwh_m2: 0.0 };
    let mut most_k = f64::NEG_INFINITY;
    for (i, days) in days.windows(Outage::DAYS as usize).enumerate() {
        let sum = |of: fn(&Day) -> f64| days.iter().map(of).sum::<f64>();
        let blocks = sum(|day| day.blocks);
        let mean_air_c = sum(|day| day.air_k) / blocks;
        let extreme_k = match spell {
            Spell::Hottest => sum(|day| day.peak_c),
            Spell::Coldest => -mean_air_c,
        };
        if extreme_k > most_k {
            most_k = extreme_k;
            let sun_kwh_m2 = sum(|day| day.sun_j_m2) / J_PER_KWH;
            chosen = ThreeDays { spell, first_day: i as u32 + 1, mean_air_c, sun_kwh_m2 };
        }
    }
    chosen
}
