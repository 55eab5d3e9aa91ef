//! Water moving through the slices of a tank.
//!
//! The slices obey a linear system while the flows are steady; its Taylor series is carried to third order in the slice
//! volumes moved (positive, hence bounded by its inputs, up to one slice volume a step), and the outlet's mean temperature
//! is the integral of the same series, so that what leaves is exactly what the slices lose.

use super::BLOCK;

/// Most slice volumes moved in one pass.
pub(crate) const LONGEST_PASS: f64 = 0.5;

/// Most slice volumes moved in one pass where a warm return rises or cold water sinks: buoyancy must not wait longer. Passes of
/// 0.4 cost 0.1 % of the yearly solar heat with an open loop.
pub(crate) const LONGEST_CIRCULATION: f64 = 0.1;

/// Mean temperature at slice `hot` while `moved` slice volumes pass from `cold` up to it.
#[inline]
pub(crate) fn mean_outlet_c(slices_c: &[f64], cold: usize, hot: usize, cold_c: f64, moved: f64) -> f64 {
    let below = |k: usize| if hot >= cold + k { slices_c[hot - k] } else { cold_c };
    let square = moved * moved / 6.0;
    (1.0 - moved / 2.0 + square) * slices_c[hot] + (moved / 2.0 - 2.0 * square) * below(1) + square * below(2)
}

/// Weights of a slice itself and of the three below it after `moved` slice volumes have passed.
#[inline]
fn weights(moved: f64) -> [f64; 4] {
    let square = moved * moved / 2.0;
    let cube = square * moved / 3.0;
    [1.0 - moved + square - cube, moved - 2.0 * square + 3.0 * cube, square - 3.0 * cube, cube]
}

/// Temperature of the last of `path_c` (from the inlet up) after `moved` slice volumes at `cold_c` have come in below.
#[inline]
pub(crate) fn drawn_c(path_c: &[f64], cold_c: f64, moved: f64) -> f64 {
    let mut upstream_c = path_c.iter().rev().copied().chain(std::iter::repeat(cold_c));
    weights(moved).iter().map(|weight| weight * upstream_c.next().unwrap_or(cold_c)).sum()
}

/// Moves `moved` slice volumes of water at `cold_c` in at slice `cold`, up, and out at slice `hot`.
#[inline]
pub(crate) fn draw_up(slices_c: &mut [f64], cold: usize, hot: usize, cold_c: f64, moved: f64) {
    let weights = weights(moved);
    let path = &mut slices_c[cold..=hot];
    // From the outlet down, so that each slice still finds the old values below it.
    let mut left = path.len();
    while let Some((_, window_c)) = path[..left].split_last_chunk_mut::<{ BLOCK + 3 }>() {
        shift(window_c, &weights);
        left -= BLOCK;
    }
    if let Ok(lowest_c) = <&mut [f64; BLOCK]>::try_from(&mut path[..left]) {
        let mut window_c = [cold_c; BLOCK + 3];
        window_c[3..].copy_from_slice(lowest_c);
        shift(&mut window_c, &weights);
        lowest_c.copy_from_slice(&window_c[3..]);
    } else {
        for i in (0..left).rev() {
            path[i] = drawn_c(&path[..=i], cold_c, moved);
        }
    }
}

/// The upper slices of a block, above three others.
#[inline(always)]
fn shift(window_c: &mut [f64; BLOCK + 3], weights: &[f64; 4]) {
    let old_c = *window_c;
    for i in 3..BLOCK + 3 {
        window_c[i] = weights[0] * old_c[i]
            + weights[1] * old_c[i - 1]
            + weights[2] * old_c[i - 2]
            + weights[3] * old_c[i - 3];
    }
}

/// A stream that leaves the tank at one slice and comes back at another, warmer by a fixed amount.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Circulation {
    /// Slice it is taken from.
    pub(crate) from: usize,
    /// Slice it returns to.
    pub(crate) to: usize,
    /// Slice volumes moved in the pass.
    pub(crate) moved: f64,
    /// Warming on the way in K.
    pub(crate) rise_k: f64,
}

/// Draw and circulation at once: flows between slices are the net of both. Returns the mean outlet temperature at `hot`.
///
/// `term` and `next` are scratch of the tank's length.
pub(crate) fn draw_and_circulate(
    slices_c: &mut [f64],
    draw: &DrawPass,
    circulation: &Circulation,
    term: &mut [f64],
    next: &mut [f64],
) -> f64 {
    let n = slices_c.len();
    let up = |face: usize| -> f64 {
        let drawn = if draw.cold < face && face <= draw.hot { draw.moved } else { 0.0 };
        let Circulation { from, to, moved, .. } = *circulation;
        // Inside the tank the stream goes back from where it returns to where it is taken.
        let returned = if from < face && face <= to {
            -moved
        } else if to < face && face <= from {
            moved
        } else {
            0.0
        };
        drawn + returned
    };
    let apply = |v: &[f64], out: &mut [f64], cold_c: f64, rise_k: f64| {
        for i in 0..n {
            let mut change = 0.0;
            if i > 0 {
                change += up(i).max(0.0) * (v[i - 1] - v[i]);
            }
            if i + 1 < n {
                change += (-up(i + 1)).max(0.0) * (v[i + 1] - v[i]);
            }
            out[i] = change;
        }
        out[draw.cold] += draw.moved * (cold_c - v[draw.cold]);
        out[circulation.to] += circulation.moved * (v[circulation.from] + rise_k - v[circulation.to]);
    };
    let term = &mut term[..n];
    let next = &mut next[..n];
    apply(slices_c, term, draw.cold_c, circulation.rise_k);
    let mut outlet_c = slices_c[draw.hot] + term[draw.hot] / 2.0;
    let (mut sum_factor, mut mean_factor) = (1.0, 2.0);
    for order in 2..=3 {
        for (slice_c, &t) in slices_c.iter_mut().zip(term.iter()) {
            *slice_c += t / sum_factor;
        }
        // Higher terms of the series: the inlets are steady, so only differences propagate.
        apply(term, next, 0.0, 0.0);
        term.copy_from_slice(next);
        sum_factor *= order as f64;
        mean_factor *= order as f64 + 1.0;
        if order == 2 {
            outlet_c += term[draw.hot] / mean_factor;
        }
    }
    for (slice_c, &t) in slices_c.iter_mut().zip(term.iter()) {
        *slice_c += t / sum_factor;
    }
    outlet_c
}

/// The draw's part of a pass.
#[derive(Clone, Copy, Debug)]
pub(crate) struct DrawPass {
    /// Inlet slice.
    pub(crate) cold: usize,
    /// Outlet slice.
    pub(crate) hot: usize,
    /// Incoming temperature in degC.
    pub(crate) cold_c: f64,
    /// Slice volumes moved in the pass.
    pub(crate) moved: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Paths of every length, in blocks or not, beside one slice at a time.
    #[test]
    fn blocks_move_as_single_slices_do() {
        for slices in 1..=4 * BLOCK + 1 {
            let before_c: Vec<f64> = (0..slices).map(|i| 20.0 + ((i * i) % 17) as f64).collect();
            for cold in [0, slices / 3] {
                let mut moved_c = before_c.clone();
                draw_up(&mut moved_c, cold, slices - 1, 8.0, 0.4);
                assert_eq!(moved_c[..cold], before_c[..cold]);
                for i in cold..slices {
                    let expected_c = drawn_c(&before_c[cold..=i], 8.0, 0.4);
                    approx::assert_abs_diff_eq!(moved_c[i], expected_c, epsilon = 1e-12);
                }
            }
        }
    }
}
