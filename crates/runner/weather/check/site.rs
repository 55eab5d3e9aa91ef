//! Does the place in the header make sense?

use super::super::Site;
use super::super::draft::Sorted;
use super::{doubt, refuse};
use crate::problem::{Problem, Severity};

/// Places that cannot be.
pub(super) fn check(sorted: &Sorted) -> Vec<Problem> {
    let site = &sorted.site;
    let mut errors = Vec::new();
    let mut require = |name: &str, value: f64, unit: &str, range: [f64; 2]| {
        if !(range[0]..=range[1]).contains(&value) {
            let message = format!("The header gives a {name} of {value} {unit}.");
            let help = format!("it must lie between {} and {} {unit}", range[0], range[1]);
            errors.push(refuse(&sorted.source, message, &help));
        }
    };
    require("latitude", site.latitude_deg, "deg", [-90.0, 90.0]);
    require("longitude", site.longitude_deg, "deg", [-180.0, 180.0]);
    // The zones in use on land, and lowest and highest inhabited land (from memory, with room to spare).
    require("UTC offset", site.utc_offset_h, "h", [-12.0, 14.0]);
    require("elevation", site.elevation_m, "m", [-450.0, 6000.0]);
    errors
}

/// Farthest that legal standard time lies from the sun's on land, in h (western China, from memory).
const WIDEST_ZONE_H: f64 = 3.1;

/// Places that would be odd.
pub(super) fn doubts(site: &Site) -> Vec<Problem> {
    let sun_zone_h = site.longitude_deg / 15.0;
    // Across the date line a zone may be a whole day ahead.
    let apart_h = (site.utc_offset_h - sun_zone_h + 36.0).rem_euclid(24.0) - 12.0;
    if apart_h.abs() <= WIDEST_ZONE_H {
        return Vec::new();
    }
    let message = format!(
        "The UTC offset of {} h does not go with the longitude of {} deg, where the sun's time is {sun_zone_h:+.1} h.",
        site.utc_offset_h, site.longitude_deg
    );
    vec![doubt(Severity::Warning, message, "west is negative in both; check the signs")]
}
