//! Reading a check table, and collecting how far the library is from it.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

/// One row: text by column name.
pub(super) struct Row(HashMap<String, String>);

impl Row {
    /// Text of a column; the test fails if the table has no such column.
    pub(super) fn text(&self, column: &str) -> &str {
        self.0.get(column).unwrap_or_else(|| panic!("the table has no column {column}"))
    }

    /// Number of a column, or `None` where the cell is blank.
    pub(super) fn maybe(&self, column: &str) -> Option<f64> {
        let text = self.text(column);
        (!text.is_empty())
            .then(|| text.parse().unwrap_or_else(|_| panic!("{column} of {}: {text}", self.text("case_id"))))
    }

    /// Number of a column that must be filled.
    pub(super) fn number(&self, column: &str) -> f64 {
        self.maybe(column).unwrap_or_else(|| panic!("{column} is blank in {}", self.text("case_id")))
    }

    /// Number of a column in degrees, as radians.
    pub(super) fn radians(&self, column: &str) -> f64 {
        self.number(column).to_radians()
    }
}

/// Folder of our own copy.
pub(super) fn own_folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/sun")
}

/// Rows of a table from the folder in `SUNCASK_REFERENCE_SUN`, or from our own copy.
pub(super) fn rows(file_name: &str) -> Vec<Row> {
    let folder = std::env::var_os("SUNCASK_REFERENCE_SUN").map_or_else(own_folder, PathBuf::from);
    rows_of(&folder.join(file_name))
}

/// Rows of one file; at least one.
pub(super) fn rows_of(path: &Path) -> Vec<Row> {
    let mut reader = csv::Reader::from_path(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let header = reader.headers().expect("header line").clone();
    let rows: Vec<Row> = reader
        .records()
        .map(|record| record.unwrap_or_else(|e| panic!("{}: {e}", path.display())))
        .map(|record| Row(header.iter().map(String::from).zip(record.iter().map(String::from)).collect()))
        .collect();
    assert!(!rows.is_empty(), "{} has no rows", path.display());
    rows
}

/// Differences found in one table: the largest of each quantity, and every one beyond its tolerance.
#[derive(Default)]
pub(super) struct Differences {
    largest: Vec<(String, f64, usize)>,
    beyond: Vec<String>,
}

impl Differences {
    /// Notes one comparison.
    pub(super) fn note(&mut self, case: &str, quantity: &str, [found, expected]: [f64; 2], tolerance: f64) {
        let difference = (found - expected).abs();
        // Not a number counts as beyond.
        if difference.is_nan() || difference > tolerance {
            self.beyond.push(format!(
                "{case} {quantity}: found {found}, expected {expected}, tolerance {tolerance}"
            ));
        }
        match self.largest.iter_mut().find(|(name, ..)| name == quantity) {
            Some((_, largest, count)) => {
                *largest = largest.max(difference);
                *count += 1;
            }
            None => self.largest.push((quantity.to_owned(), difference, 1)),
        }
    }

    /// Prints the largest differences and fails if any comparison was beyond its tolerance, or none was made.
    pub(super) fn finish(self, table: &str) {
        for (quantity, largest, count) in &self.largest {
            println!("{table}: {quantity}: largest difference {largest:.3e} in {count} comparisons");
        }
        assert!(!self.largest.is_empty(), "{table}: nothing was compared");
        assert!(
            self.beyond.is_empty(),
            "{table}: {} beyond tolerance\n{}",
            self.beyond.len(),
            self.beyond.join("\n")
        );
    }
}
