//! What the grid says: what each further collector adds, where that becomes little, and which size follows.

use serde::Serialize;

use super::Grid;
use crate::record::Column;
use crate::study::Row;

/// A tank is as good as the best one if it saves at least this share of what the best one saves; the smallest such is chosen.
/// A choice of this program, told with the result.
pub const NEAR_BEST_FRAC: f64 = 0.97;

/// A cell of the grid.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cell {
    /// Collectors.
    pub collectors: u32,
    /// Tank.
    pub tank: String,
    /// What the grid is ranked by: the first year's saving in money where the job has prices, else kWh; at equal service.
    pub saved: f64,
    /// Saving at equal service in kWh.
    pub saved_kwh: f64,
    /// Savings fraction at equal service.
    pub savings_fraction: f64,
    /// Time without flow in the sun above 120 degC.
    pub stagnation_hours: f64,
    /// What this number of collectors saves beyond the next smaller number with this tank, for each collector more; of the first
    /// number, what each of its collectors saves.
    pub next_saves: Option<f64>,
    /// Years in which such a collector's saving pays its cost; `None` where the cost is unknown or the saving is none.
    pub next_pays_back_years: Option<f64>,
    /// Simple payback of the whole, where costs are known.
    pub payback_years: Option<f64>,
    /// Net present value, where costs are known.
    pub net_present_value: Option<f64>,
}

/// What a number of collectors adds with the tank that suits each number best.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Step {
    /// Collectors.
    pub collectors: u32,
    /// Saved with the best tank.
    pub saved: f64,
    /// For each collector more than the number before.
    pub next_saves: f64,
}

/// What the grid says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Findings {
    /// Unit of what the cells are ranked by: `currency` or `kWh`.
    pub unit: &'static str,
    /// Every cell that is done, tank by tank.
    pub cells: Vec<Option<Cell>>,
    /// The best of each number; empty while cells are missing.
    pub steps: Vec<Step>,
    /// Share of the first collector's saving that the next one must bring.
    pub next_saves_at_least: f64,
    /// First number of collectors that does not bring it any more; `None` within the list, or while cells are missing.
    pub returns_diminish_at: Option<u32>,
    /// Place of the last number of collectors before that, with the smallest tank that is about as good as the best.
    pub knee: Option<usize>,
    /// Place of the size that follows: the highest net present value where all costs are known, else the knee.
    pub chosen: Option<usize>,
    /// Place of the shortest simple payback.
    pub soonest: Option<usize>,
    /// Place of the highest net present value.
    pub most_gained: Option<usize>,
}

/// Looks through the rows of a grid, in the order of its candidates.
pub fn findings(grid: &Grid, rows: &[Option<Row>], next_saves_frac: f64) -> Findings {
    let wide = grid.counts.len();
    let in_money = grid.candidates.first().is_some_and(|candidate| candidate.job.money.is_some());
    let ranked = |row: &Row| match in_money {
        true => row.money("saved").unwrap_or(f64::NAN),
        false => row.annual[Column::EqualServiceSaved],
    };
    let cell = |place: usize| {
        let row = rows[place].as_ref()?;
        let count = grid.counts[place % wide];
        let saved = ranked(row);
        let before = match place % wide {
            0 => Some((0, 0.0)),
            at => rows[place - 1].as_ref().map(|row| (grid.counts[at - 1], ranked(row))),
        };
        let next_saves = before.map(|(fewer, less)| (saved - less) / f64::from(count - fewer));
        let each_cost = grid.each_cost.filter(|_| in_money && !place.is_multiple_of(wide));
        Some(Cell {
            collectors: count,
            tank: grid.tanks[place / wide].volume.clone(),
            saved,
            saved_kwh: row.annual[Column::EqualServiceSaved],
            savings_fraction: row.annual[Column::EqualServiceFraction],
            stagnation_hours: row.annual[Column::Stagnation],
            next_saves,
            next_pays_back_years: each_cost
                .zip(next_saves.filter(|saves| *saves > 0.0))
                .map(|(cost, saves)| cost / saves),
            payback_years: row.money("simple_payback_years"),
            net_present_value: row.money("net_present_value"),
        })
    };
    let cells: Vec<Option<Cell>> = (0..rows.len()).map(cell).collect();
    let done: Option<Vec<&Cell>> = cells.iter().map(Option::as_ref).collect();
    let (mut steps, mut at, mut knee) = (Vec::new(), None, None);
    if let Some(done) = done.filter(|done| !done.is_empty()) {
        steps = best_of_each(grid, &done);
        let worth =
            steps.iter().take_while(|step| step.next_saves >= next_saves_frac * steps[0].next_saves).count();
        at = steps.get(worth).map(|step| step.collectors);
        if steps[0].saved > 0.0 && worth > 0 {
            let column = worth - 1;
            let enough =
                |tank: &usize| done[tank * wide + column].saved >= NEAR_BEST_FRAC * steps[column].saved;
            knee = (0..grid.tanks.len()).find(enough).map(|tank| tank * wide + column);
        }
    }
    let extreme = |value: fn(&Cell) -> Option<f64>| {
        let known =
            cells.iter().enumerate().filter_map(|(place, cell)| Some((place, value(cell.as_ref()?)?)));
        known.reduce(|best, next| if next.1 < best.1 { next } else { best }).map(|(place, _)| place)
    };
    let whole = !steps.is_empty();
    let most_gained = extreme(|cell| cell.net_present_value.map(|value| -value)).filter(|_| whole);
    Findings {
        unit: if in_money { "currency" } else { "kWh" },
        steps,
        next_saves_at_least: next_saves_frac,
        returns_diminish_at: at,
        knee,
        chosen: most_gained.or(knee),
        soonest: extreme(|cell| cell.payback_years).filter(|_| whole),
        most_gained,
        cells,
    }
}

fn best_of_each(grid: &Grid, done: &[&Cell]) -> Vec<Step> {
    let wide = grid.counts.len();
    let mut before = (0, 0.0);
    let numbers = grid.counts.iter().enumerate();
    numbers
        .map(|(column, &collectors)| {
            let saved =
                (0..grid.tanks.len()).map(|tank| done[tank * wide + column].saved).fold(f64::MIN, f64::max);
            let next_saves = (saved - before.1) / f64::from(collectors - before.0);
            before = (collectors, saved);
            Step { collectors, saved, next_saves }
        })
        .collect()
}
