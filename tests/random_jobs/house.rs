//! Roof, sky, calendar, collectors and the use of water.

use proptest::prelude::*;

use super::words::{
    Text, all, amount, count, dates, figure, just, key, list, may, maybe, number, one_of, section, word,
};

/// `[weather]`, `[roof]`, `[site]` and `[calendar]`.
pub(super) fn house() -> Text {
    let share = || number(0.0, 0.1..0.5, 1.0);
    let shares = || one_of(vec![share(), list(share(), 12)]);
    let shade = section(
        "[roof.shade]",
        vec![
            maybe("year", amount(0.0, 5.0..40.0, 100.0, "%")),
            maybe("december", just("[\"8 am - 10 am 60 %\", \"3 pm - 5 pm 30 %\"]")),
            maybe("june", word(&["20 %", "100 %", "5 am - 12 pm 100 %"])),
        ],
    );
    all(vec![
        section(
            "[weather]",
            vec![
                maybe("ground_reflectance", shares()),
                maybe("sky_model", word(&["perez", "isotropic", "hay-davies", "hdkr"])),
                maybe("circumsolar", word(&["with beam", "as sky"])),
            ],
        ),
        section(
            "[roof]",
            vec![
                key("tilt", tilt()),
                key("azimuth", azimuth()),
                maybe("horizon", just("[\"E: 8 deg\", \"SE: 12 deg\", \"S: 3 deg\", \"W: 89 deg\"]")),
                maybe("snow_cover", shares()),
                maybe("wind_share", amount(0.0, 30.0..70.0, 150.0, "%")),
            ],
        ),
        may(shade),
        may(section("[site]", vec![key("record_low", amount(-90.0, -40.0..40.0, 80.0, "F"))])),
        section(
            "[calendar]",
            vec![
                maybe("daylight_saving", word(&["none", "US", "Mar 9 - Nov 1", "Oct 1 - Mar 31"])),
                maybe("first_day", word(&["Monday", "Wednesday", "Sunday"])),
                maybe("start_temperature", amount(33.0, 60.0..150.0, 200.0, "F")),
            ],
        ),
    ])
}

pub(super) fn tilt() -> Text {
    one_of(vec![word(&["6/12", "12/12", "3 in 12"]), amount(0.0, 15.0..75.0, 90.0, "deg")])
}

pub(super) fn azimuth() -> Text {
    one_of(vec![
        word(&["south", "SSW", "10 degrees west of south", "east", "north"]),
        amount(0.0, 100.0..260.0, 360.0, "deg"),
    ])
}

/// `[collectors]`; `a5` in kJ/(m2 K) holds the fluid too.
pub(super) fn collectors(a5: Text) -> Text {
    let size = (
        proptest::sample::select(&["one", "two", "three", "6", "20"][..]),
        // Nominal size, gross and aperture area in ft2.
        proptest::sample::select(
            &[("4x8 ft", 31.9, 29.8), ("4x10 ft", 40.0, 37.0), ("1 x 2 m", 21.5, 18.0), ("3x3 ft", 8.9, 8.0)]
                [..],
        ),
        word(&["parallel", "series"]),
        proptest::sample::select(&["gross", "aperture"][..]),
    );
    let size = size.prop_map(|(many, (nominal, gross, aperture), arrangement, basis)| {
        format!(
            "[collectors]\nsize = \"{many} {nominal}\"\narrangement = {arrangement}\n[collectors.rating]\n\
             coefficients_on = \"{basis}\"\ngross_area = \"{gross} ft2\"\naperture_area = \"{aperture} ft2\"\n"
        )
    });
    let rating = vec![
        key("a5", a5),
        maybe("a3", amount(0.0, 0.0..4.0, 20.0, "J/m3K")),
        maybe("a4", number(0.0, 0.0..0.9, 1.0)),
        maybe("a6", amount(0.0, 0.0..0.03, 0.2, "s/m")),
        maybe("a7", amount(0.0, 0.0..0.03, 0.2, "s/m")),
        maybe("a8", amount(0.0, 0.0..1e-9, 1e-6, "W/m2K4")),
        maybe("cells", count(1, 3..12, 64)),
        maybe("kd", number(0.0, 0.8..1.1, 1.5)),
        maybe("edition", word(&["2017", "2013"])),
        maybe(
            "pressure_drop",
            word_free(&["[[\"1 gpm\", \"0.1 psi\"]]", "[[\"1 gpm\", \"2 ft\"], [\"2 gpm\", \"7 ft\"]]"]),
        ),
    ];
    all(vec![size.boxed(), efficiency(), all(rating), angle()])
}

fn word_free(texts: &'static [&'static str]) -> Text {
    proptest::sample::select(texts).prop_map(str::to_owned).boxed()
}

/// Coefficients over the mean fluid temperature, or a line over the inlet's.
fn efficiency() -> Text {
    let losses = || {
        vec![
            key("a1", amount(0.0, 0.5..8.0, 40.0, "W/m2K")),
            key("a2", amount(0.0, 0.0..0.03, 1.0, "W/m2K2")),
        ]
    };
    let peak = || number(0.01, 0.5..0.85, 1.0);
    let mean = |name| all([vec![key(name, peak())], losses()].concat());
    let line = all(vec![
        key("intercept", peak()),
        key("slope", amount(-40.0, -8.0..-0.5, 40.0, "W/m2K")),
        maybe("second_order", amount(-1.0, -0.02..0.0, 1.0, "W/m2K2")),
        // Slower tests could not carry the steepest slope.
        maybe("test_flow", amount(0.02, 0.02..0.04, 0.2, "kg/(s m2)")),
        maybe("test_fluid", word(&["water", "40 % propylene glycol"])),
    ]);
    one_of(vec![mean("eta0b"), mean("eta0_hem"), line])
}

fn angle() -> Text {
    const ANGLES: &str = "angles = [\"0 deg\", \"20 deg\", \"40 deg\", \"60 deg\", \"90 deg\"]\n";
    let values = |last: f64| {
        proptest::collection::vec(0.1..1.6, 3)
            .prop_map(move |middle| {
                format!("[1, {:.2}, {:.2}, {:.2}, {last}]", middle[0], middle[1], middle[2])
            })
            .boxed()
    };
    let table = all(vec![just(ANGLES), key("values", values(0.0))]);
    let tubes = all(vec![
        just(ANGLES),
        key("longitudinal", values(0.0)),
        key("transversal", values(0.2)),
        maybe("tubes_run", word(&["up the slope", "across the slope"])),
    ]);
    section(
        "[collectors.rating.angle]",
        vec![one_of(vec![
            maybe("b0", number(-0.5, 0.05..0.3, 1.0)),
            all(vec![key("b0", number(-0.5, 0.0..0.3, 1.0)), key("b1", number(-1.0, -0.2..0.2, 1.0))]),
            key("at_50_deg", number(0.5, 0.85..1.0, 1.2)),
            table,
            tubes,
        ])],
    )
}

/// `[cold_water]`.
pub(super) fn cold_water() -> Text {
    let level = || amount(31.0, 40.0..75.0, 110.0, "F");
    section(
        "[cold_water]",
        vec![one_of(vec![
            key("temperature", one_of(vec![word(&["from weather"]), level()])),
            key("monthly", list(level(), 12)),
            all(vec![
                key("mean", level()),
                maybe("amplitude", amount(0.0, 2.0..20.0, 50.0, "F")),
                maybe("coldest_day", word(&["Feb 4", "Jul 31"])),
            ]),
        ])],
    )
}

/// `[hot_water]` with all its ways, except for logged draws.
pub(super) fn hot_water() -> Text {
    let daily = || {
        may(one_of(vec![
            key("daily", amount(0.0, 10.0..150.0, 20_000.0, "gal")),
            key("people", count(0, 1..8, 500)),
            key("bedrooms", count(0, 1..6, 50)),
        ]))
    };
    let hours = || maybe("hours", just(EVENING));
    let temperature = || maybe("temperature", tap());
    let hourly = all(vec![
        daily(),
        temperature(),
        hours(),
        maybe("weekend_hours", just(EVENING)),
        maybe("spread", amount(1.0, 2.0..59.0, 60.0, "min")),
        maybe("counts_as_showers", word(&["yes", "no"])),
    ]);
    let random = all(vec![
        just("pattern = \"random draws\"\n"),
        maybe("daily", amount(0.0, 10.0..150.0, 2000.0, "gal")),
        temperature(),
        maybe("seed", count(0, 1..1000, 1_000_000_000)),
    ]);
    let kinds = just(
        "[[hot_water.kind]]\nfor = \"shower\"\nshare = \"70 %\"\nvolume = \"15 gal\"\nflow = \"2 gpm\"\n\
         [[hot_water.kind]]\nfor = \"sink\"\nshare = \"30 %\"\nspread = \"200 %\"\ntemperature = \"95 F\"\n",
    );
    let united_states = all(vec![
        key("pattern", word(&["US very small", "US low", "US medium", "US high"])),
        temperature(),
        maybe("first_draw", word(&["6 am", "11:59 pm"])),
    ]);
    let european = key("pattern", word(&["EU XXS", "EU S", "EU M", "EU L", "EU XL"]));
    let listed = proptest::collection::vec(draw(), 1..6).prop_map(|draws| draws.concat());
    let way = one_of(vec![
        all(vec![hourly, year()]),
        all(vec![random, year(), may(kinds)]),
        all(vec![united_states, year()]),
        all(vec![european, year()]),
        all(vec![temperature(), year(), listed.boxed()]),
    ]);
    section("[hot_water]", vec![way])
}

fn tap() -> Text {
    amount(50.0, 100.0..130.0, 200.0, "F")
}

/// What holds for every way to use water.
pub(super) fn year() -> Text {
    all(vec![
        maybe("mixing_valve", word(&["yes", "no"])),
        maybe("usable_temperature", amount(60.0, 95.0..110.0, 140.0, "F")),
        maybe("month_factors", list(number(0.0, 0.7..1.3, 10.0), 12)),
        may(key(
            "absences",
            dates().prop_map(|days| format!("[{}]", days.replace("all year", "none"))).boxed(),
        )),
        maybe("guests", just("[\"Dec 20 - Jan 3: 3 people\", \"Jun - Sep: 1.5 times\"]")),
    ])
}

fn draw() -> Text {
    let volume = || key("volume", amount(0.01, 1.0..30.0, 2000.0, "gal"));
    let duration = || key("duration", amount(1.0, 20.0..900.0, 7200.0, "s"));
    let flow = || key("flow", amount(0.01, 0.3..6.0, 100.0, "gpm"));
    section(
        "[[hot_water.draw]]",
        vec![
            key("time", word(&["6:30 am", "18:45", "midnight", "23:59"])),
            one_of(vec![
                volume(),
                all(vec![volume(), flow()]),
                all(vec![duration(), flow()]),
                all(vec![volume(), duration()]),
            ]),
            maybe("temperature", tap()),
            maybe("for", word(&["shower", "bath", "sink", "dishwasher", "laundry", "other"])),
            maybe("days", word(&["every day", "weekdays", "weekend"])),
        ],
    )
}

/// Rows of a log of draws on some days of the year.
pub(super) fn log() -> Text {
    let row = (
        1..=12_u32,
        1..=29_u32,
        0..86_400_u32,
        figure(0.0, 1.0..30.0, 2000.0),
        figure(0.0, 30.0..600.0, 43_200.0),
    )
        .prop_map(|(month, day, second, gal, seconds)| {
            let day = if month == 2 { day } else { day.min(28) };
            let (hour, minute) = (second / 3600, second / 60 % 60);
            format!("2026-{month:02}-{day:02} {hour:02}:{minute:02},{gal},{seconds}\n")
        });
    proptest::collection::vec(row, 1..60)
        .prop_map(|rows| format!("time,volume gal,duration s\n{}", rows.concat()))
        .boxed()
}

/// All of a day's water in two hours.
const EVENING: &str = "[0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0.6, 0.4, 0, 0, 0, 0]";
