//! A house with some of its settings moved: as a draft, as the text of a job file, and as a job.

use serde::Serialize;
use toml::de::{DeTable, DeValue};

use super::asked::Variant;
use super::control::{Control, Dial};
use super::habits::{HABITS, NOBODY_AWAY};
use super::house::{House, LaidOut};
use super::weave::woven;
use crate::job::Job;
use crate::job::file::{Draft, read_from};
use crate::job::quantity::scaled;
use crate::problem::{Problem, Severity};
use crate::study::compare::stock_cost;
use crate::study::size::resized;

/// A fault or doubt, and the control it belongs to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(super) struct Said {
    /// The control's name; nothing if it belongs to the whole.
    pub control: Option<&'static str>,
    /// True if nothing can be run with it.
    pub error: bool,
    /// What is wrong.
    pub message: String,
    /// What to do.
    pub help: Option<String>,
}

impl Said {
    pub(super) fn of(problem: &Problem, control: Option<&'static str>) -> Self {
        Self {
            control,
            error: problem.severity == Severity::Error,
            message: problem.message.clone(),
            help: problem.help.clone(),
        }
    }

    fn fault(control: &Control, message: impl Into<String>) -> Self {
        Self { control: Some(control.id), error: true, message: message.into(), help: None }
    }
}

/// A variant that can be run.
#[derive(Debug)]
pub(super) struct Moved {
    pub draft: Draft,
    /// Text of its job file.
    pub text: String,
    pub job: Job,
    /// Doubts of the reader.
    pub doubts: Vec<Said>,
}

/// Reads a variant as the command line would read its job file.
///
/// # Errors
/// What is wrong with it.
pub(super) fn moved(house: &House, variant: &Variant) -> Result<Moved, Vec<Said>> {
    let laid_out =
        house.layout(variant.other_layout).ok_or_else(|| whole("this house has no other layout"))?;
    let (draft, cost) = priced(laid_out, variant, set(laid_out, variant)?);
    let text = woven(&house.text, draft.table()).map_err(|fault| whole(&fault))?;
    // What a job does not write has no place in it: then it is the one thing that was moved, if only one was.
    let mut set = laid_out.controls.iter().filter(|control| variant.moved.contains_key(control.id));
    let only = set.next().filter(|_| variant.moved.len() == 1).map(|control| control.id);
    let owner = |problem: &Problem| {
        let sole = only.filter(|_| problem.severity == Severity::Error);
        control_of(laid_out, &text, problem).or(sole)
    };
    let said = |problems: &[Problem]| -> Vec<Said> {
        problems.iter().map(|problem| Said::of(problem, owner(problem))).collect()
    };
    match read_from(&house.folder, house.name(), &text) {
        Ok(job) => {
            let mut doubts = said(&job.notes);
            doubts.extend(cost);
            Ok(Moved { doubts, draft, job, text })
        }
        Err(problems) => Err(said(&problems)),
    }
}

/// The draft of another plant than the job's own with its installed cost from the stock, and what is to be said of that cost.
fn priced(laid_out: &LaidOut, variant: &Variant, draft: Draft) -> (Draft, Option<Said>) {
    if variant.moved.contains_key("cost") || !draft.has("money.installed_cost") {
        return (draft, None);
    }
    // Faults of the draft are the reader's to tell.
    let Ok(job) = draft.job() else { return (draft, None) };
    let plant = |job: &Job| (job.collectors.arrangement, job.plant.tanks.first().map(|tank| tank.volume_m3));
    if !variant.other_layout && plant(&job) == plant(&laid_out.job) {
        return (draft, None);
    }
    let said = |message: &str, help: Option<&str>| Said {
        control: Some("cost"),
        error: false,
        message: message.to_owned(),
        help: help.map(str::to_owned),
    };
    match (stock_cost(&draft, &job), &job.money) {
        (Some(cost), Some(money)) => {
            let cost = format!("{} {cost}", money.currency.symbol());
            (
                draft.with("money.installed_cost", cost),
                Some(said("of this plant by the prices in [stock]", None)),
            )
        }
        _ => {
            let help = "set it to what this one costs, or give all prices in [stock]; payback and present value follow it";
            let doubt = said("this is still the installed cost of the job's own plant", Some(help));
            (draft, Some(doubt))
        }
    }
}

/// A fault that belongs to no control.
fn whole(what: &str) -> Vec<Said> {
    vec![Said::of(&Problem::new(Severity::Error, what), None)]
}

/// The draft with everything set that the variant moves.
fn set(laid_out: &LaidOut, variant: &Variant) -> Result<Draft, Vec<Said>> {
    let control = |id: &str| laid_out.controls.iter().find(|control| control.id == id);
    if let Some(name) = variant.moved.keys().find(|name| control(name).is_none()) {
        return Err(whole(&format!("there is no `{name}` to move in this layout")));
    }
    let mut draft = laid_out.draft.clone();
    // In the order of the page: sizes first, a day's water after the people it follows.
    for control in &laid_out.controls {
        if let Some(value) = variant.moved.get(control.id) {
            draft = set_one(laid_out, draft, control, value)?;
        }
    }
    Ok(draft)
}

fn set_one(laid_out: &LaidOut, draft: Draft, control: &Control, value: &str) -> Result<Draft, Vec<Said>> {
    let job = &laid_out.job;
    let told = |problems: Vec<Problem>| -> Vec<Said> {
        problems.iter().map(|problem| Said::of(problem, Some(control.id))).collect()
    };
    if let Dial::Choice(words) = &control.dial
        && !words.iter().any(|word| word.value == value)
    {
        return Err(vec![Said::fault(control, format!("`{value}` is not one of the choices"))]);
    }
    let key = control.keys.first().map_or("", String::as_str);
    Ok(match control.id {
        "collectors" => {
            let count = value.trim().parse().ok().filter(|count| (1..=1000).contains(count));
            let count = count
                .ok_or_else(|| vec![Said::fault(control, "a whole number of collectors belongs here")])?;
            resized(&draft, job, Some(count), None).map_err(told)?
        }
        "tank" => resized(&draft, job, None, Some(value)).map_err(told)?,
        "people" => {
            let own = job.echoed(key).unwrap_or(f64::NAN);
            let people: Option<f64> = value.trim().parse().ok();
            let daily = draft.text("hot_water.daily").and_then(|text| scaled(text, people? / own));
            let draft = draft.with(key, value);
            match daily {
                Some(daily) => draft.with("hot_water.daily", daily),
                None => draft,
            }
        }
        "habits" => {
            let habit = HABITS.iter().find(|habit| habit.name == value);
            let hours =
                habit.map_or(Vec::new(), |habit| habit.percent.map(|part| format!("{part} %")).to_vec());
            draft.with(key, hours).without("hot_water.weekend_hours")
        }
        "away" if value == NOBODY_AWAY => draft.without(key),
        "away" => draft.with(key, vec![value]),
        _ => control.keys.iter().fold(draft, |draft, key| draft.with(key, value)),
    })
}

/// The control whose key a problem points at.
fn control_of(laid_out: &LaidOut, text: &str, problem: &Problem) -> Option<&'static str> {
    let at = problem.place.as_ref()?.span.as_ref()?.start;
    let (tree, _) = DeTable::parse_recoverable(text);
    let key = key_at(tree.get_ref(), at)?;
    let owner = laid_out.controls.iter().find(|control| control.keys.contains(&key));
    owner.map(|control| control.id)
}

/// The dotted key whose value, or whose own name, holds a byte of the text.
fn key_at(table: &DeTable<'_>, at: usize) -> Option<String> {
    table.iter().find_map(|(key, value)| {
        let name = key.get_ref();
        let below = |value: &DeValue<'_>| match value {
            DeValue::Table(table) => key_at(table, at),
            DeValue::Array(items) => {
                items.iter().filter_map(|item| item.get_ref().as_table()).find_map(|table| key_at(table, at))
            }
            _ => None,
        };
        let inner = below(value.get_ref()).map(|inner| format!("{name}.{inner}"));
        inner.or_else(|| (value.span().contains(&at) || key.span().contains(&at)).then(|| name.to_string()))
    })
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::path::PathBuf;

    use super::*;
    use crate::job::STARTERS;
    use crate::page::house::Given;
    use crate::weather;

    fn house(text: &str) -> House {
        let given = Given { folder: PathBuf::new(), file: Some("house.toml".into()), text: text.to_owned() };
        House::new(given, &weather::demo()).expect("a starter")
    }

    fn variant(other_layout: bool, settings: &[(&str, &str)]) -> Variant {
        let moved = settings.iter().map(|(id, value)| ((*id).to_owned(), (*value).to_owned()));
        Variant { other_layout, moved: moved.collect::<BTreeMap<_, _>>() }
    }

    /// Ends and middle of a slider in both units, or every choice.
    fn values(control: &Control) -> Vec<String> {
        match &control.dial {
            Dial::Choice(words) => words.iter().map(|word| word.value.clone()).collect(),
            // Both sides, where they differ.
            Dial::Range(scales) => scales[..if scales[0] == scales[1] { 1 } else { 2 }]
                .iter()
                .flat_map(|scale| {
                    let middle =
                        scale.low + ((scale.high - scale.low) / (2.0 * scale.step)).round() * scale.step;
                    [scale.low, middle, scale.high]
                        .map(|at| format!("{}{}{}", scale.before, (at * 1e6).round() / 1e6, scale.behind))
                })
                .collect(),
        }
    }

    /// A job without what is only said of it.
    fn bare(job: Job) -> String {
        format!("{:?}", Job { notes: Vec::new(), echo: Vec::new(), ..job })
    }

    #[test]
    fn every_control_of_every_starter_is_understood_wherever_it_stands() {
        let mut tried = 0;
        for starter in &STARTERS {
            let house = house(starter.text);
            for (other, laid_out) in [false, true].into_iter().zip(&house.layouts) {
                let controls = &laid_out.controls;
                assert!(controls.len() >= 5, "{}: {controls:?}", starter.kind);
                for control in controls {
                    assert!(!control.said.contains("not given") || control.group == "Prices", "{control:?}");
                    for value in values(control) {
                        tried += 1;
                        let about = format!("{}, {}: {} = {value}", starter.kind, laid_out.words, control.id);
                        match moved(&house, &variant(other, &[(control.id, &value)])) {
                            // What is saved is what was run.
                            Ok(moved) => {
                                let drawn = moved.draft.job().expect(&about);
                                assert_eq!(bare(moved.job), bare(drawn), "{about}");
                            }
                            Err(said) => {
                                let own = |said: &&Said| said.error && said.control.is_some();
                                assert!(said.iter().any(|said| own(&said)), "{about}: {said:?}");
                            }
                        }
                    }
                }
            }
        }
        assert!(tried > 1000, "{tried}");
    }

    #[test]
    fn nothing_moved_is_the_job_file() {
        for starter in &STARTERS {
            let same = moved(&house(starter.text), &Variant::default()).expect("a starter");
            assert_eq!(same.text, starter.text, "{}", starter.kind);
        }
    }

    #[test]
    fn a_moved_control_changes_its_key_and_what_follows_it() {
        let house = house(STARTERS[0].text);
        let moved =
            moved(&house, &variant(false, &[("people", "6"), ("collectors", "3"), ("tilt", "40 deg")]));
        let moved = moved.expect("sound");
        // By hand: 60 gal for 4 are 90 gal for 6; 1.6 gal/min and 420 W/K for two are 2.4 and 630 for three.
        for line in [
            "people = \"6\"",
            "daily = \"90 gal\"",
            "size = \"3 4x8 ft\"",
            "flow = \"2.4 gal/min\"",
            "ua = \"630 W/K\"",
            "tilt = \"40 deg\"",
        ] {
            assert!(moved.text.contains(line), "{line}: {}", moved.text);
        }
        assert!((moved.job.aspect.tilt_deg - 40.0).abs() < 1e-12);
        let changed = moved.text.lines().zip(STARTERS[0].text.lines()).filter(|(new, old)| new != old);
        assert_eq!(changed.count(), 6);
    }

    #[test]
    fn a_fault_belongs_to_the_control_that_makes_it() {
        let house = house(STARTERS[0].text);
        let said = |settings: &[(&str, &str)]| moved(&house, &variant(false, settings)).expect_err("a fault");
        let off = said(&[("off", "30 F")]);
        assert!(off.iter().any(|said| said.error && said.control == Some("off")), "{off:?}");
        for (id, value) in [
            ("tilt", "40 gal"),
            ("tilt", "\"\n[weather]\nfile = \"/etc/passwd"),
            ("collectors", "0"),
            ("collectors", "2.5"),
            ("tank", "-5 gal"),
            ("timer", "25 o'clock"),
            ("habits", "nights"),
        ] {
            let said = said(&[(id, value)]);
            assert!(said.iter().all(|said| said.control == Some(id)), "{said:?}");
        }
        let unknown = said(&[("weather.file", "/etc/passwd")]);
        assert_eq!(unknown[0].message, "there is no `weather.file` to move in this layout");
        let no_other =
            moved(&self::house(crate::job::STARTERS[9].text), &variant(true, &[])).expect_err("batch");
        assert_eq!(no_other[0].message, "this house has no other layout");
    }
    #[test]
    fn another_plant_costs_what_the_stock_says_and_a_doubt_stands_where_it_does_not() {
        let stock = "\n[stock]\ncost_per_collector = \"$1,100\"\nfixed_cost = \"$3,200\"\n\
                     [[stock.tank]]\nvolume = \"80 gal\"\ncost = \"$1,600\"\n\
                     [[stock.tank]]\nvolume = \"120 gal\"\ncost = \"$2,200\"\n";
        let text = format!("{}{stock}", STARTERS[0].text);
        let cost = |text: &str, other: bool, settings: &[(&str, &str)]| {
            let moved = moved(&house(text), &variant(other, settings)).expect("sound");
            let said = moved.doubts.into_iter().find(|said| said.control == Some("cost"));
            let plan = moved.job.money.expect("prices").plan.expect("a plan");
            (plan.installed_cost, said.map(|said| said.message))
        };
        let by_stock = Some("of this plant by the prices in [stock]".to_owned());
        let doubt = Some("this is still the installed cost of the job's own plant".to_owned());
        // The job's own stays as it is written, also where a slider was moved to and fro.
        assert_eq!(cost(&text, false, &[]), (7000.0, None));
        assert_eq!(cost(&text, false, &[("collectors", "2"), ("tank", "80 gal")]), (7000.0, None));
        // By hand: 3200 and 1600 with 3 times 1100, 2200 with 2, and 1600 with 2 before the customer's own heater.
        assert_eq!(cost(&text, false, &[("collectors", "3")]), (8100.0, by_stock.clone()));
        assert_eq!(cost(&text, false, &[("tank", "120 gal")]), (7600.0, by_stock.clone()));
        assert_eq!(cost(&text, true, &[]), (7000.0, by_stock));
        // A tank that is not sold, no stock at all, and a cost that was set.
        assert_eq!(cost(&text, false, &[("tank", "100 gal")]), (7000.0, doubt.clone()));
        assert_eq!(cost(STARTERS[0].text, false, &[("collectors", "3")]), (7000.0, doubt));
        assert_eq!(cost(&text, false, &[("collectors", "3"), ("cost", "$9,000")]), (9000.0, None));
    }
}
