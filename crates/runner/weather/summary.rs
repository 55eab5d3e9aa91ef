//! What a weather year amounts to: sums and means by month and year, and its irradiation on a plane by every sky model.

use serde::Serialize;
use solar_geometry::sky::SkyModel;
use solar_geometry::surface::Plane;

use super::WeatherYear;
use super::calendar::month_of_second;
use super::plane::{PlaneOptics, PlaneYear};
use super::sun_year::SunYear;

/// Sun and air of a month or a year.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Climate {
    /// Global horizontal irradiation in kWh/m2.
    pub ghi_kwh_m2: f64,
    /// Direct normal irradiation in kWh/m2.
    pub dni_kwh_m2: f64,
    /// Diffuse horizontal irradiation in kWh/m2.
    pub dhi_kwh_m2: f64,
    /// Mean air temperature in degC.
    pub air_mean_c: f64,
    /// Lowest air temperature of a record in degC.
    pub air_min_c: f64,
    /// Highest air temperature of a record in degC.
    pub air_max_c: f64,
    /// Mean wind speed in m/s.
    pub wind_mean_m_s: f64,
}

/// A year at a glance.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WeatherSummary {
    /// The whole year.
    pub annual: Climate,
    /// The months, January first.
    pub monthly: Vec<Climate>,
}

/// Sums and means of a weather year. A record counts to the month in which its middle lies.
pub fn summarise(weather: &WeatherYear) -> WeatherSummary {
    let months = months_of_records(weather);
    let all: Vec<usize> = (0..months.len()).collect();
    let of_month = |month| all.iter().copied().filter(|&r| months[r] == month).collect::<Vec<_>>();
    WeatherSummary {
        annual: climate(weather, &all),
        monthly: (0..12).map(|month| climate(weather, &of_month(month))).collect(),
    }
}

fn climate(weather: &WeatherYear, records: &[usize]) -> Climate {
    let kwh_per_w = f64::from(weather.interval_s) / 3.6e6;
    let sum = |column: &[f64]| records.iter().map(|&r| column[r]).sum::<f64>();
    let air = || records.iter().map(|&r| weather.air_c[r]);
    let count = records.len() as f64;
    Climate {
        ghi_kwh_m2: sum(&weather.ghi_w_m2) * kwh_per_w,
        dni_kwh_m2: sum(&weather.dni_w_m2) * kwh_per_w,
        dhi_kwh_m2: sum(&weather.dhi_w_m2) * kwh_per_w,
        air_mean_c: sum(&weather.air_c) / count,
        air_min_c: air().fold(f64::INFINITY, f64::min),
        air_max_c: air().fold(f64::NEG_INFINITY, f64::max),
        wind_mean_m_s: sum(&weather.wind_m_s) / count,
    }
}

/// Month (0 = January) of every record, by its middle.
fn months_of_records(weather: &WeatherYear) -> Vec<usize> {
    let middle_s = |r: usize| weather.first_start_s + (r as f64 + 0.5) * f64::from(weather.interval_s);
    (0..weather.ghi_w_m2.len()).map(|r| month_of_second(libm::floor(middle_s(r)) as i64)).collect()
}

/// Irradiation on the horizontal and on a plane.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct PlaneSums {
    /// Global horizontal irradiation in kWh/m2.
    pub ghi_kwh_m2: f64,
    /// Direct normal irradiation in kWh/m2.
    pub dni_kwh_m2: f64,
    /// Diffuse horizontal irradiation in kWh/m2.
    pub dhi_kwh_m2: f64,
    /// Irradiation on the plane in kWh/m2, by sky model.
    pub plane_kwh_m2: BySkyModel,
}

/// One figure a sky model.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct BySkyModel {
    /// Equally bright sky.
    pub isotropic: f64,
    /// Hay & Davies.
    pub hay_davies: f64,
    /// Hay & Davies with a brighter horizon (Reindl, Beckman & Duffie).
    pub hdkr: f64,
    /// Perez 1990.
    pub perez: f64,
}

/// Irradiation of a year on a plane.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlaneSummary {
    /// Tilt of the plane in deg.
    pub tilt_deg: f64,
    /// Azimuth of the plane in deg, clockwise from north.
    pub azimuth_deg: f64,
    /// Share of light that the ground reflects.
    pub albedo: f64,
    /// The whole year.
    pub annual: PlaneSums,
    /// The months, January first.
    pub monthly: Vec<PlaneSums>,
}

/// Sums on an open plane by all four sky models; angles in deg, azimuth clockwise from north.
pub fn on_plane(weather: &WeatherYear, tilt_deg: f64, azimuth_deg: f64, albedo: f64) -> PlaneSummary {
    let climate = summarise(weather);
    let horizontal = |c: &Climate| PlaneSums {
        ghi_kwh_m2: c.ghi_kwh_m2,
        dni_kwh_m2: c.dni_kwh_m2,
        dhi_kwh_m2: c.dhi_kwh_m2,
        plane_kwh_m2: BySkyModel::default(),
    };
    let mut annual = horizontal(&climate.annual);
    let mut monthly: Vec<PlaneSums> = climate.monthly.iter().map(horizontal).collect();
    let sun = SunYear::new(weather);
    let months = months_of_records(weather);
    type Field = fn(&mut BySkyModel) -> &mut f64;
    let models: [(SkyModel, Field); 4] = [
        (SkyModel::Isotropic, |m| &mut m.isotropic),
        (SkyModel::HayDavies, |m| &mut m.hay_davies),
        (SkyModel::Hdkr, |m| &mut m.hdkr),
        (SkyModel::Perez1990, |m| &mut m.perez),
    ];
    for (sky, field) in models {
        let optics = PlaneOptics {
            sky,
            albedo_frac: [albedo; 12],
            ..PlaneOptics::open(Plane::from_deg(tilt_deg, azimuth_deg))
        };
        let year = PlaneYear::new(weather, &sun, &optics);
        let kwh_per_w = f64::from(year.block_s) / 3.6e6;
        for (record, blocks) in year.blocks.chunks(sun.blocks_per_record).enumerate() {
            let sum: f64 = blocks.iter().map(|b| b.beam_w_m2 + b.sky_w_m2 + b.ground_w_m2).sum();
            *field(&mut annual.plane_kwh_m2) += sum * kwh_per_w;
            *field(&mut monthly[months[record]].plane_kwh_m2) += sum * kwh_per_w;
        }
    }
    PlaneSummary { tilt_deg, azimuth_deg, albedo, annual, monthly }
}
