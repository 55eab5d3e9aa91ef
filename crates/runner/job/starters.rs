//! Starter jobs compiled in: one for each kind of backup, all of invented houses.

/// A commented job file to start from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Starter {
    /// What it is called at the command line.
    pub kind: &'static str,
    /// What it holds, in a few words.
    pub about: &'static str,
    /// Text of the file.
    pub text: &'static str,
}

/// Every starter; the first is the one the demo runs.
pub const STARTERS: [Starter; 5] = [
    Starter {
        kind: "one-tank",
        about: "one tank with an element, every section shown",
        text: include_str!("../jobs/one-tank.toml"),
    },
    Starter {
        kind: "two-elements",
        about: "one tank with two elements, timers and a winter season",
        text: include_str!("../jobs/two-elements.toml"),
    },
    Starter {
        kind: "gas",
        about: "solar tank before a gas storage heater",
        text: include_str!("../jobs/gas-heater.toml"),
    },
    Starter {
        kind: "flow-through",
        about: "solar tank before a flow-through (tankless) gas heater",
        text: include_str!("../jobs/flow-through.toml"),
    },
    Starter {
        kind: "heat-pump",
        about: "solar tank before a heat pump water heater",
        text: include_str!("../jobs/heat-pump.toml"),
    },
];
