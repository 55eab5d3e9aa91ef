//! What the page may ask, as it comes over the wire. Nothing else is understood.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::picture::Units;

/// Letters of one setting or name at most.
const MOST_LETTERS: usize = 120;

/// A house with some of its settings moved.
#[derive(Clone, Debug, Default, Deserialize, PartialEq)]
#[serde(deny_unknown_fields)]
pub(super) struct Variant {
    /// True: the other layout that the house allows, in place of the job's own.
    pub other_layout: bool,
    /// Settings by the names of their controls, in the words of a job file.
    pub moved: BTreeMap<String, String>,
}

impl Variant {
    /// True if nothing in it is longer than a person would write.
    pub(super) fn is_small(&self) -> bool {
        self.moved.iter().all(|(name, value)| name.len() <= MOST_LETTERS && value.len() <= MOST_LETTERS)
    }
}

/// A year of a variant.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Year {
    /// The page that asks, told apart from other windows by a word of its own.
    pub page: String,
    /// Which of its variants.
    pub side: Side,
    /// The variant.
    pub variant: Variant,
    /// Units of figures and pictures.
    pub units: Shown,
    /// Day of the year to look at, 1 to 365.
    pub day: u32,
}

impl Year {
    /// True if a page could have sent it.
    pub(super) fn is_small(&self) -> bool {
        self.page.len() <= MOST_LETTERS && self.variant.is_small() && (1..=365).contains(&self.day)
    }
}

/// A job file or a report to be written.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Save {
    /// Name of the job file.
    pub file: String,
    /// The variant.
    pub variant: Variant,
    /// Units of the report.
    pub units: Shown,
}

/// One of the two variants side by side.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "lowercase")]
pub(super) enum Side {
    A,
    B,
}

/// Units a person reads.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Shown {
    Us,
    Si,
}

impl From<Shown> for Units {
    fn from(shown: Shown) -> Self {
        match shown {
            Shown::Us => Units::Us,
            Shown::Si => Units::Si,
        }
    }
}
