//! Buoyancy: slices hotter than the one above mix with it at once.

/// Mixes the slices of `slices_c` (bottom first, equal masses) by the least mixing that leaves no slice hotter than the
/// one above: adjacent violators are pooled to their mean. Energy is conserved.
///
/// `pools` is scratch of at least the same length.
#[inline]
pub(crate) fn settle(slices_c: &mut [f64], pools: &mut [(f64, f64)]) {
    if slices_c.windows(2).fold(false, |any, pair| any | (pair[0] > pair[1])) {
        pool_violators(slices_c, pools);
    }
}

/// Pool adjacent violators (Ayer et al. 1955, Annals of Mathematical Statistics 26, from memory), bottom to top.
fn pool_violators(slices_c: &mut [f64], pools: &mut [(f64, f64)]) {
    let mut count = 0;
    for &slice_c in slices_c.iter() {
        let mut pool = (slice_c, 1.0);
        while count > 0 {
            let below: (f64, f64) = pools[count - 1];
            if below.0 <= pool.0 {
                break;
            }
            let size = below.1 + pool.1;
            pool = ((below.0 * below.1 + pool.0 * pool.1) / size, size);
            count -= 1;
        }
        pools[count] = pool;
        count += 1;
    }
    let mut at = 0;
    for &(mean_c, size) in &pools[..count] {
        let end = at + size as usize;
        slices_c[at..end].fill(mean_c);
        at = end;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn settled(slices_c: &[f64]) -> Vec<f64> {
        let mut slices_c = slices_c.to_vec();
        let mut pools = vec![(0.0, 0.0); slices_c.len()];
        settle(&mut slices_c, &mut pools);
        slices_c
    }

    #[test]
    fn pools_the_least_that_orders_the_slices() {
        // Independent single-component answers, sets 1 to 4 (equal slices, energy conserved), to 1e-9.
        let cases = [
            ([20.0, 30.0, 60.0, 50.0, 40.0, 70.0], [20.0, 30.0, 50.0, 50.0, 50.0, 70.0]),
            ([40.0, 60.0, 50.0, 30.0, 45.0, 70.0], [40.0, 46.25, 46.25, 46.25, 46.25, 70.0]),
            ([70.0, 60.0, 50.0, 40.0, 30.0, 20.0], [45.0; 6]),
            ([20.0, 50.0, 30.0, 45.0, 25.0, 60.0], [20.0, 37.5, 37.5, 37.5, 37.5, 60.0]),
        ];
        for (before, after) in cases {
            for (found, expected) in settled(&before).iter().zip(after) {
                approx::assert_abs_diff_eq!(*found, expected, epsilon = 1e-9);
            }
        }
    }
}
