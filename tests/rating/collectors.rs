//! `[collectors]` as sheets have it.

use solar_geometry::modifier::AngleModifier;
use solar_geometry::surface::ProjectedAngles;
use suncask::rating::test_flow::Arrangement;
use thermal_network::spec::CollectorSpec;

use super::{caught, job, messages};

fn rating(keys: &str) -> String {
    format!("[collectors.rating]\n{keys}\n")
}

fn spec(text: &str) -> CollectorSpec {
    job(text).plant.solar_loop.expect("a loop").collector
}

#[test]
fn a_line_over_inlet_temperature() {
    // By hand: g = 0.02 x 4178.9 (water at 40 C) = 83.58; 1 - 4/(2 g) = 0.976070. The fitted specific heat is within 5.3e-4,
    // which moves the factor by 1.3e-5.
    let si = spec(&rating("intercept = 0.74\nslope = \"4 W/m2K\""));
    assert!((si.eta0b - 0.74 / 0.976_070).abs() < 1.1e-5, "{}", si.eta0b);
    assert!((si.a1_w_m2_k - 4.0 / 0.976_070).abs() < 6e-5, "{}", si.a1_w_m2_k);
    assert_eq!(si.a2_w_m2_k2, 0.0);
    // The same in the sheet's other column and with the sheet's sign; 4 W/(m2 K) are 0.704441 Btu/(h ft2 F).
    let us = spec(&rating("intercept = \"74 %\"\nslope = \"-0.704441 Btu/h ft2 F\""));
    assert!((us.a1_w_m2_k - si.a1_w_m2_k).abs() < 1e-5);
    // Half the flow, by any of its units: a larger difference between mean and inlet. 32 ft2 are 2.97290 m2.
    let by_area = spec(&rating("intercept = 0.74\nslope = \"4 W/m2K\"\ntest_flow = \"0.01 kg/(s m2)\""));
    let by_collector = spec(&rating("intercept = 0.74\nslope = \"4 W/m2K\"\ntest_flow = \"0.0297290 kg/s\""));
    assert!((by_area.a1_w_m2_k - 4.0 / (1.0 - 4.0 / (2.0 * 41.789))).abs() < 1e-3);
    assert!((by_area.a1_w_m2_k - by_collector.a1_w_m2_k).abs() < 1e-5);
    // Over mean temperature the line is taken as it stands.
    let mean = spec(&rating("temperature_basis = \"mean fluid\"\nintercept = 0.74\nslope = \"4 W/m2K\""));
    assert_eq!((mean.eta0b, mean.a1_w_m2_k), (0.74, 4.0));
}

#[test]
fn mix_ups_of_a_sheet() {
    let line = "intercept = 0.74\n";
    for (keys, message) in [
        ("slope = \"0.7 W/m2K\"", "a loss of 0.7 W/m2K is that of an evacuated tube"),
        ("slope = \"-4.2 Btu/h ft2 F\"", "a loss of 4.2 Btu/h ft2 F is that of a bare pool collector"),
        (
            "slope = \"-4 W/m2K\"\nsecond_order = \"0.01 W/m2K2\"",
            "slope and second order have different signs",
        ),
        ("slope = \"4 W/m2K\"\na1 = \"4 W/m2K\"", "`a1` and `intercept` say the same thing twice"),
        ("slope = \"4 W/m2K\"\ntest_flow = \"2 gal/min\"", ""),
        ("slope = \"4 W/m2K\"\ntest_flow = \"30 gal/min\"", "no test runs at 0.6318 kg/(s m2)"),
        ("", "the rating has no `slope`"),
    ] {
        let text = rating(&format!("{line}{keys}"));
        if message.is_empty() {
            assert!(messages(&text).is_empty(), "{text}")
        } else {
            caught(&text, message)
        }
    }
    caught(
        &rating("temperature_basis = \"inlet\"\neta0b = 0.74"),
        "eta0b, a1 and a2 hang on the mean fluid temperature",
    );
    caught(
        &rating("coefficients_on = \"absorber\""),
        "the coefficients are on absorber area, but the absorber area is not given",
    );
    let bare = messages(&rating("intercept = 0.74\nslope = 0.7"));
    assert!(bare.len() == 1 && bare[0].contains("unit"), "{bare:?}");
}

#[test]
fn peak_efficiency_of_a_clear_sky_and_absorber_area() {
    let found = spec(&rating(
        "eta0_hem = 0.78\nkd = 0.9\ncoefficients_on = \"absorber\"\nabsorber_area = \"2.3 m2\"",
    ));
    // 0.78/(0.85 + 0.15 x 0.9) by hand; two collectors.
    assert!((found.eta0b - 0.791_878).abs() < 1e-6);
    assert!((found.area_m2 - 4.6).abs() < 1e-12);
}

#[test]
fn wind_terms_of_the_2013_edition() {
    let keys = "eta0b = 0.92\na1 = \"9 W/m2K\"\na2 = \"0 W/m2K2\"\na3 = \"4 J/m3K\"\na6 = \"0.04 s/m\"\nedition = 2013";
    let found = spec(&rating(keys));
    // 9 + 3 x 4 and 0.92 - 3 x 0.04, by hand.
    assert!((found.a1_w_m2_k - 21.0).abs() < 1e-12 && (found.eta0b - 0.80).abs() < 1e-12);
}

#[test]
fn arrangements() {
    let of = |size: &str, words: &str| {
        let text = format!("[collectors]\nsize = \"{size}\"\narrangement = \"{words}\"\n");
        let job = job(&text);
        (job.collectors.arrangement, job.plant.solar_loop.expect("a loop").collector.area_m2)
    };
    let (row, row_m2) = of("two 4x8 ft", "series");
    let (side, side_m2) = of("two 4x8 ft", "parallel");
    assert_eq!(row, Arrangement { in_series: 2, in_parallel: 1 });
    assert_eq!(side, Arrangement { in_series: 1, in_parallel: 2 });
    // Either way the field is one collector of the whole area with the whole flow.
    assert_eq!(row_m2, side_m2);
    assert_eq!(of("six 4x8 ft", "2 in series").0, Arrangement { in_series: 2, in_parallel: 3 });
    caught(
        "[collectors]\nsize = \"three 4x8 ft\"\narrangement = \"2 in series\"\n",
        "`2 in series` does not come out even with 3 collectors",
    );
}

#[test]
fn tubes_along_and_across_the_slope() {
    let table = "angles = [\"0 deg\", \"50 deg\", \"90 deg\"]\nlongitudinal = [1, 0.92, 0]\ntransversal = [1, 1.3, 0]";
    let at = |keys: &str, longitudinal_deg: f64, transversal_deg: f64| {
        let modifier = job(&format!("[collectors.rating.angle]\n{table}\n{keys}\n")).aspect.modifier;
        modifier.at_projected(&ProjectedAngles {
            longitudinal_rad: f64::to_radians(longitudinal_deg),
            transversal_rad: f64::to_radians(transversal_deg),
        })
    };
    // Geometry's longitudinal angle is the one along the slope; points of the table, so exact but for rounding.
    for (keys, up_slope, side) in [
        ("", 0.92, 1.3),
        ("tubes_run = \"up the slope\"", 0.92, 1.3),
        ("tubes_run = \"across the slope\"", 1.3, 0.92),
    ] {
        assert!((at(keys, 50.0, 0.0) - up_slope).abs() < 1e-12, "{keys}");
        assert!((at(keys, 0.0, 50.0) - side).abs() < 1e-12, "{keys}");
        // Half-way to the point, both at once.
        assert!((at(keys, 25.0, 25.0) - 0.96 * 1.15).abs() < 1e-12, "{keys}");
    }
}

#[test]
fn angle_tables_typed_wrongly() {
    let of = |keys: &str| format!("[collectors.rating.angle]\n{keys}\n");
    let angles = "angles = [\"0 deg\", \"50 deg\"]";
    caught(&of(&format!("{angles}\nvalues = [100, 93]")), "a factor of 100 cannot be");
    caught(&of(&format!("{angles}\nvalues = [0.93, 0.9]")), "`values` starts with 0.93 at 0 deg");
    caught(
        &of(&format!("{angles}\nlongitudinal = [1, 1.3]\ntransversal = [1, 0.92]")),
        "the longitudinal factors rise and the transversal ones fall",
    );
    caught(
        &of("b0 = 0.1\ntubes_run = \"up the slope\""),
        "the way the tubes run does not matter to this modifier",
    );
    caught(&of("b0 = 0.1\nat_50_deg = 0.94"), "`b0` and `at_50_deg` say the same thing twice");
    // 0.06/0.555724 by hand.
    let AngleModifier::OneParameter { b0, .. } = job(&of("at_50_deg = 0.94")).aspect.modifier else {
        panic!("one parameter")
    };
    assert!((b0 - 0.107_967).abs() < 1e-6);
}

/// Outputs of the coefficients themselves, rounded as a sheet prints them: they fit. Then one typing error each.
#[test]
fn daily_outputs_as_a_check() {
    let sheet = "[collectors.rating.sheet]\n\
        clear_day = [\"13.1 kWh\", \"11.8 kWh\", \"9.9 kWh\", \"6.2 kWh\", \"2.8 kWh\"]\n\
        cloudy_day = [\"6.3 kWh\", \"5.1 kWh\", \"3.3 kWh\", \"0.5 kWh\"]\n";
    let text =
        |line: &str, sheet: &str| rating(&format!("{line}\n[collectors.rating.angle]\nb0 = 0.15\n{sheet}"));
    let line = "intercept = 0.70\nslope = \"-0.75 Btu/h ft2 F\"\nsecond_order = \"-0.0012 Btu/h ft2 F2\"";
    assert_eq!(messages(&text(line, sheet)), [""; 0]);
    let found = messages(&text(&line.replace("0.70", "0.60"), sheet));
    assert!(found[0].contains("on a clear day in category A, the sheet has 13.1 kWh"), "{found:?}");
    let found = messages(&text(&line.replace("-0.75", "-1.35"), sheet));
    assert!(found.iter().any(|message| message.contains("on a clear day in category D")), "{found:?}");
    let kilo_btu = sheet.replace("13.1 kWh", "44.7 kWh").replace("11.8 kWh", "40.3 kWh");
    assert!(messages(&text(line, &kilo_btu))[0].contains("the sheet has 44.7 kWh"));
    caught(&text(line, "[collectors.rating.sheet]\nclear_day = []\n"), "`clear_day` has 0 values");
}

/// What `suncask check` says of the field, as a person sees it.
#[test]
fn check_shows_the_field_and_its_days() {
    let folder = tempfile::tempdir().expect("folder");
    let sheet = "[collectors.rating.sheet]\nclear_day = [\"13.5 kWh\"]\n";
    let text = format!("[collectors]\narrangement = \"series\"\n{}{sheet}", rating("eta0b = 0.74"));
    std::fs::write(folder.path().join("job.toml"), text).expect("written");
    let done = std::process::Command::new(env!("CARGO_BIN_EXE_suncask"))
        .args(["check", "job.toml"])
        .current_dir(folder.path())
        .output()
        .expect("the command");
    let shown = String::from_utf8(done.stdout).expect("UTF-8");
    assert!(shown.contains("2 one after the other, 1 side by side: "), "{shown}");
    let row =
        shown.lines().find(|line| line.starts_with("  A      -9 F")).unwrap_or_else(|| panic!("{shown}"));
    assert!(row.contains(" (13.5)") && row.split_whitespace().count() == 7, "{row}");
}
