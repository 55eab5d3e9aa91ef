//! Rows that are done, one a line, so that a study that was broken off can be taken up again.

use std::collections::HashMap;
use std::fs::{File, OpenOptions};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use serde::{Deserialize, Serialize};

use super::{Candidate, Row};
use crate::weather::WeatherYear;
use crate::whole_file;

#[derive(Serialize, Deserialize)]
struct Line {
    key: String,
    row: Row,
}

/// A file of finished rows beside the results folder. Lines that are cut off or belong to another study are passed over.
#[derive(Debug)]
pub struct Journal {
    path: Option<PathBuf>,
    file: Option<Mutex<File>>,
    known: HashMap<String, Row>,
    weather: u64,
}

impl Journal {
    /// One that keeps nothing.
    pub fn none() -> Self {
        Self { path: None, file: None, known: HashMap::new(), weather: 0 }
    }

    /// Opens the journal at `path`, with the rows it holds.
    ///
    /// # Errors
    /// It can be neither read nor written.
    pub fn open(path: &Path, weather: &WeatherYear) -> io::Result<Self> {
        let text = match whole_file::read(path) {
            Ok(bytes) => String::from_utf8_lossy(&bytes).into_owned(),
            Err(error) if error.kind() == io::ErrorKind::NotFound => String::new(),
            Err(error) => return Err(error),
        };
        let lines = text.lines().filter_map(|line| serde_json::from_str::<Line>(line).ok());
        let known = lines.map(|line| (line.key, line.row)).collect();
        let mut file = OpenOptions::new().create(true).append(true).open(path)?;
        if !text.is_empty() && !text.ends_with('\n') {
            file.write_all(b"\n")?;
        }
        Ok(Self {
            path: Some(path.to_owned()),
            file: Some(Mutex::new(file)),
            known,
            weather: print_of_weather(weather),
        })
    }

    /// How many rows it held when it was opened.
    pub fn held(&self) -> usize {
        self.known.len()
    }

    /// The row of a candidate, if it was done before by the same program on the same job and weather.
    pub(super) fn row(&self, key: &str) -> Option<Row> {
        self.known.get(key).cloned()
    }

    /// Keeps a row.
    ///
    /// # Errors
    /// The disk refuses.
    pub(super) fn keep(&self, key: &str, row: &Row) -> io::Result<()> {
        let Some(file) = &self.file else { return Ok(()) };
        let mut line = serde_json::to_vec(&Line { key: key.to_string(), row: row.clone() })?;
        line.push(b'\n');
        // One write a line: what another run of the program appends cannot come in between.
        file.lock().unwrap_or_else(PoisonError::into_inner).write_all(&line)
    }

    /// Removes the file: the study is done. The same study beside it may have done so before.
    ///
    /// # Errors
    /// The disk refuses.
    pub fn close(self) -> io::Result<()> {
        drop(self.file);
        match self.path.map_or(Ok(()), std::fs::remove_file) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
            removed => removed,
        }
    }

    /// Stands for everything a row depends on; empty where nothing is kept.
    pub(super) fn key(&self, candidate: &Candidate) -> String {
        if self.file.is_none() {
            return String::new();
        }
        let mut hash = DefaultHasher::new();
        env!("CARGO_PKG_VERSION").hash(&mut hash);
        self.weather.hash(&mut hash);
        (&candidate.name, &candidate.settings).hash(&mut hash);
        // The text of every number in it is exact.
        format!("{:?}", candidate.job).hash(&mut hash);
        format!("{:016x}", hash.finish())
    }
}

fn print_of_weather(weather: &WeatherYear) -> u64 {
    let mut hash = DefaultHasher::new();
    format!("{weather:?}").hash(&mut hash);
    hash.finish()
}
