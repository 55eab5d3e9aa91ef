//! Which plant saves most, by how much, by which parts, and where that turns round.

use super::flips::{Flip, Trial, backup_loss_w_k, trials};
use super::ledger::{PARTS, Year};
use super::{Axis, Layout, Shape};
use crate::money::Currency;
use crate::record::Column;
use crate::study::{Candidate, Row};

/// What plants are ranked by; always at equal service.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Measure {
    /// Energy saved in the year, in kWh: some plant has no prices, or another currency.
    Energy,
    /// Saved in the first year.
    Money(Currency),
}

impl Measure {
    fn of(layouts: &[Layout]) -> Self {
        let mut currencies =
            layouts.iter().map(|layout| layout.job.money.as_ref().map(|money| money.currency));
        let first = currencies.next().flatten();
        match first {
            Some(first) if currencies.all(|other| other.is_some_and(|other| other.same_as(first))) => {
                Self::Money(first)
            }
            _ => Self::Energy,
        }
    }

    /// What a year saves by it.
    pub fn saved(self, row: &Row) -> f64 {
        match self {
            Self::Money(_) => row.money("saved").unwrap_or(f64::NEG_INFINITY),
            Self::Energy => row.annual[Column::EqualServiceSaved],
        }
    }
}

/// How much more the best plant saves than another.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// The other plant.
    pub than: usize,
    /// Energy saved more at equal service, in kWh.
    pub saved_kwh: f64,
    /// Saved more in the first year, where there are prices.
    pub saved_money: Option<f64>,
    /// Parts of `saved_kwh` in the order of [`PARTS`]; they add up to it.
    pub parts_kwh: [f64; PARTS.len()],
    /// Why the best plant saves more by each part, and why less.
    pub because: [[&'static str; 2]; PARTS.len()],
    /// The parts by month.
    pub monthly_kwh: Vec<[f64; PARTS.len()]>,
}

/// Plants side by side. Indices count the layouts.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// What they are ranked by.
    pub measure: Measure,
    /// The one that saves most.
    pub best: usize,
    /// The one the verdict sets beside it: the next; among layouts of one house, the best with its backup elsewhere.
    pub other: usize,
    /// The best against each other one, in the order of the layouts.
    pub differences: Vec<Difference>,
    /// What flips the verdict on the two; empty while it is not known, or if they do not differ.
    pub flips: Vec<Flip>,
    /// True if one of the two has a second tank, whose loss is varied; else that of the tank is.
    pub second_tank: bool,
    /// Loss of the varied tank and of the other in W/K, where it is varied.
    pub backup_loss_w_k: [Option<f64>; 2],
    trials: Vec<Trial>,
}

impl Comparison {
    /// Compares the years of at least two layouts: as they are, and with the backup off. `shapes_first`: one tank is set against
    /// two even where two of a kind are best.
    pub fn of(layouts: &[Layout], own: &[Row], off: &[Row], shapes_first: bool) -> Self {
        let measure = Measure::of(layouts);
        let saved = |i: usize| measure.saved(&own[i]);
        // The first of equals.
        let best_of = |candidates: &mut dyn Iterator<Item = usize>| {
            candidates.reduce(|best, next| if saved(next) > saved(best) { next } else { best })
        };
        let best = best_of(&mut (0..layouts.len())).unwrap_or(0);
        let alone = |i: usize| layouts[i].shape == Shape::OneTank;
        let elsewhere = best_of(&mut (0..layouts.len()).filter(|&i| alone(i) != alone(best)));
        let next = best_of(&mut (0..layouts.len()).filter(|&i| i != best));
        let other = elsewhere.filter(|_| shapes_first).or(next).unwrap_or(best);
        let difference = |than: usize| {
            let [ours, theirs] = [best, than].map(|i| (&own[i], &off[i]));
            let monthly_kwh = (0..12).map(|month| {
                let [a, b] = [ours, theirs]
                    .map(|(own, off)| Year { own: &own.monthly[month], off: &off.monthly[month] });
                a.less(&b)
            });
            let [a, b] = [ours, theirs].map(|(own, off)| Year { own: &own.annual, off: &off.annual });
            let money = match measure {
                Measure::Money(_) => Some(saved(best) - saved(than)),
                Measure::Energy => None,
            };
            Difference {
                than,
                saved_kwh: a.saved_kwh() - b.saved_kwh(),
                saved_money: money,
                parts_kwh: a.less(&b),
                because: a.because(&b),
                monthly_kwh: monthly_kwh.collect(),
            }
        };
        let tanks = |i: usize| layouts[i].job.plant.tanks.len();
        let second_tank = tanks(best).max(tanks(other)) > 1;
        Self {
            measure,
            best,
            other,
            differences: (0..layouts.len()).filter(|&i| i != best).map(difference).collect(),
            flips: Vec::new(),
            second_tank,
            backup_loss_w_k: [best, other].map(|i| {
                let varied = tanks(i) > 1 || !second_tank;
                backup_loss_w_k(&layouts[i].job).filter(|_| varied)
            }),
            trials: Vec::new(),
        }
    }

    /// The difference that the verdict is about.
    pub fn main(&self) -> Option<&Difference> {
        self.differences.iter().find(|difference| difference.than == self.other)
    }

    /// True if the two of the verdict save the same to the bit.
    pub fn is_a_draw(&self) -> bool {
        self.main().is_none_or(|main| main.saved_kwh == 0.0 && main.saved_money.unwrap_or(0.0) == 0.0)
    }

    /// The years to run for what flips the verdict; none if the two do not differ.
    pub fn trials(&mut self, layouts: &[Layout]) -> Vec<Candidate> {
        if self.is_a_draw() {
            return Vec::new();
        }
        let (trials, candidates) = trials([&layouts[self.best], &layouts[self.other]]);
        self.trials = trials;
        candidates
    }

    /// Takes the years of [`Self::trials`], all of them, beside those of the layouts as they are.
    pub fn flipped(&mut self, own: &[Row], tried: &[Row]) {
        if self.trials.is_empty() {
            return;
        }
        let rows = [&own[self.best], &own[self.other]];
        let saved = |trial: &Trial, side: usize| {
            self.measure.saved(trial.years[side].map_or(rows[side], |year| &tried[year]))
        };
        self.flips = Axis::ALL
            .into_iter()
            .map(|axis| {
                let points = self.trials.iter().filter(|trial| trial.axis == axis);
                Flip::of(axis, points.map(|t| (t.value, saved(t, 0) - saved(t, 1))).collect())
            })
            .collect();
    }
}
