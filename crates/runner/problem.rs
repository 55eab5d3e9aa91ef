//! What is wrong with something a person gave us: one clear message with a place and a remedy.
//!
//! Readers gather `Problem`s instead of failing at the first fault, so that all faults of a file are shown together.

use std::ops::Range;

use serde::Serialize;

/// How bad a [`Problem`] is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Worth saying; the result stands.
    Note,
    /// Doubtful: the run goes on and the result lists it.
    Warning,
    /// Cannot be used.
    Error,
}

/// Where in a text a problem was found. Lines and columns count from 1; the span is in bytes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Place {
    /// File as the user named it.
    pub file: String,
    /// Line, first is 1.
    pub line: usize,
    /// Column in characters, first is 1.
    pub column: usize,
    /// Byte range in the file's text, where the text is at hand for a caret.
    #[serde(skip)]
    pub span: Option<Range<usize>>,
}

/// One fault or doubt, said once, with what to do about it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Problem {
    /// How bad it is.
    pub severity: Severity,
    /// One sentence: what is wrong, with the number found and its unit.
    pub message: String,
    /// Short words beside the caret; empty where the message says it all.
    pub label: String,
    /// What to write or do instead.
    pub help: Option<String>,
    /// Where; `None` when it concerns the whole.
    pub place: Option<Place>,
}

impl Problem {
    /// A problem without a place.
    pub fn new(severity: Severity, message: impl Into<String>) -> Self {
        Self { severity, message: message.into(), label: String::new(), help: None, place: None }
    }

    /// The same problem with a remedy.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// The same problem with words beside the caret.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = label.into();
        self
    }

    /// The same problem at a line of a file (column 1, no span).
    #[must_use]
    pub fn at_line(mut self, file: impl Into<String>, line: usize) -> Self {
        self.place = Some(Place { file: file.into(), line, column: 1, span: None });
        self
    }

    /// The same problem at a byte range of a text.
    #[must_use]
    pub fn at_span(mut self, file: impl Into<String>, text: &str, span: Range<usize>) -> Self {
        let before = &text[..span.start.min(text.len())];
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().unwrap_or("").chars().count() + 1;
        self.place = Some(Place { file: file.into(), line, column, span: Some(span) });
        self
    }
}

impl std::fmt::Display for Problem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if let Some(place) = &self.place {
            write!(f, "{}:{}:{}: ", place.file, place.line, place.column)?;
        }
        write!(f, "{}", self.message)?;
        if let Some(help) = &self.help {
            write!(f, " ({help})")?;
        }
        Ok(())
    }
}
