//! `suncask compare`: page, pictures, findings and the text for a terminal.

mod page;
mod tables;
mod words;

use serde_json::{Value, json};

use super::WeatherFacts;
use super::table::table;
use crate::picture::{self, SavedBar, Units, money};
use crate::record::Column;
use crate::study::Row;
use crate::study::compare::{Comparison, Layout, Measure, Missing, PARTS};

/// Everything a comparison shows.
#[derive(Debug)]
pub struct CompareReport<'a> {
    /// Name of the house.
    pub name: &'a str,
    /// The plants.
    pub layouts: &'a [Layout],
    /// The year of each.
    pub own: &'a [Row],
    /// What came of it.
    pub comparison: &'a Comparison,
    /// Layouts and costs the job does not give.
    pub missing: &'a [Missing],
    /// What else to know: where the jobs differ, what was assumed, how water was drawn.
    pub remarks: &'a [String],
    /// Where the weather came from.
    pub weather: &'a WeatherFacts,
    /// Units of page, pictures and text.
    pub units: Units,
    /// Version of this program.
    pub version: &'a str,
    /// Date of the study.
    pub date: &'a str,
}

impl CompareReport<'_> {
    /// The answer in one sentence.
    pub fn verdict(&self) -> String {
        words::verdict(self.layouts, self.comparison)
    }

    /// What it becomes over the years, and what flips it, a sentence each.
    pub fn further(&self) -> Vec<String> {
        let flips = words::flips(self.layouts, self.comparison, self.units);
        words::over_the_years(self.layouts, self.own, self.comparison).into_iter().chain(flips).collect()
    }

    fn pair_names(&self) -> [&str; 2] {
        [self.comparison.best, self.comparison.other].map(|i| self.layouts[i].name.as_str())
    }

    /// Heads of tables over all plants: their names, and what the difference is.
    fn heads(&self) -> Vec<String> {
        let [best, other] = self.pair_names();
        let names = self.layouts.iter().map(|layout| layout.name.clone());
        names.chain([format!("{best} less {other}")]).collect()
    }

    /// Pictures with the names of their files.
    pub fn pictures(&self) -> Vec<(&'static str, String)> {
        let bar = |(i, layout): (usize, &Layout)| SavedBar {
            name: layout.name.clone(),
            saved_kwh: self.own[i].annual[Column::EqualServiceSaved],
            note: match self.comparison.measure {
                Measure::Money(currency) => self.own[i]
                    .money("saved")
                    .map_or(String::new(), |sum| format!(", {}", money(currency, sum, 0))),
                Measure::Energy => String::new(),
            },
            best: i == self.comparison.best,
        };
        let bars: Vec<SavedBar> = self.layouts.iter().enumerate().map(bar).collect();
        let mut pictures = vec![("plants", picture::compared_plants(self.name, &bars))];
        let Some(main) = self.comparison.main() else { return pictures };
        let months = [self.comparison.best, self.comparison.other].map(|i| {
            self.own[i].monthly.iter().map(|month| month[Column::EqualServiceSaved]).collect::<Vec<_>>()
        });
        let names = self.pair_names();
        pictures.push(("months", picture::compared_months(names, [&months[0], &months[1]])));
        let parts: Vec<(&str, f64)> = PARTS.iter().map(|part| part.label).zip(main.parts_kwh).collect();
        let saved = [self.comparison.best, self.comparison.other]
            .map(|i| self.own[i].annual[Column::EqualServiceSaved]);
        pictures.push(("difference", picture::difference_parts(names, saved, &parts)));
        pictures
    }

    /// The page, with these pictures in it.
    pub fn page(&self, pictures: &[(&'static str, String)]) -> String {
        page::html(self, pictures)
    }

    /// What a study's file holds beside the rows.
    pub fn findings(&self) -> Value {
        let name = |i: usize| self.layouts[i].name.as_str();
        let comparison = self.comparison;
        let parts = |kwh: &[f64; PARTS.len()]| -> Value {
            PARTS.iter().zip(kwh).map(|(part, kwh)| (part.key.to_string(), json!(kwh))).collect()
        };
        let differences = comparison.differences.iter().map(|difference| {
            json!({
                "more_than": name(difference.than),
                "saved_kwh": difference.saved_kwh,
                "saved_money": difference.saved_money,
                "parts": parts(&difference.parts_kwh),
                "monthly_parts": difference.monthly_kwh.iter().map(parts).collect::<Vec<_>>(),
            })
        });
        let flips = comparison.flips.iter().map(|flip| {
            let points =
                flip.points.iter().map(|(at, more)| json!({flip.axis.key(): at, "saved_more": more}));
            let crossings = flip.crossings.iter().map(
                |crossing| json!({flip.axis.key(): crossing.at, "best_leads_above": crossing.positive_above}),
            );
            json!({
                "axis": flip.axis.name(),
                "points": points.collect::<Vec<_>>(),
                "changes_at": crossings.collect::<Vec<_>>(),
            })
        });
        let plants = self.layouts.iter().map(|layout| {
            json!({
                "name": layout.name,
                "backup_in": layout.shape.words(),
                "installed_cost": layout.installed_cost,
                "present_heater_goes": layout.present_heater_goes,
                "floor_m2": layout.floor_m2,
                "backup_buys": layout.fuel(),
            })
        });
        let missing = self.missing.iter().map(|missing| json!({"what": missing.what, "add": missing.add}));
        let defined = PARTS
            .iter()
            .map(|part| json!({"key": part.key, "unit": "kWh", "label": part.label, "definition": part.definition}));
        json!({
            "verdict": self.verdict(),
            "what_flips_it": self.further(),
            "ranked_by": match comparison.measure {
                Measure::Energy => "energy saved at equal service, kWh".to_string(),
                Measure::Money(currency) => format!("saved in the first year at equal service, {}", currency.symbol()),
            },
            "best": name(comparison.best),
            "set_beside_it": name(comparison.other),
            "plants": plants.collect::<Vec<_>>(),
            "best_saves_more": differences.collect::<Vec<_>>(),
            "part_columns": defined.collect::<Vec<_>>(),
            "flips": flips.collect::<Vec<_>>(),
            "not_laid_out": missing.collect::<Vec<_>>(),
            "remarks": self.remarks,
        })
    }

    /// For a terminal: the answer, the plants side by side, and why they differ.
    pub fn text(&self) -> String {
        let narrow: Vec<String> = (1..=self.layouts.len()).map(|i| format!("({i})")).collect();
        let place = |i: usize| format!("({})", i + 1);
        let apart = format!("{} less {}", place(self.comparison.best), place(self.comparison.other));
        let mut heads = vec![String::new()];
        heads.extend(narrow);
        heads.push(apart);
        let mut all = table(heads.clone(), &[0]);
        for line in tables::lines(self) {
            all.add_row([line.label].into_iter().chain(line.values).chain([line.apart]));
        }
        let mut months = table(heads, &[0]);
        for (month, cells) in tables::months(self) {
            months.add_row([month.to_owned()].into_iter().chain(cells));
        }
        let less = self.comparison.differences.iter().map(|difference| place(difference.than));
        let heads = [format!("{} less", place(self.comparison.best))].into_iter().chain(less);
        let mut ledger = table(heads, &[0]);
        for (label, cells) in tables::ledger(self) {
            ledger.add_row([label].into_iter().chain(cells));
        }
        let plants =
            self.layouts.iter().enumerate().map(|(i, layout)| format!("{} {}", place(i), layout.name));
        format!(
            "{}\n\n{}\n\nSaved at equal service by month, kWh\n{}\n\nWhy they differ, kWh a year (+ speaks for {})\n{}",
            plants.collect::<Vec<_>>().join("\n"),
            all.trim_fmt(),
            months.trim_fmt(),
            place(self.comparison.best),
            ledger.trim_fmt(),
        )
    }
}
