//! Reads one section of a job file: takes keys as quantities, words or spans of time, keeps every fault with its place, and
//! writes down what was understood.
//!
//! A value that is missing or faulty never stops the reading. A faulty quantity becomes "not a number": comparisons with
//! it are false, so one fault does not drag others behind it, and a job with a fault is never handed out.

mod ask;
mod idle;
mod pairs;

use std::borrow::Cow;
use std::cell::{Cell, RefCell};
use std::collections::{HashMap, HashSet};
use std::ops::Range;
use std::path::{Path, PathBuf};

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use self::ask::Ask;
use crate::job::Echo;
use crate::job::quantity::{Fault, Kind, nearest, parse};
use crate::problem::{Problem, Severity};

/// Faults and doubts of a file told one by one; more of them say nothing new.
pub(super) const MOST_TOLD: usize = 50;

/// Collects what all sections find.
pub(super) struct Reader<'t> {
    name: &'t str,
    text: &'t str,
    /// Folder from which the paths of other files count.
    folder: &'t Path,
    problems: RefCell<Vec<Problem>>,
    /// The gravest of those that came after so many.
    untold: Cell<Option<Severity>>,
    echo: RefCell<Vec<Echo>>,
    /// Every key asked for, by section; what a file holds beyond these is unknown.
    asked: RefCell<HashMap<String, HashSet<Cow<'static, str>>>>,
}

impl<'t> Reader<'t> {
    pub(super) fn new(name: &'t str, text: &'t str, folder: &'t Path) -> Self {
        Self {
            name,
            text,
            folder,
            problems: RefCell::default(),
            untold: Cell::default(),
            echo: RefCell::default(),
            asked: RefCell::default(),
        }
    }

    /// Takes a key for known.
    fn ask(&self, path: &str, key: Cow<'static, str>) {
        let mut asked = self.asked.borrow_mut();
        match asked.get_mut(path) {
            Some(keys) => drop(keys.insert(key)),
            None => drop(asked.insert(path.to_string(), HashSet::from([key]))),
        }
    }

    /// Keeps a problem; without a span it concerns the file.
    pub(super) fn report(&self, problem: Problem, span: Option<Range<usize>>) {
        if self.is_full(problem.severity) {
            return;
        }
        let placed = match span {
            Some(span) => problem.at_span(self.name, self.text, span),
            None => problem,
        };
        self.problems.borrow_mut().push(placed);
    }

    /// True, and noted, if enough is told already.
    fn is_full(&self, severity: Severity) -> bool {
        let full = self.problems.borrow().len() >= MOST_TOLD;
        if full {
            self.untold.set(self.untold.get().max(Some(severity)));
        }
        full
    }

    /// The whole file as a section.
    pub(super) fn root<'r>(&'r self, table: &'r DeTable<'r>) -> Section<'r> {
        Section { reader: self, path: String::new(), span: None, table: Some(table) }
    }

    /// Reports every key of the tree nobody asked for.
    pub(super) fn report_unknown(&self, path: &str, table: &DeTable<'_>) {
        for (key, value) in table {
            let name = key.get_ref().as_ref();
            let known = self.asked.borrow().get(path).is_some_and(|keys| keys.contains(name));
            if !known && self.is_full(Severity::Error) {
                return;
            }
            if !known {
                self.report(self.unknown(path, name, value.get_ref().is_table()), Some(key.span()));
                continue;
            }
            let below = join(path, name);
            match value.get_ref() {
                DeValue::Table(inner) => self.report_unknown(&below, inner),
                DeValue::Array(items) => {
                    for item in items.iter() {
                        if let DeValue::Table(inner) = item.get_ref() {
                            self.report_unknown(&below, inner);
                        }
                    }
                }
                _ => {}
            }
        }
    }

    fn unknown(&self, path: &str, name: &str, section: bool) -> Problem {
        let asked = self.asked.borrow();
        let mut here: Vec<&str> = asked.get(path).into_iter().flatten().map(Cow::as_ref).collect();
        here.sort_unstable();
        let what = match (path.is_empty(), section) {
            (true, true) => format!("`[{name}]` is not a section of a job"),
            (true, false) => format!("`{name}` is not a key of a job"),
            (false, _) => format!("`{name}` is not a key of [{path}]"),
        };
        let mut elsewhere: Vec<&str> = asked
            .iter()
            .filter(|(at, keys)| !at.is_empty() && keys.contains(name))
            .map(|(at, _)| at.as_str())
            .collect();
        elsewhere.sort_unstable();
        let help = match nearest(name, here.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None if !elsewhere.is_empty() => format!("`{name}` is known in [{}]", elsewhere.join("], [")),
            None => format!("known here: {}", here.join(", ")),
        };
        Problem::new(Severity::Error, what).label("unknown").help(help)
    }

    /// Everything found: problems in the order of the file, and the echo.
    pub(super) fn finish(self) -> (Vec<Problem>, Vec<Echo>) {
        let mut problems = self.problems.into_inner();
        let start = |problem: &Problem| {
            problem.place.as_ref().and_then(|place| place.span.as_ref()).map(|span| span.start)
        };
        problems.sort_by_key(start);
        // Sections are opened more than once; what is wrong with their head is said once.
        problems.dedup();
        if let Some(severity) = self.untold.get() {
            problems.push(Problem::new(severity, "there is more to tell than is shown"));
        }
        (problems, self.echo.into_inner())
    }
}

fn join(path: &str, key: &str) -> String {
    if path.is_empty() { key.to_string() } else { format!("{path}.{key}") }
}

/// A section of the file, or one that is not there and gives defaults only.
pub(super) struct Section<'r> {
    reader: &'r Reader<'r>,
    path: String,
    span: Option<Range<usize>>,
    table: Option<&'r DeTable<'r>>,
}

impl<'r> Section<'r> {
    fn entry(&self, key: &'static str) -> Option<&'r Spanned<DeValue<'r>>> {
        self.reader.ask(&self.path, Cow::Borrowed(key));
        self.table?.get(key)
    }

    /// True if the section stands in the file.
    pub(super) fn is_given(&self) -> bool {
        self.table.is_some()
    }

    /// True if the key stands in the section.
    pub(super) fn has(&self, key: &'static str) -> bool {
        self.entry(key).is_some()
    }

    /// Where the key's value stands, else the head of its section.
    pub(super) fn place(&self, key: &'static str) -> Option<Range<usize>> {
        self.entry(key).map(Spanned::span).or_else(|| self.span.clone())
    }

    /// A path as it counts from the job file's folder.
    pub(super) fn beside(&self, path: &str) -> PathBuf {
        self.reader.folder.join(path)
    }

    /// Reports problems of another file, which have their own place.
    pub(super) fn report_elsewhere(&self, problems: Vec<Problem>) {
        self.reader.problems.borrow_mut().extend(problems);
    }

    /// Faults of the file found so far.
    pub(super) fn faults(&self) -> usize {
        let problems = self.reader.problems.borrow();
        problems.iter().filter(|problem| problem.severity == Severity::Error).count()
    }

    /// Reports a problem at a key.
    pub(super) fn report(&self, key: &'static str, problem: Problem) {
        self.reader.report(problem, self.place(key));
    }

    fn fault(&self, fault: Fault, value: &Spanned<DeValue<'_>>) {
        let whole = value.span();
        let raw = &self.reader.text[whole.clone()];
        // Point into a plain string; a text with escapes is marked as a whole.
        let plain = value
            .get_ref()
            .as_str()
            .is_some_and(|text| raw.len() == text.len() + 2 && raw.get(1..=text.len()) == Some(text));
        let span = match plain && !fault.range.is_empty() {
            true => whole.start + 1 + fault.range.start..whole.start + 1 + fault.range.end,
            false => whole,
        };
        let mut problem = Problem::new(Severity::Error, fault.message).label(fault.label);
        problem.help = fault.help;
        self.reader.report(problem, Some(span));
    }

    /// Writes down what a key was understood to mean.
    pub(super) fn note(
        &self,
        key: &str,
        written: impl Into<String>,
        si: Option<(f64, &str)>,
        source: Option<&str>,
    ) {
        self.reader.echo.borrow_mut().push(Echo {
            key: join(&self.path, key),
            written: written.into(),
            si: si.map(|(value, _)| value),
            unit: si.map(|(_, unit)| unit.to_string()).unwrap_or_default(),
            default_source: source.map(str::to_string),
        });
    }

    /// A section inside this one; absent ones give defaults.
    pub(super) fn section(&self, key: &'static str) -> Section<'r> {
        let path = join(&self.path, key);
        let Some(value) = self.entry(key) else {
            return Section { reader: self.reader, path, span: self.span.clone(), table: None };
        };
        let table = value.get_ref().as_table();
        if table.is_none() {
            let help = format!("begin a section with the line [{path}] and write its keys below");
            let problem =
                Problem::new(Severity::Error, format!("`{key}` is a section, not a value")).help(help);
            self.reader.report(problem, Some(value.span()));
        }
        Section { reader: self.reader, path, span: Some(value.span()), table }
    }

    /// The sections of a list written with `[[...]]`; a single `[...]` counts as a list of one.
    pub(super) fn sections(&self, key: &'static str) -> Vec<Section<'r>> {
        let path = join(&self.path, key);
        let Some(value) = self.entry(key) else { return Vec::new() };
        let DeValue::Array(items) = value.get_ref() else { return vec![self.section(key)] };
        let mut found = Vec::new();
        for item in items.iter() {
            match item.get_ref().as_table() {
                Some(table) => {
                    found.push(Section {
                        reader: self.reader,
                        path: path.clone(),
                        span: Some(item.span()),
                        table: Some(table),
                    });
                }
                None => {
                    let problem = Problem::new(Severity::Error, format!("`{key}` is a list of sections"))
                        .help(format!("begin each with the line [[{path}]]"));
                    self.reader.report(problem, Some(item.span()));
                }
            }
        }
        found
    }

    /// Asks for a quantity of one of the kinds.
    pub(super) fn ask(&self, key: &'static str, kinds: &'static [Kind]) -> Ask<'_, 'r> {
        Ask::new(self, key, kinds)
    }

    /// Reads a key's text with `read`; `None` if it is missing or faulty. The text is echoed with `describe` behind it.
    pub(super) fn words<T>(
        &self,
        key: &'static str,
        read: impl Fn(&str) -> Result<T, Fault>,
        describe: impl Fn(&T) -> String,
    ) -> Option<T> {
        let value = self.entry(key)?;
        let text = self.plain_text(key, value)?;
        match read(&text) {
            Ok(found) => {
                self.note(key, with_meaning(&text, &describe(&found)), None, None);
                Some(found)
            }
            Err(fault) => {
                self.fault(fault, value);
                None
            }
        }
    }

    /// The same with a default in words.
    pub(super) fn words_or<T>(
        &self,
        key: &'static str,
        (default, source): (&str, &str),
        read: impl Fn(&str) -> Result<T, Fault>,
        describe: impl Fn(&T) -> String,
    ) -> Option<T> {
        if self.has(key) {
            return self.words(key, read, describe);
        }
        let found =
            read(default).unwrap_or_else(|fault| panic!("default of {}.{key}: {}", self.path, fault.message));
        self.note(key, with_meaning(default, &describe(&found)), None, Some(source));
        Some(found)
    }

    /// One of a few words; the default is echoed with its source.
    pub(super) fn choice<T: Copy>(
        &self,
        key: &'static str,
        options: &[(&str, T)],
        default: (&str, &str),
    ) -> T {
        self.choice_told(key, options, default, |_| String::new())
    }

    /// The same with what the word stands for in the echo.
    pub(super) fn choice_told<T: Copy>(
        &self,
        key: &'static str,
        options: &[(&str, T)],
        default: (&str, &str),
        describe: impl Fn(&T) -> String,
    ) -> T {
        let pick = |text: &str| {
            let plain = |word: &str| word.to_lowercase().replace(['-', '_'], " ");
            options
                .iter()
                .find(|(word, _)| plain(word) == plain(text.trim()))
                .map(|&(_, value)| value)
                .ok_or_else(|| {
                    let words: Vec<&str> = options.iter().map(|(word, _)| *word).collect();
                    let help = match nearest(text, words.iter().copied()) {
                        Some(near) => format!("did you mean \"{near}\"?"),
                        None => format!("one of: {}", words.join(", ")),
                    };
                    Fault::new(format!("`{text}` is not known for `{key}`"), "unknown word", 0..text.len())
                        .help(help)
                })
        };
        self.words_or(key, default, pick, describe).unwrap_or(options[0].1)
    }

    /// A list of quantities, with the place of each.
    pub(super) fn list(&self, key: &'static str, kinds: &[Kind], count: Option<usize>) -> Option<Vec<f64>> {
        let value = self.entry(key)?;
        let DeValue::Array(items) = value.get_ref() else {
            let problem = Problem::new(Severity::Error, format!("`{key}` is a list"))
                .help(format!("write it in brackets: [\"{0}\", \"{0}\", ...]", kinds[0].example()));
            self.reader.report(problem, Some(value.span()));
            return None;
        };
        let mut found = Vec::new();
        let mut sound = true;
        for item in items.iter() {
            match self.figures(key, item, kinds).map(|text| parse(&text, kinds)) {
                Some(Ok(quantity)) => found.push(quantity.si),
                Some(Err(fault)) => {
                    self.fault(fault, item);
                    sound = false;
                }
                None => sound = false,
            }
        }
        if let Some(count) = count.filter(|&count| items.len() != count) {
            let message = format!("`{key}` has {} values, {count} belong here", items.len());
            self.reader.report(Problem::new(Severity::Error, message), Some(value.span()));
            sound = false;
        }
        sound.then(|| {
            self.note(key, self.reader.text[value.span()].to_string(), None, None);
            found
        })
    }

    /// The items of a list of texts, each read with `read`.
    pub(super) fn texts<T>(
        &self,
        key: &'static str,
        read: impl Fn(&str) -> Result<T, Fault>,
    ) -> Option<Vec<T>> {
        let value = self.entry(key)?;
        let single = std::slice::from_ref(value);
        let items: Vec<&Spanned<DeValue<'_>>> = match value.get_ref() {
            DeValue::Array(items) => items.iter().collect(),
            _ => single.iter().collect(),
        };
        let mut found = Vec::new();
        for item in &items {
            match self.plain_text(key, item).map(|text| read(&text)) {
                Some(Ok(one)) => found.push(one),
                Some(Err(fault)) => self.fault(fault, item),
                None => {}
            }
        }
        self.note(key, self.reader.text[value.span()].to_string(), None, None);
        (found.len() == items.len()).then_some(found)
    }

    /// A value as the text a person would have written: strings as they are, numbers in figures.
    fn plain_text(&self, key: &str, value: &Spanned<DeValue<'_>>) -> Option<String> {
        match value.get_ref() {
            DeValue::String(text) => Some(text.to_string()),
            DeValue::Integer(number) if number.radix() == 10 => Some(number.as_str().to_string()),
            DeValue::Float(number) => Some(number.as_str().to_string()),
            DeValue::Datetime(time) => Some(time.to_string()),
            DeValue::Boolean(flag) => Some(if *flag { "yes" } else { "no" }.to_string()),
            _ => {
                let problem = Problem::new(Severity::Error, format!("`{key}` takes one value in quotes"))
                    .label("not a single value");
                self.reader.report(problem, Some(value.span()));
                None
            }
        }
    }

    /// The same for a quantity, which `true` and `false` are not.
    fn figures(&self, key: &str, value: &Spanned<DeValue<'_>>, kinds: &[Kind]) -> Option<String> {
        if !matches!(value.get_ref(), DeValue::Boolean(_)) {
            return self.plain_text(key, value);
        }
        let (wanted, example) = (kinds[0].name(), kinds[0].example());
        let problem = Problem::new(Severity::Error, format!("`{key}` is {wanted}, not true or false"))
            .label(format!("{wanted} belongs here"))
            .help(format!("write {wanted} like \"{example}\""));
        self.reader.report(problem, Some(value.span()));
        None
    }
}

fn with_meaning(text: &str, meaning: &str) -> String {
    if meaning.is_empty() || meaning == text { text.to_string() } else { format!("{text} ({meaning})") }
}
