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
    let laid_out = house.layout(variant.other_layout).map_err(|fault| vec![Said::of(&fault, None)])?;
    let draft = set(laid_out, variant)?;
    let text = woven(&house.text, draft.table())
        .map_err(|fault| vec![Said::of(&Problem::new(Severity::Error, fault), None)])?;
    let said = |problems: &[Problem]| -> Vec<Said> {
        problems.iter().map(|problem| Said::of(problem, control_of(laid_out, &text, problem))).collect()
    };
    match read_from(&house.folder, house.name(), &text) {
        Ok(job) => Ok(Moved { doubts: said(&job.notes), draft, job, text }),
        Err(problems) => Err(said(&problems)),
    }
}

/// The draft with everything set that the variant moves.
fn set(laid_out: &LaidOut, variant: &Variant) -> Result<Draft, Vec<Said>> {
    let control = |id: &str| laid_out.controls.iter().find(|control| control.id == id);
    if let Some(name) = variant.moved.keys().find(|name| control(name).is_none()) {
        let fault = Problem::new(Severity::Error, format!("there is no `{name}` to move in this layout"));
        return Err(vec![Said::of(&fault, None)]);
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
            let daily =
                draft.get("hot_water").and_then(|section| section.get("daily")).and_then(|day| day.as_str());
            let people: Option<f64> = value.trim().parse().ok();
            let daily = daily.and_then(|text| scaled(text, people? / own));
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
