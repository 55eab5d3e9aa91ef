//! `[hot_water]` and `[cold_water]`.
//!
//! Water is drawn in one of four ways: a day's volume over the hours or in draws by chance (`daily`), a pattern fixed by law
//! or single draws listed in the job (`events`), or draws logged in a file (`log`).

mod cold;
mod daily;
mod events;
mod guests;
mod log;

pub(super) use cold::cold;

use super::section::Section;
use crate::job::WaterUse;
use crate::job::patterns::{self, DayPattern, Origin, us};
use crate::job::quantity::Kind;
use crate::problem::{Problem, Severity};

/// How a job says what is drawn.
#[derive(Clone, Copy, PartialEq)]
enum Way {
    Hourly,
    Random,
    /// By law: index into [`patterns::all`].
    Law(usize, Origin),
    Log,
    Listed,
}

impl Way {
    /// What the job calls it, for messages.
    fn name(self) -> &'static str {
        match self {
            Self::Hourly => "the hourly profile",
            Self::Random => "random draws",
            Self::Law(..) => "a pattern fixed by law",
            Self::Log => "`file`",
            Self::Listed => "[[hot_water.draw]]",
        }
    }

    /// The keys that belong to it, of those that do not belong to all.
    fn keys(self) -> &'static [&'static str] {
        match self {
            Self::Hourly => &[
                "temperature",
                "people",
                "bedrooms",
                "daily",
                "hours",
                "weekend_hours",
                "spread",
                "counts_as_showers",
            ],
            Self::Random => {
                &["temperature", "people", "bedrooms", "daily", "hours", "weekend_hours", "seed", "kind"]
            }
            Self::Law(_, Origin::UnitedStates) => &["temperature", "people", "first_draw"],
            Self::Law(_, Origin::EuropeanUnion) => &["people"],
            Self::Log => &["temperature", "people", "repeat"],
            Self::Listed => &["temperature"],
        }
    }
}

/// Every key that belongs to some ways only.
const KEYS_OF_WAYS: [&str; 12] = [
    "people",
    "daily",
    "bedrooms",
    "hours",
    "weekend_hours",
    "spread",
    "counts_as_showers",
    "seed",
    "kind",
    "first_draw",
    "repeat",
    "temperature",
];

/// Keys that say how much is drawn.
const AMOUNTS: [&str; 5] = ["people", "daily", "hours", "weekend_hours", "spread"];

pub(super) fn hot(root: &Section<'_>) -> WaterUse {
    let section = root.section("hot_water");
    let laws = patterns::all(0.0);
    let way = way(&section, &laws);
    for key in KEYS_OF_WAYS.into_iter().filter(|key| section.has(key) && !way.keys().contains(key)) {
        refuse(&section, key, way);
    }
    let use_c = match way {
        Way::Law(_, Origin::UnitedStates) => {
            level(&section, (us::DELIVERY, "10 CFR 430 Subpart B Appendix E"))
        }
        // Each draw has its own.
        Way::Law(_, Origin::EuropeanUnion) => f64::NAN,
        _ => level(&section, ("120 F", "delivery at 120 F (common practice)")),
    };
    let people = way.keys().contains(&"people").then(|| people(&section)).flatten();
    let pattern = match way {
        Way::Hourly => daily::hourly(&section, people, use_c),
        Way::Random => daily::random(&section, people, use_c),
        Way::Law(index, _) => events::by_law(&section, &patterns::all(use_c)[index]),
        Way::Log => log::read(&section, use_c),
        Way::Listed => events::listed(&section.sections("draw"), use_c),
    };
    let usable_c = section
        .ask("usable_temperature", &[Kind::Level])
        .possible("60 F", "140 F")
        .usual("95 F", "115 F")
        .or("105 F", "coolest water for a shower or bath (common practice)");
    let month_factor = guests::month_factors(&section);
    let absences = guests::absences(&section);
    let by_people =
        matches!(way, Way::Hourly | Way::Random) && !section.has("daily") && !section.has("bedrooms");
    let guests = guests::guests(&section, people, by_people);
    WaterUse { pattern, month_factor, absences, guests, usable_c }
}

/// The way the keys of the section speak of; more than one is a fault.
fn way(section: &Section<'_>, laws: &[DayPattern]) -> Way {
    let said: Vec<_> = [("draw", Way::Listed), ("file", Way::Log), ("pattern", Way::Hourly)]
        .into_iter()
        .filter(|(key, _)| section.has(key))
        .collect();
    if let [(first, _), (second, _), ..] = said.as_slice() {
        let named = |key: &str| if key == "draw" { "[[hot_water.draw]]".into() } else { format!("`{key}`") };
        let what = format!("{} and {} both say what is drawn", named(first), named(second));
        section.report(second, Problem::new(Severity::Error, what).label("which one?").help("leave one out"));
    }
    match said.first() {
        Some((_, way @ (Way::Listed | Way::Log))) => *way,
        _ => {
            let by_law = laws.iter().enumerate().map(|(i, law)| (law.name, Way::Law(i, law.origin)));
            let options: Vec<(&str, Way)> =
                [("hourly", Way::Hourly), ("random draws", Way::Random)].into_iter().chain(by_law).collect();
            let told = |way: &Way| match *way {
                Way::Law(index, origin) => {
                    format!(
                        "{} draws, {} a day; {}",
                        laws[index].events.len(),
                        laws[index].total,
                        origin.source()
                    )
                }
                _ => String::new(),
            };
            section.choice_told(
                "pattern",
                &options,
                ("hourly", "a day's water over the hours unless said otherwise"),
                told,
            )
        }
    }
}

fn refuse(section: &Section<'_>, key: &'static str, way: Way) {
    let name = way.name();
    let problem = if way == Way::Listed && AMOUNTS.contains(&key) {
        Problem::new(Severity::Error, format!("`{key}` and {name} say how much water twice"))
            .label("which one?")
            .help("list single draws, or give a day's use; not both")
    } else {
        let problem =
            Problem::new(Severity::Error, format!("`{key}` does not go with {name}")).label("leave it out");
        match way {
            Way::Law(_, Origin::EuropeanUnion) if key == "temperature" => {
                problem.help("each draw of the EU patterns has a temperature of its own")
            }
            Way::Law(..) => {
                problem.help("volumes and times are fixed; month_factors and guests change the volume")
            }
            _ => problem.help(format!("known with it: {}", way.keys().join(", "))),
        }
    };
    section.report(key, problem);
}

/// How many live in the house, if the job says so.
fn people(section: &Section<'_>) -> Option<f64> {
    let people = section.ask("people", &[Kind::Count]).possible("0", "500").usual("1", "12").given();
    people.map(|people| people.si)
}

fn level(section: &Section<'_>, default: (&str, &str)) -> f64 {
    section
        .ask("temperature", &[Kind::Level])
        .possible("50 F", "200 F")
        .usual("95 F", "140 F")
        .or(default.0, default.1)
}

/// A volume in both habits: `55 gal (208.2 L)`.
fn in_words(volume_m3: f64) -> String {
    format!("{} ({})", Kind::Volume.shown(volume_m3, true), Kind::Volume.shown(volume_m3, false))
}
