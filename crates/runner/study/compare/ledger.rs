//! Why one plant saves more than another: parts of the energy saved at equal service that add up to the difference.
//!
//! Saved is what the heater without sun buys, less what backup, pumps and controller buy and the charge for water that came too
//! cool. The backup buys what it makes into heat and what making it costs; the heat it makes is what was delivered and lost, less
//! what the sun brought. What the sun brought is what it brings into the same plant with the backup off, less what the backup
//! keeps out by heating what the sun could have.

use crate::record::{Accounts, Column};

/// A span of a plant's year, beside the same span with its backup off.
#[derive(Clone, Copy, Debug)]
pub struct Year<'a> {
    /// As it is.
    pub own: &'a Accounts,
    /// With the backup off.
    pub off: &'a Accounts,
}

/// A part of the energy saved; all parts of a span add up to it.
#[derive(Clone, Copy, Debug)]
pub struct Part {
    /// Key in files.
    pub key: &'static str,
    /// Short label in the trade's words.
    pub label: &'static str,
    /// What is counted.
    pub definition: &'static str,
    /// Why the better plant saves more where this part of the difference is positive, and why less where it is negative.
    pub because: [&'static str; 2],
    /// The same where only the other plant has it, and where only the better plant has it.
    pub alone: [&'static str; 2],
    /// Its share of the saving in kWh; losses count below zero.
    pub value: fn(&Year<'_>) -> f64,
}

/// Loss up the flue, which belongs to the last tank, and those of the first and the second tank without it.
fn losses(year: &Accounts) -> [f64; 3] {
    let (first, second, flue) = (year[Column::Tank1Loss], year[Column::Tank2Loss], year[Column::FlueLoss]);
    if second == 0.0 { [first - flue, second, flue] } else { [first, second - flue, flue] }
}

/// Backup heat that the named sources and losses do not account for: heat in store at the end less that at the start, less the
/// warmth of pumps.
fn rest(year: &Accounts) -> f64 {
    let out = year[Column::Delivered]
        + losses(year).iter().sum::<f64>()
        + year[Column::BetweenLoss]
        + year[Column::RecirculationLoss];
    year[Column::BackupHeat] - (out - year[Column::HeatIntoTank])
}

/// Every part, in the order of tables.
pub const PARTS: [Part; 13] = [
    Part {
        key: "sun_with_backup_off_kwh",
        label: "Sun with the backup off",
        definition: "Solar heat into the tank in the same year with the backup off: what tank size, exchanger and a cold tank bottom let the sun bring.",
        because: ["the sun finds more or colder water to heat", "the sun finds less or warmer water to heat"],
        alone: ["the sun finds more or colder water to heat", "the sun finds less or warmer water to heat"],
        value: |year| year.off[Column::HeatIntoTank],
    },
    Part {
        key: "backup_in_the_suns_place_kwh",
        label: "Backup in the sun\u{2019}s place",
        definition: "Solar heat into the tank with the backup on, less that with it off: what the backup heated and the sun could have.",
        because: [
            "the backup heats less of what the sun could have",
            "the backup heats more of what the sun could have",
        ],
        alone: [
            "the backup heats less of what the sun could have",
            "the backup heats more of what the sun could have",
        ],
        value: |year| year.own[Column::HeatIntoTank] - year.off[Column::HeatIntoTank],
    },
    Part {
        key: "first_tank_loss_kwh",
        label: "Standby of the first tank",
        definition: "Loss of the tank the sun heats, its flue apart.",
        because: ["the solar tank loses less", "the solar tank loses more"],
        alone: ["the solar tank loses less", "the solar tank loses more"],
        value: |year| -losses(year.own)[0],
    },
    Part {
        key: "second_tank_loss_kwh",
        label: "Standby of the second tank",
        definition: "Loss of the second tank, its flue apart; 0 where there is none.",
        because: ["its second tank loses less", "its second tank loses more"],
        alone: ["no second tank stands and cools", "a second tank stands and cools"],
        value: |year| -losses(year.own)[1],
    },
    Part {
        key: "flue_loss_kwh",
        label: "Flue",
        definition: "Loss up the flue of a gas heater while its burner is off.",
        because: ["less goes up the flue", "more goes up the flue"],
        alone: ["nothing goes up a flue", "heat goes up its flue"],
        value: |year| -losses(year.own)[2],
    },
    Part {
        key: "pipe_between_loss_kwh",
        label: "Pipe between the tanks",
        definition: "Loss of the pipe from the first tank to the second heater.",
        because: ["its pipe between the tanks loses less", "its pipe between the tanks loses more"],
        alone: ["no pipe between two tanks cools", "the pipe between the tanks cools"],
        value: |year| -year.own[Column::BetweenLoss],
    },
    Part {
        key: "recirculation_loss_kwh",
        label: "Recirculation",
        definition: "Loss of the house's recirculation loop.",
        because: ["the recirculation loop loses less", "the recirculation loop loses more"],
        alone: ["the recirculation loop loses less", "the recirculation loop loses more"],
        value: |year| -year.own[Column::RecirculationLoss],
    },
    Part {
        key: "making_heat_kwh",
        label: "Making backup heat",
        definition: "Energy bought for backup less the heat it put into water: burner, pilot and standby; above zero for a heat pump, which takes heat from the air.",
        because: ["its backup makes more heat of what it buys", "its backup makes less heat of what it buys"],
        alone: ["its backup makes more heat of what it buys", "its backup makes less heat of what it buys"],
        value: |year| year.own[Column::BackupHeat] - year.own[Column::BackupPurchased],
    },
    Part {
        key: "pump_kwh",
        label: "Pumps",
        definition: "Electricity of the pumps of the plant.",
        because: ["its pumps take less", "its pumps take more"],
        alone: ["it has no pump", "it has pumps"],
        value: |year| -year.own[Column::Pump],
    },
    Part {
        key: "controller_kwh",
        label: "Controller",
        definition: "Standing electricity of the controller.",
        because: ["its controller takes less", "its controller takes more"],
        alone: ["it has no controller", "it has a controller"],
        value: |year| -year.own[Column::Control],
    },
    Part {
        key: "water_and_charge_kwh",
        label: "Hot water, cool water charged",
        definition: "Heat delivered, and the charge for hot water that came too cool beyond that of the heater without sun, as that heater would have bought it.",
        because: [
            "it is charged less for cool water or gives less heat with it",
            "it is charged more for cool water or gives more heat with it",
        ],
        alone: [
            "it is charged less for cool water or gives less heat with it",
            "it is charged more for cool water or gives more heat with it",
        ],
        value: |year| {
            let charge = year.own[Column::Saved] - year.own[Column::EqualServiceSaved];
            -(year.own[Column::Delivered] + charge)
        },
    },
    Part {
        key: "heater_without_sun_kwh",
        label: "Heater without sun",
        definition: "What the heater without sun buys; the same for every plant of the same house.",
        because: [
            "it is measured against a heater that buys more",
            "it is measured against a heater that buys less",
        ],
        alone: [
            "it is measured against a heater that buys more",
            "it is measured against a heater that buys less",
        ],
        value: |year| year.own[Column::BaselinePurchased],
    },
    Part {
        key: "rest_kwh",
        label: "Store and pump warmth",
        definition: "What is left: heat in store at the end less that at the start counts below zero, warmth of pumps above.",
        because: ["less heat is left in store", "more heat is left in store"],
        alone: ["less heat is left in store", "more heat is left in store"],
        value: |year| -rest(year.own),
    },
];

impl Year<'_> {
    /// How much more this plant saves than another, part by part in the order of [`PARTS`], in kWh.
    pub fn less(&self, other: &Year<'_>) -> [f64; PARTS.len()] {
        PARTS.map(|part| (part.value)(self) - (part.value)(other))
    }

    /// The words of each part of [`Self::less`]: why this plant saves more, and why less.
    pub(super) fn because(&self, other: &Year<'_>) -> [[&'static str; 2]; PARTS.len()] {
        PARTS.map(|part| {
            let one_has_none = ((part.value)(self) == 0.0) != ((part.value)(other) == 0.0);
            if one_has_none { part.alone } else { part.because }
        })
    }

    /// Energy saved at equal service, in kWh.
    pub fn saved_kwh(&self) -> f64 {
        self.own[Column::EqualServiceSaved]
    }
}
