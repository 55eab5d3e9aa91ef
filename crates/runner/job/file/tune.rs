//! `[tune]`: the steps that the controller and the other dials offer, and what no proposal may break.

use super::section::Section;
use crate::job::quantity::{Fault, Kind, parse, when};
use crate::job::tune::{MATTERS_ABOVE, Matters, SENSOR_ERROR, Step, THERMOSTAT_FLOOR, Tune};
use crate::problem::{Problem, Severity};

/// Most steps of a dial: more take long and tell no more.
const MOST_STEPS: usize = 12;

const FLOWS: [Kind; 4] = [Kind::VolumeFlow, Kind::MassFlow, Kind::VolumeFlowPerArea, Kind::MassFlowPerArea];

/// Reads the section. A job without it takes the usual steps, which the study tells and no run does.
pub(super) fn read(root: &Section<'_>) -> Tune {
    let section = root.section("tune");
    let usual = Tune::default();
    if !section.is_given() {
        return usual;
    }
    let differences = |key, usual: Vec<Step>| {
        let given = steps(&section, key, &[Kind::Difference], ("0 F", "90 F"));
        given.unwrap_or_else(|| {
            let words: Vec<_> = usual.iter().map(|step| step.written.as_str()).collect();
            section.note(key, words.join(", "), None, Some("steps of common controllers (common practice)"));
            usual
        })
    };
    let on_differences = differences("on_differences", usual.on_differences);
    let off_differences = differences("off_differences", usual.off_differences);
    let fits = |off: &Step| on_differences.iter().any(|on| off.si < on.si || on.si.is_nan());
    if !off_differences.iter().any(fits) {
        let what = "no off difference is smaller than an on difference";
        let help = "off is commonly a quarter to a third of on";
        section.report("off_differences", Problem::new(Severity::Error, what).label("too large").help(help));
    }
    let dial = |key, kinds, possible| steps(&section, key, kinds, possible).unwrap_or_default();
    let high_limits = dial("high_limits", &[Kind::Level][..], ("70 F", "230 F"));
    let flows = dial("flows", &FLOWS[..], ("0.001 gal/min", "1000 gal/min"));
    if root.section("pump").has("curve") {
        section.idle(&["flows"], "the pump has a curve, which settles its flow", "leave it out");
    }
    let thermostats = dial("thermostats", &[Kind::Level][..], ("60 F", "185 F"));
    let hours = |text: &str| when::hours(text).map(|_| text.trim().to_owned());
    let element_hours = section.texts("element_hours", hours).unwrap_or_default();
    full(&section, "element_hours", element_hours.len());
    let rating = |key| {
        let ask = section.ask(key, &[Kind::Level]).possible("100 F", "400 F").usual("140 F", "212 F");
        ask.given().map(|rating| rating.si)
    };
    let matters = section.ask("matters_above", &[Kind::Share, Kind::Energy]).possible("0 %", "50 %").or_any(
        MATTERS_ABOVE,
        "of what is saved now; weather and use differ by more from year to year (assumed)",
    );
    Tune {
        on_differences,
        off_differences,
        high_limits,
        flows,
        thermostats,
        element_hours,
        thermostat_floor_c: section.ask("thermostat_floor", &[Kind::Level]).possible("120 F", "160 F").or(
            THERMOSTAT_FLOOR,
            "120 F at the taps; some codes ask for 140 F in the tank (common practice)",
        ),
        tank_rating_c: rating("tank_rating"),
        liner_rating_c: rating("liner_rating"),
        coil_rating_c: rating("coil_rating"),
        matters_above: match matters.kind {
            Kind::Energy => Matters::Kwh(matters.si / 3.6e6),
            _ => Matters::Share(matters.si),
        },
        sensor_error_k: section
            .ask("sensor_error", &[Kind::Difference])
            .possible("0 F", "30 F")
            .usual("0 F", "10 F")
            .or(SENSOR_ERROR, "either way; pairs of sensors differ by 0.5 to 2 K (common practice)"),
    }
}

/// The steps of a dial from the lowest up, each once; `None` if the key is missing.
fn steps(
    section: &Section<'_>,
    key: &'static str,
    kinds: &[Kind],
    possible: (&'static str, &'static str),
) -> Option<Vec<Step>> {
    if !section.has(key) {
        return None;
    }
    let mut found = section.texts(key, |text| step(text, kinds, possible)).unwrap_or_default();
    found.sort_by(|a, b| a.si.total_cmp(&b.si));
    found.dedup_by(|a, b| a.kind == b.kind && a.si == b.si);
    full(section, key, found.len());
    Some(found)
}

fn step(text: &str, kinds: &[Kind], (low, high): (&str, &str)) -> Result<Step, Fault> {
    let found = parse(text, kinds)?;
    let limit = |text: &str| parse(text, &[found.kind]).map(|limit| limit.si);
    if let (Ok(low_si), Ok(high_si)) = (limit(low), limit(high))
        && !(low_si..=high_si).contains(&found.si)
    {
        let help = format!(
            "possible: {} to {}",
            found.kind.shown(low_si, found.us),
            found.kind.shown(high_si, found.us)
        );
        return Err(Fault::new(format!("a step cannot be {text}"), "not possible", 0..text.len()).help(help));
    }
    if found.si <= 0.0 && FLOWS.contains(&found.kind) {
        return Err(Fault::new("no flow at all", "not possible", 0..text.len()));
    }
    Ok(Step { written: text.trim().to_owned(), si: found.si, kind: found.kind })
}

/// Refuses a list that is too long.
fn full(section: &Section<'_>, key: &'static str, count: usize) {
    if count > MOST_STEPS {
        let what = format!("`{key}` has {count} steps, at most {MOST_STEPS} are tried");
        let help = "begin with few, far apart, and look closer where it is best";
        section.report(key, Problem::new(Severity::Error, what).label("too many").help(help));
    }
}
