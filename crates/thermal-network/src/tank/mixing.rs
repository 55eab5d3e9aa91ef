//! Buoyancy: slices hotter than the one above mix with it at once.

use super::BLOCK;

/// Mixes the slices of `slices_c` (bottom first, equal masses) by the least mixing that leaves no slice hotter than the
/// one above: adjacent violators are pooled to their mean (Ayer et al. 1955, Annals of Mathematical Statistics 26, from
/// memory), bottom to top and in place, since whatever lies below the place reached is already in order. Energy is conserved.
pub(crate) fn settle(slices_c: &mut [f64]) {
    let mut ordered = 0;
    while let Some(hotter) = first_inversion(&slices_c[ordered..]) {
        let mut end = ordered + hotter + 2;
        let mut start = end - 2;
        let mut sum = slices_c[start] + slices_c[start + 1];
        let mut size = 2.0;
        loop {
            // Compared without dividing: the pool's mean against its neighbours.
            for below_c in slices_c[..start].iter().rev() {
                if below_c * size <= sum {
                    break;
                }
                start -= 1;
                sum += below_c;
                size += 1.0;
            }
            match slices_c.get(end) {
                Some(above_c) if above_c * size < sum => {
                    end += 1;
                    sum += above_c;
                    size += 1.0;
                }
                _ => break,
            }
        }
        slices_c[start..end].fill(sum / size);
        ordered = end - 1;
    }
}

/// Index of the first slice hotter than the one above. Whole blocks in order are passed over at once.
#[inline]
fn first_inversion(slices_c: &[f64]) -> Option<usize> {
    let mut passed = 0;
    while let Some((block_c, _)) = slices_c[passed..].split_first_chunk::<{ BLOCK + 1 }>() {
        let mut inverted = false;
        for i in 0..BLOCK {
            inverted |= block_c[i] > block_c[i + 1];
        }
        if inverted {
            break;
        }
        passed += BLOCK;
    }
    slices_c[passed..].windows(2).position(|pair| pair[0] > pair[1]).map(|index| passed + index)
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
