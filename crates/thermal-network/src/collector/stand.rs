//! Cells while nothing flows, and a tank that stands behind the glass itself.

use super::{Collector, Drive, USUAL_CELLS, sum_k};
use crate::relaxation::{mean_share, mean_weights};

/// Most time constants over which a slice behind glass keeps its loss coefficient: below a quarter it does not pass the temperature
/// at which gain and loss balance, though the coefficient rises with the third power of the difference.
const MOST_RELAXED: f64 = 0.2;

/// Most the night sky may cool a standing cell in one step.
const MOST_FALL_K: f64 = 1.0;

/// Most a standing cell may warm in one step: its loss coefficient is taken once.
const MOST_RISE_K: f64 = 10.0;

impl Collector {
    /// Sun and loss of the whole field on the slices of a tank that stands in it, for `seconds`; returns the heat lost in J.
    ///
    /// Each slice takes an even share and relaxes exactly, with the loss coefficient it has at the beginning: of a tank that its
    /// glass can cool within the step, in several pieces.
    pub(crate) fn act_on_slices(
        &self,
        slices_c: &mut [f64],
        drive: &Drive,
        slice_j_k: f64,
        seconds: f64,
    ) -> f64 {
        let share = self.cells as f64 / slices_c.len() as f64;
        let most_w_k = slices_c.iter().fold(0.0_f64, |most, &c| most.max(self.loss_w_k(drive, c))) * share;
        let pieces = (most_w_k * seconds / (MOST_RELAXED * slice_j_k)).ceil().max(1.0);
        let piece_s = seconds / pieces;
        (0..pieces as u32).map(|_| self.act_for_a_piece(slices_c, drive, slice_j_k, piece_s)).sum()
    }

    fn act_for_a_piece(&self, slices_c: &mut [f64], drive: &Drive, slice_j_k: f64, seconds: f64) -> f64 {
        let share = self.cells as f64 / slices_c.len() as f64;
        let gain_w = drive.gain_w * share;
        let mut lost_j = 0.0;
        for slice_c in slices_c {
            let loss_w_k = self.loss_w_k(drive, *slice_c) * share;
            let net_w = gain_w - loss_w_k * (*slice_c - drive.air_c);
            let rise_k = net_w * seconds / slice_j_k * mean_share(loss_w_k * seconds / slice_j_k);
            *slice_c += rise_k;
            lost_j += gain_w * seconds - rise_k * slice_j_k;
        }
        lost_j
    }

    /// One step without flow; returns the heat lost in J.
    ///
    /// All cells share the decay of the mean cell's loss coefficient half a step ahead (second order); the difference of a
    /// cell's own coefficient acts on its mean, to first order. Keep steps below [`Collector::longest_stand_s`].
    #[inline(always)]
    pub(crate) fn stand(&self, cells_c: &mut [f64], drive: &Drive, step_s: f64) -> f64 {
        let per_capacity = step_s / self.cell_j_k;
        let gained_k = drive.gain_w * per_capacity;
        let mean_cell_c = sum_k(cells_c) / cells_c.len() as f64;
        let mean_lost = self.loss_w_k(drive, mean_cell_c) * per_capacity;
        let ahead_k = 0.5 * (gained_k - mean_lost * (mean_cell_c - drive.air_c));
        let lost = self.loss_w_k(drive, mean_cell_c + ahead_k) * per_capacity;
        let (share, ramp) = mean_weights(lost);
        let falls_k = |cell_c: f64| {
            let beyond = self.loss_w_k(drive, cell_c) * per_capacity - mean_lost;
            let mean_over_air_k = share * (cell_c - drive.air_c) + ramp * gained_k;
            (lost + beyond) * mean_over_air_k * (1.0 - ramp * beyond)
        };
        if let Ok(cells_c) = <&mut [f64; USUAL_CELLS]>::try_from(&mut *cells_c) {
            let loss_k: [f64; USUAL_CELLS] = std::array::from_fn(|i| falls_k(cells_c[i]));
            for i in 0..USUAL_CELLS {
                cells_c[i] += gained_k - loss_k[i];
            }
            return sum_k(&loss_k) * self.cell_j_k;
        }
        let mut loss_k = 0.0;
        for cell_c in cells_c.iter_mut() {
            let cell_loss_k = falls_k(*cell_c);
            *cell_c += gained_k - cell_loss_k;
            loss_k += cell_loss_k;
        }
        loss_k * self.cell_j_k
    }

    /// Longest step of cells standing at about `cell_c`, in s: a time constant, and no great rise in the sun or fall under the
    /// night sky.
    pub(crate) fn longest_stand_s(&self, drive: &Drive, cell_c: f64) -> f64 {
        let relaxing_s = self.time_constant_s(drive, cell_c);
        if drive.gain_w < 0.0 {
            // Near the air's temperature the loss coefficient says nothing of where such a cell ends.
            return relaxing_s.min(MOST_FALL_K * self.cell_j_k / -drive.gain_w);
        }
        relaxing_s.min(MOST_RISE_K / self.rise_k_s(drive, cell_c).max(f64::MIN_POSITIVE))
    }

    /// Fastest rise of a standing cell at `cell_c` from now on, in K/s: it only slows as the cell warms.
    pub(crate) fn rise_k_s(&self, drive: &Drive, cell_c: f64) -> f64 {
        let lost_w = self.loss_w_k(drive, cell_c) * (cell_c - drive.air_c);
        (drive.gain_w - lost_w).max(0.0) / self.cell_j_k
    }

    /// Time constant in s with which a standing cell that warms from `cell_c` comes nearer to where it ends, at the longest. Below
    /// the air's temperature its loss coefficient falls as it warms: infinite.
    pub(crate) fn relaxing_s(&self, drive: &Drive, cell_c: f64) -> f64 {
        if cell_c < drive.air_c { f64::INFINITY } else { self.time_constant_s(drive, cell_c) }
    }

    /// Time constant in s of a standing cell at `cell_c`.
    fn time_constant_s(&self, drive: &Drive, cell_c: f64) -> f64 {
        self.cell_j_k / self.loss_w_k(drive, cell_c).max(f64::MIN_POSITIVE)
    }

    /// Fastest fall of a standing cell at `cell_c` from now on, in K/s: it only slows as the cell cools.
    pub(crate) fn fall_k_s(&self, drive: &Drive, cell_c: f64) -> f64 {
        let lost_w = self.loss_w_k(drive, cell_c) * (cell_c - drive.air_c);
        (lost_w - drive.gain_w).max(0.0) / self.cell_j_k
    }

    /// Rate of change of a standing cell at `cell_c` in K/s.
    pub(crate) fn standing_k_s(&self, drive: &Drive, cell_c: f64) -> f64 {
        (drive.gain_w - self.loss_w_k(drive, cell_c) * (cell_c - drive.air_c)) / self.cell_j_k
    }
}
