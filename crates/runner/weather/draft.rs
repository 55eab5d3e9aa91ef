//! From the rows of a file to a year of equal records in order, whatever the layout.

use std::collections::BTreeMap;

use super::calendar::{DAY_S, Stamp, YEAR_S, in_words};
use super::table::{Fields, RESTORE};
use super::{Layout, Site, WeatherYear};
use crate::problem::{Problem, Severity};

/// Quantities a file can hold, in the order of [`Row::values`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Quantity {
    Ghi,
    Dni,
    Dhi,
    Air,
    Wind,
    DewPoint,
    Humidity,
}

impl Quantity {
    pub(super) const COUNT: usize = 7;

    pub(super) const ALL: [Self; Self::COUNT] =
        [Self::Ghi, Self::Dni, Self::Dhi, Self::Air, Self::Wind, Self::DewPoint, Self::Humidity];

    /// Name for messages.
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Ghi => "global horizontal irradiance (GHI)",
            Self::Dni => "direct normal irradiance (DNI)",
            Self::Dhi => "diffuse horizontal irradiance (DHI)",
            Self::Air => "air temperature",
            Self::Wind => "wind speed",
            Self::DewPoint => "dew point",
            Self::Humidity => "relative humidity",
        }
    }

    /// Unit for messages.
    pub(super) fn unit(self) -> &'static str {
        match self {
            Self::Ghi | Self::Dni | Self::Dhi => "W/m2",
            Self::Air | Self::DewPoint => "degC",
            Self::Wind => "m/s",
            Self::Humidity => "%",
        }
    }

    /// Lowest and highest value that can be true for a record of a minute to an hour.
    ///
    /// Irradiance: night offsets of thermopile instruments reach some -30 W/m2; above, cloud edges can lift minutes of GHI
    /// past 1700 W/m2, and DNI stays below the solar constant. Temperature and wind: beyond the records on land at
    /// inhabited places. All from memory, wide on purpose: they are to catch wrong units and columns, not rare weather.
    pub(super) fn range(self) -> (f64, f64) {
        match self {
            Self::Ghi => (-30.0, 1900.0),
            Self::Dni => (-30.0, 1420.0),
            Self::Dhi => (-30.0, 1000.0),
            Self::Air => (-75.0, 60.0),
            Self::Wind => (0.0, 75.0),
            Self::DewPoint => (-90.0, 40.0),
            Self::Humidity => (0.0, 110.0),
        }
    }
}

/// One row of a file. NaN is a gap.
#[derive(Clone, Debug)]
pub(super) struct Row {
    /// Line in the file.
    pub(super) line: usize,
    /// The stamp, in s of the year, in the zone the file writes.
    pub(super) stamp_s: i64,
    /// Values by [`Quantity`].
    pub(super) values: [f64; Quantity::COUNT],
}

/// Where a record begins, seen from its stamp.
#[derive(Clone, Copy, Debug)]
pub(super) struct Anchor {
    /// Record lengths from the stamp to the start: 0 for "start", -1 for "end", -0.5 for "centred".
    pub(super) intervals: f64,
    /// Seconds on top.
    pub(super) seconds: f64,
}

/// Rows as a reader found them.
pub(super) struct Draft {
    pub(super) source: String,
    pub(super) layout: Layout,
    pub(super) site: Site,
    pub(super) made: bool,
    pub(super) anchor: Anchor,
    /// Local standard time minus the zone of the stamps, in s.
    pub(super) zone_shift_s: f64,
    /// Columns the file has, by [`Quantity`].
    pub(super) has: [bool; Quantity::COUNT],
    pub(super) rows: Vec<Row>,
    pub(super) problems: Vec<Problem>,
    leap_rows: usize,
    bad_stamps: Fault,
    bad_numbers: Fault,
}

/// Repeated faults of one kind: how many, and where the first is.
#[derive(Default)]
struct Fault {
    count: usize,
    line: usize,
    text: String,
}

impl Fault {
    fn add(&mut self, line: usize, text: &str) {
        if self.count == 0 {
            (self.line, self.text) = (line, text.to_owned());
        }
        self.count += 1;
    }

    fn more(&self) -> String {
        if self.count > 1 { format!(" ({} such rows)", self.count) } else { String::new() }
    }
}

impl Draft {
    pub(super) fn new(source: &str, layout: Layout, site: Site, anchor: Anchor, columns: &[Column]) -> Self {
        let mut has = [false; Quantity::COUNT];
        for column in columns {
            has[column.quantity as usize] = true;
        }
        Self {
            source: source.to_owned(),
            layout,
            site,
            made: false,
            anchor,
            zone_shift_s: 0.0,
            has,
            rows: Vec::with_capacity(8760),
            problems: Vec::new(),
            leap_rows: 0,
            bad_stamps: Fault::default(),
            bad_numbers: Fault::default(),
        }
    }

    /// Adds a row: its stamp (or the text that is none) and its fields.
    pub(super) fn push(
        &mut self,
        line: usize,
        stamp: Result<Stamp, String>,
        fields: Fields<'_>,
        columns: &[Column],
    ) {
        let stamp = match stamp {
            Ok(stamp) if stamp.is_leap_day() => {
                self.leap_rows += 1;
                return;
            }
            Ok(stamp) => stamp,
            Err(text) => {
                self.bad_stamps.add(line, &text);
                return;
            }
        };
        let mut values = [f64::NAN; Quantity::COUNT];
        for column in columns {
            let text = fields.get(column.index);
            match super::table::number(text) {
                Some(value) => values[column.quantity as usize] = value * column.factor + column.offset,
                None => self.bad_numbers.add(line, text),
            }
        }
        self.rows.push(Row { line, stamp_s: stamp.second_of_year(), values });
    }

    fn error(&mut self, line: Option<usize>, message: String, help: &str) {
        let problem = Problem::new(Severity::Error, message).help(help);
        self.problems.push(match line {
            Some(line) => problem.at_line(self.source.as_str(), line),
            None => problem,
        });
    }

    /// Puts the rows in order and hands on the year, before any check of its values.
    pub(super) fn into_year(mut self) -> Result<Sorted, Vec<Problem>> {
        self.report_unreadable();
        let Some(interval_s) = self.interval_s() else {
            self.error(None, "The file holds no rows of data.".to_owned(), "get the whole file again");
            return Err(self.problems);
        };
        if !(60..=3600).contains(&interval_s) || 3600 % interval_s != 0 {
            let message = format!("The rows are {} min apart.", interval_s as f64 / 60.0);
            self.error(None, message, "the step must be 1 min to 1 h and divide the hour evenly");
            return Err(self.problems);
        }
        let step_s = interval_s as f64;
        let shift_s = self.anchor.intervals * step_s + self.anchor.seconds + self.zone_shift_s;
        // The grid's first start lies within half a record of 1 January 00:00; at the very border before it.
        let remainder_s = (self.rows[0].stamp_s as f64 + shift_s).rem_euclid(step_s);
        let first_start_s = if remainder_s >= 0.5 * step_s { remainder_s - step_s } else { remainder_s };
        let (lines, values) = self.place(interval_s, shift_s - first_start_s);
        if let Some(first) = lines.iter().position(|&line| line == 0) {
            let missing = lines.iter().filter(|&&line| line == 0).count();
            let when = in_words(libm::round(first_start_s + first as f64 * step_s - shift_s) as i64);
            let message = if missing == 1 {
                format!("The row for {when} is missing.")
            } else {
                format!("{missing} of {} rows are missing; the first is {when}.", lines.len())
            };
            let before = if first == 0 { None } else { Some(lines[first - 1]) };
            self.error(before, message, clock_hint(missing));
        }
        if self.problems.iter().any(|p| p.severity == Severity::Error) {
            return Err(self.problems);
        }
        if self.leap_rows > 0 {
            let rows = self.leap_rows;
            let message =
                format!("The {rows} rows of 29 February were left out: every year here has 365 days.");
            self.problems.push(Problem::new(Severity::Warning, message));
        }
        Ok(Sorted {
            source: self.source,
            layout: self.layout,
            site: self.site,
            made: self.made,
            has: self.has,
            lines,
            values,
            interval_s: interval_s as u32,
            first_start_s,
            problems: self.problems,
        })
    }

    fn report_unreadable(&mut self) {
        if self.bad_stamps.count > 0 {
            let message = format!(
                "Cannot read the date and time \"{}\"{}.",
                self.bad_stamps.text,
                self.bad_stamps.more()
            );
            self.error(Some(self.bad_stamps.line), message, RESTORE);
        }
        if self.bad_numbers.count > 0 {
            let message =
                format!("\"{}\" is not a number{}.", self.bad_numbers.text, self.bad_numbers.more());
            let help = "use a point for decimals, and leave a missing value empty";
            self.error(Some(self.bad_numbers.line), message, help);
        }
    }

    /// Lines (0 for none) and values of all records in order; `shift_s` leads from a stamp to the start of its record, seen
    /// from the start of record 0. Rows between the records and repeated ones are reported.
    fn place(&mut self, interval_s: i64, shift_s: f64) -> (Vec<usize>, Vec<[f64; Quantity::COUNT]>) {
        let step_s = interval_s as f64;
        let count = (YEAR_S / interval_s) as usize;
        let mut lines = vec![0_usize; count];
        let mut values = vec![[f64::NAN; Quantity::COUNT]; count];
        let (mut repeated, mut off_grid) = (Fault::default(), Fault::default());
        let mut first_repeated = 0;
        for row in &self.rows {
            let steps = (row.stamp_s as f64 + shift_s) / step_s;
            let whole = libm::round(steps);
            if (steps - whole).abs() * step_s > 1.0 {
                off_grid.add(row.line, &in_words(row.stamp_s));
                continue;
            }
            let record = (whole as i64).rem_euclid(count as i64) as usize;
            if lines[record] > 0 {
                if repeated.count == 0 {
                    first_repeated = lines[record];
                }
                repeated.add(row.line, &in_words(row.stamp_s));
                continue;
            }
            lines[record] = row.line;
            values[record] = row.values;
        }
        if off_grid.count > 0 {
            let minutes = interval_s / 60;
            let message = format!(
                "The stamp {} does not fit the step of {minutes} min{}.",
                off_grid.text,
                off_grid.more()
            );
            self.error(Some(off_grid.line), message, "every row must be one step after the row before it");
        }
        if repeated.count > 0 {
            let message =
                format!("{} was there before, in line {first_repeated}{}.", repeated.text, repeated.more());
            self.error(Some(repeated.line), message, clock_hint(repeated.count));
        }
        (lines, values)
    }

    /// Turns columns given as energy per step into the mean power over the step.
    pub(super) fn energy_to_power(&mut self, energy: &[bool; Quantity::COUNT]) {
        let Some(interval_s) = self.interval_s() else { return };
        let factor = 3600.0 / interval_s as f64;
        for row in &mut self.rows {
            for (value, _) in row.values.iter_mut().zip(energy).filter(|(_, energy)| **energy) {
                *value *= factor;
            }
        }
    }

    /// The most common step between rows that follow each other in time, in s.
    fn interval_s(&self) -> Option<i64> {
        let mut steps: BTreeMap<i64, usize> = BTreeMap::new();
        let mut stamps_s: Vec<i64> = self.rows.iter().map(|row| row.stamp_s).collect();
        stamps_s.sort_unstable();
        for pair in stamps_s.windows(2) {
            let step = pair[1] - pair[0];
            if step == 0 || step > DAY_S {
                continue;
            }
            *steps.entry(step).or_default() += 1;
        }
        steps.into_iter().max_by_key(|&(_, count)| count).map(|(step, _)| step)
    }
}

/// Remedy for rows that are missing or there twice.
fn clock_hint(rows: usize) -> &'static str {
    if rows <= 4 {
        "weather runs on standard time all year: is this a daylight-saving change?"
    } else {
        "a full year of 365 days is needed, each hour once; get the whole file again"
    }
}

/// Where a quantity stands in a row, and the linear conversion to its unit here.
#[derive(Clone, Copy, Debug)]
pub(super) struct Column {
    pub(super) quantity: Quantity,
    pub(super) index: usize,
    pub(super) factor: f64,
    pub(super) offset: f64,
}

impl Column {
    /// A column in its unit here already.
    pub(super) fn plain(quantity: Quantity, index: usize) -> Self {
        Self { quantity, index, factor: 1.0, offset: 0.0 }
    }
}

/// Finds the named columns; those not found are simply absent.
pub(super) fn columns(names: &[String], wanted: &[(Quantity, &str)]) -> Vec<Column> {
    wanted
        .iter()
        .filter_map(|&(quantity, name)| super::table::column(names, name).map(|i| Column::plain(quantity, i)))
        .collect()
}

/// All records in their places, gaps still NaN.
pub(super) struct Sorted {
    pub(super) source: String,
    pub(super) layout: Layout,
    pub(super) site: Site,
    pub(super) made: bool,
    /// Columns there are, by [`Quantity`].
    pub(super) has: [bool; Quantity::COUNT],
    /// Line of each record in the file.
    pub(super) lines: Vec<usize>,
    /// Values of each record, by [`Quantity`].
    pub(super) values: Vec<[f64; Quantity::COUNT]>,
    pub(super) interval_s: u32,
    pub(super) first_start_s: f64,
    pub(super) problems: Vec<Problem>,
}

impl Sorted {
    /// An error at the line of a record.
    pub(super) fn error(&self, record: usize, message: &str, help: &str) -> Problem {
        super::table::error(&self.source, self.lines[record], message, help)
    }

    /// The year with its columns as they are, and the doubts so far.
    pub(super) fn into_weather(self) -> WeatherYear {
        let column = |q: Quantity| self.values.iter().map(|v| v[q as usize]).collect::<Vec<f64>>();
        let dew_point_c = if self.has[Quantity::DewPoint as usize] {
            column(Quantity::DewPoint)
        } else if self.has[Quantity::Humidity as usize] {
            self.values
                .iter()
                .map(|v| super::table::dew_point_c(v[Quantity::Air as usize], v[Quantity::Humidity as usize]))
                .collect()
        } else {
            Vec::new()
        };
        WeatherYear {
            ghi_w_m2: column(Quantity::Ghi),
            dni_w_m2: column(Quantity::Dni),
            dhi_w_m2: column(Quantity::Dhi),
            air_c: column(Quantity::Air),
            wind_m_s: column(Quantity::Wind),
            dew_point_c,
            site: self.site,
            layout: self.layout,
            source: self.source,
            made: self.made,
            interval_s: self.interval_s,
            first_start_s: self.first_start_s,
            warnings: self.problems,
        }
    }
}
