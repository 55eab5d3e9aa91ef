//! A day's volume over the hours, evenly or in draws by chance.

use super::super::section::Section;
use super::{events, in_words};
use crate::job::patterns::household;
use crate::job::quantity::size::GALLON_M3;
use crate::job::quantity::{Kind, rounded};
use crate::job::{DrawKind, Pattern, RandomDraws};
use crate::problem::{Problem, Severity};

/// Random draws on a day at most: more of them flow without a break.
const MOST_DRAWS: f64 = 2000.0;

pub(super) fn hourly(section: &Section<'_>, people: Option<f64>, use_c: f64) -> Pattern {
    let daily_m3 = volume_m3(section, people, bedrooms(section), use_c);
    let [weekday_frac, weekend_frac] = hours(section);
    let minutes_s = section
        .ask("spread", &[Kind::Duration])
        .possible("1 min", "60 min")
        .or("60 min", "each hour's water flows all through the hour");
    Pattern::Hourly {
        daily_m3,
        use_c,
        weekday_frac,
        weekend_frac,
        minutes: (minutes_s / 60.0).round() as u32,
        comfort: section.choice(
            "counts_as_showers",
            &[("yes", true), ("no", false)],
            ("yes", "cool water is counted at all hours with use"),
        ),
    }
}

pub(super) fn random(section: &Section<'_>, people: Option<f64>, use_c: f64) -> Pattern {
    let bedrooms = bedrooms(section);
    let daily_m3 = volume_m3(section, people, bedrooms, use_c);
    let [weekday_frac, weekend_frac] = hours(section);
    let seed = section
        .ask("seed", &[Kind::Count])
        .possible("0", "1000000000")
        .or("1", "any whole number: another one gives another year of the same household");
    let kinds = kinds(section, bedrooms.unwrap_or(household::BEDROOMS), use_c);
    let count: f64 = kinds.iter().map(|kind| daily_m3 * kind.share_frac / kind.mean_m3).sum();
    if count > MOST_DRAWS {
        let what = format!("that makes {} draws a day", rounded(count));
        let help =
            "for a large building give larger draws with [[hot_water.kind]], or use the hourly pattern";
        section.report("daily", Problem::new(Severity::Error, what).label("too many").help(help));
    }
    Pattern::Random(RandomDraws {
        daily_m3,
        weekday_frac,
        weekend_frac,
        kinds,
        // A fault is reported already.
        seed: seed as u64,
    })
}

/// Volume of a day at the tap from `daily`, `bedrooms` or `people`.
fn volume_m3(section: &Section<'_>, people: Option<f64>, bedrooms: Option<f64>, use_c: f64) -> f64 {
    let daily = section
        .ask("daily", &[Kind::Volume])
        .possible("0 gal", "20000 gal")
        .usual("10 gal", "200 gal")
        .given();
    let by_rule = |volume_m3: f64, source: &str| {
        let words = format!("{} a day at the tap", in_words(volume_m3));
        section.note("daily", words, Some((volume_m3, "m3")), Some(source));
        volume_m3
    };
    let daily_m3 = match (&daily, bedrooms) {
        (Some(daily), _) => daily.si,
        (None, Some(bedrooms)) => {
            if people.is_some() {
                let what = "`people` and `bedrooms` both say how much water is used";
                let help = "leave one out, or say it with `daily`";
                let problem = Problem::new(Severity::Error, what).label("which one?").help(help);
                section.report("bedrooms", problem);
            }
            by_rule(household::bedrooms_m3(bedrooms, use_c), household::BY_BEDROOMS)
        }
        (None, None) => {
            if !section.has("people") {
                section.note(
                    "people",
                    "4",
                    Some((household::PEOPLE, "")),
                    Some("a family (common practice)"),
                );
            }
            by_rule(household::people_m3(people.unwrap_or(household::PEOPLE)), household::BY_PEOPLE)
        }
    };
    if let (Some(daily), Some(people)) = (daily, people)
        && people > 0.0
        && !(5.0..=50.0).contains(&(daily.si / GALLON_M3 / people))
    {
        let each = rounded(daily.si / GALLON_M3 / people);
        let problem = Problem::new(Severity::Warning, format!("that is {each} gal a day for each person"))
            .label("for the whole house?")
            .help("`daily` is for the whole house, mixed at the tap; 10 to 25 gal a person is usual");
        section.report("daily", problem);
    }
    daily_m3
}

fn bedrooms(section: &Section<'_>) -> Option<f64> {
    let bedrooms = section.ask("bedrooms", &[Kind::Count]).possible("0", "50").usual("1", "8").given();
    bedrooms.map(|bedrooms| bedrooms.si)
}

/// Each hour's share on weekdays and at the weekend.
fn hours(section: &Section<'_>) -> [[f64; 24]; 2] {
    let weekday_frac = shares(section, "hours").unwrap_or_else(|| {
        if !section.has("hours") {
            section.note(
                "hours",
                "household profile",
                None,
                Some("profile tied to ASHRAE 90.2 (from memory)"),
            );
        }
        household::HOURS
    });
    [weekday_frac, shares(section, "weekend_hours").unwrap_or(weekday_frac)]
}

/// 24 shares that add up to 1.
fn shares(section: &Section<'_>, key: &'static str) -> Option<[f64; 24]> {
    let values = section.list(key, &[Kind::Share], Some(24))?;
    let sum: f64 = values.iter().sum();
    if (sum - 1.0).abs() > 0.005 || values.iter().any(|share| *share < 0.0) {
        let problem = Problem::new(
            Severity::Error,
            format!("the 24 shares of `{key}` add up to {} %", rounded(sum * 100.0)),
        )
        .label("100 % belongs here")
        .help("each number is one hour's share of the day, from midnight on");
        section.report(key, problem);
    }
    Some(std::array::from_fn(|hour| values[hour] / sum))
}

/// What random draws are for: `[[hot_water.kind]]`, or a household's usual mix.
fn kinds(section: &Section<'_>, bedrooms: f64, use_c: f64) -> Vec<DrawKind> {
    let usual = household::kinds(bedrooms, use_c);
    let given = section.sections("kind");
    if given.is_empty() {
        for kind in &usual {
            let word = kind.purpose.word();
            let words = format!(
                "{} % of the water, {} each (give or take {} %), {} a minute",
                rounded((kind.share_frac * 1000.0).round() / 10.0),
                in_words(kind.mean_m3),
                rounded(kind.spread_frac * 100.0),
                in_words(kind.flow_m3_s * 60.0),
            );
            section.note(&format!("kind.{word}"), words, None, Some(household::KINDS));
        }
        return usual;
    }
    let kinds: Vec<DrawKind> = given.iter().map(|kind| one_kind(kind, &usual, use_c)).collect();
    let sum: f64 = kinds.iter().map(|kind| kind.share_frac).sum();
    if (sum - 1.0).abs() > 0.005 {
        let what = format!("the shares of [[hot_water.kind]] add up to {} %", rounded(sum * 100.0));
        let problem = Problem::new(Severity::Error, what).label("100 % belongs here");
        section.report("kind", problem.help("each is a kind's share of the year's water at the tap"));
    }
    kinds.into_iter().map(|kind| DrawKind { share_frac: kind.share_frac / sum, ..kind }).collect()
}

/// One kind; what it does not say is that of the household's usual kind of the name, or of its sinks.
fn one_kind(section: &Section<'_>, usual: &[DrawKind], use_c: f64) -> DrawKind {
    let purpose = events::purpose(section);
    let like = usual.iter().find(|kind| kind.purpose == purpose).unwrap_or(&usual[2]);
    let share = section.ask("share", &[Kind::Share]).possible("0 %", "100 %").given();
    if share.is_none() {
        let problem = Problem::new(Severity::Error, "a kind of draw has no share").label("how much of it?");
        section
            .report("share", problem.help("write share = \"40 %\": its part of the year's water at the tap"));
    }
    let source = household::KINDS;
    let temperature =
        section.ask("temperature", &[Kind::Level]).possible("50 F", "200 F").usual("95 F", "140 F").given();
    DrawKind {
        purpose,
        share_frac: share.map_or(f64::NAN, |share| share.si),
        mean_m3: section
            .ask("volume", &[Kind::Volume])
            .possible("0.01 gal", "2000 gal")
            .usual("0.1 gal", "100 gal")
            .or(&Kind::Volume.shown(like.mean_m3, true), source),
        spread_frac: section
            .ask("spread", &[Kind::Share])
            .possible("0 %", "200 %")
            .or(&format!("{} %", rounded(like.spread_frac * 100.0)), source),
        flow_m3_s: section
            .ask("flow", &[Kind::VolumeFlow])
            .possible("0.01 gpm", "100 gpm")
            .usual("0.2 gpm", "10 gpm")
            .or(&Kind::VolumeFlow.shown(like.flow_m3_s, true), source),
        use_c: temperature.map_or(use_c, |level| level.si),
    }
}
