//! What happens to weather files on their way to us: each is read like the clean file, or refused with the line and the remedy.

use std::time::{Duration, Instant};

use suncask::weather::{Site, WeatherYear, read_bytes, read_text};

use super::invented::{hours, hours_at, plain, plain_of, tmy3};
use super::{GREENSBORO, HIGH_PLAINS, PIEDMONT, file};

/// The clean text of each layout, with the year it is.
fn clean() -> Vec<(&'static str, String, WeatherYear)> {
    let data = |name: &str| {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/weather").join(name);
        (std::fs::read_to_string(path).expect("a file of the tests").replace("\r\n", "\n"), file(name))
    };
    let own = four_columns().join("\n") + "\n";
    let own_year = read_text("own", &own).expect("an invented year");
    let published = [("TMY3", GREENSBORO), ("NSRDB", HIGH_PLAINS), ("PVGIS", PIEDMONT)];
    let mut all: Vec<_> = published.map(|(layout, name)| (layout, data(name))).into();
    all.push(("plain", (own, own_year)));
    all.into_iter().map(|(layout, (text, year))| (layout, text, year)).collect()
}

fn four_columns() -> Vec<String> {
    plain("ghi W/m2, dni W/m2, dhi W/m2, air degC", |h| {
        format!("{:.2}, {:.2}, {:.2}, {:.1}", h.ghi, h.dni, h.dhi, h.air)
    })
}

/// The year in plain columns; words and warnings aside.
fn values(year: &WeatherYear) -> [&Vec<f64>; 6] {
    [&year.ghi_w_m2, &year.dni_w_m2, &year.dhi_w_m2, &year.air_c, &year.wind_m_s, &year.dew_point_c]
}

/// The first thing told of a text that must be refused.
#[track_caller]
fn refused(text: &[u8]) -> String {
    let problems = read_bytes("year.csv", text).expect_err("must be refused");
    assert!(problems[0].help.is_some(), "{problems:?}");
    problems[0].to_string()
}

/// Quotes round every field.
fn quoted(text: &str) -> String {
    let line = |line: &str| {
        if line.is_empty() || line.contains('"') {
            return line.to_owned();
        }
        let fields: Vec<String> = line.split(',').map(|field| format!("\"{}\"", field.trim())).collect();
        fields.join(",")
    };
    text.lines().map(line).collect::<Vec<_>>().join("\n")
}

#[test]
fn what_does_not_change_the_meaning_is_read_the_same() {
    type Change = fn(&str) -> Vec<u8>;
    let changes: [(&str, Change); 8] = [
        ("mark of UTF-8", |text| format!("\u{feff}{text}").into_bytes()),
        ("line ends of Windows", |text| text.replace('\n', "\r\n").into_bytes()),
        ("line ends of an old Mac", |text| text.replace('\n', "\r").into_bytes()),
        ("quotes", |text| quoted(text).into_bytes()),
        ("empty columns behind", |text| text.replace('\n', ",,,\n").into_bytes()),
        ("blanks before commas", |text| text.replace(',', " ,").into_bytes()),
        ("no end of the last line", |text| text.trim_end().as_bytes().to_vec()),
        ("blank lines at the end", |text| format!("{text}\n\n  \n").into_bytes()),
    ];
    for (layout, text, year) in clean() {
        for (change, apply) in changes {
            let found = read_bytes("year.csv", &apply(&text))
                .unwrap_or_else(|problems| panic!("{layout}, {change}: {problems:#?}"));
            assert_eq!(values(&found), values(&year), "{layout}, {change}");
            assert_eq!(found.site, year.site, "{layout}, {change}");
        }
    }
}

#[test]
fn rows_in_any_order_are_the_same_year() {
    for (layout, text, year) in clean() {
        let is_row = |line: &&str| match layout {
            "TMY3" => line.matches('/').count() == 2 && line.starts_with(|c: char| c.is_ascii_digit()),
            "NSRDB" => line.starts_with("1999,"),
            "PVGIS" => line.len() > 30 && line.as_bytes()[8] == b':',
            _ => line.as_bytes()[2] == b'-',
        };
        let lines: Vec<&str> = text.lines().collect();
        let mut rows: Vec<&str> = lines.iter().filter(|line| is_row(line)).copied().collect();
        assert_eq!(rows.len(), 8760, "{layout}");
        let first = lines.iter().position(is_row).expect("a row");
        // Steps of a number without a common divisor with 8760 meet each row once.
        rows = (0..8760).map(|i| rows[i * 4801 % 8760]).collect();
        let shuffled = [&lines[..first], &rows[..]].concat().join("\n");
        let found =
            read_text("year.csv", &shuffled).unwrap_or_else(|problems| panic!("{layout}: {problems:#?}"));
        assert_eq!(values(&found), values(&year), "{layout}");
    }
}

#[test]
fn separators_and_decimals_of_other_countries_are_named() {
    for (layout, text, _) in clean() {
        for (sign, name) in [(";", "semicolons"), ("\t", "tabs")] {
            let told =
                refused(text.replace('.', "\u{1}").replace(',', sign).replace('\u{1}', ",").as_bytes());
            assert!(told.contains(&format!("separated by {name}")), "{layout}: {told}");
            assert!(told.contains("points in the numbers"), "{layout}: {told}");
        }
    }
    // Commas as decimals between quotes: the line of the first.
    let mut lines = four_columns();
    lines[20] = "01-01 12:00,\"100,5\",\"1,5\",\"99,0\",\"3,5\"".to_owned();
    let told = refused(lines.join("\n").as_bytes());
    assert!(told.starts_with("year.csv:21:") && told.contains("\"100,5\" is not a number"), "{told}");
    assert!(told.contains("use a point for decimals"), "{told}");
    // A thousand with its comma.
    lines[20] = "01-01 12:00,\"1,005.5\", 1, 1, 3".to_owned();
    assert!(refused(lines.join("\n").as_bytes()).contains("\"1,005.5\" is not a number"));
}

#[test]
fn words_and_endless_numbers_are_gaps_or_refused() {
    let mut lines = four_columns();
    for (hour, field) in ["NaN", "inf", "-Infinity", "1e999"].into_iter().enumerate() {
        // Far apart, so that each is a gap by itself.
        lines[20 + 48 * hour] = format!("01-{:02} 12:00, {field}, 1, 1, {field}", 1 + 2 * hour);
    }
    let year = read_text("year.csv", &lines.join("\n")).expect("gaps of one hour");
    assert!(values(&year).iter().all(|column| column.iter().all(|value| value.is_finite())));
    assert!(
        year.warnings.iter().any(|w| w.message.contains("4 values of air temperature")),
        "{:?}",
        year.warnings
    );
    for (line, field, told) in [
        (2, "latitude: nan", "no value for latitude"),
        (3, "longitude: inf", "no value for longitude"),
        (5, "utc offset: 1e999", "no value for utc offset"),
    ] {
        let mut lines = four_columns();
        lines[line] = field.to_owned();
        let found = refused(lines.join("\n").as_bytes());
        assert!(found.starts_with(&format!("year.csv:{}:", line + 1)) && found.contains(told), "{found}");
    }
    let mut station = tmy3();
    station[0] = station[0].replace("40.000", "NaN");
    assert!(refused(station.join("\n").as_bytes()).contains("latitude of NaN deg"));
    // A time of day beyond all bounds.
    let mut lines = tmy3();
    lines[2] = lines[2].replace(",01:00,", ",4294967295:00,");
    let found = refused(lines.join("\n").as_bytes());
    assert!(found.starts_with("year.csv:3:") && found.contains("4294967295:00"), "{found}");
}

#[test]
fn files_cut_off_or_joined_are_refused_with_the_line() {
    let lines = tmy3();
    let whole = lines.join("\n");
    let cut = &whole[..whole.len() / 2];
    let cut_line = cut.lines().count();
    // Cut within the date of a row, and behind a whole row.
    let within = &whole[..whole.lines().take(4000).map(|line| line.len() + 1).sum::<usize>() + 4];
    let told = refused(within.as_bytes());
    assert!(told.starts_with("year.csv:4001:") && told.contains("Cannot read the date and time"), "{told}");
    assert!(refused(cut.as_bytes()).contains(&format!("{} of 8760 rows are missing", 8762 - cut_line)));
    // The same file twice, and a second year behind the first.
    let told = refused(format!("{whole}\n{whole}").as_bytes());
    assert!(told.starts_with("year.csv:8763:"), "{told}");
    let next: Vec<String> = lines[2..].iter().map(|line| line.replace("/1990,", "/1991,")).collect();
    let told = refused(format!("{whole}\n{}", next.join("\n")).as_bytes());
    assert!(told.starts_with("year.csv:8763:") && told.contains("was there before, in line 3"), "{told}");
    // Only a head.
    assert!(refused(lines[..2].join("\n").as_bytes()).contains("no rows of data"));
    assert!(refused(lines[0].as_bytes()).contains("no weather file of a layout"));
}

#[test]
fn other_encodings_are_read_or_named() {
    let lines = tmy3();
    let accents = lines.join("\n").replace("INVENTED HILL", "Z\u{fc}rich\u{2013}Hill");
    let latin: Vec<u8> = accents.replace('\u{2013}', "-").chars().map(|c| c as u8).collect();
    let clean = read_text("year.csv", &lines.join("\n")).expect("the invented year");
    let read = read_bytes("year.csv", &latin).expect("a name in another alphabet");
    assert_eq!(values(&read), values(&clean));
    assert_eq!(read.site.name, "Z\u{fffd}rich-Hill, XX");
    for little in [true, false] {
        let wide = |mark: &str| -> Vec<u8> {
            let units = format!("{mark}{accents}").encode_utf16().collect::<Vec<u16>>();
            units.iter().flat_map(|u| if little { u.to_le_bytes() } else { u.to_be_bytes() }).collect()
        };
        let told = refused(&wide("\u{feff}"));
        assert!(told.contains("UTF-16") && told.contains("plain CSV (UTF-8)"), "{told}");
        let told = refused(&wide(""));
        assert!(told.contains("not text"), "{told}");
    }
    for nothing in [&b""[..], b"\xef\xbb\xbf", b"\n\r\n \n"] {
        assert!(refused(nothing).contains("The file is empty"));
    }
}

/// The longest that reading some MB may take: a hundred times what it takes here, and far less than what grows with the square.
const PATIENCE: Duration = Duration::from_secs(30);

#[test]
fn endless_lines_and_wild_stamps_take_no_more_than_their_length() {
    let begun = Instant::now();
    for start in ["", "suncask weather 1\n", "Date (MM/DD/YYYY),", "\"", "time(UTC),", "Latitude,Time Zone\n"]
    {
        for filling in ["9", ",", "\"", "x,", ";"] {
            refused(format!("{start}{}", filling.repeat(1 << 20)).as_bytes());
        }
    }
    // Each row another step behind the one before it.
    let mut second: u32 = 0;
    let mut text = four_columns()[..8].join("\n");
    for row in 0..200_000_u32 {
        second = (second + 1 + row % 86_000) % (28 * 86_400);
        let (day, clock) = (second / 86_400 + 1, second % 86_400);
        text += &format!(
            "\n01-{day:02} {:02}:{:02}:{:02}, 1, 1, 1, 1",
            clock / 3600,
            clock / 60 % 60,
            clock % 60
        );
    }
    refused(text.as_bytes());
    assert!(begun.elapsed() < PATIENCE, "{:?}", begun.elapsed());
}

#[test]
fn years_of_every_part_of_the_world_are_read_without_doubt() {
    let place = |latitude_deg, longitude_deg, utc_offset_h| Site {
        name: "Invented".to_owned(),
        latitude_deg,
        longitude_deg,
        elevation_m: 10.0,
        utc_offset_h,
    };
    for site in [
        place(-35.0, 149.0, 10.0),
        place(-54.8, -68.3, -3.0),
        place(0.0, 0.0, 0.0),
        // Both sides of the date line, and islands that keep the day of the other side.
        place(-18.0, 179.9, 12.0),
        place(-18.0, -179.9, -12.0),
        place(-18.0, -179.9, 12.0),
        place(1.9, -157.4, 14.0),
        // Within the polar circles, and the poles themselves.
        place(78.2, 15.6, 1.0),
        place(90.0, 0.0, 0.0),
        place(-90.0, 0.0, 12.0),
        place(-77.8, 166.7, 12.0),
    ] {
        let mut lines = plain_of(&hours_at(&site), "ghi W/m2, dni W/m2, dhi W/m2, air degC, wind m/s", |h| {
            format!("{:.2}, {:.2}, {:.2}, {:.1}, 2", h.ghi, h.dni, h.dhi, h.air)
        });
        lines[2] = format!("latitude: {}", site.latitude_deg);
        lines[3] = format!("longitude: {}", site.longitude_deg);
        lines[5] = format!("utc offset: {}", site.utc_offset_h);
        let year = read_text("year.csv", &lines.join("\n"))
            .unwrap_or_else(|problems| panic!("{site:?}: {problems:#?}"));
        let pole = site.latitude_deg.abs() == 90.0;
        // At a pole no hour has another sun than the next, and any zone fits.
        assert!(pole || year.warnings.is_empty(), "{site:?}: {:#?}", year.warnings);
        assert!(values(&year).iter().all(|column| column.iter().all(|value| value.is_finite())), "{site:?}");
    }
    assert_eq!(hours().len(), 8760);
}
