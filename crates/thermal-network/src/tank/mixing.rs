//! Buoyancy: slices hotter than the one above mix with it at once.

/// Mixes the slices of `slices_c` (bottom first, equal masses) by the least mixing that leaves no slice hotter than the
/// one above: adjacent violators are pooled to their mean. Energy is conserved.
#[inline]
pub(crate) fn settle(slices_c: &mut [f64]) {
    if slices_c.windows(2).fold(false, |any, pair| any | (pair[0] > pair[1])) {
        pool_violators(slices_c);
    }
}

/// Pool adjacent violators (Ayer et al. 1955, Annals of Mathematical Statistics 26, from memory), bottom to top, in place:
/// whatever lies below the place reached is already in order.
#[inline(never)]
fn pool_violators(slices_c: &mut [f64]) {
    let mut next = 1;
    while next < slices_c.len() {
        if slices_c[next - 1] <= slices_c[next] {
            next += 1;
            continue;
        }
        let mut start = next - 1;
        let mut sum = slices_c[start] + slices_c[next];
        next += 1;
        let mut size = 2.0;
        loop {
            // Compared without dividing: the pool's mean against its neighbours.
            if start > 0 && slices_c[start - 1] * size > sum {
                start -= 1;
                sum += slices_c[start];
            } else if next < slices_c.len() && slices_c[next] * size < sum {
                sum += slices_c[next];
                next += 1;
            } else {
                break;
            }
            size += 1.0;
        }
        slices_c[start..next].fill(sum / size);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn settled(slices_c: &[f64]) -> Vec<f64> {
        let mut slices_c = slices_c.to_vec();
        settle(&mut slices_c);
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
