//! From the centre of the Earth to the observer: parallax and the local horizon, as vectors.
//!
//! The same geometry as the sun position algorithm (Reda and Andreas 2004, steps 3.11 to 3.15), written with
//! vectors: no angle is formed before it is asked for, and poles and zenith need no special care.

use super::Observer;
use crate::angle::wrap_positive_rad;
use libm::{atan, atan2, cos, hypot, sin, tan};

/// What stays the same for one observer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Site {
    pub(super) sin_latitude: f64,
    pub(super) cos_latitude: f64,
    /// Distance from the Earth's axis, in equatorial radii.
    from_axis: f64,
    /// Distance from the plane of the equator, north positive, in equatorial radii.
    from_equator: f64,
}

/// Polar over equatorial radius of the Earth, and the equatorial radius in m (as the algorithm has them).
const POLAR_RATIO: f64 = 0.996_647_19;
const EQUATORIAL_RADIUS_M: f64 = 6_378_140.0;

impl Site {
    pub(super) fn new(observer: &Observer) -> Self {
        let latitude_rad = observer.latitude_deg.to_radians();
        let (sin_latitude, cos_latitude) = (sin(latitude_rad), cos(latitude_rad));
        let reduced_rad = atan(POLAR_RATIO * tan(latitude_rad));
        let height = observer.elevation_m / EQUATORIAL_RADIUS_M;
        Self {
            sin_latitude,
            cos_latitude,
            from_axis: cos(reduced_rad) + height * cos_latitude,
            from_equator: POLAR_RATIO * sin(reduced_rad) + height * sin_latitude,
        }
    }
}

/// Direction to the sun from the observer; the vectors are nearly, not exactly, of unit length.
#[derive(Debug, Clone, Copy)]
pub(super) struct Topocentric {
    /// Towards the point where the observer's meridian meets the equator.
    meridian: f64,
    west: f64,
    /// Towards the celestial north pole.
    pole: f64,
    pub(super) up: f64,
    pub(super) north: f64,
}

impl Topocentric {
    /// From the geocentric local hour angle, sine and cosine of the declination, and sine of the parallax.
    pub(super) fn new(
        site: &Site,
        hour_angle_rad: f64,
        [sin_declination, cos_declination]: [f64; 2],
        sin_parallax: f64,
    ) -> Self {
        let (sin_hour, cos_hour) = libm::sincos(hour_angle_rad);
        let meridian = cos_declination * cos_hour - site.from_axis * sin_parallax;
        let pole = sin_declination - site.from_equator * sin_parallax;
        Self {
            meridian,
            west: cos_declination * sin_hour,
            pole,
            up: meridian * site.cos_latitude + pole * site.sin_latitude,
            north: pole * site.cos_latitude - meridian * site.sin_latitude,
        }
    }

    pub(super) fn east(&self) -> f64 {
        -self.west
    }

    pub(super) fn length(&self) -> f64 {
        (self.meridian * self.meridian + self.west * self.west + self.pole * self.pole).sqrt()
    }

    pub(super) fn zenith_rad(&self) -> f64 {
        atan2((self.north * self.north + self.west * self.west).sqrt(), self.up)
    }

    pub(super) fn azimuth_rad(&self) -> f64 {
        wrap_positive_rad(atan2(self.east(), self.north))
    }

    pub(super) fn hour_angle_rad(&self) -> f64 {
        atan2(self.west, self.meridian)
    }

    pub(super) fn declination_rad(&self) -> f64 {
        atan2(self.pole, hypot(self.meridian, self.west))
    }
}
