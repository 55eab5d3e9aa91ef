//! All that acts on a plant through a year, laid out before the year runs.

use std::sync::Arc;

use solar_geometry::horizon::{Horizon, HorizonPoint, ShadingTable};
use solar_geometry::surface::Plane;
use thermal_network::flows::{Conditions, Draw, FieldSun, Orders};

use crate::draws::clock::DAY_S;
use crate::draws::{AirClimate, DrawYear, PermissionYear, RoomYear, cold_water_by_day};
use crate::job::{Aspect, Calendar, Job, Permission, PlumbingHours};
use crate::weather::WeatherYear;
use crate::weather::plane::{DiffuseModifier, PlaneBlock, PlaneOptics, PlaneYear, STEFAN_BOLTZMANN_W_M2_K4};
use crate::weather::sun_year::SunYear;

/// Sun, air, water use, cold water and rooms of a house through a year. Computed once and shared by every plant tried in it.
#[derive(Clone, Debug)]
pub struct Setting {
    /// Irradiance on the collector plane with the weather beside it; the mean over the area of two planes.
    pub plane: Arc<PlaneYear>,
    /// Each of two planes by itself.
    fields: Option<[Field; 2]>,
    /// Draws at the taps.
    pub draws: Arc<DrawYear>,
    /// Incoming cold water of each day, in degC.
    pub cold_water_c: Vec<f64>,
    /// When each element may run, and behind them all the pump's timer, if there is one.
    pub permissions: PermissionYear,
    /// When recirculation runs and the bypass is turned: bits of [`orders`].
    pub(super) orders: PermissionYear,
    /// Bit of the pump's timer among the permissions.
    timer_bit: Option<usize>,
    tank_room: RoomYear,
    second_tank_room: RoomYear,
    other_space: RoomYear,
    /// Around the heater without sun.
    room_without_sun: RoomYear,
    /// Collector wind as a share of the station's.
    wind_frac: f64,
    /// Share of the sky that the tilted plane sees, for long-wave exchange.
    sky_view_frac: f64,
}

/// One of two collector planes.
#[derive(Clone, Debug)]
struct Field {
    plane: Arc<PlaneYear>,
    sky_view_frac: f64,
}

fn sky_view_frac(aspect: &Aspect) -> f64 {
    0.5 * (1.0 + libm::cos(aspect.tilt_deg.to_radians()))
}

impl Setting {
    /// Lays out the year of a job in a weather year.
    pub fn new(job: &Job, weather: &WeatherYear) -> Self {
        Self::under(&SunYear::new(weather), job, weather)
    }

    /// The same under a sun that was worked out before, that of the weather's place and records.
    pub fn under(sun: &SunYear, job: &Job, weather: &WeatherYear) -> Self {
        let plane = |aspect: &Aspect| Arc::new(plane_year(aspect, sun, weather));
        let draws = Arc::new(DrawYear::build(&job.water_use, &job.calendar));
        Self::of_parts(job, weather, plane, draws)
    }

    /// The same with the light on each plane as `plane` gives it, and with draws that were laid out before.
    pub(super) fn of_parts(
        job: &Job,
        weather: &WeatherYear,
        plane: impl Fn(&Aspect) -> Arc<PlaneYear>,
        draws: Arc<DrawYear>,
    ) -> Self {
        let field = |aspect: &Aspect| Field { plane: plane(aspect), sky_view_frac: sky_view_frac(aspect) };
        let fields = job.second_aspect.as_ref().map(|second| [&job.aspect, second].map(field));
        let plane = match &fields {
            None => plane(&job.aspect),
            Some(fields) => Arc::new(mean_plane(fields, second_area_frac(job))),
        };
        // A flow-through heater has its bit behind the elements.
        let elements: usize = job.plant.tanks.iter().map(|tank| tank.elements.len()).sum();
        let sources = elements + usize::from(job.plant.flow_heater.is_some());
        let mut hours = job.element_hours.clone();
        if let Some(pump_hours) = &job.pump_hours {
            hours.resize(sources, Permission::default());
            hours.push(pump_hours.clone());
        }
        let cold = cold_water_by_day(&job.cold_water, &AirClimate::of(weather));
        Self {
            plane,
            fields,
            draws,
            cold_water_c: cold.to_vec(),
            permissions: PermissionYear::build(&hours, &job.calendar),
            orders: order_year(&job.plumbing_hours, &job.calendar),
            timer_bit: job.pump_hours.as_ref().map(|_| sources),
            tank_room: RoomYear::build(job.rooms.tank, weather),
            second_tank_room: RoomYear::build(job.rooms.second_tank, weather),
            other_space: RoomYear::build(job.rooms.other, weather),
            room_without_sun: RoomYear::build(job.rooms.without_sun, weather),
            wind_frac: job.aspect.wind_frac,
            sky_view_frac: sky_view_frac(&job.aspect),
        }
    }

    /// True if the pump's timer is on under these permissions.
    pub(super) fn timer_on(&self, permissions: u32) -> bool {
        self.timer_bit.is_some_and(|bit| permissions >> bit & 1 == 1)
    }

    /// The same year as the heater without sun has it: always allowed to run, in its own room.
    pub(super) fn without_sun(&self, calendar: &Calendar) -> Self {
        Self {
            permissions: PermissionYear::build(&[], calendar),
            tank_room: self.room_without_sun.clone(),
            ..self.clone()
        }
    }

    /// Mean temperature around the heater without sun in degC, over whole hours from `start_s` to `end_s` of the year.
    pub(super) fn room_without_sun_c(&self, start_s: u32, end_s: u32) -> f64 {
        let middles = (start_s..end_s).step_by(3600).map(|hour_s| f64::from(hour_s) + 1800.0);
        let count = middles.len() as f64;
        middles.map(|middle_s| self.room_without_sun.at(middle_s)).sum::<f64>() / count
    }

    /// Conditions at a second of the year, apart from draw, cold water and permissions.
    pub(super) fn conditions(&self, block: &PlaneBlock, second: f64) -> Conditions {
        let air_k = block.air_c + 273.15;
        // Ground and everything else below the horizon radiates like air; files without humidity give no sky temperature.
        let net_sky_w_m2 = |sky_view_frac: f64| {
            if block.sky_longwave_w_m2.is_nan() {
                0.0
            } else {
                sky_view_frac
                    * (block.sky_longwave_w_m2 - STEFAN_BOLTZMANN_W_M2_K4 * (air_k * air_k) * (air_k * air_k))
            }
        };
        let on = |block: &PlaneBlock, sky_view_frac| FieldSun {
            effective_w_m2: block.effective_w_m2,
            plane_w_m2: block.beam_w_m2 + block.sky_w_m2 + block.ground_w_m2,
            net_sky_w_m2: net_sky_w_m2(sky_view_frac),
        };
        let (first, second_field) = match &self.fields {
            None => (on(block, self.sky_view_frac), FieldSun::default()),
            Some([first, other]) => {
                let at = |field: &Field| {
                    let plane = &field.plane;
                    on(&plane.blocks[plane.block_at(second as i64)], field.sky_view_frac)
                };
                (at(first), at(other))
            }
        };
        Conditions {
            effective_w_m2: first.effective_w_m2,
            plane_w_m2: first.plane_w_m2,
            air_c: block.air_c,
            wind_m_s: block.wind_m_s * self.wind_frac,
            net_sky_w_m2: first.net_sky_w_m2,
            tank_room_c: self.tank_room.at(second),
            second_tank_room_c: self.second_tank_room.at(second),
            other_space_c: self.other_space.at(second),
            cold_water_c: self.cold_water_c[(second as u32 / DAY_S) as usize % self.cold_water_c.len()],
            draw: Draw::default(),
            elements_allowed: u32::MAX,
            orders: Orders::default(),
            timer_on: false,
            second_field,
        }
    }
}

fn order_year(hours: &PlumbingHours, calendar: &Calendar) -> PermissionYear {
    PermissionYear::build(&[hours.recirculation.clone(), hours.bypass.clone()], calendar)
}

/// The orders behind the bits that [`order_year`] laid out.
pub(super) fn orders(bits: u32) -> Orders {
    Orders { recirculates: bits & 1 != 0, bypassed: bits & 2 != 0 }
}

/// Share of the second plane in the area of both.
fn second_area_frac(job: &Job) -> f64 {
    let Some(solar) = &job.plant.solar_loop else { return 0.0 };
    let second_m2 = solar.second_field.map_or(0.0, |second| second.collector.area_m2);
    second_m2 / (solar.collector.area_m2 + second_m2)
}

/// A year of light on a plane.
pub(super) fn plane_year(aspect: &Aspect, sun: &SunYear, weather: &WeatherYear) -> PlaneYear {
    PlaneYear::new(weather, sun, &optics(aspect))
}

/// What falls on both planes, as a mean over their area.
fn mean_plane(fields: &[Field; 2], second_frac: f64) -> PlaneYear {
    let (mut mean, second) = (PlaneYear::clone(&fields[0].plane), &fields[1].plane);
    for (block, other) in mean.blocks.iter_mut().zip(&second.blocks) {
        for (value, other) in [
            (&mut block.beam_w_m2, other.beam_w_m2),
            (&mut block.sky_w_m2, other.sky_w_m2),
            (&mut block.ground_w_m2, other.ground_w_m2),
            (&mut block.effective_w_m2, other.effective_w_m2),
        ] {
            *value += second_frac * (other - *value);
        }
    }
    mean
}

/// A job's view of the sky in the terms of the plane computation.
fn optics(aspect: &Aspect) -> PlaneOptics {
    let horizon = aspect.horizon_deg.iter().map(|&(azimuth_deg, elevation_deg)| HorizonPoint {
        azimuth_rad: azimuth_deg.to_radians(),
        elevation_rad: elevation_deg.to_radians(),
    });
    PlaneOptics {
        plane: Plane::from_deg(aspect.tilt_deg, aspect.azimuth_deg),
        sky: aspect.sky,
        albedo_frac: aspect.albedo,
        horizon: Horizon::new(horizon),
        shading: aspect.shading_frac.map(ShadingTable::new),
        snow_cover_frac: aspect.snow_frac,
        modifier: aspect.modifier.clone(),
        diffuse_modifier: aspect
            .diffuse_modifier
            .map_or(DiffuseModifier::FromBeam, DiffuseModifier::Constant),
        circumsolar_with_beam: aspect.circumsolar_with_beam,
    }
}
