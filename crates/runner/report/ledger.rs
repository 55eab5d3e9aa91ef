//! The year's books: what heat came in, where it went, and what is left of the sum.

use maud::{Markup, html};

use super::Report;
use crate::picture::{grouped, kwh, percent};
use crate::record::{Accounts, Column};

/// A line of the books: words and kWh.
type Line = (&'static str, f64);

/// The books of a span.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Ledger {
    /// What came in.
    pub came: Vec<Line>,
    /// What went out.
    pub went: Vec<Line>,
    /// Heat in store at the end less that at the start.
    pub change_kwh: f64,
}

impl Ledger {
    /// The books of these accounts; of lines that not every plant has, those that are not zero.
    pub(super) fn of(accounts: &Accounts) -> Self {
        let line = |words, column: Column| (words, accounts[column]);
        let came = vec![
            line("Sun taken up by the collectors", Column::Absorbed),
            line("Backup heat", Column::BackupHeat),
            line("Warmth of the pumps", Column::PumpHeat),
        ];
        let skin_kwh = accounts[Column::TankLoss] - accounts[Column::FlueLoss];
        let mut went = vec![
            line("Hot water delivered", Column::Delivered),
            line("Lost from the collectors", Column::CollectorLoss),
            line("Lost from the supply pipe", Column::SupplyLoss),
            line("Lost from the return pipe", Column::ReturnLoss),
            ("Lost through the skin of tanks", skin_kwh),
        ];
        let rare = [
            line("Lost up the flue", Column::FlueLoss),
            line("Lost from the pipe between the tanks", Column::BetweenLoss),
            line("Lost from the recirculation loop", Column::RecirculationLoss),
            line("Given to the heat dump", Column::DumpHeat),
        ];
        went.extend(rare.into_iter().filter(|(_, kwh)| *kwh != 0.0));
        Self { came, went, change_kwh: accounts[Column::StoredChange] }
    }

    fn sum(lines: &[Line]) -> f64 {
        lines.iter().map(|(_, kwh)| kwh).sum()
    }

    /// What came in, in kWh.
    pub(super) fn came_kwh(&self) -> f64 {
        Self::sum(&self.came)
    }

    /// What went out, in kWh.
    pub(super) fn went_kwh(&self) -> f64 {
        Self::sum(&self.went)
    }

    /// What came in, less what went out, less what stayed: zero but for rounding.
    pub(super) fn open_kwh(&self) -> f64 {
        self.came_kwh() - self.went_kwh() - self.change_kwh
    }
}

/// The books as a table.
pub(super) fn section(report: &Report<'_>) -> Markup {
    let year = &report.result.annual;
    let books = Ledger::of(year);
    let came_kwh = books.came_kwh();
    let row = |words: &str, value_kwh: f64, sum: bool| {
        html! {
            tr.sum[sum] {
                th scope="row" { (words) }
                td { (grouped(value_kwh, 1)) }
                td { @if came_kwh > 0.0 { (grouped(100.0 * value_kwh / came_kwh, 1)) " %" } }
            }
        }
    };
    html! {
        p {
            "Of " (kwh(year[Column::Sun])) " of sun on the collectors " (kwh(year[Column::Absorbed])) " were taken up ("
            (percent(year[Column::Absorbed] / year[Column::Sun].max(f64::MIN_POSITIVE))) "); "
            (kwh(year[Column::HeatIntoTank])) " of that came into the tank. Every kilowatt-hour that came in went out or is "
            "still in store."
        }
        table.plain {
            caption { "Heat in the year; shares of what came in" }
            thead { tr { th scope="col" { "Where" } th scope="col" { "kWh" } th scope="col" { "Share" } } }
            tbody {
                @for (words, value_kwh) in &books.came { (row(words, *value_kwh, false)) }
                (row("Came in", came_kwh, true))
                @for (words, value_kwh) in &books.went { (row(words, *value_kwh, false)) }
                (row("Went out", books.went_kwh(), true))
                (row("Change of heat in store", books.change_kwh, false))
                (row("Left over", books.open_kwh(), false))
            }
        }
        p {
            "Not in these sums because they only pass through: heat from the loop into the tank, heat moved between tanks, and"
            @if year[Column::FreezeHeat] + year[Column::NightCooling] + year[Column::BackFlow] > 0.0 {
                " heat that the tank gave to the collectors (" (kwh(year[Column::FreezeHeat])) " against frost, "
                (kwh(year[Column::NightCooling])) " by night cooling, " (kwh(year[Column::BackFlow])) " by back-flow), and"
            }
            " electricity of pumps that does not warm anything. Largest misfit of any component\u{2019}s balance: "
            (format!("{:.0e}", year[Column::BalanceResidual])) " of the year\u{2019}s inputs."
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn books_worked_by_hand() {
        let mut year = Accounts::default();
        for (column, kwh) in [
            (Column::Absorbed, 1000.0),
            (Column::BackupHeat, 200.0),
            (Column::PumpHeat, 5.0),
            (Column::CollectorLoss, 300.0),
            (Column::SupplyLoss, 10.0),
            (Column::ReturnLoss, 20.0),
            (Column::TankLoss, 115.0),
            (Column::FlueLoss, 15.0),
            (Column::Delivered, 758.0),
            (Column::StoredChange, 2.0),
            // Passes through, and must be in no sum.
            (Column::HeatIntoTank, 660.0),
        ] {
            year[column] = kwh;
        }
        let books = Ledger::of(&year);
        assert_eq!((books.came_kwh(), books.went_kwh(), books.open_kwh()), (1205.0, 1203.0, 0.0));
        // 100 through the skin and 15 up the flue; nothing of what is not there.
        assert!(books.went.contains(&("Lost through the skin of tanks", 100.0)));
        assert!(books.went.contains(&("Lost up the flue", 15.0)) && books.went.len() == 6);
    }
}
