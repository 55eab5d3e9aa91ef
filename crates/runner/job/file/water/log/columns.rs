//! The columns of a log and what its rows hold.

use csv::StringRecord;

use super::super::events::{Amount, amount, whole_seconds};
use super::time::{self, Told};
use crate::draws::clock::{DAY_S, DAYS_PER_YEAR};
use crate::job::quantity::{Kind, nearest, parse};
use crate::job::{DatedEvent, Purpose};
use crate::problem::{Problem, Severity};

/// The columns.
const COLUMNS: [&str; 9] =
    ["time", "date", "day", "second", "volume", "duration", "flow", "temperature", "for"];

/// What is possible of a draw, as for those listed in the job.
const VOLUME: (&str, &str) = ("0 gal", "2000 gal");
const DURATION: (&str, &str) = ("0 s", "12 h");
const FLOW: (&str, &str) = ("0 gpm", "100 gpm");
const LEVEL: (&str, &str) = ("50 F", "200 F");

/// What a row holds.
pub(super) enum Row {
    /// A draw, and whether its flow was assumed.
    Draw(DatedEvent, bool),
    LeapDay,
    NoWater,
}

/// Where the columns stand.
pub(super) struct Columns {
    delimiter: u8,
    /// Line of the names, first is 1.
    header_line: usize,
    /// Index and unit of each of [`COLUMNS`].
    found: [Option<(usize, String)>; COLUMNS.len()],
    /// Names of columns that are not read.
    pub(super) unread: Vec<String>,
}

impl Columns {
    pub(super) fn read(name: &str, text: &str) -> Result<Self, Vec<Problem>> {
        let fault = |line: usize, what: String, help: String| {
            vec![Problem::new(Severity::Error, what).help(help).at_line(name, line)]
        };
        let filled = text.lines().enumerate().find(|(_, line)| !line.trim().is_empty());
        let Some((index, header)) = filled else {
            return Err(fault(1, "the file of draws is empty".into(), example()));
        };
        let delimiter = if header.contains(';') { b';' } else { b',' };
        let line = index + 1;
        let mut found: [Option<(usize, String)>; COLUMNS.len()] = Default::default();
        let mut unread = Vec::new();
        for (i, cell) in header.split(char::from(delimiter)).enumerate() {
            let cell = cell.trim().trim_matches('"').to_lowercase().replace(['_', '(', ')', '[', ']'], " ");
            let (word, unit) = cell.trim().split_once(' ').unwrap_or((cell.trim(), ""));
            match COLUMNS.iter().position(|column| *column == word) {
                Some(column) if found[column].is_some() => {
                    let what = format!("there are two columns of `{word}`");
                    return Err(fault(line, what, "leave one out".into()));
                }
                Some(column) => found[column] = Some((i, unit.trim().to_owned())),
                // A short word is near too many others: `note` is no misspelt `date`.
                None => match nearest(word, COLUMNS).filter(|_| word.len() > 4) {
                    Some(near) => {
                        let what = format!("the column `{word}` is not known");
                        return Err(fault(line, what, format!("did you mean `{near}`?")));
                    }
                    None => unread.push(word.to_owned()),
                },
            }
        }
        unread.retain(|word| !word.is_empty());
        let columns = Self { delimiter, header_line: line, found, unread };
        let has = |column: &str| columns.place(column).is_some();
        if !has("time") && !has("second") {
            return Err(fault(line, "no column says when water was drawn".into(), example()));
        }
        if !(has("volume") || has("duration") && has("flow")) {
            return Err(fault(line, "no column says how much was drawn".into(), example()));
        }
        Ok(columns)
    }

    fn place(&self, column: &str) -> Option<&(usize, String)> {
        self.found[COLUMNS.iter().position(|known| *known == column)?].as_ref()
    }

    /// Rows below the names with their lines.
    pub(super) fn rows<'t>(&self, text: &'t str) -> impl Iterator<Item = (usize, StringRecord)> + use<'t> {
        let skip = self.header_line;
        csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .trim(csv::Trim::All)
            .delimiter(self.delimiter)
            .from_reader(text.as_bytes())
            .into_records()
            .filter_map(Result::ok)
            .map(|row| (row.position().map_or(0, |place| place.line() as usize), row))
            .filter(move |(line, row)| *line > skip && row.iter().any(|field| !field.is_empty()))
    }

    /// A field of a row; `None` if the column or the field is not there.
    fn field<'r>(&self, row: &'r StringRecord, column: &str) -> Option<&'r str> {
        self.place(column).and_then(|(index, _)| row.get(*index)).filter(|field| !field.is_empty())
    }

    /// A quantity with the unit of its field or of the column, in SI.
    fn quantity(
        &self,
        row: &StringRecord,
        column: &'static str,
        kind: Kind,
        (low, high): (&str, &str),
    ) -> Result<Option<f64>, Told> {
        let Some(field) = self.field(row, column) else { return Ok(None) };
        let unit = self.place(column).map_or("", |(_, unit)| unit);
        let bare = field.ends_with(|c: char| c.is_ascii_digit() || c == '.');
        let whole = if bare { format!("{field} {unit}") } else { field.to_owned() };
        let found = parse(&whole, &[kind]).map_err(|fault| {
            let help = format!("write a column name like `{column} {}` above plain numbers", unit_of(kind));
            (format!("{column}: {}", fault.message), fault.help.unwrap_or(help))
        })?;
        let limit = |words: &str| parse(words, &[kind]).map_or(f64::NAN, |limit| limit.si);
        if found.si < limit(low) || found.si > limit(high) {
            return Err((
                format!("`{column}` cannot be {}", whole.trim()),
                format!("possible: {low} to {high}"),
            ));
        }
        Ok(Some(found.si))
    }

    pub(super) fn draw(&self, row: &StringRecord, use_c: f64) -> Result<Row, Told> {
        let Some((day, start_s)) = self.start(row)? else { return Ok(Row::LeapDay) };
        let purpose = self.purpose(row)?;
        let volume = self.quantity(row, "volume", Kind::Volume, VOLUME)?;
        let duration = self.quantity(row, "duration", Kind::Duration, DURATION)?;
        let mut flow = self.quantity(row, "flow", Kind::VolumeFlow, FLOW)?;
        let level = self.quantity(row, "temperature", Kind::Level, LEVEL)?;
        if [volume, duration, flow].contains(&Some(0.0)) {
            return Ok(Row::NoWater);
        }
        if volume.is_some() && duration.is_some() {
            // Meters that log all three round their flow most.
            flow = None;
        }
        match amount(volume, duration, flow, purpose) {
            Amount::Known(duration_s, flow_m3_s, assumed) => {
                let event = whole_seconds(start_s, duration_s, flow_m3_s, level.unwrap_or(use_c), purpose);
                Ok(Row::Draw(DatedEvent { day, event }, assumed))
            }
            Amount::TooMuch | Amount::TooLittle => Err((
                "the row does not say how much was drawn".into(),
                "fill in the volume, or duration and flow".into(),
            )),
        }
    }

    /// Day of the year and seconds after its midnight; `None` on 29 February.
    fn start(&self, row: &StringRecord) -> Result<Option<(u32, u32)>, Told> {
        let need = |column: &str| {
            let missing = || (format!("the row has no {column}"), format!("fill in the column `{column}`"));
            self.field(row, column).ok_or_else(missing)
        };
        if self.place("time").is_none() {
            let field = need("second")?;
            let second =
                field.parse::<f64>().ok().filter(|s| (0.0..f64::from(DAYS_PER_YEAR * DAY_S)).contains(s));
            let second = second.ok_or_else(|| {
                (format!("`{field}` is no second of the year"), "a number from 0 to 31,535,999".to_owned())
            })? as u32;
            return Ok(Some((second / DAY_S + 1, second % DAY_S)));
        }
        let time = need("time")?;
        let (date, clock) = if self.place("date").is_some() {
            (time::date(need("date")?)?, time)
        } else if self.place("day").is_some() {
            let field = need("day")?;
            let day = field.parse().ok().filter(|day| (1..=DAYS_PER_YEAR).contains(day));
            let day = day.ok_or_else(|| {
                (format!("`{field}` is no day of the year"), "a whole number from 1 to 365".to_owned())
            })?;
            (Some(day), time)
        } else {
            time::split(time)?
        };
        let clock_s = time::clock_s(clock)?;
        // 24:00 is the next day's midnight.
        Ok(date.map(|day| ((day - 1 + clock_s / DAY_S) % DAYS_PER_YEAR + 1, clock_s % DAY_S)))
    }

    fn purpose(&self, row: &StringRecord) -> Result<Purpose, Told> {
        let Some(field) = self.field(row, "for") else { return Ok(Purpose::Other) };
        let known = Purpose::WORDS.iter().find(|(word, _)| word.eq_ignore_ascii_case(field));
        known.map(|(_, purpose)| *purpose).ok_or_else(|| {
            let words = Purpose::WORDS.map(|(word, _)| word);
            let help = match nearest(field, words) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => format!("one of: {}", words.join(", ")),
            };
            (format!("`{field}` is no purpose of a draw"), help)
        })
    }
}

/// The unit in the example of a kind.
fn unit_of(kind: Kind) -> &'static str {
    kind.example().split_once(' ').map_or("", |(_, unit)| unit)
}

fn example() -> String {
    "the first line names the columns, for example: time, volume gal, duration s, temperature F, for"
        .to_owned()
}
