//! Where the sun stands through a year, block by block: depends on the place and the grid of records only.

use solar_geometry::sun::{Observer, SunDay, extraterrestrial_normal_w_m2};
use solar_geometry::surface::Direction;

use super::calendar::{DAY_S, YEAR_S};
use super::{Site, WeatherYear};

/// Calendar year whose sun is used for the year of 365 days: the second after a leap year, so that it lies near the middle
/// of the four-year cycle (within 0.5 days of any of its years, at most 0.2 deg of declination).
const NOMINAL_YEAR: i32 = 2002;

/// Longest block in s.
const LONGEST_BLOCK_S: u32 = 900;

/// The sun of one block.
#[derive(Clone, Copy, Debug)]
pub struct SunBlock {
    /// Unit vector towards the sun at the middle of the part of the block in which the sun is up.
    pub direction: Direction,
    /// True zenith angle at that moment, rad.
    pub zenith_rad: f64,
    /// How long the sun is up in the block, s; zero at night, and then the rest has no meaning.
    pub up_s: f64,
    /// Extraterrestrial irradiance on a plane facing the sun, W/m2.
    pub extraterrestrial_normal_w_m2: f64,
}

impl SunBlock {
    /// Sine of the elevation, above zero, times the time with the sun up, s.
    pub fn sine_up_s(&self) -> f64 {
        self.direction.up.max(1e-9) * self.up_s
    }
}

/// The sun of a year on a grid of blocks of at most 15 minutes that never cross a record.
#[derive(Clone, Debug)]
pub struct SunYear {
    /// Length of a block in s.
    pub block_s: u32,
    /// Blocks in a record.
    pub blocks_per_record: usize,
    /// The blocks, the first where record 0 begins.
    pub blocks: Vec<SunBlock>,
}

impl SunYear {
    /// The sun for the records of a weather year.
    pub fn new(weather: &WeatherYear) -> Self {
        Self::on_grid(&weather.site, weather.interval_s, weather.first_start_s)
    }

    /// The sun for records of a length in s that divides the hour, the first at a start in s after 1 January 00:00.
    pub fn on_grid(site: &Site, interval_s: u32, first_start_s: f64) -> Self {
        let blocks_per_record = interval_s.div_ceil(LONGEST_BLOCK_S);
        let block_s = interval_s / blocks_per_record;
        let count = YEAR_S as usize / block_s as usize;
        let mut blocks = Vec::with_capacity(count);
        let mut day = DayOfYear::first(site);
        for index in 0..count {
            let start_s = first_start_s + index as f64 * f64::from(block_s);
            let number = libm::floor(start_s / DAY_S as f64) as i64;
            while day.number < number {
                day.advance();
            }
            blocks.push(day.block(start_s - (day.number * DAY_S) as f64, f64::from(block_s)));
        }
        Self { block_s, blocks_per_record: blocks_per_record as usize, blocks }
    }

    /// The blocks of a record.
    pub fn record(&self, record: usize) -> &[SunBlock] {
        &self.blocks[record * self.blocks_per_record..(record + 1) * self.blocks_per_record]
    }
}

/// A place for the sun's geometry.
pub(super) fn observer(site: &Site) -> Observer {
    Observer {
        latitude_deg: site.latitude_deg,
        longitude_deg: site.longitude_deg,
        elevation_m: site.elevation_m,
    }
}

/// A walk through the days, beginning on 31 December of the year before.
pub(super) struct DayOfYear {
    /// Days after 1 January.
    pub(super) number: i64,
    pub(super) sun: SunDay,
    /// When the sun is up, from midnight to the end of a block that begins before the next, s.
    up: solar_geometry::sun::UpParts,
}

impl DayOfYear {
    pub(super) fn first(site: &Site) -> Self {
        let sun = SunDay::new(NOMINAL_YEAR - 1, 12, 31, site.utc_offset_h, &observer(site));
        Self { number: -1, sun, up: Self::up(&sun) }
    }

    pub(super) fn advance(&mut self) {
        self.sun = self.sun.next_day();
        self.up = Self::up(&self.sun);
        self.number += 1;
    }

    fn up(sun: &SunDay) -> solar_geometry::sun::UpParts {
        sun.up_parts(0.0, DAY_S as f64 + f64::from(LONGEST_BLOCK_S))
    }

    fn block(&self, start_s: f64, block_s: f64) -> SunBlock {
        let (mut up_s, mut first_s, mut last_s) = (0.0, f64::INFINITY, start_s);
        for &(from_s, until_s) in self.up.as_slice() {
            let (from_s, until_s) = (from_s.max(start_s), until_s.min(start_s + block_s));
            if from_s < until_s {
                up_s += until_s - from_s;
                first_s = first_s.min(from_s);
                last_s = last_s.max(until_s);
            }
        }
        if up_s == 0.0 {
            let below = Direction { east: 0.0, north: 0.0, up: -1.0 };
            let zenith_rad = core::f64::consts::PI;
            return SunBlock { direction: below, zenith_rad, up_s, extraterrestrial_normal_w_m2: 0.0 };
        }
        let middle_s = 0.5 * (first_s + last_s);
        let sun = self.sun.at(middle_s);
        let day_of_year = (self.number.rem_euclid(365) + 1) as f64;
        SunBlock {
            direction: sun.direction,
            zenith_rad: sun.zenith_rad,
            up_s,
            extraterrestrial_normal_w_m2: extraterrestrial_normal_w_m2(day_of_year),
        }
    }
}
