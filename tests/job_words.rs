//! Words of a job that say nothing as it stands, and limits in the units of their writer.

use suncask::job::file::read_text;
use suncask::problem::Severity;

/// Mark, column of the line, message and remedy of everything that is wrong with a text.
fn told(text: &str) -> Vec<String> {
    let problems = match read_text("job.toml", text) {
        Ok(job) => job.notes,
        Err(problems) => problems,
    };
    let told = problems.iter().map(|problem| {
        let line = problem.place.as_ref().map_or(0, |place| place.line);
        let mark = if problem.severity == Severity::Error { "error" } else { "doubt" };
        format!("{mark} {line}: {}; {}", problem.message, problem.help.clone().unwrap_or_default())
    });
    told.collect()
}

#[test]
fn keys_that_wait_for_another_are_doubted() {
    for (text, message) in [
        ("[tank]\ninlet_bore = \"0.8 in\"", "`inlet_bore` changes nothing: nothing mixes at the cold inlet"),
        ("[tank]\nfoam_conductivity = \"0.03 W/mK\"", "`foam_conductivity` changes nothing: no insulation"),
        ("[loop]\ncheck_valve_leak = \"5 %\"", "`check_valve_leak` changes nothing: the valve does not leak"),
        ("[loop]\ncollector_rise = \"4 ft\"", "`collector_rise` changes nothing: nothing flows by itself"),
        ("[pump]\nstart_lift = \"20 ft\"", "`start_lift` changes nothing: the pump has no curve"),
        ("[pump]\nhours = \"9 am - 4 pm\"", "`hours` changes nothing: it needs drive = \"timer\""),
        ("[pump]\nstarts_at = \"10 %\"", "`starts_at` changes nothing: it needs drive = \"solar module\""),
        (
            "[pump]\nleast_speed = \"40 %\"",
            "`least_speed` changes nothing: it needs speed = \"proportional\"",
        ),
        (
            "[controller]\non_difference = \"16 F\"\n[pump]\ndrive = \"timer\"",
            "`on_difference` changes nothing: no difference starts or stops the pump",
        ),
        (
            "[backup]\nminimum_fire = \"3 kW\"",
            "`minimum_fire` changes nothing: an electric element has no such",
        ),
        (
            "[backup]\nkind = \"flow-through heater\"\nband = \"8 F\"",
            "`band` changes nothing: a flow-through heater has no element in the tank",
        ),
        (
            "[backup]\nkind = \"none\"\nset_temperature = \"130 F\"\npower = \"4500 W\"",
            "`power`, `set_temperature` change nothing: the solar tank has no heater of its own",
        ),
        (
            "[heater_without_sun]\nkind = \"held at set point\"\nband = \"8 F\"",
            "`band` changes nothing: a heater held at its set point has no inside",
        ),
        (
            "[heater_without_sun]\nkind = \"flow-through heater\"\nuef = 0.9\nvolume = \"50 gal\"",
            "`volume` changes nothing: a flow-through heater holds no water",
        ),
        (
            "[backup_tank]\nkind = \"gas heater\"\ncop = 3",
            "`cop` changes nothing: a gas heater has no such thing",
        ),
        (
            "[backup_tank]\n[bypass]\ndates = \"May 1 - Sep 30\"\nband = \"5 F\"",
            "`band` changes nothing: the valve is turned by hand",
        ),
    ] {
        let told = told(text);
        assert!(
            told.iter().any(|line| line.starts_with("doubt") && line.contains(message)),
            "{text}: {told:#?}"
        );
        assert!(!told.iter().any(|line| line.contains("is not a key")), "{text}: {told:#?}");
    }
}

#[test]
fn keys_that_count_are_not_doubted() {
    for text in [
        "[tank]\ninlet_mixing = \"by draw rate\"\ninlet_bore = \"0.8 in\"",
        "[tank]\ninsulation = \"2 in\"\nfoam_conductivity = \"0.03 W/mK\"",
        "[loop]\ncheck_valve = \"leaks\"\ncheck_valve_leak = \"5 %\"\ncollector_rise = \"4 ft\"",
        "[pump]\ndrive = \"timer\"\nhours = \"9 am - 4 pm\"",
        "[pump]\ndrive = \"timer\"\n[controller]\non_difference = \"16 F\"\n[controller.night_cooling]",
        "[pump]\nspeed = \"proportional\"\nleast_speed = \"40 %\"",
        "[heater_without_sun]\nkind = \"held at set point\"\nloss = \"1.4 W/K\"",
        "[backup]\nkind = \"none\"",
    ] {
        let told = told(text);
        assert!(!told.iter().any(|line| line.contains("changes nothing")), "{text}: {told:#?}");
    }
}

#[test]
fn limits_are_told_in_the_units_of_the_writer() {
    for (text, remedy) in [
        ("[controller]\nhigh_limit = \"120 C\"", "possible: 21.11 C to 110 C"),
        ("[controller]\nhigh_limit = \"250 F\"", "possible: 70 F to 230 F"),
        ("[controller]\non_difference = \"60 K\"", "possible: 0 K to 50 K"),
        ("[tank]\nvolume = \"1 L\"", "possible: 7.571 L to 18927 L"),
    ] {
        let told = told(text);
        assert!(
            told.iter().any(|line| line.starts_with("error") && line.ends_with(remedy)),
            "{text}: {told:#?}"
        );
    }
}

#[test]
fn values_that_cannot_be_get_the_advice_that_fits() {
    for (text, expected) in [
        (
            "[roof]\nazimuth = \"400 deg\"",
            "error 2: azimuth cannot be 400 deg; count clockwise from north, 0 to 360 deg: east is 90, south 180, west 270 deg",
        ),
        (
            "[roof]\nazimuth = \"-30 deg\"",
            "error 2: azimuth -30 deg can be meant in two ways; count clockwise from north (south is 180 deg), or write \"30 degrees east of south\"",
        ),
        (
            "[tank]\nvolume = true",
            "error 2: `volume` is a volume, not true or false; write a volume like \"80 gal\"",
        ),
        (
            "[weather]\nfile = \" \"",
            "error 2: `file` names no file; write the name of a weather file, or leave the key out for the built-in invented climate",
        ),
    ] {
        assert_eq!(told(text), [expected], "{text}");
    }
}
