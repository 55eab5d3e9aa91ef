//! What the readers share: clean text, columns by name, numbers and stamps out of fields.

use std::borrow::Cow;
use std::ops::Range;

use csv::StringRecord;

use super::calendar::Stamp;
use crate::problem::{Problem, Severity};

/// Text of a file without byte order mark; an error if it is not plain text.
pub(crate) fn decode(source: &str, bytes: &[u8]) -> Result<String, Vec<Problem>> {
    let refuse = |message: &str, help: &str| Err(vec![error(source, 1, message, help)]);
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        return refuse("The file is saved as UTF-16 text.", "save it as plain CSV (UTF-8) and try again");
    }
    if bytes.starts_with(b"PK") || bytes.contains(&0) {
        return refuse(
            "The file is not text: it looks like a spreadsheet or a zipped file.",
            "unpack it, or save the sheet as CSV",
        );
    }
    let bytes = bytes.strip_prefix(&[0xEF, 0xBB, 0xBF]).unwrap_or(bytes);
    // What is sound anyway need not be mended letter by letter.
    let text = std::str::from_utf8(bytes).map_or_else(|_| String::from_utf8_lossy(bytes), Cow::Borrowed);
    // One kind of line end, so that lines are counted right.
    Ok(if text.contains('\r') { text.replace("\r\n", "\n").replace('\r', "\n") } else { text.into_owned() })
}

/// An error where the fields of one of these lines (the first is 0) are separated by something else than commas, as some
/// spreadsheets do.
pub(super) fn other_separator(source: &str, text: &str, lines: Range<usize>) -> Option<Problem> {
    /// So many of a sign in a line are no accident.
    const FEW: usize = 2;
    let more = |line: &str, sign: char| line.matches(sign).count() > FEW.max(line.matches(',').count());
    let found = text.lines().enumerate().take(lines.end).skip(lines.start).find_map(|(index, line)| {
        let names = [(';', "semicolons"), ('\t', "tabs")];
        names.iter().find(|(sign, _)| more(line, *sign)).map(|(_, name)| (index + 1, *name))
    });
    found.map(|(line, name)| {
        let message = format!("The fields are separated by {name}.");
        error(source, line, &message, "save it with commas between the fields and points in the numbers")
    })
}

/// Remedy for a file whose frame is damaged.
pub(super) const RESTORE: &str = "restore the file as its publisher wrote it";

/// An error at a line of the file.
pub(super) fn error(source: &str, line: usize, message: &str, help: &str) -> Problem {
    Problem::new(Severity::Error, message).help(help).at_line(source, line)
}

/// Fields of the first line of a text, trimmed, quotes taken off.
pub(super) fn fields(text: &str) -> Vec<String> {
    // A reader of CSV lays out a table of states first, which costs more than most heads of files.
    match text.split(['\n', '\r']).next() {
        Some(line) if !line.is_empty() && !line.contains(['"', '\u{feff}']) => {
            line.split(',').map(|field| field.trim().to_owned()).collect()
        }
        _ => quoted_fields(text),
    }
}

fn quoted_fields(text: &str) -> Vec<String> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    reader
        .records()
        .next()
        .and_then(Result::ok)
        .map_or_else(Vec::new, |r| r.iter().map(str::to_owned).collect())
}

/// The part of a text that begins with its line `number` (the first is 1); empty if there is none.
pub(super) fn from_line(text: &str, number: usize) -> &str {
    let mut rest = text;
    for _ in 1..number {
        rest = rest.split_once('\n').map_or("", |(_, rest)| rest);
    }
    rest
}

/// The fields of a row, each trimmed when it is asked for: files have many columns that nobody looks at.
#[derive(Clone, Copy)]
pub(super) struct Fields<'r>(&'r StringRecord);

impl<'r> Fields<'r> {
    /// A field; empty where the row is too short.
    pub(super) fn get(self, index: usize) -> &'r str {
        self.0.get(index).unwrap_or("").trim()
    }

    fn any(self) -> bool {
        (0..self.0.len()).any(|index| !self.get(index).is_empty())
    }
}

/// Calls `row` with line number and fields for every row after the header at `header_line`, until it returns false.
pub(super) fn for_each_row(text: &str, header_line: usize, mut row: impl FnMut(usize, Fields<'_>) -> bool) {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .from_reader(from_line(text, header_line + 1).as_bytes());
    let mut record = StringRecord::new();
    while let Ok(true) = reader.read_record(&mut record) {
        let line = record.position().map_or(0, |p| p.line() as usize) + header_line;
        let fields = Fields(&record);
        if fields.any() && !row(line, fields) {
            break;
        }
    }
}

/// Position of a named column; names compare without regard to case and spaces.
pub(super) fn column(names: &[String], wanted: &str) -> Option<usize> {
    let squeeze = |s: &str| s.chars().filter(|c| !c.is_whitespace()).collect::<String>().to_lowercase();
    let wanted = squeeze(wanted);
    names.iter().position(|name| squeeze(name) == wanted)
}

/// A measured number: `None` is text that is no number; NaN a gap (empty field, or a sentinel such as -9900 or 9999).
///
/// No irradiance, temperature, humidity or wind speed lies at or below -900 or at or above 9999, so one rule serves every
/// layout's sentinel. Minus zero becomes zero.
pub(super) fn number(field: &str) -> Option<f64> {
    if field.is_empty() || field.eq_ignore_ascii_case("nan") {
        return Some(f64::NAN);
    }
    let value: f64 = field.parse().ok()?;
    if !value.is_finite() || value <= -900.0 || value >= 9999.0 {
        return Some(f64::NAN);
    }
    Some(value + 0.0)
}

/// Time of day in s from `1:00`, `01:00`, `24:00:00`.
pub(super) fn time_of_day(text: &str) -> Option<i64> {
    let mut parts = text.split(':').map(|p| p.trim().parse::<u32>().ok().map(i64::from));
    let hour = parts.next()??;
    let minute = parts.next()??;
    let second = parts.next().unwrap_or(Some(0))?;
    if parts.next().is_some() || minute > 59 || second > 59 {
        return None;
    }
    Some(hour * 3600 + minute * 60 + second)
}

/// Stamp from a date `MM/DD/YYYY` and a time of day.
pub(super) fn us_stamp(date: &str, time: &str) -> Option<Stamp> {
    let mut parts = date.split('/').map(|p| p.trim().parse::<u32>().ok());
    let (month, day) = (parts.next()??, parts.next()??);
    Stamp::new(month, day, time_of_day(time)?)
}

/// Dew point in degC from air temperature and relative humidity.
///
/// Units: degC, percent. Valid from about -40 to 50 degC; humidity below 1 % counts as 1 %.
/// Source: Magnus form with the constants of Alduchov & Eskridge 1996, J. Appl. Meteor. 35, 601-609.
pub fn dew_point_c(air_c: f64, humidity_pct: f64) -> f64 {
    let (a, b_c) = (17.625, 243.04);
    let g = libm::log(humidity_pct.clamp(1.0, 100.0) / 100.0) + a * air_c / (b_c + air_c);
    b_c * g / (a - g)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn a_line_without_quotes_has_the_fields_of_csv(text in "[a7\u{e9} \t,;\"\n\r\u{feff}]{0,12}") {
            prop_assert_eq!(fields(&text), quoted_fields(&text));
        }
    }

    #[test]
    fn sentinels_and_empty_fields_are_gaps_and_minus_zero_is_zero() {
        for gap in ["", "-9900", "-999", "9999", "-9999.9", "99999", "NaN"] {
            assert!(number(gap).is_some_and(f64::is_nan), "{gap}");
        }
        assert_eq!(number("-0.0").map(f64::is_sign_negative), Some(false));
        assert_eq!(number("1.7000000000000002"), Some(1.7000000000000002));
        assert_eq!(number("7,5"), None);
        assert_eq!(number("n/a"), None);
    }

    #[test]
    fn resaved_times_are_read() {
        assert_eq!(time_of_day("1:00"), Some(3600));
        assert_eq!(time_of_day("24:00:00"), Some(86_400));
        assert_eq!(time_of_day("12"), None);
        assert_eq!(us_stamp("1/1/1987", "24:00:00").map(Stamp::second_of_year), Some(86_400));
    }

    #[test]
    fn dew_point_equals_air_temperature_in_saturated_air() {
        assert!((dew_point_c(12.3, 100.0) - 12.3).abs() < 1e-9);
        // 20 degC at 50 %: 9.27 degC by the formula itself, 9.26 to 9.3 in humidity tables.
        assert!((dew_point_c(20.0, 50.0) - 9.27).abs() < 0.03);
    }
}
