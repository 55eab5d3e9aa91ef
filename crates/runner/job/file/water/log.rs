//! `file = "draws.csv"`: draws as a meter or a notebook logged them, from the job file's folder.
//!
//! One row a draw under a line of column names, in any order, separated by commas or semicolons:
//!
//! | column | holds |
//! |---|---|
//! | `time` | `03-05 06:30`, `2026-03-05 06:30:15`, `3/5/2026 6:30 am`; only the time of day beside `date` or `day` |
//! | `date`, `day` | `03-05`, `2026-03-05`, `3/5/2026`, `Mar 5`; day of the year, 1 to 365 |
//! | `second` | in place of a time: seconds after 1 January 00:00 |
//! | `volume`, `duration`, `flow` | any two, or the volume alone |
//! | `temperature` | at the tap; where it is missing, that of `[hot_water]` |
//! | `for` | shower, bath, sink, dishwasher, laundry, other |
//!
//! A unit stands behind the name, as in `volume gal`, or in each field. Times are those of the house's clock; the year is
//! not looked at, and rows of 29 February are left out, as are rows without water. Other columns are not read.

use std::collections::BTreeMap;

use csv::StringRecord;

use super::super::section::Section;
use super::events::{Amount, USUAL_FLOW, amount, whole_seconds};
use super::{in_words, log_time};
use crate::draws::clock::{DAY_S, DAYS_PER_YEAR};
use crate::job::quantity::{Kind, nearest, parse, when};
use crate::job::{DatedEvent, Pattern, Purpose};
use crate::problem::{Problem, Severity};
use crate::weather::plain_text;

/// The columns.
const COLUMNS: [&str; 9] =
    ["time", "date", "day", "second", "volume", "duration", "flow", "temperature", "for"];

/// Faults told one by one; more of them say nothing new.
const MOST_TOLD: usize = 8;

/// What is possible of a draw, as for those listed in the job.
const VOLUME: (&str, &str) = ("0 gal", "2000 gal");
const DURATION: (&str, &str) = ("0 s", "12 h");
const FLOW: (&str, &str) = ("0 gpm", "100 gpm");
const LEVEL: (&str, &str) = ("50 F", "200 F");

/// Days without a draw in a row that are doubted.
const LONG_GAP_DAYS: u32 = 31;

/// Reads the file a job names.
pub(super) fn read(section: &Section<'_>, use_c: f64) -> Pattern {
    let repeats = section.choice(
        "repeat",
        &[("no", false), ("yes", true)],
        ("no", "days outside the log draw nothing unless said otherwise"),
    );
    let text = |text: &str| Ok(text.trim().to_string());
    let Some(file) = section.words("file", text, |_| String::new()) else {
        return Pattern::Dated(Vec::new());
    };
    let path = section.beside(&file);
    let name = path.display().to_string();
    let bytes = match std::fs::read(&path) {
        Ok(bytes) => bytes,
        Err(error) => {
            let problem =
                Problem::new(Severity::Error, format!("cannot read the file of draws {name}: {error}"))
                    .label("this file")
                    .help("its path counts from the job file's folder");
            section.report("file", problem);
            return Pattern::Dated(Vec::new());
        }
    };
    match plain_text(&name, &bytes).and_then(|text| Log::read(&name, &text, use_c)) {
        Ok(log) => {
            section.report_elsewhere(log.doubts(&name, repeats));
            let rows = log.draws.len();
            let all = in_words(log.draws.iter().map(|dated| dated.event.volume_m3()).sum());
            let source = "read from the file of draws";
            section.note(
                "logged",
                format!("{rows} draws, {all}, {}", log.span(log.length)),
                None,
                Some(source),
            );
            if log.flows_assumed {
                section.note("flow", "by purpose", None, Some(USUAL_FLOW));
            }
            Pattern::Dated(if repeats { log.repeated() } else { log.draws })
        }
        Err(problems) => {
            section.report_elsewhere(problems);
            Pattern::Dated(Vec::new())
        }
    }
}

/// A log as it was read.
struct Log {
    /// In order of time; at least one.
    draws: Vec<DatedEvent>,
    /// First day of the shortest stretch of days, over the turn of the year if need be, that holds all draws.
    first: u32,
    /// Its length in days.
    length: u32,
    /// Days within that stretch in a row without a draw, at most.
    gap: u32,
    leap_rows: usize,
    flows_assumed: bool,
}

impl Log {
    fn read(name: &str, text: &str, use_c: f64) -> Result<Self, Vec<Problem>> {
        // One kind of line end, so that lines are counted right.
        let text = text.replace("\r\n", "\n").replace('\r', "\n");
        let columns = Columns::read(name, &text)?;
        let mut log =
            Log { draws: Vec::new(), first: 1, length: 0, gap: 0, leap_rows: 0, flows_assumed: false };
        let mut problems = Vec::new();
        for (line, row) in columns.rows(&text) {
            match columns.draw(&row, use_c) {
                Ok(Row::Draw(draw, assumed)) => {
                    log.draws.push(draw);
                    log.flows_assumed |= assumed;
                }
                Ok(Row::LeapDay) => log.leap_rows += 1,
                Ok(Row::NoWater) => {}
                Err((what, help)) => {
                    problems.push(Problem::new(Severity::Error, what).help(help).at_line(name, line));
                }
            }
        }
        if log.draws.is_empty() && problems.is_empty() {
            let help = "below the column names belongs one row for each draw";
            problems
                .push(Problem::new(Severity::Error, "the file holds no draws").help(help).at_line(name, 1));
        }
        if problems.len() > MOST_TOLD {
            let more = problems.len() - MOST_TOLD;
            let line = problems[MOST_TOLD].place.as_ref().map_or(1, |place| place.line);
            problems.truncate(MOST_TOLD);
            let what = format!("{more} more rows from here on are not understood");
            problems.push(Problem::new(Severity::Error, what).at_line(name, line));
        }
        if !problems.is_empty() {
            return Err(problems);
        }
        log.draws.sort_by_key(|dated| (dated.day, dated.event.start_s));
        log.measure();
        Ok(log)
    }

    /// Finds the stretch of days and its longest gap.
    fn measure(&mut self) {
        let mut days: Vec<u32> = self.draws.iter().map(|dated| dated.day).collect();
        days.dedup();
        // Days without a draw after each day with one, around the year.
        let next = days.iter().skip(1).copied().chain([days[0] + DAYS_PER_YEAR]);
        let mut gaps: Vec<(u32, u32)> =
            days.iter().zip(next).map(|(day, next)| (next - day - 1, next)).collect();
        gaps.sort_unstable();
        let (longest, after) = gaps.pop().unwrap_or((DAYS_PER_YEAR - 1, days[0]));
        self.first = (after - 1) % DAYS_PER_YEAR + 1;
        self.length = DAYS_PER_YEAR - longest;
        self.gap = gaps.pop().map_or(0, |(gap, _)| gap);
    }

    /// The first so many days of the stretch, in words.
    fn span(&self, days: u32) -> String {
        let last = (self.first + days - 2) % DAYS_PER_YEAR + 1;
        format!("{} - {}", when::date_words(self.first), when::date_words(last))
    }

    /// Days of the stretch that repeat: whole weeks if there are any.
    fn period(&self) -> u32 {
        if self.length < 7 { self.length } else { self.length - self.length % 7 }
    }

    /// The draws of the log's first whole weeks, over and over from its first day around the year.
    fn repeated(&self) -> Vec<DatedEvent> {
        let mut by_offset: BTreeMap<u32, Vec<&DatedEvent>> = BTreeMap::new();
        for dated in &self.draws {
            by_offset
                .entry((dated.day + DAYS_PER_YEAR - self.first) % DAYS_PER_YEAR)
                .or_default()
                .push(dated);
        }
        let of_day = |day: u32| {
            let offset = (day + DAYS_PER_YEAR - self.first) % DAYS_PER_YEAR % self.period();
            let same = by_offset.get(&offset).into_iter().flatten();
            same.map(move |dated| DatedEvent { day, event: dated.event.clone() })
        };
        (1..=DAYS_PER_YEAR).flat_map(of_day).collect()
    }

    /// What a reader should know of the log.
    fn doubts(&self, name: &str, repeats: bool) -> Vec<Problem> {
        let mut doubts = Vec::new();
        let mut doubt = |severity, what: String, help: &str| {
            let problem = Problem::new(severity, what).at_line(name, 1);
            doubts.push(if help.is_empty() { problem } else { problem.help(help) });
        };
        let outside = DAYS_PER_YEAR - self.length;
        if repeats && outside > 0 {
            let days = self.period();
            let what = format!("{days} days of the log, {}, stand for the whole year", self.span(days));
            doubt(Severity::Note, what, "");
        } else if outside > LONG_GAP_DAYS {
            let covered = self.span(self.length);
            let what = format!("the log covers {covered} only: nothing is drawn on the other {outside} days");
            doubt(Severity::Warning, what, "write repeat = \"yes\" to let its weeks stand for the year");
        }
        if self.gap > LONG_GAP_DAYS {
            let what = format!("the log has no draw on {} days in a row", self.gap);
            doubt(Severity::Warning, what, "was nobody at home, or the meter off?");
        }
        if self.leap_rows > 0 {
            let what =
                format!("{} rows of February 29 are left out: every year has 365 days", self.leap_rows);
            doubt(Severity::Note, what, "");
        }
        doubts
    }
}

/// What a row holds.
enum Row {
    /// A draw, and whether its flow was assumed.
    Draw(DatedEvent, bool),
    LeapDay,
    NoWater,
}

/// A message and its remedy.
type Told = (String, String);

/// Where the columns stand.
struct Columns {
    delimiter: u8,
    /// Line of the names, first is 1.
    header_line: usize,
    /// Index and unit of each of [`COLUMNS`].
    found: [Option<(usize, String)>; COLUMNS.len()],
}

impl Columns {
    fn read(name: &str, text: &str) -> Result<Self, Vec<Problem>> {
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
        for (i, cell) in header.split(char::from(delimiter)).enumerate() {
            let cell = cell.trim().trim_matches('"').to_lowercase().replace(['_', '(', ')', '[', ']'], " ");
            let (word, unit) = cell.trim().split_once(' ').unwrap_or((cell.trim(), ""));
            match COLUMNS.iter().position(|column| *column == word) {
                Some(column) if found[column].is_some() => {
                    let what = format!("there are two columns of `{word}`");
                    return Err(fault(line, what, "leave one out".into()));
                }
                Some(column) => found[column] = Some((i, unit.trim().to_owned())),
                None => {
                    if let Some(near) = nearest(word, COLUMNS) {
                        let what = format!("the column `{word}` is not known");
                        return Err(fault(line, what, format!("did you mean `{near}`?")));
                    }
                }
            }
        }
        let columns = Self { delimiter, header_line: line, found };
        let has = |column: &str| columns.place(column).is_some();
        if !has("time") && !has("second") {
            return Err(fault(line, "no column says when water was drawn".into(), example()));
        }
        if !has("volume") && !(has("duration") && has("flow")) {
            return Err(fault(line, "no column says how much was drawn".into(), example()));
        }
        Ok(columns)
    }

    fn place(&self, column: &str) -> Option<&(usize, String)> {
        self.found[COLUMNS.iter().position(|known| *known == column)?].as_ref()
    }

    /// Rows below the names with their lines.
    fn rows<'t>(&self, text: &'t str) -> impl Iterator<Item = (usize, StringRecord)> + use<'t> {
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

    fn draw(&self, row: &StringRecord, use_c: f64) -> Result<Row, Told> {
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
            (log_time::date(need("date")?)?, time)
        } else if self.place("day").is_some() {
            let field = need("day")?;
            let day = field.parse().ok().filter(|day| (1..=DAYS_PER_YEAR).contains(day));
            let day = day.ok_or_else(|| {
                (format!("`{field}` is no day of the year"), "a whole number from 1 to 365".to_owned())
            })?;
            (Some(day), time)
        } else {
            log_time::split(time)?
        };
        let clock_s = log_time::clock_s(clock)?;
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
