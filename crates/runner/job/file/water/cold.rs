//! `[cold_water]`.

use super::super::section::Section;
use crate::job::ColdWater;
use crate::job::quantity::{Fault, Kind, when};
use crate::problem::{Problem, Severity};

pub(in crate::job::file) fn cold(root: &Section<'_>) -> ColdWater {
    let section = root.section("cold_water");
    let ways =
        ["temperature", "monthly", "mean"].into_iter().filter(|key| section.has(key)).collect::<Vec<_>>();
    if ways.len() > 1 {
        let problem = Problem::new(
            Severity::Error,
            format!("`{}` and `{}` say the same thing twice", ways[0], ways[1]),
        )
        .label("which one?")
        .help("give `temperature`, or `monthly`, or `mean` with `amplitude` and `coldest_day`");
        section.report(ways[1], problem);
    }
    if section.has("monthly") {
        let months = section.list("monthly", &[Kind::Level], Some(12)).unwrap_or_default();
        if months.iter().any(|level| !(-1.0..=45.0).contains(level)) {
            let problem =
                Problem::new(Severity::Error, "incoming cold water is 32 to 110 F").label("not possible");
            section.report("monthly", problem);
        }
        return ColdWater::Monthly(std::array::from_fn(|month| {
            months.get(month).copied().unwrap_or(f64::NAN)
        }));
    }
    let level = |key| section.ask(key, &[Kind::Level]).possible("31 F", "110 F").usual("35 F", "90 F");
    if section.has("mean") {
        return ColdWater::Cosine {
            mean_c: level("mean").or("58 F", "yearly mean"),
            amplitude_k: section
                .ask("amplitude", &[Kind::Difference])
                .possible("0 F", "50 F")
                .usual("0 F", "25 F")
                .or("10 F", "half the swing between winter and summer (common practice)"),
            coldest_day: f64::from(
                section
                    .words_or(
                        "coldest_day",
                        ("Feb 4", "some weeks after the coldest air (common practice)"),
                        when::date,
                        |_| String::new(),
                    )
                    .unwrap_or(35),
            ),
        };
    }
    let rule = |text: &str| match text.trim().to_lowercase().as_str() {
        "from weather" | "from the weather" => Ok(None),
        _ => {
            let found = crate::job::quantity::parse(text, &[Kind::Level]).map_err(|fault: Fault| {
                fault.help("write a temperature like \"58 F\", or \"from weather\"")
            })?;
            if (-1.0..=45.0).contains(&found.si) {
                return Ok(Some(found.si));
            }
            Err(Fault::new(format!("incoming cold water cannot have {text}"), "not possible", 0..text.len())
                .help("possible: 31 F to 110 F"))
        }
    };
    let source = "Burch and Christensen 2007 from the air temperatures of the weather file";
    match section.words_or("temperature", ("from weather", source), rule, |_| String::new()).flatten() {
        Some(level) => ColdWater::Constant(level),
        None => ColdWater::FromWeather,
    }
}
