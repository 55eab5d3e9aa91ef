//! The loop of each kind: pipes, pump, controller, and how the heat enters the tank.
//!
//! Heights that belong together are marks, `@bottom@` below `@entry@` below `@element@` and so on, which the finished job fills
//! in.

use proptest::prelude::*;

use super::house::{azimuth, tilt};
use super::words::{
    Text, all, amount, count, falling, figure, just, key, may, maybe, number, one_of, section, timer, word,
};

const WATER: &str = "fluid = \"water\"\n";

fn fluid() -> Text {
    let glycol =
        figure(20.0, 30.0..45.0, 50.0).prop_map(|percent| format!("\"{percent} % propylene glycol\""));
    key("fluid", one_of(vec![just("\"water\""), glycol.boxed()]))
}

fn pressures() -> Text {
    all(vec![
        maybe("fill_pressure", amount(0.0, 10.0..30.0, 150.0, "psi")),
        maybe("relief_pressure", amount(0.0, 30.0..150.0, 150.0, "psi")),
        maybe("lift", amount(0.0, 5.0..40.0, 500.0, "ft")),
    ])
}

/// A loop with a pump that stands full; the tank's heat may come in any way.
pub(super) fn pumped() -> Text {
    let plain = || all(vec![just("[loop]\n"), may(just("kind = \"pumped\"\n")), pressures()]);
    let second_plane = section(
        "[roof.second_plane]",
        vec![key("tilt", tilt()), key("azimuth", azimuth()), maybe("collectors", count(1, 1..4, 60))],
    );
    let valve = all(vec![
        one_of(vec![
            just("check_valve = \"none\"\n"),
            all(vec![
                just("check_valve = \"leaks\"\n"),
                maybe("check_valve_leak", amount(0.0, 1.0..50.0, 100.0, "%")),
            ]),
        ]),
        maybe("collector_rise", amount(0.1, 1.0..15.0, 60.0, "ft")),
        maybe("tank_above_collectors", amount(-500.0, -30.0..5.0, 60.0, "ft")),
    ]);
    let closed = |more: Text, exchanger: Text| all(vec![plain(), fluid(), more, exchanger]);
    let open = |more: Text| all(vec![plain(), just(WATER), more, open_loop()]);
    all(vec![
        one_of(vec![
            closed(just(""), coil()),
            closed(just(""), plate()),
            closed(valve.clone(), coil()),
            open(just("")),
            open(valve),
        ]),
        pipes(),
        pump(drive()),
        controller(true),
    ])
    .prop_flat_map(move |circuit| {
        // Back-flow is worked out for one plane only.
        let second = if circuit.contains("check_valve") { just("") } else { may(second_plane.clone()) };
        all(vec![just(&circuit), second])
    })
    .boxed()
}

/// A loop that drains.
pub(super) fn drainback() -> Text {
    let reservoir = section(
        "[loop.drainback]",
        vec![
            key("reservoir", amount(60.0, 60.0..200.0, 500.0, "gal")),
            maybe("reservoir_loss", amount(0.0, 0.2..5.0, 50.0, "W/K")),
            maybe("collector_volume", amount(0.0, 0.1..0.4, 0.4, "gal")),
            maybe("fill_time", amount(0.0, 5.0..600.0, 3600.0, "s")),
            maybe("start_power", amount(0.0, 10.0..400.0, 3000.0, "W")),
        ],
    );
    all(vec![
        just("[loop]\nkind = \"drainback\"\n"),
        pressures(),
        fluid(),
        reservoir,
        one_of(vec![coil(), plate()]),
        pipes(),
        pump(drive()),
        controller(false),
    ])
}

/// A loop that flows by itself.
pub(super) fn thermosiphon() -> Text {
    let heights = all(vec![
        just("[loop]\nkind = \"thermosiphon\"\n"),
        maybe("collector_rise", amount(0.1, 1.0..15.0, 60.0, "ft")),
        maybe("tank_above_collectors", amount(-500.0, -2.0..10.0, 60.0, "ft")),
        may(one_of(vec![
            just("check_valve = \"tight\"\n"),
            all(vec![
                just("check_valve = \"leaks\"\n"),
                maybe("check_valve_leak", amount(0.0, 1.0..50.0, 100.0, "%")),
            ]),
        ])),
    ]);
    one_of(vec![
        all(vec![heights.clone(), just(WATER), open_loop(), pipes()]),
        all(vec![heights, fluid(), coil(), pipes()]),
    ])
}

/// A tank behind glass.
pub(super) fn batch() -> Text {
    just("[loop]\nkind = \"batch\"\nfluid = \"water\"\n")
}

fn coil() -> Text {
    let tube = all(vec![
        key("tube_length", amount(3.0, 20.0..300.0, 1000.0, "ft")),
        maybe("tube", word(&["1/2 in", "3/4 in", "1 in"])),
        maybe("bond", amount(0.1, 2.0..100.0, 1000.0, "W/mK")),
        maybe("wall_thickness", amount(0.3, 1.0..4.0, 25.0, "mm")),
        maybe("wall_conductivity", amount(0.1, 15.0..50.0, 400.0, "W/mK")),
        maybe("water_hardness", word(&["soft", "moderately hard", "hard", "very hard"])),
        maybe("scale_years", number(0.0, 0.0..20.0, 60.0)),
        design_points(),
    ]);
    let immersed = all(vec![
        just("kind = \"immersed\"\n"),
        key("tube_length", amount(3.0, 20.0..300.0, 1000.0, "ft")),
        maybe("tube_type", word(&["L", "M"])),
        maybe("coil_diameter", amount(3.0, 8.0..24.0, 120.0, "in")),
        design_points(),
    ]);
    let ua = all(vec![
        maybe("kind", word(&["wrap-around", "immersed"])),
        maybe("ua", amount(1.0, 50.0..2000.0, 20_000.0, "W/K")),
    ]);
    section(
        "[tank.coil]",
        vec![
            just("bottom = \"@bottom@ %\"\ntop = \"@entry@ %\"\n"),
            maybe("inlet", word(&["top", "bottom"])),
            one_of(vec![ua, tube, immersed]),
        ],
    )
}

fn design_points() -> Text {
    let level = || amount(33.0, 90.0..160.0, 230.0, "F");
    all(vec![maybe("design_loop_temperature", level()), maybe("design_tank_temperature", level())])
}

fn plate() -> Text {
    section(
        "[tank.plate]",
        vec![
            just("draw_from = \"@bottom@ %\"\nreturn_to = \"@entry@ %\"\n"),
            may(one_of(vec![
                key("effectiveness", amount(1.0, 30.0..95.0, 100.0, "%")),
                key("ua", amount(1.0, 50.0..2000.0, 20_000.0, "W/K")),
            ])),
            maybe("tank_flow", amount(0.05, 0.5..4.0, 20.0, "gal/min")),
            maybe("tank_pump_power", amount(0.0, 5.0..150.0, 2000.0, "W")),
        ],
    )
}

fn open_loop() -> Text {
    just("[tank.open_loop]\ndraw_from = \"@bottom@ %\"\nreturn_to = \"@entry@ %\"\n")
}

fn pipes() -> Text {
    let way = |head| {
        let length = |name| maybe(name, amount(0.0, 0.0..60.0, 2000.0, "ft"));
        let fittings = maybe("elbows", count(0, 0..12, 200));
        section(head, vec![length("indoors"), length("attic"), length("outdoors"), fittings])
    };
    let tube = one_of(vec![
        all(vec![maybe("tube", word(&["1/2 in", "3/4 in", "1 in"])), maybe("tube_type", word(&["M", "L"]))]),
        all(vec![
            falling(["outer_diameter", "bore"], [1.0, 10.0, 40.0, 500.0], "mm"),
            maybe("wall_capacity", amount(0.0, 20.0..500.0, 100_000.0, "J/mK")),
        ]),
    ]);
    all(vec![
        section(
            "[pipes]",
            vec![
                tube,
                maybe("insulation", amount(0.0, 0.25..2.0, 12.0, "in")),
                maybe("insulation_conductivity", amount(0.01, 0.02..0.06, 1.0, "W/mK")),
            ],
        ),
        may(way("[pipes.supply]")),
        may(way("[pipes.return]")),
    ])
}

/// What drives the pump.
fn drive() -> Text {
    one_of(vec![
        just(""),
        all(vec![
            just("speed = \"proportional\"\n"),
            maybe("least_speed", amount(1.0, 15.0..80.0, 100.0, "%")),
            // Above any usual difference that stops the pump.
            key("full_speed_difference", amount(60.0, 60.0..80.0, 120.0, "F")),
        ]),
        all(vec![just("drive = \"timer\"\n"), timer()]),
        all(vec![
            just("drive = \"solar module\"\n"),
            may(falling(["full_flow_at", "starts_at"], [0.0, 5.0, 100.0, 150.0], "%")),
        ]),
    ])
}

fn pump(drive: Text) -> Text {
    let flow = one_of(vec![
        key("flow", amount(0.001, 0.01..0.05, 0.3, "gpm/ft2")),
        key("flow", amount(0.01, 0.5..6.0, 50.0, "gal/min")),
        key("flow", amount(0.001, 0.02..0.3, 3.0, "kg/s")),
        just(""),
    ]);
    let curve = (1.0..60.0, 1.0..20.0).prop_map(|(head_ft, most_gpm)| {
        format!("curve = [[\"0 gpm\", \"{head_ft:.1} ft\"], [\"{:.2} gpm\", \"{:.1} ft\"], [\"{most_gpm:.2} gpm\", \"0 ft\"]]\n",
            0.5 * most_gpm, 0.7 * head_ft)
    });
    section(
        "[pump]",
        vec![
            one_of(vec![flow.clone(), flow, curve.boxed()]),
            maybe("power", amount(0.0, 5.0..150.0, 3000.0, "W")),
            maybe("heat_to_fluid", amount(0.0, 0.0..70.0, 100.0, "%")),
            drive,
        ],
    )
}

/// Offset, bad seat and lag of a sensor under three keys.
pub(super) fn sensor([offset, seat, lag]: [&'static str; 3]) -> Text {
    may(all(vec![
        maybe(offset, amount(-90.0, -8.0..8.0, 90.0, "F")),
        maybe(seat, amount(0.0, 0.0..30.0, 99.0, "%")),
        maybe(lag, amount(0.0, 5.0..300.0, 7200.0, "s")),
    ]))
}

/// `[controller]` with all it may do; a loop that drains needs nothing against frost.
fn controller(frost: bool) -> Text {
    let basics = section(
        "[controller]",
        vec![
            may(falling(["on_difference", "off_difference"], [0.0, 2.0, 20.0, 59.0], "F")),
            maybe("high_limit", amount(70.0, 140.0..185.0, 230.0, "F")),
            maybe("high_limit_reset", amount(0.0, 1.0..25.0, 90.0, "F")),
            maybe("collector_limit", amount(120.0, 200.0..290.0, 500.0, "F")),
            maybe("collector_limit_reset", amount(0.0, 0.0..60.0, 90.0, "F")),
            just("sensor_height = \"@sensor@ %\"\n"),
            sensor(["sensor_offset", "sensor_seat_loss", "sensor_lag"]),
            sensor(["collector_sensor_offset", "collector_sensor_seat_loss", "collector_sensor_lag"]),
            maybe("decides_every", amount(1.0, 10.0..300.0, 3600.0, "s")),
            maybe("min_on", amount(0.0, 0.0..600.0, 3600.0, "s")),
            maybe("min_off", amount(0.0, 0.0..600.0, 3600.0, "s")),
            maybe("no_start_above", amount(100.0, 150.0..250.0, 500.0, "F")),
            maybe("power", amount(0.0, 0.0..10.0, 100.0, "W")),
        ],
    );
    let freeze = section(
        "[controller.freeze_protection]",
        vec![may(falling(["off", "on"], [-40.0, 34.0, 55.0, 500.0], "F"))],
    );
    let cooling = section(
        "[controller.night_cooling]",
        vec![may(falling(["on", "off"], [-40.0, 100.0, 200.0, 500.0], "F"))],
    );
    let dump = section(
        "[controller.heat_dump]",
        vec![
            maybe("on", amount(-40.0, 120.0..250.0, 500.0, "F")),
            maybe("reset", amount(0.0, 5.0..40.0, 90.0, "F")),
            maybe("ua", amount(1.0, 20.0..500.0, 5000.0, "W/K")),
        ],
    );
    let freeze = if frost { freeze } else { just("") };
    // The duties stand behind a mark: a pump on a solar module has no current for them.
    all(vec![basics, just("@duties@"), may(freeze), may(cooling), may(dump), just("@end@")])
}
