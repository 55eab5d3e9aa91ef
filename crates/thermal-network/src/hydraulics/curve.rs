//! A smooth curve through given points that rises and falls only where they do.

/// Points that do not make a curve.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CurveFault {
    /// Index of the point it shows at.
    pub point: usize,
    /// What is wrong, as a sentence without its end.
    pub message: &'static str,
}

impl CurveFault {
    pub(super) fn new(point: usize, message: &'static str) -> Self {
        Self { point, message }
    }
}

impl std::fmt::Display for CurveFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "point {}: {}", self.point + 1, self.message)
    }
}

impl std::error::Error for CurveFault {}

/// Cubic pieces with the slopes of Fritsch and Butland (1984), SIAM J. Sci. Stat. Comput. 5:300: the weighted harmonic mean of
/// the chords on both sides, zero where they differ in sign. The ends take the slope of their chord and run on straight.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// (x, y, slope at x), x rising.
    knots: Vec<(f64, f64, f64)>,
}

impl Curve {
    /// A curve through `points`, (x, y) with rising x.
    ///
    /// # Errors
    /// Fewer than two points, a value that is not finite, or an x that does not rise.
    pub fn new(points: &[(f64, f64)]) -> Result<Self, CurveFault> {
        if points.len() < 2 {
            return Err(CurveFault::new(0, "a curve needs two points or more"));
        }
        if let Some(bad) = points.iter().position(|(x, y)| !x.is_finite() || !y.is_finite()) {
            return Err(CurveFault::new(bad, "not a number"));
        }
        if let Some(before) = points.windows(2).position(|pair| pair[0].0 >= pair[1].0) {
            return Err(CurveFault::new(before + 1, "the flow does not rise from point to point"));
        }
        let chords: Vec<(f64, f64)> = points
            .windows(2)
            .map(|pair| {
                let width = pair[1].0 - pair[0].0;
                (width, (pair[1].1 - pair[0].1) / width)
            })
            .collect();
        let last = points.len() - 1;
        let slope = |i: usize| match i {
            0 => chords[0].1,
            i if i == last => chords[last - 1].1,
            i => {
                let ((before, left), (after, right)) = (chords[i - 1], chords[i]);
                if left * right <= 0.0 {
                    return 0.0;
                }
                let (toward_left, toward_right) = (2.0 * after + before, after + 2.0 * before);
                (toward_left + toward_right) / (toward_left / left + toward_right / right)
            }
        };
        Ok(Self { knots: points.iter().enumerate().map(|(i, &(x, y))| (x, y, slope(i))).collect() })
    }

    /// Value at `x`.
    pub fn at(&self, x: f64) -> f64 {
        let after = self.knots.partition_point(|knot| knot.0 <= x);
        if after == 0 || after == self.knots.len() {
            let (at, y, slope) = self.knots[after.saturating_sub(1)];
            return y + slope * (x - at);
        }
        let ((left, low, rise_left), (right, high, rise_right)) = (self.knots[after - 1], self.knots[after]);
        let width = right - left;
        let t = (x - left) / width;
        let rest = 1.0 - t;
        // Hermite's cubic.
        rest * rest * (low * (1.0 + 2.0 * t) + rise_left * width * t)
            + t * t * (high * (1.0 + 2.0 * rest) - rise_right * width * rest)
    }

    /// Smallest and largest x given.
    pub fn range(&self) -> (f64, f64) {
        (self.knots[0].0, self.knots[self.knots.len() - 1].0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_passes_its_points_and_never_turns_between_them() {
        // A flat start and a steep end: an ordinary spline would rise above the first point.
        let points = [(0.0, 6.0), (1.0, 5.9), (2.0, 5.5), (3.0, 2.0), (3.5, 0.0)];
        let curve = Curve::new(&points).unwrap();
        for (x, y) in points {
            // Rounding of four products.
            assert!((curve.at(x) - y).abs() < 1e-14);
        }
        let values: Vec<f64> = (0..=400).map(|i| curve.at(f64::from(i) * 0.01)).collect();
        assert!(values.windows(2).all(|pair| pair[0] > pair[1]));
        // The last chord falls by 4 in 1.
        assert!((curve.at(4.0) + 2.0).abs() < 1e-14);
        assert_eq!(curve.range(), (0.0, 3.5));
    }

    #[test]
    fn a_slope_by_hand_and_a_straight_line() {
        // Chords -1 over 1 and -3 over 2: weights 2 x 2 + 1 = 5 and 2 + 2 x 1 = 4, slope -9/(5/1 + 4/3) = -27/19.
        let curve = Curve::new(&[(0.0, 0.0), (1.0, -1.0), (3.0, -7.0)]).unwrap();
        let slope = (curve.at(1.0 + 1e-6) - curve.at(1.0 - 1e-6)) / 2e-6;
        // A central difference over 1e-6 is good to its square and to rounding over 1e-6.
        assert!((slope + 27.0 / 19.0).abs() < 1e-6, "{slope}");
        let line = Curve::new(&[(0.0, 4.0), (2.0, 0.0)]).unwrap();
        assert!((line.at(0.7) - 2.6).abs() < 1e-15);
    }

    #[test]
    fn points_that_make_no_curve() {
        let point = |points: &[(f64, f64)]| Curve::new(points).unwrap_err().point;
        assert_eq!(point(&[(0.0, 1.0)]), 0);
        assert_eq!(point(&[(0.0, 1.0), (1.0, f64::NAN)]), 1);
        assert_eq!(point(&[(0.0, 1.0), (2.0, 0.5), (2.0, 0.4)]), 2);
    }
}
