//! The weather files of a folder, and which of them lies nearest.

use std::io::Read as _;
use std::path::{Path, PathBuf};

use serde::Serialize;

use super::{Layout, Site, WeatherYear, read, site_and_layout, table};
use crate::problem::{Problem, Severity};

/// The head of every readable layout lies within this many bytes.
const HEAD_BYTES: u64 = 64 * 1024;

/// Mean radius of the earth in km (IUGG).
const EARTH_RADIUS_KM: f64 = 6371.0088;

/// A weather file in a folder, known by its header.
#[derive(Clone, Debug, Serialize)]
pub struct Stored {
    /// The file.
    pub path: PathBuf,
    /// Its layout.
    pub layout: Layout,
    /// Its place.
    pub site: Site,
}

/// A stored file seen from a place.
#[derive(Clone, Debug, Serialize)]
pub struct Nearby {
    /// The file.
    #[serde(flatten)]
    pub stored: Stored,
    /// Distance along the great circle in km.
    pub distance_km: f64,
    /// Height of the file's place above the one asked for in m; `None` if that height is not known.
    pub height_difference_m: Option<f64>,
    /// Global horizontal irradiation of the year in kWh/m2; `None` if the file is refused.
    pub ghi_kwh_m2: Option<f64>,
    /// What is wrong with a file that is refused, or doubtful in one that is read.
    pub problems: Vec<Problem>,
}

/// A place to search from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Here {
    /// Latitude in deg, north positive.
    pub latitude_deg: f64,
    /// Longitude in deg, east positive.
    pub longitude_deg: f64,
    /// Height above sea level in m, if known.
    pub elevation_m: Option<f64>,
}

impl From<&Site> for Here {
    fn from(site: &Site) -> Self {
        Self {
            latitude_deg: site.latitude_deg,
            longitude_deg: site.longitude_deg,
            elevation_m: Some(site.elevation_m),
        }
    }
}

/// All weather files of a folder, in the order of their names; only their heads are read, other files are passed over.
///
/// # Errors
/// The folder cannot be read.
pub fn stored(folder: &Path) -> Result<Vec<Stored>, Vec<Problem>> {
    let entries = std::fs::read_dir(folder).map_err(|error| {
        let message = format!("Cannot read the folder {}: {error}.", folder.display());
        vec![Problem::new(Severity::Error, message).help("name a folder that holds weather files")]
    })?;
    let mut paths: Vec<PathBuf> =
        entries.flatten().map(|entry| entry.path()).filter(|path| path.is_file()).collect();
    paths.sort();
    Ok(paths.into_iter().filter_map(peek).collect())
}

fn peek(path: PathBuf) -> Option<Stored> {
    let mut head = Vec::new();
    std::fs::File::open(&path).ok()?.take(HEAD_BYTES).read_to_end(&mut head).ok()?;
    let text = table::decode("", &head).ok()?;
    let (site, layout) = site_and_layout("", &text).ok()?;
    Some(Stored { path, layout, site })
}

/// Files whose place has a name that contains all words of `name`.
pub fn by_name<'a>(stored: &'a [Stored], name: &str) -> Vec<&'a Stored> {
    let words: Vec<String> =
        name.split([' ', ',']).filter(|w| !w.is_empty()).map(str::to_lowercase).collect();
    let matches = |s: &&Stored| {
        let site = s.site.name.to_lowercase();
        !words.is_empty() && words.iter().all(|word| site.contains(word))
    };
    stored.iter().filter(matches).collect()
}

/// The `count` files nearest to a place, nearest first; these are read whole for their yearly sun.
pub fn nearest(stored: &[Stored], here: Here, count: usize) -> Vec<Nearby> {
    let mut by_distance: Vec<(f64, &Stored)> =
        stored.iter().map(|s| (distance_km(here, Here::from(&s.site)), s)).collect();
    by_distance.sort_by(|a, b| a.0.total_cmp(&b.0));
    let look = |(distance_km, stored): (f64, &Stored)| {
        let (ghi_kwh_m2, problems) = match read(&stored.path) {
            Ok(year) => (Some(ghi_kwh_m2(&year)), year.warnings),
            Err(problems) => (None, problems),
        };
        let height_difference_m = here.elevation_m.map(|here_m| stored.site.elevation_m - here_m);
        Nearby { stored: stored.clone(), distance_km, height_difference_m, ghi_kwh_m2, problems }
    };
    by_distance.into_iter().take(count).map(look).collect()
}

fn ghi_kwh_m2(year: &WeatherYear) -> f64 {
    year.ghi_w_m2.iter().sum::<f64>() * f64::from(year.interval_s) / 3.6e6
}

/// Distance along the great circle in km, by the haversine formula on a sphere.
fn distance_km(a: Here, b: Here) -> f64 {
    let [lat_a, lat_b] = [a.latitude_deg.to_radians(), b.latitude_deg.to_radians()];
    let half_lat = libm::sin(0.5 * (lat_b - lat_a));
    let half_lon = libm::sin(0.5 * (b.longitude_deg - a.longitude_deg).to_radians());
    let h = half_lat * half_lat + libm::cos(lat_a) * libm::cos(lat_b) * half_lon * half_lon;
    2.0 * EARTH_RADIUS_KM * libm::asin(h.sqrt().min(1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_on_the_sphere() {
        let at = |latitude_deg, longitude_deg| Here { latitude_deg, longitude_deg, elevation_m: None };
        // A quarter of the circumference, and one degree of longitude across the date line at 60 deg north (half of 111.195).
        assert!((distance_km(at(0.0, 0.0), at(90.0, 12.0)) - 10_007.557).abs() < 0.01);
        assert!((distance_km(at(60.0, 179.5), at(60.0, -179.5)) - 55.597).abs() < 0.01);
    }
}
