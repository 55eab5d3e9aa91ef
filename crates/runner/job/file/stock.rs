//! `[stock]`: what the contractor sells, and at what price. Studies choose from it; a single run does not look at it.

use super::money::Purse;
use super::section::Section;
use crate::job::quantity::{Fault, Kind, parse, words};
use crate::job::{Stock, StockTank};
use crate::problem::{Problem, Severity};

/// Most that a sum may be.
const SUMS: (&str, &str) = ("$0", "$1000000");

/// Sizes a solar tank may have, as in `[tank]`.
const TANKS: (&str, &str) = ("2 gal", "5000 gal");

/// What the section says; an empty stock without it.
pub(super) fn read(section: &Section<'_>, purse: &Purse) -> Stock {
    let sum = |section: &Section<'_>, key| {
        purse.ask(section, key, &[Kind::Money], SUMS).map(|found| found.si).filter(|sum| sum.is_finite())
    };
    let tanks = section.sections("tank");
    let tank = |one: &Section<'_>| {
        let volume = one.words("volume", volume, |_| String::new());
        if !one.has("volume") {
            let problem = Problem::new(Severity::Error, "a tank of the stock has no `volume`");
            one.report("volume", problem.label("which size?").help("write volume = \"80 gal\""));
        }
        let floor = one.ask("floor", &[Kind::Area]).possible("0.5 ft2", "200 ft2").usual("2 ft2", "25 ft2");
        StockTank {
            volume: volume.unwrap_or_default(),
            cost: sum(one, "cost"),
            floor_m2: floor.given().map(|area| area.si),
        }
    };
    let collectors = |text: &str| words::panels(text).map(|_| text.trim().to_string());
    Stock {
        tanks: tanks.iter().map(tank).collect(),
        collectors: section.texts("collectors", collectors).unwrap_or_default(),
        cost_per_collector: sum(section, "cost_per_collector"),
        fixed_cost: sum(section, "fixed_cost"),
        new_heater_cost: sum(section, "new_heater_cost"),
    }
}

/// The text of a volume that a tank can have.
fn volume(text: &str) -> Result<String, Fault> {
    let size = |text: &str| parse(text, &[Kind::Volume]).map(|volume| volume.si);
    let possible = size(TANKS.0)?..=size(TANKS.1)?;
    if !possible.contains(&size(text)?) {
        let fault = Fault::new(format!("no tank holds {}", text.trim()), "not possible", 0..text.len());
        return Err(fault.help(format!("possible: {} to {}", TANKS.0, TANKS.1)));
    }
    Ok(text.trim().to_string())
}
