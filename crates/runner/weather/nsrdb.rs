//! NSRDB CSV as the solar radiation database of the US national laboratory delivers it.
//!
//! Line 1 names the metadata, line 2 holds their values, line 3 names the columns. Which columns there are, and in which
//! order, follows from what was asked for, so names decide on all three lines. A row is a snapshot at its stamp that stands
//! for the step centred on it (checked on files of both steps: the file's own zenith angle is that of the stamp).
//! `Time Zone` is the zone of the stamps, `Local Time Zone` the site's.

use super::calendar::Stamp;
use super::draft::{Anchor, Draft, Quantity, columns};
use super::{Layout, Site, table};
use crate::problem::Problem;

/// Line of the column names, if this is the layout of `text`.
pub(super) fn recognise(text: &str) -> Option<usize> {
    let names = table::fields(text.lines().next()?);
    (table::column(&names, "Latitude").is_some() && table::column(&names, "Time Zone").is_some()).then_some(3)
}

/// Reads the rows below the column names.
pub(super) fn read(source: &str, text: &str, header_line: usize) -> Result<Draft, Vec<Problem>> {
    let (site, stamp_zone_h) = site(source, text)?;
    let names = table::fields(table::from_line(text, header_line));
    let columns = columns(
        &names,
        &[
            (Quantity::Ghi, "GHI"),
            (Quantity::Dni, "DNI"),
            (Quantity::Dhi, "DHI"),
            (Quantity::Air, "Temperature"),
            (Quantity::Wind, "Wind Speed"),
            (Quantity::DewPoint, "Dew Point"),
            (Quantity::Humidity, "Relative Humidity"),
        ],
    );
    let mut when = [0_usize; 4];
    for (place, name) in when.iter_mut().zip(["Month", "Day", "Hour", "Minute"]) {
        let Some(index) = table::column(&names, name) else {
            let message = format!("There is no column \"{name}\".");
            return Err(vec![table::error(source, header_line, &message, table::RESTORE)]);
        };
        *place = index;
    }
    let anchor = Anchor { intervals: -0.5, seconds: 0.0 };
    let mut draft = Draft::new(source, Layout::Nsrdb, site, anchor, &columns);
    draft.zone_shift_s = (draft.site.utc_offset_h - stamp_zone_h) * 3600.0;
    table::for_each_row(text, header_line, |line, row| {
        let part = |i: usize| row.get(when[i]);
        let whole = |i: usize| part(i).parse::<u32>().ok();
        let stamp =
            || Stamp::new(whole(0)?, whole(1)?, i64::from(whole(2)?) * 3600 + i64::from(whole(3)?) * 60);
        let stamp =
            stamp().ok_or_else(|| format!("month {} day {} {}:{}", part(0), part(1), part(2), part(3)));
        draft.push(line, stamp, row, &columns);
        true
    });
    Ok(draft)
}

/// Lines 1 and 2: the site, and the zone of the stamps in h.
pub(super) fn site(source: &str, text: &str) -> Result<(Site, f64), Vec<Problem>> {
    let mut lines = text.lines();
    let names = table::fields(lines.next().unwrap_or(""));
    let values = table::fields(lines.next().unwrap_or(""));
    let get = |name: &str| table::column(&names, name).and_then(|i| values.get(i)).map_or("", String::as_str);
    let number = |name: &str| get(name).parse::<f64>().ok();
    let (Some(latitude_deg), Some(longitude_deg), Some(stamp_zone_h)) =
        (number("Latitude"), number("Longitude"), number("Time Zone"))
    else {
        return Err(vec![table::error(
            source,
            2,
            "The second line does not give latitude, longitude and time zone.",
            table::RESTORE,
        )]);
    };
    let utc_offset_h = number("Local Time Zone").unwrap_or(stamp_zone_h);
    let name =
        ["City", "State", "Country"].map(get).into_iter().filter(|part| !matches!(*part, "" | "-" | "None"));
    let name = name.collect::<Vec<_>>().join(", ");
    let elevation_m = number("Elevation").unwrap_or(0.0);
    Ok((Site { name, latitude_deg, longitude_deg, elevation_m, utc_offset_h }, stamp_zone_h))
}
