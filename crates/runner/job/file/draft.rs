//! A job file with some of its keys set anew: how studies vary a house.

use std::path::{Path, PathBuf};

use toml::{Table, Value};

use super::{Faults, read_in};
use crate::job::Job;
use crate::problem::{Problem, Severity};

/// The text of a job file as a tree of keys.
#[derive(Clone, Debug)]
pub struct Draft {
    table: Table,
    name: String,
    /// Folder from which the paths in it count.
    folder: PathBuf,
}

impl Draft {
    /// Reads a job file that is sound.
    ///
    /// # Errors
    /// As [`super::read`].
    pub fn read(path: &Path) -> Result<Self, Faults> {
        super::read(path)?;
        let text = super::text_of(path)?;
        let folder = path.parent().unwrap_or(Path::new("")).to_owned();
        Self::parsed(&path.display().to_string(), folder, &text)
            .map_err(|problem| Faults { text, problems: vec![*problem] })
    }

    /// The text of a job file called `name`; files it names count from the current folder.
    ///
    /// # Errors
    /// The text is not TOML.
    pub fn of_text(name: &str, text: &str) -> Result<Self, Box<Problem>> {
        Self::parsed(name, PathBuf::new(), text)
    }

    /// The same; files it names count from `folder`.
    pub(crate) fn parsed(name: &str, folder: PathBuf, text: &str) -> Result<Self, Box<Problem>> {
        let table = text.parse::<Table>().map_err(|error| {
            Box::new(Problem::new(Severity::Error, format!("{name} is not understood: {}", error.message())))
        })?;
        Ok(Self { table, name: name.to_string(), folder })
    }

    /// The same job with a key set, as in `("controller.on_difference", "16 F")`. Sections that are missing come into being; in
    /// a list of sections every one gets the key.
    #[must_use]
    pub fn with(mut self, key: &str, value: impl Into<Value>) -> Self {
        let mut path: Vec<&str> = key.split('.').collect();
        if let Some(last) = path.pop() {
            set(&mut self.table, &path, last, &value.into());
        }
        self
    }

    /// The same job without a key or section.
    #[must_use]
    pub fn without(mut self, key: &str) -> Self {
        let mut path: Vec<&str> = key.split('.').collect();
        let last = path.pop().unwrap_or_default();
        let mut table = Some(&mut self.table);
        for section in path {
            table = table.and_then(|table| table.get_mut(section)).and_then(Value::as_table_mut);
        }
        if let Some(table) = table {
            table.remove(last);
        }
        self
    }

    /// True if the key stands in the job.
    pub fn has(&self, key: &str) -> bool {
        self.find(key).is_some()
    }

    fn find(&self, key: &str) -> Option<&Value> {
        let mut parts = key.split('.');
        let first = self.table.get(parts.next()?)?;
        parts.try_fold(first, |value, part| value.get(part))
    }

    /// The text of a key that is written as one.
    pub fn text(&self, key: &str) -> Option<&str> {
        self.find(key).and_then(Value::as_str)
    }

    /// All its keys.
    pub(crate) fn table(&self) -> &Table {
        &self.table
    }

    /// A whole section or value of the job.
    pub fn get(&self, key: &str) -> Option<&Value> {
        self.table.get(key)
    }

    /// Reads what the draft says now.
    ///
    /// # Errors
    /// All that is wrong with it, without lines: the text is not the user's.
    pub fn job(&self) -> Result<Job, Vec<Problem>> {
        let text = self.table.to_string();
        let bare = |mut problem: Problem| {
            problem.place = None;
            problem
        };
        let mut job = read_in(&self.folder, &self.name, &text)
            .map_err(|problems| problems.into_iter().map(bare).collect::<Vec<_>>())?;
        job.notes = std::mem::take(&mut job.notes).into_iter().map(bare).collect();
        for file in [&mut job.weather, &mut job.poor_weather] {
            *file = file.take().map(|file| self.folder.join(file));
        }
        Ok(job)
    }
}

fn set(table: &mut Table, path: &[&str], key: &str, value: &Value) {
    let Some((section, below)) = path.split_first() else {
        table.insert(key.to_string(), value.clone());
        return;
    };
    match table.entry(section.to_string()).or_insert_with(|| Value::Table(Table::new())) {
        Value::Table(inner) => set(inner, below, key, value),
        Value::Array(items) => {
            for inner in items.iter_mut().filter_map(Value::as_table_mut) {
                set(inner, below, key, value);
            }
        }
        other => {
            let mut inner = Table::new();
            set(&mut inner, below, key, value);
            *other = Value::Table(inner);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{STARTERS, file::read_text};

    #[test]
    fn an_unchanged_draft_is_the_job() {
        for starter in &STARTERS {
            let plain = read_text("job.toml", starter.text).expect("a starter");
            let draft =
                Draft::of_text("job.toml", starter.text).expect("a starter").job().expect("a starter");
            let bare =
                |job: &Job| format!("{:?}", Job { notes: Vec::new(), echo: Vec::new(), ..job.clone() });
            assert_eq!(bare(&draft), bare(&plain), "{}", starter.kind);
        }
    }

    #[test]
    fn keys_are_set_and_taken_away() {
        let text = "[tank]\nvolume = \"80 gal\"\n[[backup]]\nband = \"8 F\"\n[[backup]]\nheight = \"20 %\"\n";
        let draft = Draft::of_text("job.toml", text).expect("sound");
        let changed = draft
            .clone()
            .with("tank.volume", "120 gal")
            .with("controller.on_difference", "16 F")
            .with("backup.hours", "2 am - 6 am")
            .without("calendar.first_day")
            .job()
            .expect("sound");
        assert!((changed.plant.tanks[0].volume_m3 / 120.0 / 0.003_785_411_784 - 1.0).abs() < 1e-12);
        let controller = changed.plant.solar_loop.as_ref().expect("a loop").controller;
        assert!((controller.on_k - 16.0 / 1.8).abs() < 1e-12);
        assert_eq!(changed.element_hours[0].minutes, [(120, 360)]);
        assert_eq!(changed.element_hours[1].minutes, [(120, 360)]);
        assert!(draft.has("tank.volume") && !draft.clone().without("tank.volume").has("tank.volume"));
        let faults = draft.with("tank.volume", "120 ft").job().expect_err("not a volume");
        let told = |fault: &Problem| fault.message.contains("a volume belongs here");
        assert!(faults.iter().any(told) && faults.iter().all(|fault| fault.place.is_none()), "{faults:?}");
    }
}
