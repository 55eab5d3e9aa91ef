//! A curve over an angle, given by points.

use core::f64::consts::FRAC_PI_2;
use core::fmt;

/// Points of a modifier over an angle, joined by straight lines.
#[derive(Debug, Clone, PartialEq)]
pub struct AngleTable {
    /// (angle in rad, factor), ascending, from 0 to pi/2.
    points: Vec<(f64, f64)>,
}

/// Why points make no table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TableError {
    /// There is no point.
    Empty,
    /// An angle is not above the one before, or not within 0 to 90 deg.
    Order {
        /// Place of the point, counted from zero.
        point: usize,
    },
    /// A factor is negative or not a number.
    Factor {
        /// Place of the point, counted from zero.
        point: usize,
    },
}

impl fmt::Display for TableError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "the table has no points"),
            Self::Order { point } => {
                write!(f, "angle {} must be above the one before it and within 0 to 90 deg", point + 1)
            }
            Self::Factor { point } => write!(f, "factor {} must be a number that is not negative", point + 1),
        }
    }
}

impl core::error::Error for TableError {}

impl AngleTable {
    /// A table from (angle in deg, factor), ascending.
    ///
    /// A table that does not begin at 0 deg starts with 1 there; one that does not reach 90 deg ends with 0 there.
    ///
    /// # Errors
    /// See [`TableError`].
    pub fn from_deg(points_deg: &[(f64, f64)]) -> Result<Self, TableError> {
        let (Some(first), Some(last)) = (points_deg.first(), points_deg.last()) else {
            return Err(TableError::Empty);
        };
        for (point, &(angle_deg, factor)) in points_deg.iter().enumerate() {
            let ascending = point == 0 || angle_deg > points_deg[point - 1].0;
            if !ascending || !(0.0..=90.0).contains(&angle_deg) {
                return Err(TableError::Order { point });
            }
            if !factor.is_finite() || factor < 0.0 {
                return Err(TableError::Factor { point });
            }
        }
        let before = (first.0 > 0.0).then_some((0.0, 1.0));
        let after = (last.0 < 90.0).then_some((FRAC_PI_2, 0.0));
        let inner = points_deg.iter().map(|(angle_deg, factor)| (angle_deg.to_radians(), *factor));
        Ok(Self { points: before.into_iter().chain(inner).chain(after).collect() })
    }

    /// The factor at an angle (its sign does not matter), rad; zero from 90 deg on.
    pub fn at(&self, angle_rad: f64) -> f64 {
        let angle_rad = angle_rad.abs();
        if angle_rad >= FRAC_PI_2 {
            return 0.0;
        }
        // The first point is at 0 and the last at 90 deg: there is always one on each side.
        let next = self.points.partition_point(|(point_rad, _)| *point_rad <= angle_rad);
        let ((left_rad, left), (right_rad, right)) = (self.points[next - 1], self.points[next]);
        left + (right - left) * (angle_rad - left_rad) / (right_rad - left_rad)
    }
}
