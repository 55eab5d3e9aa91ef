//! What the safety findings need to know and the run does not: `[site]`, pressures in `[loop]`, the mixing valve in
//! `[hot_water]`.

use super::section::Section;
use crate::job::Protection;
use crate::job::quantity::Kind;

pub(super) fn read(root: &Section<'_>) -> Protection {
    let (site, circuit, use_of_water) =
        (root.section("site"), root.section("loop"), root.section("hot_water"));
    let pressure = |key, usual: (&'static str, &'static str)| {
        let ask = circuit.ask(key, &[Kind::Pressure]).possible("0 psi", "150 psi").usual(usual.0, usual.1);
        ask.given().map(|pressure| pressure.si)
    };
    let fill_pa = pressure("fill_pressure", ("10 psi", "60 psi"));
    let lift = circuit.ask("lift", &[Kind::Length]).possible("0 ft", "500 ft").usual("0 ft", "60 ft");
    let record_low = site.ask("record_low", &[Kind::Level]).possible("-90 F", "80 F").usual("-60 F", "50 F");
    Protection {
        mixing_valve: use_of_water.choice(
            "mixing_valve",
            &[("yes", true), ("no", false)],
            ("no", "none unless the job names one"),
        ),
        record_low_c: record_low.given().map(|level| level.si),
        fill_pa,
        lift_m: lift.given().map(|lift| lift.si),
        relief_pa: pressure("relief_pressure", ("30 psi", "150 psi")),
    }
}
