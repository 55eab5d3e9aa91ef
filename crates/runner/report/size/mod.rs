//! What `suncask size` tells: the sentences, the table at a terminal, the page and the findings for machines.

mod page;

use serde_json::json;

pub use page::page;

use super::WeatherFacts;
use super::rules::mark;
use super::table::table;
use crate::job::check::Finding;
use crate::money::{Currency, ESTIMATE};
use crate::picture::{self, SizeBox, SizeGrid, grouped, kwh, money, percent};
use crate::record::Column;
use crate::study::Row;
use crate::study::size::{Cell, Findings, Grid, NEAR_BEST_FRAC};

/// Everything the telling needs.
#[derive(Clone, Copy, Debug)]
pub struct SizeReport<'a> {
    /// Name of the job.
    pub name: &'a str,
    /// Currency of the job, where it has prices.
    pub currency: Option<Currency>,
    /// The grid.
    pub grid: &'a Grid,
    /// What it says.
    pub found: &'a Findings,
    /// The chosen size on other planes.
    pub turned: &'a [Row],
    /// Rules of thumb beside the chosen size.
    pub rules: &'a [Finding],
    /// Where the weather came from.
    pub weather: &'a WeatherFacts,
    /// Version of this program.
    pub version: &'a str,
    /// Date of the study.
    pub date: &'a str,
}

impl SizeReport<'_> {
    /// A saving as the grid is ranked.
    fn saving(&self, value: f64) -> String {
        self.currency.map_or_else(|| kwh(value), |currency| money(currency, value, 0))
    }

    fn cell(&self, place: Option<usize>) -> Option<&Cell> {
        self.found.cells.get(place?)?.as_ref()
    }

    fn ranked(&self, row: &Row) -> f64 {
        match self.currency {
            Some(_) => row.money("saved").unwrap_or_default(),
            None => row.annual[Column::EqualServiceSaved],
        }
    }
}

fn size_words(cell: &Cell) -> String {
    let plural = if cell.collectors == 1 { "" } else { "s" };
    format!("{} collector{plural} with {}", cell.collectors, cell.tank)
}

fn years(value: f64) -> String {
    format!("{} years", grouped(value, 1))
}

/// What the grid says, a sentence each; the first names the size that follows.
pub fn sentences(report: &SizeReport<'_>) -> Vec<String> {
    let found = report.found;
    let (Some(first), least) = (found.steps.first(), percent(found.next_saves_at_least)) else {
        return vec!["Not every year is done: no size follows yet.".into()];
    };
    let Some(chosen) = report.cell(found.chosen) else {
        let saved = report.saving(first.saved);
        return vec![format!(
            "No size follows: the smallest number of collectors saves {saved} a year at best."
        )];
    };
    let why = match chosen.net_present_value.filter(|_| found.most_gained == found.chosen) {
        Some(value) if value < 0.0 => {
            "it loses least against money put away at the discount rate (none gains)"
        }
        Some(_) => "the highest net present value",
        None => "the last before returns diminish",
    };
    let mut said = vec![format!(
        "Size that follows: {}: {why}. It saves {} a year, {} of the energy bought without sun.",
        size_words(chosen),
        report.saving(chosen.saved),
        percent(chosen.savings_fraction)
    )];
    let steps = found.steps.iter().enumerate().map(|(i, step)| {
        let saves = report.saving(step.next_saves);
        let before = if i == 0 { 0 } else { found.steps[i - 1].collectors };
        match (i, step.collectors - before) {
            (0, 1) => format!("the first collector saves {saves} a year"),
            (0, several) => format!("each of the first {several} collectors saves {saves} a year"),
            (_, 1) => format!("number {} adds {saves}", step.collectors),
            (..) => format!("numbers {} to {} add {saves} each", before + 1, step.collectors),
        }
    });
    let steps = steps.collect::<Vec<_>>().join(", ");
    said.push(format!("With the best of the tanks for each number, {steps}."));
    said.push(match found.returns_diminish_at {
        Some(at) => {
            let step = found.steps.iter().find(|step| step.collectors == at).unwrap_or(first);
            format!(
                "Returns diminish at collector number {at}: it brings {} of what the first one saves; {least} is asked for.",
                percent(step.next_saves / first.next_saves)
            )
        }
        None => format!(
            "Every collector of the list still brings at least {least} of what the first one saves: the list ends before returns \
             diminish."
        ),
    });
    if let Some(knee) = report.cell(found.knee) {
        said.push(format!(
            "Last size before that: {}; its tank is the smallest that saves at least {} of what the best one does there.",
            size_words(knee),
            percent(NEAR_BEST_FRAC)
        ));
    }
    if let Some(payback) = chosen.payback_years {
        said.push(format!("The size that follows pays back in {} (simple payback).", years(payback)));
    }
    let next =
        found.chosen.map(|place| place + 1).filter(|place| !place.is_multiple_of(report.grid.counts.len()));
    if let Some((next, pays)) = report.cell(next).and_then(|next| Some((next, next.next_pays_back_years?))) {
        let what = format!("A further collector, {} in all, would pay back its own cost in", next.collectors);
        said.push(format!("{what} {}.", years(pays)));
    }
    if let (Some(soonest), Some(most)) = (report.cell(found.soonest), report.cell(found.most_gained)) {
        let worth =
            most.net_present_value.zip(report.currency).map(|(value, currency)| money(currency, value, 0));
        said.push(format!(
            "Soonest paid back: {}, {}. Highest net present value: {}, {}.",
            size_words(soonest),
            soonest.payback_years.map_or_else(String::new, years),
            size_words(most),
            worth.unwrap_or_default()
        ));
    }
    said
}

/// Heads of the table and its rows; the place of each row in the grid is its own.
fn rows(report: &SizeReport<'_>) -> (Vec<String>, Vec<Vec<String>>) {
    let priced = report.currency.is_some();
    let mut heads = vec!["Collectors", "Tank"];
    if priced {
        heads.push("Saved\na year");
    }
    heads.extend(["Saved\nkWh", "Share\nsaved", "Next\nsaves"]);
    if report.grid.costs {
        heads.extend(["Next pays\nback, years", "Pays back\nyears", "Present\nvalue"]);
    }
    heads.extend(["Stagnation\nhours", ""]);
    let number = |value: Option<f64>| value.map_or_else(|| "never".to_owned(), |value| grouped(value, 1));
    let row = |(place, cell): (usize, &Cell)| {
        let mut row = vec![cell.collectors.to_string(), cell.tank.clone()];
        if priced {
            row.push(report.saving(cell.saved));
        }
        row.extend([grouped(cell.saved_kwh, 0), percent(cell.savings_fraction)]);
        row.push(cell.next_saves.map_or_else(String::new, |saves| match report.currency {
            Some(currency) => money(currency, saves, 0),
            None => grouped(saves, 0),
        }));
        if report.grid.costs {
            let first = place.is_multiple_of(report.grid.counts.len());
            row.push(if first { String::new() } else { number(cell.next_pays_back_years) });
            row.push(number(cell.payback_years));
            let value = cell.net_present_value.zip(report.currency);
            row.push(value.map_or_else(String::new, |(value, currency)| money(currency, value, 0)));
        }
        row.push(grouped(cell.stagnation_hours, 0));
        row.push(if report.found.chosen == Some(place) { "follows" } else { "" }.to_owned());
        row
    };
    let cells = report.found.cells.iter().enumerate();
    let rows = cells.filter_map(|(place, cell)| Some(row((place, cell.as_ref()?)))).collect();
    (heads.into_iter().map(str::to_owned).collect(), rows)
}

/// The chosen size on each plane: heads and rows, its own plane first.
fn planes(report: &SizeReport<'_>) -> Vec<[String; 4]> {
    let Some(chosen) = report.cell(report.found.chosen) else { return Vec::new() };
    if report.turned.is_empty() {
        return Vec::new();
    }
    let own = "as in the job".to_owned();
    let mut rows =
        vec![[own, String::new(), report.saving(chosen.saved), grouped(chosen.stagnation_hours, 0)]];
    for row in report.turned {
        let how = |what: &str| {
            row.settings.iter().find(|(key, _)| key == what).map(|(_, how)| how.clone()).unwrap_or_default()
        };
        let hot = grouped(row.annual[Column::Stagnation], 0);
        rows.push([how("tilt"), how("azimuth"), report.saving(report.ranked(row)), hot]);
    }
    rows
}

const PLANE_HEADS: [&str; 4] = ["Tilt", "Azimuth", "Saved a year", "Stagnation hours"];

fn rule_words(finding: &Finding) -> String {
    let mark = mark(finding.standing);
    let comment = if finding.comment.is_empty() { String::new() } else { format!("; {}", finding.comment) };
    format!(
        "{mark}: {}: {}; rule: {} ({}){comment}",
        finding.what, finding.found, finding.rule, finding.source
    )
}

/// The whole at a terminal.
pub fn text(report: &SizeReport<'_>) -> String {
    let (heads, rows) = rows(report);
    let mut shown = table(heads, &[1]);
    for row in rows {
        shown.add_row(row);
    }
    let mut text = format!("{}\n", shown.trim_fmt());
    for sentence in sentences(report) {
        text.push_str(&format!("\n{sentence}"));
    }
    let planes = planes(report);
    if !planes.is_empty() {
        let mut shown = table(PLANE_HEADS.map(str::to_owned), &[0, 1]);
        for row in planes {
            shown.add_row(row);
        }
        text.push_str(&format!("\n\nThe size that follows, on other planes\n{}", shown.trim_fmt()));
    }
    if !report.rules.is_empty() {
        text.push_str("\n\nBeside rules of thumb (near: up to a fifth beyond the rule; never a verdict)");
        for finding in report.rules {
            text.push_str(&format!("\n- {}", rule_words(finding)));
        }
    }
    if !report.grid.said.is_empty() {
        text.push_str("\n\nAssumed");
        for said in &report.grid.said {
            text.push_str(&format!("\n- {said}"));
        }
    }
    text.push_str(&format!("\n\nSavings count at equal service. {ESTIMATE}."));
    text
}

/// The grid as a picture.
pub fn picture(report: &SizeReport<'_>) -> String {
    let sentences = sentences(report);
    let boxes = report.found.cells.iter().map(|cell| {
        let cell = cell.as_ref()?;
        let share = percent(cell.savings_fraction);
        let second = match cell.payback_years {
            Some(payback) => format!("{share}, back in {}", years(payback)),
            None if report.currency.is_some() => format!("{share}, {}", kwh(cell.saved_kwh)),
            None => format!("{share} saved"),
        };
        let hot = format!("{} h stagnation", grouped(cell.stagnation_hours, 0));
        Some(SizeBox { saved: cell.saved, large: report.saving(cell.saved), small: [second, hot] })
    });
    picture::size_grid(&SizeGrid {
        name: report.name,
        what: "Saved a year, share of the energy bought without sun, hours of stagnation".into(),
        follows: &[&sentences[..1], sentences.get(2..3).unwrap_or_default()].concat().join(" "),
        tanks: report.grid.tanks.iter().map(|tank| tank.volume.as_str()).collect(),
        counts: &report.grid.counts,
        boxes: boxes.collect(),
        chosen: report.found.chosen,
        diminish_at: report.found.returns_diminish_at,
    })
}

/// The findings for machines.
pub fn answer(report: &SizeReport<'_>) -> serde_json::Value {
    json!({
        "grid": report.found,
        "collector": report.grid.each,
        "sentences": sentences(report),
        "assumed": report.grid.said,
        "rules_of_thumb": report.rules,
        "definitions": {
            "saved": "first year's saving at equal service, in the unit `unit`",
            "next_saves": "what this number of collectors saves beyond the next smaller one with this tank, for each collector more",
            "next_pays_back_years": "cost of one more collector over next_saves",
            "steps": "for each number of collectors the saving with the tank that suits it best",
            "returns_diminish_at": "first number of collectors whose next_saves is below next_saves_at_least x the first's",
            "knee": "place in `cells`, from 0, of the last number before returns diminish, with the smallest tank that saves at least 97 % of the best",
            "chosen": "place in `cells` of the highest net present value where all costs are known, else the knee",
        },
    })
}
