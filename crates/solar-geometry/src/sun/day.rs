//! The sun through one day, fast: slow terms once a day, a few operations per evaluation.

use super::ephemeris::parallax_rad;
use super::horizontal::{Site, Topocentric};
use super::{Geocentric, Observer};
use crate::angle::wrap_symmetric_rad;
use crate::surface::Direction;
use crate::time::{Instant, SECONDS_PER_DAY};
use core::f64::consts::{PI, TAU};
use libm::{asin, sin};

/// The sun of one civil day at one place, on local standard time.
///
/// Declination, equation of time and parallax of the full algorithm are taken at noon of the day before, of the day
/// and of the day after, and interpolated by parabolas. Within 0.001 deg of [`super::position`] (measured: 0.00001
/// deg) from half a day before the day to half a day after it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SunDay {
    noon: Instant,
    site: Site,
    longitude_rad: f64,
    /// Slow terms at noon of the day before, the day, and the day after.
    nodes: [Slow; 3],
    sin_parallax: f64,
}

/// What changes slowly: measured at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Slow {
    declination_rad: f64,
    /// Hour angle at Greenwich less the turn of the clock: nearly the equation of time.
    hour_angle_offset_rad: f64,
    distance_au: f64,
    equation_of_time_min: f64,
}

/// The sun at one moment of a [`SunDay`], without atmosphere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SunPoint {
    /// Topocentric zenith angle without refraction, rad.
    pub zenith_rad: f64,
    /// Cosine of the zenith angle: sine of the elevation; negative below the horizon.
    pub cos_zenith: f64,
    /// Topocentric azimuth, clockwise from true north, 0 to 2 pi, rad.
    pub azimuth_rad: f64,
    /// Topocentric hour angle, -pi to pi, rad.
    pub hour_angle_rad: f64,
    /// Unit vector towards the sun.
    pub direction: Direction,
}

/// When the sun is above a height between two midnights (true solar time) around a day's noon.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SunUp {
    /// Never above.
    PolarNight,
    /// Always above.
    PolarDay,
    /// Above for a part.
    Part {
        /// Sunrise, s after local standard midnight; `None` if the sun was up at the solar midnight before.
        sunrise_s: Option<f64>,
        /// Sunset, s after local standard midnight; `None` if the sun stays up until the solar midnight after.
        sunset_s: Option<f64>,
    },
}

/// The parts of an interval during which the sun is up, in order.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct UpParts {
    parts: [(f64, f64); 3],
    count: usize,
}

impl UpParts {
    /// The parts as (start, end), s after local standard midnight.
    pub fn as_slice(&self) -> &[(f64, f64)] {
        &self.parts[..self.count]
    }

    /// Their total length, s.
    pub fn total_s(&self) -> f64 {
        self.as_slice().iter().map(|(start_s, end_s)| end_s - start_s).sum()
    }

    fn push(&mut self, start_s: f64, end_s: f64) {
        if self.count > 0 && self.parts[self.count - 1].1 == start_s {
            self.parts[self.count - 1].1 = end_s;
        } else if self.count < self.parts.len() {
            // Two days hold at most three parts: nothing is ever left out.
            self.parts[self.count] = (start_s, end_s);
            self.count += 1;
        }
    }
}

impl SunDay {
    /// The day of a local standard date; `utc_offset_h` is local standard minus universal time (-7 for US Mountain
    /// Standard Time). Costs three evaluations of the full algorithm.
    pub fn new(year: i32, month: u32, day: u32, utc_offset_h: f64, observer: &Observer) -> Self {
        let noon = Instant::from_utc(year, month, day, 12.0 - utc_offset_h);
        let nodes = [-1.0, 0.0, 1.0].map(|days| Slow::at(noon.plus_seconds(days * SECONDS_PER_DAY)));
        Self::assemble(noon, Site::new(observer), observer.longitude_deg.to_radians(), nodes)
    }

    /// The day after: two of its three evaluations are already there.
    pub fn next_day(&self) -> Self {
        let noon = self.noon.plus_seconds(SECONDS_PER_DAY);
        let nodes = [self.nodes[1], self.nodes[2], Slow::at(noon.plus_seconds(SECONDS_PER_DAY))];
        Self::assemble(noon, self.site, self.longitude_rad, nodes)
    }

    fn assemble(noon: Instant, site: Site, longitude_rad: f64, mut nodes: [Slow; 3]) -> Self {
        let near_rad = nodes[1].hour_angle_offset_rad;
        for node in &mut nodes {
            // No jump of a whole turn between the nodes.
            node.hour_angle_offset_rad = near_rad + wrap_symmetric_rad(node.hour_angle_offset_rad - near_rad);
        }
        let sin_parallax = sin(parallax_rad(nodes[1].distance_au));
        Self { noon, site, longitude_rad, nodes, sin_parallax }
    }

    /// The sun at a number of seconds after local standard midnight (-43,200 to 129,600).
    pub fn at(&self, seconds_of_day: f64) -> SunPoint {
        let seen = self.topocentric(seconds_of_day);
        let per_length = 1.0 / seen.length();
        let cos_zenith = seen.up * per_length;
        SunPoint {
            zenith_rad: seen.zenith_rad(),
            cos_zenith,
            azimuth_rad: seen.azimuth_rad(),
            hour_angle_rad: seen.hour_angle_rad(),
            direction: Direction {
                east: seen.east() * per_length,
                north: seen.north * per_length,
                up: cos_zenith,
            },
        }
    }

    /// Geocentric declination, rad.
    pub fn declination_rad(&self, seconds_of_day: f64) -> f64 {
        self.interpolated(seconds_of_day, |node| node.declination_rad)
    }

    /// Apparent minus mean solar time, min.
    pub fn equation_of_time_min(&self, seconds_of_day: f64) -> f64 {
        self.interpolated(seconds_of_day, |node| node.equation_of_time_min)
    }

    /// Distance to the sun, AU.
    pub fn distance_au(&self, seconds_of_day: f64) -> f64 {
        self.interpolated(seconds_of_day, |node| node.distance_au)
    }

    /// Solar noon: when the sun crosses the meridian, s after local standard midnight.
    ///
    /// Of the transits the one nearest to 12 h standard time is taken.
    pub fn transit_s(&self) -> f64 {
        self.time_of_hour_angle_s(0.0, 0.5 * SECONDS_PER_DAY)
    }

    /// When the sun is higher than a true elevation, between the solar midnights around this day's transit.
    ///
    /// Zero gives the geometric sunrise of the sun's centre; -0.8333 deg gives the almanac's. Agrees with
    /// [`super::position`] to a small part of a second, where the sun does not graze the horizon.
    pub fn sun_up(&self, elevation_rad: f64) -> SunUp {
        let transit_s = self.transit_s();
        let before_s = self.time_of_hour_angle_s(-PI, transit_s - 0.5 * SECONDS_PER_DAY);
        let after_s = self.time_of_hour_angle_s(PI, transit_s + 0.5 * SECONDS_PER_DAY);
        let up = self.parts_above(sin(elevation_rad), before_s, after_s);
        match up.as_slice() {
            [] => SunUp::PolarNight,
            [(start_s, end_s)] if *start_s == before_s && *end_s == after_s => SunUp::PolarDay,
            [(start_s, _), .., (_, end_s)] | [(start_s, end_s)] => SunUp::Part {
                sunrise_s: (*start_s > before_s).then_some(*start_s),
                sunset_s: (*end_s < after_s).then_some(*end_s),
            },
        }
    }

    /// The parts of an interval during which the true elevation of the sun's centre is above zero.
    ///
    /// The interval is given in s after local standard midnight and lies within -43,200 to 129,600.
    pub fn up_parts(&self, from_s: f64, until_s: f64) -> UpParts {
        self.parts_above(0.0, from_s, until_s)
    }

    fn topocentric(&self, seconds_of_day: f64) -> Topocentric {
        let hour_angle_rad = self.geocentric_hour_angle_rad(seconds_of_day);
        let (sine, cosine) = libm::sincos(self.declination_rad(seconds_of_day));
        Topocentric::new(&self.site, hour_angle_rad, [sine, cosine], self.sin_parallax)
    }

    /// Local hour angle without parallax, not brought into one turn.
    fn geocentric_hour_angle_rad(&self, seconds_of_day: f64) -> f64 {
        let days = days_from_noon(seconds_of_day);
        let offset_rad = self.interpolated(seconds_of_day, |node| node.hour_angle_offset_rad);
        self.longitude_rad + offset_rad + TAU * (days + self.noon.julian_day_ut.fract())
    }

    /// Parabola through the three nodes.
    fn interpolated(&self, seconds_of_day: f64, of: impl Fn(&Slow) -> f64) -> f64 {
        let days = days_from_noon(seconds_of_day);
        let [before, at, after] = [of(&self.nodes[0]), of(&self.nodes[1]), of(&self.nodes[2])];
        at + days * (0.5 * (after - before) + days * (0.5 * (after + before) - at))
    }

    /// When the geocentric hour angle has a value (plus whole turns), nearest to a given moment, s.
    fn time_of_hour_angle_s(&self, hour_angle_rad: f64, near_s: f64) -> f64 {
        let miss_rad = |s: f64| wrap_symmetric_rad(hour_angle_rad - self.geocentric_hour_angle_rad(s));
        // The sun turns almost evenly: each pass leaves a few ten-thousandths of the miss.
        (0..3).fold(near_s, |s, _| s + miss_rad(s) * SECONDS_PER_DAY / TAU)
    }

    /// The parts of an interval during which the sine of the elevation is above a limit.
    fn parts_above(&self, sin_limit: f64, from_s: f64, until_s: f64) -> UpParts {
        let mut up = UpParts::default();
        let height = |s: f64| {
            let seen = self.topocentric(s);
            seen.up - sin_limit * seen.length()
        };
        let mut start_s = from_s;
        let mut start = height(from_s);
        while start_s < until_s {
            // Between two turning points the sun only climbs or only sinks: one crossing at most.
            let end_s = self.next_turning_point_s(start_s).min(until_s);
            let end = height(end_s);
            match (start > 0.0, end > 0.0) {
                (true, true) => up.push(start_s, end_s),
                (false, true) => up.push(crossing_s([start_s, end_s], [start, end], height), end_s),
                (true, false) => up.push(start_s, crossing_s([start_s, end_s], [start, end], height)),
                (false, false) => {}
            }
            (start_s, start) = (end_s, end);
        }
        up
    }

    /// The next moment at which the sun stands highest or lowest, s; infinite where it only climbs or sinks all day.
    fn next_turning_point_s(&self, after_s: f64) -> f64 {
        let days = days_from_noon(after_s);
        let [before, at, after] = self.nodes.map(|node| node.declination_rad);
        // The height is stationary where cos(lat) cos(decl) sin(H) = sin(lat) cos(decl) decl' - cos(lat) sin(decl)
        // cos(H) decl', with decl' the change of declination by hour angle: a moment off the meridian.
        let change = (0.5 * (after - before) + days * (after + before - 2.0 * at)) / TAU;
        let tan_latitude = self.site.sin_latitude / self.site.cos_latitude;
        let tan_declination = libm::tan(at);
        let hour_angle_rad = self.geocentric_hour_angle_rad(after_s);
        let mut next_s = f64::INFINITY;
        for (meridian_rad, cos_meridian) in [(0.0, 1.0), (PI, -1.0)] {
            let sin_lag = (tan_latitude * cos_meridian - tan_declination) * change;
            if sin_lag.abs() >= 1.0 {
                continue;
            }
            let ahead_rad = wrap_symmetric_rad(meridian_rad + asin(sin_lag) - hour_angle_rad - PI) + PI;
            let candidate_s = after_s + ahead_rad * SECONDS_PER_DAY / TAU;
            // A point just passed would be met again by rounding.
            if candidate_s > after_s + 1.0 {
                next_s = next_s.min(candidate_s);
            }
        }
        next_s
    }
}

impl Slow {
    fn at(instant: Instant) -> Self {
        let sun = Geocentric::at(instant);
        Self {
            declination_rad: sun.declination_rad,
            hour_angle_offset_rad: sun.sidereal_time_rad
                - sun.right_ascension_rad
                - TAU * instant.julian_day_ut.fract(),
            distance_au: sun.distance_au,
            equation_of_time_min: sun.equation_of_time_min,
        }
    }
}

fn days_from_noon(seconds_of_day: f64) -> f64 {
    seconds_of_day / SECONDS_PER_DAY - 0.5
}

/// Where a monotonic height passes zero between two moments of opposite sign, s.
///
/// Bisection and regula falsi in turn (Illinois method: Dowell and Jarratt, BIT 11 (1971) 168-174).
fn crossing_s([mut a_s, mut b_s]: [f64; 2], [mut a, mut b]: [f64; 2], height: impl Fn(f64) -> f64) -> f64 {
    const CLOSE_S: f64 = 1e-4;
    const MOST_PASSES: usize = 60;
    for pass in 0..MOST_PASSES {
        if (b_s - a_s).abs() < CLOSE_S {
            break;
        }
        let middle_s = if pass % 3 == 2 { 0.5 * (a_s + b_s) } else { a_s + (b_s - a_s) * a / (a - b) };
        let middle = height(middle_s);
        if middle.abs() < 1e-13 {
            return middle_s;
        }
        if (middle > 0.0) == (b > 0.0) {
            (b_s, b) = (middle_s, middle);
            a *= 0.5;
        } else {
            (a_s, a) = (middle_s, middle);
            b *= 0.5;
        }
    }
    0.5 * (a_s + b_s)
}
