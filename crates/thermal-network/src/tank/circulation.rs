//! A stream of tank water that is warmed outside, and a draw at the same time.
//!
//! Flows between slices are the net of both; the series is that of [`super::flow`]. Water that comes back warmer than what lies
//! above rises and mixes with it at once, so what flows on from there is no warmer than the mixture: the slices it lifts to one
//! temperature within the pass share its heat from the beginning.

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

/// Working memory for a pass: one number a slice.
#[derive(Clone, Debug, Default)]
pub(crate) struct Passage {
    /// Slice volumes that come in from the slice below and from the one above.
    from_below: Vec<f64>,
    from_above: Vec<f64>,
    /// Share of the circulated heat.
    shares: Vec<f64>,
    /// Terms of the series.
    term: Vec<f64>,
    next: Vec<f64>,
}

impl Passage {
    /// For tanks of up to `slices`.
    pub(crate) fn new(slices: usize) -> Self {
        let zeros = vec![0.0; slices];
        Self {
            from_below: zeros.clone(),
            from_above: zeros.clone(),
            shares: zeros.clone(),
            term: zeros.clone(),
            next: zeros,
        }
    }

    /// Draw and circulation at once. Returns the mean outlet temperature at `draw.hot`; the slices must be settled afterwards.
    pub(crate) fn draw_and_circulate(
        &mut self,
        slices_c: &mut [f64],
        draw: &DrawPass,
        circulation: &Circulation,
    ) -> f64 {
        let n = slices_c.len();
        self.set_flows(n, draw, circulation);
        self.share_heat(slices_c, circulation);
        let Self { term, next, .. } = &mut *self;
        let (mut term, mut next) = (std::mem::take(term), std::mem::take(next));
        self.change(slices_c, &mut term[..n], draw, circulation);
        // Higher terms of the series: the inlets are steady, so only differences propagate.
        let still_draw = DrawPass { cold_c: 0.0, ..*draw };
        let still = Circulation { rise_k: 0.0, ..*circulation };
        let mut outlet_c = slices_c[draw.hot] + term[draw.hot] / 2.0;
        let (mut sum_factor, mut mean_factor) = (1.0, 2.0);
        for order in 2..=3 {
            add(slices_c, &term, 1.0 / sum_factor);
            self.change(&term[..n], &mut next[..n], &still_draw, &still);
            std::mem::swap(&mut term, &mut next);
            sum_factor *= f64::from(order);
            mean_factor *= f64::from(order) + 1.0;
            if order == 2 {
                outlet_c += term[draw.hot] / mean_factor;
            }
        }
        add(slices_c, &term, 1.0 / sum_factor);
        (self.term, self.next) = (term, next);
        outlet_c
    }

    /// Net flows between the slices.
    fn set_flows(&mut self, slices: usize, draw: &DrawPass, circulation: &Circulation) {
        let Circulation { from, to, moved, .. } = *circulation;
        self.from_below[..slices].fill(0.0);
        self.from_above[..slices].fill(0.0);
        // Inside the tank the stream goes back from where it returns to where it is taken.
        for face in 1..slices {
            let drawn = if draw.cold < face && face <= draw.hot { draw.moved } else { 0.0 };
            let returned = if from < face && face <= to {
                -moved
            } else if to < face && face <= from {
                moved
            } else {
                0.0
            };
            self.from_below[face] = (drawn + returned).max(0.0);
            self.from_above[face - 1] = (-drawn - returned).max(0.0);
        }
    }

    /// Shares of the heat that comes in: what each slice lacks to the temperature at which its water and theirs mix. Water that comes
    /// back colder warms nothing above: the slice it comes to takes it.
    fn share_heat(&mut self, slices_c: &[f64], circulation: &Circulation) {
        let Circulation { from, to, moved, rise_k } = *circulation;
        self.shares[..slices_c.len()].fill(0.0);
        self.shares[to] = 1.0;
        let brought_k = moved * (slices_c[from] + rise_k - slices_c[to]);
        if brought_k <= 0.0 {
            return;
        }
        let mut sum_k = slices_c[to] + brought_k;
        let mut size = 1.0;
        let mut end = to + 1;
        while let Some(above_c) = slices_c.get(end).filter(|&above_c| above_c * size < sum_k) {
            sum_k += above_c;
            size += 1.0;
            end += 1;
        }
        let mixed_c = sum_k / size;
        // Of slices that loss has left out of order some are warmer already.
        let lack_k = |slice_c: &f64| (mixed_c - slice_c).max(0.0);
        let lacking_k: f64 = slices_c[to..end].iter().map(lack_k).sum();
        if lacking_k > 0.0 {
            let per_lacking = 1.0 / lacking_k;
            for (share, slice_c) in self.shares[to..end].iter_mut().zip(&slices_c[to..end]) {
                *share = lack_k(slice_c) * per_lacking;
            }
        }
    }

    /// Rate of change of the slices at `v`, in K a pass.
    fn change(&self, v: &[f64], out: &mut [f64], draw: &DrawPass, circulation: &Circulation) {
        let n = v.len();
        let Circulation { from, to, moved, rise_k } = *circulation;
        let brought_k = moved * (v[from] + rise_k - v[to]);
        let (below, above, shares) = (&self.from_below[..n], &self.from_above[..n], &self.shares[..n]);
        out[0] = shares[0] * brought_k;
        for i in 1..n {
            out[i] = shares[i] * brought_k + below[i] * (v[i - 1] - v[i]);
        }
        for i in 0..n - 1 {
            out[i] += above[i] * (v[i + 1] - v[i]);
        }
        out[draw.cold] += draw.moved * (draw.cold_c - v[draw.cold]);
    }
}

/// Adds a term of the series.
fn add(slices_c: &mut [f64], term: &[f64], factor: f64) {
    for (slice_c, term_k) in slices_c.iter_mut().zip(term) {
        *slice_c += factor * term_k;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const NO_DRAW: DrawPass = DrawPass { cold: 0, hot: 3, cold_c: 10.0, moved: 0.0 };

    /// By hand: 0.1 slice volumes, 20 K warmer than the lowest slice, come to the second of four slices at 40 degC, and as much goes down.
    /// The three that share the heat follow `60 - 20 exp(-x/3)` after x slice volumes, 40.6557 degC at the end (the lowest warms by
    /// 0.03 K, which adds 0.0006); what goes down is as warm as they are on the mean of the pass, 0.33 K over the lowest.
    #[test]
    fn what_rises_shares_its_heat_before_it_flows_on() {
        let mut slices_c = [40.0; 4];
        let stream = Circulation { from: 0, to: 1, moved: 0.1, rise_k: 20.0 };
        let mut passage = Passage::new(4);
        passage.draw_and_circulate(&mut slices_c, &NO_DRAW, &stream);
        approx::assert_abs_diff_eq!(slices_c.iter().sum::<f64>(), 162.0, epsilon = 1e-12);
        approx::assert_abs_diff_eq!(slices_c[2], 40.6557, epsilon = 1e-3);
        approx::assert_abs_diff_eq!(slices_c[3], slices_c[2], epsilon = 1e-12);
        approx::assert_abs_diff_eq!(slices_c[0], 40.0 + 0.1 * 0.33, epsilon = 2e-3);
    }

    /// Slices that are not in order, and a return that brings hardly anything: no share of the heat leaves 0 to 1.
    #[test]
    fn shares_stay_shares() {
        for rise_k in [-5.0, 0.0, 1e-9, 0.3, 40.0] {
            let slices_c = [30.0, 50.0, 40.0, 49.9, 60.0];
            let mut passage = Passage::new(5);
            passage.share_heat(&slices_c, &Circulation { from: 1, to: 1, moved: 0.2, rise_k });
            assert!(passage.shares.iter().all(|share| (0.0..=1.0).contains(share)), "{:?}", passage.shares);
            approx::assert_abs_diff_eq!(passage.shares.iter().sum::<f64>(), 1.0, epsilon = 1e-12);
        }
    }
}
