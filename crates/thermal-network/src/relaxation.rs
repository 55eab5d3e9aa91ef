//! Shares of what relaxes exponentially, by the number of time constants that pass.

/// `exp(-x)` of what relaxes in a step, `x` not negative: the series to the fourth order below 0.1, up to 3.2 its 32nd power, error
/// below 3e-7; beyond that exactly.
#[inline]
pub(crate) fn decay(x: f64) -> f64 {
    let series = |x: f64| 1.0 - x * (1.0 - x * (0.5 - x * (1.0 / 6.0 - x * (1.0 / 24.0))));
    if x < 0.1 {
        series(x)
    } else if x < 3.2 {
        let mut power = series(x * (1.0 / 32.0));
        for _ in 0..5 {
            power *= power;
        }
        power
    } else {
        libm::exp(-x)
    }
}

/// Weights of the beginning and of a steady source in the mean of something that relaxes through `x` time constants:
/// `(1 - exp(-x))/x` and one minus that over `x`.
#[inline]
pub(crate) fn mean_weights(x: f64) -> (f64, f64) {
    let share = mean_share(x);
    // The quotient loses its digits where x is small.
    let ramp = if x < 0.1 {
        0.5 - x * (1.0 / 6.0 - x * (1.0 / 24.0 - x * (1.0 / 120.0)))
    } else {
        (1.0 - share) / x
    };
    (share, ramp)
}

/// `(1 - exp(-x))/x`: the mean of a unit difference that relaxes through `x` time constants.
#[inline]
pub(crate) fn mean_share(x: f64) -> f64 {
    if x < 0.1 {
        1.0 - x * (0.5 - x * (1.0 / 6.0 - x * (1.0 / 24.0 - x * (1.0 / 120.0))))
    } else {
        (1.0 - decay(x)) / x
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decay_is_the_exponential() {
        for i in 0..5000 {
            let x = 1e-3 * f64::from(i);
            let (found, exact) = (decay(x), libm::exp(-x));
            assert!((found - exact).abs() < 3e-7, "at {x}: {found}, exactly {exact}");
        }
    }
}
