//! Tanks, what heats them, the pipe work between them, and the heater without sun.

use super::circuit::sensor;
use super::words::{
    Text, all, amount, count, falling, just, key, may, maybe, number, one_of, room, section, timer, word,
};

/// `[tank]`; a batch collector stands outdoors.
pub(super) fn tank(outdoors: bool) -> Text {
    let stands_in = if outdoors { just("stands_in = \"outdoors\"\n") } else { maybe("stands_in", room()) };
    all(vec![
        section(
            "[tank]",
            vec![
                maybe("volume", amount(2.0, 30.0..200.0, 5000.0, "gal")),
                may(one_of(vec![
                    key("height", amount(3.0, 30.0..70.0, 360.0, "in")),
                    key("diameter", amount(14.0, 16.0..24.0, 40.0, "in")),
                ])),
                stands_in,
                may(one_of(vec![insulation(), tank_label()])),
                ports(),
                maybe("interlock", word(&["upper first", "none"])),
            ],
        ),
        may(fitting("[[tank.fitting]]")),
    ])
}

fn fitting(head: &'static str) -> Text {
    section(
        head,
        vec![
            maybe("height", amount(0.0, 0.0..100.0, 100.0, "%")),
            maybe("loss", amount(0.0, 0.1..1.0, 20.0, "W/K")),
        ],
    )
}

fn ports() -> Text {
    all(vec![
        maybe("heat_traps", word(&["both", "hot", "cold", "none"])),
        may(falling(["hot_outlet", "cold_inlet"], [0.0, 0.0, 100.0, 100.0], "%")),
        maybe("slices", count(1, 5..60, 200)),
        maybe("conduction", amount(0.0, 0.5..3.0, 10.0, "W/mK")),
        may(all(vec![
            just("inlet_mixing = \"by draw rate\"\n"),
            maybe("inlet_bore", amount(0.1, 0.3..1.5, 6.0, "in")),
        ])),
    ])
}

/// Insulation in every way but a label.
fn insulation() -> Text {
    let wrap = || {
        one_of(vec![
            amount(0.1, 8.0..24.0, 200.0, "h ft2 F/Btu"),
            amount(0.1, 1.0..4.0, 20.0, "in"),
            amount(0.0, 0.2..2.0, 60.0, "W/m2K"),
        ])
    };
    all(vec![
        one_of(vec![
            key("total_loss", amount(0.0, 0.5..10.0, 20.0, "W/K")),
            all(vec![
                maybe("insulation", wrap()),
                maybe("side", wrap()),
                maybe("top", wrap()),
                maybe("bottom", wrap()),
            ]),
        ]),
        maybe("fittings_loss", amount(0.0, 0.2..2.0, 20.0, "W/K")),
    ])
}

/// A label that fits an electric tank.
fn tank_label() -> Text {
    one_of(vec![
        electric_factor(),
        key("standing_loss", amount(5.0, 20.0..250.0, 1000.0, "W")),
        key("energy_class", word(&["A+", "A", "B", "C", "D", "E", "F"])),
    ])
}

fn electric_factor() -> Text {
    one_of(vec![
        all(vec![
            key("uef", number(0.3, 0.8..0.95, 0.97)),
            maybe("draw_pattern", word(&["very small", "low", "medium", "high"])),
        ]),
        key("ef", number(0.3, 0.8..0.95, 0.97)),
        all(vec![key("age", word(&["0 years", "12 years", "60"]))]),
    ])
}

fn set_temperature() -> Text {
    maybe("set_temperature", amount(60.0, 110.0..150.0, 210.0, "F"))
}

fn band() -> Text {
    maybe("band", amount(0.1, 2.0..25.0, 60.0, "F"))
}

/// An element; the upper one goes by the marks.
fn element(head: &'static str, heights: Text) -> Text {
    section(
        head,
        vec![
            maybe("power", amount(0.0, 500.0..6000.0, 60_000.0, "W")),
            heights,
            set_temperature(),
            band(),
            sensor(["thermostat_offset", "thermostat_seat_loss", "thermostat_lag"]),
            timer(),
        ],
    )
}

/// `[[backup]]` of all kinds: none, elements, a flow-through heater, both.
pub(super) fn backup() -> Text {
    let upper =
        || element("[[backup]]", just("height = \"@element@ %\"\nthermostat_height = \"@thermostat@ %\"\n"));
    let lower = element("[[backup]]", just("height = \"@sensor@ %\"\nthermostat_height = \"@entry@ %\"\n"));
    one_of(vec![
        just("[backup]\nkind = \"none\"\n"),
        upper(),
        all(vec![upper(), lower]),
        flow_through("[[backup]]"),
        all(vec![upper(), flow_through("[[backup]]")]),
    ])
}

fn flow_through(head: &'static str) -> Text {
    let heater =
        |fuel: &'static str| all(vec![just(fuel), key("power", amount(1.0, 6.0..60.0, 120.0, "kW"))]);
    section(
        head,
        vec![
            just("kind = \"flow-through heater\"\n"),
            one_of(vec![heater("fuel = \"gas\"\n"), heater("fuel = \"electric\"\n")]),
            maybe("efficiency", amount(30.0, 75.0..98.0, 100.0, "%")),
            key("minimum_fire", amount(0.0, 0.0..1.0, 1.0, "kW")),
            maybe("inlet_limit", amount(60.0, 90.0..180.0, 210.0, "F")),
            maybe("set_temperature", amount(60.0, 100.0..150.0, 185.0, "F")),
            maybe("standby", amount(0.0, 0.0..20.0, 100.0, "W")),
            if head == "[[backup]]" { timer() } else { just("") },
        ],
    )
}

/// `[backup_tank]` of each kind with the pipe work that needs two tanks; in half of all jobs there is none.
pub(super) fn second_tank() -> Text {
    let common = || {
        all(vec![
            maybe("volume", amount(2.0, 20.0..120.0, 2000.0, "gal")),
            maybe("stands_in", room()),
            ports(),
        ])
    };
    let electric = all(vec![
        common(),
        may(one_of(vec![insulation(), electric_factor()])),
        one_of(vec![
            all(vec![set_temperature(), band(), timer()]),
            all(vec![
                element("[[backup_tank.element]]", just("height = \"60 %\"\nthermostat_height = \"70 %\"\n")),
                element("[[backup_tank.element]]", just("height = \"6 %\"\nthermostat_height = \"9 %\"\n")),
            ]),
        ]),
    ]);
    let gas = all(vec![common(), gas(), set_temperature(), band(), timer()]);
    let heat_pump = all(vec![common(), heat_pump(), set_temperature(), band(), timer()]);
    let two = all(vec![just("[backup_tank]\n"), one_of(vec![electric, gas, heat_pump]), between()]);
    one_of(vec![just(""), two])
}

fn gas() -> Text {
    let label = one_of(vec![
        key("uef", number(0.3, 0.5..0.64, 0.7)),
        key("ef", number(0.3, 0.5..0.62, 0.65)),
        key("age", word(&["3 years", "25 years"])),
        just(""),
    ]);
    all(vec![
        just("kind = \"gas heater\"\n"),
        label,
        maybe("power", amount(1.0, 8.0..20.0, 60.0, "kW")),
        maybe("pilot", amount(0.0, 0.0..60.0, 60.0, "W")),
        maybe("flue_share", amount(0.0, 30.0..80.0, 95.0, "%")),
        maybe("thermostat_height", amount(0.0, 10.0..40.0, 100.0, "%")),
    ])
}

fn heat_pump() -> Text {
    all(vec![
        just("kind = \"heat pump heater\"\n"),
        maybe("loss", amount(0.0, 0.5..4.0, 20.0, "W/K")),
        may(one_of(vec![key("cop", number(1.0, 1.8..5.0, 8.0)), key("uef", number(0.9, 1.8..4.5, 6.0))])),
        maybe("power", amount(100.0, 800.0..6000.0, 20_000.0, "W")),
        may(falling(["condenser_top", "condenser_bottom"], [0.0, 0.0, 100.0, 100.0], "%")),
        maybe("thermostat_height", amount(0.0, 30.0..70.0, 100.0, "%")),
        may(falling(["highest_air", "lowest_air"], [-40.0, 30.0, 120.0, 150.0], "F")),
        maybe("element_power", amount(0.0, 1000.0..6000.0, 12_000.0, "W")),
        maybe("element_height", amount(0.0, 50.0..90.0, 100.0, "%")),
        maybe("element_band", amount(1.0, 10.0..40.0, 90.0, "F")),
    ])
}

/// A pipe that holds hot water.
fn hot_pipe(least_ft: f64) -> Text {
    let around = one_of(vec![
        word(&["tank room", "backup tank room", "attic", "outdoors"]),
        amount(-40.0, 60.0..80.0, 140.0, "F"),
    ]);
    all(vec![
        maybe("length", amount(least_ft, 6.0..200.0, 2000.0, "ft")),
        maybe("tube", word(&["1/2 in", "3/4 in", "1 in"])),
        maybe("wall_capacity", amount(0.0, 20.0..500.0, 100_000.0, "J/mK")),
        maybe("insulation", amount(0.0, 0.0..2.0, 12.0, "in")),
        maybe("insulation_conductivity", amount(0.01, 0.02..0.06, 1.0, "W/mK")),
        maybe("runs_through", around),
    ])
}

fn water_pump() -> Text {
    all(vec![
        maybe("flow", amount(0.01, 0.2..6.0, 100.0, "gpm")),
        maybe("power", amount(0.0, 3.0..150.0, 1000.0, "W")),
        maybe("heat_to_water", amount(0.0, 0.0..70.0, 100.0, "%")),
    ])
}

/// `[pipe_between]`, `[bypass]` and `[transfer_pump]`.
fn between() -> Text {
    let height = |name| maybe(name, amount(0.0, 0.0..100.0, 100.0, "%"));
    let bypass = section(
        "[bypass]",
        vec![
            one_of(vec![
                key("above", amount(70.0, 115.0..180.0, 230.0, "F")),
                just("dates = \"Jun 1 - Aug 31\"\n"),
            ]),
            maybe("band", amount(0.0, 1.0..20.0, 60.0, "F")),
        ],
    );
    let transfer = section(
        "[transfer_pump]",
        vec![
            may(falling(["on_difference", "off_difference"], [0.0, 1.0, 30.0, 90.0], "F")),
            maybe("high_limit", amount(70.0, 120.0..180.0, 230.0, "F")),
            water_pump(),
            height("takes_from"),
            height("gives_to"),
            height("back_from"),
            height("back_to"),
        ],
    );
    let pipe = section("[pipe_between]", vec![hot_pipe(0.1), maybe("heat_trap", word(&["yes", "no"]))]);
    all(vec![may(pipe), may(bypass), may(transfer)])
}

/// `[recirculation]`.
pub(super) fn recirculation() -> Text {
    may(section(
        "[recirculation]",
        vec![
            hot_pipe(6.0),
            water_pump(),
            timer(),
            maybe("return_height", amount(0.0, 5.0..80.0, 100.0, "%")),
            just("@returns@"),
        ],
    ))
}

/// `[heater_without_sun]` of every kind.
pub(super) fn heater_without_sun() -> Text {
    let storage = || {
        all(vec![
            maybe("volume", amount(2.0, 20.0..120.0, 2000.0, "gal")),
            may(one_of(vec![insulation(), electric_factor()])),
            set_temperature(),
        ])
    };
    let head = "[heater_without_sun]";
    one_of(vec![
        section(head, vec![maybe("kind", word(&["simulated", "electric heater"])), storage(), band()]),
        section(
            head,
            vec![
                just("kind = \"held at set point\"\n"),
                maybe("loss", amount(0.0, 0.4..8.0, 50.0, "W/K")),
                set_temperature(),
                maybe("efficiency", amount(1.0, 50.0..100.0, 500.0, "%")),
            ],
        ),
        section(
            head,
            vec![just("fuel = \"gas\"\n"), maybe("ef", number(0.3, 0.5..0.65, 0.7)), set_temperature()],
        ),
        section(head, vec![gas(), set_temperature(), band()]),
        section(head, vec![heat_pump(), set_temperature(), band()]),
        flow_through(head),
    ])
}
