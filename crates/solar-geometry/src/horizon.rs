//! What stands in the way: a horizon line, and a table of shading by month and hour.

use crate::angle::wrap_positive_rad;
use crate::sky::sky_view_frac;
use crate::surface::{Direction, Plane};
use core::f64::consts::{FRAC_PI_2, PI, TAU};
use libm::{atan2, sincos};

/// One point of a horizon line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HorizonPoint {
    /// Azimuth, clockwise from true north, rad.
    pub azimuth_rad: f64,
    /// Height of the obstacle's edge above the flat horizon, rad.
    pub elevation_rad: f64,
}

/// The line up to which hills, trees and houses cover the sky, the same for the whole field.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Horizon {
    /// Points with azimuths from 0 to 2 pi, ascending.
    points: Vec<HorizonPoint>,
}

impl Horizon {
    /// A line through points in any order, straight between them and closed around the north.
    ///
    /// Azimuths are brought into one turn and elevations into 0 to pi/2. No point means a flat horizon, one point
    /// the same height all around. Two points of one azimuth make a step, in the order given.
    pub fn new(points: impl IntoIterator<Item = HorizonPoint>) -> Self {
        let mut points: Vec<_> = points
            .into_iter()
            .map(|point| HorizonPoint {
                azimuth_rad: wrap_positive_rad(point.azimuth_rad),
                elevation_rad: point.elevation_rad.clamp(0.0, FRAC_PI_2),
            })
            .collect();
        points.sort_by(|a, b| a.azimuth_rad.total_cmp(&b.azimuth_rad));
        Self { points }
    }

    /// Height of the line in a direction, rad.
    pub fn elevation_rad(&self, azimuth_rad: f64) -> f64 {
        let (Some(first), Some(last)) = (self.points.first(), self.points.last()) else {
            return 0.0;
        };
        let azimuth_rad = wrap_positive_rad(azimuth_rad);
        let next = self.points.partition_point(|point| point.azimuth_rad <= azimuth_rad);
        // Around the north the last point is followed by the first, one turn on.
        let (left, left_rad) = match next {
            0 => (last, last.azimuth_rad - TAU),
            _ => (&self.points[next - 1], self.points[next - 1].azimuth_rad),
        };
        let (right, right_rad) = match self.points.get(next) {
            Some(point) => (point, point.azimuth_rad),
            None => (first, first.azimuth_rad + TAU),
        };
        let along_frac = (azimuth_rad - left_rad) / (right_rad - left_rad);
        left.elevation_rad + along_frac * (right.elevation_rad - left.elevation_rad)
    }

    /// Whether the line stands between the plane and the sun (its centre); below the flat horizon it always does.
    pub fn blocks(&self, sun: &Direction) -> bool {
        sun.up <= 0.0
            || (!self.points.is_empty() && {
                let horizontal = (sun.east * sun.east + sun.north * sun.north).sqrt();
                atan2(sun.up, horizontal) < self.elevation_rad(sun.azimuth_rad())
            })
    }

    /// Share of the sky seen by a plane over a flat horizon that is left above the line, weighted with the cosine of
    /// incidence: what isotropic diffuse is multiplied with. `plane` is tilted by at most pi/2 (more counts as that).
    ///
    /// Costs a few thousand operations: meant to be done once, not per step.
    pub fn visible_sky_frac(&self, plane: &Plane) -> f64 {
        if self.points.is_empty() {
            return 1.0;
        }
        // Half-degree sectors: below 1e-5 for lines with points a degree apart.
        const SECTORS: u32 = 720;
        let tilt_rad = plane.tilt_rad.clamp(0.0, FRAC_PI_2);
        let (sin_tilt, cos_tilt) = sincos(tilt_rad);
        let width_rad = TAU / f64::from(SECTORS);
        let seen: f64 = (0..SECTORS)
            .map(|sector| {
                let azimuth_rad = width_rad * (f64::from(sector) + 0.5);
                let ahead = libm::cos(azimuth_rad - plane.azimuth_rad) * sin_tilt;
                // The plane's own edge, where it cuts into the sky behind it.
                let edge_rad = if ahead < 0.0 { atan2(-ahead, cos_tilt) } else { 0.0 };
                let from_rad = self.elevation_rad(azimuth_rad).max(edge_rad);
                let (sine, cosine) = sincos(from_rad);
                // Integral of (cos_tilt sin e + ahead cos e) cos e from the line to the zenith.
                0.5 * cos_tilt * cosine * cosine + 0.5 * ahead * (FRAC_PI_2 - from_rad - sine * cosine)
            })
            .sum();
        (seen * width_rad / (PI * sky_view_frac(tilt_rad))).clamp(0.0, 1.0)
    }
}

/// Share of the beam that obstacles near by take, by month and hour of the day (local standard time).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShadingTable {
    shaded_frac: [[f64; 24]; 12],
}

impl ShadingTable {
    /// A table of shaded shares, months from January and hours from midnight; each share is taken within 0 to 1.
    pub fn new(shaded_frac: [[f64; 24]; 12]) -> Self {
        Self { shaded_frac: shaded_frac.map(|month| month.map(|share| share.clamp(0.0, 1.0))) }
    }

    /// Shaded share in a month (1 to 12) and at an hour of the day (0 to 24), constant through each hour.
    pub fn shaded_frac(&self, month: u32, hour_of_day: f64) -> f64 {
        let month = (month.clamp(1, 12) - 1) as usize;
        // A float below zero becomes 0 in this conversion.
        let hour = (hour_of_day as usize).min(23);
        self.shaded_frac[month][hour]
    }
}
