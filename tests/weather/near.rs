//! Finding the nearest stored file.

use std::path::Path;

use suncask::weather::near::{Here, by_name, nearest, stored};

#[test]
fn the_nearest_file_of_a_folder_is_found_by_place_and_by_name() {
    let files = stored(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/weather")).unwrap();
    // Seven weather files; the credits and the table of sums are passed over.
    assert_eq!(files.len(), 7, "{files:#?}");
    let named = by_name(&files, "truckee, ca");
    assert_eq!(named.len(), 1);
    let here = Here::from(&named[0].site);
    let near = nearest(&files, here, 2);
    assert_eq!(near[0].distance_km, 0.0);
    assert!((near[0].ghi_kwh_m2.unwrap() - 1705.296).abs() < 1e-3);
    assert!(near[1].stored.path.ends_with("tmy3_723815_daggett_ca.csv"));
    // Truckee to Daggett: 4.467 deg of latitude (496.7 km) and 3.333 deg of longitude (near 295.5 km at the mean latitude).
    assert!((near[1].distance_km - 577.9).abs() < 1.5, "{}", near[1].distance_km);
    assert_eq!(near[1].height_difference_m, Some(586.0 - 1798.0));
    assert!(by_name(&files, "").is_empty());
    assert!(stored(Path::new("no/such/folder")).is_err());
}
