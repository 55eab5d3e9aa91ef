//! Pictures of studies, and of the plant.

use suncask::job;
use suncask::money::Currency;
use suncask::picture::{self, DrawnPlant, HoursDial, OnOff, OnOffCell, SizeBox, SizeGrid, Units};

use super::{Fills, check, check_fills};

/// Invented pairs; the one with the largest on and the smallest off difference breaks a floor.
#[test]
fn on_and_off_differences() {
    let (on, off) = (["8 F", "12 F", "16 F", "20 F"], ["3 F", "5 F", "8 F"]);
    let cells = (0..on.len() * off.len()).map(|i| {
        let (on, off) = (i % on.len(), i / on.len());
        let worth = 480.0 - 3.0 * (on as f64 - 1.0).powi(2) - off as f64;
        OnOffCell {
            on,
            off,
            worth,
            kwh: 5.0 * worth,
            starts_a_day: 12.0 / (on + 1) as f64,
            pump_hours: 1900.0 - 100.0 * on as f64,
            cool_min: 15.0 + off as f64,
            as_good: worth > 478.0,
            proposed: (on, off) == (1, 0),
            barred: (on, off) == (3, 0),
        }
    });
    let map = OnOff {
        name: "Invented house".to_owned(),
        on: on.map(str::to_owned).into(),
        off: off.map(str::to_owned).into(),
        currency: Currency::named("$"),
        cells: cells.collect(),
        told: "Saved a year at equal service: $478 with the present settings".to_owned(),
    };
    check_fills("tune_map", &picture::on_off_map(&map), 40_000, Fills::Scale);
    check_fills("tune_maps", &picture::on_off_maps(&map), 60_000, Fills::Scale);
}

#[test]
fn hours_of_an_element() {
    let mut prices = [0.17; 24];
    prices[17..21].fill(0.31);
    let dial = HoursDial {
        name: "Invented house".to_owned(),
        now: vec![(0, 1440)],
        best: vec![(0, 1020), (1260, 1440)],
        prices: Some(prices),
        least_most: Some(("$0.17".to_owned(), "$0.31".to_owned())),
        told: "Best hours of the element: 9 pm - 5 pm, $8 a year against now.".to_owned(),
        units: Units::Us,
    };
    check("dial", &picture::hours_dial(&dial), 60_000);
}

#[test]
fn sizes() {
    let one = |saved: f64| {
        Some(SizeBox {
            saved,
            large: format!("${saved:.0}"),
            small: ["77%, back in 16 years".to_owned(), "212 h stagnation".to_owned()],
        })
    };
    let grid = SizeGrid {
        name: "Invented house",
        what: "Saved a year, share of the energy bought without sun".to_owned(),
        follows: "Size that follows: 2 collectors with 80 gal.",
        tanks: vec!["80 gal", "120 gal"],
        counts: &[1, 2, 3],
        boxes: vec![one(380.0), one(510.0), one(557.0), one(374.0), None, one(569.0)],
        chosen: Some(1),
        diminish_at: Some(3),
    };
    check_fills("size", &picture::size_grid(&grid), 40_000, Fills::Scale);
}

/// Hot and cool pipes differ in form as well: solid, and hollow.
#[test]
fn the_plant() {
    let job = job::file::read_text("starter", job::starter()).expect("a sound job");
    let svg = picture::plant_drawing(&DrawnPlant::of(&job), Units::Us);
    assert!(svg.contains("data-pipe=\"supply\"") && svg.contains("data-pipe=\"return\""));
    let hollow = svg
        .lines()
        .zip(svg.lines().skip(1))
        .filter(|(pipe, next)| pipe.contains("data-pipe=\"supply\"") && next.contains("stroke=\"#ffffff\""));
    assert_eq!(hollow.count(), 1);
    let solid = svg.lines().zip(svg.lines().skip(1)).filter(|(pipe, next)| {
        pipe.contains("data-pipe=\"return\"") && !next.contains("stroke-width=\"1.8\"")
    });
    assert_eq!(solid.count(), 1);
    check("plant", &svg, 60_000);
}
