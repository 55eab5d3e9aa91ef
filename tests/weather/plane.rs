//! Irradiance on a plane: against another program's sums, and what must hold for any year.

use proptest::prelude::*;
use solar_geometry::horizon::{Horizon, HorizonPoint, ShadingTable};
use solar_geometry::modifier::AngleModifier;
use solar_geometry::sky::SkyModel;
use solar_geometry::surface::Plane;
use suncask::weather::plane::{DiffuseModifier, PlaneOptics, PlaneYear};
use suncask::weather::summary::on_plane;
use suncask::weather::sun_year::SunYear;
use suncask::weather::{Layout, Site, WeatherYear};

use super::{GREENSBORO, file};

/// Annual irradiation of two planes against sums computed once with another program (see CREDITS.md in the data folder).
#[test]
fn annual_plane_irradiation_is_that_of_the_reference() {
    let mut rows = csv::Reader::from_reader(include_str!("../data/weather/plane_sums.csv").as_bytes());
    let mut last = None;
    for row in rows.records() {
        let row = row.unwrap();
        let number = |i: usize| row[i].parse::<f64>().unwrap();
        if last.as_ref().is_none_or(|(name, _, _)| *name != row[0]) {
            let weather = file(&row[0]);
            let sun = SunYear::new(&weather);
            last = Some((row[0].to_owned(), weather, sun));
        }
        let (name, weather, sun) = last.as_ref().unwrap();
        let sky = match &row[3] {
            "isotropic" => SkyModel::Isotropic,
            "hay-davies" => SkyModel::HayDavies,
            _ => SkyModel::Perez1990,
        };
        let optics = PlaneOptics { sky, ..PlaneOptics::open(Plane::from_deg(number(1), number(2))) };
        let year = PlaneYear::new(weather, sun, &optics);
        let hours = f64::from(year.block_s) / 3600.0;
        let sum: f64 = year.blocks.iter().map(|b| b.beam_w_m2 + b.sky_w_m2 + b.ground_w_m2).sum();
        let difference = sum * hours / 1000.0 / number(4) - 1.0;
        // The reference takes the sun once a row, refracted; that choice alone moves sums by up to 0.3 %.
        assert!(difference.abs() < 0.005, "{name} {sky:?}: {:+.3} %", 100.0 * difference);
    }
}

/// Annual and monthly sums by all models agree with each other and with the year they come from.
#[test]
fn sums_by_sky_model_add_up() {
    let weather = file(GREENSBORO);
    let summary = on_plane(&weather, 36.1, 180.0, 0.2);
    assert!((summary.annual.ghi_kwh_m2 - 1566.203).abs() < 1e-3);
    assert_eq!(summary.monthly.len(), 12);
    let months: f64 = summary.monthly.iter().map(|m| m.plane_kwh_m2.perez).sum();
    assert!((months - summary.annual.plane_kwh_m2.perez).abs() < 1e-9);
    // Hay-Davies with a brighter horizon lies between Hay-Davies and Perez at this place.
    let by = summary.annual.plane_kwh_m2;
    assert!(by.isotropic < by.hay_davies && by.hay_davies < by.hdkr, "{by:?}");
    let json = serde_json::to_value(&summary).unwrap();
    assert!(json["annual"]["plane_kwh_m2"]["hay_davies"].is_f64());
}

/// A year of the same record all the time.
fn constant(site: Site, interval_s: u32, first_start_s: f64, light: [f64; 3]) -> WeatherYear {
    let count = 365 * 86_400 / interval_s as usize;
    WeatherYear {
        site,
        layout: Layout::Plain,
        source: "constant".to_owned(),
        made: true,
        interval_s,
        first_start_s,
        ghi_w_m2: vec![light[0]; count],
        dni_w_m2: vec![light[1]; count],
        dhi_w_m2: vec![light[2]; count],
        air_c: (0..count).map(|r| (r % 97) as f64).collect(),
        wind_m_s: vec![2.0; count],
        dew_point_c: Vec::new(),
        warnings: Vec::new(),
    }
}

fn place(latitude_deg: f64, longitude_deg: f64) -> Site {
    let utc_offset_h = (longitude_deg / 15.0).round();
    Site { name: String::new(), latitude_deg, longitude_deg, elevation_m: 0.0, utc_offset_h }
}

proptest! {
    // A year a case: few cases, spread over places and grids.
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// Whatever the place and the grid, the blocks of a record carry exactly its global and diffuse energy.
    #[test]
    fn the_energy_of_each_record_is_kept(
        latitude_deg in -90.0..90.0_f64,
        longitude_deg in -180.0..180.0_f64,
        interval_min in prop::sample::select(vec![5_u32, 15, 20, 30, 60]),
        start_share in -0.5..0.5_f64,
    ) {
        let interval_s = 60 * interval_min;
        let first_start_s = (start_share * f64::from(interval_s)).round();
        let weather = constant(place(latitude_deg, longitude_deg), interval_s, first_start_s, [300.0, 400.0, 100.0]);
        let sun = SunYear::new(&weather);
        let year = PlaneYear::new(&weather, &sun, &PlaneOptics::open(Plane::from_deg(40.0, 200.0)));
        prop_assert_eq!(year.blocks.len() * year.block_s as usize, 365 * 86_400);
        prop_assert!(year.block_s <= 900);
        for blocks in year.blocks.chunks(sun.blocks_per_record) {
            let mean = |of: fn(&suncask::weather::plane::PlaneBlock) -> f64| {
                blocks.iter().map(of).sum::<f64>() / blocks.len() as f64
            };
            // Rounding of a handful of products.
            prop_assert!((mean(|b| b.ghi_w_m2) - 300.0).abs() < 1e-9);
            prop_assert!((mean(|b| b.dhi_w_m2) - 100.0).abs() < 1e-9);
            prop_assert!(blocks.iter().all(|b| b.beam_w_m2 >= 0.0 && b.sky_w_m2 >= 0.0 && b.ground_w_m2 >= 0.0));
            prop_assert!(blocks.iter().all(|b| b.effective_w_m2.is_finite()));
        }
    }
}

/// DNI x record length comes back as the beam of a plane that lies square to it: at the pole in summer, a plane that lies flat
/// gets DNI times the sine of the elevation, all day long.
#[test]
fn beam_energy_is_kept_where_it_can_be_read_off() {
    let weather = constant(place(36.0, -79.0), 3600, 0.0, [300.0, 400.0, 100.0]);
    let sun = SunYear::new(&weather);
    let year = PlaneYear::new(&weather, &sun, &PlaneOptics::open(Plane::from_deg(0.0, 180.0)));
    for record in 0..8760 {
        let suns = sun.record(record);
        let up_s: f64 = suns.iter().map(|s| s.up_s).sum();
        let dni_wh: f64 = suns
            .iter()
            .zip(&year.blocks[4 * record..])
            .filter(|(s, _)| s.up_s > 0.0)
            .map(|(s, b)| b.beam_w_m2 / s.direction.up / 4.0)
            .sum();
        let expected_wh = if up_s > 0.0 { 400.0 } else { 0.0 };
        assert!((dni_wh - expected_wh).abs() < 1e-9, "record {record}: {dni_wh}");
    }
}

/// Radiation in records without sun stays as even diffuse light; the direct part is dropped and said.
#[test]
fn light_without_sun_is_diffuse() {
    let weather = constant(place(36.0, -79.0), 3600, 0.0, [30.0, 400.0, 20.0]);
    let year =
        PlaneYear::new(&weather, &SunYear::new(&weather), &PlaneOptics::open(Plane::from_deg(60.0, 180.0)));
    let midnight = year.blocks[0];
    assert_eq!((midnight.beam_w_m2, midnight.ghi_w_m2), (0.0, 30.0));
    // (1 + cos 60)/2 of the sky, and 0.2 of the global on the rest.
    assert!((midnight.sky_w_m2 - 15.0).abs() < 1e-12 && (midnight.ground_w_m2 - 1.5).abs() < 1e-12);
    assert!(year.notes[0].message.contains("sun is down"), "{:?}", year.notes);
}

/// Air runs straight between the middles of the records, around the turn of the year too.
#[test]
fn air_runs_straight_between_record_middles() {
    let weather = constant(place(36.0, -79.0), 3600, 0.0, [0.0; 3]);
    let year =
        PlaneYear::new(&weather, &SunYear::new(&weather), &PlaneOptics::open(Plane::from_deg(30.0, 180.0)));
    let (last, first, second) = (weather.air_c[8759], weather.air_c[0], weather.air_c[1]);
    // Blocks have their middles 7.5, 22.5, 37.5 and 52.5 min into the hour; the record's middle is at 30.
    let between = |from: f64, to: f64, minutes: f64| from + (to - from) * minutes / 60.0;
    for (block, expected) in [
        (0, between(last, first, 37.5)),
        (1, between(last, first, 52.5)),
        (2, between(first, second, 7.5)),
        (3, between(first, second, 22.5)),
    ] {
        assert!((year.blocks[block].air_c - expected).abs() < 1e-12, "block {block}");
    }
}

/// Blocks are found by second of the year; records that begin before the year wrap.
#[test]
fn blocks_wrap_at_the_turn_of_the_year() {
    let weather = constant(place(45.0, 8.0), 3600, -1166.0, [0.0; 3]);
    let year =
        PlaneYear::new(&weather, &SunYear::new(&weather), &PlaneOptics::open(Plane::from_deg(30.0, 180.0)));
    assert_eq!(year.offset_s, -1140);
    assert_eq!(year.block_at(0), 1);
    assert_eq!(year.block_at(-1140), 0);
    assert_eq!(year.block_at(365 * 86_400 - 1140), 0);
    assert_eq!(year.block_at(365 * 86_400 - 1141), 35_039);
    assert_eq!((year.month_of_block(0), year.month_of_block(35_039)), (11, 11));
}

/// Modifiers act on their own parts, and the light on the plane does not depend on them.
#[test]
fn effective_light_is_the_sum_of_its_modified_parts() {
    let weather = file(GREENSBORO);
    let sun = SunYear::new(&weather);
    let plane = Plane::from_deg(36.0, 190.0);
    let modifier = AngleModifier::OneParameter { b0: 0.1, straight_tail: false };
    let optics = PlaneOptics {
        sky: SkyModel::HayDavies,
        modifier: modifier.clone(),
        diffuse_modifier: DiffuseModifier::Constant(0.9),
        circumsolar_with_beam: false,
        ..PlaneOptics::open(plane)
    };
    let year = PlaneYear::new(&weather, &sun, &optics);
    for (block, sun) in year.blocks.iter().zip(&sun.blocks) {
        let factor = if sun.up_s > 0.0 { modifier.beam(&sun.direction, &plane) } else { 0.0 };
        let expected = factor * block.beam_w_m2 + 0.9 * (block.sky_w_m2 + block.ground_w_m2);
        assert!((block.effective_w_m2 - expected).abs() < 1e-9);
    }
    let sum = |year: &PlaneYear, of: fn(&suncask::weather::plane::PlaneBlock) -> f64| {
        year.blocks.iter().map(of).sum::<f64>() * f64::from(year.block_s) / 3.6e6
    };
    // Light from around the sun with the beam's modifier: more than 0.9 of it near noon, so the year gains a little.
    let with_beam =
        PlaneYear::new(&weather, &sun, &PlaneOptics { circumsolar_with_beam: true, ..optics.clone() });
    let gain = sum(&with_beam, |b| b.effective_w_m2) / sum(&year, |b| b.effective_w_m2) - 1.0;
    assert!((0.0..0.02).contains(&gain), "{gain}");
    assert_eq!(sum(&with_beam, |b| b.sky_w_m2), sum(&year, |b| b.sky_w_m2));
    // Snow on half the glass in January takes half of what counts and nothing of what falls on the plane.
    let mut snowy = optics.clone();
    snowy.snow_cover_frac[0] = 0.5;
    let snowy = PlaneYear::new(&weather, &sun, &snowy);
    let noon = year.block_at(12 * 3600);
    assert_eq!(snowy.blocks[noon].effective_w_m2, 0.5 * year.blocks[noon].effective_w_m2);
    assert_eq!(snowy.blocks[noon].beam_w_m2, year.blocks[noon].beam_w_m2);
}

/// A wall all around leaves no beam and little sky; a shading table takes direct light in its hours only.
#[test]
fn things_in_the_way_take_light() {
    let weather = file(GREENSBORO);
    let sun = SunYear::new(&weather);
    let open = PlaneOptics { sky: SkyModel::Isotropic, ..PlaneOptics::open(Plane::from_deg(0.0, 180.0)) };
    let point = HorizonPoint { azimuth_rad: 0.0, elevation_rad: 30.0_f64.to_radians() };
    let walled =
        PlaneYear::new(&weather, &sun, &PlaneOptics { horizon: Horizon::new([point]), ..open.clone() });
    let free = PlaneYear::new(&weather, &sun, &open);
    for ((walled, free), sun) in walled.blocks.iter().zip(&free.blocks).zip(&sun.blocks) {
        let hidden = sun.direction.up < 0.5;
        assert_eq!(walled.beam_w_m2, if hidden { 0.0 } else { free.beam_w_m2 });
        // A flat plane sees cos^2(30 deg) = 3/4 of an even sky above a line at 30 deg.
        assert!((walled.sky_w_m2 - 0.75 * free.sky_w_m2).abs() < 1e-4 * free.sky_w_m2.max(1.0));
    }
    let mut table = [[0.0; 24]; 12];
    table[5][12] = 0.25;
    let shaded =
        PlaneYear::new(&weather, &sun, &PlaneOptics { shading: Some(ShadingTable::new(table)), ..open });
    let noon_of = |day: i64| free.block_at(day * 86_400 + 12 * 3600 + 1800);
    let (june, july) = (noon_of(160), noon_of(190));
    assert_eq!(shaded.blocks[june].beam_w_m2, 0.75 * free.blocks[june].beam_w_m2);
    assert_eq!(shaded.blocks[june].sky_w_m2, free.blocks[june].sky_w_m2);
    assert_eq!(shaded.blocks[july], free.blocks[july]);
}
