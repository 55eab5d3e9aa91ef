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

mod columns;
mod time;

use std::collections::BTreeMap;

use self::columns::{Columns, Row};
use super::super::section::Section;
use super::events::USUAL_FLOW;
use super::in_words;
use crate::draws::clock::DAYS_PER_YEAR;
use crate::job::quantity::when;
use crate::job::{DatedEvent, Pattern};
use crate::problem::{Problem, Severity};
use crate::weather::plain_text;
use crate::whole_file;

/// Faults told one by one; more of them say nothing new.
const MOST_TOLD: usize = 8;

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
    let bytes = match whole_file::read(&path) {
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
    /// Names of columns that are not read.
    unread: Vec<String>,
}

impl Log {
    fn read(name: &str, text: &str, use_c: f64) -> Result<Self, Vec<Problem>> {
        let columns = Columns::read(name, text)?;
        let mut log = Log {
            draws: Vec::new(),
            first: 1,
            length: 0,
            gap: 0,
            leap_rows: 0,
            flows_assumed: false,
            unread: Vec::new(),
        };
        let mut problems = Vec::new();
        for (line, row) in columns.rows(text) {
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
        log.unread = columns.unread;
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
        if !self.unread.is_empty() {
            doubt(Severity::Note, format!("columns that are not read: {}", self.unread.join(", ")), "");
        }
        doubts
    }
}
