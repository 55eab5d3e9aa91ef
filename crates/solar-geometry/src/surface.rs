//! Planes: tilt, azimuth, incidence, longitudinal and transversal angles.

use crate::angle::wrap_positive_rad;
use core::f64::consts::PI;
use libm::{acos, atan2, sincos};

/// A vector in the observer's frame; of unit length where it stands for a direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Direction {
    /// Share towards the east.
    pub east: f64,
    /// Share towards true north.
    pub north: f64,
    /// Share towards the zenith.
    pub up: f64,
}

impl Direction {
    /// Direction of a zenith angle and an azimuth, rad.
    pub fn from_angles(zenith_rad: f64, azimuth_rad: f64) -> Self {
        let (sin_zenith, cos_zenith) = sincos(zenith_rad);
        let (sin_azimuth, cos_azimuth) = sincos(azimuth_rad);
        Self { east: sin_zenith * sin_azimuth, north: sin_zenith * cos_azimuth, up: cos_zenith }
    }

    /// Cosine of the angle to another direction.
    pub fn dot(&self, other: &Self) -> f64 {
        self.east * other.east + self.north * other.north + self.up * other.up
    }

    /// Angle from the zenith, 0 to pi, rad.
    pub fn zenith_rad(&self) -> f64 {
        atan2((self.east * self.east + self.north * self.north).sqrt(), self.up)
    }

    /// Azimuth, clockwise from true north, 0 to 2 pi, rad; without meaning at the zenith.
    pub fn azimuth_rad(&self) -> f64 {
        wrap_positive_rad(atan2(self.east, self.north))
    }
}

/// A flat surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    /// Tilt from the horizontal: 0 faces the zenith, pi/2 is a wall, rad.
    pub tilt_rad: f64,
    /// Azimuth that the surface faces, clockwise from true north, rad.
    pub azimuth_rad: f64,
}

impl Plane {
    /// A plane by its angles in degrees.
    pub fn from_deg(tilt_deg: f64, azimuth_deg: f64) -> Self {
        Self { tilt_rad: tilt_deg.to_radians(), azimuth_rad: azimuth_deg.to_radians() }
    }

    /// Unit vector at right angles to the plane, on its sunny side.
    pub fn normal(&self) -> Direction {
        Direction::from_angles(self.tilt_rad, self.azimuth_rad)
    }
}

/// Place of the sun by latitude, declination and hour angle, rad, the handbook's way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SolarAngles {
    /// Geographic latitude, north positive, rad.
    pub latitude_rad: f64,
    /// Declination of the sun, rad.
    pub declination_rad: f64,
    /// Hour angle, zero at solar noon, afternoon positive, rad.
    pub hour_angle_rad: f64,
}

impl SolarAngles {
    /// Unit vector towards the sun in the observer's frame.
    pub fn direction(&self) -> Direction {
        let (sin_latitude, cos_latitude) = sincos(self.latitude_rad);
        let (sin_declination, cos_declination) = sincos(self.declination_rad);
        let (sin_hour, cos_hour) = sincos(self.hour_angle_rad);
        Direction {
            east: -cos_declination * sin_hour,
            north: sin_declination * cos_latitude - cos_declination * cos_hour * sin_latitude,
            up: sin_declination * sin_latitude + cos_declination * cos_hour * cos_latitude,
        }
    }

    /// Cosine of the angle between the sun and a plane's normal; negative when the sun is behind the plane.
    ///
    /// The five-term relation of the handbooks (e.g. Duffie and Beckman, Solar Engineering of Thermal Processes,
    /// equation 1.6.2), with the surface azimuth counted from north here.
    pub fn cos_incidence(&self, plane: &Plane) -> f64 {
        let (sin_latitude, cos_latitude) = sincos(self.latitude_rad);
        let (sin_declination, cos_declination) = sincos(self.declination_rad);
        let (sin_hour, cos_hour) = sincos(self.hour_angle_rad);
        let (sin_tilt, cos_tilt) = sincos(plane.tilt_rad);
        // Surface azimuth from south, west positive.
        let (sin_gamma, cos_gamma) = sincos(plane.azimuth_rad - PI);
        sin_declination * sin_latitude * cos_tilt - sin_declination * cos_latitude * sin_tilt * cos_gamma
            + cos_declination * cos_latitude * cos_tilt * cos_hour
            + cos_declination * sin_latitude * sin_tilt * cos_gamma * cos_hour
            + cos_declination * sin_tilt * sin_gamma * sin_hour
    }
}

/// Cosine of the angle between the sun and a plane's normal; negative when the sun is behind the plane.
pub fn cos_incidence(zenith_rad: f64, azimuth_rad: f64, plane: &Plane) -> f64 {
    Direction::from_angles(zenith_rad, azimuth_rad).dot(&plane.normal())
}

/// Angle of incidence, 0 to pi, rad, from its cosine; rounding beyond 1 is taken as 1.
pub fn incidence_rad(cos_incidence: f64) -> f64 {
    acos(cos_incidence.clamp(-1.0, 1.0))
}

/// Incidence split into the two planes that matter for collectors with unlike axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProjectedAngles {
    /// Angle in the plane of the normal and the up-slope axis, rad.
    pub longitudinal_rad: f64,
    /// Angle in the plane of the normal and the collector's horizontal axis, rad.
    pub transversal_rad: f64,
}

/// Longitudinal and transversal incidence angles, without sign, rad: `tan^2 theta = tan^2 T + tan^2 L`.
///
/// Longitudinal is measured along the slope (the tubes of an upright tube collector), transversal across it (ISO
/// 9806:2017). With the sun behind the plane both are at least pi/2.
pub fn longitudinal_transversal_rad(sun: &Direction, plane: &Plane) -> ProjectedAngles {
    let (sin_azimuth, cos_azimuth) = sincos(plane.azimuth_rad);
    let normal = plane.normal();
    let across = Direction { east: cos_azimuth, north: -sin_azimuth, up: 0.0 };
    let (sin_tilt, cos_tilt) = sincos(plane.tilt_rad);
    let up_slope = Direction { east: -cos_tilt * sin_azimuth, north: -cos_tilt * cos_azimuth, up: sin_tilt };
    let facing = sun.dot(&normal);
    ProjectedAngles {
        longitudinal_rad: atan2(sun.dot(&up_slope).abs(), facing),
        transversal_rad: atan2(sun.dot(&across).abs(), facing),
    }
}

/// Least cosine of the zenith angle in the beam ratio: one degree above the horizon (common practice).
const LEAST_COS_ZENITH: f64 = 0.01745;

/// Beam on the plane over beam on the horizontal (Rb), zero when the sun is behind the plane.
///
/// The sun is not taken lower than one degree above the horizon, so the ratio stays bounded.
pub fn beam_ratio(cos_incidence: f64, cos_zenith: f64) -> f64 {
    cos_incidence.max(0.0) / cos_zenith.max(LEAST_COS_ZENITH)
}
