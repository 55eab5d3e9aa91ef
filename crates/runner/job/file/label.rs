//! Standby loss of a tank from its label: `uef` or `ef` with the recovery efficiency, `age`, or the European `standing_loss`
//! or `energy_class`. A labelled tank takes its whole loss from the label, none from its geometry.

use super::COMMON;
use super::section::Section;
use crate::job::quantity::size::GALLON_M3;
use crate::job::quantity::{Fault, Kind, parse, rounded};
use crate::problem::{Problem, Severity};
use crate::rating::heater_label::{DrawPattern, Factor, HeaterKind, HeaterLabel, least_by_law};
use crate::rating::store_class::{StoreClass, conductance_w_k};

/// Ages count from this year, so that a job means the same whenever it is read.
const THIS_YEAR: u32 = 2026;

/// What a heater's label comes to.
pub(super) struct Label {
    /// Loss of the whole tank in W/K, ports and flue included.
    pub loss_w_k: f64,
    /// Heat into the water, losses not yet taken off, per purchased energy.
    pub efficiency_frac: f64,
    /// Purchased power while heating in W.
    pub input_w: f64,
    /// The label on its test day; `None` where a European standing loss was given.
    pub on_test: Option<HeaterLabel>,
}

/// A heater of which a label speaks.
#[derive(Clone, Copy)]
pub(super) struct Heater {
    pub kind: HeaterKind,
    pub volume_m3: f64,
}

/// What a section says of the loss.
struct Said {
    /// The key that says it; `None` for a gas heater without a label.
    key: Option<&'static str>,
    age: Option<u32>,
    /// Standing loss in W at 45 K.
    stated_w: Option<f64>,
    factor: Option<Factor>,
}

/// Keys of which one gives the loss, in the order of preference. `age` may stand beside a factor.
const KEYS: [&str; 5] = ["standing_loss", "energy_class", "uef", "ef", "age"];

/// True if the section says anything of a label.
pub(super) fn given(section: &Section<'_>) -> bool {
    KEYS.into_iter().any(|key| section.has(key))
}

/// Doubts everything of a label: what stands here has none of this kind.
pub(super) fn idle(section: &Section<'_>, why: &str, help: &str) {
    section.idle(&KEYS, why, help);
    section.idle(&["recovery_efficiency", "draw_pattern", "first_hour_rating"], why, help);
}

/// Loss of a labelled tank in W/K, whatever heats it; `None` without a label. It is labelled like the electric heater it is
/// built as.
pub(super) fn tank_loss_w_k(section: &Section<'_>, volume_m3: f64) -> Option<f64> {
    let heater = Heater { kind: HeaterKind::Electric, volume_m3 };
    let said = said(section, heater)?;
    Some(match said.stated_w {
        Some(stated_w) => stated_loss_w_k(section, stated_w),
        None => converted(section, heater, &said, "input").loss_w_k,
    })
}

/// The label of a heater; an electric one may have none, a gas heater without is taken for a usual one.
pub(super) fn heater(section: &Section<'_>, heater: Heater) -> Option<Label> {
    let said = said(section, heater)?;
    Some(converted(section, heater, &said, "power"))
}

fn said(section: &Section<'_>, heater: Heater) -> Option<Said> {
    let key = KEYS.into_iter().find(|key| section.has(key));
    if key.is_none() && heater.kind == HeaterKind::Electric {
        for alone in ["recovery_efficiency", "draw_pattern", "first_hour_rating"] {
            if section.has(alone) {
                let problem =
                    Problem::new(Severity::Error, format!("`{alone}` says nothing of the standby loss"))
                        .label("half a label")
                        .help("add the label's uef or ef, or the heater's age");
                section.report(alone, problem);
            }
        }
        return None;
    }
    let twice = ["insulation", "side", "top", "bottom", "total_loss", "fittings_loss", "loss", "efficiency"];
    for other in KEYS[..4].iter().chain(&twice).filter(|other| Some(**other) != key && section.has(other)) {
        let key = key.unwrap_or("fuel");
        let problem =
            Problem::new(Severity::Error, format!("`{other}` and `{key}` say the same thing twice"))
                .label("which one?")
                .help("keep one of them: a label holds the loss of the whole tank");
        section.report(other, problem);
    }
    let age =
        section.words("age", years, |years| format!("built about {}", THIS_YEAR.saturating_sub(*years)));
    let loss_w = section
        .ask("standing_loss", &[Kind::Power])
        .possible("5 W", "1000 W")
        .usual("20 W", "250 W")
        .given()
        .map(|loss| loss.si);
    let class = section.words("energy_class", class, |class| {
        format!("up to {} W at 45 K", rounded(class.largest_loss_w(heater.volume_m3)))
    });
    let stated_w = loss_w.or_else(|| class.map(|class| class.largest_loss_w(heater.volume_m3)));
    Some(Said { key, age, stated_w, factor: factor(section, heater.kind) })
}

/// Loss, efficiency and power together; the power stands under `power_key`.
fn converted(section: &Section<'_>, heater: Heater, said: &Said, power_key: &'static str) -> Label {
    let electric = heater.kind == HeaterKind::Electric;
    let recovery = match (electric, said.stated_w, said.factor) {
        (true, Some(_), _) => ("100 %", "an element turns all its power into heat"),
        (true, None, _) => ("98 %", "usual of electric heaters on the US test (common practice)"),
        (false, None, Some(Factor::Uef(..))) | (false, Some(_), _) => {
            ("80 %", "usual of gas heaters now (common practice)")
        }
        (false, None, _) => ("76 %", "usual of gas heaters with an energy factor (common practice)"),
    };
    let recovery_frac = section
        .ask("recovery_efficiency", &[Kind::Share])
        .possible("30 %", "100 %")
        .usual("70 %", "100 %")
        .or(recovery.0, recovery.1);
    let input_w = section
        .ask(power_key, &[Kind::Power])
        .possible("200 W", "60 kW")
        .usual("1 kW", "25 kW")
        .or(if electric { "4500 W" } else { "40000 Btu/h" }, COMMON);
    if let Some(stated_w) = said.stated_w {
        let loss_w_k = stated_loss_w_k(section, stated_w);
        return Label { loss_w_k, efficiency_frac: recovery_frac, input_w, on_test: None };
    }
    let factor = said.factor.unwrap_or_else(|| by_law_or_usual(section, heater, said.age));
    by_factor(section, said.key, &HeaterLabel { factor, recovery_frac, input_w })
}

/// A standing loss in W as W/K.
fn stated_loss_w_k(section: &Section<'_>, stated_w: f64) -> f64 {
    let loss_w_k = conductance_w_k(stated_w);
    let source = "standing loss over 45 K, 65 C in a room of 20 C (Regulations (EU) 812/2013 and 814/2013)";
    note(section, loss_w_k, source);
    loss_w_k
}

fn note(section: &Section<'_>, loss_w_k: f64, source: &str) {
    let words = format!("{} W/K, ports included, spread over the shell", rounded(loss_w_k));
    section.note("label_loss", words, Some((loss_w_k, "W/K")), Some(source));
}

/// A label that states a factor; one that cannot be is reported at `key`.
fn by_factor(section: &Section<'_>, key: Option<&'static str>, label: &HeaterLabel) -> Label {
    let HeaterLabel { factor, recovery_frac, input_w } = *label;
    let Some(tank) = label.tank() else {
        let (Factor::Ef(value) | Factor::Uef(value, _)) = factor;
        // Faulty entries, not numbers, were reported where they stand.
        if !(value * recovery_frac * input_w).is_nan() {
            let problem = Problem::new(
                Severity::Error,
                format!(
                    "a factor of {} cannot be with a recovery efficiency of {} %",
                    rounded(value),
                    rounded(recovery_frac * 100.0)
                ),
            )
            .label("not possible")
            .help("the factor counts the standby loss too, so it lies below the recovery efficiency");
            section.report(key.unwrap_or("fuel"), problem);
        }
        return Label { loss_w_k: f64::NAN, efficiency_frac: f64::NAN, input_w, on_test: None };
    };
    note(
        section,
        tank.loss_w_k,
        "test day of 10 CFR 430 subpart B appendix E, tank at set point all day (balance of Lutz and others 1998)",
    );
    let on_test = Some(*label);
    Label { loss_w_k: tank.loss_w_k, efficiency_frac: tank.efficiency_frac, input_w, on_test }
}

/// `uef` with its draw pattern, or `ef`.
fn factor(section: &Section<'_>, kind: HeaterKind) -> Option<Factor> {
    let ask = |key| {
        let ask = section.ask(key, &[Kind::Number]).possible("0.3", "5");
        let ask = match kind {
            HeaterKind::Electric => ask.usual("0.8", "5"),
            HeaterKind::Gas => ask.usual("0.48", "0.85"),
        };
        let factor = ask.given()?.si;
        if factor > 1.0 {
            let problem = Problem::new(
                Severity::Error,
                format!("a factor of {} is that of a heat pump", rounded(factor)),
            )
            .label("not this kind of heater")
            .help("here a factor belongs to an electric element or a gas burner and lies below 1");
            section.report(key, problem);
            return Some(f64::NAN);
        }
        Some(factor)
    };
    let (uef, ef) = (ask("uef"), ask("ef"));
    let Some(uef) = uef else { return ef.map(Factor::Ef) };
    Some(Factor::Uef(uef, pattern(section)))
}

/// The draw pattern a uniform energy factor was found on.
pub(super) fn pattern(section: &Section<'_>) -> DrawPattern {
    let rating_gal = section
        .ask("first_hour_rating", &[Kind::Volume])
        .possible("1 gal", "500 gal")
        .usual("15 gal", "150 gal")
        .given()
        .map(|rating| rating.si / GALLON_M3);
    match rating_gal {
        Some(rating_gal) if !section.has("draw_pattern") => DrawPattern::from_first_hour_gal(rating_gal),
        _ => section.choice(
            "draw_pattern",
            &[
                ("medium", DrawPattern::Medium),
                ("high", DrawPattern::High),
                ("low", DrawPattern::Low),
                ("very small", DrawPattern::VerySmall),
            ],
            (
                "medium",
                "first-hour rating of 51 to 75 gal, as usual for 40 to 50 gal heaters (common practice)",
            ),
        ),
    }
}

/// Without a factor: the least one that the law allowed when the heater was built, or a usual gas heater's.
fn by_law_or_usual(section: &Section<'_>, heater: Heater, age: Option<u32>) -> Factor {
    let Some(age) = age else {
        section.note("ef", "0.59", Some((0.59, "")), Some("usual gas storage heater (common practice)"));
        return Factor::Ef(0.59);
    };
    let built = THIS_YEAR.saturating_sub(age);
    let (factor, since) = least_by_law(heater.kind, heater.volume_m3 / GALLON_M3, built);
    if let Factor::Ef(value) = factor {
        let source = format!("least by federal law since {since} for this volume (from memory)");
        section.note("ef", rounded(value), Some((value, "")), Some(&source));
    }
    factor
}

/// `12 years`, `12`.
fn years(text: &str) -> Result<u32, Fault> {
    let lower = text.trim().to_lowercase();
    let plain = ["years", "year", "yrs", "yr", "old"].iter().fold(lower.as_str(), |rest, word| {
        rest.strip_suffix(word).or_else(|| rest.strip_suffix(" old")).unwrap_or(rest).trim_end()
    });
    parse(plain, &[Kind::Count]).ok().filter(|age| age.si <= 60.0).map(|age| age.si as u32).ok_or_else(|| {
        Fault::new(format!("`{text}` is not an age"), "how many years?", 0..text.len())
            .help("write it like \"12 years\"")
    })
}

/// `A+` to `F`.
fn class(text: &str) -> Result<StoreClass, Fault> {
    Ok(match text.trim().to_uppercase().as_str() {
        "A+" => StoreClass::APlus,
        "A" => StoreClass::A,
        "B" => StoreClass::B,
        "C" => StoreClass::C,
        "D" => StoreClass::D,
        "E" => StoreClass::E,
        "F" => StoreClass::F,
        _ => {
            return Err(Fault::new(
                format!("`{text}` is not a class with a limit"),
                "not known",
                0..text.len(),
            )
            .help("classes of hot-water tanks are A+, A, B, C, D, E and F; for G give standing_loss"));
        }
    })
}
