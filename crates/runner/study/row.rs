//! What a study keeps of a candidate's year.

use serde::{Deserialize, Serialize};

use crate::money::MoneyFigure;
use crate::record::{Accounts, Morning, YearResult};

/// The year of a candidate.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Row {
    /// What it is called in tables.
    pub name: String,
    /// What sets it apart, as (what, how).
    pub settings: Vec<(String, String)>,
    /// The whole year.
    pub annual: Accounts,
    /// January to December.
    pub monthly: Vec<Accounts>,
    /// The mornings of the dullest week.
    pub morning: Morning,
    /// Figures of money in the order of [`MoneyFigure::ALL`], where the job has prices; `None` where one has no meaning.
    pub money: Option<Vec<Option<f64>>>,
}

impl Row {
    /// `None` if the year was not asked for its mornings.
    pub(super) fn of(name: &str, settings: &[(String, String)], year: YearResult) -> Option<Self> {
        let money = year
            .money
            .as_ref()
            .map(|account| MoneyFigure::ALL.iter().map(|figure| (figure.value)(account)).collect::<Vec<_>>());
        Some(Self {
            name: name.to_string(),
            settings: settings.to_vec(),
            annual: year.annual,
            monthly: year.monthly,
            morning: year.morning?,
            money,
        })
    }

    /// A figure of money by its key; `None` without prices or where it has no meaning.
    pub fn money(&self, key: &str) -> Option<f64> {
        let place = MoneyFigure::ALL.iter().position(|figure| figure.key == key)?;
        self.money.as_ref()?.get(place).copied().flatten()
    }
}
