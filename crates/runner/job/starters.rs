//! Starter jobs compiled in: one for each kind of backup, layout and loop, all of invented houses.

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
pub const STARTERS: [Starter; 15] = [
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
    Starter {
        kind: "two-tank",
        about: "solar tank before the house's own electric heater",
        text: include_str!("../jobs/two-tank.toml"),
    },
    Starter {
        kind: "recirculation",
        about: "one tank and a recirculation loop through the house",
        text: include_str!("../jobs/recirculation.toml"),
    },
    Starter {
        kind: "drainback",
        about: "a loop that drains into a reservoir when the pump stops",
        text: include_str!("../jobs/drainback.toml"),
    },
    Starter {
        kind: "thermosiphon",
        about: "a tank above the collector, no pump, no controller",
        text: include_str!("../jobs/thermosiphon.toml"),
    },
    Starter {
        kind: "batch",
        about: "the tank behind glass on the roof, no pump, no loop",
        text: include_str!("../jobs/batch.toml"),
    },
    Starter {
        kind: "east-west",
        about: "collectors on two roof planes in one loop",
        text: include_str!("../jobs/east-west.toml"),
    },
    Starter {
        kind: "plate",
        about: "an external plate exchanger with its own pump",
        text: include_str!("../jobs/plate.toml"),
    },
    Starter {
        kind: "open-loop",
        about: "tank water through the collectors, for places without frost",
        text: include_str!("../jobs/open-loop.toml"),
    },
    Starter {
        kind: "tubes",
        about: "evacuated tubes with angle tables along and across them",
        text: include_str!("../jobs/tubes.toml"),
    },
    Starter {
        kind: "solar-module",
        about: "the loop pump runs from a solar module, no controller",
        text: include_str!("../jobs/solar-module.toml"),
    },
];
