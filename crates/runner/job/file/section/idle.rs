//! Keys that say nothing as the job stands.

use std::borrow::Cow;

use super::Section;
use crate::problem::{Problem, Severity};

impl Section<'_> {
    /// Doubts those of the keys that are given: `` `key` changes nothing: why``, and what would make it count.
    pub(in super::super) fn idle(&self, keys: &[&'static str], why: &str, help: &str) {
        for key in keys.iter().copied().filter(|key| self.has(key)) {
            let problem = Problem::new(Severity::Warning, format!("`{key}` changes nothing: {why}"))
                .label("not used")
                .help(help);
            self.report(key, problem);
        }
    }

    /// Doubts all keys beside `used` at once and takes none of them for unknown.
    pub(in super::super) fn idle_but(&self, used: &[&str], why: &str, help: &str) {
        let Some(table) = self.table else { return };
        let idle: Vec<_> = table.iter().filter(|(key, _)| !used.contains(&key.get_ref().as_ref())).collect();
        let Some((first, _)) = idle.first() else { return };
        let names: Vec<String> = idle.iter().map(|(key, _)| format!("`{}`", key.get_ref())).collect();
        for (key, _) in &idle {
            self.reader.ask(&self.path, Cow::Owned(key.get_ref().to_string()));
        }
        let change = if names.len() == 1 { "changes" } else { "change" };
        let problem =
            Problem::new(Severity::Warning, format!("{} {change} nothing: {why}", names.join(", ")))
                .label("not used")
                .help(help);
        self.reader.report(problem, Some(first.span()));
    }
}
