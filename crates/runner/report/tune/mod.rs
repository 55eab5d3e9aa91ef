//! The result of a study of tuning: text for a terminal, the page, findings for machines.

mod page;
mod words;

use comfy_table::Cell;
use serde_json::{Value, json};

use super::{WeatherFacts, table};
use crate::money::Currency;
use crate::picture::{self, Units, grouped, money};
use crate::record::Column;
use crate::study::Row;
use crate::study::tune::{Findings, Part, Study};

/// How many candidates the ranking shows.
const RANKED: usize = 8;

/// A finished study and the reader it is told to.
#[derive(Debug)]
pub struct Told<'a> {
    /// Its trials.
    pub study: &'a Study,
    /// Their rows.
    pub rows: &'a [Row],
    /// What they say.
    pub findings: &'a Findings,
    /// Units of the reader.
    pub units: Units,
    /// Currency of the job, if it has prices.
    pub currency: Option<Currency>,
    /// Where the weather came from.
    pub weather: &'a WeatherFacts,
    /// Version of this program.
    pub version: &'a str,
    /// Date of the study.
    pub date: &'a str,
}

impl Told<'_> {
    /// Changes of dials, the one that saves most first.
    fn ranked(&self) -> Vec<usize> {
        let is_change = |&i: &usize| {
            matches!(
                self.study.trials[i].part,
                Part::Pair { .. } | Part::Step { .. } | Part::Hours(_) | Part::Together(_)
            )
        };
        let mut all: Vec<usize> = (0..self.rows.len()).filter(is_change).collect();
        let worth = &self.findings.worth;
        all.sort_by(|&a, &b| worth.at(b).total_cmp(&worth.at(a)));
        all
    }

    /// Heads of the columns that stand beside every candidate.
    fn heads(&self) -> Vec<String> {
        let mut heads = Vec::new();
        if let Some(currency) = self.currency.filter(|_| self.findings.worth.in_money) {
            heads.push(format!("Saved\n{}", currency.symbol()));
        }
        heads.extend(["Saved\nkWh", "Pump\nhours", "Starts\na day", "Cool\nmin"].map(str::to_owned));
        let range = match self.units {
            Units::Us => "77-113 F",
            Units::Si => "25-45 C",
        };
        heads.extend([format!("{range}\nhours"), "longest\nhours".to_owned()]);
        if self.two_tanks() {
            heads.extend(["2nd tank\nhours", "longest\nhours"].map(str::to_owned));
        }
        heads
    }

    fn two_tanks(&self) -> bool {
        self.study.job().plant.tanks.len() > 1
    }

    /// What stands under them.
    fn cells(&self, trial: usize) -> Vec<String> {
        let (row, mut cells) = (&self.rows[trial], Vec::new());
        let whole = |column: Column| grouped(row.annual[column], 0);
        if let Some(saved) = row.money("saved").filter(|_| self.findings.worth.in_money) {
            cells.push(grouped(saved, 0));
        }
        cells.extend([
            whole(Column::EqualServiceSaved),
            whole(Column::PumpHours),
            grouped(self.starts_a_day(trial), 1),
            whole(Column::CoolShowerMinutes),
            whole(Column::LukewarmHours),
            whole(Column::LukewarmSpell),
        ]);
        if self.two_tanks() {
            cells.extend([whole(Column::Tank2LukewarmHours), whole(Column::Tank2LukewarmSpell)]);
        }
        cells
    }

    /// The ranking for a terminal: the start, then the best that may be proposed.
    pub fn table(&self) -> String {
        let mut shown = table::table([String::new()].into_iter().chain(self.heads()), &[0]);
        let proposable = self.ranked().into_iter().filter(|&trial| self.breaks(trial).is_empty());
        let ranked = proposable.take(RANKED).enumerate().map(|(i, trial)| (format!("{}.", i + 1), trial));
        for (place, trial) in [("now".to_owned(), self.study.start)].into_iter().chain(ranked) {
            let mut name = textwrapped(&format!("{place} {}", self.label(trial)));
            if trial == self.findings.proposal && trial != self.study.start {
                name.push_str("\n  <- proposed");
            }
            shown.add_row([name].into_iter().chain(self.cells(trial)).map(Cell::new));
        }
        shown.trim_fmt()
    }

    /// What a terminal shows before the ranking: what to look at first, and what each fault takes.
    pub fn before(&self) -> Vec<String> {
        let suspect = |i| {
            let (name, costs, here) = self.suspected(i);
            format!("{name}: {costs} a year ({here})")
        };
        [self.first()].into_iter().chain((0..self.findings.suspects.len()).map(suspect)).collect()
    }

    /// What it shows behind: the sentence, the other dials, what was kept and assumed.
    pub fn after(&self) -> Vec<String> {
        let mut told = vec![self.sentence()];
        told.extend(self.dials());
        let broken = self.ranked().into_iter().filter(|&trial| !self.breaks(trial).is_empty()).count();
        if broken > 0 {
            told.push(format!("{broken} more candidates break a floor; the report shows and marks them."));
        }
        told.extend(self.floors());
        told
    }

    /// For `study.json`.
    pub fn json(&self) -> Value {
        let (findings, name) = (self.findings, |trial: usize| &self.study.trials[trial].candidate.name);
        let tried = |tried: &crate::study::tune::Tried| json!({"candidate": name(tried.trial), "gain": tried.gain, "matters": tried.matters});
        json!({
            "unit_of_gains": if findings.worth.in_money { "currency" } else { "kWh" },
            "sentence": self.sentence(),
            "first": self.first(),
            "proposal": name(findings.proposal),
            "proposal_changes_nothing": findings.proposal == self.study.start,
            "threshold": findings.threshold,
            "best_gain": findings.best_gain,
            "suspects": findings.suspects.iter().map(|one| json!({
                "name": one.suspect.name(), "in_job": one.in_job, "costs": one.costs,
            })).collect::<Vec<_>>(),
            "outweighs_every_dial": findings.outweighs().map(|one| one.suspect.name()),
            "best_pair": findings.pairs.as_ref().map(|pairs| tried(&pairs.best)),
            "chosen_pair": findings.pairs.as_ref().map(|pairs| tried(&pairs.chosen)),
            "as_good": findings.pairs.as_ref().map(|pairs| {
                pairs.flat.iter().map(|&trial| name(trial)).collect::<Vec<_>>()
            }),
            "with_sensor_errors": findings.pairs.as_ref().map(|pairs| {
                let least = |&(trial, least): &(usize, f64)| json!({"candidate": name(trial), "least_saved": least});
                pairs.worst.iter().map(least).collect::<Vec<_>>()
            }),
            "dials": findings.dials.iter().map(|(_, one)| tried(one)).collect::<Vec<_>>(),
            "element_hours": findings.hours.as_ref().map(tried),
            "broken_floors": (0..self.rows.len()).filter(|&i| !self.breaks(i).is_empty()).map(|i| {
                json!({"candidate": name(i), "breaks": self.breaks(i)})
            }).collect::<Vec<_>>(),
            "assumed": self.floors(),
        })
    }

    /// Pictures by the names of their files.
    pub fn pictures(&self) -> Vec<(&'static str, String)> {
        let mut pictures = Vec::new();
        if let Some(map) = self.map() {
            pictures.push(("map", picture::on_off_map(&map)));
            pictures.push(("maps", picture::on_off_maps(&map)));
        }
        pictures.extend(self.dial().map(|dial| ("dial", picture::hours_dial(&dial))));
        pictures
    }

    fn map(&self) -> Option<picture::OnOff> {
        let tune = &self.study.job().tune;
        let us = self.units == Units::Us;
        let findings = self.findings;
        let flat = findings.pairs.as_ref().map_or(&[][..], |pairs| &pairs.flat);
        let cell = |trial: usize| {
            let Part::Pair { on, off } = self.study.trials[trial].part else { return None };
            let year = &self.rows[trial].annual;
            Some(picture::OnOffCell {
                on,
                off,
                worth: findings.worth.at(trial),
                kwh: year[Column::EqualServiceSaved],
                starts_a_day: self.starts_a_day(trial),
                pump_hours: year[Column::PumpHours],
                cool_min: year[Column::CoolShowerMinutes],
                as_good: flat.contains(&trial),
                proposed: findings.proposal == trial
                    || matches!(&self.study.trials[findings.proposal].part, Part::Together(all) if all.contains(&trial)),
                barred: !self.breaks(trial).is_empty(),
            })
        };
        let cells: Vec<_> = self.pairs().filter_map(cell).collect();
        let shown = |steps: &[crate::job::tune::Step]| steps.iter().map(|step| step.shown(us)).collect();
        (!cells.is_empty()).then(|| picture::OnOff {
            name: self.study.name.clone(),
            on: shown(&tune.on_differences),
            off: shown(&tune.off_differences),
            currency: self.currency.filter(|_| findings.worth.in_money),
            cells,
            told: self.map_line(),
        })
    }

    /// The line under the title of the map.
    fn map_line(&self) -> String {
        let now = self.amount(self.findings.worth.at(self.study.start));
        let spread = self.findings.pairs.as_ref().map_or(String::new(), |pairs| {
            format!(
                "; best {}, {}",
                self.label(pairs.best.trial),
                self.amount(self.findings.worth.at(pairs.best.trial))
            )
        });
        format!("Saved a year at equal service: {now} with the present settings{spread}")
    }

    fn dial(&self) -> Option<picture::HoursDial> {
        let tried = self.findings.hours?;
        let spans = |trial: usize| {
            let hours = self.study.trials[trial].candidate.job.element_hours.first();
            crate::study::tune::spans(hours.map_or(&[][..], |hours| &hours.minutes))
        };
        let prices = crate::study::tune::price_by_clock_hour(self.study.job());
        let price = |price: f64| match self.currency {
            Some(currency) => money(currency, price, 2),
            None => grouped(price, 2),
        };
        Some(picture::HoursDial {
            name: self.study.name.clone(),
            now: spans(self.study.start),
            best: spans(if tried.gain > 0.0 { tried.trial } else { self.study.start }),
            prices,
            least_most: prices.map(|prices| {
                let ends = prices.iter().fold((f64::MAX, f64::MIN), |(a, b), &p| (a.min(p), b.max(p)));
                (price(ends.0), price(ends.1))
            }),
            told: self.dials().pop().unwrap_or_default(),
            units: self.units,
        })
    }

    /// The page, given its pictures.
    pub fn page(&self, pictures: &[(&'static str, String)]) -> String {
        page::html(self, pictures)
    }
}

/// A long name broken at spaces to lines that leave room for numbers.
fn textwrapped(name: &str) -> String {
    const WIDE: usize = 24;
    let (mut shown, mut column) = (String::new(), 0);
    for word in name.split(' ') {
        let length = word.chars().count();
        if column > 0 && column + 1 + length > WIDE {
            shown.push_str("\n  ");
            column = 2;
        } else if column > 0 {
            shown.push(' ');
            column += 1;
        }
        shown.push_str(word);
        column += length;
    }
    shown
}
