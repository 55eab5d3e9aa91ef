//! Irradiance on the collector plane through a year, block by block.
//!
//! Inside a record DNI is constant over the part in which the sun is up, GHI and DHI go with the sine of the sun's
//! elevation over that part, so every record's energy is kept. Sky models see the flux while the sun is up; a block's
//! values are means over the whole block.

use solar_geometry::horizon::{Horizon, ShadingTable};
use solar_geometry::modifier::AngleModifier;
use solar_geometry::sky::{SkyInput, SkyModel, beam_on_plane_w_m2, ground_reflected_w_m2, sky_view_frac};
use solar_geometry::surface::{Direction, Plane};

use super::WeatherYear;
use super::calendar::{YEAR_S, month_of_second};
use super::sun_year::{SunBlock, SunYear};
use crate::problem::{Problem, Severity};

/// Stefan-Boltzmann constant in W/(m2 K4) (CODATA 2018).
pub(crate) const STEFAN_BOLTZMANN_W_M2_K4: f64 = 5.670374419e-8;

/// The plane, how light reaches it, and what a collector in it takes of slanting light.
#[derive(Clone, Debug)]
pub struct PlaneOptics {
    /// Tilt and azimuth.
    pub plane: Plane,
    /// How the diffuse light of the sky is spread.
    pub sky: SkyModel,
    /// Share of light that the ground before the plane reflects, by month.
    pub albedo_frac: [f64; 12],
    /// Line of hills and houses; it takes beam and circumsolar light, and its share of the rest of the sky.
    pub horizon: Horizon,
    /// Shading by near things, by month and hour of the day; it takes beam and circumsolar light only.
    pub shading: Option<ShadingTable>,
    /// Share of the glass under snow, by month; it takes from what counts for the collector, not from what falls on the plane.
    pub snow_cover_frac: [f64; 12],
    /// Modifier for the beam.
    pub modifier: AngleModifier,
    /// Modifier for light of the sky and from the ground.
    pub diffuse_modifier: DiffuseModifier,
    /// True if light from around the sun takes the beam's modifier, false if it counts as light of the sky.
    pub circumsolar_with_beam: bool,
}

/// How slanting diffuse light is counted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum DiffuseModifier {
    /// Means of the beam's modifier over the sky and over the ground that the plane sees.
    FromBeam,
    /// One given factor for both (Kd of the rating sheet).
    Constant(f64),
}

impl PlaneOptics {
    /// An open plane: Perez sky, ground that reflects 0.2 (common practice), nothing in the way, all light counts in full.
    pub fn open(plane: Plane) -> Self {
        Self {
            plane,
            sky: SkyModel::Perez1990,
            albedo_frac: [0.2; 12],
            horizon: Horizon::default(),
            shading: None,
            snow_cover_frac: [0.0; 12],
            modifier: AngleModifier::None,
            diffuse_modifier: DiffuseModifier::Constant(1.0),
            circumsolar_with_beam: true,
        }
    }
}

/// One block of a year on the plane; means over the block.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PlaneBlock {
    /// Beam on the plane in W/m2.
    pub beam_w_m2: f64,
    /// Diffuse light of the sky on the plane, light from around the sun included, in W/m2.
    pub sky_w_m2: f64,
    /// Light reflected by the ground onto the plane in W/m2.
    pub ground_w_m2: f64,
    /// Light that counts for the collector, Kb x beam + Kd x (sky + ground), before the peak efficiency, in W/m2.
    pub effective_w_m2: f64,
    /// Global horizontal irradiance in W/m2.
    pub ghi_w_m2: f64,
    /// Diffuse horizontal irradiance in W/m2.
    pub dhi_w_m2: f64,
    /// Air temperature at the block's middle in degC.
    pub air_c: f64,
    /// Wind speed at the block's middle in m/s, as in the weather file.
    pub wind_m_s: f64,
    /// Long-wave irradiance of a clear sky on the horizontal in W/m2; NaN if the file has no humidity.
    pub sky_longwave_w_m2: f64,
}

impl PlaneBlock {
    /// True if no light of any kind falls.
    pub fn is_dark(&self) -> bool {
        self.beam_w_m2 == 0.0 && self.sky_w_m2 == 0.0 && self.ground_w_m2 == 0.0 && self.ghi_w_m2 == 0.0
    }
}

/// A year of irradiance on a plane, with the weather beside it.
#[derive(Clone, Debug)]
pub struct PlaneYear {
    /// Length of a block in s.
    pub block_s: u32,
    /// Start of block 0 in s after 1 January 00:00 local standard time, to a whole minute; may be negative. The sun was
    /// taken at the true moments, only this place is rounded.
    pub offset_s: i64,
    /// The blocks in order; the year wraps.
    pub blocks: Vec<PlaneBlock>,
    /// What was dropped on the way.
    pub notes: Vec<Problem>,
}

impl PlaneYear {
    /// Light on the plane on each day, 1 January first, in J/m2; a block counts for the day of its middle.
    pub fn daily_j_m2(&self) -> [f64; 365] {
        let mut days = [0.0; 365];
        for (i, block) in self.blocks.iter().enumerate() {
            let middle_s = self.offset_s + i as i64 * i64::from(self.block_s) + i64::from(self.block_s) / 2;
            let day = middle_s.div_euclid(86_400).rem_euclid(365) as usize;
            let light_w_m2 = block.beam_w_m2 + block.sky_w_m2 + block.ground_w_m2;
            days[day] += light_w_m2 * f64::from(self.block_s);
        }
        days
    }

    /// Computes the year on one plane.
    pub fn new(weather: &WeatherYear, sun: &SunYear, optics: &PlaneOptics) -> Self {
        let plane = OnPlane::new(optics);
        let block_s = f64::from(sun.block_s);
        let record_s = f64::from(weather.interval_s);
        let slow = Slow::new(weather);
        let mut blocks = Vec::with_capacity(sun.blocks.len());
        let mut dropped_wh_m2 = 0.0;
        for record in 0..weather.ghi_w_m2.len() {
            let record_start_s = weather.first_start_s + record as f64 * record_s;
            let light = Light {
                ghi_w_m2: weather.ghi_w_m2[record],
                dni_w_m2: weather.dni_w_m2[record],
                dhi_w_m2: weather.dhi_w_m2[record],
            };
            let suns = sun.record(record);
            let up_s: f64 = suns.iter().map(|b| b.up_s).sum();
            let sine_s: f64 = suns.iter().map(SunBlock::sine_up_s).sum();
            if up_s == 0.0 {
                dropped_wh_m2 += light.dni_w_m2 * record_s / 3600.0;
            }
            for (index, sun) in suns.iter().enumerate() {
                let middle_s = record_start_s + (index as f64 + 0.5) * block_s;
                let moment = Moment::new(middle_s);
                let mut block = slow.at(record, (index as f64 + 0.5) / suns.len() as f64, moment.hour_of_day);
                if up_s == 0.0 {
                    plane.without_sun(light, moment, &mut block);
                } else if sun.up_s > 0.0 {
                    // Flux while the sun is up in this block.
                    let share = sun.direction.up.max(1e-9) * record_s / sine_s;
                    let up = Light {
                        ghi_w_m2: light.ghi_w_m2 * share,
                        dni_w_m2: light.dni_w_m2 * record_s / up_s,
                        dhi_w_m2: light.dhi_w_m2 * share,
                    };
                    plane.with_sun(up, sun, sun.up_s / block_s, moment, &mut block);
                }
                blocks.push(block);
            }
        }
        let mut notes = Vec::new();
        if dropped_wh_m2 > 0.5 {
            let message = format!(
                "{dropped_wh_m2:.0} Wh/m2 of direct sun a year stand in rows in which the sun is down, and were left out."
            );
            notes.push(Problem::new(Severity::Note, message));
        }
        let offset_s = libm::round(weather.first_start_s / 60.0) as i64 * 60;
        Self { block_s: sun.block_s, offset_s, blocks, notes }
    }

    /// Index of the block in which a second of the year lies; seconds outside the year wrap.
    pub fn block_at(&self, second_of_year: i64) -> usize {
        // Division of short numbers is quick; most seconds are of the year.
        let after_first_s = second_of_year - self.offset_s;
        let in_year_s = if (0..YEAR_S).contains(&after_first_s) {
            after_first_s
        } else {
            after_first_s.rem_euclid(YEAR_S)
        };
        (in_year_s as u32 / self.block_s) as usize
    }

    /// Month (0 = January) in which a block has its middle.
    pub fn month_of_block(&self, block: usize) -> usize {
        month_of_second(self.offset_s + block as i64 * i64::from(self.block_s) + i64::from(self.block_s) / 2)
    }
}

/// Fluxes on the horizontal and towards the sun.
#[derive(Clone, Copy)]
struct Light {
    ghi_w_m2: f64,
    dni_w_m2: f64,
    dhi_w_m2: f64,
}

/// Month and hour that the tables go by.
#[derive(Clone, Copy)]
struct Moment {
    month: usize,
    hour_of_day: f64,
}

impl Moment {
    fn new(second_of_year: f64) -> Self {
        let second = libm::floor(second_of_year) as i64;
        Self { month: month_of_second(second), hour_of_day: second.rem_euclid(86_400) as f64 / 3600.0 }
    }
}

/// What of the plane stays the same all year.
struct OnPlane<'a> {
    optics: &'a PlaneOptics,
    normal: Direction,
    sky_view_frac: f64,
    /// Share of that sky above the horizon line.
    visible_frac: f64,
    sky_modifier: f64,
    ground_modifier: f64,
}

impl<'a> OnPlane<'a> {
    fn new(optics: &'a PlaneOptics) -> Self {
        let tilt_rad = optics.plane.tilt_rad;
        let (sky_modifier, ground_modifier) = match optics.diffuse_modifier {
            DiffuseModifier::FromBeam => {
                (optics.modifier.sky_mean(tilt_rad), optics.modifier.ground_mean(tilt_rad))
            }
            DiffuseModifier::Constant(factor) => (factor, factor),
        };
        Self {
            optics,
            normal: optics.plane.normal(),
            sky_view_frac: sky_view_frac(tilt_rad),
            visible_frac: optics.horizon.visible_sky_frac(&optics.plane),
            sky_modifier,
            ground_modifier,
        }
    }

    /// A block with the sun up for a share of it; `up` is the flux in that part.
    fn with_sun(&self, up: Light, sun: &SunBlock, up_frac: f64, moment: Moment, block: &mut PlaneBlock) {
        let optics = self.optics;
        let cos_incidence = sun.direction.dot(&self.normal);
        let diffuse = optics.sky.diffuse(&SkyInput {
            dni_w_m2: up.dni_w_m2,
            dhi_w_m2: up.dhi_w_m2,
            extraterrestrial_normal_w_m2: sun.extraterrestrial_normal_w_m2,
            zenith_rad: sun.zenith_rad,
            cos_incidence,
            tilt_rad: optics.plane.tilt_rad,
        });
        let direct_frac = up_frac * self.direct_frac(sun, moment);
        let circumsolar_w_m2 = direct_frac * diffuse.circumsolar_w_m2;
        let wide_w_m2 = up_frac * self.visible_frac * (diffuse.isotropic_w_m2 + diffuse.horizon_w_m2);
        block.beam_w_m2 = direct_frac * beam_on_plane_w_m2(up.dni_w_m2, cos_incidence);
        block.sky_w_m2 = (circumsolar_w_m2 + wide_w_m2).max(0.0);
        let with_beam_w_m2 = if optics.circumsolar_with_beam { circumsolar_w_m2 } else { 0.0 };
        block.effective_w_m2 = self.sky_modifier * (block.sky_w_m2 - with_beam_w_m2);
        let direct_w_m2 = block.beam_w_m2 + with_beam_w_m2;
        if direct_w_m2 > 0.0 {
            block.effective_w_m2 += optics.modifier.beam(&sun.direction, &optics.plane) * direct_w_m2;
        }
        self.finish(up.ghi_w_m2 * up_frac, up.dhi_w_m2 * up_frac, moment, block);
    }

    /// A block of a record in which the sun is down: whatever light there is comes evenly from the sky.
    fn without_sun(&self, light: Light, moment: Moment, block: &mut PlaneBlock) {
        block.sky_w_m2 = light.dhi_w_m2 * self.sky_view_frac * self.visible_frac;
        block.effective_w_m2 = self.sky_modifier * block.sky_w_m2;
        self.finish(light.ghi_w_m2, light.dhi_w_m2, moment, block);
    }

    /// Adds the ground's light, takes what snow covers, and notes the light on the horizontal.
    fn finish(&self, ghi_w_m2: f64, dhi_w_m2: f64, moment: Moment, block: &mut PlaneBlock) {
        let optics = self.optics;
        block.ground_w_m2 =
            ground_reflected_w_m2(ghi_w_m2, optics.albedo_frac[moment.month], optics.plane.tilt_rad);
        block.effective_w_m2 += self.ground_modifier * block.ground_w_m2;
        block.effective_w_m2 *= 1.0 - optics.snow_cover_frac[moment.month];
        block.ghi_w_m2 = ghi_w_m2;
        block.dhi_w_m2 = dhi_w_m2;
    }

    /// Share of direct light that gets past horizon and near things.
    fn direct_frac(&self, sun: &SunBlock, moment: Moment) -> f64 {
        if self.optics.horizon.blocks(&sun.direction) {
            return 0.0;
        }
        match &self.optics.shading {
            Some(table) => 1.0 - table.shaded_frac(moment.month as u32 + 1, moment.hour_of_day),
            None => 1.0,
        }
    }
}

/// Air, wind and long-wave light: straight lines between the middles of the records, around the year's end.
struct Slow<'a> {
    weather: &'a WeatherYear,
}

impl<'a> Slow<'a> {
    fn new(weather: &'a WeatherYear) -> Self {
        Self { weather }
    }

    /// Values at a share of the way through a record.
    fn at(&self, record: usize, through_frac: f64, hour: f64) -> PlaneBlock {
        let count = self.weather.air_c.len();
        let from_middle = through_frac - 0.5;
        let other = if from_middle < 0.0 { (record + count - 1) % count } else { (record + 1) % count };
        let weight = from_middle.abs();
        let between = |column: &[f64]| column[record] + weight * (column[other] - column[record]);
        let air_c = between(&self.weather.air_c);
        let sky_longwave_w_m2 = if self.weather.dew_point_c.is_empty() {
            f64::NAN
        } else {
            clear_sky_longwave_w_m2(air_c, between(&self.weather.dew_point_c), hour)
        };
        PlaneBlock {
            air_c,
            wind_m_s: between(&self.weather.wind_m_s),
            sky_longwave_w_m2,
            ..PlaneBlock::default()
        }
    }
}

/// Long-wave irradiance of a clear sky on the horizontal, W/m2.
///
/// Emissivity 0.711 + 0.56 t + 0.73 t^2 + 0.013 cos(2 pi h/24) with t the dew point in degC/100 and h the hour after midnight;
/// clouds, which are not in the file, would raise it. Units: degC, h.
/// Source: Berdahl & Martin 1984, Emissivity of clear skies, Solar Energy 32(5), 663-664.
pub fn clear_sky_longwave_w_m2(air_c: f64, dew_point_c: f64, hour: f64) -> f64 {
    let t = dew_point_c / 100.0;
    let emissivity = 0.711 + t * (0.56 + 0.73 * t) + 0.013 * libm::cos(core::f64::consts::PI * hour / 12.0);
    let air_k = air_c + 273.15;
    emissivity.min(1.0) * STEFAN_BOLTZMANN_W_M2_K4 * (air_k * air_k) * (air_k * air_k)
}
